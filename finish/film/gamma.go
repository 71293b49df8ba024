package film

import (
	"math"
	"sync"
)

// gammaParts is the number of equally likely thicknesses that stand for an uneven
// film.
const gammaParts = 8

var gammaTables sync.Map // float64 cv → [gammaParts]float64

// gammaSlices returns the mean thickness in each of eight equally likely
// slices of a gamma distribution with mean 1 and coefficient of variation cv.
// Their mean is 1.
func gammaSlices(cv float64) [gammaParts]float64 {
	if t, ok := gammaTables.Load(cv); ok {
		return t.([gammaParts]float64)
	}
	shape := 1 / (cv * cv)
	var out [gammaParts]float64
	below, edge := 0.0, 0.0
	for i := range out {
		var upto float64
		if i == gammaParts-1 {
			upto = 1
		} else {
			edge = gammaQuantile(shape, float64(i+1)/gammaParts, edge)
			upto = gammaP(shape+1, edge)
		}
		// The mean of a slice a…b of probability 1/n is n·(P(k+1,b) − P(k+1,a)).
		out[i] = gammaParts * (upto - below)
		below = upto
	}
	gammaTables.Store(cv, out)
	return out
}

// gammaQuantile returns x with P(a, x) = p by bisection, x not below from.
func gammaQuantile(a, p, from float64) float64 {
	lo, hi := from, math.Max(a, 1)
	for gammaP(a, hi) < p {
		hi *= 2
	}
	for range 60 {
		mid := (lo + hi) / 2
		if gammaP(a, mid) < p {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2
}

// gammaP returns the regularised lower incomplete gamma function P(a, x).
//
// Source: series and continued fraction of Abramowitz and Stegun 6.5.29 and
// 6.5.31.
func gammaP(a, x float64) float64 {
	if x <= 0 {
		return 0
	}
	lg, _ := math.Lgamma(a)
	front := math.Exp(-x + a*math.Log(x) - lg)
	if x < a+1 {
		term, sum := 1/a, 1/a
		for n := a + 1; math.Abs(term) > 1e-15*math.Abs(sum); n++ {
			term *= x / n
			sum += term
		}
		return sum * front
	}
	const tiny = 1e-300
	b := x + 1 - a
	c, d := 1/tiny, 1/b
	h := d
	for i := 1.0; i < 500; i++ {
		an := -i * (i - a)
		b += 2
		d = 1 / notZero(an*d+b, tiny)
		c = notZero(b+an/c, tiny)
		del := d * c
		h *= del
		if math.Abs(del-1) < 1e-15 {
			break
		}
	}
	return 1 - front*h
}

func notZero(x, tiny float64) float64 {
	if math.Abs(x) < tiny {
		return tiny
	}
	return x
}
