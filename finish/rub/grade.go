package rub

import (
	"fmt"
	"math"
	"strings"

	"undercoat/palette/colour"
)

// Grade is a step of the grey scales in halves: 2 is grade 1, 9 is grade 4-5,
// 10 is grade 5, the best. The zero value is no grade.
type Grade int

// The least and the best grade.
const (
	Worst Grade = 2
	Best  Grade = 10
)

// String writes a grade as the scales do: "4" or "4-5".
func (g Grade) String() string {
	switch {
	case g < Worst || g > Best:
		return "no grade"
	case g%2 == 0:
		return fmt.Sprint(int(g) / 2)
	}
	return fmt.Sprintf("%d-%d", int(g)/2, int(g)/2+1)
}

// ParseGrade reads "4" or "4-5".
func ParseGrade(s string) (Grade, error) {
	for g := Worst; g <= Best; g++ {
		if g.String() == strings.TrimSpace(s) {
			return g, nil
		}
	}
	return 0, fmt.Errorf("grade %q: expected 1, 1-2, 2 … 4-5 or 5", s)
}

// Scale names which grey scale a grade belongs to.
type Scale string

// The two grey scales.
const (
	StainingScale Scale = "staining" // on the adjacent cloth, ISO 105-A03 and A04
	ChangeScale   Scale = "change"   // of the specimen itself, ISO 105-A02 and A05
)

// Rating is a graded pair of colours.
type Rating struct {
	Scale  Scale
	DE     float64 // ΔE*ab of the pair
	GS     float64 // the standard's weighted difference: ΔE_GS (A04) or ΔE_F (A05)
	Rating float64 // continuous rating; A04 may fall below 1, A05 does not
	Grade  Grade
}

// Staining grades the staining of an adjacent cloth, clean against stained.
// Equal colours give grade 5.
//
// Source: ISO 105-A04 (EN ISO 105-A04:1999, clause 6); natural logarithm.
func Staining(clean, stained colour.Lab) Rating {
	dL := stained.L - clean.L
	dE := colour.Difference76(clean, stained)
	gs := dE - 0.4*math.Sqrt(max(dE*dE-dL*dL, 0)) // clause 6.6
	ssr := 5 - 0.23*gs
	if gs > 0 {
		if s := 6.1 - 1.45*math.Log(gs); s <= 4 {
			ssr = s
		}
	}
	return Rating{Scale: StainingScale, DE: dE, GS: gs, Rating: ssr, Grade: stainingClass(ssr)}
}

// stainingClass puts a rating, rounded to two decimals, into its class: 5.00
// to 4.75 is grade 5, 4.74 to 4.25 is 4-5, and so on down to 1.
func stainingClass(ssr float64) Grade {
	r := math.Round(ssr*100) / 100
	for g := Best; g > Worst; g-- {
		if r >= float64(g)/2-0.25 {
			return g
		}
	}
	return Worst
}

// Change grades the change in colour of a specimen, before against after.
//
// Source: ISO 105-A05 (EN ISO 105-A05:1997, clauses 7 and 8).
func Change(before, after colour.Lab) Rating {
	o, t := before.LCh(), after.LCh()
	dL, dC := after.L-before.L, t.C-o.C
	dE := colour.Difference76(before, after)
	dH := math.Copysign(math.Sqrt(max(dE*dE-dL*dL-dC*dC, 0)), turn(o.H, t.H))
	cM, hM := (o.C+t.C)/2, meanHue(o.H, t.H)
	x := min(math.Abs(hM-280), 360-math.Abs(hM-280)) / 30
	d := dC * cM * math.Exp(-x*x) / 100
	dCF := (dC - d) / (1 + sq(20*cM/1000))
	dHF := (dH - d) / (1 + sq(10*cM/1000))
	dEF := math.Sqrt(dL*dL + dCF*dCF + dHF*dHF)
	return Rating{Scale: ChangeScale, DE: dE, GS: dEF, Rating: changeRating(dEF), Grade: changeClass(dEF)}
}

// turn is the signed way from one hue to another, the short way round.
func turn(from, to float64) float64 {
	d := to - from
	if math.Abs(d) > 180 {
		d = -d
	}
	return d
}

// meanHue is the mean of two hues in degrees, the short way round.
func meanHue(a, b float64) float64 {
	m := (a + b) / 2
	switch {
	case math.Abs(a-b) <= 180:
		return m
	case a+b < 360:
		return m + 180
	}
	return m - 180
}

// changeRating is the continuous rating of clause 8, not below 1.
func changeRating(dEF float64) float64 {
	if dEF <= 3.4 {
		return 5 - dEF/1.7
	}
	return max(1, 5-math.Log2(dEF/0.85))
}

// changeLimits are the upper limits of ΔE_F for grades 5, 4-5, … 1-2.
var changeLimits = [...]float64{0.40, 1.25, 2.10, 2.95, 4.10, 5.80, 8.20, 11.60}

func changeClass(dEF float64) Grade {
	for i, limit := range changeLimits {
		if dEF < limit {
			return Best - Grade(i)
		}
	}
	return Worst
}

func sq(x float64) float64 { return x * x }
