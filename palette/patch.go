package palette

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"undercoat/palette/colour"
)

// Bounds of a patch. A side of 4 pixels is the least that still leaves pixels
// once those beside an edge are left out; common practice, no source.
const (
	minPatchSide   = 4
	minPatchPixels = 16      // kept pixels, below which there is no mean to speak of
	maxPatchSample = 1 << 16 // pixels looked at; larger patches are read on a grid
)

// ErrPatch is the reason why a rectangle gives no colour.
var ErrPatch = errors.New("no patch")

// Patch is the colour of a spot of a picture: a robust mean in linear light and
// how far the spot agrees with itself. It never rests on a single pixel. The
// zero value is not valid.
type Patch struct {
	RGB    colour.LinearRGB // mean of the kept pixels in linear sRGB, D65
	Lab    colour.Lab       // the same in CIELAB, D65
	Light  colour.Lab       // mean of the lightest tenth of the kept pixels
	Spread float64          // mean ΔE00 of a kept pixel to Lab

	Count  int // pixels kept
	Glare  int // left out: much lighter than the patch, carrying the lamp's colour
	Shadow int // left out: much darker than the patch, creases and outlines
	Edge   int // left out: of another colour, or beside such pixels
	Clear  int // left out: transparent

	ClippedHigh float64 // share 0…1 of kept pixels with a channel at the top of its scale
	ClippedLow  float64 // share 0…1 of kept pixels with a channel at 0
	Slope       float64 // L*: how far the lightness runs from one end of the patch to the other
}

// Patch returns the colour of a rectangle of the upright picture. Glare, deep
// shadow, transparent pixels, pixels of another colour and those beside an edge
// are left out and counted; the mean is taken in linear light. A rectangle below
// 4 × 4 pixels, outside the picture, or with fewer than 16 usable pixels is
// an error that wraps [ErrPatch].
//
// What counts as other than the patch is told by the patch itself: by its median
// in CIELAB and its median absolute deviation (Hampel 1974), so that a weave is
// averaged over and an ink line is not.
func (r Reference) Patch(at Rect) (Patch, error) { return r.patch(at, nil) }

// patch reads a rectangle, or what of it lies inside an outline.
func (r Reference) patch(at Rect, o Outline) (Patch, error) {
	w, h := r.Size()
	switch {
	case !at.in(w, h):
		return Patch{}, fmt.Errorf("read patch %s: %w: reaches outside the picture of %d × %d", at, ErrPatch, w, h)
	case at.W < minPatchSide || at.H < minPatchSide:
		return Patch{}, fmt.Errorf("read patch %s: %w: too small, at least %d × %d pixels are needed", at, ErrPatch, minPatchSide, minPatchSide)
	}
	g := r.sample(at)
	g.cut(at, o)
	if g.opaque() < minPatchPixels {
		return Patch{}, fmt.Errorf("read patch %s: %w: fewer than %d pixels are not transparent", at, ErrPatch, minPatchPixels)
	}
	g.classify()
	for margin := r.margin(); ; margin-- {
		p := g.mean(margin)
		if p.Count >= minPatchPixels && p.Count >= g.inside()/8 || margin == 0 {
			if p.Count < minPatchPixels {
				return Patch{}, fmt.Errorf("read patch %s: %w: fewer than %d pixels are of one colour", at, ErrPatch, minPatchPixels)
			}
			return p, nil
		}
	}
}

// margin is how many pixels beside an edge are touched by the other side: one
// in a picture kept exactly, two where colour is kept at half the resolution,
// three where compression is strong.
func (r Reference) margin() int {
	switch q, jpeg := r.Quality(); {
	case jpeg && q < 60:
		return 3
	case r.lossy():
		return 2
	}
	return 1
}

// kind says what a sampled pixel is to the patch.
type kind uint8

const (
	isOwn kind = iota
	isGlare
	isShadow
	isForeign // of another colour
	isClear   // transparent
)

// grid holds the sampled pixels of a patch with a rim of its surroundings, by
// which an edge just outside is seen.
type grid struct {
	step      int // distance of samples in pixels
	w, h      int // samples across and down, rim included
	x0, y0    int // first sample inside the patch
	x1, y1    int // one past the last
	rgb       []colour.LinearRGB
	lab       []colour.Lab
	kind      []kind
	out       []bool // outside the outline, seen like the rim only; nil where there is none
	high, low []bool // a channel at the end of its scale
}

// sample reads the patch and a rim of three samples where the picture has them.
func (r Reference) sample(at Rect) *grid {
	const rim = 3
	w, h := r.Size()
	step := int(math.Ceil(math.Sqrt(float64(at.W) * float64(at.H) / maxPatchSample)))
	g := &grid{step: max(step, 1)}
	g.x0 = min(rim, at.X/g.step)
	g.y0 = min(rim, at.Y/g.step)
	insideW, insideH := (at.W+g.step-1)/g.step, (at.H+g.step-1)/g.step
	g.x1, g.y1 = g.x0+insideW, g.y0+insideH
	g.w = g.x1 + min(rim, (w-at.X-at.W)/g.step)
	g.h = g.y1 + min(rim, (h-at.Y-at.H)/g.step)
	n := g.w * g.h
	g.rgb, g.lab, g.kind = make([]colour.LinearRGB, n), make([]colour.Lab, n), make([]kind, n)
	g.high, g.low = make([]bool, n), make([]bool, n)
	left, bottom := at.X-g.x0*g.step, at.Y+at.H
	for j := range g.h {
		for i := range g.w {
			// A fixed scatter inside each cell keeps the grid from beating with
			// the weave of a cloth.
			dx, dy := scatter(i, j, g.step)
			x := min(left+i*g.step+dx, w-1)
			y := min(at.Y+(j-g.y0)*g.step+dy, h-1)
			if i < g.x1 {
				x = min(x, at.X+at.W-1)
			}
			if j < g.y1 {
				y = min(y, bottom-1)
			}
			g.put(j*g.w+i, r.encodedAt(x, y), r)
		}
	}
	return g
}

// put stores one pixel.
func (g *grid) put(k int, px encodedPixel, r Reference) {
	if !px.opaque {
		g.kind[k] = isClear
		return
	}
	g.rgb[k] = r.linear(px)
	g.lab[k] = g.rgb[k].Lab()
	g.high[k], g.low[k] = r.clipped(px)
}

// scatter returns a fixed offset, 0…step-1 each way, for a cell of the grid.
func scatter(i, j, step int) (dx, dy int) {
	if step == 1 {
		return 0, 0
	}
	v := uint32(i)*0x9e3779b1 ^ uint32(j)*0x85ebca77
	v ^= v >> 15
	v *= 0x2c1b3c6d
	v ^= v >> 12
	return int(v % uint32(step)), int(v >> 16 % uint32(step))
}

// cut marks the samples of the patch that lie outside an outline; no outline
// cuts nothing.
func (g *grid) cut(at Rect, o Outline) {
	if len(o) == 0 {
		return
	}
	out := make([]bool, len(g.kind))
	g.each(func(k int) {
		i, j := k%g.w, k/g.w
		dx, dy := scatter(i, j, g.step)
		x := min(at.X+(i-g.x0)*g.step+dx, at.X+at.W-1)
		y := min(at.Y+(j-g.y0)*g.step+dy, at.Y+at.H-1)
		if !o.holds(x, y) {
			out[k] = true
		}
	})
	g.out = out
}

// isOut says whether a sample lies outside the outline.
func (g *grid) isOut(k int) bool { return g.out != nil && g.out[k] }

// each calls do for every sample inside the patch.
func (g *grid) each(do func(k int)) {
	for j := g.y0; j < g.y1; j++ {
		for i := g.x0; i < g.x1; i++ {
			if k := j*g.w + i; !g.isOut(k) {
				do(k)
			}
		}
	}
}

// inside counts the samples inside the patch.
func (g *grid) inside() (n int) {
	g.each(func(int) { n++ })
	return n
}

// opaque counts the samples inside the patch that are not transparent.
func (g *grid) opaque() int {
	n := 0
	g.each(func(k int) {
		if g.kind[k] != isClear {
			n++
		}
	})
	return n
}

// Least distances from the patch's median, in CIELAB units, at which a pixel
// can be something else; common practice, no source. A smooth shade over a
// sleeve stays below them, an ink line or a lamp's spot does not.
const (
	glareAbove  = 9.0
	shadowBelow = 12.0
	chromaApart = 8.0
	deviations  = 3.5 // and in robust standard deviations
)

// classify tells glare, shadow and other colours from the patch's own pixels, by
// the median and the median absolute deviation of the patch (1.4826 times it is
// the standard deviation of normal noise; Hampel 1974).
func (g *grid) classify() {
	var ls, as, bs []float64
	g.each(func(k int) {
		if g.kind[k] != isClear {
			ls, as, bs = append(ls, g.lab[k].L), append(as, g.lab[k].A), append(bs, g.lab[k].B)
		}
	})
	mid := colour.Lab{L: median(ls), A: median(as), B: median(bs)}
	apart := make([]float64, 0, len(ls))
	away := make([]float64, 0, len(ls))
	g.each(func(k int) {
		if g.kind[k] != isClear {
			apart = append(apart, math.Abs(g.lab[k].L-mid.L))
			away = append(away, math.Hypot(g.lab[k].A-mid.A, g.lab[k].B-mid.B))
		}
	})
	sigmaL := 1.4826 * median(apart)
	sigmaC := 1.4826 * median(away)
	above := max(glareAbove, deviations*sigmaL)
	below := max(shadowBelow, deviations*sigmaL)
	for k, c := range g.lab {
		if g.kind[k] == isClear {
			continue
		}
		// Shade scales the chroma with the lightness, so that a pixel is
		// compared with the patch's colour at its own lightness.
		scale := 1.0
		if mid.L > 1 {
			scale = c.L / mid.L
		}
		distance := math.Hypot(c.A-mid.A*scale, c.B-mid.B*scale)
		switch {
		case c.L > mid.L+above:
			g.kind[k] = isGlare
		case distance > max(chromaApart, deviations*sigmaC):
			g.kind[k] = isForeign
		case c.L < mid.L-below:
			g.kind[k] = isShadow
		}
	}
	for _, what := range []kind{isGlare, isShadow, isForeign} {
		if g.everywhere(what) {
			g.readmit(what)
		}
	}
}

// everywhere says whether pixels of a kind belong to the texture: the light
// threads of a weave are found in every part of the patch, a lamp's spot or an
// outline in some. It holds where they make up a fiftieth or more and no ninth
// of the patch has less than a third of its share. A patch under 12 samples a
// side is too small to tell.
func (g *grid) everywhere(what kind) bool {
	const parts = 3
	w, h := g.x1-g.x0, g.y1-g.y0
	if w < 4*parts || h < 4*parts {
		return false
	}
	var count, all [parts][parts]float64
	var total, size float64
	for j := range h {
		for i := range w {
			at := (g.y0+j)*g.w + g.x0 + i
			k := g.kind[at]
			if k == isClear || g.isOut(at) {
				continue
			}
			all[j*parts/h][i*parts/w]++
			size++
			if k == what {
				count[j*parts/h][i*parts/w]++
				total++
			}
		}
	}
	if total < size/50 {
		return false
	}
	for j := range parts {
		for i := range parts {
			if count[j][i]*size < all[j][i]*total/3 {
				return false
			}
		}
	}
	return true
}

// readmit keeps all pixels of a kind after all.
func (g *grid) readmit(what kind) {
	for k := range g.kind {
		if g.kind[k] == what {
			g.kind[k] = isOwn
		}
	}
}

// mean averages the kept pixels that lie at least margin pixels from any other.
func (g *grid) mean(margin int) Patch {
	reach := (margin + g.step - 1) / g.step
	if g.step > 1 {
		reach = min(reach, 1)
	}
	near := g.beside(reach)
	var p Patch
	var sum colour.LinearRGB
	var own []int
	g.each(func(k int) {
		switch g.kind[k] {
		case isGlare:
			p.Glare++
		case isShadow:
			p.Shadow++
		case isForeign:
			p.Edge++
		case isClear:
			p.Clear++
		default:
			if near[k] {
				p.Edge++
				return
			}
			own = append(own, k)
			sum.R += g.rgb[k].R
			sum.G += g.rgb[k].G
			sum.B += g.rgb[k].B
			if g.high[k] {
				p.ClippedHigh++
			}
			if g.low[k] {
				p.ClippedLow++
			}
		}
	})
	p.Count = len(own)
	if p.Count == 0 {
		return p
	}
	n := float64(p.Count)
	p.RGB = colour.LinearRGB{R: sum.R / n, G: sum.G / n, B: sum.B / n}
	p.Lab = p.RGB.Lab()
	p.ClippedHigh /= n
	p.ClippedLow /= n
	p.Spread = g.spread(own, p.Lab)
	p.Light = g.lightest(own)
	p.Slope = g.slope(own)
	return p
}

// beside marks the samples within reach of one that is glare, shadow or of
// another colour; single stray pixels, as noise makes them, do not count.
func (g *grid) beside(reach int) []bool {
	near := make([]bool, len(g.kind))
	if reach == 0 {
		return near
	}
	other := func(i, j int) bool {
		if i < 0 || j < 0 || i >= g.w || j >= g.h {
			return false
		}
		k := g.kind[j*g.w+i]
		return k != isOwn
	}
	for j := range g.h {
		for i := range g.w {
			if !other(i, j) {
				continue
			}
			neighbours := 0
			for _, d := range [8][2]int{{-1, -1}, {0, -1}, {1, -1}, {-1, 0}, {1, 0}, {-1, 1}, {0, 1}, {1, 1}} {
				if other(i+d[0], j+d[1]) {
					neighbours++
				}
			}
			if neighbours < 2 {
				continue
			}
			for y := max(j-reach, 0); y <= min(j+reach, g.h-1); y++ {
				for x := max(i-reach, 0); x <= min(i+reach, g.w-1); x++ {
					near[y*g.w+x] = true
				}
			}
		}
	}
	return near
}

// slope fits a plane to the lightness of the pixels and returns how far it
// rises over the patch, from its lowest corner to its highest, in L*.
func (g *grid) slope(own []int) float64 {
	midX, midY := float64(g.x0+g.x1-1)/2, float64(g.y0+g.y1-1)/2
	var n, sx, sy, sl, sxx, sxy, syy, sxl, syl float64
	for _, k := range own {
		x, y, l := float64(k%g.w)-midX, float64(k/g.w)-midY, g.lab[k].L
		n++
		sx, sy, sl = sx+x, sy+y, sl+l
		sxx, sxy, syy = sxx+x*x, sxy+x*y, syy+y*y
		sxl, syl = sxl+x*l, syl+y*l
	}
	inv, ok := mat3{n, sx, sy, sx, sxx, sxy, sy, sxy, syy}.inverse()
	if !ok {
		return 0
	}
	plane := inv.times([3]float64{sl, sxl, syl})
	return math.Abs(plane[1])*float64(g.x1-g.x0-1) + math.Abs(plane[2])*float64(g.y1-g.y0-1)
}

// maxSpreadPixels bounds how many pixels the spread is measured on.
const maxSpreadPixels = 10_000

// spread returns the mean ΔE00 of the pixels to a colour.
func (g *grid) spread(own []int, to colour.Lab) float64 {
	step := max(1, len(own)/maxSpreadPixels)
	sum, n := 0.0, 0
	for i := 0; i < len(own); i += step {
		sum += colour.Difference(g.lab[own[i]], to)
		n++
	}
	return sum / float64(n)
}

// lightest returns the mean colour of the lightest tenth of the pixels.
func (g *grid) lightest(own []int) colour.Lab {
	ls := make([]float64, len(own))
	for i, k := range own {
		ls[i] = g.lab[k].L
	}
	from := quantile(ls, 0.9)
	var sum colour.LinearRGB
	n := 0.0
	for _, k := range own {
		if g.lab[k].L >= from {
			sum.R += g.rgb[k].R
			sum.G += g.rgb[k].G
			sum.B += g.rgb[k].B
			n++
		}
	}
	return colour.LinearRGB{R: sum.R / n, G: sum.G / n, B: sum.B / n}.Lab()
}

// median returns the middle value and reorders v; 0 for none.
func median(v []float64) float64 { return quantile(v, 0.5) }

// quantile returns the value below which the share q of v lies, between two
// values by proportion; it reorders v. 0 for none.
func quantile(v []float64, q float64) float64 {
	if len(v) == 0 {
		return 0
	}
	slices.Sort(v)
	at := q * float64(len(v)-1)
	i := min(int(at), len(v)-2)
	if i < 0 {
		return v[0]
	}
	return v[i] + (at-float64(i))*(v[i+1]-v[i])
}
