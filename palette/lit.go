package palette

import (
	"math"

	"undercoat/palette/colour"
)

// Bounds for following a material around a spot, in CIELAB units; common
// practice, no source.
const (
	litStep  = 5.0 // largest change of L* from one cell to the next: shade runs on, an edge jumps
	litApart = 6.0 // largest distance in a* and b* from the spot's own line of shades
	litCells = 160 // cells along the longer side of the window
)

// litAround follows the material of a spot through its shades into the
// surroundings (six times the spot's size each way) and returns the colour
// below which nine tenths of it lie. It tells how much lighter the same material
// is seen close by: a spot in shade has more room above it than one in light.
func (r Reference) litAround(at Rect, p Patch) colour.Lab {
	f := r.field(at)
	f.grow(at, p.Lab)
	var ls []float64
	for k, in := range f.in {
		if in {
			ls = append(ls, f.lab[k].L)
		}
	}
	if len(ls) == 0 {
		return p.Lab
	}
	l := quantile(ls, 0.9)
	if l <= p.Lab.L {
		return p.Lab
	}
	y := p.RGB.XYZ().Y
	if y <= 0 {
		return p.Lab
	}
	return shaded(p.Lab, luminance(l)/y)
}

// luminance returns the luminance 0…1 of L*.
func luminance(l float64) float64 { return colour.Lab{L: l}.XYZ(white).Y }

// field is the surroundings of a spot, averaged in linear light over square cells.
type field struct {
	x, y, cell, w, h int // corner in the picture, side of a cell, size in cells
	lab              []colour.Lab
	some             []bool // the cell has opaque pixels
	in               []bool // it belongs to the spot's material
}

// field averages the window around a spot.
func (r Reference) field(at Rect) field {
	w, h := r.Size()
	margin := 6 * max(at.W, at.H, 12)
	x0, y0 := max(at.X-margin, 0), max(at.Y-margin, 0)
	x1, y1 := min(at.X+at.W+margin, w), min(at.Y+at.H+margin, h)
	cell := max(2, (max(x1-x0, y1-y0)+litCells-1)/litCells)
	f := field{x: x0, y: y0, cell: cell, w: (x1 - x0) / cell, h: (y1 - y0) / cell}
	n := f.w * f.h
	f.lab, f.some, f.in = make([]colour.Lab, n), make([]bool, n), make([]bool, n)
	// Four pixels a side are enough for a mean, however large the cell.
	step := (cell + 3) / 4
	for j := range f.h {
		for i := range f.w {
			var sum colour.LinearRGB
			count := 0.0
			for y := y0 + j*cell; y < y0+(j+1)*cell; y += step {
				for x := x0 + i*cell; x < x0+(i+1)*cell; x += step {
					px := r.encodedAt(x, y)
					if !px.opaque {
						continue
					}
					c := r.linear(px)
					sum.R, sum.G, sum.B = sum.R+c.R, sum.G+c.G, sum.B+c.B
					count++
				}
			}
			if count > 0 {
				f.some[j*f.w+i] = true
				f.lab[j*f.w+i] = colour.LinearRGB{R: sum.R / count, G: sum.G / count, B: sum.B / count}.Lab()
			}
		}
	}
	return f
}

// grow marks the cells that can be reached from the spot in small steps of
// lightness without leaving its line of shades.
func (f *field) grow(at Rect, own colour.Lab) {
	fits := func(k int) bool {
		if !f.some[k] {
			return false
		}
		c, s := f.lab[k], 1.0
		if own.L > 1 {
			s = c.L / own.L
		}
		return math.Hypot(c.A-own.A*s, c.B-own.B*s) <= litApart
	}
	var open []int
	for j := max((at.Y-f.y)/f.cell, 0); j < min((at.Y+at.H-f.y+f.cell-1)/f.cell, f.h); j++ {
		for i := max((at.X-f.x)/f.cell, 0); i < min((at.X+at.W-f.x+f.cell-1)/f.cell, f.w); i++ {
			if k := j*f.w + i; fits(k) && math.Abs(f.lab[k].L-own.L) <= shadowBelow {
				f.in[k] = true
				open = append(open, k)
			}
		}
	}
	for len(open) > 0 {
		k := open[len(open)-1]
		open = open[:len(open)-1]
		i, j := k%f.w, k/f.w
		for _, d := range [4][2]int{{1, 0}, {-1, 0}, {0, 1}, {0, -1}} {
			x, y := i+d[0], j+d[1]
			if x < 0 || y < 0 || x >= f.w || y >= f.h {
				continue
			}
			n := y*f.w + x
			if !f.in[n] && fits(n) && math.Abs(f.lab[n].L-f.lab[k].L) <= litStep {
				f.in[n] = true
				open = append(open, n)
			}
		}
	}
}
