package finish

import (
	"context"
	"fmt"

	"undercoat/inventory"
	"undercoat/inventory/unit"
	"undercoat/palette"
	"undercoat/palette/colour"
)

// MeasureEntry is a measure of a stock line: a colour read by an instrument,
// or a swatch in a photograph beside something of known colour.
type MeasureEntry struct {
	Code  string
	Kind  string  // drawdown, strike-off or swatch
	Over  string  // black, white, itself or a stock code
	Coats int     // 0 is not said
	Film  float64 // µm wet, 0 is not said
	Light string  // "" is D65

	Lab *colour.Lab // measured; nil where a photograph is given

	Photo   *PictureFile
	Rect    palette.Rect
	Anchors []palette.Anchor
	Chart   *palette.Rect
}

// MeasureAnswer is what was recorded.
type MeasureAnswer struct {
	Code string `json:"code"`
	Kind string `json:"kind"`
	Over string `json:"over"`
	Swatch
	LabLow  [3]float64 `json:"lab_low"`
	LabHigh [3]float64 `json:"lab_high"`
	Radius  float64    `json:"radius"` // ΔE00
	Basis   string     `json:"basis"`
	Turning bool       `json:"changes_with_angle"`
	Notes   []string   `json:"notes"`
}

// Measure records a measure of a stock line. A photograph gives a colour of
// basis "photographed" with a range; the measure is kept as a fact.
func (b *Bench) Measure(ctx context.Context, e MeasureEntry) (MeasureAnswer, error) {
	stock, err := b.file.Stock(ctx)
	if err != nil {
		return MeasureAnswer{}, err
	}
	art, err := scene{stock: stock}.article(e.Code)
	if err != nil {
		return MeasureAnswer{}, err
	}
	a := MeasureAnswer{Code: art.Code, Kind: e.Kind, Over: e.Over, Basis: colour.Measured.String(), Notes: []string{}}
	lab := e.Lab
	if e.Photo != nil {
		s, err := e.readSwatch(art)
		if err != nil {
			return MeasureAnswer{}, err
		}
		a.LabLow, a.LabHigh, a.Radius = labOf(s.Low), labOf(s.High), round(s.Radius, 2)
		a.Basis, a.Turning, a.Notes = s.Colour.Basis().String(), s.Turning, list(s.Why)
		lab = &s.Lab
	}
	if lab == nil {
		return MeasureAnswer{}, fmt.Errorf("measure %s: expected a measured colour or a photograph", e.Code)
	}
	a.Swatch = swatch(*lab)
	if e.Photo == nil {
		a.LabLow, a.LabHigh = a.Lab, a.Lab
	}
	m := inventory.Measure{Code: art.Code, Light: e.Light, Lab: unit.State(*lab), Over: e.Over, Kind: e.Kind}
	if e.Coats > 0 {
		m.Coats = unit.State(e.Coats)
	}
	if e.Film > 0 {
		m.WetFilm = unit.State(e.Film)
	}
	if e.Photo != nil {
		m.Basis = colour.Photographed.String()
	}
	_, err = b.file.AddMeasure(ctx, inventory.At{}, m)
	return a, err
}

// readSwatch reads a swatch from a photograph whose cast is removed first.
func (e MeasureEntry) readSwatch(art inventory.Article) (palette.Swatch, error) {
	ref, _, err := openPicture(*e.Photo, PaletteRequest{Anchors: e.Anchors, Chart: e.Chart})
	if err != nil {
		return palette.Swatch{}, err
	}
	s, err := ref.Swatch(e.Rect, art.Name+" "+art.Medium)
	if err != nil {
		return s, fmt.Errorf("measure %s in %s: %w", e.Code, e.Photo.Name, err)
	}
	return s, nil
}
