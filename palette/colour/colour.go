package colour

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Colour is the colour of a surface: its reflectance, its CIELAB colour under
// D65 and the 1931 observer, and what both rest on. Every Colour is complete:
// where no spectrum was measured a plausible one is recovered at the door. It
// is immutable and comparable. The zero value is not valid and belongs to no
// surface.
type Colour struct {
	reflectance Reflectance
	lab         Lab
	givenUp     float64
	basis       Basis
	valid       bool
}

// FromHex returns the declared colour of "#rrggbb" or "#rgb".
func FromHex(s string) (Colour, error) {
	c, err := ParseHex(s)
	if err != nil {
		return Colour{}, err
	}
	r, givenUp := Recover(c.XYZ())
	return Colour{r, c.Lab(), givenUp, Declared, true}, nil
}

// FromLab returns the surface colour of a CIELAB colour (D65, 2°), and the
// ΔE00 given up where no surface can have it: then the Colour is the surface's
// and not the one asked (see [Recover]). A Lab that is no number gives the
// zero Colour, not valid, and NaN.
func FromLab(l Lab, b Basis) (c Colour, givenUp float64) {
	if !l.finite() {
		return Colour{}, math.NaN()
	}
	r, givenUp := Recover(l.XYZ(screenWhite))
	if givenUp > 0 {
		l = D65().Lab(r)
	}
	return Colour{r, l, givenUp, b, true}, givenUp
}

// FromReflectance returns the colour of a known reflectance.
func FromReflectance(r Reflectance, b Basis) Colour {
	return Colour{r, D65().Lab(r), 0, b, true}
}

// Parse reads a declared colour as people write it: "#rrggbb", "#rgb", or
// "lab(L a b)" with L* within 0…100 and a*, b* within ±200, parted by blanks
// or commas; case does not matter. Where no surface can have the Lab, GivenUp
// says how far the Colour is from it.
func Parse(s string) (Colour, error) {
	inner, isLab := strings.CutPrefix(strings.ToLower(strings.TrimSpace(s)), "lab")
	if !isLab {
		c, err := FromHex(s)
		if err != nil {
			return Colour{}, fmt.Errorf("read colour: %q: expected #rrggbb, #rgb or lab(L a b)", s)
		}
		return c, nil
	}
	l, err := parseCoordinates(inner)
	if err != nil {
		return Colour{}, fmt.Errorf("read colour: %q: %w", s, err)
	}
	c, _ := FromLab(l, Declared)
	return c, nil
}

// ParseLab reads "lab(L a b)" as Parse does, as it stands: also a colour that
// no surface can have.
func ParseLab(s string) (Lab, error) {
	inner, isLab := strings.CutPrefix(strings.ToLower(strings.TrimSpace(s)), "lab")
	if !isLab {
		return Lab{}, fmt.Errorf("read colour: %q: expected lab(L a b)", s)
	}
	l, err := parseCoordinates(inner)
	if err != nil {
		return Lab{}, fmt.Errorf("read colour: %q: %w", s, err)
	}
	return l, nil
}

// parseCoordinates reads "(L a b)".
func parseCoordinates(s string) (Lab, error) {
	s = strings.TrimSpace(s)
	if len(s) < 2 || s[0] != '(' || s[len(s)-1] != ')' {
		return Lab{}, fmt.Errorf("expected lab(L a b)")
	}
	parts := strings.FieldsFunc(s[1:len(s)-1], func(r rune) bool { return r == ',' || r == ' ' || r == '\t' })
	if len(parts) != 3 {
		return Lab{}, fmt.Errorf("found %d numbers, expected the three of lab(L a b)", len(parts))
	}
	ranges := [3]struct {
		name      string
		low, high float64
	}{{"L*", 0, 100}, {"a*", -200, 200}, {"b*", -200, 200}}
	var v [3]float64
	for i, p := range parts {
		x, err := strconv.ParseFloat(p, 64)
		if r := ranges[i]; err != nil || !(x >= r.low && x <= r.high) {
			return Lab{}, fmt.Errorf("found %s %q, expected a number within %g…%g", r.name, p, r.low, r.high)
		}
		v[i] = x
	}
	return Lab{v[0], v[1], v[2]}, nil
}

// String returns l as ParseLab reads it, exactly: "lab(53.24 80.09 67.2)".
func (l Lab) String() string {
	f := func(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }
	return "lab(" + f(l.L) + " " + f(l.A) + " " + f(l.B) + ")"
}

// Valid says whether c was made by a constructor.
func (c Colour) Valid() bool { return c.valid }

// Reflectance returns the reflectance: measured where Basis is Spectral,
// otherwise one of the many that give the colour.
func (c Colour) Reflectance() Reflectance { return c.reflectance }

// Lab returns the CIELAB colour under D65 for the 1931 observer.
func (c Colour) Lab() Lab { return c.lab }

// Basis says what the colour rests on.
func (c Colour) Basis() Basis { return c.basis }

// GivenUp returns the ΔE00 between the colour asked for and this one, 0 where
// a surface can have the colour asked for.
func (c Colour) GivenUp() float64 { return c.givenUp }

// Hex returns "#rrggbb", clipped to what a screen can show; see InScreen.
func (c Colour) Hex() string { return c.lab.LinearRGB().Hex() }

// InScreen says whether an sRGB screen can show the colour unclipped.
func (c Colour) InScreen() bool { return c.lab.LinearRGB().InScreen() }

// Under returns the CIELAB colour under another light against that light's
// white, as an eye used to the light sees it. It is as good as the
// reflectance: see Basis.
func (c Colour) Under(l Light) Lab { return l.Lab(c.reflectance) }
