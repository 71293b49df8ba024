package palette

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Corner is a corner of an outline in pixels of the upright picture.
type Corner struct{ X, Y int }

// Outline is a closed outline of three or more corners, for spots that no
// rectangle fits: a sleeve, a sash. It may bend inwards; where it crosses
// itself, what it goes round an even number of times lies outside.
type Outline []Corner

// mostCorners bounds an outline drawn by hand.
const mostCorners = 200

// ParseOutline reads "x,y x,y x,y …" in whole pixels, three corners or more
// that go round an area of at least 16 pixels.
func ParseOutline(s string) (Outline, error) {
	fail := func(why string) (Outline, error) {
		return nil, fmt.Errorf("read outline: %q: %s", s, why)
	}
	fields := strings.Fields(s)
	if len(fields) < 3 || len(fields) > mostCorners {
		return fail(fmt.Sprintf("wanted 3 to %d corners x,y, such as 120,80 160,80 140,120", mostCorners))
	}
	var o Outline
	for _, f := range fields {
		x, y, ok := strings.Cut(f, ",")
		cx, err1 := strconv.ParseInt(x, 10, 31)
		cy, err2 := strconv.ParseInt(y, 10, 31)
		if !ok || err1 != nil || err2 != nil || cx < 0 || cy < 0 {
			return fail(fmt.Sprintf("%q is not a corner x,y in whole pixels", f))
		}
		o = append(o, Corner{int(cx), int(cy)})
	}
	if o.extent() < minPatchPixels {
		return fail(fmt.Sprintf("it goes round fewer than %d pixels", minPatchPixels))
	}
	return o, nil
}

// String returns "x,y x,y x,y"; [ParseOutline] reads it back.
func (o Outline) String() string {
	var b strings.Builder
	for i, c := range o {
		if i > 0 {
			b.WriteByte(' ')
		}
		fmt.Fprintf(&b, "%d,%d", c.X, c.Y)
	}
	return b.String()
}

// Box is the least rectangle round the outline; empty for none.
func (o Outline) Box() Rect {
	if len(o) == 0 {
		return Rect{}
	}
	x0, y0, x1, y1 := o[0].X, o[0].Y, o[0].X, o[0].Y
	for _, c := range o {
		x0, y0, x1, y1 = min(x0, c.X), min(y0, c.Y), max(x1, c.X), max(y1, c.Y)
	}
	return Rect{x0, y0, x1 - x0, y1 - y0}
}

// extent is the area of the outline in pixels (the shoelace formula).
func (o Outline) extent() float64 {
	sum := 0.0
	for i, a := range o {
		b := o[(i+1)%len(o)]
		sum += float64(a.X)*float64(b.Y) - float64(b.X)*float64(a.Y)
	}
	return math.Abs(sum) / 2
}

// holds says whether a pixel's middle lies inside: whether a ray from it
// crosses the outline an odd number of times.
func (o Outline) holds(x, y int) bool {
	px, py := float64(x)+0.5, float64(y)+0.5
	in := false
	for i, a := range o {
		b := o[(i+1)%len(o)]
		if (float64(a.Y) > py) != (float64(b.Y) > py) {
			at := float64(a.X) + (py-float64(a.Y))/float64(b.Y-a.Y)*float64(b.X-a.X)
			if px < at {
				in = !in
			}
		}
	}
	return in
}

// PatchWithin returns the colour of what lies inside an outline, as
// [Reference.Patch] does for a rectangle.
func (r Reference) PatchWithin(o Outline) (Patch, error) {
	if len(o) < 3 {
		return Patch{}, fmt.Errorf("read patch %s: %w: three corners or more are needed", o, ErrPatch)
	}
	return r.patch(o.Box(), o)
}

// ReadingWithin is what a picture says of what lies inside an outline; see
// [Reference.Reading].
func (r Reference) ReadingWithin(picture string, o Outline, t Trust) (Reading, error) {
	p, err := r.PatchWithin(o)
	if err != nil {
		return Reading{}, err
	}
	return r.reading(picture, o.Box(), p, t), nil
}
