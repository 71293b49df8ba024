package film

import (
	"fmt"
	"strings"
	"testing"

	"undercoat/palette/colour"
)

// The corners are those of the reference file's rows of the 1994 family, and
// each box holds its middle and not what lies beyond a corner.
func TestHighVisBoxesAreThoseRead(t *testing.T) {
	rows := reference(t, "optics/fluor_highvis_boxes.csv")
	for _, class := range []string{"yellow", "orange", "orange-red", "red"} {
		b, known := HighVisBoxOf(class)
		if !known {
			t.Fatalf("no box of %s", class)
		}
		found := false
		var mx, my float64
		for _, r := range rows {
			if r.cell["colour"] != b.Name || !strings.HasPrefix(r.cell["edition"], "EN471:1994") {
				continue
			}
			found = true
			for i, c := range b.Corners {
				mx, my = mx+c[0]/4, my+c[1]/4
				if c[0] != r.num(fmt.Sprint("x", i+1)) || c[1] != r.num(fmt.Sprint("y", i+1)) {
					t.Errorf("%s corner %d: %v", class, i+1, c)
				}
			}
			if b.Least != r.num("beta_min") {
				t.Errorf("%s: least %g", class, b.Least)
			}
		}
		if !found {
			t.Errorf("%s: %q is not in the reference file", class, b.Name)
		}
		at := func(x, y, lum float64) colour.XYZ {
			return colour.XYZ{X: x / y * lum, Y: lum, Z: (1 - x - y) / y * lum}
		}
		if in, bright := b.Holds(at(mx, my, b.Least+0.01)); !in || !bright {
			t.Errorf("%s: its middle: inside %v, bright %v", class, in, bright)
		}
		if _, bright := b.Holds(at(mx, my, b.Least-0.01)); bright {
			t.Errorf("%s: bright below its least", class)
		}
		for i, c := range b.Corners {
			if in, _ := b.Holds(at(mx+1.05*(c[0]-mx), my+1.05*(c[1]-my), 1)); in {
				t.Errorf("%s: beyond corner %d is inside", class, i+1)
			}
		}
	}
	for _, class := range []string{"green", "pink", "blue", ""} {
		if b, known := HighVisBoxOf(class); known {
			t.Errorf("%q has a box: %v", class, b)
		}
	}
}
