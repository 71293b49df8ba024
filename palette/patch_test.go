package palette

import (
	"errors"
	"image"
	"image/color"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"undercoat/palette/colour"
)

// drawn makes a picture of w × h from a function of its pixels.
func drawn(t testing.TB, w, h int, at func(x, y int) color.NRGBA) Reference {
	t.Helper()
	m := image.NewNRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			m.SetNRGBA(x, y, at(x, y))
		}
	}
	return encodePNG(t, m)
}

// plain is one colour all over.
func plain(c color.NRGBA) func(x, y int) color.NRGBA {
	return func(int, int) color.NRGBA { return c }
}

func lab(r, g, b uint8) colour.Lab { return colour.DecodeSRGB8(r, g, b).Lab() }

// The mean is taken in linear light: half black and half white threads look like
// the grey of linear 0.5, sRGB 188, not 128 (IEC 61966-2-1).
func TestMeanInLinearLight(t *testing.T) {
	r := drawn(t, 40, 40, func(x, y int) color.NRGBA {
		v := uint8(255 * ((x + y) % 2))
		return color.NRGBA{v, v, v, 255}
	})
	p, err := r.Patch(Rect{4, 4, 30, 30})
	if err != nil {
		t.Fatal(err)
	}
	if p.RGB.Hex() != "#bcbcbc" || p.Count != 900 {
		t.Errorf("a checkerboard reads %s from %d pixels", p.RGB.Hex(), p.Count)
	}
}

// A weave of four dark threads to one light is averaged whole, though its light
// threads are far from the median: the linear mean of the drawn colours.
func TestWeaveIsAveraged(t *testing.T) {
	dark, light := color.NRGBA{40, 60, 90, 255}, color.NRGBA{190, 180, 150, 255}
	r := drawn(t, 100, 100, func(x, y int) color.NRGBA {
		if (x+2*y)%5 == 0 {
			return light
		}
		return dark
	})
	p, err := r.Patch(Rect{10, 10, 80, 80})
	if err != nil {
		t.Fatal(err)
	}
	d, l := colour.DecodeSRGB8(40, 60, 90), colour.DecodeSRGB8(190, 180, 150)
	want := colour.LinearRGB{R: 0.8*d.R + 0.2*l.R, G: 0.8*d.G + 0.2*l.G, B: 0.8*d.B + 0.2*l.B}.Lab()
	if diff := colour.Difference(p.Lab, want); diff > 0.1 || p.Count != 6400 {
		t.Errorf("ΔE00 %.2f from the mean of the threads, %d pixels", diff, p.Count)
	}
}

// A lamp's spot, an ink line, a hole and a neighbour of another colour are left
// out and counted; the rest is the drawn colour.
func TestPatchLeavesOut(t *testing.T) {
	own := color.NRGBA{108, 113, 118, 255}
	r := drawn(t, 60, 60, func(x, y int) color.NRGBA {
		switch {
		case (x-20)*(x-20)+(y-20)*(y-20) < 25:
			return color.NRGBA{250, 248, 240, 255} // glare
		case y == 40:
			return color.NRGBA{15, 15, 18, 255} // ink
		case x >= 50:
			return color.NRGBA{30, 60, 160, 255} // another material
		case x < 12 && y > 45:
			return color.NRGBA{255, 0, 255, 0} // cut out
		}
		return own
	})
	p, err := r.Patch(Rect{2, 2, 56, 56})
	if err != nil {
		t.Fatal(err)
	}
	if d := colour.Difference(p.Lab, lab(108, 113, 118)); d > 0.01 {
		t.Errorf("reads ΔE00 %.2f off", d)
	}
	if p.Glare != 69 { // lattice points within a circle of radius under 5
		t.Errorf("glare %d, want 69", p.Glare)
	}
	if p.Shadow < 48 || p.Clear != 10*12 || p.Edge < 8*50 {
		t.Errorf("shadow %d, clear %d, edge %d", p.Shadow, p.Clear, p.Edge)
	}
	if all := p.Count + p.Glare + p.Shadow + p.Edge + p.Clear; all != 56*56 {
		t.Errorf("%d pixels counted of %d", all, 56*56)
	}
}

// Pixels beside an edge that lies just outside the rectangle are trimmed too.
func TestPatchSeesItsSurroundings(t *testing.T) {
	r := drawn(t, 40, 40, func(x, y int) color.NRGBA {
		switch {
		case x < 19:
			return color.NRGBA{200, 60, 40, 255}
		case x == 19: // mixed pixels, as a camera makes them
			return color.NRGBA{186, 66, 54, 255}
		}
		return color.NRGBA{20, 30, 60, 255}
	})
	p, err := r.Patch(Rect{4, 4, 16, 16}) // its last column is the mixed one
	if err != nil {
		t.Fatal(err)
	}
	if d := colour.Difference(p.Lab, lab(200, 60, 40)); d > 0.05 || p.Edge < 16 {
		t.Errorf("reads ΔE00 %.2f off, %d pixels trimmed", d, p.Edge)
	}
}

// Noise averages out: one pixel is off by about ΔE00 9, the mean of 900 by a
// thirtieth of that; the tolerance is three times as much.
func TestPatchUnderNoise(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	n := func(v float64) uint8 { return clamp8(v + 10*rng.NormFloat64()) }
	r := drawn(t, 60, 60, func(int, int) color.NRGBA { return color.NRGBA{n(108), n(113), n(118), 255} })
	p, err := r.Patch(Rect{10, 10, 30, 30})
	if err != nil {
		t.Fatal(err)
	}
	if d := colour.Difference(p.Lab, lab(108, 113, 118)); d > 0.9 {
		t.Errorf("reads ΔE00 %.2f off: %+v", d, p)
	}
	if p.Count < 800 || p.Spread < 5 || p.Spread > 12 {
		t.Errorf("%d pixels, spread %.1f", p.Count, p.Spread)
	}
}

// A patch read on a grid agrees with the drawn colour, whatever the weave.
func TestLargePatchIsSampled(t *testing.T) {
	r := drawn(t, 900, 900, func(x, y int) color.NRGBA {
		v := uint8(100 + 40*((x/2+y/2)%2))
		return color.NRGBA{v, v, v, 255}
	})
	p, err := r.Patch(Rect{0, 0, 900, 900})
	if err != nil {
		t.Fatal(err)
	}
	a, b := colour.DecodeSRGB8(100, 100, 100), colour.DecodeSRGB8(140, 140, 140)
	want := colour.LinearRGB{R: (a.R + b.R) / 2, G: (a.G + b.G) / 2, B: (a.B + b.B) / 2}.Lab()
	if d := colour.Difference(p.Lab, want); d > 0.2 || p.Count > maxPatchSample || p.Count < maxPatchSample/2 {
		t.Errorf("ΔE00 %.2f from the mean, %d pixels", d, p.Count)
	}
}

func TestPatchRefuses(t *testing.T) {
	grey := drawn(t, 30, 20, plain(color.NRGBA{90, 90, 90, 255}))
	clear := drawn(t, 30, 20, plain(color.NRGBA{90, 90, 90, 0}))
	for name, row := range map[string]struct {
		r    Reference
		at   Rect
		want string
	}{
		"outside right": {grey, Rect{20, 5, 11, 10}, "outside the picture of 30 × 20"},
		"outside left":  {grey, Rect{-1, 5, 10, 10}, "outside the picture"},
		"one pixel":     {grey, Rect{5, 5, 1, 1}, "at least 4 × 4"},
		"three rows":    {grey, Rect{5, 5, 20, 3}, "at least 4 × 4"},
		"transparent":   {clear, Rect{5, 5, 10, 10}, "not transparent"},
		"huge":          {grey, Rect{5, 5, math.MaxInt, math.MaxInt}, "outside the picture"},
	} {
		_, err := row.r.Patch(row.at)
		if !errors.Is(err, ErrPatch) || !strings.Contains(err.Error(), row.want) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// Clipped pixels are told by the file's own scale, not by the corrected value.
func TestPatchCountsClipping(t *testing.T) {
	r := drawn(t, 20, 20, func(x, _ int) color.NRGBA {
		if x < 10 {
			return color.NRGBA{255, 240, 20, 255}
		}
		return color.NRGBA{250, 238, 0, 255}
	})
	dim := r.corrected(gains{0.5, 0.5, 0.5})
	p, err := dim.Patch(Rect{0, 0, 20, 20})
	if err != nil {
		t.Fatal(err)
	}
	if p.ClippedHigh != 0.5 || p.ClippedLow != 0.5 {
		t.Errorf("clipped %.2f at the top, %.2f at the bottom", p.ClippedHigh, p.ClippedLow)
	}
}

// A turned picture gives the same patch at the turned rectangle.
func TestPatchUpright(t *testing.T) {
	a, err := mustOpen(t, picture("quad_orient6.tif")).Patch(Rect{2, 2, 18, 26})
	if err != nil {
		t.Fatal(err)
	}
	if a.RGB.Hex() != "#1e3ca0" { // the left bottom quadrant stands left top
		t.Errorf("reads %s", a.RGB.Hex())
	}
}

// The slope is how far the lightness runs over the patch: drawn from L* 40 to 60.
func TestPatchSlope(t *testing.T) {
	r := drawn(t, 64, 64, func(x, _ int) color.NRGBA {
		red, green, blue := colour.EncodeSRGB8(colour.Lab{L: 40 + 20*float64(x)/63}.LinearRGB())
		return color.NRGBA{red, green, blue, 255}
	})
	p, err := r.Patch(Rect{0, 0, 64, 64})
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(p.Slope-20) > 0.5 {
		t.Errorf("slope %.2f, drawn 20", p.Slope)
	}
}

func TestParseRect(t *testing.T) {
	for s, want := range map[string]Rect{
		"1,2,3,4":               {1, 2, 3, 4},
		" 10 , 0 ,  5 , 6 ":     {10, 0, 5, 6},
		"0,0,100000,1000000000": {0, 0, 100000, 1000000000},
	} {
		if got, err := ParseRect(s); err != nil || got != want {
			t.Errorf("%q: %v, %v", s, got, err)
		}
	}
	for s, want := range map[string]string{
		"":                          "wanted x,y,w,h",
		"1,2,3":                     "wanted x,y,w,h",
		"1,2,3,4,5":                 "wanted x,y,w,h",
		"1,2,3,x":                   `"x" is not a whole number`,
		"1.5,2,3,4":                 "whole number",
		"-1,2,3,4":                  "left of or above",
		"1,2,0,4":                   "at least 1",
		"1,2,3,99999999999":         "whole number",
		"2147483647,0,2147483647,1": "too large",
	} {
		if _, err := ParseRect(s); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %q", s, err, want)
		}
	}
}

// Printed and read again, a rectangle is itself.
func TestRectRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := Rect{
			rapid.IntRange(0, 1<<29).Draw(t, "x"), rapid.IntRange(0, 1<<29).Draw(t, "y"),
			rapid.IntRange(1, 1<<29).Draw(t, "w"), rapid.IntRange(1, 1<<29).Draw(t, "h"),
		}
		var out Rect
		if err := out.Set(in.String()); err != nil || out != in {
			t.Fatalf("%v came back as %v, %v", in, out, err)
		}
	})
}

func FuzzParseRect(f *testing.F) {
	for _, s := range []string{"1,2,3,4", " 0, 0 ,1,1", "-1,2,3,4", "1,2,3,99999999999999999999", "a,b,c,d", ",,,"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		r, err := ParseRect(s)
		if err != nil {
			return
		}
		if again, err := ParseRect(r.String()); err != nil || again != r {
			t.Fatalf("%q: %v, then %v, %v", s, r, again, err)
		}
		if r.X < 0 || r.Y < 0 || r.W < 1 || r.H < 1 || r.X+r.W < 0 || r.Y+r.H < 0 {
			t.Fatalf("%q gave %v", s, r)
		}
	})
}

// Thumbnails: upright, inside the size, never enlarged, and reduced in linear
// light (a fine checkerboard becomes 188, not 128).
func TestThumbnail(t *testing.T) {
	check := drawn(t, 400, 200, func(x, y int) color.NRGBA {
		v := uint8(255 * ((x + y) % 2))
		return color.NRGBA{v, v, v, 255}
	})
	m := check.Thumbnail(100, 100)
	if m.Bounds().Dx() != 100 || m.Bounds().Dy() != 50 {
		t.Fatalf("size %v", m.Bounds())
	}
	if c := m.NRGBAAt(50, 25); c.R < 187 || c.R > 189 {
		t.Errorf("a checkerboard became %v", c)
	}
	turned := mustOpen(t, picture("quad_exif6.jpg")).Thumbnail(24, 400)
	if turned.Bounds().Dx() != 24 || turned.Bounds().Dy() != 32 {
		t.Fatalf("turned: size %v", turned.Bounds())
	}
	if c := turned.NRGBAAt(4, 4); !near([3]uint8{c.R, c.G, c.B}, quad[2], 2) {
		t.Errorf("turned: left top is %v", c)
	}
	if small := mustOpen(t, picture("quad.png")).Thumbnail(500, 500); small.Bounds().Dx() != 64 {
		t.Errorf("enlarged to %v", small.Bounds())
	}
	if none := (Reference{}).Thumbnail(10, 10); none.Bounds().Dx() != 0 {
		t.Errorf("a thumbnail of nothing: %v", none.Bounds())
	}
	alpha := mustOpen(t, picture("quad_alpha.png")).Thumbnail(32, 24)
	if c := alpha.NRGBAAt(28, 12); c.A != 0 {
		t.Errorf("a transparent corner became %v", c)
	}
}
