package colour

import (
	_ "embed"
	"math"
	"sync"
)

//go:embed data/pointer_surface_gamut.csv
var pointerCSV string

// pointerTable holds the largest C*ab of real surfaces by L* (15…90 by 5) and
// hue angle (0…350 by 10 degrees), illuminant C.
type pointerTable [16][36]float64

var pointerLimits = sync.OnceValue(func() *pointerTable {
	rows := readTable("pointer", pointerCSV)
	t := new(pointerTable)
	for i := range rows.rows {
		l, h := int(rows.number(i, 0)), int(rows.number(i, 2))
		t[(l-15)/5][h/10] = rows.number(i, 1)
	}
	return t
})

// BeyondSurface says whether a colour (D65) lies beyond the colours found on
// real surfaces: paints, plastics, prints, cloth of 1980, none fluorescent. It
// is brought to illuminant C and compared with the largest chroma at its
// lightness and hue, on straight lines between the tabulated ones. Where the
// table ends, the limit stays level below L* 15, so that no near black is
// suspected, and runs to grey above 90. A near neutral (C* up to 2) is a
// surface colour at any L* from 0 to 100. What lies beyond needs a fluorescent,
// or was read from a picture that glows. NaN is not beyond.
//
// Source: Pointer (1980), Color Res. Appl. 5, 145.
func BeyondSurface(l Lab) bool {
	const neutral, slack = 2, 1e-6
	c := toIlluminantC(l).LCh()
	if c.L > -slack && c.L < 100+slack {
		return c.C > max(SurfaceChroma(c.L, c.H), neutral)
	}
	return !math.IsNaN(c.L)
}

// toIlluminantC carries a D65 colour to illuminant C.
func toIlluminantC(l Lab) Lab {
	c := lightC().White()
	return Adapt(l.XYZ(screenWhite), screenWhite, c).Lab(c)
}

// SurfaceChroma returns the largest C*ab of real surfaces at a lightness and
// hue angle in degrees, both under illuminant C; 0 at and beyond L* 0 and 100,
// NaN for a hue that is no number.
//
// Source: Pointer (1980).
func SurfaceChroma(lightness, hue float64) float64 {
	t := pointerLimits()
	hue = math.Mod(math.Mod(hue, 360)+360, 360) / 10
	if math.IsNaN(hue) {
		return hue
	}
	h := min(int(hue), 35)
	at := func(row int) float64 {
		return t[row][h] + (hue-float64(h))*(t[row][(h+1)%36]-t[row][h])
	}
	const first, last = 15, 90
	switch {
	case !(lightness > 0 && lightness < 100):
		return 0
	case lightness < first:
		return at(0)
	case lightness >= last:
		return at(15) * (100 - lightness) / (100 - last)
	default:
		row := (lightness - first) / 5
		r := int(row)
		return at(r) + (row-float64(r))*(at(r+1)-at(r))
	}
}
