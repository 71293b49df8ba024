package palette

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Rect is a rectangle of the upright picture in pixels: its left top corner,
// counted from 0,0, its width and its height. The zero value is empty.
type Rect struct{ X, Y, W, H int }

// ParseRect reads "x,y,w,h" in whole pixels; blanks around the numbers are
// allowed. The width and height must be at least 1 and the corner not negative.
func ParseRect(s string) (Rect, error) {
	fail := func(why string) (Rect, error) {
		return Rect{}, fmt.Errorf("read rectangle: %q: %s", s, why)
	}
	fields := strings.Split(s, ",")
	if len(fields) != 4 {
		return fail("wanted x,y,w,h in pixels, such as 120,80,40,40")
	}
	var v [4]int
	for i, f := range fields {
		n, err := strconv.ParseInt(strings.TrimSpace(f), 10, 32)
		if err != nil {
			return fail(fmt.Sprintf("%q is not a whole number of pixels", strings.TrimSpace(f)))
		}
		v[i] = int(n)
	}
	r := Rect{v[0], v[1], v[2], v[3]}
	switch {
	case r.X < 0 || r.Y < 0:
		return fail("the corner lies left of or above the picture")
	case r.W < 1 || r.H < 1:
		return fail("the width and the height must be at least 1")
	case r.X > math.MaxInt32-r.W || r.Y > math.MaxInt32-r.H:
		return fail("too large")
	}
	return r, nil
}

// String returns "x,y,w,h"; [ParseRect] reads it back.
func (r Rect) String() string { return fmt.Sprintf("%d,%d,%d,%d", r.X, r.Y, r.W, r.H) }

// Set reads the rectangle from a flag.
func (r *Rect) Set(s string) error {
	v, err := ParseRect(s)
	if err == nil {
		*r = v
	}
	return err
}

// Type names the form of a rectangle in the help of a flag.
func (r *Rect) Type() string { return "x,y,w,h" }

// in says whether the rectangle lies wholly inside a picture of w × h and is
// not empty.
func (r Rect) in(w, h int) bool {
	return r.X >= 0 && r.Y >= 0 && r.W > 0 && r.H > 0 && r.W <= w-r.X && r.H <= h-r.Y
}
