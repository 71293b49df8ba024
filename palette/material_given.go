package palette

import (
	"math"
	"slices"

	"undercoat/palette/colour"
)

// given reads exactly n colours where the picture holds as many: the n materials
// that count most, or, where fewer are found, all of them and then shades of
// those that are furthest from one colour.
func (gs *groups) given(all []found, n int) Palette {
	p := gs.palette(weightiest(all, n))
	if len(p.Materials) < n {
		p.divide(n)
	}
	return p
}

// weightShare is the power of the share by which a material counts.
const weightShare = 0.25

// weightiest keeps the n materials that count most. The one that counts least
// goes first, again and again: a material counts by its share (a trim of a
// hundredth of the size still counts a third), by the trust in it, and by how
// unlike it is to those that remain.
func weightiest(all []found, n int) []found {
	left := slices.Clone(all)
	for len(left) > n {
		worst, at := math.Inf(1), 0
		for k, e := range left {
			near := 20.0
			for j, o := range left {
				if j != k {
					near = min(near, colour.Difference(e.Base, o.Base))
				}
			}
			if v := math.Pow(e.Share, weightShare) * math.Sqrt(e.Confidence) * near; v < worst {
				worst, at = v, k
			}
		}
		left = slices.Delete(left, at, at+1)
	}
	return left
}

// shadeLeast is the fewest cells that are divided further.
const shadeLeast = 16

// divide splits materials by lightness, the one with most to gain first, until
// there are n: the lighter part keeps the own colour, the darker becomes a shade.
// What belongs to no material is divided like one.
func (p *Palette) divide(n int) {
	pieces := p.pieces()
	for {
		live := 0
		best, at := 0.0, -1
		for k := range pieces {
			if pieces[k].counts {
				live++
			}
			if pieces[k].gain > best {
				best, at = pieces[k].gain, k
			}
		}
		if live >= n || at < 0 {
			break
		}
		dark := pieces[at].split()
		pieces = append(pieces, dark)
	}
	p.take(pieces)
}

// piece is a material, or a part of one, as cells in order of lightness.
type piece struct {
	from   int     // material that it was, −1 for what belongs to none
	cells  []int32 // darkest first
	cut    int     // where a split lowers the error most
	gain   float64 // by how much, in cells times lightness²
	counts bool    // it becomes an entry
	whole  bool    // it still has all its cells
	g      *cells
}

func (p *Palette) pieces() []piece {
	g := p.places.g
	byPlace := make([][]int32, len(p.Materials)+1)
	for i, v := range p.places.at {
		if !g.clear[i] {
			byPlace[v+1] = append(byPlace[v+1], int32(i))
		}
	}
	var all []piece
	for k, c := range byPlace {
		if len(c) == 0 {
			continue
		}
		slices.SortFunc(c, func(i, j int32) int {
			if a, b := g.ok[i].l, g.ok[j].l; a != b {
				if a < b {
					return -1
				}
				return 1
			}
			return int(i - j)
		})
		one := piece{from: k - 1, cells: c, counts: k > 0, whole: true, g: g}
		one.weigh()
		all = append(all, one)
	}
	return all
}

// weigh finds the cut that lowers the sum of squared lightness differences most
// (Otsu 1979).
func (p *piece) weigh() {
	p.gain, p.cut = 0, 0
	n := len(p.cells)
	if n < 2*shadeLeast {
		return
	}
	total := 0.0
	for _, i := range p.cells {
		total += float64(p.g.ok[i].l)
	}
	if p.whole && p.from < 0 {
		// What belongs to no material becomes an entry as it is before it is cut.
		p.gain, p.cut = float64(n), n
	}
	sum := 0.0
	for k := 0; k < n-shadeLeast; k++ {
		sum += float64(p.g.ok[p.cells[k]].l)
		if k+1 < shadeLeast {
			continue
		}
		a, b := float64(k+1), float64(n-k-1)
		d := sum/a - (total-sum)/b
		if v := d * d * a * b / float64(n); v > p.gain && d < -2 {
			p.gain, p.cut = v, k+1
		}
	}
}

// split takes the darker part off.
func (p *piece) split() piece {
	if p.cut == len(p.cells) {
		dark := *p
		dark.counts, dark.whole = true, false
		dark.weigh()
		p.cells, p.gain = nil, 0
		return dark
	}
	dark := piece{from: p.from, cells: p.cells[:p.cut], counts: true, g: p.g}
	p.cells, p.whole = p.cells[p.cut:], false
	dark.weigh()
	p.weigh()
	return dark
}

// take makes the pieces the palette.
func (p *Palette) take(pieces []piece) {
	g := p.places.g
	opaque := float64(g.opaque())
	var out []Material
	for i := range p.places.at {
		p.places.at[i] = -1
	}
	for _, one := range pieces {
		if !one.counts || len(one.cells) == 0 {
			continue
		}
		k := int32(len(out))
		for _, i := range one.cells {
			p.places.at[i] = k
		}
		m := Material{}
		if one.from >= 0 && (one.whole || !slices.ContainsFunc(out, func(o Material) bool { return o.Base == p.Materials[one.from].Base })) {
			m = p.Materials[one.from]
		}
		if !one.whole {
			own := m.Base
			m = one.read()
			if own != (colour.Lab{}) && m.Light.L >= own.L && m.Shadow.L <= own.L {
				m.Base = own
			}
		}
		m.Share = float64(len(one.cells)) / opaque
		out = append(out, m)
	}
	p.Materials = out
	p.locate()
	p.sort()
}

// read reads a piece as a colour of its own.
func (p *piece) read() Material {
	step := len(p.cells)/cellsRead + 1
	var c []cell
	for k := step / 2; k < len(p.cells); k += step {
		i := p.cells[k]
		c = append(c, cell{p.g.lin[i], p.g.lin[i].luma(), p.g.clip[i]})
	}
	s := readShades(nil, c)
	s.base = meanOf(c).lab()
	return Material{
		Base: s.base, Shadow: s.shadow, Light: s.light, Middle: s.middle, Spread: s.spread, Confidence: 0.2,
		AtScreenLimit: s.clipped, BeyondSurface: beyondSurface(s.base),
	}
}
