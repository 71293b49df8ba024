package colour

import (
	"math"
	"sync"
)

// A lower bound of ΔE00 between a colour and every colour of a box.
//
// With ΔL′, ΔC′, ΔH′ the differences, S_L, S_C, S_H the scales and R_T the
// rotation of CIEDE2000, and with x = ΔC′/S_C, y = ΔH′/S_H:
//
//  1. x² + y² + R_T·x·y ≥ (1 − |R_T|/2)·(x² + y²), since 2|xy| ≤ x² + y².
//  2. ΔC′² + ΔH′² = ((1+G)Δa)² + Δb² =: D², the law of cosines: both colours
//     are stretched by the same 1+G.
//  3. T ≤ 1 + 0.17 + 0.24 + 0.32 + 0.20 = 1.93, so S_H ≤ 1 + 0.02895·C̄′ ≤ S_C.
//  4. By 2 and 3: x² + y² ≥ D²/S_C² + max(0, D² − ΔC′max²)·(1/S_H² − 1/S_C²),
//     since ΔH′² ≥ D² − ΔC′max².
//  5. S_L, S_C and the bound on S_H grow with |L̄−50| and C̄′, 1+G and hence D
//     fall with C̄*: each is taken at the end of its range in the box that
//     makes the whole smallest. C′ lies between C* and (1+G)C*.
//  6. |R_T|/2 = √(C̄′⁷/(C̄′⁷+25⁷))·sin(60°·exp(−((h̄′−275°)/25°)²)) is taken at the
//     greatest C̄′ and the mean hue nearest to 275°. Hues lie in the range that
//     1 ≤ 1+G ≤ 1.5 allows. If the two hues may be opposite, any mean hue is
//     allowed. The distance is measured round the circle, which is never more
//     than the formula's own.
//
// Thus ΔE00² ≥ (ΔL′/S_L)² + (1 − |R_T|/2)·(the right side of 4).

// extent is what the bound knows of a set of colours.
type extent struct {
	low, high             Lab     // the smallest box
	chromaLow, chromaHigh float64 // range of C*
	hue                   arc     // of (1+G)a*, b*
}

// arc is a range of hue angles: centre ± half, degrees. Half 180 is all hues.
type arc struct{ centre, half float64 }

var allHues = arc{0, 180}

func extentOf(labs []Lab) extent {
	inf := math.Inf(1)
	e := extent{low: Lab{inf, inf, inf}, high: Lab{-inf, -inf, -inf}, chromaLow: inf}
	for _, l := range labs {
		e.low = Lab{min(e.low.L, l.L), min(e.low.A, l.A), min(e.low.B, l.B)}
		e.high = Lab{max(e.high.L, l.L), max(e.high.A, l.A), max(e.high.B, l.B)}
		c := math.Sqrt(l.A*l.A + l.B*l.B)
		e.chromaLow, e.chromaHigh = min(e.chromaLow, c), max(e.chromaHigh, c)
	}
	e.hue = hueRange(e.low.A, e.high.A, e.low.B, e.high.B)
	return e
}

// hueRange returns the hues of all (s·a, b) with a and b in their ranges and s
// in 1…1.5: all hues where the neutral axis may be among them.
func hueRange(a0, a1, b0, b1 float64) arc {
	const slack = 1e-9 // degrees, over rounding
	a0, a1 = min(a0, 1.5*a0), max(a1, 1.5*a1)
	if a0 <= 0 && a1 >= 0 && b0 <= 0 && b1 >= 0 {
		return allHues
	}
	middle := degrees((a0+a1)/2, (b0+b1)/2)
	low, high := 0.0, 0.0
	for _, c := range [4][2]float64{{a0, b0}, {a0, b1}, {a1, b0}, {a1, b1}} {
		d := turn(degrees(c[0], c[1]) - middle)
		low, high = min(low, d), max(high, d)
	}
	return arc{middle + (low+high)/2, (high-low)/2 + slack}
}

// turn brings an angle into −180…180 degrees; it may be off by whole turns of
// less than three.
func turn(d float64) float64 {
	for d > 180 {
		d -= 360
	}
	for d < -180 {
		d += 360
	}
	return d
}

// widest returns the axis on which the box is longest, as an eye sees it.
func (e *extent) widest() int {
	scale := 1 / (1 + 0.045*(e.chromaLow+e.chromaHigh)/2)
	l, a, b := e.high.L-e.low.L, (e.high.A-e.low.A)*scale, (e.high.B-e.low.B)*scale
	switch {
	case l >= a && l >= b:
		return 0
	case a >= b:
		return 1
	default:
		return 2
	}
}

// view is a colour from which boxes are looked at.
type view struct {
	lab    Lab
	chroma float64
	hue    arc
	shares *shareTable
}

func viewFrom(l Lab) view {
	return view{l, math.Sqrt(l.A*l.A + l.B*l.B), hueRange(l.A, l.A, l.B, l.B), shares()}
}

// bound returns a lower bound of the ΔE00 from v to any colour of e.
func (v *view) bound(e *extent) float64 {
	const slack = 1 - 1e-9 // over rounding
	stretchLow := 1.5 - 0.5*v.shares.above((v.chroma+e.chromaHigh)/2)
	stretchHigh := 1.5 - 0.5*v.shares.below((v.chroma+e.chromaLow)/2)
	chromaMean := stretchHigh * (v.chroma + e.chromaHigh) / 2 // the greatest C̄′

	dl := gap(v.lab.L, e.low.L, e.high.L)
	da := gap(v.lab.A, e.low.A, e.high.A) * stretchLow
	db := gap(v.lab.B, e.low.B, e.high.B)
	distance := da*da + db*db // D²

	l := max(math.Abs((v.lab.L+e.low.L)/2-50), math.Abs((v.lab.L+e.high.L)/2-50))
	l *= l
	sl := 1 + 0.015*l/math.Sqrt(20+l)
	sc := 1 + 0.045*chromaMean
	sum := distance / (sc * sc)
	dc := max(stretchHigh*e.chromaHigh-v.chroma, stretchHigh*v.chroma-e.chromaLow)
	if rest := distance - dc*dc; rest > 0 {
		sh := 1 + 0.015*1.93*chromaMean
		sum += rest * (1/(sh*sh) - 1/(sc*sc))
	}
	sum *= 1 - v.shares.above(chromaMean)*v.shares.turning(meanArc(v.hue, e.hue))
	return math.Sqrt(dl*dl/(sl*sl)+sum) * slack
}

// gap is the distance of x from a range, 0 within it.
func gap(x, low, high float64) float64 {
	switch {
	case x < low:
		return low - x
	case x > high:
		return x - high
	default:
		return 0
	}
}

// meanArc returns all mean hues of a hue of p and a hue of q, by the shorter
// side; all hues where two of them may be opposite.
func meanArc(p, q arc) arc {
	apart := turn(q.centre - p.centre)
	half := p.half + q.half
	if math.Abs(apart)+half >= 180 {
		return allHues
	}
	return arc{p.centre + apart/2, half / 2}
}

// shareTable holds the two slow functions of the bound at whole steps; both
// are monotone, so that the step above or below is on the safe side.
type shareTable struct {
	chroma [257]float64 // chromaShare by half units of chroma, the last 1
	away   [181]float64 // sin(60°·exp(−(d/25)²)) by degrees from 275°
}

var shares = sync.OnceValue(func() *shareTable {
	t := new(shareTable)
	for i := range t.chroma {
		t.chroma[i] = chromaShare(float64(i) / 2)
	}
	t.chroma[len(t.chroma)-1] = 1
	for d := range t.away {
		u := float64(d) / 25
		t.away[d] = math.Sin(math.Pi / 3 * math.Exp(-u*u))
	}
	return t
})

// above returns at least chromaShare(c).
func (t *shareTable) above(c float64) float64 {
	return t.chroma[int(min(2*c+1, float64(len(t.chroma)-1)))]
}

// below returns at most chromaShare(c).
func (t *shareTable) below(c float64) float64 {
	return t.chroma[int(min(2*c, float64(len(t.chroma)-2)))]
}

// turning returns at least the sine of the rotation for any hue of a.
func (t *shareTable) turning(a arc) float64 {
	away := math.Abs(turn(a.centre-275)) - a.half
	if away <= 0 {
		return t.away[0]
	}
	return t.away[int(away)]
}
