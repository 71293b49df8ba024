package palette

import (
	"cmp"
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

const (
	weightShare = 0.25 // power of the share by which a material counts
	weighedMost = 96   // materials weighed against each other, the weightiest alone first
	unlikeMost  = 20.0 // ΔE00 beyond which more unlike counts no more
)

// weightiest keeps the n materials that count most. The one that counts least
// goes first, again and again: a material counts by its share (a trim of a
// hundredth of the size still counts a third), by the trust in it, and by how
// unlike it is to those that remain.
func weightiest(all []found, n int) []found {
	weight := func(f found) float64 { return math.Pow(f.Share, weightShare) * math.Sqrt(f.Confidence) }
	left := slices.Clone(all)
	if most := max(weighedMost, n); len(left) > most {
		slices.SortStableFunc(left, func(a, b found) int { return cmp.Compare(weight(b), weight(a)) })
		left = left[:most]
	}
	unlike := make([][]float64, len(left))
	for i := range left {
		unlike[i] = make([]float64, len(left))
		for j := range i {
			d := min(colour.Difference(left[i].Base, left[j].Base), unlikeMost)
			unlike[i][j], unlike[j][i] = d, d
		}
	}
	gone := make([]bool, len(left))
	for range len(left) - n {
		gone[leastOf(left, unlike, gone, weight)] = true
	}
	kept := left[:0]
	for i, f := range left {
		if !gone[i] {
			kept = append(kept, f)
		}
	}
	return kept
}

// leastOf is the one that counts least among those that are not gone.
func leastOf(left []found, unlike [][]float64, gone []bool, weight func(found) float64) (at int) {
	worst := math.Inf(1)
	for i := range left {
		if gone[i] {
			continue
		}
		near := unlikeMost
		for j := range left {
			if j != i && !gone[j] {
				near = min(near, unlike[i][j])
			}
		}
		if v := weight(left[i]) * near; v < worst {
			worst, at = v, i
		}
	}
	return at
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
	lit    bool    // it has the lit end of the material, so its own colour is the material's
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
		one := piece{from: k - 1, cells: c, counts: k > 0, whole: true, lit: k > 0, g: g}
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
		m := one.material(p.Materials)
		m.Share = float64(len(one.cells)) / opaque
		out = append(out, m)
	}
	p.Materials = out
	p.locate()
	p.sort()
}

// material reads a piece as an entry of its own. A part with the lit end keeps
// the own colour of the material; a shade has the mean of its cells.
func (p *piece) material(from []Material) Material {
	if p.whole {
		return from[p.from]
	}
	step := len(p.cells)/cellsRead + 1
	var c []cell
	for k := step / 2; k < len(p.cells); k += step {
		i := p.cells[k]
		c = append(c, cell{p.g.lin[i], p.g.lin[i].luma(), p.g.clip[i]})
	}
	s := readShades(nil, c)
	m := Material{
		Base: meanOf(c).lab(), Shadow: s.shadow, Light: s.light, Middle: s.middle, Spread: s.spread,
		Confidence: shadeTrust, AtScreenLimit: s.clipped,
	}
	if p.lit {
		o := from[p.from]
		m.Base, m.Confidence, m.AtScreenLimit = o.Base, o.Confidence, o.AtScreenLimit
	}
	m.BeyondSurface, m.BeyondOptimal = beyondSurface(m.Base), beyondOptimal(m.Base)
	if m.Shadow.L > m.Base.L {
		m.Shadow = m.Base
	}
	if m.Light.L < m.Base.L {
		m.Light = m.Base
	}
	return m
}

// shadeTrust is the confidence in an entry that is only a shade: common practice,
// no source.
const shadeTrust = 0.2
