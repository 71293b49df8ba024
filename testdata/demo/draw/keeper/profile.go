package keeper

import (
	"encoding/binary"
	"math"
	"unicode/utf16"
)

// The drawing's colour space: the primaries of SMPTE RP 431-2, white D65, the
// curve of IEC 61966-2-1, as wide-gamut screens have them.
var (
	widePrimaries = [3][2]float64{{0.680, 0.320}, {0.265, 0.690}, {0.150, 0.060}}
	srgbPrimaries = [3][2]float64{{0.640, 0.330}, {0.300, 0.600}, {0.150, 0.060}}
	whiteD65      = [2]float64{0.3127, 0.3290}
	whiteD50      = [3]float64{0.9642, 1, 0.8249} // the profile connection space, ICC.1:2010 6.3.4.3
)

type matrix [3][3]float64

func (m matrix) times(v [3]float64) [3]float64 {
	var out [3]float64
	for i := range out {
		out[i] = m[i][0]*v[0] + m[i][1]*v[1] + m[i][2]*v[2]
	}
	return out
}

func (m matrix) product(n matrix) matrix {
	var out matrix
	for i := range out {
		for j := range out {
			for k := range out {
				out[i][j] += m[i][k] * n[k][j]
			}
		}
	}
	return out
}

func (m matrix) inverse() matrix {
	cof := func(i, j int) float64 {
		a, b, c, d := (i+1)%3, (i+2)%3, (j+1)%3, (j+2)%3
		return m[a][c]*m[b][d] - m[a][d]*m[b][c]
	}
	det := m[0][0]*cof(0, 0) + m[0][1]*cof(0, 1) + m[0][2]*cof(0, 2)
	var out matrix
	for i := range out {
		for j := range out {
			out[j][i] = cof(i, j) / det
		}
	}
	return out
}

func tristimulus(xy [2]float64) [3]float64 {
	return [3]float64{xy[0] / xy[1], 1, (1 - xy[0] - xy[1]) / xy[1]}
}

// toXYZ is the matrix of a set of primaries with a white of Y = 1.
func toXYZ(p [3][2]float64, white [2]float64) matrix {
	var m matrix
	for j := range p {
		for i, v := range tristimulus(p[j]) {
			m[i][j] = v
		}
	}
	k := m.inverse().times(tristimulus(white))
	for i := range m {
		for j := range m {
			m[i][j] *= k[j]
		}
	}
	return m
}

// bradford adapts XYZ from one white to another (ICC.1:2010, annex E).
func bradford(from, to [3]float64) matrix {
	cone := matrix{{0.8951, 0.2664, -0.1614}, {-0.7502, 1.7135, 0.0367}, {0.0389, -0.0685, 1.0296}}
	a, b := cone.times(from), cone.times(to)
	scale := matrix{{b[0] / a[0], 0, 0}, {0, b[1] / a[1], 0}, {0, 0, b[2] / a[2]}}
	return cone.inverse().product(scale).product(cone)
}

// wide gives the drawing's encoded values of a linear sRGB colour, 0…255,
// and back.
func wideEncoder() func(rgb) [3]float64 {
	m := toXYZ(widePrimaries, whiteD65).inverse().product(toXYZ(srgbPrimaries, whiteD65))
	return func(c rgb) [3]float64 {
		v := m.times([3]float64{c.R, c.G, c.B})
		return [3]float64{encode(v[0]), encode(v[1]), encode(v[2])}
	}
}

func wideDecoder() func(rgb) rgb {
	m := toXYZ(srgbPrimaries, whiteD65).inverse().product(toXYZ(widePrimaries, whiteD65))
	return func(c rgb) rgb {
		v := m.times([3]float64{c.R, c.G, c.B})
		return rgb{v[0], v[1], v[2]}
	}
}

// wideProfile is a matrix/curve display profile of the drawing's colour space.
//
// Source: ICC.1:2010 (ISO 15076-1), clauses 7, 9.2 and 10.
func wideProfile() []byte {
	adapt := bradford(tristimulus(whiteD65), whiteD50)
	colourants := adapt.product(toXYZ(widePrimaries, whiteD65))
	column := func(j int) []byte { return xyzTag(colourants[0][j], colourants[1][j], colourants[2][j]) }
	curve := parametric(2.4, 1/1.055, 0.055/1.055, 1/12.92, 0.04045)
	tags := []struct {
		name string
		data []byte
	}{
		{"desc", text("Wide screen RGB of the demo drawing")},
		{"cprt", text("Free to use; drawn by program")},
		{"wtpt", xyzTag(whiteD50[0], whiteD50[1], whiteD50[2])},
		{"chad", fixedTag("sf32", adapt[0][:], adapt[1][:], adapt[2][:])},
		{"rXYZ", column(0)}, {"gXYZ", column(1)}, {"bXYZ", column(2)},
		{"rTRC", curve}, {"gTRC", curve}, {"bTRC", curve},
	}
	table := binary.BigEndian.AppendUint32(nil, uint32(len(tags)))
	var body []byte
	start := 128 + 4 + 12*len(tags)
	for _, t := range tags {
		table = append(table, t.name...)
		table = binary.BigEndian.AppendUint32(table, uint32(start+len(body)))
		table = binary.BigEndian.AppendUint32(table, uint32(len(t.data)))
		body = append(body, t.data...)
		for len(body)%4 != 0 {
			body = append(body, 0)
		}
	}
	return append(append(profileHeader(start+len(body)), table...), body...)
}

func profileHeader(size int) []byte {
	h := make([]byte, 128)
	binary.BigEndian.PutUint32(h, uint32(size))
	copy(h[8:], []byte{4, 0x30, 0, 0})
	copy(h[12:], "mntrRGB XYZ ")
	for i, v := range []uint16{2026, 10, 1, 0, 0, 0} {
		binary.BigEndian.PutUint16(h[24+2*i:], v)
	}
	copy(h[36:], "acsp")
	copy(h[68:], fixed(whiteD50[0], whiteD50[1], whiteD50[2]))
	return h
}

// fixed writes s15Fixed16 numbers.
func fixed(v ...float64) []byte {
	var out []byte
	for _, x := range v {
		out = binary.BigEndian.AppendUint32(out, uint32(int32(math.Round(x*65536))))
	}
	return out
}

func fixedTag(kind string, rows ...[]float64) []byte {
	out := append([]byte(kind), 0, 0, 0, 0)
	for _, r := range rows {
		out = append(out, fixed(r...)...)
	}
	return out
}

func xyzTag(x, y, z float64) []byte { return fixedTag("XYZ ", []float64{x, y, z}) }

// parametric is curve type 3: (a·v + b)^g from d upwards, c·v below.
func parametric(g, a, b, c, d float64) []byte {
	out := append([]byte("para"), 0, 0, 0, 0, 0, 3, 0, 0)
	return append(out, fixed(g, a, b, c, d)...)
}

// text is a text in one language, multiLocalizedUnicodeType.
func text(s string) []byte {
	u := utf16.Encode([]rune(s))
	out := append([]byte("mluc"), 0, 0, 0, 0)
	out = binary.BigEndian.AppendUint32(out, 1)
	out = binary.BigEndian.AppendUint32(out, 12)
	out = append(out, "enGB"...)
	out = binary.BigEndian.AppendUint32(out, uint32(2*len(u)))
	out = binary.BigEndian.AppendUint32(out, 28)
	for _, c := range u {
		out = binary.BigEndian.AppendUint16(out, c)
	}
	return out
}
