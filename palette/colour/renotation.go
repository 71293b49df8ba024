package colour

import (
	_ "embed"
	"math"
	"strconv"
	"strings"
	"sync"
)

//go:embed data/renotation.csv
var renotationCSV string

// notation is a colour on the scales of ASTM D1535, by which the ISCC–NBS
// blocks are cut: hue on the circle of 100 steps in (0, 100], value 0…10,
// chroma 0 or more; a neutral has chroma 0 and any hue.
type notation struct{ hue, value, chroma float64 }

// The renotation is tabulated for 40 hues, 2.5 steps apart, at values 1…9 and
// every second chroma.
const (
	hueLines   = 40
	hueSpacing = 100.0 / hueLines
	planes     = 9
)

// huePolar is a line of constant hue on a plane of constant value: for chroma
// 0, 2, 4 … the distance from neutral and the angle about it, in the a*, b* of
// CIELAB under illuminant C, where the lines are nearly straight and the
// steps nearly even.
type huePolar struct{ radius, angle []float64 }

// renotationTable holds the lines by plane (value 1…9) and hue (2.5 … 100).
type renotationTable [planes][hueLines]huePolar

var renotation = sync.OnceValue(func() *renotationTable {
	rows := readTable("renotation", renotationCSV)
	white := lightC().White()
	t := new(renotationTable)
	for i, r := range rows.rows {
		value := int(rows.number(i, 1))
		y := luminanceOf(float64(value))
		line := huePolar{radius: []float64{0}}
		xy := strings.Fields(r[2])
		for j := 0; j+1 < len(xy); j += 2 {
			l := fromChromaticity(tenThousandths(xy[j]), tenThousandths(xy[j+1]), y).Lab(white)
			line.radius = append(line.radius, math.Hypot(l.A, l.B))
			line.angle = append(line.angle, degrees(l.A, l.B))
		}
		line.angle = append(line.angle[:1:1], line.angle...) // towards neutral as from chroma 2
		t[value-1][int(rows.number(i, 0)/hueSpacing)-1] = line
	}
	return t
})

func tenThousandths(s string) float64 {
	n, err := strconv.Atoi(s)
	if err != nil {
		panic("colour: embedded table renotation: " + err.Error())
	}
	return float64(n) / 10000
}

func fromChromaticity(x, y, luminance float64) XYZ {
	return XYZ{x / y * luminance, luminance, (1 - x - y) / y * luminance}
}

// luminanceOf returns the luminance factor, 0…1 of the perfect diffuser, of a
// value, 0…10.
//
// Source: ASTM D1535 (the quintic of 1943 for the perfect diffuser).
func luminanceOf(v float64) float64 {
	return v * (1.1914 + v*(-0.22533+v*(0.23352+v*(-0.020484+v*0.00081939)))) / 100
}

// valueOf is the inverse of luminanceOf, by Newton's method, to 1e-12;
// luminances beyond 0…1 give 0 and 10.
func valueOf(y float64) float64 {
	if y <= 0 {
		return 0
	}
	if y >= luminanceOf(10) {
		return 10
	}
	v := 10 * math.Cbrt(y)
	for range 30 {
		rise := (1.1914 + v*(-2*0.22533+v*(3*0.23352+v*(-4*0.020484+v*5*0.00081939)))) / 100
		d := (luminanceOf(v) - y) / rise
		v -= d
		if math.Abs(d) < 1e-12 {
			break
		}
	}
	return min(max(v, 0), 10)
}

// notationOf returns the notation of a D65 colour: brought to illuminant C,
// read at its own chromaticity on the two planes of value about its own, and
// taken between them, as ASTM D1535 has it. Below value 1 chroma falls evenly
// to nought at black, above value 9 it goes on as between 8 and 9; beyond the
// last chroma of a line the last step goes on.
func notationOf(l Lab) notation {
	c := lightC().White()
	t := Adapt(l.XYZ(screenWhite), screenWhite, c)
	v := valueOf(t.Y)
	x, y := t.Chromaticity()
	if v == 0 || y <= 0 {
		return notation{hue: hueLines * hueSpacing, value: v}
	}
	low := min(max(int(v), 1), planes-1)
	h0, c0 := renotation().read(low, x, y)
	if v < 1 {
		return notation{ontoCircle(h0), v, c0 * v}
	}
	h1, c1 := renotation().read(low+1, x, y)
	f := v - float64(low)
	apart := h1 - h0
	if apart > 50 {
		apart -= 100
	} else if apart < -50 {
		apart += 100
	}
	return notation{ontoCircle(h0 + min(f, 1)*apart), v, max(0, c0+f*(c1-c0))}
}

// ontoCircle brings a hue number into (0, 100].
func ontoCircle(hue float64) float64 {
	if hue <= 0 {
		return hue + 100
	}
	if hue > 100 {
		return hue - 100
	}
	return hue
}

// read returns hue and chroma of a chromaticity on the plane of a whole value
// 1…9: between the two lines of hue about it, by the angle.
func (t *renotationTable) read(value int, x, y float64) (hue, chroma float64) {
	l := fromChromaticity(x, y, luminanceOf(float64(value))).Lab(lightC().White())
	radius := math.Sqrt(l.A*l.A + l.B*l.B)
	if radius == 0 {
		return hueLines * hueSpacing, 0
	}
	angle := degrees(l.A, l.B)
	lines := &t[value-1]
	// The lines rise in angle with the hue: the one of the same share of the
	// circle is near, and a few steps lead to the pair about the angle.
	i := int(angle / 360 * hueLines)
	for range 2 * hueLines {
		a0, c0 := lines[i].at(radius)
		off := turn(angle - a0)
		if off < 0 {
			i = (i + hueLines - 1) % hueLines
			continue
		}
		next := (i + 1) % hueLines
		a1, c1 := lines[next].at(radius)
		span := turn(a1 - a0)
		if off > span {
			i = next
			continue
		}
		f := 0.0
		if span > 0 {
			f = off / span
		}
		return hueSpacing * (float64(i+1) + f), c0 + f*(c1-c0)
	}
	panic("colour: embedded table renotation: its lines of hue leave a gap")
}

// at returns the angle and the chroma of the line at a distance from neutral.
func (p *huePolar) at(radius float64) (angle, chroma float64) {
	i := 1
	for i < len(p.radius)-1 && p.radius[i] < radius {
		i++
	}
	f := (radius - p.radius[i-1]) / (p.radius[i] - p.radius[i-1])
	bend := turn(p.angle[i] - p.angle[i-1])
	return p.angle[i-1] + min(f, 1)*bend, 2 * (float64(i-1) + f)
}
