package colour

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
)

func TestParse(t *testing.T) {
	for _, c := range []struct {
		in, hex string
	}{
		{"#6C7176", "#6c7176"}, {"#6c7176", "#6c7176"}, {"  #fff ", "#ffffff"}, {"#F0c", "#ff00cc"},
		{"lab(53.585 0 0)", "#808080"}, {"LAB( 53.585, 0 ,0 )", "#808080"}, {"lab (0 0 0)", "#000000"},
		{"lab(47.4 -0.8 -3.4)", "#6c7176"},
	} {
		got, err := Parse(c.in)
		if err != nil {
			t.Errorf("%q: %v", c.in, err)
			continue
		}
		if got.Hex() != c.hex || !got.Valid() || got.Basis() != Declared || !got.InScreen() || got.GivenUp() != 0 {
			t.Errorf("%q: found %s, %v, in screen %v, given up %v; expected %s", c.in, got.Hex(), got.Basis(), got.InScreen(), got.GivenUp(), c.hex)
		}
		if d := Difference(got.Under(D65()), got.Lab()); d > 0.01 {
			t.Errorf("%q: its reflectance is off by ΔE00 %v", c.in, d)
		}
	}
	for _, c := range []struct{ in, expected string }{
		{"", "#rrggbb"}, {"6C7176", "#rrggbb"}, {"#12345", "#rrggbb"}, {"#12g456", "#rrggbb"}, {"#+1234f", "#rrggbb"},
		{"#1234567", "#rrggbb"}, {"red", "lab(L a b)"}, {"#é1", "#rrggbb"},
		{"lab", "lab(L a b)"}, {"lab()", "three"}, {"lab(50 0)", "three"}, {"lab(50 0 0 0)", "three"}, {"lab 50 0 0", "lab(L a b)"},
		{"lab(101 0 0)", "0…100"}, {"lab(-1 0 0)", "0…100"}, {"lab(50 x 0)", "-200…200"}, {"lab(50 0 1e9)", "-200…200"},
		{"lab(NaN 0 0)", "0…100"}, {"lab(50 Inf 0)", "-200…200"}, {"lab(50 0 0", "lab(L a b)"},
	} {
		got, err := Parse(c.in)
		if err == nil {
			t.Errorf("%q: found %v, expected an error", c.in, got.Lab())
		} else if !strings.HasPrefix(err.Error(), "read colour: ") || !strings.Contains(err.Error(), c.expected) {
			t.Errorf("%q: %v: does not say %q", c.in, err, c.expected)
		}
		if got.Valid() {
			t.Errorf("%q: the colour beside the error is valid", c.in)
		}
	}
}

// A colour no surface can have says how far it fell short and is itself sound.
func TestColourBeyondSurfaces(t *testing.T) {
	c, givenUp := FromLab(Lab{85, 100, 100}, Measured)
	if !(givenUp > 1) || c.GivenUp() != givenUp || c.Basis() != Measured || !c.Valid() {
		t.Errorf("found given up %v and %v, %v", givenUp, c.GivenUp(), c.Basis())
	}
	nearLab(t, "its own Lab", D65().Lab(c.Reflectance()), c.Lab(), 1e-9)
	if c, givenUp := FromLab(Lab{math.NaN(), 0, 0}, Measured); c.Valid() || !math.IsNaN(givenUp) {
		t.Errorf("NaN: found %v, %v", c, givenUp)
	}
	if (Colour{}).Valid() {
		t.Error("the zero colour is valid")
	}
	typed, err := Parse("lab(85 100 100)")
	if err != nil || typed.GivenUp() != givenUp {
		t.Errorf("typed: given up %v, %v", typed.GivenUp(), err)
	}
	if l, err := ParseLab("lab(85 100 100)"); err != nil || l != (Lab{85, 100, 100}) {
		t.Errorf("as it stands: %v, %v", l, err)
	}
	if _, err := ParseLab("#fff"); err == nil {
		t.Error("a hex was read as lab(L a b)")
	}
}

// Round trips: hex of every kind, and Lab through its own words.
func TestColourRoundTrip(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 1))
	for range 300 {
		hex := fmt.Sprintf("#%06x", r.UintN(1<<24))
		c, err := FromHex(hex)
		if err != nil || c.Hex() != hex {
			t.Fatalf("%s: came back as %s, %v", hex, c.Hex(), err)
		}
		if s := FromReflectance(c.Reflectance(), Spectral); s.Basis() != Spectral || Difference(s.Lab(), c.Lab()) > 0.01 {
			t.Fatalf("%s: its reflectance gives %v", hex, s.Lab())
		}
		again, err := Parse(c.Lab().String())
		if err != nil || again.Lab() != c.Lab() {
			t.Fatalf("%s: %v came back as %v, %v", hex, c.Lab(), again.Lab(), err)
		}
	}
}

func TestBasis(t *testing.T) {
	last := Basis(-1)
	for _, b := range []Basis{Declared, Photographed, Measured, Spectral} {
		got, err := ParseBasis(" " + strings.ToUpper(b.String()))
		if err != nil || got != b || b <= last {
			t.Errorf("%v: came back as %v, %v", b, got, err)
		}
		last = b
	}
	if _, err := ParseBasis("guessed"); err == nil {
		t.Error("guessed: expected an error")
	}
	if got := Basis(9).String(); got != "basis 9" {
		t.Errorf("found %q", got)
	}
}

// What parses is a colour whose own words parse to the same colour.
func FuzzParse(f *testing.F) {
	for _, s := range []string{"#6c7176", "#fff", "lab(50 10 -20)", "lab(99.9,150,-150)", "LAB(1e1 0 0)", "#", "lab((", "lab(0x1p3 0 0)", "lab(1_0 0 0)"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		c, err := Parse(s)
		if err != nil {
			if c.Valid() {
				t.Fatalf("%q: valid beside %v", s, err)
			}
			return
		}
		if _, err := NewReflectance(Spectrum(c.Reflectance())); err != nil {
			t.Fatalf("%q: %v", s, err)
		}
		if h, err := FromHex(c.Hex()); err != nil || h.Hex() != c.Hex() {
			t.Fatalf("%q: hex %s came back as %s, %v", s, c.Hex(), h.Hex(), err)
		}
		l, err := ParseLab(c.Lab().String())
		if inside := c.Lab().L >= 0 && c.Lab().L <= 100; inside && (err != nil || l != c.Lab()) {
			t.Fatalf("%q: %v came back as %v, %v", s, c.Lab(), l, err)
		}
	})
}

func FuzzLightNamed(f *testing.F) {
	for _, s := range []string{"D65", "led-b3", "2900 K", "6500k", "0", "99999999999999999999"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		l, err := LightNamed(s)
		if err != nil {
			return
		}
		if again, err := LightNamed(l.Name()); err != nil || again != l {
			t.Fatalf("%q: its name %q came back as %q, %v", s, l.Name(), again.Name(), err)
		}
		if y := l.White().Y; math.Abs(y-1) > 1e-12 {
			t.Fatalf("%q: white Y %v", s, y)
		}
	})
}
