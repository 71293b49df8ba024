package keeper

import (
	"image"
	"math"
)

// printer turns a picture in linear light into its file, and tells what a
// reader of the file sees at a pixel of the upright picture, in linear sRGB.
type printer func(*sheet) (file func() []byte, seen func(x, y int) rgb)

// calibrated prints a picture so that the linear-light mean of each patch in
// the file is its colour: it measures the file and corrects the light on the
// patch, a few times over.
func calibrated(s *sheet, marks []Patch, evens []field, print printer) []byte {
	gain := make([]rgb, len(marks))
	for i := range gain {
		gain[i] = rgb{1, 1, 1}
	}
	var file func() []byte
	for range 4 {
		var seen func(x, y int) rgb
		file, seen = print(s.corrected(evens, gain))
		for i, m := range marks {
			gain[i] = gain[i].times(hex(m.Hex).over(mean(m.Rect, seen)))
		}
	}
	return file()
}

func (s *sheet) corrected(evens []field, gain []rgb) *sheet {
	out := newSheet(s.W, s.H)
	copy(out.pix, s.pix)
	for i, e := range evens {
		b := e.r.Intersect(s.bounds())
		for y := b.Min.Y; y < b.Max.Y; y++ {
			for x := b.Min.X; x < b.Max.X; x++ {
				if k := float64(e.at(x, y)); k > 0 {
					p := out.at(x, y)
					*p = p.times(blend(rgb{1, 1, 1}, gain[i], k))
				}
			}
		}
	}
	return out
}

// mean is the plain mean of a rectangle, kept off zero.
func mean(r image.Rectangle, at func(x, y int) rgb) rgb {
	var sum rgb
	for y := r.Min.Y; y < r.Max.Y; y++ {
		for x := r.Min.X; x < r.Max.X; x++ {
			sum = sum.plus(at(x, y))
		}
	}
	n := float64(r.Dx() * r.Dy())
	return rgb{math.Max(sum.R/n, 1e-4), math.Max(sum.G/n, 1e-4), math.Max(sum.B/n, 1e-4)}
}

// grained lays film grain on a picture: multiplied, so that no mean moves.
func (s *sheet) grained(amount float64, seed uint32) *sheet {
	out := newSheet(s.W, s.H)
	out.each(func(x, y int, _ rgb) rgb {
		g := 0.6*speck(int32(x), int32(y), seed) + 0.4*speck(int32(x/2), int32(y/2), seed+7)
		return s.at(x, y).scale(1 + amount*g)
	})
	return out
}

// quantised gives the 8-bit picture. Rounding is spread by a fixed pattern of
// noise of one step, so that a mean may lie between two steps.
func (s *sheet) quantised(curve func(rgb) [3]float64, spread func(x, y int) float64) *image.RGBA {
	img := image.NewRGBA(s.bounds())
	s.each(func(x, y int, c rgb) rgb {
		v, d := curve(c), 0.5+spread(x, y)
		i := img.PixOffset(x, y)
		for k := range 3 {
			img.Pix[i+k] = uint8(math.Min(math.Max(math.Floor(v[k]+d), 0), 255))
		}
		img.Pix[i+3] = 255
		return c
	})
	return img
}

func screen(c rgb) [3]float64 { return [3]float64{encode(c.R), encode(c.G), encode(c.B)} }

// look reads a pixel of an 8-bit sRGB picture in linear light.
func look(img image.Image) func(x, y int) rgb {
	return func(x, y int) rgb {
		r, g, b, _ := img.At(x, y).RGBA()
		return rgb{decode(float64(r >> 8)), decode(float64(g >> 8)), decode(float64(b >> 8))}
	}
}
