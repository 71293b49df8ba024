package inventory

import (
	"encoding/binary"
	"fmt"
	"math"

	"undercoat/inventory/unit"
	"undercoat/palette/colour"
)

// labCell is three columns, all filled or all empty.
type labCell struct{}

// labBounds hold any colour an instrument can report; L* a little above 100
// for fluorescent whites. House limits, no source.
var labBounds = [3][2]float64{{0, 150}, {-200, 200}, {-200, 200}}

func (labCell) parse(e *env, in []string, p any) (int, string) {
	if in[0] == "" && in[1] == "" && in[2] == "" {
		return 0, ""
	}
	var v [3]float64
	for i := range v {
		n, err := unit.ParseNumber(in[i])
		if err != nil || n < labBounds[i][0] || n > labBounds[i][1] {
			return i, rangeWords("a number", labBounds[i][0], labBounds[i][1]) + "; L*, a* and b* come together"
		}
		v[i] = n
	}
	*p.(*unit.Stated[colour.Lab]) = unit.State(colour.Lab{L: v[0], A: v[1], B: v[2]})
	return 0, ""
}

func (labCell) print(e *env, out []string, p any) {
	if l, ok := p.(*unit.Stated[colour.Lab]).Get(); ok {
		for i, v := range [3]float64{l.L, l.A, l.B} {
			out[i] = unit.FormatNumber(v)
		}
	}
}

func (labCell) bind(out []any, p any) {
	if l, ok := p.(*unit.Stated[colour.Lab]).Get(); ok {
		out[0], out[1], out[2] = l.L, l.A, l.B
	}
}

func (labCell) scan(e *env, in []any, p any) error {
	var v [3]float64
	known := 0
	for i := range v {
		n, ok, err := loadNumber(in[i])
		if err != nil {
			return err
		}
		if ok {
			known++
		}
		v[i] = n
	}
	switch known {
	case 0:
		return nil
	case 3:
		*p.(*unit.Stated[colour.Lab]) = unit.State(colour.Lab{L: v[0], A: v[1], B: v[2]})
		return nil
	}
	return fmt.Errorf("found %d of L*, a*, b*, expected all or none", known)
}

// spectrumCell is 36 columns r380 … r730 in a table and 36 little-endian
// float64 in the file.
type spectrumCell struct{}

func (spectrumCell) parse(e *env, in []string, p any) (int, string) {
	var s colour.Spectrum
	filled := 0
	for _, cell := range in {
		if cell != "" {
			filled++
		}
	}
	if filled == 0 {
		return 0, ""
	}
	for i := range s {
		v, err := unit.ParseNumber(in[i])
		if err != nil || v < 0 || v > 1 {
			return i, "a reflectance from 0 to 1; a spectrum has every band"
		}
		s[i] = v
	}
	r, err := colour.NewReflectance(s)
	if err != nil {
		return 0, "reflectances from 0 to 1"
	}
	*p.(*unit.Stated[colour.Reflectance]) = unit.State(r)
	return 0, ""
}

func (spectrumCell) print(e *env, out []string, p any) {
	if r, ok := p.(*unit.Stated[colour.Reflectance]).Get(); ok {
		for i, v := range r {
			out[i] = unit.FormatNumber(v)
		}
	}
}

func (spectrumCell) bind(out []any, p any) {
	if r, ok := p.(*unit.Stated[colour.Reflectance]).Get(); ok {
		b := make([]byte, 0, 8*colour.Bands)
		for _, v := range r {
			b = binary.LittleEndian.AppendUint64(b, math.Float64bits(v))
		}
		out[0] = b
	}
}

func (spectrumCell) scan(e *env, in []any, p any) error {
	if in[0] == nil {
		return nil
	}
	b, ok := in[0].([]byte)
	if !ok || len(b) != 8*colour.Bands {
		return fmt.Errorf("spectrum of %T, expected %d bytes", in[0], 8*colour.Bands)
	}
	var s colour.Spectrum
	for i := range s {
		s[i] = math.Float64frombits(binary.LittleEndian.Uint64(b[8*i:]))
	}
	r, err := colour.NewReflectance(s)
	if err != nil {
		return err
	}
	*p.(*unit.Stated[colour.Reflectance]) = unit.State(r)
	return nil
}
