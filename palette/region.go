package palette

import (
	"math"
	"slices"
)

// Bounds for joining cells into regions, in steps of [okCell] (about ΔE00 near
// grey). They were chosen on pictures of our own generator with other colours
// and lights than the reference pictures; common practice, no other source.
const (
	regionEdge      = 1.6 // largest difference between neighbours of one region …
	regionEdgeBlock = 2.5 // … in a pixelated picture, where each step of shade is larger
	regionEdgeLoose = 5.0 // … in what the first pass leaves over
	regionChroma    = 1.5 // largest difference in chroma between two joining regions
	regionChromaSet = 4.0 // … in what the first pass leaves over
	regionShade     = 12  // … and in lightness there
	regionLarge     = 300 // cells: two regions from here on join by their whole border only
	regionLeast     = 24  // cells of the smallest region
	regionLeastTwo  = 20  // … in what the first pass leaves over
	regionLeastTiny = 4   // … in a pixelated picture
	regionLine      = 20  // a region has at least one surrounded cell in so many
	edgeSteps       = 64  // steps of an edge up to the bound; beyond, up to 4 bounds are told apart
)

// region is a connected part of the picture without an edge inside: a surface,
// or one face of it.
type region struct {
	n, whole, inner int        // own cells; with the loose cells nearest to it; those of them that touch no other region
	lin             rgb64      // sum of linear sRGB
	ok              okSum      // sum of OKLab
	unclipped       okSum      // the same of the cells that do not clip
	light           [128]int32 // own cells by lightness
	clipped         int        // own cells that clip
	box             Rect       // in cells
	border          int        // length of its border to other regions
	loose           bool       // found in the second pass only
	mixed           bool       // a mixture of its neighbours, not a material

	line          [2]float64 // a/l and b/l: the direction of its shades
	q05, q50, q95 float64    // quantiles of lightness
}

type rgb64 struct{ r, g, b float64 }

func (s *rgb64) add(c rgb32) {
	s.r, s.g, s.b = s.r+float64(c.r), s.g+float64(c.g), s.b+float64(c.b)
}

type okSum struct{ l, a, b, n float64 }

func (s *okSum) add(c okCell) {
	s.l, s.a, s.b, s.n = s.l+float64(c.l), s.a+float64(c.a), s.b+float64(c.b), s.n+1
}

func (s *okSum) join(o okSum) { s.l, s.a, s.b, s.n = s.l+o.l, s.a+o.a, s.b+o.b, s.n+o.n }

// border is where two regions touch.
type border struct {
	a, b   int32 // regions, a < b
	length int   // pairs of cells
	weight int   // sum of their edges, in steps
}

// regions is the picture in regions.
type regions struct {
	g     *cells
	own   []int32 // region of each cell, −1 for none
	full  []int32 // the same with loose cells given to the nearest region
	list  []region
	touch []border // sorted
	bound float32  // edge of edgeSteps steps
}

// edges holds the edge from each cell to its right and lower neighbour, in
// steps; 255 where there is none.
type edges struct {
	right, down []uint8
	bound       float32
}

// regions lays out, calms and segments the picture.
func (r Reference) regions() *regions {
	g := r.layOut()
	if g.blocks {
		return g.segment(regionEdgeBlock, regionLeastTiny)
	}
	g.calm()
	return g.segment(regionEdge, regionLeast)
}

// calm evens out noise where there is any.
func (g *cells) calm() {
	l, c := g.noise()
	s := math.Sqrt(0.25*l*l + 2*c*c)
	if s <= 0.35 {
		return
	}
	room := make([]rgb32, len(g.lin))
	room = g.smooth(room, float32(max(1.5, 3.2*s)))
	if s > 1.2 {
		g.smooth(room, float32(max(1.5, 1.6*s)))
	}
}

// noise estimates the standard deviation of a cell in lightness and in each of a
// and b, from the median second difference along every other row: shading is
// nearly straight from cell to cell, noise is not.
func (g *cells) noise() (l, c float64) {
	const fine = 50
	var hl, hc [512]int
	n := 0
	for y := 0; y < g.h; y += 2 {
		for i := y*g.w + 1; i < (y+1)*g.w-1; i++ {
			if g.clear[i-1] || g.clear[i] || g.clear[i+1] {
				continue
			}
			p, q, r := g.ok[i-1], g.ok[i], g.ok[i+1]
			dl, da, db := p.l-2*q.l+r.l, p.a-2*q.a+r.a, p.b-2*q.b+r.b
			hl[min(511, int(fine*max(dl, -dl)))]++
			hc[min(511, int(fine*sqrt32((da*da+db*db)/2)))]++
			n++
		}
	}
	if n == 0 {
		return 0, 0
	}
	// The second difference of independent values has √6 times their deviation;
	// the median of |x| is 0.6745 σ, that of a two-dimensional length 1.1774 σ.
	return middle(&hl, n) / fine / (0.6745 * math.Sqrt(6)), middle(&hc, n) / fine / (1.1774 / math.Sqrt2 * math.Sqrt(6))
}

// middle is the median bin of n counts.
func middle(h *[512]int, n int) float64 {
	s := 0
	for i, v := range h {
		if s += v; 2*s >= n {
			return float64(i)
		}
	}
	return 0
}

// smooth replaces each cell by the mean, in linear light, of those of the 5 × 5
// around it that differ by no more than reach (a sigma filter: Lee 1983,
// Computer Vision, Graphics, and Image Processing 24). It works in the room given
// and returns what it has become free of.
func (g *cells) smooth(lin []rgb32, reach float32) (free []rgb32) {
	r2 := reach * reach
	stripes(g.h, func(from, to int) {
		for y := from; y < to; y++ {
			for x := range g.w {
				i := y*g.w + x
				if g.clear[i] {
					continue
				}
				var s rgb32
				n := float32(0)
				for yy := max(0, y-2); yy <= min(g.h-1, y+2); yy++ {
					for j := yy*g.w + max(0, x-2); j <= yy*g.w+min(g.w-1, x+2); j++ {
						if !g.clear[j] && edge2(g.ok[i], g.ok[j]) <= r2 {
							s = s.plus(g.lin[j])
							n++
						}
					}
				}
				lin[i] = s.times(1 / n)
			}
		}
	})
	g.lin, free = lin, g.lin
	stripes(g.h, func(from, to int) {
		for i := from * g.w; i < to*g.w; i++ {
			g.ok[i] = g.lin[i].ok()
		}
	})
	return free
}

// edges measures the difference between neighbours. An edge that is blurred over
// two or three cells shows in the difference of the cells outside it, so that
// counts too, except between the blocks of a pixelated picture, which are sharp.
func (g *cells) edges(bound float32) edges {
	n := g.w * g.h
	e := edges{right: make([]uint8, n), down: make([]uint8, n), bound: bound}
	measure := func(i, step, room int) uint8 {
		j := i + step
		if g.clear[i] || g.clear[j] {
			return 255
		}
		d := edge2(g.ok[i], g.ok[j])
		if room == 2 && !g.blocks && !g.clear[i-step] && !g.clear[j+step] {
			d = max(d, 0.36*edge2(g.ok[i-step], g.ok[j+step]))
		}
		return uint8(min(254, sqrt32(d)*edgeSteps/bound))
	}
	stripes(g.h, func(from, to int) {
		for y := from; y < to; y++ {
			for x := range g.w {
				i := y*g.w + x
				e.right[i], e.down[i] = 255, 255
				if x+1 < g.w {
					e.right[i] = measure(i, 1, room(x, g.w))
				}
				if y+1 < g.h {
					e.down[i] = measure(i, g.w, room(y, g.h))
				}
			}
		}
	})
	return e
}

// room is 2 where the pair at x, x+1 has a neighbour on both sides.
func room(x, n int) int {
	if x > 0 && x+2 < n {
		return 2
	}
	return 1
}

// forest joins cells into trees (union by size, path halving).
type forest struct {
	up  []int32
	sum []okSum32
}

// okSum32 is a sum of OKLab over n cells; single precision is enough to compare.
type okSum32 struct{ l, a, b, n float32 }

func newForest(g *cells) *forest {
	f := &forest{up: make([]int32, len(g.ok)), sum: make([]okSum32, len(g.ok))}
	for i, c := range g.ok {
		f.up[i], f.sum[i] = int32(i), okSum32{c.l, c.a, c.b, 1}
	}
	return f
}

func (f *forest) find(i int32) int32 {
	for f.up[i] != i {
		f.up[i] = f.up[f.up[i]]
		i = f.up[i]
	}
	return i
}

// join joins two trees given by their roots.
func (f *forest) join(i, j int32) {
	p, q := &f.sum[i], &f.sum[j]
	if p.n < q.n {
		i, j, p, q = j, i, q, p
	}
	f.up[j] = i
	p.l, p.a, p.b, p.n = p.l+q.l, p.a+q.a, p.b+q.b, p.n+q.n
}

// apart is the difference in chroma of two sums, both taken along their shades
// to the lightness of the darker. Strong chroma counts less, as in ΔE00.
func (p *okSum32) apart(q *okSum32) float32 {
	if p.l <= 0 || q.l <= 0 {
		return 0
	}
	l := min(p.l/p.n, q.l/q.n)
	pa, pb, qa, qb := p.a/p.l, p.b/p.l, q.a/q.l, q.b/q.l
	c := l * sqrt32(min(pa*pa+pb*pb, qa*qa+qb*qb))
	return l * sqrt32((pa-qa)*(pa-qa)+(pb-qb)*(pb-qb)) / (1 + chromaWeight*c)
}

// chromaWeight is how much less a step counts per unit of chroma.
const chromaWeight = 0.025

// segment joins neighbours into regions, most alike first (Kruskal's order, as in
// Felzenszwalb and Huttenlocher 2004, with the chroma of the regions themselves
// as the second condition), then looks for more in what is left over.
func (g *cells) segment(bound float32, least int) *regions {
	e := g.edges(bound)
	f := newForest(g)
	for _, k := range e.order() {
		i, j := f.find(k/2), k/2+1
		if k%2 == 1 {
			j = k/2 + int32(g.w)
		}
		j = f.find(j)
		p, q := &f.sum[i], &f.sum[j]
		switch small := min(p.n, q.n); {
		case i == j, !g.blocks && small >= regionLarge, small > 8 && p.apart(q) > regionChroma:
			continue
		}
		f.join(i, j)
	}
	rs := &regions{g: g, bound: bound, own: make([]int32, len(g.ok))}
	for i := range rs.own {
		rs.own[i] = -1
	}
	core := make([]int32, len(rs.own))
	rs.name(f, core, least, false)
	if !g.blocks {
		rs.leftOver(f)
		rs.name(f, core, regionLeastTwo, true)
	}
	rs.measure()
	rs.flood(core)
	rs.borders(e)
	return rs
}

// order lists the edges below the bound, lowest first: twice the cell, plus one
// for the edge down.
func (e *edges) order() []int32 {
	var start [edgeSteps + 1]int32
	for i := range e.right {
		if w := e.right[i]; w < edgeSteps {
			start[w+1]++
		}
		if w := e.down[i]; w < edgeSteps {
			start[w+1]++
		}
	}
	for w := range edgeSteps {
		start[w+1] += start[w]
	}
	order := make([]int32, start[edgeSteps])
	for i := range e.right {
		if w := e.right[i]; w < edgeSteps {
			order[start[w]] = int32(2 * i)
			start[w]++
		}
		if w := e.down[i]; w < edgeSteps {
			order[start[w]] = int32(2*i + 1)
			start[w]++
		}
	}
	return order
}

// name makes a region of every tree of at least that many cells that have none,
// unless it is a line: hardly a cell of it is surrounded by its own. Such lines
// are rows of ringing beside an edge in a compressed picture, or drawn lines.
// core is room to work in, a number for each cell.
func (rs *regions) name(f *forest, core []int32, least int, loose bool) {
	g := rs.g
	clear(core)
	root := f.up
	for i := range root {
		root[i] = f.find(int32(i))
	}
	for y := 1; y < g.h-1; y++ {
		up, row, down := root[(y-1)*g.w:y*g.w], root[y*g.w:(y+1)*g.w], root[(y+1)*g.w:(y+2)*g.w]
		for x := 1; x < len(row)-1; x++ {
			if r := row[x]; row[x-1] == r && row[x+1] == r && up[x] == r && down[x] == r {
				core[r]++
			}
		}
	}
	for i, r := range root {
		if rs.own[i] >= 0 || g.clear[i] || int(f.sum[r].n) < least {
			continue
		}
		k := -core[r] - 1 // the number of a region once it has one
		if k < 0 {
			if !g.blocks && !loose && regionLine*float32(core[r]) < f.sum[r].n {
				continue
			}
			k = int32(len(rs.list))
			core[r] = -k - 1
			rs.list = append(rs.list, region{loose: loose})
		}
		rs.own[i] = k
	}
}

// leftOver joins the cells that have no region under wider bounds: small or
// strongly shaded things, and things blurred by compression.
func (rs *regions) leftOver(f *forest) {
	g := rs.g
	for i, c := range g.ok {
		if rs.own[i] < 0 {
			f.up[i], f.sum[i] = int32(i), okSum32{c.l, c.a, c.b, 1}
		}
	}
	var at [edgeSteps][]int32 // twice the cell, plus one for the edge down
	add := func(i, j, down int) {
		if rs.own[j] >= 0 || g.clear[j] {
			return
		}
		if d := sqrt32(edge2(g.ok[i], g.ok[j])) * edgeSteps / regionEdgeLoose; d < edgeSteps {
			at[int(d)] = append(at[int(d)], int32(2*i+down))
		}
	}
	for y := range g.h {
		for x := range g.w {
			i := y*g.w + x
			if rs.own[i] >= 0 || g.clear[i] {
				continue
			}
			if x+1 < g.w {
				add(i, i+1, 0)
			}
			if y+1 < g.h {
				add(i, i+g.w, 1)
			}
		}
	}
	for _, list := range at {
		for _, e := range list {
			to := e/2 + 1
			if e%2 == 1 {
				to = e/2 + int32(g.w)
			}
			i, j := f.find(e/2), f.find(to)
			p, q := &f.sum[i], &f.sum[j]
			if i == j || min(p.n, q.n) > 3 && (p.apart(q) > regionChromaSet || math.Abs(float64(p.l/p.n-q.l/q.n)) > regionShade) {
				continue
			}
			f.join(i, j)
		}
	}
}

// measure adds up what is known of each region.
func (rs *regions) measure() {
	g := rs.g
	for y := range g.h {
		for x := range g.w {
			i := y*g.w + x
			if rs.own[i] < 0 {
				continue
			}
			s := &rs.list[rs.own[i]]
			if s.n == 0 {
				s.box = Rect{x, y, 1, 1}
			}
			s.box = s.box.with(x, y)
			s.n++
			s.lin.add(g.lin[i])
			s.ok.add(g.ok[i])
			s.light[max(0, min(127, int(g.ok[i].l)))]++
			if g.clip[i] != 0 {
				s.clipped++
			} else {
				s.unclipped.add(g.ok[i])
			}
		}
	}
	for i := range rs.list {
		rs.list[i].settle()
	}
}

// settle works out what follows from the sums. The direction of the shades is
// taken where nothing clips, if there is enough of that.
func (s *region) settle() {
	from := s.ok
	if 10*s.unclipped.n > s.ok.n {
		from = s.unclipped
	}
	if from.l > 0 {
		s.line = [2]float64{from.a / from.l, from.b / from.l}
	}
	s.q05, s.q50, s.q95 = s.lightAt(0.05), s.lightAt(0.5), s.lightAt(0.95)
}

// lightAt is a quantile of lightness.
func (s *region) lightAt(q float64) float64 {
	want, sum := q*float64(s.n), 0.0
	for i, v := range s.light {
		if v > 0 && sum+float64(v) >= want {
			return float64(i) + (want-sum)/float64(v)
		}
		sum += float64(v)
	}
	return float64(len(s.light))
}

// mean is the mean linear sRGB of the region.
func (s *region) mean() rgb32 {
	k := 1 / float64(s.n)
	return rgb32{float32(s.lin.r * k), float32(s.lin.g * k), float32(s.lin.b * k)}
}

// apart is the difference in chroma of two regions, taken along their shades to
// the lightness of the darker; c is the chroma there.
func (s *region) apart(o *region) (d, c float64) {
	l := min(s.q95, o.q95)
	c = l * min(math.Hypot(s.line[0], s.line[1]), math.Hypot(o.line[0], o.line[1]))
	return l * math.Hypot(s.line[0]-o.line[0], s.line[1]-o.line[1]) / (1 + chromaWeight*c), c
}

// chroma is the chroma of the region where it is light.
func (s *region) chroma() float64 { return s.q95 * math.Hypot(s.line[0], s.line[1]) }

// flood gives every loose cell to the nearest region; queue is room to work in.
func (rs *regions) flood(queue []int32) {
	g := rs.g
	rs.full = slices.Clone(rs.own)
	queue = queue[:0]
	for i, v := range rs.full {
		if v >= 0 {
			queue = append(queue, int32(i))
		}
	}
	for k := 0; k < len(queue); k++ {
		i := int(queue[k])
		x := i % g.w
		if x > 0 {
			queue = rs.spread(queue, i, i-1)
		}
		if x+1 < g.w {
			queue = rs.spread(queue, i, i+1)
		}
		if i >= g.w {
			queue = rs.spread(queue, i, i-g.w)
		}
		if i+g.w < len(rs.full) {
			queue = rs.spread(queue, i, i+g.w)
		}
	}
}

func (rs *regions) spread(queue []int32, from, to int) []int32 {
	if rs.full[to] >= 0 || rs.g.clear[to] {
		return queue
	}
	rs.full[to] = rs.full[from]
	return append(queue, int32(to))
}

// borders measures where the flooded regions touch.
func (rs *regions) borders(e edges) {
	g := rs.g
	index := map[[2]int32]int{}
	last, lastAt := [2]int32{-1, -1}, 0
	meet := func(i, j int, w uint8) {
		a, b := rs.full[i], rs.full[j]
		if a < 0 || b < 0 {
			return
		}
		k := [2]int32{min(a, b), max(a, b)}
		if k != last {
			at, ok := index[k]
			if !ok {
				at = len(rs.touch)
				index[k] = at
				rs.touch = append(rs.touch, border{a: k[0], b: k[1]})
			}
			last, lastAt = k, at
		}
		rs.touch[lastAt].length++
		rs.touch[lastAt].weight += int(w)
	}
	for y := range g.h {
		for x := range g.w {
			i := y*g.w + x
			v := rs.full[i]
			if v < 0 {
				continue
			}
			rs.list[v].whole++
			alone := true
			if x+1 < g.w && rs.full[i+1] != v {
				alone = false
				meet(i, i+1, e.right[i])
			}
			if y+1 < g.h && rs.full[i+g.w] != v {
				alone = false
				meet(i, i+g.w, e.down[i])
			}
			if alone && x > 0 && y > 0 && x+1 < g.w && y+1 < g.h && rs.full[i-1] == v && rs.full[i-g.w] == v {
				rs.list[v].inner++
			}
		}
	}
	slices.SortFunc(rs.touch, func(p, q border) int {
		if p.a != q.a {
			return int(p.a - q.a)
		}
		return int(p.b - q.b)
	})
	for _, t := range rs.touch {
		rs.list[t.a].border += t.length
		rs.list[t.b].border += t.length
	}
}

// edge is the mean edge along a border.
func (rs *regions) edge(length, weight int) float64 {
	if length == 0 {
		return math.Inf(1)
	}
	return float64(weight) / float64(length) * float64(rs.bound) / edgeSteps
}

// with returns the rectangle that also holds the cell x, y.
func (r Rect) with(x, y int) Rect { return r.join(Rect{x, y, 1, 1}) }

// join returns the rectangle around both.
func (r Rect) join(o Rect) Rect {
	x, y := min(r.X, o.X), min(r.Y, o.Y)
	return Rect{x, y, max(r.X+r.W, o.X+o.W) - x, max(r.Y+r.H, o.Y+o.H) - y}
}

// grown returns the rectangle with a margin all round.
func (r Rect) grown(by int) Rect { return Rect{r.X - by, r.Y - by, r.W + 2*by, r.H + 2*by} }

// meets says whether two rectangles share a point.
func (r Rect) meets(o Rect) bool {
	return r.X < o.X+o.W && o.X < r.X+r.W && r.Y < o.Y+o.H && o.Y < r.Y+r.H
}
