package film

import (
	"math"
	"math/rand/v2"
	"testing"

	"undercoat/palette/colour"
)

func randomFilm(rng *rand.Rand) Film {
	f := Film{X: 0.2 + 2*rng.Float64()}
	for i := range f.K {
		f.K[i] = math.Exp(6*rng.Float64() - 4)
		f.S[i] = math.Exp(5*rng.Float64() - 2.5)
		if rng.IntN(20) == 0 {
			f.K[i] = 0
		}
		if rng.IntN(20) == 0 {
			f.S[i] = 0
		}
	}
	return f
}

func randomGround(rng *rand.Rand) (g colour.Reflectance) {
	for i := range g {
		g[i] = rng.Float64()
	}
	return g
}

// Laws of films: no film is the ground; n coats are one film; a result lies
// between ground and masstone and rises with the ground; the order of two
// films matters; a film of no thickness changes nothing.
func TestFilmLaws(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	orderMattered := false
	for range 300 {
		f, g := randomFilm(rng), randomGround(rng)
		if (Stack{Ground: g}).Reflectance() != g {
			t.Fatal("no films are not the ground")
		}
		gone := Stack{Ground: g, Films: []Film{f, randomFilm(rng).Coats(0)}}.Reflectance()
		if gone != f.Over(g) {
			t.Fatal("a film of no thickness changed the stack")
		}
		three := Stack{Ground: g, Films: []Film{f, f, f}}.Reflectance()
		one := f.Coats(3).Over(g)
		mass := f.Masstone()
		lighter := g
		for i := range g {
			near(t, "three coats", three[i], one[i], 1e-12)
			lo, hi := math.Min(g[i], mass[i]), math.Max(g[i], mass[i])
			if f.S[i] > 0 && (one[i] < lo-1e-12 || one[i] > hi+1e-12) {
				t.Fatalf("%g outside %g…%g", one[i], lo, hi)
			}
			lighter[i] = g[i] + (1-g[i])*rng.Float64()
		}
		for i, r := range f.Over(lighter) {
			if r < f.Over(g)[i]-1e-13 {
				t.Fatal("a lighter ground made the film darker")
			}
		}
		h := randomFilm(rng)
		if (Stack{Ground: g, Films: []Film{f, h}}).Reflectance() != (Stack{Ground: g, Films: []Film{h, f}}).Reflectance() {
			orderMattered = true
		}
	}
	if !orderMattered {
		t.Error("the order of films never mattered")
	}
}

// Law: numbers stay within 0…1 however thick, clear or black the film.
func TestExtremeFilms(t *testing.T) {
	for _, k := range []float64{0, 1e-300, 1e-12, 1e-4, 1, 1e3, 1e8} {
		for _, v := range []float64{0, 1e-300, 1e-12, 1e-4, 1, 1e3, 1e8} {
			for _, g := range []float64{0, 0.5, 1} {
				if r := over(k, v, g); !(r >= 0 && r <= 1+1e-12) {
					t.Errorf("K %g S %g over %g: %g", k, v, g, r)
				}
			}
			if r0, tr := pane(k, v); !(r0 >= 0 && tr >= 0 && r0+tr <= 1+1e-12) {
				t.Errorf("K %g S %g: R0 %g, T %g", k, v, r0, tr)
			}
		}
	}
}

// Law: uneven films average to no lighter a colour than even ones when they
// lighten, and the slices of a gamma distribution average 1.
func TestUneven(t *testing.T) {
	f := Film{K: colour.Spectrum(Even(0.05)), S: colour.Spectrum(Even(2)), X: 1}
	even := Stack{Ground: Even(0.04), Films: []Film{f}}
	last := even.Reflectance()[0]
	for _, cv := range []Unevenness{Sprayed, Brushed, Canvas, Pile} {
		r := Uneven(even, cv)[0]
		if r >= last {
			t.Errorf("unevenness %g: %g is not darker than %g", cv, r, last)
		}
		last = r
		mean, square := 0.0, 0.0
		for _, x := range gammaSlices(float64(cv)) {
			mean += x / gammaParts
			square += x * x / gammaParts
		}
		near(t, "mean of the slices", mean, 1, 1e-9)
		// Eight slices hold most of the spread; what is inside them is lost.
		if got := math.Sqrt(square - 1); got > float64(cv) || got < 0.85*float64(cv) {
			t.Errorf("spread of the slices %g, want nearly %g", got, cv)
		}
	}
	if Uneven(even, 0) != even.Reflectance() {
		t.Error("an even film differs from the stack")
	}
}

// The published example of an absorbent ground: 0.50 wets to 0.314, 0.20 to
// 0.127, 0.80 to 0.631 (design papers, from Lekner and Dorf's algebra).
func TestWetted(t *testing.T) {
	for dry, wet := range map[float64]float64{0.5: 0.314, 0.2: 0.127, 0.8: 0.631} {
		near(t, "wet", Wetted(Even(dry))[0], wet, 5e-4)
	}
}

// Laws of fluorescent films: with no yield they are the scalar film, and give
// no more photons than they take; a white base outshines a black one.
func TestGlowLaws(t *testing.T) {
	for _, d := range DyeClasses() {
		dark := d.Glow
		dark.Dye.Yield = 0
		base := Even(0.3)
		var b44 colour.FluorescentSpectrum
		for i := range b44 {
			b44[i] = 0.3
		}
		look := dark.Coats(2).Over(b44)
		for i := range colour.Bands {
			j := i + bands - colour.Bands
			k := (dark.Strength*dark.Dye.Excitation[j] + dark.Host[j]) * 2
			near(t, d.Name+" without yield", look.r[j][j], over(k, dark.Scatter[j]*2, base[i]), 1e-7)
		}
		lit := d.Glow.Coats(2)
		for j := range bands {
			sum := 0.0
			for i := range bands {
				sum += lit.r[i][j] + lit.t[i][j]
			}
			if sum > 1+1e-9 {
				t.Errorf("%s gives %g photons for one", d.Name, sum)
			}
		}
		d65 := colour.D65()
		white, black := lit.Over(FluorescentWhite()).Under(d65).Y, lit.Over(fluorescentBase("black4")).Under(d65).Y
		if white <= black {
			t.Errorf("%s: Y %g over white, %g over black", d.Name, white, black)
		}
	}
}

// Laws of a fluorescent paint made from a label: its hue over white is the
// swatch's, one coat gives the stated share of the full colour, and no number
// of coats is more vivid than the full one.
func TestFluorescentPaintKeepsItsLabel(t *testing.T) {
	d65 := colour.D65()
	white := FluorescentWhite()
	for _, c := range []struct {
		hex   string
		peak  Figure
		share float64
	}{{"#FF5A50", Know(600), 0.8}, {"#E8F53A", Figure{}, 0.7}, {"#FF8A2A", Figure{}, 0.75}} {
		swatch, err := colour.FromHex(c.hex)
		if err != nil {
			t.Fatal(err)
		}
		p, err := OfFluorescent(swatch, c.peak, Know(c.share))
		if err != nil {
			t.Fatal(err)
		}
		xyz := func(n float64) colour.XYZ { return p.Coat.Coats(n).Over(white).Under(d65) }
		full := xyz(p.Full)
		near(t, c.hex+" share of one coat", 1-apart(xyz(1), full)/apart(xyz(0), full), c.share, 0.01)
		vivid := full.Lab(d65.White()).LCh()
		for n := 0.5; n < 2*p.Full; n += 0.5 {
			if l := xyz(n).Lab(d65.White()).LCh(); l.C > vivid.C+0.5 {
				t.Errorf("%s: %g coats are more vivid (C* %.1f) than full (%.1f at %.1f)", c.hex, n, l.C, vivid.C, p.Full)
			}
		}
		if far := math.Abs(turn(vivid.H, swatch.Lab().LCh().H)); far > 4 {
			t.Errorf("%s: hue over white %.0f°, swatch %.0f°", c.hex, vivid.H, swatch.Lab().LCh().H)
		}
	}
}

// inBox says whether a chromaticity lies in a convex box of four corners, in
// either sense of turning.
func inBox(x, y float64, r row) bool {
	var side float64
	for i := range 4 {
		j := (i + 1) % 4
		n := func(c string, k int) float64 { return r.num(c + string(rune('1'+k))) }
		cross := (n("x", j)-n("x", i))*(y-n("y", i)) - (n("y", j)-n("y", i))*(x-n("x", i))
		if side*cross < 0 {
			return false
		}
		if cross != 0 {
			side = cross
		}
	}
	return true
}

// Plausibility, not prediction: the usual dyes were placed so that paints over
// white meet the boxes of high-visibility clothing in daylight (yellow and
// orange-red at 1 to 6 coats, red from 2), and without their glow they fail
// the least luminance. Each row of the file says how far its corners were
// checked; the ones used here were read in a table of the 1994 family or are
// recalled.
func TestHighVisibilityBoxes(t *testing.T) {
	rows := reference(t, "optics/fluor_highvis_boxes.csv")
	light := tabulatedLight(t, "D65")
	for _, c := range []struct {
		class, edition, colour string
		from                   int
	}{
		{"yellow", "EN471:1994", "fluorescent yellow", 1},
		{"orange-red", "EN471:2003", "fluorescent orange-red", 1},
		{"red", "EN471:2003", "fluorescent red", 2},
	} {
		var box row
		for _, r := range rows {
			if r.cell["colour"] == c.colour && len(r.cell["edition"]) >= len(c.edition) && r.cell["edition"][:len(c.edition)] == c.edition {
				box = r
			}
		}
		for _, d := range DyeClasses() {
			if d.Name != c.class {
				continue
			}
			for n := c.from; n <= 6; n++ {
				x, _ := light.see(d.Glow.Coats(float64(n)).Over(FluorescentWhite()))
				sum := x.X + x.Y + x.Z
				if !inBox(x.X/sum, x.Y/sum, box) || x.Y < box.num("beta_min") {
					t.Errorf("%s, %d coats: x %.3f y %.3f Y %.2f outside its box", c.class, n, x.X/sum, x.Y/sum, x.Y)
				}
			}
			dull := d.Glow
			dull.Dye.Yield = 0
			if x, _ := light.see(dull.Coats(3).Over(FluorescentWhite())); x.Y >= box.num("beta_min") {
				t.Errorf("%s passes without its glow: Y %.2f", c.class, x.Y)
			}
		}
	}
}
