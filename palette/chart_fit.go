package palette

import (
	"math"

	"undercoat/palette/colour"
)

// expansion turns linear RGB into the terms that a correction weighs.
type expansion int

const (
	plainTerms expansion = iota // r, g, b: a 3 × 3 matrix
	rootTerms                   // r, g, b, √rg, √gb, √rb: root-polynomial of degree 2
)

func (e expansion) String() string {
	if e == rootTerms {
		return "root-polynomial, degree 2"
	}
	return "3 × 3 matrix"
}

// count is the number of terms.
func (e expansion) count() int {
	if e == rootTerms {
		return 6
	}
	return 3
}

// of returns the terms of a colour. All of them scale with the light, so a
// correction fitted in one light holds at any exposure.
//
// Source: Finlayson, Mackiewicz, Hurlbert (2015), IEEE Trans. Image Process. 24,
// equation (9).
func (e expansion) of(c colour.LinearRGB) [6]float64 {
	t := [6]float64{c.R, c.G, c.B}
	if e == rootTerms {
		r, g, b := max(c.R, 0), max(c.G, 0), max(c.B, 0)
		t[3], t[4], t[5] = math.Sqrt(r*g), math.Sqrt(g*b), math.Sqrt(r*b)
	}
	return t
}

// chartCorrection maps linear RGB as photographed to linear sRGB.
type chartCorrection struct {
	terms expansion
	m     [3][6]float64 // a row a channel
}

func (c chartCorrection) apply(v colour.LinearRGB) colour.LinearRGB {
	t := c.terms.of(v)
	var o [3]float64
	for k := range o {
		for i, x := range t {
			o[k] += c.m[k][i] * x
		}
	}
	return colour.LinearRGB{R: o[0], G: o[1], B: o[2]}
}

// fitCorrection finds the correction that takes seen to wanted with the least
// weighted sum of squares, channel by channel. ok is false where the colours do
// not determine it. weight nil counts all alike.
//
// Source: Cheung, Westland, Connah, Ripamonti (2004), Coloration Technology 120
// (3 × 3); Finlayson, Mackiewicz, Hurlbert (2015) (root-polynomial).
func fitCorrection(e expansion, seen, wanted []colour.LinearRGB, weight []float64) (c chartCorrection, ok bool) {
	n := e.count()
	var a [6][9]float64 // normal equations, three right-hand sides
	for i, v := range seen {
		w := 1.0
		if weight != nil {
			w = weight[i]
		}
		t := e.of(v)
		for j := range n {
			for k := range n {
				a[j][k] += w * t[j] * t[k]
			}
			a[j][n] += w * t[j] * wanted[i].R
			a[j][n+1] += w * t[j] * wanted[i].G
			a[j][n+2] += w * t[j] * wanted[i].B
		}
	}
	if !eliminate(&a, n) {
		return c, false
	}
	c.terms = e
	for k := range 3 {
		for j := range n {
			c.m[k][j] = a[j][n+k]
		}
	}
	return c, true
}

// eliminate solves n equations with three right-hand sides in place (Gauss and
// Jordan, with pivots); false for a singular system.
func eliminate(a *[6][9]float64, n int) bool {
	scale := 0.0
	for i := range n {
		scale = max(scale, math.Abs(a[i][i]))
	}
	for i := range n {
		p := i
		for j := i + 1; j < n; j++ {
			if math.Abs(a[j][i]) > math.Abs(a[p][i]) {
				p = j
			}
		}
		a[i], a[p] = a[p], a[i]
		if !(math.Abs(a[i][i]) > 1e-12*scale) {
			return false
		}
		for k := n + 2; k >= i; k-- {
			a[i][k] /= a[i][i]
		}
		for j := range n {
			if j == i || a[j][i] == 0 {
				continue
			}
			for k := n + 2; k >= i; k-- {
				a[j][k] -= a[j][i] * a[i][k]
			}
		}
	}
	return true
}
