package film

import (
	"math"
	"testing"

	"undercoat/palette/colour"
)

// asColour is what a maker knows of a masstone: its colour in daylight, not its
// spectrum. Screens cannot show all of the pigments, so it is not a hex.
func asColour(t testing.TB, r colour.Reflectance) colour.Colour {
	t.Helper()
	c, _ := colour.FromLab(colour.D65().Lab(r), colour.Measured)
	return c
}

// atContrast returns the film of a pigment at which the card shows a contrast
// ratio, and whether there is one.
func atContrast(f Film, c float64) (Film, bool) {
	d65 := colour.D65()
	contrast := func(x float64) float64 {
		f.X = x
		return d65.XYZ(f.Over(Even(CardBlack))).Y / d65.XYZ(f.Over(Even(CardWhite))).Y
	}
	lo, hi := 1e-3, 1e4
	if contrast(lo) > c || contrast(hi) < c {
		return f, false
	}
	for range 60 {
		mid := math.Sqrt(lo * hi)
		if contrast(mid) < c {
			lo = mid
		} else {
			hi = mid
		}
	}
	f.X = lo
	return f, true
}

// layerGrounds are the grounds of the accuracy table: black, white, grey and a
// colour.
func layerGrounds(t testing.TB) []colour.Reflectance {
	c, err := colour.FromHex("#8A3B2E")
	if err != nil {
		t.Fatal(err)
	}
	return []colour.Reflectance{Even(0.03), Even(0.85), Even(0.2), c.Reflectance()}
}

// The accuracy table of the design papers, layers: model truth of 19 published
// pigments, 24 cases each (4 grounds, ½ to 4 films), from masstone colour and a
// contrast ratio. The papers' prototype had mean 3.0, 1.8, 0.9 and p90 6.6,
// 3.6, 1.9; the assertion leaves a fifth for other grounds and films.
func TestAccuracyOfLayers(t *testing.T) {
	for _, c := range []struct{ contrast, mean, p90 float64 }{{0.70, 3.0, 6.6}, {0.85, 1.8, 3.6}, {0.95, 0.9, 1.9}} {
		var diff []float64
		for _, p := range pigments(t) {
			truth, ok := atContrast(p.Film, c.contrast)
			if !ok {
				continue
			}
			guess, err := OfPaint(Known{Swatch: asColour(t, truth.Masstone()), Contrast: Know(c.contrast)})
			if err != nil {
				t.Fatal(err)
			}
			diff = append(diff, layerErrors(t, truth, guess)...)
		}
		got := spreadOfAll(diff)
		t.Logf("contrast ratio %.2f, %d cases: %v", c.contrast, len(diff), got)
		if got.mean > 1.2*c.mean || got.p90 > 1.2*c.p90 {
			t.Errorf("contrast ratio %.2f: %v, want mean %.1f, p90 %.1f", c.contrast, got, c.mean, c.p90)
		}
	}
}

func layerErrors(t testing.TB, truth Film, guess Paint) (diff []float64) {
	for _, g := range layerGrounds(t) {
		for _, n := range []float64{0.5, 1, 1.5, 2, 3, 4} {
			a := colour.D65().Lab(truth.Coats(n).Over(g))
			b := colour.D65().Lab(guess.On(SideOf(g)).Coats(n).Over(g))
			diff = append(diff, colour.Difference(a, b))
		}
	}
	return diff
}

// Not in the papers: the two hiding shares of a card, to two decimals, in one
// film of half the reference thickness, against the contrast ratio of the same
// film, also to two decimals. Two figures have to beat one.
func TestAccuracyOfHidingFigures(t *testing.T) {
	var shares, contrast []float64
	d65 := colour.D65()
	for _, p := range pigments(t) {
		truth := p.Film.Coats(6)
		rounded := func(v float64) Figure { return Know(min(max(math.Round(100*v)/100, 0.01), 0.99)) }
		swatch := asColour(t, truth.Masstone())
		black, white := Even(CardBlack), Even(CardWhite)
		for _, k := range []struct {
			Known
			into *[]float64
		}{
			{Known{Swatch: swatch, HidingBlack: rounded(Hiding(truth, black)), HidingWhite: rounded(Hiding(truth, white))}, &shares},
			{Known{Swatch: swatch, Contrast: rounded(d65.XYZ(truth.Over(black)).Y / d65.XYZ(truth.Over(white)).Y)}, &contrast},
		} {
			guess, err := OfPaint(k.Known)
			if err != nil {
				t.Fatal(err)
			}
			*k.into = append(*k.into, layerErrors(t, truth, guess)...)
		}
	}
	s, c := spreadOfAll(shares), spreadOfAll(contrast)
	t.Logf("two hiding shares, %d cases: %v", len(shares), s)
	t.Logf("contrast ratio of the same films: %v", c)
	if s.mean >= c.mean || s.median >= c.median {
		t.Errorf("hiding shares %v are no better than a contrast ratio %v", s, c)
	}
}

// Mixtures from colour and contrast ratio, model truth: mixing is not to be
// trusted from a colour alone. The papers' prototype had means of 9–12 with white
// and 5–8 between two colours; the test holds us to about that.
func TestAccuracyOfMixtures(t *testing.T) {
	all := pigments(t)
	guess := func(f Film) (Film, bool) {
		at, ok := atContrast(f, 0.85)
		if !ok {
			return f, false
		}
		p, err := OfPaint(Known{Swatch: asColour(t, at.Masstone()), Contrast: Know(0.85)})
		if err != nil {
			t.Fatal(err)
		}
		g := p.Coat
		g.X = 1 / at.X // per unit of the truth's amount
		return g, true
	}
	d65 := colour.D65()
	var withWhite, coloured []float64
	for i, p := range all {
		gp, ok := guess(p.Film)
		if !ok {
			continue
		}
		for j, q := range all {
			gq, ok := guess(q.Film)
			if !ok || j <= i && q.Index != "PW6" || p.Index == "PW6" {
				continue
			}
			for _, share := range []float64{0.125, 0.25, 0.5, 0.75} {
				a := d65.Lab(Mix([]Film{p.Film, q.Film}, []float64{share, 1 - share}).Masstone())
				b := d65.Lab(Mix([]Film{gp, gq}, []float64{share, 1 - share}).Masstone())
				if q.Index == "PW6" {
					withWhite = append(withWhite, colour.Difference(a, b))
				} else {
					coloured = append(coloured, colour.Difference(a, b))
				}
			}
		}
	}
	w, c := spreadOfAll(withWhite), spreadOfAll(coloured)
	t.Logf("with white, %d mixtures: %v", len(withWhite), w)
	t.Logf("two colours, %d mixtures: %v", len(coloured), c)
	if w.mean > 12 || c.mean > 8.5 {
		t.Errorf("with white %v, two colours %v", w, c)
	}
}

// One tint of 1:9 with white turns mixtures with white from a guess into an
// answer: masstone and tint as colours only, model truth of the published
// pigments; the papers' prototype had means of 0.9 to 2.4.
func TestTintFixesStrength(t *testing.T) {
	all := pigments(t)
	white := all[len(all)-1].Film
	for _, p := range all {
		if p.Index == "PW6" {
			white = p.Film
		}
	}
	colourOnly := func(r colour.Reflectance) colour.Reflectance { return asColour(t, r).Reflectance() }
	var diff []float64
	d65 := colour.D65()
	// The white itself is known as the prototype had it: its spectrum, S = 1.
	for _, p := range all {
		if p.Index == "PW6" {
			continue
		}
		tint := Mix([]Film{p.Film, white}, []float64{0.1, 0.9}).Masstone()
		f, err := OfTint(colourOnly(p.Film.Masstone()), colourOnly(tint), white, 0.1)
		if err != nil {
			t.Errorf("%s: %v", p.Name, err)
			continue
		}
		for _, share := range []float64{0.03, 0.1, 0.25, 0.5, 0.75} {
			a := d65.Lab(Mix([]Film{p.Film, white}, []float64{share, 1 - share}).Masstone())
			b := d65.Lab(Mix([]Film{f, white}, []float64{share, 1 - share}).Masstone())
			diff = append(diff, colour.Difference(a, b))
		}
	}
	got := spreadOfAll(diff)
	t.Logf("masstone and 1:9 tint, %d mixtures with white: %v", len(diff), got)
	if got.mean > 3.5 {
		t.Errorf("%v, want a mean of 2.4 or little more", got)
	}
	if _, err := OfTint(all[0].Film.Masstone(), Even(0.9), white, 1.5); err == nil {
		t.Error("a share above 1 is taken")
	}
}
