package colour

import (
	"math"
	"math/rand/v2"
	"testing"
)

// All 34 pairs of Sharma, Wu and Dalal (2005) to half the last printed digit.
func TestDifferencePublishedPairs(t *testing.T) {
	rows := oracle(t, "ciede2000_pairs.csv")
	if len(rows) != 34 {
		t.Fatalf("found %d pairs, expected 34", len(rows))
	}
	for _, r := range rows {
		a, b := r.lab(t, "L1", "a1", "b1"), r.lab(t, "L2", "a2", "b2")
		want := r.figure(t, "de00")
		near(t, "pair "+r["pair"], Difference(a, b), want, 5e-5)
		near(t, "pair "+r["pair"]+" the other way", Difference(b, a), want, 5e-5)
		near(t, "pair "+r["pair"]+" textbook", textbookDifference(a, b), want, 5e-5)
	}
}

// Pairs made by two general colour libraries that agree to 5e-14; the print
// has eight decimals.
func TestDifferenceLibraryVectors(t *testing.T) {
	for _, r := range reference(t, "lib_vectors_de00.csv") {
		a, b := r.lab(t, "L1", "a1", "b1"), r.lab(t, "L2", "a2", "b2")
		near(t, "ΔE00 of vector "+r["id"], Difference(a, b), r.figure(t, "de00"), 6e-9)
		near(t, "ΔE*ab of vector "+r["id"], Difference76(a, b), r.figure(t, "de76"), 6e-9)
	}
}

// textbookDifference is the second method: the formula as printed, with its
// angles, in degrees.
func textbookDifference(p, q Lab) float64 {
	const rad = math.Pi / 180
	c1, c2 := math.Hypot(p.A, p.B), math.Hypot(q.A, q.B)
	share := func(c float64) float64 { return math.Sqrt(math.Pow(c, 7) / (math.Pow(c, 7) + math.Pow(25, 7))) }
	g := 0.5 * (1 - share((c1+c2)/2))
	hue := func(a, b float64) float64 {
		if a == 0 && b == 0 {
			return 0
		}
		h := math.Atan2(b, a) / rad
		if h < 0 {
			h += 360
		}
		return h
	}
	a1, a2 := (1+g)*p.A, (1+g)*q.A
	c1, c2 = math.Hypot(a1, p.B), math.Hypot(a2, q.B)
	h1, h2 := hue(a1, p.B), hue(a2, q.B)
	dh, hm := h2-h1, (h1+h2)/2
	switch {
	case c1*c2 == 0:
		dh, hm = 0, h1+h2
	case math.Abs(h1-h2) <= 180+1e-12: // opposite hues in spite of rounding
	case h2 <= h1:
		dh += 360
	default:
		dh -= 360
	}
	if c1*c2 != 0 && math.Abs(h1-h2) > 180+1e-12 {
		if h1+h2 < 360 {
			hm += 180
		} else {
			hm -= 180
		}
	}
	dH := 2 * math.Sqrt(c1*c2) * math.Sin(dh/2*rad)
	cm, lm := (c1+c2)/2, (p.L+q.L)/2
	t := 1 - 0.17*math.Cos((hm-30)*rad) + 0.24*math.Cos(2*hm*rad) + 0.32*math.Cos((3*hm+6)*rad) - 0.20*math.Cos((4*hm-63)*rad)
	turning := 30 * math.Exp(-math.Pow((hm-275)/25, 2))
	sl := 1 + 0.015*math.Pow(lm-50, 2)/math.Sqrt(20+math.Pow(lm-50, 2))
	sc, sh := 1+0.045*cm, 1+0.015*cm*t
	rt := -math.Sin(2*turning*rad) * 2 * share(cm)
	l, c, h := (q.L-p.L)/sl, (c2-c1)/sc, dH/sh
	return math.Sqrt(l*l + c*c + h*h + rt*c*h)
}

// The form without angles agrees with the textbook to 1e-12 over the whole
// space and for colours that lie close together.
func TestDifferenceEqualsTextbook(t *testing.T) {
	r := rand.New(rand.NewPCG(2000, 1))
	worst := 0.0
	for range 200000 {
		p := mixedLab(r)
		q := mixedLab(r)
		if r.IntN(2) == 0 {
			q = Lab{p.L + r.NormFloat64(), p.A + r.NormFloat64(), p.B + r.NormFloat64()}
		}
		worst = math.Max(worst, math.Abs(Difference(p, q)-textbookDifference(p, q)))
	}
	near(t, "largest departure from the textbook", worst, 0, 1e-12)
	t.Logf("largest departure of 200,000 pairs: %.1e", worst)
}

// Exactly opposite hues, in every direction and length, and neutrals.
func TestDifferenceOppositeAndNeutral(t *testing.T) {
	r := rand.New(rand.NewPCG(180, 1))
	check := func(what string, p, q Lab) {
		t.Helper()
		near(t, what, Difference(p, q), textbookDifference(p, q), 1e-11)
		near(t, what+", the other way", Difference(q, p), Difference(p, q), 1e-12)
	}
	for range 2000 {
		p := mixedLab(r)
		f := math.Ldexp(1, r.IntN(5)-3) // exact, so that the hues stay exactly opposite
		check("opposite hues", p, Lab{p.L + 1, -f * p.A, -f * p.B})
		check("against a neutral", p, Lab{p.L - 3, 0, 0})
	}
	check("along a*", Lab{50, 10, 0}, Lab{50, -10, 0})
	check("along b*", Lab{50, 0, -10}, Lab{50, 0, 10})
	check("two neutrals", Lab{50, 0, 0}, Lab{55, 0, 0})
}

func TestDifferenceLaws(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 1))
	for range 20000 {
		p, q := mixedLab(r), mixedLab(r)
		if d, back := Difference(p, q), Difference(q, p); math.Abs(d-back) > 1e-12 || !(d > 0) {
			t.Fatalf("%v and %v: %v one way, %v the other", p, q, d, back)
		}
		if d := Difference(p, p); d != 0 {
			t.Fatalf("%v to itself: %v", p, d)
		}
	}
	if d := Difference(Lab{math.NaN(), 0, 0}, Lab{50, 0, 0}); !math.IsNaN(d) {
		t.Errorf("NaN: found %v, expected NaN", d)
	}
	if d := Difference76(Lab{50, 3, 0}, Lab{50, 0, 4}); d != 5 {
		t.Errorf("ΔE*ab: found %v, expected 5", d)
	}
}

// STRESS (García, Huertas, Melgosa and Cui 2007) of the formulas on visual
// data, as the header of the table gives it: ΔE*ab / ΔE00 40.1/19.2 for Leeds
// (Kim and Nobbs 1997), 33.4/19.5 for Berns and others (1991), 51.7/30.2 for
// Witt (1999). Half the last digit.
func TestDifferenceAgainstSeenDifferences(t *testing.T) {
	rows := reference(t, "colour_difference_visual.csv")
	for set, want := range map[string][2]float64{"leeds": {40.1, 19.2}, "berns1991": {33.4, 19.5}, "witt": {51.7, 30.2}} {
		var seen, ab, de00 []float64
		for _, r := range rows {
			if r["set"] == set {
				a, b := r.lab(t, "L1", "a1", "b1"), r.lab(t, "L2", "a2", "b2")
				seen = append(seen, r.figure(t, "dv"))
				ab = append(ab, Difference76(a, b))
				de00 = append(de00, Difference(a, b))
			}
		}
		near(t, set+" ΔE*ab", stress(ab, seen), want[0], 0.05)
		near(t, set+" ΔE00", stress(de00, seen), want[1], 0.05)
	}
}

// stress is the standardised residual sum of squares, in per cent.
func stress(computed, seen []float64) float64 {
	var cc, cs, ss float64
	for i := range computed {
		cc += computed[i] * computed[i]
		cs += computed[i] * seen[i]
		ss += seen[i] * seen[i]
	}
	f := cc / cs
	sum := 0.0
	for i := range computed {
		d := computed[i] - f*seen[i]
		sum += d * d
	}
	return 100 * math.Sqrt(sum/(f*f*ss))
}

func BenchmarkDifference(b *testing.B) {
	labs := mixedLabs(1024, 1)
	sum, i := 0.0, 0
	for b.Loop() {
		sum += Difference(labs[i&1023], labs[(i*7+1)&1023])
		i++
	}
	if sum == 0 {
		b.Fatal("nothing compared")
	}
}

func BenchmarkDifferenceTextbook(b *testing.B) {
	labs := mixedLabs(1024, 1)
	sum, i := 0.0, 0
	for b.Loop() {
		sum += textbookDifference(labs[i&1023], labs[(i*7+1)&1023])
		i++
	}
	if sum == 0 {
		b.Fatal("nothing compared")
	}
}
