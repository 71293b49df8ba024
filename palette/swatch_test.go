package palette

import (
	"errors"
	"image/color"
	"strings"
	"testing"

	"undercoat/palette/colour"
)

// swatchPhoto draws a photograph under a warm light: a grey card at the left and
// a swatch at the right, of which at gives the true 8-bit colour.
func swatchPhoto(t *testing.T, at func(x, y int) [3]uint8) (Reference, Anchor) {
	t.Helper()
	warm := gains{1.1, 1, 0.75}
	cast := func(c [3]uint8) color.NRGBA {
		r, g, b := colour.EncodeSRGB8(warm.apply(colour.DecodeSRGB8(c[0], c[1], c[2])))
		return color.NRGBA{r, g, b, 255}
	}
	ref := drawn(t, 120, 60, func(x, y int) color.NRGBA {
		if x < 40 {
			return cast([3]uint8{118, 118, 118})
		}
		return cast(at(x, y))
	})
	return ref, Anchor{Rect{4, 4, 32, 52}, lab(118, 118, 118)}
}

var swatchAt = Rect{44, 4, 70, 50}

// Truth: the colours that were drawn. A weave of two threads reads as their mean
// in linear light; 8-bit rounding leaves under ΔE00 0.5.
func TestSwatchOverAWeave(t *testing.T) {
	ref, anchor := swatchPhoto(t, func(x, y int) [3]uint8 {
		if (x/2+y/2)%2 == 0 {
			return [3]uint8{120, 125, 130}
		}
		return [3]uint8{90, 95, 102}
	})
	if _, err := ref.Swatch(swatchAt, "suiting"); !errors.Is(err, ErrAnchor) {
		t.Errorf("without an anchor: %v", err)
	}
	n, _, err := ref.Neutral(anchor)
	if err != nil {
		t.Fatal(err)
	}
	s, err := n.Swatch(swatchAt, "suiting, polyester-viscose")
	if err != nil {
		t.Fatal(err)
	}
	a, b := colour.DecodeSRGB8(120, 125, 130), colour.DecodeSRGB8(90, 95, 102)
	want := colour.LinearRGB{R: (a.R + b.R) / 2, G: (a.G + b.G) / 2, B: (a.B + b.B) / 2}.Lab()
	if d := colour.Difference(s.Lab, want); d > 0.5 {
		t.Errorf("reads ΔE00 %.2f off", d)
	}
	if s.Turning || len(s.Why) > 0 || s.Colour.Basis() != colour.Photographed || !s.Colour.Valid() {
		t.Errorf("%+v", s)
	}
	if !(Estimate{Low: s.Low, High: s.High}).covers(want) || s.Radius < 1.5 || s.Radius > 6 {
		t.Errorf("range %v to %v, radius %.1f", s.Low, s.High, s.Radius)
	}
	if _, err := n.Swatch(Rect{50, 10, 8, 8}, "suiting"); !errors.Is(err, ErrPatch) {
		t.Errorf("a swatch of 8 × 8 pixels: %v", err)
	}
}

// Pile and metal are marked by the maker's word, by glitter, by a lightness that
// runs, and by two views that differ.
func TestSwatchThatTurns(t *testing.T) {
	flat, anchor := swatchPhoto(t, func(int, int) [3]uint8 { return [3]uint8{31, 38, 56} })
	n, _, err := flat.Neutral(anchor)
	if err != nil {
		t.Fatal(err)
	}
	for material, want := range map[string]bool{
		"cotton velveteen": true, "metallic rub-on paste": true, "Old gold paste": true, "corduroy": true,
		"cotton drill": false, "snap tape": false, "": false,
	} {
		s, err := n.Swatch(swatchAt, material)
		if err != nil {
			t.Fatal(err)
		}
		if s.Turning != want || want != (len(s.Why) == 1) {
			t.Errorf("%q: turning %v, %q", material, s.Turning, s.Why)
		}
	}
	running, anchor := swatchPhoto(t, func(x, _ int) [3]uint8 { v := uint8(60 + x/2); return [3]uint8{v, v, v} })
	n, _, err = running.Neutral(anchor)
	if err != nil {
		t.Fatal(err)
	}
	s, err := n.Swatch(swatchAt, "cotton")
	if err != nil || !s.Turning || !strings.Contains(s.Why[0], "runs by L*") {
		t.Errorf("running lightness: %v, %+v", err, s)
	}

	one, _ := n.Swatch(swatchAt, "cotton")
	lighter, anchor := swatchPhoto(t, func(int, int) [3]uint8 { return [3]uint8{110, 110, 112} })
	n, _, err = lighter.Neutral(anchor)
	if err != nil {
		t.Fatal(err)
	}
	other, _ := n.Swatch(swatchAt, "cotton")
	both := one.Join(other)
	if both.Views != 2 || !both.Turning || both.Low.L > one.Low.L || both.High.L < other.High.L {
		t.Errorf("joined: %+v", both)
	}
	if same := other.Join(other); same.Turning || colour.Difference(same.Lab, other.Lab) > 1e-6 {
		t.Errorf("the same view twice: %+v", same)
	}
}
