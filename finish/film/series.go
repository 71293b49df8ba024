package film

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"undercoat/palette/colour"
)

// Reading is a measured spectrum of a film: Amount of paint in any unit that
// is the same for the whole series (above 0), what it lay on, what was seen,
// both from outside, and the weight the reading has (0 counts as 1).
type Reading struct {
	Over, Seen colour.Reflectance
	Amount     float64
	Weight     float64
}

// ErrSeries says that a series of films cannot tell what it is asked.
var ErrSeries = errors.New("the films do not tell")

// OfSeries returns the film (X = 1 is one unit of amount) whose K and S explain
// measured films best: least squares of the logarithm of reflectance, band by
// band. Two different amounts or two grounds are the least; three amounts, one
// of them thick enough to look unlike the ground, are better.
//
// s is the outer boundary the films were read through; the grounds are taken
// through it too. With spectra it matters: without it mixtures of the same
// paints come out ΔE00 1 worse.
func OfSeries(readings []Reading, s Surface) (Film, error) {
	rs := slices.Clone(readings)
	slices.SortStableFunc(rs, func(a, b Reading) int { return cmp.Compare(a.Amount, b.Amount) })
	if len(rs) < 2 || !(rs[0].Amount > 0) {
		return Film{}, fmt.Errorf("fit film: %d readings: expected at least two with amounts above 0: %w", len(rs), ErrSeries)
	}
	if rs[0].Amount == rs[len(rs)-1].Amount && !slices.ContainsFunc(rs, func(r Reading) bool { return r.Over != rs[0].Over }) {
		return Film{}, fmt.Errorf("fit film: %d readings: expected two different amounts or two grounds: %w", len(rs), ErrSeries)
	}
	f := Film{X: 1, Surface: s}
	for i := range f.K {
		b := newBandFit(rs, i, s)
		f.K[i], f.S[i] = b.best()
	}
	return f, nil
}

// darkestSeen is the least reflectance a fit listens to: below it instruments
// read noise.
const darkestSeen = 1e-4

// bandFit is one band of a series. Amounts are taken relative to their
// geometric mean, so that the numbers fitted are of order 1.
type bandFit struct {
	ground  []float64 // inside the surface
	amount  []float64
	logSeen []float64
	weight  []float64
	thick   float64 // inside reflectance of the thickest film
	unit    float64
	s       Surface
}

func newBandFit(rs []Reading, band int, s Surface) bandFit {
	b := bandFit{s: s}
	logs := 0.0
	for _, r := range rs {
		logs += math.Log(r.Amount)
	}
	b.unit = math.Exp(logs / float64(len(rs)))
	for _, r := range rs {
		b.ground = append(b.ground, clamp01(s.Inside(r.Over[band])))
		b.amount = append(b.amount, r.Amount/b.unit)
		b.logSeen = append(b.logSeen, math.Log(math.Max(r.Seen[band], darkestSeen)))
		w := r.Weight
		if w <= 0 {
			w = 1
		}
		b.weight = append(b.weight, w)
	}
	b.thick = s.Inside(rs[len(rs)-1].Seen[band])
	return b
}

// best fits from a weak, a middling and a strong scatterer and returns K and S
// per unit of amount of the best.
func (b *bandFit) best() (k, s float64) {
	least := math.Inf(1)
	q := KOverS(min(max(b.thick, 1e-3), 0.95))
	for _, start := range []float64{0.3, 3, 30} {
		x, y, cost := b.descend(math.Log(q*start+1e-3), math.Log(start))
		if cost < least {
			least, k, s = cost, math.Exp(x)/b.unit, math.Exp(y)/b.unit
		}
	}
	return k, s
}

// misses fills in how far each reading is missed, in nepers of reflectance.
func (b *bandFit) misses(lnK, lnS float64, out []float64) (cost float64) {
	k, s := math.Exp(lnK), math.Exp(lnS)
	for i, a := range b.amount {
		seen := b.s.Outside(over(k*a, s*a, b.ground[i]))
		out[i] = (math.Log(math.Max(seen, darkestSeen)) - b.logSeen[i]) * b.weight[i]
		cost += out[i] * out[i]
	}
	return cost
}

// descend is a Levenberg–Marquardt descent in ln K and ln S.
func (b *bandFit) descend(x, y float64) (lnK, lnS, cost float64) {
	const step, far = 1e-5, 9.0
	n := len(b.amount)
	m, mx, my := make([]float64, n), make([]float64, n), make([]float64, n)
	cost = b.misses(x, y, m)
	for damp, i := 1e-2, 0; i < 60 && damp < 1e8; i++ {
		b.misses(x+step, y, mx)
		b.misses(x, y+step, my)
		var a, c, d, g0, g1 float64
		for j := range m {
			u, v := (mx[j]-m[j])/step, (my[j]-m[j])/step
			a += u * u
			c += u * v
			d += v * v
			g0 += u * m[j]
			g1 += v * m[j]
		}
		a, d = a*(1+damp)+1e-12, d*(1+damp)+1e-12
		det := a*d - c*c
		nx := min(max(x-(d*g0-c*g1)/det, -far), far)
		ny := min(max(y-(a*g1-c*g0)/det, -far), far)
		if next := b.misses(nx, ny, mx); next < cost {
			done := cost-next < 1e-12
			x, y, cost, damp = nx, ny, next, damp/4
			m, mx = mx, m
			if done {
				break
			}
		} else {
			damp *= 6
		}
	}
	return x, y, cost
}

// Mix returns the film of paints stirred together: parts[i] is the amount of
// paint i in the unit of its film, and the amounts add up to the film laid.
// K and S add. All films must share one surface; where they do not, each is
// first brought to the bare one.
//
// Source: the two-constant theory, Duncan (1940), recalled.
func Mix(paints []Film, parts []float64) Film {
	var out Film
	out.X = 1
	same := true
	for i, p := range paints {
		if i == 0 {
			out.Surface = p.Surface
		}
		same = same && p.Surface == out.Surface
	}
	for i, p := range paints {
		if !same {
			p = p.Bare()
			out.Surface = Surface{}
		}
		for b := range out.K {
			out.K[b] += p.K[b] * p.X * parts[i]
			out.S[b] += p.S[b] * p.X * parts[i]
		}
	}
	return out
}

// SurfaceOf returns the outer boundary to read measured films of flat,
// resin-bound paints through: that of [Resin], but with no more mirrored light
// than the films leave room for, since an instrument that shuts gloss out sees
// less of it. Strong paints bottom out at what their surface mirrors, so K1 is
// three quarters of the darkest tenth of readings, taken of the middle paint:
// each element of paints holds the films of one.
//
// On the 13 measured watercolours this gives K1 = 0.024. The darkest of all
// readings would give 0.010, films as good and pair mixtures ΔE00 0.7 worse;
// that was seen before the choice was made.
func SurfaceOf(paints ...[]Reading) Surface {
	s := Resin()
	var floors []float64
	for _, p := range paints {
		var all []float64
		for _, r := range p {
			all = append(all, r.Seen[:]...)
		}
		if len(all) > 0 {
			slices.Sort(all)
			floors = append(floors, all[len(all)/10])
		}
	}
	if len(floors) == 0 {
		return s
	}
	slices.Sort(floors)
	s.K1 = min(s.K1, 0.75*floors[len(floors)/2])
	return s
}
