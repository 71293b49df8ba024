package palette

import (
	"bufio"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"io"

	"undercoat/palette/colour"
)

// overlaySide is the longer side of an overlay in pixels, unless the picture is
// smaller.
const overlaySide = 1200

// Overlay writes the picture as PNG with each material outlined, hatched in its
// own direction and numbered as it stands in the palette, from 1: numbers and
// hatching tell them apart without colour. Parts of no material are left pale.
// r must be the picture that the palette was read from.
func (p Palette) Overlay(w io.Writer, r Reference) error {
	if p.places.g == nil {
		return fmt.Errorf("draw overlay: the palette was not read from a picture")
	}
	m := r.Thumbnail(overlaySide, overlaySide)
	o := overlay{NRGBA: m, p: p, cell: make([]int32, m.Rect.Dx()*m.Rect.Dy())}
	o.locate()
	o.draw()
	o.number()
	b := bufio.NewWriter(w)
	if err := png.Encode(b, m); err != nil {
		return fmt.Errorf("draw overlay: %w", err)
	}
	if err := b.Flush(); err != nil {
		return fmt.Errorf("draw overlay: %w", err)
	}
	return nil
}

// overlay is the drawing.
type overlay struct {
	*image.NRGBA
	p    Palette
	cell []int32 // material of each pixel, −1 for none
}

// locate finds the material of every pixel.
func (o *overlay) locate() {
	g := o.p.places.g
	w, h := o.Rect.Dx(), o.Rect.Dy()
	for y := range h {
		cy := (y*g.ph/h - g.y0) / g.side
		for x := range w {
			cx := (x*g.pw/w - g.x0) / g.side
			o.cell[y*w+x] = o.p.places.at[min(max(cy, 0), g.h-1)*g.w+min(max(cx, 0), g.w-1)]
		}
	}
}

// draw pales what belongs to nothing, hatches and outlines the rest.
func (o *overlay) draw() {
	w, h := o.Rect.Dx(), o.Rect.Dy()
	for y := range h {
		for x := range w {
			v := o.cell[y*w+x]
			switch {
			case v < 0:
				o.blend(x, y, color.NRGBA{255, 255, 255, 255}, 0.6)
			case x+1 < w && o.cell[y*w+x+1] != v, y+1 < h && o.cell[(y+1)*w+x] != v:
				o.SetNRGBA(x, y, color.NRGBA{0, 0, 0, 255})
				continue
			case hatched(int(v), x, y):
				o.blend(x, y, o.ink(int(v)), 0.35)
			}
		}
	}
}

// hatched says whether a line of material k's hatching crosses the pixel: eight
// directions, then wider.
func hatched(k, x, y int) bool {
	gap := 9 + 4*(k/8)
	dirs := [8][2]int{{1, 1}, {1, -1}, {1, 0}, {0, 1}, {2, 1}, {2, -1}, {1, 2}, {1, -2}}
	d := dirs[k%8]
	v := (d[0]*x + d[1]*y) % gap
	return v == 0
}

// ink is black on a light material and white on a dark one.
func (o *overlay) ink(k int) color.NRGBA {
	if o.p.Materials[k].Base.L > 50 {
		return color.NRGBA{0, 0, 0, 255}
	}
	return color.NRGBA{255, 255, 255, 255}
}

func (o *overlay) blend(x, y int, c color.NRGBA, k float64) {
	i := o.PixOffset(x, y)
	for n, v := range [3]uint8{c.R, c.G, c.B} {
		o.Pix[i+n] = uint8(float64(o.Pix[i+n])*(1-k) + float64(v)*k)
	}
	o.Pix[i+3] = max(o.Pix[i+3], uint8(255*k))
}

// number writes each material's number on a swatch of its own colour, in the
// middle of its largest part.
func (o *overlay) number() {
	g := o.p.places.g
	for k, m := range o.p.Materials {
		if len(m.Parts) == 0 {
			continue
		}
		x, y := o.within(k, m.Parts[0])
		r, gr, b := colour.EncodeSRGB8(m.Base.LinearRGB())
		o.label(x*o.Rect.Dx()/g.pw, y*o.Rect.Dy()/g.ph, k+1, color.NRGBA{r, gr, b, 255}, o.ink(k))
	}
}

// within finds the pixel of material k nearest to the middle of a rectangle.
func (o *overlay) within(k int, at Rect) (x, y int) {
	g := o.p.places.g
	mx, my := at.X+at.W/2, at.Y+at.H/2
	best := -1
	for j := range g.h {
		for i := range g.w {
			if o.p.places.at[j*g.w+i] != int32(k) {
				continue
			}
			px, py := g.x0+i*g.side+g.side/2, g.y0+j*g.side+g.side/2
			if d := (px-mx)*(px-mx) + (py-my)*(py-my); best < 0 || d < best {
				best, x, y = d, px, py
			}
		}
	}
	return x, y
}

// digits are 3 × 5 dots, a row an octal digit.
var digits = [10][5]uint8{
	{7, 5, 5, 5, 7}, {2, 6, 2, 2, 7}, {7, 1, 7, 4, 7}, {7, 1, 7, 1, 7}, {5, 5, 7, 1, 1},
	{7, 4, 7, 1, 7}, {7, 4, 7, 5, 7}, {7, 1, 2, 2, 2}, {7, 5, 7, 5, 7}, {7, 5, 7, 1, 7},
}

// label draws a framed number around x, y.
func (o *overlay) label(x, y, n int, paper, ink color.NRGBA) {
	const dot = 3
	text := fmt.Sprint(n)
	w, h := (4*len(text)+1)*dot, 7*dot
	x, y = min(max(x-w/2, 1), max(o.Rect.Dx()-w-1, 1)), min(max(y-h/2, 1), max(o.Rect.Dy()-h-1, 1))
	fill := func(x0, y0, w, h int, c color.NRGBA) {
		for j := y0; j < y0+h; j++ {
			for i := x0; i < x0+w; i++ {
				if image.Pt(i, j).In(o.Rect) {
					o.SetNRGBA(i, j, c)
				}
			}
		}
	}
	fill(x-1, y-1, w+2, h+2, ink)
	fill(x, y, w, h, paper)
	for k, c := range text {
		for j, row := range digits[c-'0'] {
			for i := range 3 {
				if row>>(2-i)&1 == 1 {
					fill(x+(4*k+1+i)*dot, y+(1+j)*dot, dot, dot, ink)
				}
			}
		}
	}
}
