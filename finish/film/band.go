package film

import "math"

// thin is the optical depth p = √(k(k+2v)) below which the tanh branch of the
// film formula is used; above it the exponential branch loses no digits.
const thin = 0.5

// depth returns p = √(k(k+2v)), the b·S·X of the textbooks, of a film that
// absorbs k = KX and scatters v = SX.
func depth(k, v float64) float64 { return math.Sqrt(k * (k + 2*v)) }

// tanhc returns tanh(p)/p, 1 at 0.
func tanhc(p float64) float64 {
	if p < 1e-4 {
		p2 := p * p
		return 1 - p2/3 + 2*p2*p2/15
	}
	return math.Tanh(p) / p
}

// over returns the reflectance factor of a film with absorption k = KX and
// scattering v = SX (both 0 or more) on a backing of reflectance g (0…1).
//
// Neither K nor S is divided by, so K = 0 (lossless), S = 0 (a clear dye) and
// both 0 (nothing there: g) need no special case, and thick films tend to
// R∞ without overflow.
//
// Source: the hyperbolic solution of Kubelka (1948) rewritten in two branches;
// derived from Kubelka and Munk (1931).
func over(k, v, g float64) float64 {
	u, p := k+v, depth(k, v)
	if p < thin {
		t := tanhc(p)
		return (g + t*(v-u*g)) / (1 + t*(u-v*g))
	}
	r := v / (u + p) // R∞
	e := math.Exp(-2 * p)
	return (r*(1-r*g) + e*(g-r)) / ((1 - r*g) + e*r*(g-r))
}

// pane returns the reflectance r0 of a film over ideal black and its
// transmittance t, both diffuse; the film sends back r0 + t²g/(1−r0·g) over g.
func pane(k, v float64) (r0, t float64) {
	u, p := k+v, depth(k, v)
	if p < thin {
		c := tanhc(p)
		d := 1 + u*c
		return v * c / d, 1 / (math.Cosh(p) * d)
	}
	r := v / (u + p)
	e := math.Exp(-2 * p)
	d := 1 - r*r*e
	return r * (1 - e) / d, math.Exp(-p) * (1 - r*r) / d
}

// Infinite returns R∞, the reflectance factor of a film too thick for its
// backing to matter, from q = K/S (0 or more): 1 for q = 0, 0 for q = +Inf.
func Infinite(q float64) float64 {
	if math.IsInf(q, 1) {
		return 0
	}
	return 1 / (1 + q + math.Sqrt(q*(q+2)))
}

// KOverS returns q = K/S of a film whose thick reflectance factor is r
// (0…1): the inverse of [Infinite]. r = 0 gives +Inf.
//
// Source: Kubelka and Munk (1931).
func KOverS(r float64) float64 {
	if r <= 0 {
		return math.Inf(1)
	}
	return (1 - r) * (1 - r) / (2 * r)
}
