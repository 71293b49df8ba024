package colour

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Basis says what a colour rests on, weakest first.
type Basis int

const (
	Declared     Basis = iota // a hex or a name somebody wrote down
	Photographed              // read from a picture
	Measured                  // a colour-measuring instrument
	Spectral                  // a measured spectrum
)

var basisWords = [...]string{"declared", "photographed", "measured", "spectral"}

// String returns "declared", "photographed", "measured" or "spectral".
func (b Basis) String() string {
	if b < 0 || int(b) >= len(basisWords) {
		return fmt.Sprintf("basis %d", int(b))
	}
	return basisWords[b]
}

// ParseBasis reads the word that String writes.
func ParseBasis(s string) (Basis, error) {
	for i, w := range basisWords {
		if strings.EqualFold(strings.TrimSpace(s), w) {
			return Basis(i), nil
		}
	}
	return 0, fmt.Errorf("read basis: %q: expected one of %s", s, strings.Join(basisWords[:], ", "))
}

// Colour is a surface colour: a reflectance, its CIELAB under D65 and what it
// rests on. Immutable; the zero value is not valid.
type Colour struct {
	r     Reflectance
	lab   Lab
	basis Basis
	ok    bool
}

// FromHex returns the declared colour of "#rrggbb" or "#rgb".
func FromHex(s string) (Colour, error) {
	digits, found := strings.CutPrefix(strings.TrimSpace(s), "#")
	if found && len(digits) == 3 {
		digits = string([]byte{digits[0], digits[0], digits[1], digits[1], digits[2], digits[2]})
	}
	n, err := strconv.ParseUint(digits, 16, 32)
	if !found || len(digits) != 6 || err != nil {
		return Colour{}, fmt.Errorf("read colour: %q: expected #rrggbb or #rgb", s)
	}
	lab := DecodeSRGB8(uint8(n>>16), uint8(n>>8), uint8(n)).Lab()
	r, _ := Recover(lab.XYZ(D65().White()))
	return Colour{r, lab, Declared, true}, nil
}

// FromLab returns the surface colour nearest to a D65 CIELAB colour.
func FromLab(l Lab, b Basis) (Colour, float64) {
	r, up := Recover(l.XYZ(D65().White()))
	if up > 0 {
		l = D65().Lab(r)
	}
	return Colour{r, l, b, true}, up
}

// FromReflectance returns the colour of a reflectance.
func FromReflectance(r Reflectance, b Basis) Colour { return Colour{r, D65().Lab(r), b, true} }

// Parse reads "#rrggbb", "#rgb" or "lab(L a b)".
func Parse(s string) (Colour, error) {
	t := strings.ToLower(strings.TrimSpace(s))
	inner, ok := strings.CutPrefix(t, "lab(")
	if !ok {
		return FromHex(s)
	}
	inner, ok = strings.CutSuffix(inner, ")")
	f := strings.FieldsFunc(inner, func(r rune) bool { return r == ' ' || r == ',' })
	var v [3]float64
	for i := range f {
		if i < 3 {
			x, err := strconv.ParseFloat(f[i], 64)
			ok = ok && err == nil && !math.IsNaN(x) && !math.IsInf(x, 0)
			v[i] = x
		}
	}
	if !ok || len(f) != 3 {
		return Colour{}, fmt.Errorf("read colour: %q: expected lab(L a b)", s)
	}
	c, _ := FromLab(Lab{v[0], v[1], v[2]}, Declared)
	return c, nil
}

// Valid says whether c was made by a constructor.
func (c Colour) Valid() bool { return c.ok }

// Reflectance returns the colour's reflectance, recovered where none was measured.
func (c Colour) Reflectance() Reflectance { return c.r }

// Lab returns the colour's CIELAB under D65, 2° observer.
func (c Colour) Lab() Lab { return c.lab }

// Basis says what the colour rests on.
func (c Colour) Basis() Basis { return c.basis }

// Hex returns "#rrggbb", clipped to what a screen can show.
func (c Colour) Hex() string { return c.lab.LinearRGB().Hex() }

// InScreen says whether a screen can show the colour without clipping.
func (c Colour) InScreen() bool { return c.lab.LinearRGB().InScreen() }

// Under returns the colour's CIELAB under another light, against its white.
func (c Colour) Under(l Light) Lab { return l.Lab(c.r) }
