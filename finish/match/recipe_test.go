package match

import (
	"errors"
	"math"
	"testing"

	"undercoat/palette/colour"
)

func TestScale(t *testing.T) {
	parts := []Part{{"T1", 0.625}, {"W1", 0.375}}
	out, err := Scale(parts, 48, demoStock(t))
	if err != nil {
		t.Fatal(err)
	}
	// One density for both, so 48 ml are 30 and 18 ml, 36 and 21.6 g by hand.
	for i, want := range []struct {
		ml, g float64
		drops int
	}{{30, 36, 600}, {18, 21.6, 360}} {
		near(t, out[i].Code+" ml", float64(out[i].Volume), want.ml, 1e-9)
		near(t, out[i].Code+" g", float64(out[i].Mass), want.g, 1e-9)
		if out[i].Drops != want.drops || !out[i].Assumed {
			t.Errorf("%+v", out[i])
		}
	}
	for _, bad := range [][]Part{nil, {{"T1", 1}, {"T1", 0}}, {{"T1", 0.5}, {"W1", 0.4}}, {{"T1", 1.5}, {"W1", -0.5}}, {{"nothing", 1}}} {
		if _, err := Scale(bad, 10, demoStock(t)); !errors.Is(err, ErrParts) && !errors.Is(err, ErrNotOnShelf) {
			t.Errorf("%v: error %v", bad, err)
		}
	}
}

// Law: a batch made too weak in one paint is corrected by more of that paint,
// about as much as is missing; parts still sum to 1 and nothing is taken away.
func TestCorrectAddsWhatIsMissing(t *testing.T) {
	stock := demoStock(t)
	predict := func(parts []Part) colour.Colour {
		pots, err := potsOfParts(parts, stock)
		if err != nil {
			t.Fatal(err)
		}
		return colour.FromReflectance(stir(pots, parts, middleSide).film.Coat.Masstone(), colour.Spectral)
	}
	target := predict([]Part{{"T1", 0.5}, {"W1", 0.5}})
	b := Batch{Parts: []Part{{"T1", 0.4}, {"W1", 0.6}}, Mass: 100}
	b.Seen = predict(b.Parts)
	c, err := Correct(b, target, nil, stock)
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("%+v", c)
	if len(c.Add) != 1 || c.Add[0].Code != "T1" {
		t.Fatalf("add %v, want T1", c.Add)
	}
	// 40 g of T1 in 60 g of W1 lack 20 g.
	near(t, "grams of T1", float64(c.Add[0].Mass), 20, 0.5)
	if c.After > 0.1 || c.Before < 2 {
		t.Errorf("ΔE00 from %.2f to %.2f", c.Before, c.After)
	}
	sum := 0.0
	for _, p := range c.Parts {
		sum += p.Share
	}
	near(t, "parts", sum, 1, 1e-12)
	near(t, "mass", float64(c.Mass), 100+float64(c.Add[0].Mass), 1e-9)

	// Nothing on offer helps a batch that is right already.
	b.Parts, b.Seen = []Part{{"T1", 0.5}, {"W1", 0.5}}, target
	if c, err = Correct(b, target, nil, stock); err != nil || len(c.Add) != 0 || math.Abs(c.After) > 1e-6 {
		t.Errorf("a right batch gets %v, ΔE00 %.3g, error %v", c.Add, c.After, err)
	}
}
