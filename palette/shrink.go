package palette

import (
	"image"

	"github.com/disintegration/imaging"

	"undercoat/palette/colour"
)

// small is a picture reduced in linear light by whole boxes.
type small struct {
	w, h   int
	rgb    []colour.LinearRGB // mean of the opaque pixels of each box
	cover  []float64          // share 0…1 of the box that was opaque
	bright []bool             // a pixel of the box stands at the top of its scale
}

// shrunk reduces the upright picture so that no side is longer than side, which
// must be at least 1. A picture that is already small enough comes back pixel by
// pixel. Of each row and column of a larger box at most so many pixels are read,
// evenly spread; 0 reads all.
func (r Reference) shrunk(side, most int) small {
	w, h := r.Size()
	box := max(1, (max(w, h)+side-1)/side)
	s := small{w: (w + box - 1) / box, h: (h + box - 1) / box}
	s.rgb = make([]colour.LinearRGB, s.w*s.h)
	s.cover = make([]float64, s.w*s.h)
	s.bright = make([]bool, s.w*s.h)
	if most <= 0 || most > box {
		most = box
	}
	stripes(s.h, func(from, to int) {
		for y := from; y < to; y++ {
			s.row(r, y, box, most)
		}
	})
	return s
}

// row reduces row y of the boxes.
func (s *small) row(r Reference, y, box, most int) {
	w, h := r.Size()
	at := func(k int) int { return (2*k + 1) * box / (2 * most) }
	for x := range s.w {
		k := y*s.w + x
		var c colour.LinearRGB
		n, all := 0.0, 0.0
		for j := range most {
			py := y*box + at(j)
			if py >= h {
				break
			}
			for i := range most {
				px := x*box + at(i)
				if px >= w {
					break
				}
				all++
				p := r.encodedAt(px, py)
				if !p.opaque {
					continue
				}
				v := r.linear(p)
				c.R, c.G, c.B = c.R+v.R, c.G+v.G, c.B+v.B
				n++
				s.bright[k] = s.bright[k] || max(v.R, v.G, v.B) >= brightFrom
			}
		}
		if n > 0 {
			s.rgb[k] = colour.LinearRGB{R: c.R / n, G: c.G / n, B: c.B / n}
			s.cover[k] = n / all
		}
	}
}

// brightFrom is the linear value from which a channel is taken as clipped: two
// 8-bit steps below the top.
const brightFrom = 0.982

// Thumbnail returns the upright picture, read by its profile and corrected, as
// 8-bit sRGB no larger than w × h and not enlarged. Sizes below 1 count as 1.
// The reduction works in linear light down to twice the size asked for.
func (r Reference) Thumbnail(w, h int) *image.NRGBA {
	w, h = max(w, 1), max(h, 1)
	pw, ph := r.Size()
	if pw == 0 || ph == 0 {
		return image.NewNRGBA(image.Rect(0, 0, 0, 0))
	}
	// The side of the thumbnail once it fits, then twice that.
	fit := min(float64(w)/float64(pw), float64(h)/float64(ph), 1)
	s := r.shrunk(max(1, int(2*fit*float64(max(pw, ph)))), 0)
	m := image.NewNRGBA(image.Rect(0, 0, s.w, s.h))
	for k, c := range s.rgb {
		red, green, blue := colour.EncodeSRGB8(c)
		copy(m.Pix[4*k:], []uint8{red, green, blue, uint8(255*s.cover[k] + 0.5)})
	}
	return imaging.Fit(m, w, h, imaging.Lanczos)
}
