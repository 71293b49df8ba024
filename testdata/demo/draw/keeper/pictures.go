package keeper

import (
	"fmt"
	"image"
	"strings"
	"sync"
)

// Picture is one finished reference picture.
type Picture struct {
	Name    string // R1 …
	File    string // file name
	Bytes   []byte
	W, H    int // upright size
	Patches []Patch
	Paper   image.Rectangle // blank paper, where there is any
}

// Pictures draws all four, R1 to R4, two at a time: each takes some hundred
// megabytes while it is drawn.
func Pictures() []Picture {
	draw := []func() Picture{Dusk, Lantern, Drawing, Poster}
	out := make([]Picture, len(draw))
	for i := 0; i < len(draw); i += 2 {
		var pair sync.WaitGroup
		pair.Go(func() { out[i] = draw[i]() })
		pair.Go(func() { out[i+1] = draw[i+1]() })
		pair.Wait()
	}
	return out
}

// cell writes a rectangle as the tables do: x,y,w,h in a quoted cell.
func cell(r image.Rectangle) string {
	return fmt.Sprintf(`"%d,%d,%d,%d"`, r.Min.X, r.Min.Y, r.Dx(), r.Dy())
}

// PatchTable is patches.csv for some pictures.
func PatchTable(pictures []Picture) string {
	var b strings.Builder
	b.WriteString("reference,area,rectangle,colour\n")
	for _, p := range pictures {
		for _, m := range p.Patches {
			fmt.Fprintf(&b, "%s,%s,%s,\n", p.Name, m.Area, cell(m.Rect))
		}
	}
	return b.String()
}

// notes say in references.csv what a picture is and how far to trust it.
var notes = map[string]struct{ trust, note string }{
	"R1": {"medium", "dusk still, blue and dim; A1 looks navy-black; anchor: the collar"},
	"R2": {"medium", "lantern still, orange; A1 looks brown and A3 plain black; anchor: the collar"},
	"R3": {"high for hue, low for lightness", "flat drawing with a profile tag; ink lines darken small areas, A3 is drawn as black; anchor: the paper"},
	"R4": {"low", "phone photograph of a poster, strongly compressed; nothing neutral in it; navy lies beside A5"},
}

// ReferenceTable is references.csv for some pictures: the anchor is the
// collar's patch, known to be its target, or blank paper.
func ReferenceTable(pictures []Picture) string {
	var b strings.Builder
	b.WriteString("code,picture,anchor,anchor_colour,trust,note\n")
	for _, p := range pictures {
		anchor, colour := p.anchor()
		n := notes[p.Name]
		trust := n.trust
		if strings.Contains(trust, ",") {
			trust = `"` + trust + `"`
		}
		fmt.Fprintf(&b, "%s,%s,%s,%s,%s,%q\n", p.Name, p.File, anchor, colour, trust, n.note)
	}
	return b.String()
}

func (p Picture) anchor() (rectangle, colour string) {
	switch p.Name {
	case "R1", "R2":
		for _, m := range p.Patches {
			if m.Area == "A2" {
				return cell(m.Rect), target["A2"]
			}
		}
	case "R3":
		return cell(p.Paper), PaperHex
	}
	return "", ""
}
