package palette

import (
	"image"
	"math"
	"runtime"
	"sync"

	"undercoat/palette/colour"
)

// cellsWanted is about how many cells a picture is laid out in, whatever its
// size: pictures of one scene are then read alike at any size. cellsEarly is by
// how much of a side larger cells are taken before they hold so many; with it no
// picture of 80 000 pixels and more has fewer cells than that.
const (
	cellsWanted = 100_000
	cellsEarly  = 0.2
)

// cells is the upright picture laid out in equal square cells, each the mean of
// its opaque pixels in linear light. Materials are found on cells; pixels end here.
type cells struct {
	w, h   int     // size in cells
	side   int     // pixels along one side of a cell
	x0, y0 int     // upright pixel at the left top corner of the first cell
	pw, ph int     // size of the upright picture in pixels
	blocks bool    // the picture is pixelated and each cell is one of its blocks
	rough  float64 // 1, or more where strong compression has coarsened the colours

	lin   []rgb32  // mean linear sRGB, corrected
	ok    []okCell // the same in OKLab
	clear []bool   // not wholly opaque: left out
	clip  []uint8  // channels that clip in a quarter of its pixels and more: 1 red, 2 green, 4 blue
}

// rgb32 is linear sRGB.
type rgb32 struct{ r, g, b float32 }

// okCell is OKLab, scaled so that near grey a step of one is about one ΔE00.
// Under shading by a factor s all three scale by the cube root of s, so a/l and
// b/l do not change along the shades of one matt material.
//
// Source: Ottosson (2020), "A perceptual color space for image processing".
type okCell struct{ l, a, b float32 }

const (
	okL = 100 // l of white
	okC = 250 // a and b per unit of OKLab
)

// stripes runs work over rows 0…n in contiguous stripes, one a core. The work
// on a row must not depend on the stripe it falls into.
func stripes(n int, work func(from, to int)) {
	parts := min(runtime.GOMAXPROCS(0), n/8)
	if parts <= 1 {
		work(0, n)
		return
	}
	var wait sync.WaitGroup
	for i := range parts {
		wait.Go(func() { work(n*i/parts, n*(i+1)/parts) })
	}
	wait.Wait()
}

// layOut averages the picture in cells. The rest of a side that does not fill a
// cell is left out half at each end.
func (r Reference) layOut() *cells {
	b := r.src.img.Bounds()
	w, h := b.Dx(), b.Dy()
	side := max(1, int(math.Sqrt(float64(w)*float64(h)/cellsWanted)+cellsEarly))
	g := &cells{rough: r.rough()}
	block := r.src.blocks()
	if g.blocks = block.side > 1; g.blocks {
		side = block.side * max(1, (side+block.side/2)/block.side)
		w, h = w-block.x0, h-block.y0
	}
	side = min(side, w, h)
	g.side, g.w, g.h = side, w/side, h/side
	g.x0, g.y0 = block.x0+w%side/2, block.y0+h%side/2
	if g.blocks {
		g.x0, g.y0 = block.x0, block.y0
	}
	g.pw, g.ph = r.Size()
	n := g.w * g.h
	g.lin, g.ok, g.clear, g.clip = make([]rgb32, n), make([]okCell, n), make([]bool, n), make([]uint8, n)
	s := newSampler(r, side)
	stripes(g.h, func(from, to int) { s.rows(g, from, to) })
	g.stand(r.src.turn)
	return g
}

// rough tells how much larger than usual a step between neighbours must be to
// mean something: strong JPEG compression (quality below 60) changes colours in
// steps. Common practice, no source.
func (r Reference) rough() float64 {
	if q, ok := r.Quality(); ok {
		return 1 + max(0, float64(60-q))/roughness
	}
	return 1
}

const roughness = 40

// sampler averages cells. Of a large cell 4 × 4 pixels, evenly spread, are read.
type sampler struct {
	r    Reference
	lut  [3][256]float32
	top  uint8 // a channel from here on counts as clipped
	side int
	at   []int // columns, and lines, of a cell that are read
	half uint  // chroma columns are half (1) or a quarter (2) as many
}

// sampled is how many columns and lines of a cell are read at most.
const sampled = 4

func newSampler(r Reference, side int) *sampler {
	s := &sampler{r: r, side: side, top: 255, at: make([]int, min(side, sampled))}
	for k := range s.at {
		s.at[k] = (2*k + 1) * side / (2 * len(s.at))
	}
	if r.lossy() {
		s.top = 253
	}
	if m, ok := r.src.img.(*image.YCbCr); ok {
		switch m.SubsampleRatio {
		case image.YCbCrSubsampleRatio422, image.YCbCrSubsampleRatio420:
			s.half = 1
		case image.YCbCrSubsampleRatio411, image.YCbCrSubsampleRatio410:
			s.half = 2
		}
	}
	for c := range s.lut {
		for v := range s.lut[c] {
			s.lut[c][v] = float32(r.src.lens.tone[c].by8[v])
		}
	}
	return s
}

// sums is what is gathered of one cell.
type sums struct {
	r, g, b float32
	n       int32
	clipped [3]int32
	clear   bool
}

// clip counts a pixel with a clipped channel.
func (c *sums) clip(channel ...bool) {
	for k, is := range channel {
		if is {
			c.clipped[k]++
		}
	}
}

// rows averages rows from…to of cells, as stored. A picture is walked line by
// line, as it lies in memory.
func (s *sampler) rows(g *cells, from, to int) {
	acc := make([]sums, g.w)
	for y := from; y < to; y++ {
		clear(acc)
		for _, at := range s.at {
			line := g.y0 + y*s.side + at
			switch m := s.r.src.img.(type) {
			case *image.YCbCr:
				s.ycbcr(m, acc, g.x0, line)
			case *image.NRGBA:
				s.nrgba(m, acc, g.x0, line)
			default:
				s.other(acc, g.x0, line)
			}
		}
		for x := range acc {
			s.put(g, y*g.w+x, &acc[x])
		}
	}
}

// ycbcr gathers a line of a Y′CbCr picture from x0 on; the conversion is that of
// color.YCbCrToRGB, in line because a call a pixel costs more than the work.
func (s *sampler) ycbcr(m *image.YCbCr, acc []sums, x0, y int) {
	top, half, columns := s.top, s.half, s.at
	lutR, lutG, lutB := &s.lut[0], &s.lut[1], &s.lut[2]
	at := m.COffset(0, y)
	row, rowB, rowR := m.Y[y*m.YStride:], m.Cb[at:], m.Cr[at:]
	for i := range acc {
		c := &acc[i]
		r, g, b := c.r, c.g, c.b
		left := x0 + i*s.side
		for _, o := range columns {
			x := left + o
			yy := int32(row[x]) * 0x10101
			cb, cr := int32(rowB[x>>half])-128, int32(rowR[x>>half])-128
			red := clamp24(yy + 91881*cr)
			green := clamp24(yy - 22554*cb - 46802*cr)
			blue := clamp24(yy + 116130*cb)
			r += lutR[red]
			g += lutG[green]
			b += lutB[blue]
			if max(red, green, blue) >= top {
				c.clip(red >= top, green >= top, blue >= top)
			}
		}
		c.r, c.g, c.b = r, g, b
		c.n += int32(len(columns))
	}
}

// clamp24 brings a value with 16 bits of fraction to 0…255.
func clamp24(v int32) uint8 {
	if uint32(v)&0xff000000 == 0 {
		return uint8(v >> 16)
	}
	return uint8(^(v >> 31))
}

// nrgba gathers a line of an 8-bit picture with alpha.
func (s *sampler) nrgba(m *image.NRGBA, acc []sums, x0, y int) {
	row := m.Pix[y*m.Stride:]
	for i := range acc {
		c := &acc[i]
		for _, o := range s.at {
			x := x0 + i*s.side + o
			p := row[4*x : 4*x+4 : 4*x+4]
			if p[3] < opaqueFrom {
				c.clear = true
				continue
			}
			c.r += s.lut[0][p[0]]
			c.g += s.lut[1][p[1]]
			c.b += s.lut[2][p[2]]
			if max(p[0], p[1], p[2]) >= s.top {
				c.clip(p[0] >= s.top, p[1] >= s.top, p[2] >= s.top)
			}
			c.n++
		}
	}
}

// other gathers a line of any other kind of picture.
func (s *sampler) other(acc []sums, x0, y int) {
	top := s.lut[0][s.top]
	for i := range acc {
		c := &acc[i]
		for _, o := range s.at {
			x := x0 + i*s.side + o
			var p [3]float32
			switch m := s.r.src.img.(type) {
			case *image.Gray:
				v := m.Pix[m.PixOffset(x, y)]
				p = [3]float32{s.lut[0][v], s.lut[1][v], s.lut[2][v]}
			case *image.NRGBA64:
				q := m.Pix[m.PixOffset(x, y):]
				if q[6] < opaqueFrom {
					c.clear = true
					continue
				}
				t := &s.r.src.lens.tone
				p = [3]float32{t[0].by16()[word(q, 0)], t[1].by16()[word(q, 2)], t[2].by16()[word(q, 4)]}
			}
			c.r, c.g, c.b = c.r+p[0], c.g+p[1], c.b+p[2]
			if max(p[0], p[1], p[2]) >= top {
				c.clip(p[0] >= top, p[1] >= top, p[2] >= top)
			}
			c.n++
		}
	}
}

// put finishes a cell: primaries and correction are applied to the mean, which
// is the same as to every pixel, for both are linear (or, a root-polynomial
// correction, scale with the light).
func (s *sampler) put(g *cells, i int, c *sums) {
	g.clear[i] = c.clear || c.n == 0
	if c.n == 0 {
		return
	}
	k := 1 / float32(c.n)
	lin := rgb32{c.r * k, c.g * k, c.b * k}
	if l := &s.r.src.lens; !l.plain || s.r.correct != nil {
		v := l.mix(float64(lin.r), float64(lin.g), float64(lin.b))
		if s.r.correct != nil {
			v = s.r.correct.apply(v)
		}
		lin = rgb32{float32(v.R), float32(v.G), float32(v.B)}
	}
	g.lin[i], g.ok[i] = lin, lin.ok()
	for k, n := range c.clipped {
		if 4*n > c.n {
			g.clip[i] |= 1 << k
		}
	}
}

// stand turns the cells upright.
func (g *cells) stand(t turn) {
	if !t.turns() {
		return
	}
	o := *g
	g.w, g.h = t.size(o.w, o.h)
	g.x0, g.y0 = o.corner(t)
	n := len(o.lin)
	g.lin, g.ok, g.clear, g.clip = make([]rgb32, n), make([]okCell, n), make([]bool, n), make([]uint8, n)
	for y := range g.h {
		for x := range g.w {
			sx, sy := t.stored(x, y, o.w, o.h)
			i, j := y*g.w+x, sy*o.w+sx
			g.lin[i], g.ok[i], g.clear[i], g.clip[i] = o.lin[j], o.ok[j], o.clear[j], o.clip[j]
		}
	}
}

// corner returns the upright pixel at the left top of the cells as stored: the
// margin that was left out there before they were turned.
func (g *cells) corner(t turn) (x, y int) {
	sw, sh := t.size(g.pw, g.ph) // the turn that swaps also swaps back
	mx, my := g.x0, g.y0
	sx, sy := t.stored(0, 0, g.w, g.h)
	if sx > 0 {
		mx = sw - g.x0 - g.w*g.side
	}
	if sy > 0 {
		my = sh - g.y0 - g.h*g.side
	}
	if t.swaps() {
		return my, mx
	}
	return mx, my
}

// pixels returns the rectangle of upright pixels that a rectangle of cells covers.
func (g *cells) pixels(r Rect) Rect {
	return Rect{g.x0 + r.X*g.side, g.y0 + r.Y*g.side, r.W * g.side, r.H * g.side}
}

// opaque counts the cells that are read.
func (g *cells) opaque() int {
	n := 0
	for _, c := range g.clear {
		if !c {
			n++
		}
	}
	return n
}

// ok converts linear sRGB to scaled OKLab. Negative values of a wide gamut go
// through the odd cube root.
func (c rgb32) ok() okCell {
	l := root3(0.4122214708*c.r + 0.5363325363*c.g + 0.0514459929*c.b)
	m := root3(0.2119034982*c.r + 0.6806995451*c.g + 0.1073969566*c.b)
	s := root3(0.0883024619*c.r + 0.2817188376*c.g + 0.6299787005*c.b)
	return okCell{
		okL * (0.2104542553*l + 0.7936177850*m - 0.0040720468*s),
		okC * (1.9779984951*l - 2.4285922050*m + 0.4505937099*s),
		okC * (0.0259040371*l + 0.7827717662*m - 0.8086757660*s),
	}
}

// root3 is the cube root to about one part in 10⁶: a first guess, good to one
// part in 95, from a table by the exponent and the first bits of the number, then
// one step of Halley's method, which cubes the error.
func root3(x float32) float32 {
	bits := math.Float32bits(x)
	exponent := bits >> 23 & 0xff
	if exponent == 0 { // zero, or too small to see
		return 0
	}
	third := (exponent + 2) / 3 // the exponent is counted from 127 = 3 × 43 − 2
	y := math.Float32frombits(bits&0x80000000|(third+84)<<23) * rootTable[(exponent+2)%3<<rootBits|bits>>(23-rootBits)&(1<<rootBits-1)]
	y3 := y * y * y
	return y * (y3 + 2*x) / (2*y3 + x)
}

// rootBits is how many bits of the mantissa the table goes by.
const rootBits = 4

// rootTable holds cube roots of 1…8: for each of three powers of two, the middle
// of those in each sixteenth of it.
var rootTable = [3 << rootBits]float32{
	1.010207, 1.030228, 1.049499, 1.068087, 1.086049, 1.103435, 1.120290, 1.136652,
	1.152556, 1.168032, 1.183109, 1.197811, 1.212160, 1.226178, 1.239882, 1.253289,
	1.272781, 1.298006, 1.322286, 1.345705, 1.368335, 1.390241, 1.411477, 1.432092,
	1.452129, 1.471628, 1.490624, 1.509147, 1.527226, 1.544887, 1.562153, 1.579046,
	1.603603, 1.635385, 1.665976, 1.695482, 1.723995, 1.751594, 1.778349, 1.804322,
	1.829568, 1.854136, 1.878069, 1.901406, 1.924185, 1.946436, 1.968190, 1.989473,
}

// lab returns the CIELAB colour (D65) of linear sRGB.
func (c rgb32) lab() colour.Lab { return c.wide().Lab() }

func (c rgb32) wide() colour.LinearRGB {
	return colour.LinearRGB{R: float64(c.r), G: float64(c.g), B: float64(c.b)}
}

// luma is the luminance of linear sRGB (IEC 61966-2-1).
func (c rgb32) luma() float32 { return 0.2126*c.r + 0.7152*c.g + 0.0722*c.b }

func (c rgb32) plus(o rgb32) rgb32    { return rgb32{c.r + o.r, c.g + o.g, c.b + o.b} }
func (c rgb32) times(k float32) rgb32 { return rgb32{c.r * k, c.g * k, c.b * k} }

// edge2 is the squared difference of two cells as an edge: lightness counts
// half, because shading changes it within a material.
func edge2(p, q okCell) float32 {
	l, a, b := p.l-q.l, p.a-q.a, p.b-q.b
	return 0.25*l*l + a*a + b*b
}

func sqrt32(x float32) float32 { return float32(math.Sqrt(float64(x))) }
