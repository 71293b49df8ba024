package keeper

import (
	"encoding/binary"
	"math"
	"testing"
)

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if math.Abs(got-want) > within {
		t.Errorf("%s: %g, want %g within %g", what, got, want, within)
	}
}

// A filled outline covers its own area; a hole drawn the other way round is
// left open.
func TestFillCoversItsArea(t *testing.T) {
	sum := func(o outline) float64 {
		s := 0.0
		for _, v := range fill(o, 1).v {
			s += float64(v)
		}
		return s
	}
	near(t, "slanted square", sum(trace("M 10.5 3.25 L 17.75 10.5 L 10.5 17.75 L 3.25 10.5")), 2*7.25*7.25, 1e-4)
	near(t, "left of the canvas", sum(trace("M -20.5 -3 L -10 -3 L -10 4 L -20.5 4")), 10.5*7, 1e-4)
	square, hole := trace("M 0 0 L 20 0 L 20 20 L 0 20"), trace("M 5 5 L 5 15 L 15 15 L 15 5")
	near(t, "square with a hole", sum(append(square, hole...)), 300, 1e-4)
	const n = 48 // an ellipse of 48 sides
	near(t, "ellipse", sum(ellipse(point{40, 30}, 20, 10, 0.4)), 20*10*n/2*math.Sin(2*math.Pi/n), 1e-3)
}

// The distance inside a square is the distance to its nearest side.
func TestDepthOfASquare(t *testing.T) {
	d := depth(fill(trace("M 0 0 L 21 0 L 21 21 L 0 21"), 2))
	near(t, "middle", float64(d.at(10, 10)), 11, 1e-6)
	near(t, "edge", float64(d.at(0, 10)), 1, 1e-6)
	near(t, "outside", float64(d.at(-1, 10)), 0, 1e-6)
}

func TestBlurKeepsTheSum(t *testing.T) {
	f := fill(trace("M 0 0 L 9 0 L 9 9 L 0 9"), 1)
	sum := 0.0
	for _, v := range f.grownBlur(3).v {
		sum += float64(v)
	}
	near(t, "sum", sum, 81, 1e-3)
}

func TestAskewMeetsTheCorners(t *testing.T) {
	from := [4]point{{0, 0}, {100, 0}, {100, 150}, {0, 150}}
	to := [4]point{{12, 8}, {105, -3}, {111, 160}, {5, 149}}
	m := askew(from, to)
	for i := range from {
		near(t, "corner", m.at(from[i]).sub(to[i]).length(), 0, 1e-9)
	}
}

// Source of the colourants: the values commonly published for these primaries
// adapted to D50 by Bradford, 4 digits; from memory.
func TestWideProfile(t *testing.T) {
	p := wideProfile()
	if int(binary.BigEndian.Uint32(p)) != len(p) || string(p[36:40]) != "acsp" {
		t.Fatalf("header: size %d of %d, signature %q", binary.BigEndian.Uint32(p), len(p), p[36:40])
	}
	want := map[string][3]float64{
		"rXYZ": {0.5151, 0.2412, -0.0011}, "gXYZ": {0.2920, 0.6922, 0.0419}, "bXYZ": {0.1571, 0.0666, 0.7841},
	}
	seen := 0
	for i := range int(binary.BigEndian.Uint32(p[128:])) {
		e := p[132+12*i:]
		at := binary.BigEndian.Uint32(e[4:])
		xyz, ok := want[string(e[:4])]
		if !ok {
			continue
		}
		for k, v := range xyz {
			seen++
			near(t, string(e[:4]), float64(int32(binary.BigEndian.Uint32(p[int(at)+8+4*k:])))/65536, v, 2e-4)
		}
	}
	if seen != 9 {
		t.Errorf("%d colourant numbers, want 9", seen)
	}
}

func TestWideRoundTrip(t *testing.T) {
	to, back := wideEncoder(), wideDecoder()
	for _, h := range []string{"#FF6A5C", "#141821", "#2A7A80", "#FDFDFB"} {
		v := to(hex(h))
		got := back(rgb{decode(v[0]), decode(v[1]), decode(v[2])})
		want := hex(h)
		near(t, h, math.Abs(got.R-want.R)+math.Abs(got.G-want.G)+math.Abs(got.B-want.B), 0, 1e-9)
	}
}
