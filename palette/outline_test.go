package palette

import (
	"errors"
	"image/color"
	"testing"

	"undercoat/palette/colour"
)

func TestParseOutline(t *testing.T) {
	for text, box := range map[string]Rect{
		"120,80 160,80 140,120":        {120, 80, 40, 40},
		" 0,0  40,0\t40,40 0,40 ":      {0, 0, 40, 40},
		"0,0 100,0 100,100 50,50 0,90": {0, 0, 100, 100},
	} {
		o, err := ParseOutline(text)
		if err != nil || o.Box() != box {
			t.Errorf("%q: box %v, %v; want %v", text, o.Box(), err, box)
		}
		if again, err := ParseOutline(o.String()); err != nil || again.String() != o.String() {
			t.Errorf("%q does not come back: %q, %v", o, again, err)
		}
	}
	for _, bad := range []string{"", "120,80", "1,1 9,9", "1,1 2,2 3,3", "0,0 9,0 x,9", "0,0 9,0 -1,9", "0,0,40,40"} {
		if o, err := ParseOutline(bad); err == nil {
			t.Errorf("%q is read as %v", bad, o)
		}
	}
}

// A pixel is inside by the even-odd rule; an outline along the pixels' edges
// holds exactly the pixels of its rectangle.
func TestOutlineHolds(t *testing.T) {
	square := Outline{{10, 10}, {20, 10}, {20, 20}, {10, 20}}
	star := Outline{{0, 0}, {40, 0}, {40, 40}, {0, 40}, {0, 30}, {30, 30}, {30, 10}, {0, 10}} // a bay from the left
	n, inBay := 0, 0
	for y := range 50 {
		for x := range 50 {
			if square.holds(x, y) {
				n++
			}
			if star.holds(x, y) && x < 30 && y >= 10 && y < 30 {
				inBay++
			}
		}
	}
	if n != 100 || inBay != 0 {
		t.Errorf("the square holds %d pixels, want 100; the bay %d, want 0", n, inBay)
	}
}

// What lies in the rectangle but outside the outline is not read: a triangle of
// one colour in a picture of two gives that colour alone, as pixels of the same
// colour in a rectangle do.
func TestPatchWithin(t *testing.T) {
	// Green above the diagonal from (90,0) to (0,90), red below it.
	ref := drawn(t, 120, 120, func(x, y int) color.NRGBA {
		if x+y < 90 {
			return color.NRGBA{40, 120, 60, 255}
		}
		return color.NRGBA{160, 40, 40, 255}
	})
	want, err := ref.Patch(Rect{0, 0, 30, 30})
	if err != nil {
		t.Fatal(err)
	}
	got, err := ref.PatchWithin(Outline{{0, 0}, {60, 0}, {0, 60}})
	if err != nil {
		t.Fatal(err)
	}
	if colour.Difference(got.Lab, want.Lab) > 1e-6 || got.Count < 1200 || got.Count > 1830 {
		t.Errorf("the outline reads %v of %d px, want %v of about 1700", got.Lab, got.Count, want.Lab)
	}
	if _, err := ref.PatchWithin(Outline{{0, 0}, {9000, 0}, {0, 60}}); !errors.Is(err, ErrPatch) {
		t.Errorf("outside the picture: %v", err)
	}
}
