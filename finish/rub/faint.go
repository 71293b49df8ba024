package rub

import (
	"fmt"
	"math"
)

// From what size a fault of the clean cloth is minded, as a share of the light,
// and how many of its own standard deviations it must measure; judgement.
const (
	faintShare = 0.02
	faintSure  = 4.0
)

// faint is what the clean cloth on both sides of a stain shows that one lamp does
// not: by what share it darkens towards the stain on both sides, and by what share
// one side is darker than the other beyond the slope of the light. The zero value
// is nothing. With clean cloth on one side alone neither can be told from light.
type faint struct{ inwards, apart float64 }

// most is the larger of both.
func (f faint) most() float64 { return max(f.inwards, f.apart) }

// doubts says what was found, one sentence each.
func (f faint) doubts() []string {
	var out []string
	if f.inwards > 0 {
		out = append(out, fmt.Sprintf("the clean parts darken towards the stain by about %.0f %% on both sides, which one lamp does not do: they seem to hold faint stain, so the grade may be worse; mark cloth farther off", 100*f.inwards))
	}
	if f.apart > 0 {
		out = append(out, fmt.Sprintf("the two clean sides differ by about %.0f %% more than the slope of the light tells: one may hold faint stain or shadow, so the grade may be worse; mark cloth that is clean", 100*f.apart))
	}
	return out
}

// faintStain looks for faint stain in the clean readings by least squares: the
// logarithm of the green is a level, a slope, a bend about the stain and a step
// between the sides. A lamp gives slope and a bend that is lighter near its foot;
// the mean slope of both sides of such a surface is the slope from one to the other,
// which leaves the step to the cloth.
func (p ClothPhoto) faintStain() faint {
	xs, ys := share(p.Stained, func(r Reading) float64 { return r.X }), share(p.Stained, func(r Reading) float64 { return r.Y })
	side := func(r Reading) float64 { return math.Copysign(0.5, r.X-xs) }
	if spreadOf(p.Clean, func(r Reading) float64 { return r.Y }) > spreadOf(p.Clean, func(r Reading) float64 { return r.X }) {
		side = func(r Reading) float64 { return math.Copysign(0.5, r.Y-ys) }
	}
	const terms = 5
	var a [terms][terms]float64
	var b [terms]float64
	row := func(r Reading) [terms]float64 {
		x, y := r.X-xs, r.Y-ys
		return [terms]float64{1, x, y, x*x + y*y, side(r)}
	}
	right := 0
	for _, r := range p.Clean {
		v, _, _ := logs(r.RGB)
		t := row(r)
		for i := range t {
			b[i] += t[i] * v
			for j := range t {
				a[i][j] += t[i] * t[j]
			}
		}
		if t[4] > 0 {
			right++
		}
	}
	if n := len(p.Clean); n < terms+leastReadings || right < leastReadings || n-right < leastReadings {
		return faint{}
	}
	inverse, ok := invert(a)
	if !ok {
		return faint{}
	}
	var fit [terms]float64
	for i := range fit {
		for j := range fit {
			fit[i] += inverse[i][j] * b[j]
		}
	}
	var sum float64
	near, far := math.Inf(1), 0.0
	for _, r := range p.Clean {
		v, _, _ := logs(r.RGB)
		t := row(r)
		for i := range t {
			v -= fit[i] * t[i]
		}
		sum += v * v
		near, far = min(near, t[3]), max(far, t[3])
	}
	noise := max(leastNoise, math.Sqrt(sum/float64(len(p.Clean)-terms)))
	size := func(i int, times float64) float64 {
		s := math.Abs(fit[i]) * times
		if s < faintShare || math.Abs(fit[i]) < faintSure*noise*math.Sqrt(inverse[i][i]) {
			return 0
		}
		return s
	}
	f := faint{apart: size(4, 1)}
	if f.apart < math.Abs(fit[3])*(far-near) {
		f.apart = 0 // light that bends so much may differ by as much from one side to the other
	}
	if fit[3] > 0 {
		f.inwards = size(3, far-near)
	}
	return f
}

func spreadOf(rs []Reading, at func(Reading) float64) float64 {
	low, high := math.Inf(1), math.Inf(-1)
	for _, r := range rs {
		low, high = min(low, at(r)), max(high, at(r))
	}
	return high - low
}

// invert is Gauss and Jordan's, with the largest pivot of the column; not ok
// where the readings do not tell the terms apart.
func invert(a [5][5]float64) (inv [5][5]float64, ok bool) {
	for i := range inv {
		inv[i][i] = 1
	}
	for c := range a {
		pivot := c
		for i := c; i < len(a); i++ {
			if math.Abs(a[i][c]) > math.Abs(a[pivot][c]) {
				pivot = i
			}
		}
		a[c], a[pivot], inv[c], inv[pivot] = a[pivot], a[c], inv[pivot], inv[c]
		d := a[c][c]
		if math.Abs(d) < 1e-12 {
			return inv, false
		}
		for j := range a {
			a[c][j], inv[c][j] = a[c][j]/d, inv[c][j]/d
		}
		for i := range a {
			if k := a[i][c]; i != c {
				for j := range a {
					a[i][j], inv[i][j] = a[i][j]-k*a[c][j], inv[i][j]-k*inv[c][j]
				}
			}
		}
	}
	return inv, true
}
