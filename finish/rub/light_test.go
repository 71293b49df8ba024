package rub

import (
	"math"
	"math/rand/v2"
	"testing"

	"undercoat/palette/colour"
)

// field makes readings of a light on the clean cloth left and right of a stain
// at 0.5, 0.33, with the scatter of a good reading.
func field(light func(x, y float64) float64, both bool, noise float64) []point {
	rng := rand.New(rand.NewPCG(1, 2))
	var ps []point
	for i := range 4 {
		for j := range 4 {
			y := 0.2 + 0.1*float64(j)
			for _, x := range []float64{0.08 + 0.06*float64(i), 0.74 + 0.06*float64(i)} {
				if x < 0.5 || both {
					ps = append(ps, point{x: x, y: y, v: light(x, y) + noise*rng.NormFloat64()})
				}
			}
		}
	}
	return ps
}

// The light at the stain is foretold within a few of its own standard
// deviations, and the doubt grows where the clean part tells less: laws first,
// then lamps whose light is known (inverse square, exponential).
func TestLightIsForetold(t *testing.T) {
	lamps := map[string]func(x, y float64) float64{
		"even":  func(_, _ float64) float64 { return -0.3 },
		"slope": func(x, y float64) float64 { return -0.4*x + 0.1*y },
		"lamp":  func(x, y float64) float64 { return -1.5 * math.Log((x-0.35)*(x-0.35)+(y-0.2)*(y-0.2)+0.64) },
	}
	for name, light := range lamps {
		two := fitLight(field(light, true, 0.003), amountVaries)
		one := fitLight(field(light, false, 0.003), amountVaries)
		want := light(0.5, 0.33)
		if off := math.Abs(two.at(0.5, 0.33) - want); off > 0.01 || off > 4*two.doubt(0.5, 0.33) {
			t.Errorf("%s, both sides: off by %.4f, doubt %.4f", name, off, two.doubt(0.5, 0.33))
		}
		if off := math.Abs(one.at(0.5, 0.33) - want); off > 4*one.doubt(0.5, 0.33) {
			t.Errorf("%s, one side: off by %.4f, doubt %.4f", name, off, one.doubt(0.5, 0.33))
		}
		if one.doubt(0.5, 0.33) < two.doubt(0.5, 0.33) || two.doubt(3, 3) < two.doubt(0.5, 0.33) {
			t.Errorf("%s: doubt %.4f with both sides, %.4f with one, %.4f far away", name, two.doubt(0.5, 0.33), one.doubt(0.5, 0.33), two.doubt(3, 3))
		}
	}
}

// A speck on the clean cloth does not pull the light.
func TestLightLeavesASpeckOut(t *testing.T) {
	ps := field(func(_, _ float64) float64 { return 0 }, true, 0.003)
	ps[5].v = -0.4
	if l := fitLight(ps, amountVaries); math.Abs(l.at(0.5, 0.33)) > 0.01 || l.noise > leastEven {
		t.Errorf("pulled to %.3f, scatter %.3f", l.at(0.5, 0.33), l.noise)
	}
}

// readings makes a photograph without weave or noise: the law that nothing but
// the colours themselves decides.
func readings(light func(x, y float64) float64, cast colour.LinearRGB, clean, stain colour.Lab) ClothPhoto {
	p := ClothPhoto{Scale: StainingScale, Known: clean, KnownFor: true}
	at := func(x, y float64, l colour.Lab) Reading {
		c, a := l.LinearRGB(), math.Exp(light(x, y))
		return Reading{X: x, Y: y, RGB: colour.LinearRGB{R: a * cast.R * c.R, G: a * cast.G * c.G, B: a * cast.B * c.B}}
	}
	for _, q := range field(light, true, 0) {
		p.Clean = append(p.Clean, at(q.x, q.y, clean))
	}
	for i := range 16 {
		p.Stained = append(p.Stained, at(0.44+0.04*float64(i%4), 0.27+0.04*float64(i/4), stain))
	}
	return p
}

// Light and cast cancel: the rating is that of the two colours measured, to a
// fiftieth of a grade, whatever falls on them.
func TestGradeDoesNotDependOnTheLight(t *testing.T) {
	clean, stain := colour.Lab{L: 95, B: 2}, colour.Lab{L: 84, A: 6, B: -4}
	want := Staining(clean, stain).Rating
	for name, light := range map[string]func(x, y float64) float64{
		"even": func(_, _ float64) float64 { return -0.5 }, "slope": func(x, y float64) float64 { return -0.4 - 0.3*x + 0.1*y },
	} {
		for _, cast := range []colour.LinearRGB{{R: 1, G: 1, B: 1}, {R: 1.05, G: 1, B: 0.8}} {
			g, err := GradeCloth(readings(light, cast, clean, stain))
			if err != nil {
				t.Fatalf("%s, %v: %v", name, cast, err)
			}
			if math.Abs(g.Rating.Rating-want) > 0.02 || g.RatingLow > want || g.RatingHigh < want {
				t.Errorf("%s, %v: %.3f (%.2f to %.2f), want %.3f", name, cast, g.Rating.Rating, g.RatingLow, g.RatingHigh, want)
			}
		}
	}
}

// Classes of continuous ratings agree with the classes of differences on both
// scales.
func TestClassOfRatings(t *testing.T) {
	grey := colour.Lab{L: 50}
	for d := 0.0; d < 20; d += 0.01 {
		for _, s := range []Scale{StainingScale, ChangeScale} {
			r := rateOn(s, grey, colour.Lab{L: 50 - d})
			if got := classOf(s, r.Rating); got != r.Grade {
				t.Fatalf("%s, ΔE %.2f: rating %.4f is class %s, grade %s", s, d, r.Rating, got, r.Grade)
			}
		}
	}
}
