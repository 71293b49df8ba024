package film

import (
	"math"

	"undercoat/palette/colour"
)

// refined returns the paint with its film moved to agree with trials and
// tints, each weighed by its error, and no further from what was known before than they
// ask for. Moved are the scattering, together with how thick the hand lays a
// coat, and the masstone in three broad parts of the spectrum. What is left of
// the doubts comes from the curvature at the answer.
func (p Paint) refined(trials []Trial, tints []Tint) Paint {
	if len(trials)+len(tints) == 0 {
		return p
	}
	r := refinement{paint: p, trials: trials, tints: tints}
	r.prior[0] = 1 / math.Hypot(max(p.Scatter, 0.05), p.Build)
	for i := 1; i < len(r.prior); i++ {
		r.prior[i] = 1 / masstoneDoubt(p)
	}
	at, sd := r.descend()
	q := r.moved(at)
	q.Evidence = max(q.Evidence, ByTrial)
	q.Scatter = sd[0]
	if len(trials) > 0 {
		q.Build = trialBuild
	}
	// The masstone's doubt shrinks as the broad parts of it do.
	q.Lab = p.Lab * (sd[1] + sd[2] + sd[3]) / 3 * r.prior[1]
	return q
}

// trialBuild is how much one coat of one hand differs from the next, in
// nepers, once the hand's habit is known from a trial. Judgement.
const trialBuild = 0.15

// masstoneDoubt is the standard deviation of ln K/S that a doubt of the
// masstone in ΔE stands for: ΔE 2 is about 15 % of K/S. Judgement from the
// slope of L* over ln K/S at middle lightness.
func masstoneDoubt(p Paint) float64 { return 0.075*p.Lab + 0.02 }

// moves is ln S and ln K/S of the short, middle and long waves.
type moves [4]float64

type refinement struct {
	paint  Paint
	trials []Trial
	tints  []Tint
	prior  moves // 1 / standard deviation
}

// humps are three overlapping parts of the spectrum that sum to 1 in each
// band: below 480 nm, round 550, above 620.
func hump(part int, nm float64) float64 {
	up := func(from, to float64) float64 {
		x := clamp01((nm - from) / (to - from))
		return x * x * (3 - 2*x)
	}
	switch part {
	case 0:
		return 1 - up(450, 520)
	case 1:
		return up(450, 520) - up(570, 640)
	default:
		return up(570, 640)
	}
}

// moved returns the paint with its film moved.
func (r *refinement) moved(m moves) Paint {
	p := r.paint
	s := math.Exp(m[0])
	for i := range p.Coat.S {
		nm := float64(colour.Wavelength(i))
		q := 0.0
		for part := range 3 {
			q += m[1+part] * hump(part, nm)
		}
		p.Coat.S[i] *= s
		p.Coat.K[i] *= s * math.Exp(q)
	}
	return p
}

// misses returns the residuals: three for each trial and tint, one for each
// prior.
func (r *refinement) misses(m moves) []float64 {
	p := r.moved(m)
	var out []float64
	miss := func(seen colour.Reflectance, want colour.Lab, e float64) {
		got := colour.D65().Lab(seen)
		c := 1 + 0.045*math.Hypot(want.A, want.B)
		out = append(out, (got.L-want.L)/e, (got.A-want.A)/(c*e), (got.B-want.B)/(c*e))
	}
	for _, t := range r.trials {
		f := p.On(SideOf(t.Over)).Coats(t.Coats)
		ground := f.Surface.Within(t.Over)
		miss(Stack{Ground: ground, Films: []Film{f}}.Reflectance(), t.Seen.Lab(), trialDoubt(t.Error, t.Seen))
	}
	for _, t := range r.tints {
		pot := Mix([]Film{p.Coat.Bare(), t.In.Bare()}, []float64{t.Paint, t.White})
		miss(pot.Masstone(), t.Seen.Lab(), trialDoubt(t.Error, t.Seen))
	}
	for i, v := range m {
		out = append(out, v*r.prior[i])
	}
	return out
}

// trialDoubt returns a trial's error in ΔE00: as stated, or its basis' usual
// one with what laying and reading it adds.
func trialDoubt(stated float64, seen colour.Colour) float64 {
	if stated > 0 {
		return stated
	}
	return math.Hypot(SwatchDoubt(seen.Basis()), 0.7)
}

func square(v []float64) (s float64) {
	for _, x := range v {
		s += x * x
	}
	return s
}

// descend is a Levenberg–Marquardt descent; it returns where it ended and the
// standard deviation of each move there.
func (r *refinement) descend() (at, sd moves) {
	m := r.misses(at)
	cost := square(m)
	var h [4][4]float64
	for damp, i := 1e-3, 0; i < 30 && damp < 1e8; i++ {
		var g moves
		h, g = r.slope(at, m)
		a := h
		for j := range a {
			a[j][j] *= 1 + damp
		}
		step := solve4(a, g)
		next := at
		for j := range next {
			next[j] = min(max(at[j]-step[j], -3), 3)
		}
		n := r.misses(next)
		if c := square(n); c < cost {
			done := cost-c < 1e-8*cost
			at, m, cost, damp = next, n, c, damp/5
			if done {
				break
			}
		} else {
			damp *= 6
		}
	}
	h, _ = r.slope(at, m)
	for j := range sd {
		var unit moves
		unit[j] = 1
		sd[j] = math.Sqrt(max(solve4(h, unit)[j], 0))
	}
	return at, sd
}

// slope returns JᵀJ and Jᵀm by differences.
func (r *refinement) slope(at moves, m []float64) (h [4][4]float64, g moves) {
	const step = 1e-4
	var d [4][]float64
	for j := range d {
		to := at
		to[j] += step
		d[j] = r.misses(to)
		for i := range m {
			d[j][i] = (d[j][i] - m[i]) / step
			g[j] += d[j][i] * m[i]
		}
	}
	for j := range h {
		for k := range h[j] {
			for i := range m {
				h[j][k] += d[j][i] * d[k][i]
			}
		}
	}
	return h, g
}

// solve4 solves a positive definite system of four by elimination.
func solve4(a [4][4]float64, b moves) moves {
	for c := range a {
		for i := c + 1; i < len(a); i++ {
			f := a[i][c] / a[c][c]
			for j := c; j < len(a); j++ {
				a[i][j] -= f * a[c][j]
			}
			b[i] -= f * b[c]
		}
	}
	for c := len(a) - 1; c >= 0; c-- {
		for j := c + 1; j < len(a); j++ {
			b[c] -= a[c][j] * b[j]
		}
		b[c] /= a[c][c]
	}
	return b
}
