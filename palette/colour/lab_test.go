package colour

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
)

// Conversions against vectors on which two general colour libraries agree.
// XYZ, Lab (D65) and OKLab are printed to 8 decimals: 6e-9. Lab (D50) comes by
// linear Bradford adaptation and is printed to 4, since the libraries carry
// the white of D50 with other digits: 1e-4, as the header says; its white is
// x = 0.3457, y = 0.3585.
func TestLibraryVectors(t *testing.T) {
	d50 := fromChromaticity(0.3457, 0.3585, 1)
	for _, r := range reference(t, "lib_vectors_srgb.csv") {
		c := DecodeSRGB8(uint8(r.figure(t, "R")), uint8(r.figure(t, "G")), uint8(r.figure(t, "B")))
		what := "vector " + r["id"]
		x := c.XYZ()
		near(t, what+" X", x.X, r.figure(t, "X_d65"), 6e-9)
		near(t, what+" Y", x.Y, r.figure(t, "Y_d65"), 6e-9)
		near(t, what+" Z", x.Z, r.figure(t, "Z_d65"), 6e-9)
		nearLab(t, what+" D65", c.Lab(), r.lab(t, "L_d65", "a_d65", "b_d65"), 6e-9)
		nearLab(t, what+" D50", Adapt(x, screenWhite, d50).Lab(d50), r.lab(t, "L_d50", "a_d50", "b_d50"), 1e-4)
		o := x.OKLab()
		nearLab(t, what+" OKLab", Lab(o), r.lab(t, "ok_L", "ok_a", "ok_b"), 6e-9)
	}
}

// There and back: every conversion is the inverse of its other half.
func TestConversionsRoundTrip(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 1))
	for range 20000 {
		l := mixedLab(r)
		white := []XYZ{screenWhite, D50().White(), A().White()}[r.IntN(3)]
		nearLab(t, "XYZ", l.XYZ(white).Lab(white), l, 1e-9)
		nearLab(t, "LCh", l.LCh().Lab(), l, 1e-9)
		nearLab(t, "linear RGB", l.LinearRGB().Lab(), l, 1e-9)
		x := l.XYZ(screenWhite)
		nearXYZ(t, "OKLab", x.OKLab().XYZ(), x, 1e-9)
		nearXYZ(t, "adaptation", Adapt(Adapt(x, screenWhite, white), white, screenWhite), x, 1e-9)
		if t.Failed() {
			t.Fatalf("at %v", l)
		}
	}
	for _, c := range []Lab{{}, {50, 0, 0}, {50, -3, 0}, {50, 3, -1e-320}, {50, 0, -7}} {
		if h := c.LCh().H; !(h >= 0 && h < 360) {
			t.Errorf("%v: hue %v, expected 0 up to 360", c, h)
		}
	}
	if got := (XYZ{}).Lab(screenWhite); got != (Lab{}) {
		t.Errorf("no light: found %v, expected black", got)
	}
}

// White goes to white, and adaptation to the same white changes nothing.
func TestAdapt(t *testing.T) {
	for _, from := range []XYZ{screenWhite, D50().White(), A().White()} {
		for _, to := range []XYZ{screenWhite, D50().White(), A().White()} {
			nearXYZ(t, "white", Adapt(from, from, to), to, 1e-12)
			if x := (XYZ{0.2, 0.3, 0.1}); from == to && Adapt(x, from, to) != x {
				t.Errorf("same white: %v changed", x)
			}
		}
	}
}

// All 16.7 million colours are three channels apart: each step of a channel
// comes back as itself, grey has no hue, and hex says the same.
func TestScreenRoundTrip(t *testing.T) {
	for v := range 256 {
		c := DecodeSRGB8(uint8(v), uint8(255-v), uint8(v/2))
		if r, g, b := EncodeSRGB8(c); int(r) != v || int(g) != 255-v || int(b) != v/2 {
			t.Errorf("step %d: came back as %d %d %d", v, r, g, b)
		}
		slow := DecodeSRGB(float64(v)/255, 0, 0)
		near(t, fmt.Sprintf("table at %d", v), c.R, slow.R, 0)
		hex := fmt.Sprintf("#%02x%02x%02x", v, 255-v, v/2)
		if got := c.Lab().LinearRGB().Hex(); got != hex {
			t.Errorf("%s: came back through Lab as %s", hex, got)
		}
		grey := DecodeSRGB8(uint8(v), uint8(v), uint8(v)).Lab()
		near(t, hex+" grey a*", grey.A, 0, 1e-12)
		near(t, hex+" grey b*", grey.B, 0, 1e-12)
	}
}

func TestScreenLimits(t *testing.T) {
	for _, c := range []struct {
		c         LinearRGB
		hex       string
		in, limit bool
	}{
		{LinearRGB{1.2, -0.1, 0.5}, "#ff00bc", false, true}, // the library would wrap to #32e780
		{LinearRGB{math.Inf(1), math.Inf(-1), math.NaN()}, "#ff0000", false, true},
		{LinearRGB{1, 1, 1}, "#ffffff", true, true},
		{LinearRGB{}, "#000000", true, true},
		{LinearRGB{0.5, 0.5, 0.5}, "#bcbcbc", true, false},
		{LinearRGB{1 + 1e-9, 0.5, 0.5}, "#ffbcbc", true, true},
		{LinearRGB{0.98, 0.5, 0.5}, "#fdbcbc", true, false},
		{LinearRGB{0.5, 0.0001, 0.5}, "#bc00bc", true, true},
	} {
		if got := c.c.Hex(); got != c.hex {
			t.Errorf("%v: hex %s, expected %s", c.c, got, c.hex)
		}
		if got := c.c.InScreen(); got != c.in {
			t.Errorf("%v: in screen %v, expected %v", c.c, got, c.in)
		}
		if got := AtScreenLimit(c.c); got != c.limit {
			t.Errorf("%v: at the screen's limit %v, expected %v", c.c, got, c.limit)
		}
	}
}

func BenchmarkLab(b *testing.B) {
	i := uint32(0)
	for b.Loop() {
		i = i*1664525 + 1013904223
		DecodeSRGB8(uint8(i>>24), uint8(i>>16), uint8(i>>8)).Lab()
	}
}
