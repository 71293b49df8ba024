package palette

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"math"
	"os"
	"reflect"
	"runtime"
	"slices"
	"strings"
	"testing"

	"github.com/disintegration/imaging"

	"undercoat/palette/colour"
)

// caseOrder is the order of the cases in the printed table.
var caseOrder = []string{"shading", "greys", "cast", "fluo", "trim", "pixel8", "jpeg40", "alpha", "grain", "combo"}

// tolerance of a colour that counts as found, in ΔE00.
const foundWithin = 3

// caseScore is how a palette does on a reference picture. Cards are no
// materials: they are not counted as found, nor as false.
type caseScore struct {
	of     int      // true materials
	found  int      // a base within 3 of the own colour, or, without an anchor, of the median as rendered
	own    int      // a base within 3 of the own colour
	seen   int      // a middle within 3 of the median as rendered
	trim   bool     // the trim was found, or there is none
	extra  int      // entries that are near no true material
	detail []string // one line a material
}

func score(c *truthCase, p Palette, anchored bool) (s caseScore) {
	s.trim = true
	used := make([]bool, len(p.Materials))
	for _, name := range c.names() {
		m := c.Materials[name]
		seen := colour.Lab{L: m.Observed[0], A: m.Observed[1], B: m.Observed[2]}
		own, rendered, middle, at := math.Inf(1), math.Inf(1), math.Inf(1), -1
		for i, e := range p.Materials {
			d, o := colour.Difference(e.Base, m.base()), colour.Difference(e.Base, seen)
			if d < own {
				own, at = d, i
			}
			rendered = min(rendered, o)
			middle = min(middle, colour.Difference(e.Middle, seen))
			if d <= foundWithin || !anchored && o <= foundWithin {
				used[i] = true
			}
		}
		if strings.HasPrefix(name, "card") {
			continue
		}
		found := own <= foundWithin || !anchored && rendered <= foundWithin
		s.of++
		s.found += count(found)
		s.own += count(own <= foundWithin)
		s.seen += count(middle <= foundWithin)
		if name == "trim" {
			s.trim = found
		}
		var base colour.Lab
		if at >= 0 {
			base = p.Materials[at].Base
		}
		mark := "    "
		if !found {
			mark = "LOST"
		}
		s.detail = append(s.detail, fmt.Sprintf("  %s %-8s true %6.1f read %6.1f: ΔE00 %5.2f to the own colour, %5.2f to the median as rendered", mark, name, m.base(), base, own, rendered))
	}
	for _, u := range used {
		s.extra += count(!u)
	}
	return s
}

func count(b bool) int {
	if b {
		return 1
	}
	return 0
}

// read opens a case as a maker would: by the grey card where there is one.
func (c *truthCase) read(t *testing.T) (r Reference, anchored bool) {
	if c.Card == nil {
		return c.ref, false
	}
	r, _, err := c.ref.Neutral(Anchor{Rect: Rect{c.Card[0], c.Card[1], c.Card[2], c.Card[3]}})
	if err != nil {
		t.Fatal(err)
	}
	return r, true
}

// Source of the truth: ../shared/reference/images/truth.json, made with the
// pictures. Bounds: 0.90 of 88 found is what the project asks for, 62 of 88 by
// own colour alone, the trim never lost, at most three entries beyond. The bounds
// below are what is reached, less one or two for rounding on other processors.
func TestMaterialsOfReferencePictures(t *testing.T) {
	all := truth(t)
	var sum caseScore
	for _, name := range caseOrder {
		c := all[name]
		r, anchored := c.read(t)
		p, err := r.Materials(MaterialOptions{})
		if err != nil {
			t.Fatal(err)
		}
		s := score(c, p, anchored)
		t.Logf("%-8s found %2d of %2d, own colour %2d, entries %2d, beyond the true ones %d\n%s", name, s.found, s.of, s.own, len(p.Materials), s.extra, strings.Join(s.detail, "\n"))
		if !s.trim {
			t.Errorf("%s: the trim is lost", name)
		}
		if s.extra > 3 {
			t.Errorf("%s: %d entries beyond the true materials", name, s.extra)
		}
		sum.of, sum.found, sum.own = sum.of+s.of, sum.found+s.found, sum.own+s.own
		lawful(t, name, p)
	}
	t.Logf("all: found %d of %d (%.3f), own colour %d", sum.found, sum.of, float64(sum.found)/float64(sum.of), sum.own)
	if sum.found < 85 || sum.own < 81 {
		t.Errorf("found %d, own colour %d of %d; 86 and 83 were reached", sum.found, sum.own, sum.of)
	}
}

// At twelve colours: ../shared/design/performance.md, P4 (the median as rendered
// of at least 79 of 88, without the card) and P5 (the own colour of at least 62
// of 88, with the card).
func TestTwelveColoursOfReferencePictures(t *testing.T) {
	all := truth(t)
	seen, own, of := 0, 0, 0
	for _, name := range caseOrder {
		c := all[name]
		plain, err := c.ref.Materials(MaterialOptions{Colours: 12})
		if err != nil {
			t.Fatal(err)
		}
		r, anchored := c.read(t)
		p, err := r.Materials(MaterialOptions{Colours: 12})
		if err != nil {
			t.Fatal(err)
		}
		if len(p.Materials) != 12 {
			t.Errorf("%s: %d entries of 12", name, len(p.Materials))
		}
		lawful(t, name, p)
		a, b := score(c, plain, false), score(c, p, anchored)
		t.Logf("%-8s seen %2d, own %2d of %2d", name, a.seen, b.own, a.of)
		seen, own, of = seen+a.seen, own+b.own, of+a.of
		if !a.trim {
			t.Errorf("%s: the trim is lost at twelve colours", name)
		}
	}
	t.Logf("all: seen %d, own %d of %d", seen, own, of)
	if seen < 79 || own < 62 {
		t.Errorf("seen %d (79 wanted), own %d (62 wanted)", seen, own)
	}
}

// lawful checks what always holds of a palette.
func lawful(t *testing.T, name string, p Palette) {
	t.Helper()
	share := 0.0
	for i, m := range p.Materials {
		share += m.Share
		if m.Shadow.L > m.Base.L || m.Base.L > m.Light.L {
			t.Errorf("%s: entry %d: L* %.2f ≤ %.2f ≤ %.2f does not hold", name, i, m.Shadow.L, m.Base.L, m.Light.L)
		}
		if m.Share <= 0 || m.Confidence < 0 || m.Confidence > 1 || math.IsNaN(m.Spread) || m.Spread < 0 {
			t.Errorf("%s: entry %d: share %v, confidence %v, spread %v", name, i, m.Share, m.Confidence, m.Spread)
		}
		if i > 0 && m.Share > p.Materials[i-1].Share {
			t.Errorf("%s: entry %d is larger than the one before", name, i)
		}
		if len(m.Parts) == 0 || m.Bounds.W < 1 {
			t.Errorf("%s: entry %d lies nowhere", name, i)
		}
	}
	if share > 1+1e-9 {
		t.Errorf("%s: shares sum to %v", name, share)
	}
}

// A colour brighter than white in one channel is told from the shaded part of
// the same thing, and flagged: fluo in truth.json is clipped in the picture.
func TestFluorescentIsFlagged(t *testing.T) {
	c := truth(t)["fluo"]
	p, err := c.ref.Materials(MaterialOptions{})
	if err != nil {
		t.Fatal(err)
	}
	want := c.Materials["fluo"].base()
	i := nearest(p, want)
	m := p.Materials[i]
	if !m.AtScreenLimit || !m.BeyondSurface {
		t.Errorf("fluorescent read as %.1f: at the screen's limit %v, beyond surfaces %v", m.Base, m.AtScreenLimit, m.BeyondSurface)
	}
	for _, name := range []string{"cape", "suit", "gloves", "skin"} {
		if m := p.Materials[nearest(p, c.Materials[name].base())]; m.AtScreenLimit || m.BeyondSurface {
			t.Errorf("%s is flagged too", name)
		}
	}
}

func nearest(p Palette, l colour.Lab) int {
	best, at := math.Inf(1), -1
	for i, m := range p.Materials {
		if d := colour.Difference(m.Base, l); d < best {
			best, at = d, i
		}
	}
	return at
}

// The loud colour under clear pixels is not in the picture.
func TestClearPixelsAreNoMaterial(t *testing.T) {
	p, err := truth(t)["alpha"].ref.Materials(MaterialOptions{})
	if err != nil {
		t.Fatal(err)
	}
	magenta := colour.LinearRGB{R: 1, B: 1}.Lab()
	for _, m := range p.Materials {
		if d := colour.Difference(m.Base, magenta); d < 10 {
			t.Errorf("an entry %.1f lies ΔE00 %.1f from the colour of clear pixels", m.Base, d)
		}
	}
}

// Same file, same palette, whatever the number of cores (performance.md, P6).
func TestMaterialsDoNotDependOnCores(t *testing.T) {
	all := truth(t)
	for _, name := range []string{"grain", "jpeg40", "pixel8"} {
		for _, k := range []int{0, 12} {
			var first Palette
			for i, cores := range []int{1, 2, 3, 7, 1} {
				old := runtime.GOMAXPROCS(cores)
				p, err := all[name].ref.Materials(MaterialOptions{Colours: k})
				runtime.GOMAXPROCS(old)
				if err != nil {
					t.Fatal(err)
				}
				if i == 0 {
					first = p
				} else if !reflect.DeepEqual(p.Materials, first.Materials) {
					t.Errorf("%s, %d colours: %d cores give another palette", name, k, cores)
				}
			}
		}
	}
}

// steadiness is how much of one palette, by number of entries weighed alike, is
// within 2 ΔE00 of an entry of another.
func steadiness(a, b Palette) float64 {
	n := 0
	for _, m := range a.Materials {
		if i := nearest(b, m.Base); i >= 0 && colour.Difference(b.Materials[i].Base, m.Base) <= 2 {
			n++
		}
	}
	return float64(n) / float64(max(1, len(a.Materials)))
}

// How steady a palette is when the same picture is turned, mirrored, resized or
// saved again: the share of its entries that come back within ΔE00 2. The bounds
// are what is reached over the reference pictures, less a little.
func TestMaterialsAreSteady(t *testing.T) {
	all := truth(t)
	changes := []struct {
		name  string
		to    func(image.Image) image.Image
		least float64 // mean share of entries that come back
	}{
		{"mirrored", func(m image.Image) image.Image { return imaging.FlipH(m) }, 0.90},
		{"upside down", func(m image.Image) image.Image { return imaging.Rotate180(m) }, 0.90},
		{"a quarter turn", func(m image.Image) image.Image { return imaging.Rotate90(m) }, 0.90},
		{"turned by 7°", func(m image.Image) image.Image { return imaging.Rotate(m, 7, color.NRGBA{}) }, 0.80},
		{"half the size", func(m image.Image) image.Image {
			return imaging.Resize(m, m.Bounds().Dx()/2, 0, imaging.Lanczos)
		}, 0.80},
		{"twice the size", func(m image.Image) image.Image {
			return imaging.Resize(m, m.Bounds().Dx()*2, 0, imaging.CatmullRom)
		}, 0.80},
		{"saved again at quality 80", func(m image.Image) image.Image {
			var b bytes.Buffer
			if err := jpeg.Encode(&b, m, &jpeg.Options{Quality: 80}); err != nil {
				panic(err)
			}
			n, err := jpeg.Decode(&b)
			if err != nil {
				panic(err)
			}
			return n
		}, 0.80},
	}
	names := []string{"shading", "greys", "trim", "grain", "jpeg40"}
	for _, c := range changes {
		sum, line := 0.0, ""
		for _, name := range names {
			r := all[name].ref
			before, err := r.Materials(MaterialOptions{})
			if err != nil {
				t.Fatal(err)
			}
			m, clear, err := concrete(c.to(r.src.img))
			if err != nil {
				t.Fatal(err)
			}
			after, err := Reference{src: &source{img: m, alpha: clear, lens: r.src.lens, format: r.src.format, quality: r.src.quality}}.Materials(MaterialOptions{})
			if err != nil {
				t.Fatal(err)
			}
			v := steadiness(before, after)
			sum += v
			line += fmt.Sprintf("  %s %.2f (%d → %d)", name, v, len(before.Materials), len(after.Materials))
		}
		mean := sum / float64(len(names))
		t.Logf("%-26s %.2f:%s", c.name, mean, line)
		if mean < c.least {
			t.Errorf("%s: %.2f of the entries come back, %.2f wanted", c.name, mean, c.least)
		}
	}
}

// painted makes a picture from a colour at each place.
func painted(w, h int, at func(x, y int) color.NRGBA) Reference {
	m := image.NewNRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			m.SetNRGBA(x, y, at(x, y))
		}
	}
	return Reference{src: &source{img: m, lens: sRGBLens(), format: "PNG"}}
}

func TestMaterialsOfOddPictures(t *testing.T) {
	red := color.NRGBA{180, 30, 40, 255}
	flat := func(x, y int) color.NRGBA { return red }
	for _, c := range []struct {
		name   string
		r      Reference
		least  int
		colour int
	}{
		{"one pixel", painted(1, 1, flat), 0, 0},
		{"one row", painted(500, 1, flat), 0, 0},
		{"one column", painted(1, 500, flat), 0, 0},
		{"eight by eight", painted(8, 8, flat), 0, 0},
		{"one flat colour", painted(300, 200, flat), 1, 0},
		{"one flat colour, five wanted", painted(300, 200, flat), 1, 5},
		{"two halves", painted(300, 200, func(x, y int) color.NRGBA {
			if x < 150 {
				return red
			}
			return color.NRGBA{20, 60, 160, 255}
		}), 2, 0},
		{"two halves, one wanted", painted(300, 200, func(x, y int) color.NRGBA {
			if x < 150 {
				return red
			}
			return color.NRGBA{20, 60, 160, 255}
		}), 1, 1},
		{"noise", painted(200, 200, func(x, y int) color.NRGBA {
			n := uint32(x*7919+y*104729) * 2654435761
			return color.NRGBA{uint8(n >> 8), uint8(n >> 16), uint8(n >> 24), 255}
		}), 0, 0},
		{"black", painted(200, 200, func(x, y int) color.NRGBA { return color.NRGBA{0, 0, 0, 255} }), 1, 0},
		{"white", painted(200, 200, func(x, y int) color.NRGBA { return color.NRGBA{255, 255, 255, 255} }), 1, 0},
	} {
		p, err := c.r.Materials(MaterialOptions{Colours: c.colour})
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		lawful(t, c.name, p)
		if len(p.Materials) < c.least || c.colour > 0 && len(p.Materials) > c.colour {
			t.Errorf("%s: %d entries", c.name, len(p.Materials))
		}
	}
}

func TestMaterialsRefuses(t *testing.T) {
	clear := painted(100, 100, func(x, y int) color.NRGBA { return color.NRGBA{} })
	if _, err := clear.Materials(MaterialOptions{}); !errors.Is(err, ErrNoPixels) {
		t.Errorf("wholly clear: %v", err)
	}
	if _, err := (Reference{}).Materials(MaterialOptions{}); !errors.Is(err, ErrNoPixels) {
		t.Errorf("empty: %v", err)
	}
	for _, n := range []int{-1, MaxColours + 1} {
		if _, err := clear.Materials(MaterialOptions{Colours: n}); err == nil {
			t.Errorf("%d colours: no error", n)
		}
	}
}

// A picture that must be turned gives the palette of the upright one, and says
// where things lie in upright pixels.
func TestMaterialsOfTurnedPicture(t *testing.T) {
	r := painted(400, 200, func(x, y int) color.NRGBA {
		if x >= 300 && y < 80 {
			return color.NRGBA{200, 40, 40, 255}
		}
		return color.NRGBA{60, 90, 120, 255}
	})
	// 6: stands upright after a quarter turn clockwise.
	turned := Reference{src: &source{img: r.src.img, lens: r.src.lens, format: "PNG", turn: 6}}
	p, err := turned.Materials(MaterialOptions{})
	if err != nil {
		t.Fatal(err)
	}
	m := p.Materials[nearest(p, colour.DecodeSRGB8(200, 40, 40).Lab())]
	c, ok := turned.At(m.Bounds.X+m.Bounds.W/2, m.Bounds.Y+m.Bounds.H/2)
	if !ok || colour.Difference(c.Lab(), m.Base) > 1 {
		t.Errorf("at the middle of %v the picture shows %.1f, the material is %.1f", m.Bounds, c.Lab(), m.Base)
	}
	if m.Bounds.X < 110 || m.Bounds.Y < 290 {
		t.Errorf("the red corner lies at %v; wanted at the bottom right of 200 × 400", m.Bounds)
	}
}

// Overlays are looked at by people; here they must only be pictures of a sane
// size that differ where the palette does. Set OVERLAYS to a folder to keep them.
func TestOverlay(t *testing.T) {
	all := truth(t)
	dir := os.Getenv("OVERLAYS")
	for _, name := range caseOrder {
		if dir == "" && name != "combo" {
			continue
		}
		r, _ := all[name].read(t)
		p, err := r.Materials(MaterialOptions{})
		if err != nil {
			t.Fatal(err)
		}
		var b bytes.Buffer
		if err := p.Overlay(&b, r); err != nil {
			t.Fatal(err)
		}
		m, err := png.Decode(bytes.NewReader(b.Bytes()))
		if err != nil {
			t.Fatal(err)
		}
		if w, _ := r.Size(); m.Bounds().Dx() != w {
			t.Errorf("%s: the overlay is %d wide", name, m.Bounds().Dx())
		}
		if dir != "" {
			if err := os.WriteFile(dir+"/"+name+".png", b.Bytes(), 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
	if err := (Palette{}).Overlay(&bytes.Buffer{}, Reference{}); err == nil {
		t.Error("an empty palette was drawn")
	}
}

// The cube root of the cells: against math.Cbrt, relative error below 2e-6.
func TestRoot3(t *testing.T) {
	for _, x := range []float32{0, 1e-7, 0.001, 0.18, 0.5, 1, 1.34, 7, -0.02} {
		want := math.Cbrt(float64(x))
		if d := math.Abs(float64(root3(x)) - want); d > 2e-6*math.Abs(want) {
			t.Errorf("cube root of %v: %v, wanted %v", x, root3(x), want)
		}
	}
}

// Blocks of a pixelated picture are found at any place and size, and ordinary
// pictures have none.
func TestBlocks(t *testing.T) {
	for _, side := range []int{2, 3, 5, 8, 16} {
		for _, off := range []int{0, 1, side - 1} {
			r := painted(40*side, 30*side, func(x, y int) color.NRGBA {
				n := uint32((x+off)/side*7919+(y+off)/side*104729) * 2654435761
				return color.NRGBA{uint8(n >> 8), uint8(n >> 16), uint8(n >> 24), 255}
			})
			want := blocking{side, (side - off) % side, (side - off) % side}
			if got := blocksOf(r.src.img); got != want {
				t.Errorf("blocks of %d from %d: %+v", side, off, got)
			}
		}
	}
	for name, c := range truth(t) {
		if got := blocksOf(c.ref.src.img).side; got != 1 && name != "pixel8" || got != 8 && name == "pixel8" {
			t.Errorf("%s: blocks of %d", name, got)
		}
	}
}

// A line of the same colour everywhere splits off neither as shade nor as glare;
// glare and body are told apart exactly where the body has chroma.
func TestBodyAndGlare(t *testing.T) {
	u := rgb32{0.37, 0.01, 0.02}
	c := rgb32{0.8*0.37 + 0.1, 0.8*0.01 + 0.1, 0.8*0.02 + 0.1}
	s, m, sure := bodyAndGlare(u, c)
	if !sure || math.Abs(float64(s)-0.8) > 1e-5 || math.Abs(float64(m)-0.1) > 1e-5 {
		t.Errorf("body %v, glare %v, sure %v; wanted 0.8 and 0.1", s, m, sure)
	}
	if _, _, sure := bodyAndGlare(rgb32{0.3, 0.3, 0.3}, rgb32{0.5, 0.5, 0.5}); sure {
		t.Error("glare on grey cannot be told from light")
	}
}

// Two greys of ΔE00 4 in different parts stay two.
func TestNearGreysStayApart(t *testing.T) {
	c := truth(t)["greys"]
	p, err := c.ref.Materials(MaterialOptions{})
	if err != nil {
		t.Fatal(err)
	}
	a, b := nearest(p, c.Materials["grey_a"].base()), nearest(p, c.Materials["grey_b"].base())
	if a == b {
		t.Fatalf("both greys are read as %.1f", p.Materials[a].Base)
	}
	if d := colour.Difference(p.Materials[a].Base, p.Materials[b].Base); d < 3 || d > 5 {
		t.Errorf("the greys are read ΔE00 %.1f apart; they are 4.0", d)
	}
	if !slices.ContainsFunc(p.Materials[a].Parts, func(r Rect) bool { return r.X < 300 && r.W > 100 }) {
		t.Errorf("grey_a lies at %v", p.Materials[a].Parts)
	}
}
