package finish

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"undercoat/finish/garment"
	"undercoat/inventory"
	"undercoat/inventory/unit"
	"undercoat/palette"
	"undercoat/palette/colour"
)

// TargetRequest asks for an area's target from its references.
type TargetRequest struct {
	Area    string
	From    []string          // references to read; none reads all that show the area
	Approve bool              // freeze it
	As      inventory.Written // the colour to approve; zero takes what the table states, else what the pictures say
}

// TargetAnswer is what the pictures say of an area, and what is agreed.
type TargetAnswer struct {
	Area     string       `json:"area"`
	Piece    string       `json:"piece"`
	Pictures *PatchAnswer `json:"pictures"` // null where no picture shows it
	Says     string       `json:"says"`     // "dark slate grey 88 %, black 9 %"
	Target   *Swatch      `json:"target"`   // what is agreed or stated; null where nothing is
	Words    string       `json:"words"`
	Away     *float64     `json:"difference"` // ΔE00 from what the pictures say to the target
	Within   bool         `json:"within_range"`
	Frozen   bool         `json:"frozen"`
	Approved string       `json:"approved,omitempty"`
	Rests    []string     `json:"rests"`
	Notes    []string     `json:"notes"`
	Warnings []string     `json:"warnings"` // of the pictures read and their anchors, each with its picture's code
}

// Target reads an area's target from its references, with a range, and
// freezes it on approval. A frozen target never moves by itself.
func (b *Bench) Target(ctx context.Context, req TargetRequest) (TargetAnswer, error) {
	s, err := b.scene(ctx)
	if err != nil {
		return TargetAnswer{}, err
	}
	area, err := s.area(req.Area)
	if err != nil {
		return TargetAnswer{}, err
	}
	readings, warnings, err := s.areaReadings(area.Code, req.From)
	if err != nil {
		return TargetAnswer{}, err
	}
	e := palette.Weigh(readings)
	if req.Approve {
		fact, err := approval(area, e, req.As, b.now())
		if err != nil {
			return TargetAnswer{}, err
		}
		if _, err := b.file.Approve(ctx, s.at(), fact); err != nil {
			return TargetAnswer{}, err
		}
		if s, err = b.scene(ctx); err != nil {
			return TargetAnswer{}, err
		}
		area, _ = s.job.Area(area.Code)
	}
	return targetAnswer(s, area, readings, warnings, e), nil
}

// areaReadings reads an area in the pictures that show it, with their warnings,
// each with the code of its picture.
func (s scene) areaReadings(area string, from []string) (readings []palette.Reading, warnings []string, err error) {
	for _, ref := range s.job.References {
		if len(from) > 0 && !slices.Contains(from, ref.Code) {
			continue
		}
		rs, said, err := s.readReference(ref, area)
		if err != nil {
			return nil, nil, err
		}
		readings = append(readings, rs...)
		for _, w := range said {
			warnings = append(warnings, ref.Code+": "+w)
		}
	}
	for _, code := range from {
		if !slices.ContainsFunc(s.job.References, func(r garment.Reference) bool { return r.Code == code }) {
			return nil, nil, fmt.Errorf("read target: %s: no reference of that code", code)
		}
	}
	return readings, warnings, nil
}

// readReference reads the patches of an area in one picture; the warnings are
// those of the picture, where it was opened for it.
func (s scene) readReference(ref garment.Reference, area string) (readings []palette.Reading, warnings []string, err error) {
	trust, err := palette.ParseTrust(ref.Trust)
	if err != nil {
		return nil, nil, fmt.Errorf("read references.csv: %s: %w", ref.Code, err)
	}
	var pic *palette.Reference
	for _, p := range ref.Patches {
		if p.Area != area {
			continue
		}
		if c, ok := p.Colour.Get(); ok {
			lab, anchored, err := s.withoutCast(ref, c.Lab())
			if err != nil {
				return nil, nil, err
			}
			readings = append(readings, palette.StatedReading(ref.Code, lab, trust, anchored))
			continue
		}
		rect, ok := p.Rect.Get()
		if !ok {
			continue
		}
		if pic == nil {
			opened, said, err := s.openReference(ref)
			if err != nil {
				return nil, nil, err
			}
			pic, warnings = &opened, said
		}
		r, err := readSpot(*pic, ref.Code, rect, p.Outline, trust)
		if err != nil {
			return nil, nil, fmt.Errorf("read %s in %s: %w", area, ref.Picture, err)
		}
		readings = append(readings, r)
	}
	return readings, warnings, nil
}

// withoutCast frees a colour that a maker read in a picture from the picture's
// cast, by what the anchor reads there. Without an anchor it stays as it is.
func (s scene) withoutCast(ref garment.Reference, c colour.Lab) (lab colour.Lab, anchored bool, err error) {
	a, ok := ref.Anchor.Get()
	if !ok || a.Colour == (colour.Lab{}) {
		return c, false, nil
	}
	pic, err := s.picture(ref)
	if err != nil {
		return c, false, err
	}
	spot, err := pic.Patch(a.Rect)
	if err != nil {
		return c, false, fmt.Errorf("read the anchor in %s: %w", ref.Picture, err)
	}
	lab, ok = palette.RemoveCast(c, spot.Lab, a.Colour)
	return lab, ok, nil
}

// openReference decodes a reference's picture and removes its cast by its
// chart, else by its anchor.
//
// The warnings are the picture's own and those of its chart or anchor.
func (s scene) openReference(ref garment.Reference) (pic palette.Reference, warnings []string, err error) {
	pic, err = s.picture(ref)
	if err != nil {
		return pic, nil, err
	}
	var said []string
	if at, ok := ref.Chart.Get(); ok {
		pic, said, err = pic.ByChart(at)
	} else if a, ok := ref.Anchor.Get(); ok {
		pic, said, err = pic.Neutral(a)
	}
	if err != nil {
		return pic, nil, fmt.Errorf("open reference %s: %w", ref.Code, err)
	}
	return pic, slices.Concat(pic.Warnings(), said), nil
}

// readSpot reads a rectangle, or what lies inside an outline.
func readSpot(pic palette.Reference, code string, at palette.Rect, o palette.Outline, trust palette.Trust) (palette.Reading, error) {
	if len(o) > 0 {
		return pic.ReadingWithin(code, o, trust)
	}
	return pic.Reading(code, at, trust)
}

// picture decodes a reference's picture as it was taken.
func (s scene) picture(ref garment.Reference) (palette.Reference, error) {
	i := slices.IndexFunc(s.facts.Pictures, func(p inventory.PictureFact) bool { return p.Name == ref.Picture })
	if i < 0 {
		return palette.Reference{}, fmt.Errorf("open reference %s: the workroom file holds no picture %s", ref.Code, ref.Picture)
	}
	data := s.facts.Pictures[i].Bytes
	return decode(PictureFile{Name: ref.Picture, Open: func() (io.ReadCloser, error) { return io.NopCloser(bytes.NewReader(data)), nil }})
}

// approval is the fact that freezes a target: what the maker names, else what
// the table states, else what the pictures say.
func approval(area garment.Area, e palette.Estimate, as inventory.Written, now time.Time) (inventory.TargetFact, error) {
	f := inventory.TargetFact{Area: area.Code, At: unit.State(now), Rests: e.Rests}
	if e.Known() {
		low, high := writtenLab(e.Low), writtenLab(e.High)
		f.Low, f.High, f.Radius = unit.State(low), unit.State(high), unit.State(e.Radius)
	}
	switch {
	case as.Text != "":
		f.Colour, f.Basis = unit.State(as), colour.Declared.String()
		f.Rests = append(f.Rests, "named by the maker")
	case area.Target.Known():
		w := writtenLab(area.Target.Colour.Lab())
		if area.Target.Colour.InScreen() {
			if hex, err := inventory.Write(area.Target.Colour.Hex()); err == nil && colour.Difference(hex.Colour.Lab(), area.Target.Colour.Lab()) < 0.01 {
				w = hex
			}
		}
		f.Colour, f.Basis = unit.State(w), area.Target.Colour.Basis().String()
		f.Rests = append(f.Rests, "stated in the table of areas")
	case e.Known():
		f.Colour, f.Basis = unit.State(writtenLab(e.Lab)), colour.Photographed.String()
	default:
		return f, &Hinted{Err: fmt.Errorf("approve target %s: no picture shows it and no colour is stated", area.Code), Try: []string{"undercoat target " + area.Code + " --approve --as '#6C7176'"}}
	}
	return f, nil
}

// writtenLab writes a colour as the tables do, to a hundredth.
func writtenLab(l colour.Lab) inventory.Written {
	w, err := inventory.Write(fmt.Sprintf("lab(%.2f %.2f %.2f)", l.L, l.A+0, l.B+0))
	if err != nil {
		panic("finish: a colour that was read cannot be written: " + err.Error())
	}
	return w
}

func targetAnswer(s scene, area garment.Area, readings []palette.Reading, warnings []string, e palette.Estimate) TargetAnswer {
	a := TargetAnswer{Area: area.Code, Piece: area.Piece, Frozen: area.Target.Frozen, Rests: list(area.Target.Rests), Notes: []string{}, Warnings: list(warnings)}
	if e.Known() {
		p := patchAnswer(area.Code, readings)
		a.Pictures, a.Says = &p, p.Says
	}
	if !area.Target.Known() {
		return a
	}
	sw := swatch(area.Target.Colour.Lab())
	a.Target, a.Words = &sw, targetWords(area.Target)
	a.Notes = targetNotes(area.Target)
	if area.Target.Frozen {
		a.Approved = area.Target.Approved.In(s.job.Zone).Format(time.RFC3339)
	}
	if e.Known() {
		d := round(colour.Difference(e.Lab, area.Target.Colour.Lab()), 2)
		a.Away, a.Within = &d, within(area.Target.Colour.Lab(), e)
	}
	return a
}

// within reports whether a colour lies in an estimate's range.
func within(l colour.Lab, e palette.Estimate) bool {
	in := func(v, low, high float64) bool { return v >= low && v <= high }
	return in(l.L, e.Low.L, e.High.L) && in(l.A, e.Low.A, e.High.A) && in(l.B, e.Low.B, e.High.B)
}

// targetNotes say where a target meets the limits of a screen or of surfaces.
func targetNotes(t garment.Target) []string {
	notes := []string{}
	lab := t.Colour.Lab()
	switch {
	case t.Fluorescent:
		notes = append(notes, "a fluorescent: the hex is a stand-in for its hue, judge it by a swatch")
	case colour.BeyondSurface(lab):
		how := "more vivid than real surfaces were found to be"
		if !colour.InOptimal(lab) {
			how = "more vivid than any surface can be"
		}
		notes = append(notes, how+": only a fluorescent reaches it")
	case colour.AtScreenLimit(lab.LinearRGB()):
		notes = append(notes, "at the limit of what a screen shows: the real colour may be more vivid")
	}
	return notes
}

// saysMost is how many names are said before the rest is summed up.
const saysMost = 6

// saysText writes name shares as makers say them; of a wide range the names that
// come last are summed up.
func saysText(names []NameShare) string {
	var parts []string
	rest := 0.0
	for _, n := range names {
		switch {
		case n.Share < 0.01:
		case len(parts) == saysMost:
			rest += n.Share
		default:
			parts = append(parts, fmt.Sprintf("%s %.0f %%", n.Name, 100*n.Share))
		}
	}
	if rest > 0 {
		parts = append(parts, fmt.Sprintf("others %.0f %%", 100*rest))
	}
	return strings.Join(parts, ", ")
}
