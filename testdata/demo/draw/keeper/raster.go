package keeper

import (
	"image"
	"math"
)

// field is a rectangle of numbers, one a pixel.
type field struct {
	r image.Rectangle
	v []float32
}

func newField(r image.Rectangle) field {
	return field{r, make([]float32, max(r.Dx(), 0)*max(r.Dy(), 0))}
}

func (f field) at(x, y int) float32 {
	if !(image.Point{X: x, Y: y}).In(f.r) {
		return 0
	}
	return f.v[(y-f.r.Min.Y)*f.r.Dx()+x-f.r.Min.X]
}

func (f field) row(y int) []float32 {
	w := f.r.Dx()
	i := (y - f.r.Min.Y) * w
	return f.v[i : i+w]
}

// bounds gives the pixels an outline touches, with a margin.
func bounds(o outline, margin int) image.Rectangle {
	x0, y0, x1, y1 := math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, l := range o {
		for _, p := range l {
			x0, x1 = math.Min(x0, p.X), math.Max(x1, p.X)
			y0, y1 = math.Min(y0, p.Y), math.Max(y1, p.Y)
		}
	}
	if x0 > x1 {
		return image.Rectangle{}
	}
	return image.Rect(int(math.Floor(x0))-margin, int(math.Floor(y0))-margin, int(math.Ceil(x1))+margin, int(math.Ceil(y1))+margin)
}

// fill gives the share of each pixel an outline covers, 0…1: exact areas by
// accumulated signed trapezoids. Lines that overlap each other the same way
// round count once.
func fill(o outline, margin int) field {
	f := newField(bounds(o, margin+1))
	w, h := f.r.Dx(), f.r.Dy()
	if w <= 0 || h <= 0 {
		return f
	}
	acc := make([]float64, w*h+2)
	at := func(p point) point { return point{p.X - float64(f.r.Min.X), p.Y - float64(f.r.Min.Y)} }
	for _, l := range o {
		for i, p := range l {
			edge(acc, w, at(p), at(l[(i+1)%len(l)]))
		}
	}
	for y := 0; y < h; y++ {
		sum := 0.0
		for x := 0; x < w; x++ {
			sum += acc[y*w+x]
			f.v[y*w+x] = float32(math.Min(math.Abs(sum), 1))
		}
	}
	return f
}

// edge adds one line's share to the accumulated differences of a coverage.
func edge(acc []float64, w int, a, b point) {
	if a.Y == b.Y {
		return
	}
	dir := 1.0
	if a.Y > b.Y {
		a, b, dir = b, a, -1
	}
	slope := (b.X - a.X) / (b.Y - a.Y)
	x := a.X
	for y := int(a.Y); y < int(math.Ceil(b.Y)); y++ {
		dy := math.Min(float64(y+1), b.Y) - math.Max(float64(y), a.Y)
		next := x + slope*dy
		span(acc[y*w:], math.Min(x, next), math.Max(x, next), dy*dir)
		x = next
	}
}

// span spreads the area d of a slanted piece from x0 to x1 over its pixels.
func span(row []float64, x0, x1, d float64) {
	i0, i1 := int(x0), int(math.Ceil(x1))
	if i1 <= i0+1 {
		mid := (x0+x1)/2 - float64(i0)
		row[i0] += d * (1 - mid)
		row[i0+1] += d * mid
		return
	}
	s := 1 / (x1 - x0)
	covered := func(x float64) float64 { // ∫ of the share left of x
		t := math.Min(math.Max(x-x0, 0), x1-x0)
		return s * t * t / 2
	}
	before := 0.0
	for i := i0; i < i1; i++ {
		// The pixel's own coverage, then the step to it.
		own := covered(float64(i+1)) - covered(float64(i)) + math.Max(0, float64(i+1)-math.Max(x1, float64(i)))
		row[i] += d * (own - before)
		before = own
	}
	row[i1] += d * (1 - before)
}

// brush lays a line with a width at each point on a field: value(distance,
// half width, share of the length) of the nearest piece, the larger of
// overlapping ones. reach is how many half widths the value lasts.
func brush(f field, l []point, half func(t float64) float64, reach float64, value func(d, half, t float64) float64) {
	for i := 0; i+1 < len(l); i++ {
		t0, t1 := float64(i)/float64(len(l)-1), float64(i+1)/float64(len(l)-1)
		brushPiece(f, l[i], l[i+1], t0, t1, half, reach, value)
	}
}

func brushPiece(f field, a, b point, t0, t1 float64, half func(float64) float64, reach float64, value func(d, half, t float64) float64) {
	m := math.Max(half(t0), half(t1))*reach + 1.5
	box := image.Rect(int(math.Min(a.X, b.X)-m), int(math.Min(a.Y, b.Y)-m), int(math.Max(a.X, b.X)+m)+2, int(math.Max(a.Y, b.Y)+m)+2).Intersect(f.r)
	ab := b.sub(a)
	len2 := math.Max(ab.X*ab.X+ab.Y*ab.Y, 1e-9)
	for y := box.Min.Y; y < box.Max.Y; y++ {
		row := f.row(y)
		for x := box.Min.X; x < box.Max.X; x++ {
			p := point{float64(x) + 0.5 - a.X, float64(y) + 0.5 - a.Y}
			k := math.Min(math.Max((p.X*ab.X+p.Y*ab.Y)/len2, 0), 1)
			t := t0 + k*(t1-t0)
			v := float32(value(math.Hypot(p.X-k*ab.X, p.Y-k*ab.Y), half(t), t))
			if i := x - f.r.Min.X; math.Abs(float64(v)) > math.Abs(float64(row[i])) {
				row[i] = v
			}
		}
	}
}

// pen gives the coverage of drawn lines with round ends.
func pen(lines outline, half func(t float64) float64, clip image.Rectangle) field {
	widest := 0.0
	for t := 0.0; t <= 1; t += 0.05 {
		widest = math.Max(widest, half(t))
	}
	f := newField(bounds(lines, int(widest)+3).Intersect(clip))
	for _, l := range lines {
		brush(f, l, half, 1, func(d, h, _ float64) float64 { return math.Min(math.Max(h-d+0.5, 0), 1) })
	}
	return f
}

func wide(half float64) func(float64) float64 { return func(float64) float64 { return half } }

// tapered is a half width that swells in the middle of a line.
func tapered(half float64) func(float64) float64 {
	return func(t float64) float64 { return half * (0.25 + 0.75*math.Sin(math.Pi*math.Min(math.Max(t, 0), 1))) }
}
