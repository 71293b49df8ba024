package keeper

import (
	"image"
	"math"
	"strconv"
	"sync"
)

// rgb is a colour in linear light, sRGB primaries, white 1; it may leave 0…1.
type rgb struct{ R, G, B float64 }

func (c rgb) scale(k float64) rgb { return rgb{c.R * k, c.G * k, c.B * k} }
func (c rgb) times(d rgb) rgb     { return rgb{c.R * d.R, c.G * d.G, c.B * d.B} }
func (c rgb) plus(d rgb) rgb      { return rgb{c.R + d.R, c.G + d.G, c.B + d.B} }
func (c rgb) over(d rgb) rgb      { return rgb{c.R / d.R, c.G / d.G, c.B / d.B} }
func blend(c, d rgb, t float64) rgb {
	return rgb{lerp(c.R, d.R, t), lerp(c.G, d.G, t), lerp(c.B, d.B, t)}
}

// hex reads "#rrggbb" as encoded sRGB (IEC 61966-2-1).
func hex(s string) rgb {
	v, err := strconv.ParseUint(s[1:], 16, 32)
	if err != nil {
		panic("colour " + s + ": " + err.Error())
	}
	return rgb{decode(float64(v >> 16 & 255)), decode(float64(v >> 8 & 255)), decode(float64(v & 255))}
}

func decode(v float64) float64 {
	v /= 255
	if v <= 0.04045 {
		return v / 12.92
	}
	return math.Pow((v+0.055)/1.055, 2.4)
}

// encode gives the sRGB value 0…255, not yet rounded, clipped to 0…1.
func encode(v float64) float64 {
	v = math.Min(math.Max(v, 0), 1)
	if v <= 0.0031308 {
		return 255 * 12.92 * v
	}
	return 255 * (1.055*math.Pow(v, 1/2.4) - 0.055)
}

// sheet is a picture in linear light.
type sheet struct {
	W, H int
	pix  []rgb
}

func newSheet(w, h int) *sheet { return &sheet{w, h, make([]rgb, w*h)} }

func (s *sheet) bounds() image.Rectangle { return image.Rect(0, 0, s.W, s.H) }
func (s *sheet) at(x, y int) *rgb        { return &s.pix[y*s.W+x] }

// each sets every pixel from its place and its colour before; f must look at
// nothing else that changes.
func (s *sheet) each(f func(x, y int, c rgb) rgb) {
	sideBySide(s.bounds(), func(x, y int) {
		i := y*s.W + x
		s.pix[i] = f(x, y, s.pix[i])
	})
}

// sideBySide visits every pixel once, bands of rows side by side.
func sideBySide(r image.Rectangle, f func(x, y int)) {
	const band = 32
	var all sync.WaitGroup
	for top := r.Min.Y; top < r.Max.Y; top += band {
		all.Go(func() {
			for y := top; y < min(top+band, r.Max.Y); y++ {
				for x := r.Min.X; x < r.Max.X; x++ {
					f(x, y)
				}
			}
		})
	}
	all.Wait()
}

// lay puts a colour over the picture where a mask covers it.
func (s *sheet) lay(mask field, alpha float64, ink func(x, y int) rgb) {
	b := mask.r.Intersect(s.bounds())
	for y := b.Min.Y; y < b.Max.Y; y++ {
		row := mask.row(y)
		for x := b.Min.X; x < b.Max.X; x++ {
			if a := float64(row[x-mask.r.Min.X]) * alpha; a > 0 {
				p := s.at(x, y)
				*p = blend(*p, ink(x, y), a)
			}
		}
	}
}

// glow adds light to the picture, falling off from a place.
func (s *sheet) glow(c point, radius float64, light rgb) {
	r := radius * 4
	b := image.Rect(int(c.X-r), int(c.Y-r), int(c.X+r)+1, int(c.Y+r)+1).Intersect(s.bounds())
	for y := b.Min.Y; y < b.Max.Y; y++ {
		for x := b.Min.X; x < b.Max.X; x++ {
			d := math.Hypot(float64(x)+0.5-c.X, float64(y)+0.5-c.Y) / radius
			edge := math.Max(0, 1-d/4)
			p := s.at(x, y)
			*p = p.plus(light.scale(edge * edge / (1 + 3*d*d)))
		}
	}
}

func flatInk(c rgb) func(x, y int) rgb { return func(int, int) rgb { return c } }

// softened smooths the whole picture.
func (s *sheet) softened(sigma float64) *sheet {
	out := newSheet(s.W, s.H)
	for ch := range 3 {
		f := newField(s.bounds())
		for i, p := range s.pix {
			f.v[i] = float32([3]float64{p.R, p.G, p.B}[ch])
		}
		f = f.blurred(sigma, false)
		for i, v := range f.v {
			switch ch {
			case 0:
				out.pix[i].R = float64(v)
			case 1:
				out.pix[i].G = float64(v)
			case 2:
				out.pix[i].B = float64(v)
			}
		}
	}
	return out
}
