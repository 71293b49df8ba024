package palette

import (
	"fmt"
	"math"

	"undercoat/palette/colour"
)

// Cast is a guess at the light of a picture in which nothing is known: a
// question to the maker, never applied by itself. The zero value guesses nothing.
type Cast struct {
	Light      colour.LinearRGB // the light's colour in linear sRGB, luminance 1
	Strength   float64          // ΔE00 that it gives to a white
	Confidence float64          // 0…1: how far the methods agree, and how far the cast exceeds their usual error
	Words      string           // "orange", "blue", …; "" where no cast is seen
}

// Question puts the guess to the maker; "" where no cast is seen.
func (c Cast) Question() string {
	if c.Words == "" {
		return ""
	}
	sure := "perhaps"
	switch {
	case c.Confidence >= 0.7:
		sure = "probably"
	case c.Confidence >= 0.4:
		sure = "possibly"
	}
	return fmt.Sprintf("the picture %s has a cast (the light looks %s): is there something white or grey in it that can be marked?", sure, c.Words)
}

// usualError is the median angle, in degrees, by which methods of this family
// miss the true light on photographs.
//
// Source: van de Weijer, Gevers, Gijsenij (2007), IEEE Trans. Image Processing
// 16, table II: 5 to 6 degrees on real images.
const usualError = 5.0

// GuessCast estimates the light by four methods of one family, the Minkowski
// norm of the values or of their local differences: grey world (norm 1), shades
// of grey (norm 6), grey edge and second-order grey edge (norm 6). It is wrong by about 5 degrees in
// the middle case, and by more where one colour fills the picture; so it is
// only ever a question. Clipped and transparent parts are left out.
//
// Source: van de Weijer, Gevers, Gijsenij (2007), equation 10; Finlayson, Trezzi
// (2004) for the norm 6.
func (r Reference) GuessCast() Cast {
	if w, h := r.Size(); w < 8 || h < 8 {
		return Cast{}
	}
	if r.correct == nil { // the common case, kept with the pixels
		r.src.cast.Do(func() { r.src.guess = r.guessCast() })
		return r.src.guess
	}
	return r.guessCast()
}

// guessCast does the work of GuessCast.
func (r Reference) guessCast() Cast {
	const side = 256
	s := r.shrunk(side, sampled).blurred()
	methods := [4][3]float64{s.norm(0, 1), s.norm(0, 6), s.norm(1, 6), s.norm(2, 6)}
	var mean [3]float64
	var found [][3]float64
	for _, m := range methods {
		if m != ([3]float64{}) {
			found = append(found, m)
			for i := range mean {
				mean[i] += m[i]
			}
		}
	}
	if len(found) == 0 {
		return Cast{}
	}
	mean = unit(mean)
	scatter := 0.0
	for _, m := range found {
		scatter += angle(m, mean) / float64(len(found))
	}
	off := angle(mean, unit([3]float64{1, 1, 1}))
	c := Cast{Light: withLuminance(mean)}
	white := c.Light.Lab()
	c.Strength = colour.Difference(white, colour.LinearRGB{R: 1, G: 1, B: 1}.Lab())
	c.Confidence = off / (off + usualError) * math.Exp(-scatter/usualError)
	if off > usualError && c.Confidence >= 0.2 {
		c.Words = lightWords(white)
	}
	return c
}

// WithoutCast returns the picture as it would look if the guess were right: its
// light made neutral at the same luminance. It is for a maker who has answered
// the question; [Reference.Neutral] with an anchor is better.
func (r Reference) WithoutCast(c Cast) Reference {
	if min(c.Light.R, c.Light.G, c.Light.B) <= 0 {
		return r
	}
	out := r.corrected(gains{1 / c.Light.R, 1 / c.Light.G, 1 / c.Light.B})
	out.guessed = true
	return out
}

// lightWords names the colour of a light by the hue of a white under it.
func lightWords(white colour.Lab) string {
	switch h := white.LCh().H; {
	case h < 20 || h >= 330:
		return "pink"
	case h < 75:
		return "orange"
	case h < 110:
		return "yellow"
	case h < 190:
		return "green"
	case h < 300:
		return "blue"
	default:
		return "violet"
	}
}

// blurred smooths each channel by a Gaussian of two pixels, as the grey-edge
// methods ask for; parts that are not wholly opaque or hold clipped pixels lose
// their cover, and so does everything near them.
func (s small) blurred() small {
	for k := range s.rgb {
		if s.bright[k] || s.cover[k] < 1 {
			s.rgb[k], s.cover[k] = colour.LinearRGB{}, 0
		}
	}
	kernel := gaussian2()
	for _, d := range [2][2]int{{1, 0}, {0, 1}} {
		out := small{s.w, s.h, make([]colour.LinearRGB, len(s.rgb)), make([]float64, len(s.rgb)), s.bright}
		stripes(s.h, func(from, to int) {
			for y := from; y < to; y++ {
				for x := range s.w {
					out.rgb[y*s.w+x], out.cover[y*s.w+x] = s.blur(kernel, x, y, d)
				}
			}
		})
		s = out
	}
	return s
}

// blur is the mean along direction d around a place, and its cover.
func (s *small) blur(kernel [7]float64, x, y int, d [2]int) (c colour.LinearRGB, cover float64) {
	for t := -len(kernel) + 1; t < len(kernel); t++ {
		i, j := min(max(x+t*d[0], 0), s.w-1), min(max(y+t*d[1], 0), s.h-1)
		k, weight := j*s.w+i, kernel[max(t, -t)]
		c.R += weight * s.rgb[k].R
		c.G += weight * s.rgb[k].G
		c.B += weight * s.rgb[k].B
		cover += weight * s.cover[k]
	}
	return c, cover
}

// gaussian2 returns one half of a Gaussian of two pixels, its middle first, cut
// off at three standard deviations; both halves sum to 1.
func gaussian2() (half [7]float64) {
	sum := 0.0
	for t := range half {
		half[t] = math.Exp(-float64(t*t) / 8)
		sum += half[t]
		if t > 0 {
			sum += half[t]
		}
	}
	for t := range half {
		half[t] /= sum
	}
	return half
}

// norm returns the direction of the Minkowski norm p of the derivative of the
// given order over all covered pixels; zero where there is nothing.
func (s small) norm(order, p int) [3]float64 {
	var sum [3]float64
	at := func(x, y int) [3]float64 {
		c := s.rgb[y*s.w+x]
		return [3]float64{c.R, c.G, c.B}
	}
	for y := 1; y < s.h-1; y++ {
		for x := 1; x < s.w-1; x++ {
			if s.cover[y*s.w+x] < 0.999 {
				continue
			}
			v := at(x, y)
			l, r, u, d := at(x-1, y), at(x+1, y), at(x, y-1), at(x, y+1)
			for i := range sum {
				var f float64
				switch order {
				case 0:
					f = v[i]
				case 1:
					f = math.Sqrt(sq(r[i]-l[i]) + sq(d[i]-u[i]))
				default:
					f = math.Sqrt(sq(l[i]-2*v[i]+r[i]) + sq(u[i]-2*v[i]+d[i]))
				}
				sum[i] += whole(math.Abs(f), p)
			}
		}
	}
	for i := range sum {
		sum[i] = math.Pow(sum[i], 1/float64(p))
	}
	if min(sum[0], sum[1], sum[2]) <= 0 {
		return [3]float64{}
	}
	return unit(sum)
}

// whole is a whole power of at least 1.
func whole(v float64, power int) float64 {
	out := v
	for range power - 1 {
		out *= v
	}
	return out
}

// unit returns v with length 1.
func unit(v [3]float64) [3]float64 {
	n := math.Sqrt(v[0]*v[0] + v[1]*v[1] + v[2]*v[2])
	return [3]float64{v[0] / n, v[1] / n, v[2] / n}
}

// angle returns the angle between two unit vectors in degrees.
func angle(a, b [3]float64) float64 {
	dot := a[0]*b[0] + a[1]*b[1] + a[2]*b[2]
	return math.Acos(min(max(dot, -1), 1)) * 180 / math.Pi
}

// withLuminance scales a colour of light to luminance 1.
func withLuminance(v [3]float64) colour.LinearRGB {
	c := colour.LinearRGB{R: v[0], G: v[1], B: v[2]}
	y := c.XYZ().Y
	return colour.LinearRGB{R: c.R / y, G: c.G / y, B: c.B / y}
}
