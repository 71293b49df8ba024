package palette

import (
	"math"
	"sync"

	"undercoat/palette/colour"
)

// lens turns the encoded values of a picture into linear sRGB (D65): a tone
// curve per channel, then a matrix from the picture's primaries. It is
// immutable and cheap to copy. The zero value is not valid; see [sRGBLens].
type lens struct {
	tone   [3]*tone
	matrix mat3 // row by row: linear values of the picture → linear sRGB
	plain  bool // the matrix is the identity
}

// tone is one channel's curve from encoded (0…1) to linear light, with tables
// for 8 and 16 bits; the larger is made when first asked for.
type tone struct {
	curve func(float64) float64
	by8   [256]float64
	by16  func() *[65536]float32
}

// newTone tabulates a curve.
func newTone(curve func(float64) float64) *tone {
	t := &tone{curve: curve}
	for i := range t.by8 {
		t.by8[i] = curve(float64(i) / 255)
	}
	t.by16 = sync.OnceValue(func() *[65536]float32 {
		table := new([65536]float32)
		for i := range table {
			table[i] = float32(curve(float64(i) / 65535))
		}
		return table
	})
	return t
}

// sRGBTone is the curve of IEC 61966-2-1, equations (1) to (3).
var sRGBTone = sync.OnceValue(func() *tone {
	return newTone(func(v float64) float64 {
		if v <= 0.04045 {
			return v / 12.92
		}
		return math.Pow((v+0.055)/1.055, 2.4)
	})
})

// sRGBLens reads a picture that is already sRGB.
func sRGBLens() lens {
	t := sRGBTone()
	return lens{tone: [3]*tone{t, t, t}, matrix: identity, plain: true}
}

// newLens joins three curves and the matrix to linear sRGB. One that differs
// from sRGB by less than the rounding of profiles (a third of an 8-bit step) is
// sRGB.
func newLens(red, green, blue *tone, matrix mat3) lens {
	l := lens{tone: [3]*tone{red, green, blue}, matrix: matrix, plain: matrix == identity}
	if l.nearlySRGB() {
		return sRGBLens()
	}
	return l
}

// nearlySRGB compares the lens with that of sRGB value by value.
func (l *lens) nearlySRGB() bool {
	const third = 1.0 / 3 / 255
	s := sRGBTone()
	for i := range 256 {
		// The curve's slope turns a step of linear light into encoded steps.
		step := s.by8[min(i+1, 255)] - s.by8[max(i-1, 0)]
		if i > 0 && i < 255 {
			step /= 2
		}
		for _, t := range l.tone {
			if math.Abs(t.by8[i]-s.by8[i]) > step/3 {
				return false
			}
		}
	}
	for i, v := range l.matrix {
		if math.Abs(v-identity[i]) > third {
			return false
		}
	}
	return true
}

// power is the curve of a plain exponent.
func power(exponent float64) func(float64) float64 {
	return func(v float64) float64 { return math.Pow(max(v, 0), exponent) }
}

// at8 returns the linear sRGB of an 8-bit encoded value.
func (l *lens) at8(red, green, blue uint8) colour.LinearRGB {
	return l.mix(l.tone[0].by8[red], l.tone[1].by8[green], l.tone[2].by8[blue])
}

// at16 returns the linear sRGB of a 16-bit encoded value.
func (l *lens) at16(red, green, blue uint16) colour.LinearRGB {
	return l.mix(
		float64(l.tone[0].by16()[red]),
		float64(l.tone[1].by16()[green]),
		float64(l.tone[2].by16()[blue]))
}

// mix takes linear values of the picture's own primaries to linear sRGB.
func (l *lens) mix(red, green, blue float64) colour.LinearRGB {
	if l.plain {
		return colour.LinearRGB{R: red, G: green, B: blue}
	}
	v := l.matrix.times([3]float64{red, green, blue})
	return colour.LinearRGB{R: v[0], G: v[1], B: v[2]}
}
