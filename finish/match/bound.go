package match

import (
	"math"

	"undercoat/palette/colour"
)

// goal is the colour a search is after, with what its bounds need. Weights are
// those of daylight; white is theirs.
type goal struct {
	lab     colour.Lab
	chroma  float64
	white   colour.XYZ
	x, y, z colour.Spectrum
}

func newGoal(lab colour.Lab) goal {
	d65 := colour.D65()
	g := goal{lab: lab, chroma: math.Hypot(lab.A, lab.B), white: d65.White()}
	g.x, g.y, g.z = d65.Weights()
	return g
}

func (g *goal) difference(x colour.XYZ) float64 { return colour.Difference(g.lab, x.Lab(g.white)) }

// nearest returns a lower bound of ΔE00 to the goal over every colour whose
// tristimulus values lie in the box low…high. It never exceeds the true
// minimum; it is close where the box is small.
//
// With S_L ≤ 1.7473, S_H ≤ S_C, and the cross term bounded by |R_T| ≤ 1.7321:
//
//	ΔE00² ≥ (ΔL/1.7473)² + 0.1339 (Δa² + Δb²) / (1 + 0.045 C)²
//
// where C is 1.5 times the mean of the two largest chromas possible (a' is at
// most 1.5 a). Derived from ISO/CIE 11664-6.
func (g *goal) nearest(low, high colour.XYZ) float64 {
	f := func(t, w float64) float64 { return labF(t / w) }
	xl, xh := f(low.X, g.white.X), f(high.X, g.white.X)
	yl, yh := f(low.Y, g.white.Y), f(high.Y, g.white.Y)
	dl := gap(g.lab.L, 116*yl-16, 116*yh-16)
	lightness := dl / 1.7473
	zl, zh := f(low.Z, g.white.Z), f(high.Z, g.white.Z)
	al, ah := 500*(xl-yh), 500*(xh-yl)
	bl, bh := 200*(yl-zh), 200*(yh-zl)
	da, db := gap(g.lab.A, al, ah), gap(g.lab.B, bl, bh)
	if da == 0 && db == 0 {
		return lightness
	}
	far := math.Hypot(math.Max(math.Abs(al), math.Abs(ah)), math.Max(math.Abs(bl), math.Abs(bh)))
	sc := 1 + 0.045*1.5*(g.chroma+far)/2
	return math.Sqrt(lightness*lightness + 0.1339*(da*da+db*db)/(sc*sc))
}

// gap is how far x lies outside low…high.
func gap(x, low, high float64) float64 {
	if x < low {
		return low - x
	}
	if x > high {
		return x - high
	}
	return 0
}

// labF is the cube-root function of CIELAB.
func labF(t float64) float64 {
	if t > 216.0/24389 {
		return math.Cbrt(t)
	}
	return (24389.0/27*t + 16) / 116
}
