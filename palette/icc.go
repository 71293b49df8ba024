package palette

import (
	"encoding/binary"
	"errors"
	"fmt"
	"math"
	"strings"
	"unicode/utf16"
)

// iccMark begins every APP2 segment of a JPEG that carries a piece of a profile.
const iccMark = "ICC_PROFILE\x00"

// iccSegments collects the pieces of a profile from a JPEG.
//
// Source: ICC.1:2022, annex B.4: a number from 1, the count, the bytes.
type iccSegments struct {
	piece [256][]byte
	count int
	bad   bool
}

// add takes one piece, its number and count first.
func (s *iccSegments) add(body []byte) {
	if len(body) < 2 || body[0] == 0 || body[0] > body[1] || s.count != 0 && s.count != int(body[1]) {
		s.bad = true
		return
	}
	s.count = int(body[1])
	s.piece[body[0]] = body[2:]
}

// join returns the whole profile; nothing where there was no piece.
func (s *iccSegments) join() ([]byte, error) {
	if s.count == 0 && !s.bad {
		return nil, nil
	}
	var all []byte
	for i := 1; i <= s.count; i++ {
		if s.piece[i] == nil {
			s.bad = true
		}
		all = append(all, s.piece[i]...)
	}
	if s.bad {
		return nil, errors.New("the embedded colour profile has pieces missing")
	}
	return all, nil
}

// iccProfile gives access to the tags of a profile.
type iccProfile struct{ data []byte }

// tag returns the bytes of a tag, nil where it is absent or out of bounds.
func (p iccProfile) tag(signature string) []byte {
	n := int(binary.BigEndian.Uint32(p.data[128:]))
	for i := range min(n, (len(p.data)-132)/12) {
		e := p.data[132+12*i:]
		if string(e[:4]) != signature {
			continue
		}
		at, size := uint64(binary.BigEndian.Uint32(e[4:])), uint64(binary.BigEndian.Uint32(e[8:]))
		if size < 8 || at+size > uint64(len(p.data)) {
			return nil
		}
		return p.data[at : at+size]
	}
	return nil
}

// parseICC reads a colour profile. Those made of a curve per channel and a
// matrix (displays, cameras, working spaces, grey) are read; those made of
// lookup tables or for printing inks are refused by name.
//
// Source: ICC.1:2022, 7.2 (header), 7.3 (tags), 8.3.3 and 8.4.3 (matrix model),
// 9.2 (tags), 10 (types); version 2 profiles by ICC.1:2001-04.
func parseICC(data []byte) (profileReading, error) {
	if len(data) < 132 || string(data[36:40]) != "acsp" {
		return profileReading{}, errors.New("is damaged")
	}
	p := iccProfile{data}
	name := p.description()
	if name == "" {
		name = "unnamed profile"
	}
	called := fmt.Sprintf("%q", name)
	switch model := strings.TrimSpace(string(data[16:20])); model {
	case "RGB":
		l, err := p.matrixModel()
		if err != nil {
			return profileReading{}, fmt.Errorf("%s %w", called, err)
		}
		return profileReading{lens: l, name: name}, nil
	case "GRAY":
		t, err := parseTone(p.tag("kTRC"))
		if err != nil {
			return profileReading{}, fmt.Errorf("%s %w", called, err)
		}
		return profileReading{lens: newLens(t, t, t, identity), name: name}, nil
	default:
		return profileReading{}, fmt.Errorf("%s is for the colour model %q, not RGB", called, oneLine(model))
	}
}

// matrixModel reads the curves and the matrix of an RGB profile:
// ICC.1:2022, equations F.4 to F.9; then D50 to D65 by Bradford.
func (p iccProfile) matrixModel() (lens, error) {
	var columns mat3
	var tones [3]*tone
	for i, channel := range []string{"r", "g", "b"} {
		xyz, curve := p.tag(channel+"XYZ"), p.tag(channel+"TRC")
		if (xyz == nil || curve == nil) && p.tag("A2B0") != nil {
			return lens{}, errors.New("works by lookup tables, which are not read")
		}
		if xyz == nil || curve == nil {
			return lens{}, errors.New("is incomplete")
		}
		if len(xyz) < 20 || string(xyz[:4]) != "XYZ " {
			return lens{}, errors.New("is damaged")
		}
		for k := range 3 {
			columns[3*k+i] = fixed16(xyz[8+4*k:])
		}
		t, err := parseTone(curve)
		if err != nil {
			return lens{}, err
		}
		tones[i] = t
	}
	white := columns.times([3]float64{1, 1, 1})
	for k := range 3 {
		if math.Abs(white[k]-pcsWhite[k]) > 0.05 {
			return lens{}, errors.New("does not add up to white")
		}
	}
	if _, ok := columns.inverse(); !ok || !columns.finite() {
		return lens{}, errors.New("has primaries that do not span a colour space")
	}
	m := xyzToLinear().mul(adaptBradford(pcsWhite, screenWhite)).mul(columns)
	return newLens(tones[0], tones[1], tones[2], m), nil
}

// parseTone reads a curve of type "curv" (a gamma or a table) or "para".
//
// Source: ICC.1:2022, 10.6 and 10.18, table 68.
func parseTone(b []byte) (*tone, error) {
	if len(b) < 12 {
		return nil, errors.New("lacks a tone curve")
	}
	switch string(b[:4]) {
	case "curv":
		return parseTable(b)
	case "para":
		return parseParametric(b)
	}
	return nil, errors.New("has a tone curve of an unknown type")
}

// parseTable reads "curv": no values for the identity, one for a gamma, or a
// table to be read between the values.
func parseTable(b []byte) (*tone, error) {
	n := int64(binary.BigEndian.Uint32(b[8:]))
	if n > 1<<16 || 12+2*n > int64(len(b)) {
		return nil, errors.New("has a tone curve that is cut short")
	}
	switch n {
	case 0:
		return newTone(power(1)), nil
	case 1:
		return newTone(power(float64(binary.BigEndian.Uint16(b[12:])) / 256)), nil
	}
	table := make([]float64, n)
	for i := range table {
		table[i] = float64(binary.BigEndian.Uint16(b[12+2*i:])) / 65535
	}
	if table[n-1] <= table[0] {
		return nil, errors.New("has a tone curve that does not rise")
	}
	return newTone(func(v float64) float64 {
		at := min(max(v, 0), 1) * float64(len(table)-1)
		i := min(int(at), len(table)-2)
		return table[i] + (at-float64(i))*(table[i+1]-table[i])
	}), nil
}

// parseParametric reads "para", function types 0 to 4, with the letters of the
// standard: Y = (aX + b)^g + e from d on, cX + f below.
func parseParametric(b []byte) (*tone, error) {
	counts := [5]int{1, 3, 4, 5, 7}
	kind := int(binary.BigEndian.Uint16(b[8:]))
	if kind >= len(counts) || len(b) < 12+4*counts[kind] {
		return nil, errors.New("has a tone curve of an unknown kind")
	}
	var v [7]float64
	for i := range counts[kind] {
		v[i] = fixed16(b[12+4*i:])
	}
	g, a, bb, c, d, e, f := v[0], v[1], v[2], v[3], v[4], v[5], v[6]
	switch kind {
	case 0:
		a, bb, c, d, e, f = 1, 0, 0, math.Inf(-1), 0, 0
	case 1: // 0 below -b/a
		c, d, e, f = 0, -bb/a, 0, 0
	case 2: // c below -b/a
		e, f = c, c
		c, d = 0, -bb/a
	case 3:
		e, f = 0, 0
	}
	if a == 0 || g <= 0 || g > 10 || math.IsNaN(d) {
		return nil, errors.New("has a tone curve without sense")
	}
	curve := func(x float64) float64 {
		if x >= d {
			return math.Pow(max(a*x+bb, 0), g) + e
		}
		return c*x + f
	}
	if top := curve(1); math.IsNaN(top) || top < 0.5 || top > 2 || curve(0) >= top {
		return nil, errors.New("has a tone curve without sense")
	}
	return newTone(curve), nil
}

// fixed16 reads an s15Fixed16Number.
func fixed16(b []byte) float64 { return float64(int32(binary.BigEndian.Uint32(b))) / 65536 }

// description returns the profile's name: "desc" of version 2 (ASCII) or "mluc"
// of version 4 (UTF-16, the first language given).
func (p iccProfile) description() string {
	b := p.tag("desc")
	if len(b) < 12 {
		return ""
	}
	switch string(b[:4]) {
	case "desc":
		n := uint64(binary.BigEndian.Uint32(b[8:]))
		if 12+n > uint64(len(b)) {
			return ""
		}
		return oneLine(strings.ToValidUTF8(strings.TrimRight(string(b[12:12+n]), "\x00"), "?"))
	case "mluc":
		if len(b) < 28 || binary.BigEndian.Uint32(b[8:]) == 0 {
			return ""
		}
		n, at := uint64(binary.BigEndian.Uint32(b[20:])), uint64(binary.BigEndian.Uint32(b[24:]))
		if at+n > uint64(len(b)) || n > 1024 {
			return ""
		}
		units := make([]uint16, n/2)
		for i := range units {
			units[i] = binary.BigEndian.Uint16(b[at+2*uint64(i):])
		}
		return oneLine(strings.TrimRight(string(utf16.Decode(units)), "\x00"))
	}
	return ""
}
