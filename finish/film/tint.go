package film

import (
	"fmt"
	"slices"

	"undercoat/palette/colour"
)

// OfTint returns a paint's film from its masstone and from a tint: share (0…1,
// by amount) of it stirred into a white whose film is known. The tint tells
// how strong the paint is against the white, band by band, which its own
// colour cannot; K and S come out per the white's unit of amount, X = 1,
// without an outer surface. The tint itself is then right by construction.
//
// From (1−c)·(Kw − t·Sw) + c·S·(q − t) = 0 with t and q the K/S of tint and
// masstone. A band whose tint is no step on the way from white to masstone
// takes the middle scattering of those that are; when none is, or the share is
// not between 0 and 1, the error wraps [ErrFigures].
//
// Source: the two-constant theory, Duncan (1940), recalled.
func OfTint(masstone, tint colour.Reflectance, white Film, share float64) (Film, error) {
	if !(share > 0 && share < 1) {
		return Film{}, fmt.Errorf("film from tint: share %g: expected between 0 and 1: %w", share, ErrFigures)
	}
	white = white.Bare()
	q, t := ratios(masstone), ratios(tint)
	var good []float64
	f := Film{X: 1}
	for i := range f.S {
		s := (1 - share) * (t[i]*white.S[i] - white.K[i]) * white.X / (share * (q[i] - t[i]))
		if s > 0 && q[i] > t[i] {
			f.S[i] = s
			good = append(good, s)
		}
	}
	if len(good) == 0 {
		return Film{}, fmt.Errorf("film from tint: the tint does not lie between white and masstone: %w", ErrFigures)
	}
	slices.Sort(good)
	middle := good[len(good)/2]
	for i := range f.S {
		if f.S[i] == 0 {
			f.S[i] = middle
		}
		f.K[i] = q[i] * f.S[i]
	}
	return f, nil
}
