package keeper

import (
	"image"
	"math"
)

// printer turns pictures in linear light into files.
type printer interface {
	// whole gives the picture's file.
	whole(*sheet) []byte
	// piece tells what a reader of the file sees at the pixels of a rectangle
	// of the upright picture, in linear sRGB. The rectangle starts and ends at
	// multiples of 16, as the blocks of a JPEG with 4:2:0 colour do, so that
	// its pixels are those of the whole.
	piece(*sheet, image.Rectangle) func(x, y int) rgb
}

// calibrated prints a picture so that the linear-light mean of each patch in
// the file is its colour: it prints the patch and what lies around it, reads
// it back and corrects the light on it, some times over, and keeps the
// correction that came nearest. A file's steps set how near that is.
func calibrated(s *sheet, marks []Patch, evens []field, p printer) []byte {
	trial := newSheet(s.W, s.H)
	for i, m := range marks {
		s.correct(evens[i], bestGain(s, trial, m, evens[i], p))
	}
	return p.whole(s)
}

func bestGain(s, trial *sheet, m Patch, even field, p printer) rgb {
	gain, best, miss := rgb{1, 1, 1}, rgb{1, 1, 1}, math.Inf(1)
	around := blocks(even.r, s.bounds())
	for range 8 {
		trial.take(s, around)
		trial.correct(even, gain)
		off := hex(m.Hex).over(mean(m.Rect, p.piece(trial, around)))
		if d := math.Abs(off.R-1) + math.Abs(off.G-1) + math.Abs(off.B-1); d < miss {
			best, miss = gain, d
		}
		gain = gain.times(blend(rgb{1, 1, 1}, off, 0.8))
	}
	return best
}

// blocks widens a rectangle to whole JPEG blocks.
func blocks(r, all image.Rectangle) image.Rectangle {
	return image.Rect(r.Min.X&^15, r.Min.Y&^15, (r.Max.X+15)&^15, (r.Max.Y+15)&^15).Intersect(all)
}

// take copies a rectangle of another picture of the same size.
func (s *sheet) take(from *sheet, r image.Rectangle) {
	for y := r.Min.Y; y < r.Max.Y; y++ {
		copy(s.pix[y*s.W+r.Min.X:y*s.W+r.Max.X], from.pix[y*s.W+r.Min.X:])
	}
}

func (s *sheet) correct(even field, gain rgb) {
	b := even.r.Intersect(s.bounds())
	for y := b.Min.Y; y < b.Max.Y; y++ {
		for x := b.Min.X; x < b.Max.X; x++ {
			if k := float64(even.at(x, y)); k > 0 {
				p := s.at(x, y)
				*p = p.times(blend(rgb{1, 1, 1}, gain, k))
			}
		}
	}
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

// grain lays film grain on a picture: multiplied, so that no mean moves.
func (s *sheet) grain(amount float64, seed uint32) {
	s.each(func(x, y int, c rgb) rgb {
		return c.scale(1 + amount*(0.6*speck(int32(x), int32(y), seed)+0.4*speck(int32(x/2), int32(y/2), seed+7)))
	})
}

// mottled spreads rounding by a fixed noise: half a step from pixel to pixel,
// and blots of colour some steps strong and some pixels wide, as a sensor has
// them, so that a mean may lie between two steps of a coarse file.
func mottled(steps, size float64) func(x, y, channel int) float64 {
	return func(x, y, channel int) float64 {
		blot := noise(float64(x)/size, float64(y)/size, 920+uint32(channel))
		return 0.5*speck(int32(x), int32(y), 909) + steps*blot
	}
}

// quantised gives a rectangle of the picture in 8 bits, its rounding spread by
// a noise in steps.
func (s *sheet) quantised(r image.Rectangle, curve func(rgb) [3]float64, spread func(x, y, channel int) float64) *image.RGBA {
	img := image.NewRGBA(r)
	sideBySide(r, func(x, y int) {
		v := curve(*s.at(x, y))
		i := img.PixOffset(x, y)
		for k := range 3 {
			img.Pix[i+k] = uint8(math.Min(math.Max(math.Floor(v[k]+0.5+spread(x, y, k)), 0), 255))
		}
		img.Pix[i+3] = 255
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

// still is a printer of JPEG files.
type still struct {
	quality     int
	blot, broad float64 // see mottled
}

func (j still) whole(s *sheet) []byte { return asJPEG(j.image(s, s.bounds()), j.quality) }

func (j still) image(s *sheet, r image.Rectangle) *image.RGBA {
	return s.quantised(r, screen, mottled(j.blot, j.broad))
}

func (j still) piece(s *sheet, r image.Rectangle) func(x, y int) rgb {
	stored := look(fromJPEG(asJPEG(j.image(s, r), j.quality)))
	return func(x, y int) rgb { return stored(x-r.Min.X, y-r.Min.Y) }
}
