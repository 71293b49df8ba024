package match

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"undercoat/inventory"
	"undercoat/inventory/unit"
	"undercoat/palette/colour"
)

// On 40 % of stretch a film that gives 15 % covers 1.15/1.40 of what it did:
// 18 % of the ground shows. The colour then is the area-weighted mean of both,
// worked out here from tristimulus values, which add.
func TestFilmThatCracksShowsTheGround(t *testing.T) {
	s := paintWith(t, func(p *inventory.Paint) { p.Elongation = unit.State(0.15) })
	q := Request{Target: Target{Colour: hex(t, "#6C7176")}, Ground: Ground{Code: "K"}, Kinds: []Kind{Item}, Stretch: 0.4}
	r, err := Find(q, s)
	if err != nil {
		t.Fatal(err)
	}
	m := matchOf(t, r, "P")
	d65, cover := colour.D65(), 1.15/1.40
	film, bare := d65.XYZ(m.Predicted.Reflectance), d65.XYZ(hex(t, "#E6DECF").Reflectance())
	mean := func(a, b float64) float64 { return cover*a + (1-cover)*b }
	open := colour.XYZ{X: mean(film.X, bare.X), Y: mean(film.Y, bare.Y), Z: mean(film.Z, bare.Z)}.Lab(d65.White())
	want := fmt.Sprintf("over about 18 %% of the area and lies ΔE00 %.1f from", colour.Difference(m.Predicted.Lab, open))
	if text := against(m, RuleStretch); !strings.Contains(text, want) {
		t.Errorf("%q does not say %q", text, want)
	}
	if m.Predicted.High.L < m.Predicted.Lab.L+(open.L-m.Predicted.Lab.L)/2 {
		t.Errorf("L* up to %.1f: the range leaves the open film out, %.1f", m.Predicted.High.L, open.L)
	}
}

// A film that gives more than the area asks stays as it is; one of which it is
// not stated and that is trusted with a little carries a note.
func TestStretchOfFilmsThatHold(t *testing.T) {
	for _, c := range []struct {
		elongation unit.Stated[float64]
		stretch    float64
		note       string
	}{
		{unit.State(1.1), 0.4, ""},
		{unit.Stated[float64]{}, 0, ""},
		{unit.Stated[float64]{}, 0.04, "opens over about 4 % of the area"}, // 1 − 1/1.04
	} {
		s := paintWith(t, func(p *inventory.Paint) { p.Elongation = c.elongation })
		r, err := Find(Request{Target: Target{Colour: hex(t, "#6C7176")}, Ground: Ground{Code: "K"}, Kinds: []Kind{Item}, Stretch: c.stretch}, s)
		if err != nil {
			t.Fatal(err)
		}
		text := ""
		for _, n := range matchOf(t, r, "P").Notes {
			if n.Rule == RuleStretch {
				text = n.Text
			}
		}
		if (c.note == "") != (text == "") || !strings.Contains(text, c.note) {
			t.Errorf("elongation %v, stretch %g: %q, want %q", c.elongation, c.stretch, text, c.note)
		}
	}
}

// A prediction coat by coat is wider where its ground stretches further than
// the film, and the same where it does not.
func TestBuildOnAStretchedGround(t *testing.T) {
	width := func(elongation, stretch float64) (at, wide float64) {
		s := paintWith(t, func(p *inventory.Paint) { p.Elongation = unit.State(elongation) })
		steps, err := Build(Ground{Code: "K", Stretch: stretch}, []Layer{{"P", 4}}, Light{}, s)
		if err != nil {
			t.Fatal(err)
		}
		p := steps[4].Predicted
		return p.Lab.L, p.High.L - p.Lab.L
	}
	rest, still := width(0.15, 0)
	for _, c := range []struct{ elongation, stretch, least, most float64 }{
		{1.1, 0.4, still, still},
		{0.15, 0.4, still + 4, math.Inf(1)},
	} {
		at, wide := width(c.elongation, c.stretch)
		if at != rest || wide < c.least || wide > c.most {
			t.Errorf("film gives %g, ground %g: L* %.2f and %.2f above, want %.2f and %.2f to %.2f", c.elongation, c.stretch, at, wide, rest, c.least, c.most)
		}
	}
}
