package colour

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
)

// Every central notation of Kelly (1958), as CIELAB by an independent colour
// library, bears its own name, and gives back its own hue, value and chroma
// through the renotation: value to 0.002; chroma to 0.1 and a tenth of itself;
// hue to two thirds of a step at chroma 2, one in the dark below value 2 (the way
// between two planes of value is not the same there: it interpolates
// chromaticity, ASTM D1535 and we the reading).
func TestNamesOfCentralColours(t *testing.T) {
	families := []string{"R", "YR", "Y", "GY", "G", "BG", "B", "PB", "P", "RP"}
	seen := map[string]bool{}
	for _, r := range reference(t, "iscc_nbs_centroids.csv") {
		l := r.lab(t, "L", "a", "b")
		want := strings.ReplaceAll(r["name"], "gray", "grey")
		if got := Name(l); got != want {
			t.Errorf("%s: its central colour is named %s", want, got)
		}
		seen[want] = true
		if centre, ok := NameCentre(want); !ok || centre != l {
			t.Errorf("%s: central colour %v, %v, expected %v", want, centre, ok, l)
		}
		hueWord, figures, _ := strings.Cut(r["munsell"], " ")
		valueWord, chromaWord, _ := strings.Cut(figures, "/")
		f := row{"value": valueWord, "chroma": chromaWord}
		got := notationOf(l)
		near(t, want+" value", got.value, f.figure(t, "value"), 0.002)
		if chromaWord == "" || f.figure(t, "chroma") < 0.2 {
			near(t, want+" chroma", got.chroma, 0, 0.1)
			continue
		}
		chroma := f.figure(t, "chroma")
		near(t, want+" chroma", got.chroma, chroma, 0.1+0.11*chroma)
		family := strings.TrimLeft(hueWord, "0123456789.")
		hue := row{"hue": strings.TrimSuffix(hueWord, family)}.figure(t, "hue") + 10*float64(slices.Index(families, family))
		tolerance := 0.25 + 0.8/chroma
		if got.value < 2 {
			tolerance += 0.35
		}
		near(t, want+" hue", math.Remainder(got.hue-hue, 100), 0, tolerance)
	}
	if len(seen) != 267 {
		t.Errorf("found %d names, expected 267", len(seen))
	}
}

// Any colour has exactly one name, whatever one throws at it, and neighbouring
// planes of hue, value and chroma leave no gap (Name panics at one).
func TestEveryColourHasAName(t *testing.T) {
	r := rand.New(rand.NewPCG(267, 1))
	for range 30000 {
		huge := math.Pow(10, 300*r.Float64())
		for _, l := range []Lab{mixedLab(r), {huge * r.NormFloat64(), huge * r.NormFloat64(), huge * r.NormFloat64()}, LCh{100 * r.Float64(), 6 * r.Float64(), 360 * r.Float64()}.Lab()} {
			n := Name(l)
			if _, ok := NameCentre(n); !ok {
				t.Fatalf("%v: named %q", l, n)
			}
			if max(l.L, l.A, l.B, -l.A, -l.B) > 1000 {
				continue
			}
			held := 0
			at := notationOf(l)
			if at.hue <= 1 {
				at.hue += 100
			}
			at.value = math.Min(at.value, 9.99)
			for _, b := range blockNames().boxes {
				if b.holds(at) {
					held++
				}
			}
			if held != 1 {
				t.Fatalf("%v: in %d boxes", l, held)
			}
		}
	}
}

// Neutrals change name at the values 2.5, 4.5, 6.5 and 8.5 (SP 440).
func TestName(t *testing.T) {
	for _, c := range []struct {
		value        float64
		below, above string
	}{{2.5, "black", "dark grey"}, {4.5, "dark grey", "medium grey"}, {6.5, "medium grey", "light grey"}, {8.5, "light grey", "white"}} {
		at := func(value float64) Lab { return Lab{L: 116*labCurve(luminanceOf(value)) - 16} }
		if got := Name(at(c.value - 0.001)); got != c.below {
			t.Errorf("below value %v: found %q, expected %q", c.value, got, c.below)
		}
		if got := Name(at(c.value + 0.001)); got != c.above {
			t.Errorf("above value %v: found %q, expected %q", c.value, got, c.above)
		}
	}
	for hex, want := range map[string]string{"#000000": "black", "#ffffff": "white"} {
		c, err := ParseHex(hex)
		if err != nil {
			t.Fatal(err)
		}
		if got := Name(c.Lab()); got != want {
			t.Errorf("%s: found %q, expected %q", hex, got, want)
		}
	}
	for _, l := range []Lab{{math.NaN(), 0, 0}, {50, math.Inf(1), 0}} {
		if got := Name(l); got != "" {
			t.Errorf("%v: found %q, expected no name", l, got)
		}
	}
	if got := Name(Lab{120, 0, 0}); got != "white" {
		t.Errorf("brighter than white: found %q", got)
	}
	if got := Name(Lab{-3, 0, 0}); got != "black" {
		t.Errorf("darker than black: found %q", got)
	}
	if _, ok := NameCentre("gray"); ok {
		t.Error("gray is a name")
	}
}

// Value and luminance: Newhall, Nickerson and Judd (1943) give the luminance of
// the whole values in per cent of magnesium oxide, which is 0.975 of the perfect
// diffuser; printed to four digits.
func TestValueScale(t *testing.T) {
	for v, oxide := range map[float64]float64{1: 1.210, 2: 3.126, 3: 6.555, 4: 12.00, 5: 19.77, 6: 30.05, 7: 43.06, 8: 59.10, 9: 78.66} {
		near(t, "luminance", 100*luminanceOf(v), 0.975*oxide, 0.006)
		near(t, "value", valueOf(luminanceOf(v)), v, 1e-9)
	}
	near(t, "white", luminanceOf(10), 1, 1e-4)
	near(t, "value of white", valueOf(1), 10, 0)
	near(t, "value of black", valueOf(0), 0, 0)
	near(t, "value below black", valueOf(-1), 0, 0)
}

func TestNames(t *testing.T) {
	grey, black := Lab{47.4, -0.8, -3.4}, Lab{5, 0, 0}
	got := Names([]Lab{grey, black, grey, {math.NaN(), 0, 0}, grey})
	want := []Named{{"bluish grey", 0.75}, {"black", 0.25}}
	if !slices.Equal(got, want) {
		t.Errorf("found %v, expected %v", got, want)
	}
	if got := InPercent(got); got != "bluish grey 75 %, black 25 %" {
		t.Errorf("in words: %q", got)
	}
	if got := Names(nil); len(got) != 0 {
		t.Errorf("none: found %v", got)
	}
	if got := InPercent([]Named{{"white", 0.996}, {"black", 0.004}}); got != "white 100 %" {
		t.Errorf("hardly any: found %q", got)
	}
	if got := InPercent([]Named{{"white", 0.995}, {"black", 0.005}}); got != "white 100 %" {
		t.Errorf("two halves: %q, expected no more than a hundred in all", got)
	}
	if got := InPercent([]Named{{"white", 1.0 / 3}, {"black", 1.0 / 3}, {"dark grey", 1.0 / 3}}); got != "white 34 %, black 33 %, dark grey 33 %" {
		t.Errorf("three thirds: %q", got)
	}
	tie := Names([]Lab{black, grey})
	if tie[0].Name != "black" || tie[1].Name != "bluish grey" {
		t.Errorf("a tie: found %v, expected it by name", tie)
	}
}

func TestNamesWithin(t *testing.T) {
	centre := Lab{47.4, -0.8, -3.4}
	for _, radius := range []float64{0, -1, 1e-300, math.NaN()} {
		if got := NamesWithin(centre, radius); !slices.Equal(got, []Named{{"bluish grey", 1}}) {
			t.Errorf("radius %v: found %v", radius, got)
		}
	}
	for _, radius := range []float64{1, 3, 10} {
		got := NamesWithin(centre, radius)
		if !slices.Equal(got, NamesWithin(centre, radius)) {
			t.Errorf("radius %v: two answers", radius)
		}
		sum := 0.0
		for i, n := range got {
			sum += n.Share
			if i > 0 && n.Share > got[i-1].Share {
				t.Errorf("radius %v: %v after %v", radius, n, got[i-1])
			}
		}
		near(t, "sum of shares", sum, 1, 1e-12)
	}
	// The points lie within the radius, reach nearly all of it, and lie about
	// the centre.
	for _, c := range []Lab{centre, {20, 30, 20}, {60, 0, 0}} {
		worst, mean := 0.0, Lab{}
		points := ball(c, 2)
		for _, p := range points {
			worst = math.Max(worst, Difference(c, p))
			mean = Lab{mean.L + p.L/ballPoints, mean.A + p.A/ballPoints, mean.B + p.B/ballPoints}
		}
		if worst < 1.9 || worst > 2.02 {
			t.Errorf("about %v: the farthest of the points is %v away, expected about 2", c, worst)
		}
		if d := Difference(c, mean); d > 0.1 {
			t.Errorf("about %v: the points lie about %v", c, mean)
		}
	}
}

func TestInWords(t *testing.T) {
	grey := Lab{47.4, -0.8, -3.4}
	blue := Lab{40, 10, -45}
	for _, c := range []struct {
		name           string
		target, sample Lab
		want           string
	}{
		{"the same", grey, grey, "no difference you would see side by side"},
		{"hardly", grey, Lab{47.8, -0.8, -3.2}, "no difference you would see side by side"},
		{"a little darker", grey, Lab{46, -0.8, -3.4}, "a little darker"},
		{"darker", grey, Lab{43, -0.8, -3.4}, "darker"},
		{"much lighter", grey, Lab{60, -0.8, -3.4}, "much lighter"},
		{"greener grey", grey, Lab{47.4, -4, -2.5}, "greener"},
		{"darker and a little greener", grey, Lab{43, -1.9, -3.1}, "darker, a little greener"},
		{"towards yellow", grey, Lab{47.4, -0.8, 0}, "yellower"},
		{"between red and blue", grey, Lab{47.4, 1.5, -7}, "bluer and redder"},
		{"duller blue", blue, Lab{40, 8, -36}, "duller"},
		{"more vivid blue", blue, Lab{40, 12.9, -58}, "more vivid"},
		{"blue turned redder", blue, Lab{40, 22, -40.5}, "much redder"},
		{"violet blue turned bluer", blue, Lab{40, -8, -45.4}, "much bluer"},
		{"blue turned greener", Lab{60, -20, -30}, Lab{60, -33, -14}, "much greener"},
		{"grey to black", grey, Lab{0, 0, 0}, "much darker"},
		{"no number", grey, Lab{math.NaN(), 0, 0}, "cannot be compared"},
	} {
		if got := InWords(c.target, c.sample); got != c.want {
			t.Errorf("%s: found %q, expected %q (ΔE00 %.2f)", c.name, got, c.want, Difference(c.target, c.sample))
		}
	}
}

// The opposite way is said with the opposite words.
func TestInWordsTurnsRound(t *testing.T) {
	opposite := strings.NewReplacer("lighter", "darker", "darker", "lighter", "more vivid", "duller", "duller", "more vivid",
		"redder", "greener", "greener", "redder", "yellower", "bluer", "bluer", "yellower")
	for _, c := range [][2]Lab{{{40, 0, 0}, {50, 0, 0}}, {{50, 0, 0}, {50, 0, 6}}, {{50, 30, 30}, {50, 40, 40}}} {
		there, back := InWords(c[0], c[1]), InWords(c[1], c[0])
		if opposite.Replace(there) != back {
			t.Errorf("%v to %v: %q one way, %q the other", c[0], c[1], there, back)
		}
	}
}

func BenchmarkName(b *testing.B) {
	i := uint32(0)
	for b.Loop() {
		i = i*1664525 + 1013904223
		Name(DecodeSRGB8(uint8(i>>24), uint8(i>>16), uint8(i>>8)).Lab())
	}
}
