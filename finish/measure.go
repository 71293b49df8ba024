package finish

import (
	"context"
	"fmt"

	"undercoat/finish/film"
	"undercoat/inventory"
	"undercoat/inventory/unit"
	"undercoat/palette"
	"undercoat/palette/colour"
)

// MeasureEntry is a measure of a stock line: a colour read by an instrument,
// or a swatch in a photograph beside something of known colour.
type MeasureEntry struct {
	Code  string
	Kind  string  // drawdown, strike-off, swatch or tint
	Over  string  // black, white, itself or a stock code; of a tint the white
	Coats int     // 0 is not said
	Film  float64 // µm wet, 0 is not said
	Share float64 // of the paint in a tint by mass, 0…1; 0 is not said: a tenth
	Light string  // "" is D65

	Lab      *colour.Lab         // measured; nil where a spectrum or a photograph is given
	Spectrum *colour.Reflectance // measured

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
	a, m, err := b.measured(ctx, e)
	if err != nil {
		return MeasureAnswer{}, err
	}
	_, err = b.file.AddMeasure(ctx, inventory.At{}, m)
	return a, err
}

// ReadSwatch is what [Bench.Measure] would record, without recording it.
func (b *Bench) ReadSwatch(ctx context.Context, e MeasureEntry) (MeasureAnswer, error) {
	a, _, err := b.measured(ctx, e)
	return a, err
}

func (b *Bench) measured(ctx context.Context, e MeasureEntry) (a MeasureAnswer, m inventory.Measure, err error) {
	stock, err := b.file.Stock(ctx)
	if err != nil {
		return a, m, err
	}
	art, err := scene{stock: stock}.article(e.Code)
	if err != nil {
		return a, m, err
	}
	a = MeasureAnswer{Code: art.Code, Kind: e.Kind, Over: e.Over, Basis: colour.Measured.String(), Notes: []string{}}
	if a.Over == "" && e.Kind == "swatch" {
		a.Over = "itself"
	}
	m = inventory.Measure{Code: art.Code, Light: e.Light, Over: a.Over, Kind: e.Kind}
	switch {
	case e.Spectrum != nil:
		m.Spectrum = unit.State(*e.Spectrum)
		a.Basis = colour.Spectral.String()
		a.sure(colour.D65().Lab(*e.Spectrum), film.SwatchDoubt(colour.Spectral))
	case e.Lab != nil:
		m.Lab = unit.State(*e.Lab)
		a.sure(*e.Lab, film.SwatchDoubt(colour.Measured))
	case e.Photo != nil:
		s, err := e.readSwatch(art)
		if err != nil {
			return a, m, err
		}
		a.Swatch, a.LabLow, a.LabHigh, a.Radius = swatch(s.Lab), labOf(s.Low), labOf(s.High), round(s.Radius, 2)
		a.Basis, a.Turning, a.Notes = s.Colour.Basis().String(), s.Turning, list(s.Why)
		m.Lab, m.Basis = unit.State(s.Lab), colour.Photographed.String()
	default:
		return a, m, fmt.Errorf("measure %s: expected a measured colour, a spectrum or a photograph", e.Code)
	}
	if m.Kind != "swatch" && !m.Tells() {
		a.Notes = append(a.Notes, fmt.Sprintf("kept, but the film of %s is not refined by it: it was read under %s and is no spectrum; measure it under D65 or give the spectrum", art.Code, m.Light))
	}
	if e.Coats > 0 {
		m.Coats = unit.State(e.Coats)
	}
	if e.Film > 0 {
		m.WetFilm = unit.State(e.Film)
	}
	if e.Share > 0 {
		m.Share = unit.State(e.Share)
	}
	return a, m, nil
}

// sure fills in a colour an instrument read, within its usual doubt.
func (a *MeasureAnswer) sure(lab colour.Lab, doubt float64) {
	a.Swatch, a.Radius = swatch(lab), doubt
	a.LabLow, a.LabHigh = a.Lab, a.Lab
}

// readSwatch reads a swatch from a photograph whose cast is removed first.
func (e MeasureEntry) readSwatch(art inventory.Article) (palette.Swatch, error) {
	ref, pic, err := openPicture(*e.Photo, PaletteRequest{Anchors: e.Anchors, Chart: e.Chart})
	if err != nil {
		return palette.Swatch{}, err
	}
	s, err := ref.Swatch(e.Rect, art.Name+" "+art.Medium)
	if err != nil {
		return s, fmt.Errorf("measure %s in %s: %w", e.Code, e.Photo.Name, err)
	}
	s.Why = append(pic.Warnings, s.Why...)
	return s, nil
}
