package finish

import (
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"undercoat/palette"
	"undercoat/palette/colour"
)

// PictureFile is a picture to be read: its name for people, and a door to its
// bytes that is opened once.
type PictureFile struct {
	Name string
	Open func() (io.ReadCloser, error)
}

// NamedPatch is a patch of a picture that carries a name, such as an area's
// code; the same name in several pictures is weighed together.
type NamedPatch struct {
	Name string
	Rect palette.Rect
}

// PaletteRequest says what to read from pictures.
type PaletteRequest struct {
	Pictures []PictureFile
	Colours  int              // number of materials wanted; 0 lets the picture say
	Anchors  []palette.Anchor // spots of known colour, the same places in every picture
	Chart    *palette.Rect    // a 24-patch chart, the same place in every picture
	Patches  []NamedPatch
	Overlay  func(picture string) (io.WriteCloser, error) // where to draw the materials of a picture; may be nil
	Progress func(done, all int)                          // told after each picture; may be nil
}

// PaletteAnswer is what the pictures show. Its JSON is the `palette` contract.
type PaletteAnswer struct {
	Pictures  []PictureAnswer  `json:"pictures"`
	Materials []MaterialAnswer `json:"materials"`
	Patches   []PatchAnswer    `json:"patches"`
}

// PictureAnswer is one picture as it was read.
type PictureAnswer struct {
	File     string   `json:"file"`
	Width    int      `json:"width"`  // pixels, upright
	Height   int      `json:"height"` // pixels, upright
	Format   string   `json:"format"`
	Profile  string   `json:"profile"`
	Upright  bool     `json:"upright"`                 // the file asked to be turned, and was
	Anchor   bool     `json:"anchor"`                  // a cast was removed by an anchor or chart
	Warnings []string `json:"warnings"`                // what was left out or taken on trust
	Cast     string   `json:"cast_question,omitempty"` // a cast that may be there, as a question
}

// Swatch is a colour as people and screens want it.
type Swatch struct {
	Hex string     `json:"hex"`
	Lab [3]float64 `json:"lab"`
}

func swatch(l colour.Lab) Swatch {
	return Swatch{Hex: l.LinearRGB().Hex(), Lab: labOf(l)}
}

func labOf(l colour.Lab) [3]float64 { return [3]float64{round(l.L, 2), round(l.A, 2), round(l.B, 2)} }

// MaterialAnswer is one material of a picture.
type MaterialAnswer struct {
	Picture       string  `json:"picture"`
	Name          string  `json:"name"`
	Swatch                // of the base: the own colour, fully lit
	Share         float64 `json:"share"` // of the opaque pixels
	Shadow        Swatch  `json:"shadow"`
	Light         Swatch  `json:"light"`
	Spread        float64 `json:"spread"`     // ΔE00
	Confidence    float64 `json:"confidence"` // 0…1: a score of what speaks for the base, no chance
	Trust         string  `json:"trust"`      // the same in words: good, fair, poor
	AtScreenLimit bool    `json:"at_screen_limit"`
	BeyondSurface bool    `json:"beyond_surface_colours"`
	BeyondOptimal bool    `json:"beyond_optimal_colours"` // no surface without fluorescence can have it
	Lies          float64 `json:"base_lies"`              // where the base lies from shadow (0) to light (1), by L*
	Bounds        [4]int  `json:"bounds"`                 // x, y, w, h in pixels of the upright picture
}

// PatchAnswer is one named patch, weighed over all pictures that show it.
type PatchAnswer struct {
	Name string `json:"name"`
	Swatch
	LabLow     [3]float64     `json:"lab_low"`
	LabHigh    [3]float64     `json:"lab_high"`
	Words      string         `json:"words"`
	Radius     float64        `json:"radius"`     // ΔE00 from lab to the edge of its range
	Names      []NameShare    `json:"names"`      // the names its range meets, with their shares
	Spread     float64        `json:"spread"`     // ΔE00
	Confidence float64        `json:"confidence"` // 0…1: chance that lab is within ΔE00 3 of the truth
	Settle     []string       `json:"settle"`     // what would settle it
	Says       string         `json:"says"`       // "dark slate grey 88 %, black 9 %"
	Screen     bool           `json:"at_screen_limit"`
	Beyond     bool           `json:"beyond_surface_colours"`
	PerPicture []PatchReading `json:"per_picture"`
}

// NameShare is a colour name and its share of a range.
type NameShare struct {
	Name  string  `json:"name"`
	Share float64 `json:"share"`
}

// PatchReading is a patch in one picture.
type PatchReading struct {
	Picture string `json:"picture"`
	Swatch
	Spread float64 `json:"spread"`
	Pixels int     `json:"pixels"`
	Glare  int     `json:"glare"`
	Shadow int     `json:"shadow"`
	Counts bool    `json:"counts"` // bears the estimate; the others are only compared with it
	Why    string  `json:"why,omitempty"`
}

// ReadPictures reads pictures: the materials of each, and every named patch,
// weighed over the pictures that show it. One picture that cannot be read is
// an error that names it; nothing is answered then.
func ReadPictures(ctx context.Context, req PaletteRequest) (PaletteAnswer, error) {
	a := PaletteAnswer{Pictures: []PictureAnswer{}, Materials: []MaterialAnswer{}, Patches: []PatchAnswer{}}
	readings := map[string][]palette.Reading{}
	next := openAhead(ctx, req)
	for i, p := range req.Pictures {
		if err := ctx.Err(); err != nil {
			return PaletteAnswer{}, err
		}
		ref, pic, err := next(i)
		if err != nil {
			return PaletteAnswer{}, err
		}
		a.Pictures = append(a.Pictures, pic)
		found, err := ref.Materials(palette.MaterialOptions{Colours: req.Colours})
		if err != nil {
			return PaletteAnswer{}, fmt.Errorf("read %s: %w", p.Name, err)
		}
		for _, m := range found.Materials {
			a.Materials = append(a.Materials, materialAnswer(p.Name, m))
		}
		if req.Overlay != nil {
			if err := drawOverlay(p.Name, found, ref, req.Overlay); err != nil {
				return PaletteAnswer{}, err
			}
		}
		for _, patch := range req.Patches {
			r, err := ref.Reading(p.Name, patch.Rect, palette.Trust{})
			if err != nil {
				return PaletteAnswer{}, fmt.Errorf("read %s: patch %s: %w", p.Name, patch.Name, err)
			}
			readings[patch.Name] = append(readings[patch.Name], r)
		}
		if req.Progress != nil {
			req.Progress(i+1, len(req.Pictures))
		}
	}
	for _, name := range patchNames(req.Patches) {
		a.Patches = append(a.Patches, patchAnswer(name, readings[name]))
	}
	return a, nil
}

// openAhead opens each picture while the one before is being read: a decoder
// keeps one core busy, so the other would stand idle. Of many pictures no more
// than two are in memory.
func openAhead(ctx context.Context, req PaletteRequest) (next func(i int) (palette.Reference, PictureAnswer, error)) {
	type opened struct {
		ref palette.Reference
		pic PictureAnswer
		err error
	}
	var ahead chan opened
	start := func(i int) {
		if i >= len(req.Pictures) || ctx.Err() != nil {
			ahead = nil
			return
		}
		c := make(chan opened, 1) // whoever stops early leaves nothing waiting
		go func() {
			var o opened
			o.ref, o.pic, o.err = openPicture(req.Pictures[i], req)
			c <- o
		}()
		ahead = c
	}
	start(0)
	return func(i int) (palette.Reference, PictureAnswer, error) {
		if ahead == nil {
			return palette.Reference{}, PictureAnswer{}, ctx.Err()
		}
		o := <-ahead
		start(i + 1)
		return o.ref, o.pic, o.err
	}
}

// drawOverlay draws the materials of a picture to where the maker wants them.
func drawOverlay(name string, found palette.Palette, ref palette.Reference, to func(string) (io.WriteCloser, error)) error {
	w, err := to(name)
	if err != nil {
		return fmt.Errorf("draw the materials of %s: %w", name, err)
	}
	if err := errors.Join(found.Overlay(w, ref), w.Close()); err != nil {
		return fmt.Errorf("draw the materials of %s: %w", name, err)
	}
	return nil
}

// decode opens a picture and reads it upright, in linear light.
func decode(p PictureFile) (palette.Reference, error) {
	r, err := p.Open()
	if err != nil {
		return palette.Reference{}, fmt.Errorf("open picture: %w", err)
	}
	defer r.Close()
	ref, err := palette.Decode(r, palette.Options{})
	if err != nil {
		return palette.Reference{}, fmt.Errorf("read %s: %w", p.Name, err)
	}
	return ref, nil
}

// openPicture decodes a picture and removes its cast by the chart or the
// anchors given.
func openPicture(p PictureFile, req PaletteRequest) (palette.Reference, PictureAnswer, error) {
	ref, err := decode(p)
	if err != nil {
		return ref, PictureAnswer{}, err
	}
	var said []string
	switch {
	case req.Chart != nil:
		ref, said, err = ref.ByChart(*req.Chart)
	case len(req.Anchors) > 0:
		ref, said, err = ref.Neutral(req.Anchors...)
	}
	if err != nil {
		return ref, PictureAnswer{}, fmt.Errorf("read %s: %w", p.Name, err)
	}
	w, h := ref.Size()
	pic := PictureAnswer{
		File: p.Name, Width: w, Height: h, Format: ref.Format(), Profile: ref.Profile(), Upright: ref.Upright(), Anchor: ref.Anchored(),
		Warnings: list(append(ref.Warnings(), said...)),
	}
	if !ref.Anchored() {
		pic.Cast = ref.GuessCast().Question()
	}
	return ref, pic, nil
}

func materialAnswer(picture string, m palette.Material) MaterialAnswer {
	return MaterialAnswer{
		Picture: picture, Name: colour.Name(m.Base), Swatch: swatch(m.Base), Share: round(m.Share, 4), Shadow: swatch(m.Shadow), Light: swatch(m.Light),
		Spread: round(m.Spread, 2), Confidence: round(m.Confidence, 2), Trust: trustWord(m.Confidence), AtScreenLimit: m.AtScreenLimit, BeyondSurface: m.BeyondSurface,
		BeyondOptimal: m.BeyondOptimal, Lies: round(m.Lies(), 2), Bounds: [4]int{m.Bounds.X, m.Bounds.Y, m.Bounds.W, m.Bounds.H},
	}
}

// trustWord says a material's score of trust in a word. Common practice, no source.
func trustWord(score float64) string {
	switch {
	case score >= 0.75:
		return "good"
	case score >= 0.45:
		return "fair"
	}
	return "poor"
}

// patchNames lists each name once, in the order first given.
func patchNames(patches []NamedPatch) []string {
	var names []string
	for _, p := range patches {
		if !slices.Contains(names, p.Name) {
			names = append(names, p.Name)
		}
	}
	return names
}

func patchAnswer(name string, readings []palette.Reading) PatchAnswer {
	e := palette.Weigh(readings)
	a := PatchAnswer{
		Name: name, Swatch: swatch(e.Lab), LabLow: labOf(e.Low), LabHigh: labOf(e.High), Radius: round(e.Radius, 2), Words: colour.Name(e.Lab),
		Confidence: round(e.Confidence, 2), Names: nameShares(e), Settle: list(e.Settle),
		Says: saysText(nameShares(e)), Screen: e.AtScreenLimit, Beyond: e.BeyondSurface,
	}
	for _, r := range readings {
		a.PerPicture = append(a.PerPicture, patchReading(r, e))
		a.Spread = max(a.Spread, round(r.Patch.Spread, 2))
	}
	return a
}

// nameShares is what makers want to hear: "dark slate grey 88 %, black 9 %".
func nameShares(e palette.Estimate) []NameShare {
	out := []NameShare{}
	for _, n := range e.Names {
		out = append(out, NameShare{Name: n.Name, Share: round(n.Share, 3)})
	}
	return out
}

func patchReading(r palette.Reading, e palette.Estimate) PatchReading {
	p := PatchReading{
		Picture: r.Picture, Swatch: swatch(r.Patch.Lab), Spread: round(r.Patch.Spread, 2), Pixels: r.Patch.Count, Glare: r.Patch.Glare,
		Shadow: r.Patch.Shadow, Counts: slices.Contains(e.Rests, r.Picture),
	}
	for _, d := range e.Disagree {
		if d.Picture == r.Picture {
			p.Why = d.Words
			if len(d.Why) > 0 {
				p.Why += ": " + strings.Join(d.Why, "; ")
			}
		}
	}
	return p
}
