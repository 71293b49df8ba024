package keeper

import (
	"image"
	"math"
)

// material is how a part takes the light.
type material struct {
	colour rgb
	bulge  float64               // how far it swells, share of its rounding width
	round  float64               // figure units from the edge over which it rounds off
	gloss  float64               // strength of the sheen
	power  float64               // narrowness of the sheen
	pile   float64               // brightening where seen at a grazing angle
	glow   float64               // light of its own, share of its colour that no shadow takes
	weave  func(p point) float64 // relief of the surface, figure units
	dye    func(p point, c rgb) rgb
}

// fold is a ridge (height above 0) or a furrow (below 0) across a part.
type fold struct {
	line   outline
	width  float64 // half width at its middle
	height float64
	quiet  bool // too soft for a line in the drawing
}

// part is one piece of the figure.
type part struct {
	name  string
	area  string // the demo's area code; "" where none is meant
	shape outline
	stuff material
	folds []fold
	lift  float64 // how far it stands off what lies below, for its shadow
	free  bool    // no ink outline in the drawing
}

// surface is a figure ready to be lit: one value a pixel for each property.
type surface struct {
	r      image.Rectangle
	colour []rgb
	nx, ny []float32
	open   []float32 // share of light not shut out by a part above
	gloss  []float32
	power  []float32
	pile   []float32
	glow   []float32
	cover  []float32
	area   []int8 // index into areaCodes, −1 where none
}

func newSurface(r image.Rectangle) *surface {
	n := r.Dx() * r.Dy()
	s := &surface{r: r, colour: make([]rgb, n), area: make([]int8, n)}
	for _, f := range []*[]float32{&s.nx, &s.ny, &s.open, &s.gloss, &s.power, &s.pile, &s.glow, &s.cover} {
		*f = make([]float32, n)
	}
	for i := range s.open {
		s.open[i], s.area[i] = 1, -1
	}
	return s
}

func (s *surface) index(x, y int) int { return (y-s.r.Min.Y)*s.r.Dx() + x - s.r.Min.X }

// add lays a part on the surface. lampX, lampY point from the figure to the
// lamp on the canvas; shadows fall the other way.
func (s *surface) add(p part, m affine, lampX, lampY float64) {
	o := p.shape.placed(m)
	mask := fill(o, 2)
	if mask.r.Intersect(s.r).Empty() {
		return
	}
	if p.lift > 0 {
		s.shade(mask, p.lift*m.size(), lampX, lampY)
	}
	height := relief(p, mask, m)
	s.take(p, mask, height, m)
}

// shade darkens what lies under a part that stands off it.
func (s *surface) shade(mask field, lift, lampX, lampY float64) {
	pad := int(lift*2) + 3
	soft := mask.grown(mask.r.Inset(-pad)).blurred(lift*0.55, true)
	dx, dy := int(math.Round(-lampX*lift)), int(math.Round(-lampY*lift))
	b := soft.r.Add(image.Pt(dx, dy)).Intersect(s.r)
	for y := b.Min.Y; y < b.Max.Y; y++ {
		row := soft.row(y - dy)
		for x := b.Min.X; x < b.Max.X; x++ {
			i := s.index(x, y)
			s.open[i] *= 1 - 0.62*row[x-dx-soft.r.Min.X]
		}
	}
}

// relief is a part's height in pixels: rounded off to its outline, then its
// folds and weave.
func relief(p part, mask field, m affine) field {
	k := m.size()
	h := newField(mask.r)
	if round := p.stuff.round * k; round > 0.5 && p.stuff.bulge > 0 {
		d := depth(mask)
		for i, v := range d.v {
			t := 1 - math.Min(float64(v)/round, 1)
			h.v[i] = float32(round * p.stuff.bulge * math.Sqrt(math.Max(0, 1-t*t)))
		}
		h = h.blurred(math.Max(0.8, round*0.16), false)
	}
	for _, f := range p.folds {
		g := newField(mask.r)
		high := f.height * k
		for _, l := range f.line.placed(m) {
			brush(g, l, wide(f.width*k), 2.6, func(d, half, t float64) float64 {
				q := d / math.Max(half, 0.3)
				return high * math.Exp(-q*q) * smooth(-0.05, 0.35, t) * smooth(1.35, 0.75, t)
			})
		}
		for i := range h.v {
			h.v[i] += g.v[i]
		}
	}
	if w := p.stuff.weave; w != nil {
		back := m.inverse()
		eachPixel(mask.r, func(x, y, i int) { h.v[i] += float32(k * w(back.at(point{float64(x) + 0.5, float64(y) + 0.5}))) })
	}
	return h
}

func eachPixel(r image.Rectangle, f func(x, y, i int)) {
	i := 0
	for y := r.Min.Y; y < r.Max.Y; y++ {
		for x := r.Min.X; x < r.Max.X; x++ {
			f(x, y, i)
			i++
		}
	}
}

func (m affine) inverse() affine {
	d := m.XX*m.YY - m.XY*m.YX
	return affine{
		XX: m.YY / d, XY: -m.XY / d, YX: -m.YX / d, YY: m.XX / d,
		DX: (m.XY*m.DY - m.YY*m.DX) / d, DY: (m.YX*m.DX - m.XX*m.DY) / d,
	}
}

// take blends a part's properties into the surface.
func (s *surface) take(p part, mask, height field, m affine) {
	back := m.inverse()
	area := areaIndex(p.area)
	b := mask.r.Inset(1).Intersect(s.r)
	for y := b.Min.Y; y < b.Max.Y; y++ {
		for x := b.Min.X; x < b.Max.X; x++ {
			a := mask.at(x, y)
			if a <= 0 {
				continue
			}
			dx := (height.at(x+1, y) - height.at(x-1, y)) / 2
			dy := (height.at(x, y+1) - height.at(x, y-1)) / 2
			n := float32(1 / math.Sqrt(float64(1+dx*dx+dy*dy)))
			c := p.stuff.colour
			if p.stuff.dye != nil {
				c = p.stuff.dye(back.at(point{float64(x) + 0.5, float64(y) + 0.5}), c)
			}
			s.set(s.index(x, y), a, c, -dx*n, -dy*n, p.stuff, area)
		}
	}
}

func (s *surface) set(i int, a float32, c rgb, nx, ny float32, m material, area int8) {
	to := func(f []float32, v float32) { f[i] += (v - f[i]) * a }
	s.colour[i] = blend(s.colour[i], c, float64(a))
	to(s.nx, nx)
	to(s.ny, ny)
	to(s.open, 1)
	to(s.gloss, float32(m.gloss))
	to(s.power, float32(m.power))
	to(s.pile, float32(m.pile))
	to(s.glow, float32(m.glow))
	s.cover[i] += (1 - s.cover[i]) * a
	if a > 0.5 {
		s.area[i] = area
	}
}

// lampLight is a light beside the key.
type lampLight struct {
	at       point      // where a near lamp stands on the canvas
	near     float64    // its reach in pixels; 0 for a far lamp
	toward   [3]float64 // the way to a far lamp
	colour   rgb
	strength float64
}

// lighting is how a figure is lit. The key lamp is scaled so that a part
// facing the eye has factor 1: its own colour.
type lighting struct {
	key     [3]float64
	ambient float64
	lift    float64 // how far above 1 the lit side may rise
	shadow  rgb     // tint of what the key does not reach
	lamps   []lampLight
	sheen   rgb
}

// render lights the surface over a picture; even (0…1 a pixel) says where
// the light is held at factor 1, without sheen or near lamps.
func (s *surface) render(on *sheet, l lighting, even field) {
	key := unit3(l.key)
	half := unit3([3]float64{key[0], key[1], key[2] + 1})
	b := s.r.Intersect(on.bounds())
	for y := b.Min.Y; y < b.Max.Y; y++ {
		for x := b.Min.X; x < b.Max.X; x++ {
			i := s.index(x, y)
			a := float64(s.cover[i])
			if a <= 0 {
				continue
			}
			n := s.normal(i)
			keep := float64(even.at(x, y))
			light := l.factor(n, key, float64(s.open[i]))
			light = blend(light, rgb{1, 1, 1}, math.Max(keep, float64(s.glow[i])))
			c := s.colour[i].times(light)
			free := 1 - keep
			c = c.plus(l.sheen.scale(free * s.sheen(i, n, half)))
			c = c.plus(s.colour[i].plus(rgb{0.01, 0.01, 0.01}).times(l.near(n, point{float64(x), float64(y)}, float64(s.open[i]))).scale(free))
			p := on.at(x, y)
			*p = blend(*p, c, a)
		}
	}
}

func (s *surface) normal(i int) [3]float64 {
	x, y := float64(s.nx[i]), float64(s.ny[i])
	return [3]float64{x, y, math.Sqrt(math.Max(0, 1-x*x-y*y))}
}

func (l lighting) factor(n, key [3]float64, open float64) rgb {
	lit := math.Max(0, dot(n, key)) / key[2] * open
	if lit > 1 {
		lit = 1 + (1-math.Exp(1-lit))*l.lift
	}
	amb := l.ambient * (0.55 + 0.45*open)
	f := lit*(1-l.ambient) + amb
	return blend(l.shadow, rgb{1, 1, 1}, math.Min(f, 1)).scale(f)
}

func (s *surface) sheen(i int, n, half [3]float64) float64 {
	power := float64(s.power[i] + 1)
	spec := float64(s.gloss[i]) * math.Max(0, math.Pow(math.Max(0, dot(n, half)), power)-math.Pow(half[2], power)) * float64(s.open[i])
	graze := 1 - n[2]
	return spec + float64(s.pile[i])*graze*graze*graze*(0.4+0.6*math.Max(0, dot(n, half)))
}

func (l lighting) near(n [3]float64, p point, open float64) rgb {
	var sum rgb
	for _, k := range l.lamps {
		d := k.at.sub(p)
		dist := d.length()
		if k.near > 0 && dist > k.near {
			continue
		}
		fall, to := 1.0, k.toward
		if k.near > 0 {
			fall = math.Pow(1-dist/k.near, 2)
			to = unit3([3]float64{d.X, d.Y, k.near * 0.10})
		}
		// From the side only: what faces the eye keeps its own colour.
		side := math.Max(0, dot(n, to)-to[2])
		sum = sum.plus(k.colour.scale(k.strength * fall * side * (0.35 + 0.65*open)))
	}
	return sum
}

func dot(a, b [3]float64) float64 { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }

func unit3(a [3]float64) [3]float64 {
	k := 1 / math.Sqrt(dot(a, a))
	return [3]float64{a[0] * k, a[1] * k, a[2] * k}
}

// areaCodes are the demo's areas, in order.
var areaCodes = []string{"A1", "A2", "A3", "A4", "A5", "A6", "A7", "A8", "A9"}

func areaIndex(code string) int8 {
	for i, c := range areaCodes {
		if c == code {
			return int8(i)
		}
	}
	return -1
}
