package match

import (
	"strconv"
	"strings"
	"testing"

	"undercoat/palette/colour"
)

func (r row) reflectance(col string) (out colour.Reflectance) {
	r.t.Helper()
	for i, s := range strings.Split(r.cell[col], ";") {
		v, err := strconv.ParseFloat(s, 64)
		if err != nil {
			r.t.Fatalf("column %q: %v", col, err)
		}
		out[i] = v
	}
	return out
}

// Pairs of spectra of one daylight colour: ΔE00 by an independent library, to
// 2e-3 by the weights of the check values where they are given; the house's
// D65 adds up to 3e-3.
func TestMetamerismPairs(t *testing.T) {
	for _, r := range reference(t, "optics/metamerism_pairs.csv") {
		a := side{look: plain(r.reflectance("R_sample_36")), basis: colour.Spectral}
		b := side{look: plain(r.reflectance("R_metamer_36")), basis: colour.Spectral}
		name := r.cell["pigment"]
		near(t, name+" daylight", colour.Difference(a.look.lab(), b.look.lab()), r.num("dE00_D65"), 5e-3)
		for _, l := range []string{"A", "LED-B3", "LED-B1"} {
			light, err := colour.LightNamed(l)
			if err != nil {
				t.Fatal(err)
			}
			near(t, name+" "+l, metamerism(a, b, light), r.num("MI_"+l), 5e-3)
			if l != "LED-B1" {
				near(t, name+" "+l+" by the file's weights", plainIndex(t, a.look.r, b.look.r, l), r.num("MI_"+l), 2e-3)
			}
		}
	}
}

// plainIndex is the special index by the weights of the check values: the
// sample turned to the target's daylight, then ΔE00 under the light.
func plainIndex(t *testing.T, a, b colour.Reflectance, light string) float64 {
	t.Helper()
	see := func(r colour.Reflectance, name string) (x colour.XYZ) {
		for i, w := range reference(t, "optics/weights_36band.csv")[:colour.Bands] {
			x.X += r[i] * w.num(name+"_X")
			x.Y += r[i] * w.num(name+"_Y")
			x.Z += r[i] * w.num(name+"_Z")
		}
		return x
	}
	var perfect colour.Reflectance
	for i := range perfect {
		perfect[i] = 1
	}
	a1, b1, a2, b2, white := see(a, "D65"), see(b, "D65"), see(a, light), see(b, light), see(perfect, light)
	b2 = colour.XYZ{X: b2.X * a1.X / b1.X, Y: b2.Y * a1.Y / b1.Y, Z: b2.Z * a1.Z / b1.Z}
	return colour.Difference(a2.Lab(white), b2.Lab(white))
}

// Whether an index is given depends on what was measured, never on what was
// recovered from a hex.
func TestMetamerismOnlyWhereMeasured(t *testing.T) {
	a := lightOf(t, "hall", "A", false)
	hexed := func(s string, b colour.Basis) side {
		return side{look: plain(hex(t, s).Reflectance()), basis: b}
	}
	for _, c := range []struct {
		name           string
		target, sample side
		known          bool
	}{
		{"two hexes", hexed("#6C7176", colour.Declared), hexed("#6D7276", colour.Declared), false},
		{"a measured daylight colour is no spectrum", hexed("#6C7176", colour.Measured), hexed("#6D7276", colour.Measured), false},
		{"one spectrum", hexed("#6C7176", colour.Spectral), hexed("#6D7276", colour.Declared), true},
		{"one reading under the light", side{look: plain(hex(t, "#6C7176").Reflectance()), readings: []Reading{{"A", colour.Lab{L: 47}}}}, hexed("#6D7276", colour.Declared), true},
	} {
		d := byLight(c.target, c.sample, []Light{a})[0]
		if d.Metamerism.Known() != c.known {
			t.Errorf("%s: index known %v, want %v", c.name, d.Metamerism.Known(), c.known)
		}
		if !c.known && !strings.Contains(d.Text, "typically up to ΔE00 4") {
			t.Errorf("%s: %q", c.name, d.Text)
		}
	}
}
