package colour

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
)

// Pointer's own figures: a colour just within each tabulated chroma is a
// surface colour, one just beyond is not.
func TestPointerSurfaceColours(t *testing.T) {
	rows := reference(t, "pointer_surface_gamut.csv")
	if len(rows) != 576 {
		t.Fatalf("found %d entries, expected 16 lightnesses by 36 hues", len(rows))
	}
	c := lightC().White()
	for _, r := range rows {
		l, chroma, hue := r.figure(t, "L"), r.figure(t, "C"), r.figure(t, "h")
		near(t, fmt.Sprintf("L* %v, hue %v", l, hue), SurfaceChroma(l, hue), chroma, 1e-9)
		at := func(chroma float64) Lab {
			return Adapt(LCh{l, chroma, hue}.Lab().XYZ(c), c, screenWhite).Lab(screenWhite)
		}
		if BeyondSurface(at(max(0, chroma-0.1))) {
			t.Errorf("L* %v, hue %v: within the chroma %v and yet beyond", l, hue, chroma)
		}
		if chroma >= 2 && !BeyondSurface(at(chroma+0.1)) {
			t.Errorf("L* %v, hue %v: beyond the chroma %v and not so called", l, hue, chroma)
		}
	}
}

func TestSurfaceChromaBetween(t *testing.T) {
	near(t, "between two hues", SurfaceChroma(50, 45), (SurfaceChroma(50, 40)+SurfaceChroma(50, 50))/2, 1e-9)
	near(t, "over the turn", SurfaceChroma(50, 355), (SurfaceChroma(50, 350)+SurfaceChroma(50, 0))/2, 1e-9)
	near(t, "between two lightnesses", SurfaceChroma(52.5, 40), (SurfaceChroma(50, 40)+SurfaceChroma(55, 40))/2, 1e-9)
	near(t, "below the table", SurfaceChroma(7.5, 40), SurfaceChroma(15, 40), 1e-9)
	near(t, "above the table", SurfaceChroma(95, 90), SurfaceChroma(90, 90)/2, 1e-9)
	near(t, "black", SurfaceChroma(0, 40), 0, 0)
	near(t, "white", SurfaceChroma(100, 40), 0, 0)
	near(t, "hue of another turn", SurfaceChroma(50, -30), SurfaceChroma(50, 330), 1e-9)
	if !math.IsNaN(SurfaceChroma(50, math.Inf(1))) {
		t.Error("a hue without end has a chroma")
	}
	for _, l := range []Lab{{math.NaN(), 0, 0}, {50, math.NaN(), 0}, {50, 0, 0}, {}, {100, 0, 0}, {98, 0, 1.9}, {1, 1, 0}} {
		if BeyondSurface(l) {
			t.Errorf("%v is beyond surfaces", l)
		}
	}
	for _, l := range []Lab{{101, 0, 0}, {-1, 0, 0}, {99, -20, 40}, {50, 120, 0}} {
		if !BeyondSurface(l) {
			t.Errorf("%v is a surface colour", l)
		}
	}
}

// Measured cloths and chart patches are surface colours, all of them.
func TestMeasuredColoursAreSurfaceColours(t *testing.T) {
	for _, r := range reference(t, "textile_reflectance_10nm.csv") {
		if l := D65().Lab(textile(t, r)); BeyondSurface(l) || !InOptimal(l) {
			t.Errorf("%s: %v: beyond surfaces %v, within the optimal colours %v", r["name"], l, BeyondSurface(l), InOptimal(l))
		}
	}
}

// fromGrey returns the colour that lies f times as far from the grey of its
// luminance, along the straight line of light: 1 is the colour itself.
func fromGrey(t XYZ, f float64) Lab {
	grey := XYZ{t.Y * screenWhite.X, t.Y, t.Y * screenWhite.Z}
	return XYZ{grey.X + f*(t.X-grey.X), t.Y, grey.Z + f*(t.Z-grey.Z)}.Lab(screenWhite)
}

// The second method for the optimal colours: reflectances themselves. Whatever
// reflectance there is, its colour lies within; one that changes between 0 and
// 1 once or twice lies on the edge: a thousandth nearer to grey is within, a
// thousandth farther beyond. Those that begin or end beyond 400…680 nm, where the
// observer hardly changes and bends back a little, are left out of the latter.
func TestOptimalColours(t *testing.T) {
	r := rand.New(rand.NewPCG(1935, 1))
	sums := optimalSums()
	for range 2000 {
		var s Reflectance
		for i := range s {
			s[i] = math.Max(0, math.Min(1, 2*r.Float64()-0.5))
		}
		if l := D65().Lab(s); !InOptimal(l) {
			t.Fatalf("%v of a reflectance is beyond the optimal colours", l)
		}
		from, to := 40+r.IntN(281), 40+r.IntN(281)
		if from == to {
			continue
		}
		x := XYZ{sums[to].X - sums[from].X, sums[to].Y - sums[from].Y, sums[to].Z - sums[from].Z}
		if to < from { // a gap in the middle
			x = XYZ{x.X + screenWhite.X, x.Y + 1, x.Z + screenWhite.Z}
		}
		if !InOptimal(fromGrey(x, 0.999)) || InOptimal(fromGrey(x, 1.001)) {
			t.Errorf("from %d to %d nm: within %v just before the edge, %v just behind", 360+from, 360+to,
				InOptimal(fromGrey(x, 0.999)), InOptimal(fromGrey(x, 1.001)))
		}
	}
	for _, c := range []struct {
		l    Lab
		want bool
	}{
		{Lab{}, true}, {Lab{100, 0, 0}, true}, {Lab{50, 0, 0}, true}, {Lab{100, 5, 0}, false}, {Lab{101, 0, 0}, false},
		{Lab{-1, 0, 0}, false}, {Lab{0, 3, 0}, false}, {Lab{50, 200, 0}, false}, {Lab{math.NaN(), 0, 0}, false}, {Lab{math.Inf(1), 0, 0}, false},
	} {
		if got := InOptimal(c.l); got != c.want {
			t.Errorf("%v: within %v, expected %v", c.l, got, c.want)
		}
	}
}

// A colour that recovery finds a reflectance for is within the optimal colours;
// one it finds none for is beyond them, but for a margin of 5 % of the way from
// grey: its bands are 10 nm wide, the optimal colours know of 1 nm.
func TestOptimalAgreesWithRecovery(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 1))
	for range 3000 {
		x := LCh{1 + 98*r.Float64(), 150 * r.Float64(), 360 * r.Float64()}.Lab().XYZ(screenWhite)
		_, found := smoothest(x.LinearRGB())
		if found && !InOptimal(fromGrey(x, 0.9999)) {
			t.Errorf("%v: has a reflectance and is beyond the optimal colours", x.Lab(screenWhite))
		}
		if !found && InOptimal(fromGrey(x, 1.05)) {
			t.Errorf("%v: has no reflectance and is well within the optimal colours", x.Lab(screenWhite))
		}
	}
}

// A fluorescent paint as computed elsewhere (optics check values) lies beyond
// what surfaces have under D65 for every class and coat over white, and the
// yellow beyond even the optimal colours.
func TestFluorescentIsBeyondSurfaces(t *testing.T) {
	checked := 0
	for _, r := range reference(t, "optics/fluor_stack_results.csv") {
		if r["base"] != "white" || r["class"] == "blue" {
			continue
		}
		y := r.figure(t, "Y_D65")
		l := fromChromaticity(r.figure(t, "x_D65"), r.figure(t, "y_D65"), y).Lab(screenWhite)
		checked++
		if !BeyondSurface(l) {
			t.Errorf("%s, %s coats: %v is called a surface colour", r["class"], r["coats"], l)
		}
		if y > 1 && InOptimal(l) {
			t.Errorf("%s, %s coats: brighter than white and within the optimal colours", r["class"], r["coats"])
		}
	}
	if checked == 0 {
		t.Error("no row checked")
	}
}

func BenchmarkInOptimal(b *testing.B) {
	for b.Loop() {
		InOptimal(Lab{50, 20, 30})
	}
}

func BenchmarkBeyondSurface(b *testing.B) {
	for b.Loop() {
		BeyondSurface(Lab{50, 20, 30})
	}
}
