package colour

import (
	"math"
	"sort"
	"sync"
)

// The optimal colours are the limits of what any surface that does not
// fluoresce can look like under D65: reflectances that are 0 or 1 everywhere
// and change once or twice (Schrödinger 1920, MacAdam 1935). They are computed
// here from the observer and the light at 1 nm.

// optimalSum holds the running sums of X, Y and Z of daylight from 360 nm up,
// one entry more than there are nanometres; the last is the white.
type optimalSum []XYZ

var optimalSums = sync.OnceValue(func() optimalSum {
	p := standardPower("D65")
	m := matchingFunctions()[Observer1931]
	sums := make(optimalSum, 1, observerLast-observerFirst+2)
	var t XYZ
	for nm := observerFirst; nm <= observerLast; nm++ {
		x, y, z := m.at(nm)
		power := p.at(nm)
		t = XYZ{t.X + power*x, t.Y + power*y, t.Z + power*z}
		sums = append(sums, t)
	}
	for i := range sums { // each to its part of the white of D65
		sums[i] = XYZ{sums[i].X / t.X * screenWhite.X, sums[i].Y / t.Y, sums[i].Z / t.Z * screenWhite.Z}
	}
	return sums
})

// until returns the sum up to position p, 0 to len−1, not necessarily whole.
func (s optimalSum) until(p float64) XYZ {
	i := min(int(p), len(s)-2)
	t := p - float64(i)
	a, b := s[i], s[i+1]
	return XYZ{a.X + t*(b.X-a.X), a.Y + t*(b.Y-a.Y), a.Z + t*(b.Z-a.Z)}
}

// where returns the position at which the sum of Y reaches y.
func (s optimalSum) where(y float64) float64 {
	i := sort.Search(len(s)-1, func(i int) bool { return s[i+1].Y >= y })
	if i >= len(s)-1 {
		return float64(len(s) - 1)
	}
	if d := s[i+1].Y - s[i].Y; d > 0 {
		return float64(i) + math.Max(0, math.Min(1, (y-s[i].Y)/d))
	}
	return float64(i)
}

// ring returns X and Z of the optimal colours of luminance y, 0 < y < 1, one
// for each nanometre at which the reflectance may begin, going round: a convex
// polygon. A range that runs beyond the red end goes on from the violet one,
// which leaves a gap in the middle.
func (s optimalSum) ring(y float64) [][2]float64 {
	white := s[len(s)-1]
	out := make([][2]float64, 0, len(s)-1)
	for _, from := range s[:len(s)-1] {
		var t XYZ
		if end := from.Y + y; end <= white.Y {
			to := s.until(s.where(end))
			t = XYZ{to.X - from.X, y, to.Z - from.Z}
		} else {
			to := s.until(s.where(end - white.Y))
			t = XYZ{white.X - from.X + to.X, y, white.Z - from.Z + to.Z}
		}
		out = append(out, [2]float64{t.X, t.Z})
	}
	return out
}

// InOptimal says whether any surface that does not fluoresce could have the
// colour under D65 (2°): within the optimal colours. White and black are in;
// NaN is not. A colour beyond needs a fluorescent or a lamp; a colour within
// may still be beyond all that paints and dyes reach, see [BeyondSurface].
func InOptimal(l Lab) bool {
	const slack = 1e-9
	t := l.XYZ(screenWhite)
	if !l.finite() || t.Y < -slack || t.Y > 1+slack {
		return false
	}
	switch {
	case t.Y <= slack:
		return math.Abs(t.X) <= 3*slack && math.Abs(t.Z) <= 30*slack
	case t.Y >= 1-slack:
		return math.Abs(t.X-screenWhite.X) <= 3*slack && math.Abs(t.Z-screenWhite.Z) <= 30*slack
	}
	return inside(optimalSums().ring(t.Y), t.X, t.Z)
}

// inside says whether a point lies within or on a polygon that is convex but
// for rounding: on no side of it beyond a billionth.
func inside(ring [][2]float64, x, z float64) bool {
	left, right := false, false
	for i, p := range ring {
		q := ring[(i+1)%len(ring)]
		dx, dz := q[0]-p[0], q[1]-p[1]
		cross := dx*(z-p[1]) - dz*(x-p[0])
		if edge := 1e-9 * math.Hypot(dx, dz); cross > edge {
			left = true
		} else if cross < -edge {
			right = true
		}
	}
	return !(left && right)
}

// OptimalChroma returns the largest C*ab that a surface of the given lightness
// and hue angle (degrees) can have under D65 without fluorescing, to 0.001; 0
// at and beyond L* 0 and 100.
//
// Source: computed; Schrödinger (1920), MacAdam (1935).
func OptimalChroma(lightness, hue float64) float64 {
	if !(lightness > 0 && lightness < 100) {
		return 0
	}
	low, high := 0.0, 400.0
	for high-low > 0.001 {
		c := (low + high) / 2
		if InOptimal(LCh{lightness, c, hue}.Lab()) {
			low = c
		} else {
			high = c
		}
	}
	return low
}
