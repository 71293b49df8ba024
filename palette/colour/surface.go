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
// lightness and hue, on straight lines between the tabulated ones and towards
// grey below L* 15 and above 90, where the table ends. What lies beyond needs
// a fluorescent, or was read from a picture that glows. NaN is not beyond.
//
// Source: Pointer (1980), Color Res. Appl. 5, 145.
func BeyondSurface(l Lab) bool {
	c := toIlluminantC(l).LCh()
	return c.C > SurfaceChroma(c.L, c.H)
}

// toIlluminantC carries a D65 colour to illuminant C.
func toIlluminantC(l Lab) Lab {
	c := lightC().White()
	return Adapt(l.XYZ(screenWhite), screenWhite, c).Lab(c)
}

// SurfaceChroma returns the largest C*ab of real surfaces at a lightness and
// hue angle in degrees, both under illuminant C; 0 at and beyond L* 0 and 100.
//
// Source: Pointer (1980).
func SurfaceChroma(lightness, hue float64) float64 {
	t := pointerLimits()
	hue = math.Mod(math.Mod(hue, 360)+360, 360) / 10
	h := min(int(hue), 35)
	at := func(row int) float64 {
		return t[row][h] + (hue-float64(h))*(t[row][(h+1)%36]-t[row][h])
	}
	const first, last = 15, 90
	switch {
	case !(lightness > 0 && lightness < 100):
		return 0
	case lightness < first:
		return at(0) * lightness / first
	case lightness >= last:
		return at(15) * (100 - lightness) / (100 - last)
	default:
		row := (lightness - first) / 5
		r := int(row)
		return at(r) + (row-float64(r))*(at(r+1)-at(r))
	}
}
