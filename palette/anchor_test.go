package palette

import (
	"errors"
	"image/color"
	"math"
	"slices"
	"strings"
	"testing"

	"undercoat/palette/colour"
)

// grey18 is the card of the reference pictures: linear reflectance 0.18.
var grey18 = colour.LinearRGB{R: 0.18, G: 0.18, B: 0.18}.Lab()

func rectOf(v []int) Rect { return Rect{v[0], v[1], v[2], v[3]} }

// Truth: the gains with which the reference picture was rendered
// (../shared/reference/images/truth.json). JPEG and noise leave under 2 %.
func TestNeutralFindsTheGains(t *testing.T) {
	c := truth(t)["cast"]
	r, warnings, err := c.ref.Neutral(Anchor{rectOf(c.Card), grey18})
	if err != nil || len(warnings) > 0 {
		t.Fatal(warnings, err)
	}
	g, ok := r.correct.(gains)
	if !ok {
		t.Fatalf("correction of type %T", r.correct)
	}
	for i, got := range []float64{g.red, g.green, g.blue} {
		if want := 1 / c.Gains[i]; math.Abs(got/want-1) > 0.02 {
			t.Errorf("channel %d: gain %.3f, rendered with %.3f", i, got, want)
		}
	}
	if !r.Anchored() || c.ref.Anchored() || len(r.Anchors()) != 1 {
		t.Errorf("anchored: %v, %v; anchors %v", r.Anchored(), c.ref.Anchored(), r.Anchors())
	}
}

// On the pictures with a cast, flat materials read within ΔE00 3 of their own
// colour once the card has been used, and the channels of sRGB do better than
// the cone spaces. Truth: truth.json. The combo picture has no card; the emblem,
// whose colour is known, stands in.
func TestNeutralOnReferencePictures(t *testing.T) {
	cases := truth(t)
	cast, combo := cases["cast"], cases["combo"]
	rng := newRand()
	anchors := map[string]Anchor{
		"cast":  {rectOf(cast.Card), grey18},
		"combo": {combo.litRect(t, "emblem", rng), combo.Materials["emblem"].base()},
	}
	for _, name := range []string{"cast", "combo"} {
		c := cases[name]
		srgb, _, err := c.ref.Neutral(anchors[name])
		if err != nil {
			t.Fatal(err)
		}
		ways := []struct {
			name string
			ref  Reference
		}{
			{"none", c.ref},
			{"sRGB channels", srgb},
			{"Bradford", c.ref.byCones(t, anchors[name], bradford)},
			{"CAT16", c.ref.byCones(t, anchors[name], cat16)},
		}
		mean := map[string]float64{}
		for _, w := range ways {
			var all []float64
			for _, m := range []string{"suit", "cape", "gloves", "trim", "boots", "hair"} {
				// Chroma and hue only, at the material's own lightness: shade is
				// another matter.
				p, err := w.ref.Patch(c.litRect(t, m, newRand()))
				if err != nil {
					t.Fatal(err)
				}
				base := c.Materials[m].base()
				all = append(all, colour.Difference(shaded(p.Lab, luminance(base.L)/luminance(p.Lab.L)), base))
			}
			for _, d := range all {
				mean[w.name] += d / float64(len(all))
			}
			t.Logf("%-6s %-14s mean ΔE00 %.2f, largest %.2f", name, w.name, mean[w.name], slices.Max(all))
			if w.name == "sRGB channels" && slices.Max(all) > 3 {
				t.Errorf("%s: a material is ΔE00 %.2f off", name, slices.Max(all))
			}
		}
		if mean["sRGB channels"] > mean["Bradford"] || mean["sRGB channels"] > mean["CAT16"] || mean["sRGB channels"] > mean["none"] {
			t.Errorf("%s: the channels of sRGB are not the best: %v", name, mean)
		}
	}
}

// cat16 is the cone matrix of CAT16. Source: Li et al. (2017), Color Research and
// Application 42, table 1.
var cat16 = mat3{0.401288, 0.650173, -0.051461, -0.250268, 1.204414, 0.045854, -0.002079, 0.048952, 0.953127}

// byCones corrects by gains in a cone space, for comparison.
func (r Reference) byCones(t *testing.T, a Anchor, cones mat3) Reference {
	p, err := r.Patch(a.Rect)
	if err != nil {
		t.Fatal(err)
	}
	toXYZ, _ := xyzToLinear().inverse()
	m := cones.mul(toXYZ)
	back, _ := m.inverse()
	is := a.Colour.LinearRGB()
	f, to := m.times([3]float64{p.RGB.R, p.RGB.G, p.RGB.B}), m.times([3]float64{is.R, is.G, is.B})
	return r.corrected(matrixCorrection(back.mul(diagonal([3]float64{to[0] / f[0], to[1] / f[1], to[2] / f[2]})).mul(m)))
}

type matrixCorrection mat3

func (m matrixCorrection) apply(c colour.LinearRGB) colour.LinearRGB {
	v := mat3(m).times([3]float64{c.R, c.G, c.B})
	return colour.LinearRGB{R: v[0], G: v[1], B: v[2]}
}

// A corrected anchor reads what it is known to be.
func TestNeutralIsExactAtTheAnchor(t *testing.T) {
	r := drawn(t, 40, 20, func(x, _ int) color.NRGBA {
		if x < 20 {
			return color.NRGBA{234, 195, 137, 255} // the collar of the demo under a lantern
		}
		return color.NRGBA{104, 90, 66, 255} // the coat beside it
	})
	collar := lab(0xf3, 0xf1, 0xec)
	n, warnings, err := r.Neutral(Anchor{Rect{2, 2, 14, 16}, collar})
	if err != nil || len(warnings) > 0 {
		t.Fatal(warnings, err)
	}
	p, _ := n.Patch(Rect{2, 2, 14, 16})
	if d := colour.Difference(p.Lab, collar); d > 1e-6 {
		t.Errorf("the anchor reads ΔE00 %.2g off", d)
	}
	// The arithmetic of the demo: #685A42 beside #EAC389, with the collar at
	// #F3F1EC, is #6C7176 to a step of rounding.
	p, _ = n.Patch(Rect{24, 2, 14, 16})
	if d := colour.Difference(p.Lab, lab(0x6c, 0x71, 0x76)); d > 0.5 {
		t.Errorf("the coat reads %s", p.RGB.Hex())
	}
	// The same for colours that were read by hand.
	got, ok := RemoveCast(lab(104, 90, 66), lab(234, 195, 137), collar)
	if d := colour.Difference(got, p.Lab); !ok || d > 1e-6 {
		t.Errorf("by hand: %v, ΔE00 %.2g from the picture", ok, d)
	}
	if _, ok := RemoveCast(lab(104, 90, 66), colour.Lab{}, collar); ok {
		t.Error("a spot that reads nothing was used")
	}
}

// A neutral of unknown lightness takes the cast away and leaves the exposure.
func TestNeutralOfUnknownLightness(t *testing.T) {
	r := drawn(t, 20, 20, plain(color.NRGBA{117, 131, 157, 255}))
	n, _, err := r.Neutral(Anchor{Rect: Rect{2, 2, 16, 16}})
	if err != nil {
		t.Fatal(err)
	}
	before, _ := r.Patch(Rect{2, 2, 16, 16})
	after, _ := n.Patch(Rect{2, 2, 16, 16})
	if math.Hypot(after.Lab.A, after.Lab.B) > 0.05 || math.Abs(after.Lab.L-before.Lab.L) > 0.01 {
		t.Errorf("%v became %v", before.Lab, after.Lab)
	}
	// Beside one of known lightness it has no say in the exposure.
	two := drawn(t, 40, 20, func(x, _ int) color.NRGBA {
		if x < 20 {
			return color.NRGBA{117, 131, 157, 255}
		}
		return color.NRGBA{88, 99, 120, 255}
	})
	known := colour.Lab{L: 80}
	n, warnings, err := two.Neutral(Anchor{Rect: Rect{2, 2, 14, 16}, Colour: known}, Anchor{Rect: Rect{24, 2, 14, 16}})
	if err != nil || len(warnings) > 1 {
		t.Fatal(warnings, err)
	}
	p, _ := n.Patch(Rect{2, 2, 14, 16})
	if math.Abs(p.Lab.L-80) > 0.5 {
		t.Errorf("the anchor of known lightness reads L* %.1f", p.Lab.L)
	}
}

// Several anchors: the odd one out is named and does not pull.
func TestNeutralWithSeveralAnchors(t *testing.T) {
	shades := []uint8{120, 160, 200, 90}
	r := drawn(t, 80, 20, func(x, _ int) color.NRGBA {
		v := shades[x/20]
		if x/20 == 3 {
			return color.NRGBA{v, v, v + 60, 255} // a blue shadow falls on it
		}
		return color.NRGBA{v, v, v, 255}
	})
	var anchors []Anchor
	for i, v := range shades {
		anchors = append(anchors, Anchor{Rect{20*i + 3, 3, 14, 14}, lab(v, v, v)})
	}
	n, warnings, err := r.Neutral(anchors...)
	if err != nil {
		t.Fatal(err)
	}
	if len(warnings) != 1 || !strings.Contains(warnings[0], "63,3,14,14 disagrees with the others in colour") {
		t.Errorf("warnings %q", warnings)
	}
	p, _ := n.Patch(Rect{23, 3, 14, 14})
	if d := colour.Difference(p.Lab, lab(160, 160, 160)); d > 0.2 {
		t.Errorf("three good anchors are pulled by ΔE00 %.2f", d)
	}
}

func TestNeutralWarns(t *testing.T) {
	r := drawn(t, 80, 20, func(x, _ int) color.NRGBA {
		return [4]color.NRGBA{{255, 255, 200, 255}, {12, 12, 12, 255}, {0, 40, 60, 255}, {230, 60, 20, 255}}[x/20]
	})
	at := func(i int) Rect { return Rect{20*i + 3, 3, 14, 14} }
	white := colour.Lab{L: 95}
	for name, row := range map[string]struct {
		anchors []Anchor
		want    string
		fails   bool
	}{
		"burnt out":         {[]Anchor{{at(0), white}}, "burnt out in 100 %", false},
		"dark":              {[]Anchor{{at(1), white}}, "very dark", false},
		"outside":           {[]Anchor{{Rect{70, 3, 14, 14}, white}}, "outside the picture", true},
		"too small":         {[]Anchor{{Rect{3, 3, 2, 2}, white}}, "at least 4 × 4", true},
		"channel at zero":   {[]Anchor{{at(2), white}}, "reads nothing", true},
		"coloured":          {[]Anchor{{at(3), white}}, "very strong", false},
		"beyond the screen": {[]Anchor{{at(3), colour.Lab{L: 50, A: 90, B: 90}}}, "outside what a screen can show", true},
	} {
		n, warnings, err := r.Neutral(row.anchors...)
		if !strings.Contains(strings.Join(warnings, "\n"), row.want) {
			t.Errorf("%s: warnings %q", name, warnings)
		}
		if errors.Is(err, ErrAnchor) != row.fails || n.Anchored() == row.fails {
			t.Errorf("%s: error %v, anchored %v", name, err, n.Anchored())
		}
	}
	if n, warnings, err := r.Neutral(); err != nil || warnings != nil || n.Anchored() {
		t.Errorf("no anchor: %v, %v", warnings, err)
	}
	// A burnt-out anchor has no say beside a good one.
	two := drawn(t, 40, 20, func(x, _ int) color.NRGBA {
		if x < 20 {
			return color.NRGBA{255, 255, 255, 255}
		}
		return color.NRGBA{100, 110, 120, 255}
	})
	n, _, err := two.Neutral(Anchor{at(0), white}, Anchor{at(1), colour.Lab{L: 50}})
	if err != nil {
		t.Fatal(err)
	}
	if p, _ := n.Patch(at(1)); math.Abs(p.Lab.L-50) > 0.01 || len(n.Anchors()) != 1 {
		t.Errorf("the good anchor reads %v; anchors %v", p.Lab, n.Anchors())
	}
}

// The guess at a cast. Truth: the light with which the reference pictures were
// rendered. A guess within 5 degrees is what the published methods reach
// (van de Weijer 2007); it is confident only where there is a cast, and never
// applied.
func TestGuessCast(t *testing.T) {
	within := 0
	for name, c := range truth(t) {
		light := [3]float64{1, 1, 1}
		if c.Gains != nil {
			light = [3]float64{c.Gains[0], c.Gains[1], c.Gains[2]}
		}
		g := c.ref.GuessCast()
		miss := angle(unit([3]float64{g.Light.R, g.Light.G, g.Light.B}), unit(light))
		if miss <= 5 {
			within++
		}
		t.Logf("%-8s misses by %4.1f°, ΔE00 on white %4.1f, confidence %.2f %s", name, miss, g.Strength, g.Confidence, g.Words)
		switch name {
		case "cast", "combo":
			if g.Words == "" || !strings.Contains(g.Question(), g.Words) {
				t.Errorf("%s: no cast seen: %+v", name, g)
			}
		default:
			if g.Question() != "" {
				t.Errorf("%s: a cast is seen where there is none: %+v", name, g)
			}
		}
		if c.ref.Anchored() {
			t.Errorf("%s: the guess was applied", name)
		}
	}
	if within < 9 {
		t.Errorf("%d of 10 within 5 degrees", within)
	}
	c := truth(t)["cast"].ref
	g := c.GuessCast()
	without := c.WithoutCast(g)
	if without.Anchored() {
		t.Error("a guess counts as an anchor")
	}
	if again := without.GuessCast(); again.Words != "" {
		t.Errorf("once removed, the cast is seen again: %+v", again)
	}
	if n, _, err := without.Neutral(Anchor{rectOf(truth(t)["cast"].Card), grey18}); err != nil || !n.Anchored() {
		t.Errorf("an anchor after a guess: %v", err)
	}
}
