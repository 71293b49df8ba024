package colour

import "math"

// Recover returns a plausible reflectance with the given D65 tristimulus
// values, and the ΔE00 given up where no surface can have them.
//
// Of all reflectances with that colour it takes the one whose atanh(2R−1) has
// the least squared slope over wavelength: smooth, strictly within 0…1, and of
// the usual methods the nearest to real paints and dyes. The round trip
// through D65 is exact to 1e-5 ΔE00. A colour no surface can have (a
// fluorescent, a screen's glow) is first brought to lightness 0…100, then
// drawn towards grey at that lightness until a surface can have it; givenUp
// says how far. The perfect white stops at 0.99995, ΔE00 0.0011 short, which is
// not counted. NaN gives a black reflectance and a givenUp of NaN.
//
// A recovered spectrum is one of many: under another light the true surface
// may differ from it by ΔE00 1.3 on average (19 measured paints under A).
// About 10 µs; callers that ask often for the same colour keep the result.
//
// Source: Burns (2017), arXiv 1710.05732, method LHTSS.
func Recover(t XYZ) (r Reflectance, givenUp float64) {
	asked := t.Lab(screenWhite)
	if !asked.finite() {
		return Reflectance{}, math.NaN()
	}
	if r, ok := smoothest(t.LinearRGB()); ok {
		return r, 0
	}
	r = nearestSurface(asked)
	givenUp = Difference(asked, D65().Lab(r))
	if givenUp < nothingGivenUp {
		givenUp = 0
	}
	return r, givenUp
}

const (
	whitest        = 0.99995 // reflectance of the best white handed out
	nothingGivenUp = 0.01    // ΔE00 of the promised round trip
	chromaStep     = 0.01    // chroma to which an impossible colour is bisected
)

// nearestSurface draws an impossible colour towards grey at its lightness.
func nearestSurface(asked Lab) Reflectance {
	c := asked.LCh()
	c.L = min(max(c.L, 0), 100)
	y := min(labCurveBack((c.L+16)/116), whitest)
	grey := Reflectance{}
	for i := range grey {
		grey[i] = y
	}
	best, low, high := grey, 0.0, c.C
	for high-low > chromaStep {
		c.C = (low + high) / 2
		if r, ok := smoothest(c.Lab().LinearRGB()); ok {
			best, low = r, c.C
		} else {
			high = c.C
		}
	}
	return best
}

// The search for the smoothest reflectance.
const (
	maxNewtonSteps = 60
	// newtonResidual is the largest error left in a channel of linear light,
	// and in the condition of least slope.
	newtonResidual = 1e-9
	// steepest is how far z may go: R is then within 1e-52 of 0 or 1, and the
	// search is running away.
	steepest = 60
)

// newton is the state of Burns's problem: minimise Σ(z[i+1]−z[i])² over z with
// R = (tanh z + 1)/2 subject to T·R = t, where T are the D65 weights in linear
// RGB and λ the multipliers of the three conditions.
type newton struct {
	z      [Bands]float64
	lambda [3]float64
	r      [Bands]float64 // R(z)
	slope  [Bands]float64 // dR/dz
	bend   [Bands]float64 // d²R/dz²
}

// smoothest runs Newton's method from a flat middle grey. It fails, as far as
// is known, exactly for the colours that no reflectance within 0…1 has.
func smoothest(t LinearRGB) (Reflectance, bool) {
	target := [3]float64{t.R, t.G, t.B}
	weights := screenWeights()
	var n newton
	for range maxNewtonSteps {
		n.evaluate()
		var f residual
		if n.residual(weights, &target, &f) < newtonResidual {
			return n.reflectance(), true
		}
		if !n.step(weights, &f) {
			return Reflectance{}, false
		}
	}
	return Reflectance{}, false
}

// reflectance returns R(z), kept off 0 and 1 where rounding has led there.
func (n *newton) reflectance() Reflectance {
	const edge = 1e-12
	r := Reflectance(n.r)
	for i, v := range r {
		r[i] = min(max(v, edge), 1-edge)
	}
	return r
}

// evaluate fills r, slope and bend for z. With e = exp(2z), tanh z is
// (e−1)/(e+1) and R is e/(e+1), exact also where R is tiny.
func (n *newton) evaluate() {
	for i, z := range n.z {
		e := math.Exp(2 * z)
		q := 1 / (e + 1)
		n.r[i] = e * q
		n.slope[i] = 2 * e * q * q
		n.bend[i] = -2 * n.slope[i] * (e - 1) * q
	}
}

// residual holds what has to become nought: the slope of the Lagrangian by z
// and the three conditions; pull is Tᵀλ.
type residual struct {
	z, pull [Bands]float64
	c       [3]float64
}

// residual fills f and returns its largest entry.
func (n *newton) residual(w *[Bands][3]float64, target *[3]float64, f *residual) float64 {
	f.c = [3]float64{-target[0], -target[1], -target[2]}
	worst := 0.0
	for i := range n.z {
		wi := &w[i]
		pull := wi[0]*n.lambda[0] + wi[1]*n.lambda[1] + wi[2]*n.lambda[2]
		d := 0.0
		if i > 0 {
			d += n.z[i] - n.z[i-1]
		}
		if i < Bands-1 {
			d += n.z[i] - n.z[i+1]
		}
		f.pull[i] = pull
		f.z[i] = 2*d + n.slope[i]*pull
		worst = max(worst, math.Abs(f.z[i]))
		r := n.r[i]
		f.c[0] += wi[0] * r
		f.c[1] += wi[1] * r
		f.c[2] += wi[2] * r
	}
	for _, c := range f.c {
		worst = max(worst, math.Abs(c))
	}
	return worst
}

// pinned is the band taken out of the tridiagonal part of the Newton
// equations: without it they are regular from the first step on, where the
// slope alone leaves z free to shift as a whole.
const pinned = Bands / 2

// step solves the Newton equations and moves z and λ. The 39 equations are
// tridiagonal in z but for the pinned band and the three conditions: those
// four stand in a border and are solved last. It gives up where the numbers
// run away, as they do for a colour no surface has.
func (n *newton) step(w *[Bands][3]float64, f *residual) bool {
	// Columns: 0 the pinned band, 1…3 the conditions, 4 the right-hand side.
	var x [Bands][5]float64
	var pivot [Bands]float64
	n.forward(w, f, &x, &pivot)
	var s [4][5]float64 // the border's own equations, after elimination
	n.border(w, f, &x, &s)
	b, ok := solve4(&s)
	if !ok {
		return false
	}
	for i := range n.z {
		if i != pinned {
			v := x[i]
			n.z[i] += v[4] - v[0]*b[0] - v[1]*b[1] - v[2]*b[2] - v[3]*b[3]
		}
		if !(math.Abs(n.z[i]) < steepest) {
			return false
		}
	}
	n.z[pinned] += b[0]
	n.lambda[0] += b[1]
	n.lambda[1] += b[2]
	n.lambda[2] += b[3]
	return math.Abs(n.z[pinned]) < steepest
}

// diagonal returns the entry of the Newton matrix at a band: the second slope
// of Σ(Δz)², 4 inside and 2 at the ends, and of the conditions.
func (n *newton) diagonal(f *residual, i int) float64 {
	d := 4.0
	if i == 0 || i == Bands-1 {
		d = 2
	}
	return d + n.bend[i]*f.pull[i]
}

// forward solves the tridiagonal part for all columns at once, on either side
// of the pinned band.
func (n *newton) forward(w *[Bands][3]float64, f *residual, x *[Bands][5]float64, pivot *[Bands]float64) {
	for i := range Bands {
		if i == pinned {
			continue
		}
		p := n.diagonal(f, i)
		row := [5]float64{0, n.slope[i] * w[i][0], n.slope[i] * w[i][1], n.slope[i] * w[i][2], -f.z[i]}
		if i == pinned-1 || i == pinned+1 {
			row[0] = -2
		}
		if i > 0 && i-1 != pinned {
			q := 2 / pivot[i-1] // the off-diagonal entries are −2
			p -= 2 * q
			for c := range row {
				row[c] += q * x[i-1][c]
			}
		}
		pivot[i] = p
		x[i] = row
	}
	for i := Bands - 1; i >= 0; i-- {
		if i == pinned {
			continue
		}
		q := 1 / pivot[i]
		if i < Bands-1 && i+1 != pinned {
			for c := range x[i] {
				x[i][c] = (x[i][c] + 2*x[i+1][c]) * q
			}
			continue
		}
		for c := range x[i] {
			x[i][c] *= q
		}
	}
}

// border fills the four equations that remain.
func (n *newton) border(w *[Bands][3]float64, f *residual, x *[Bands][5]float64, s *[4][5]float64) {
	s[0][0] = n.diagonal(f, pinned)
	s[0][4] = -f.z[pinned]
	for k := range 3 {
		e := n.slope[pinned] * w[pinned][k]
		s[0][k+1], s[k+1][0] = e, e
		s[k+1][4] = -f.c[k]
	}
	for c := range s[0] {
		s[0][c] += 2 * (x[pinned-1][c] + x[pinned+1][c])
	}
	for i := range Bands {
		if i == pinned {
			continue
		}
		xi := &x[i]
		for k := range 3 {
			e := n.slope[i] * w[i][k]
			for c := range xi {
				s[k+1][c] -= e * xi[c]
			}
		}
	}
}

// solve4 solves four equations given with their right-hand sides, by
// elimination with row exchange; false where they have no one answer.
func solve4(s *[4][5]float64) (x [4]float64, ok bool) {
	for c := range 4 {
		p := c
		for i := c + 1; i < 4; i++ {
			if math.Abs(s[i][c]) > math.Abs(s[p][c]) {
				p = i
			}
		}
		s[c], s[p] = s[p], s[c]
		if !(math.Abs(s[c][c]) > 0) {
			return x, false
		}
		for i := c + 1; i < 4; i++ {
			q := s[i][c] / s[c][c]
			for j := c; j < 5; j++ {
				s[i][j] -= q * s[c][j]
			}
		}
	}
	for i := 3; i >= 0; i-- {
		v := s[i][4]
		for j := i + 1; j < 4; j++ {
			v -= s[i][j] * x[j]
		}
		x[i] = v / s[i][i]
	}
	return x, true
}
