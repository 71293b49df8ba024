package palette

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"undercoat/palette/colour"
)

// MaxColours is the largest number of colours that can be asked for.
const MaxColours = 64

// MaterialOptions says how many colours are wanted. The zero value lets the
// picture decide.
type MaterialOptions struct {
	// Colours is the number of entries wanted, 1…[MaxColours]; 0 lets the picture
	// decide. Fewer come back only where the picture holds fewer different
	// colours.
	Colours int
}

// Material is one material of a picture, read along its shades: from shadow
// through its own colour to glare. L* of Shadow ≤ Base ≤ Light.
type Material struct {
	Base   colour.Lab // own colour: fully lit, without glare
	Shadow colour.Lab // mean of its darkest twentieth
	Light  colour.Lab // mean of its lightest twentieth, glare included
	Middle colour.Lab // median of its pixels as they stand in the picture

	Share      float64 // of all opaque pixels, 0…1; the shares of a palette sum to at most 1
	Spread     float64 // ΔE00: mean difference of its pixels from its line of shades
	Confidence float64 // 0…1: how far Base can be trusted as the own colour under the picture's light

	AtScreenLimit bool // own colour clips in at least one channel: the real one may lie beyond
	BeyondSurface bool // clearly more vivid than real surfaces are (Pointer 1980): a fluorescent is likely
	BeyondOptimal bool // beyond what any surface that does not fluoresce could have

	Bounds Rect   // everything that belongs to it, in pixels of the upright picture
	Parts  []Rect // bounds of its connected parts, largest part first
}

// Lies says where the own colour lies between shadow (0) and light (1) by L*;
// 1 where the material has no shades.
func (m Material) Lies() float64 {
	if m.Light.L <= m.Shadow.L {
		return 1
	}
	return (m.Base.L - m.Shadow.L) / (m.Light.L - m.Shadow.L)
}

// Palette holds the materials of one picture, largest share first.
type Palette struct {
	Materials []Material

	places places
}

// ErrNoPixels says that a picture has no opaque pixel to read a colour from.
var ErrNoPixels = errors.New("no opaque pixels")

// Materials finds the materials of the picture: which parts are one material in
// light and shade, and its own colour. The number is found from the picture,
// or given by opt.
//
//  1. The picture is laid out in about 100 000 cells, averaged in linear light;
//     a pixelated one in its own blocks. Noise is evened out where there is any.
//  2. Cells are joined to regions without edges inside, most alike first.
//  3. Regions are joined to materials: along one line of shades (Shafer 1985,
//     the dichromatic reflection model), by place, and by how hard the border is.
//     Mixed pixels of edges, blur of compression and thin lines are left out.
//  4. The own colour is measured at the lit end of the shades, glare left out.
//
// Two greys of ΔE00 4 in different parts stay two; a trim of 0.3 % of the picture
// is kept. Where the picture decides, at most 24 come back, those that count most.
// A backdrop is an entry like any other. What cannot be told: a flat grey part
// from a shade of another grey it touches softly, two materials of one colour,
// and, without an anchor, the own colour from the cast and exposure of the light.
//
// The same picture mirrored or turned by quarters gives the same entries within
// ΔE00 2; resized, turned freely or saved again, nine in ten of them (the test of
// steadiness prints the figures). The number of cores changes nothing.
func (r Reference) Materials(opt MaterialOptions) (Palette, error) {
	if opt.Colours < 0 || opt.Colours > MaxColours {
		return Palette{}, fmt.Errorf("find materials: %d colours: wanted 1 to %d, or 0 to let the picture decide", opt.Colours, MaxColours)
	}
	if w, h := r.Size(); w == 0 || h == 0 {
		return Palette{}, fmt.Errorf("find materials: %w", ErrNoPixels)
	}
	gs := r.regions().group()
	if gs.cells == 0 {
		return Palette{}, fmt.Errorf("find materials: %w", ErrNoPixels)
	}
	found := slices.DeleteFunc(gs.read(gs.materials()), func(f found) bool { return gs.g.blocks && f.mixedBlocks() })
	if opt.Colours > 0 {
		return gs.given(found, opt.Colours), nil
	}
	return gs.palette(weightiest(found, materialMost)), nil
}

// found is a group read as a material.
type found struct {
	group int
	Material
}

// Of a pixelated picture a small entry whose blocks differ among themselves is
// what met in the blocks of a border: a small thing that fills its blocks is flat,
// for shade hardly changes over so few. Chosen on pictures of the kind of the
// reference pictures; common practice, no other source.
const (
	mixedShare  = 0.0025
	mixedSpread = 0.5 // ΔE00
)

func (f found) mixedBlocks() bool { return f.Share < mixedShare && f.Spread > mixedSpread }

// read reads the groups listed.
func (gs *groups) read(list []int) []found {
	core, all := gs.gather(list)
	out := make([]found, len(list))
	stripes(8*len(list), func(from, to int) {
		for k := (from + 7) / 8; k < (to+7)/8; k++ {
			out[k] = found{list[k], gs.material(list[k], gs.g.cells(core[k]), gs.g.cells(all[k]))}
		}
	})
	return out
}

// palette makes a palette of materials and says where each lies.
func (gs *groups) palette(all []found) Palette {
	list := make([]int, len(all))
	p := Palette{Materials: make([]Material, len(all))}
	for k, f := range all {
		list[k], p.Materials[k] = f.group, f.Material
	}
	p.places = gs.places(list)
	p.locate()
	p.sort()
	return p
}

// locate fills in where each material lies.
func (p *Palette) locate() {
	parts := p.places.parts(len(p.Materials))
	for k := range p.Materials {
		m := &p.Materials[k]
		m.Bounds, m.Parts = p.places.bounds(parts[k])
	}
}

// cellsRead is about how many cells of a material are read at most, evenly
// spread: more would not move a quantile by what an eye can see.
const cellsRead = 3000

// gather lists cells of each group: those of its core, two cells and more from
// any other group where there are enough of them, and all of them.
func (gs *groups) gather(list []int) (core, all [][]int32) {
	g := gs.g
	number := gs.numbers(list)
	at := make([]int16, len(gs.own))
	deep := make([]int, len(list))
	for i, v := range gs.own {
		at[i] = -1
		if v >= 0 {
			at[i] = int16(number[v])
		}
	}
	depth := depths(at, g.w, g.h)
	step, count := make([]int, len(list)), make([]int, len(list))
	for i, v := range at {
		if v >= 0 && depth[i] >= 2 {
			deep[v]++
		}
	}
	core, all = make([][]int32, len(list)), make([][]int32, len(list))
	for k, i := range list {
		n := gs.list[i].n
		step[k] = n/cellsRead + 1
		core[k], all[k] = make([]int32, 0, n/step[k]+1), make([]int32, 0, n/step[k]+1)
	}
	for i, k := range at {
		if k < 0 {
			continue
		}
		if count[k]++; count[k]%step[k] != 0 {
			continue
		}
		all[k] = append(all[k], int32(i))
		if depth[i] >= 2 || depth[i] == 1 && deep[k] < coreLeast {
			core[k] = append(core[k], int32(i))
		}
	}
	return core, all
}

// cells returns the colours of the cells listed.
func (g *cells) cells(at []int32) []cell {
	out := make([]cell, len(at))
	for k, i := range at {
		out[k] = cell{g.lin[i], g.lin[i].luma(), g.clip[i]}
	}
	return out
}

// coreLeast is how many cells a core must have to be read without its outer ring.
const coreLeast = 40

// depths says how far each cell lies from the next with another number, up to 2:
// 0 beside one or at the border of the picture.
func depths(at []int16, w, h int) []uint8 {
	d := make([]uint8, len(at))
	for y := 1; y < h-1; y++ {
		for i := y*w + 1; i < (y+1)*w-1; i++ {
			if v := at[i]; v >= 0 && at[i-1] == v && at[i+1] == v && at[i-w] == v && at[i+w] == v {
				d[i] = 1
			}
		}
	}
	for y := 1; y < h-1; y++ {
		for i := y*w + 1; i < (y+1)*w-1; i++ {
			if d[i] > 0 && d[i-1] > 0 && d[i+1] > 0 && d[i-w] > 0 && d[i+w] > 0 {
				d[i] = 2
			}
		}
	}
	return d
}

// numbers gives the place in list of the group of each region, −1 for none.
func (gs *groups) numbers(list []int) []int32 {
	at := make([]int32, len(gs.regions.list))
	for i := range at {
		at[i] = -1
	}
	for k, i := range list {
		for _, p := range gs.list[i].parts {
			at[p] = int32(k)
		}
	}
	return at
}

// material reads one group.
func (gs *groups) material(i int, core, all []cell) Material {
	s := readShades(core, all)
	g := &gs.list[i]
	share := float64(g.whole) / float64(gs.cells)
	return Material{
		Base: s.base, Shadow: s.shadow, Light: s.light, Middle: s.middle,
		Share: share, Spread: s.spread,
		Confidence:    trustIn(g, s, share),
		AtScreenLimit: s.clipped || colour.AtScreenLimit(s.base.LinearRGB()),
		BeyondSurface: beyondSurface(s.base),
		BeyondOptimal: beyondOptimal(s.base),
	}
}

// trustIn weighs what speaks for an own colour: a part large enough, shades on
// one line, nothing clipped, a core that is not all rim. Common practice, no
// source; each factor is 1 where nothing is amiss.
func trustIn(g *group, s shades, share float64) float64 {
	c := min(1, 0.4+0.6*math.Sqrt(share/0.005)) // small parts: more rim than core
	c *= 1 / (1 + sq(s.spread/6))
	c *= min(1, 0.5+float64(g.inner)/float64(max(1, g.whole)))
	if g.loose {
		c *= 0.7
	}
	if s.clipped {
		c *= 0.4
	}
	return c
}

// sort puts the materials in order of share, then of lightness.
func (p *Palette) sort() {
	order := make([]int, len(p.Materials))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int {
		a, b := p.Materials[i], p.Materials[j]
		switch {
		case a.Share > b.Share:
			return -1
		case a.Share < b.Share:
			return 1
		case a.Base.L > b.Base.L:
			return -1
		case a.Base.L < b.Base.L:
			return 1
		}
		return i - j
	})
	sorted := make([]Material, len(order))
	to := make([]int32, len(order))
	for k, i := range order {
		sorted[k], to[i] = p.Materials[i], int32(k)
	}
	p.Materials = sorted
	p.places.renumber(to)
}

// A colour read from a picture counts as beyond surfaces only where it clearly
// is: 5 of chroma past the published limit (its table steps by as much), and
// not in the dark (L* below 20), where that table rests on few samples and an
// ordinary brown passes it. Common practice, no source.
const (
	beyondChroma = 5.0
	beyondDark   = 20.0
)

// beyondOptimal says whether a colour lies clearly beyond the optimal colours:
// by the same margin of chroma, so that neither rounding nor a white in full
// light is taken for a lamp.
func beyondOptimal(l colour.Lab) bool {
	if !beyondSurface(l) {
		return false
	}
	c := l.LCh()
	return !colour.InOptimal(colour.LCh{L: min(c.L, 99), C: max(c.C-beyondChroma, 0), H: c.H}.Lab())
}

func beyondSurface(l colour.Lab) bool {
	if l.L < beyondDark || !colour.BeyondSurface(l) {
		return false
	}
	c := l.LCh()
	duller := colour.LCh{L: c.L, C: max(c.C-beyondChroma, 0), H: c.H}
	return colour.BeyondSurface(duller.Lab())
}
