package colour

import (
	"cmp"
	"math"
	"slices"
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
	for i := range sums {
		sums[i] = turnedTo(sums[i], t.LinearRGB())
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
		return float64(i) + max(0, min(1, (y-s[i].Y)/d))
	}
	return float64(i)
}

// ring returns X and Z of the optimal colours of luminance y, 0 < y < 1, going
// round: a polygon, convex but for the last bends of the observer at both ends
// of the spectrum. It has a corner for every nanometre at which the reflectance
// may begin and one for every nanometre at which it may end: at the violet end
// a single nanometre of green or red weighs as much as all the violet. A range
// that runs beyond the red end goes on from the violet one, which leaves a gap
// in the middle.
func (s optimalSum) ring(y float64) [][2]float64 {
	type corner struct {
		begin float64
		at    [2]float64
	}
	last := len(s) - 1
	corners := make([]corner, 0, 2*last)
	for i, sum := range s[:last] {
		begin := float64(i)
		corners = append(corners, corner{begin, s.between(begin, s.where(wrapped(sum.Y+y)))})
		begin = s.where(wrapped(sum.Y - y))
		corners = append(corners, corner{begin, s.between(begin, float64(i))})
	}
	slices.SortStableFunc(corners, func(a, b corner) int { return cmp.Compare(a.begin, b.begin) })
	out := make([][2]float64, len(corners))
	for i, c := range corners {
		out[i] = c.at
	}
	return out
}

// wrapped brings a sum of Y onto 0…1, by whole turns.
func wrapped(y float64) float64 { return y - math.Floor(y) }

// between returns X and Z of the reflectance that is 1 from one position to
// another, on past the red end from the violet one if that lies before it.
func (s optimalSum) between(begin, end float64) [2]float64 {
	p, q := s.until(begin), s.until(end)
	x, z := q.X-p.X, q.Z-p.Z
	if end < begin {
		white := s[len(s)-1]
		x, z = x+white.X, z+white.Z
	}
	return [2]float64{x, z}
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

// inside says whether a point lies within a polygon: whether a ray from it
// towards greater x crosses the sides an odd number of times.
func inside(ring [][2]float64, x, z float64) bool {
	in := false
	for i, p := range ring {
		q := ring[(i+1)%len(ring)]
		if (p[1] > z) != (q[1] > z) && x < p[0]+(z-p[1])/(q[1]-p[1])*(q[0]-p[0]) {
			in = !in
		}
	}
	return in
}
