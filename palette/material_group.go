package palette

import (
	"container/heap"
	"math"
	"slices"
)

// Bounds for telling whether two groups of regions are one material, in steps of
// [okCell] unless said otherwise; chosen as those of region.go.
const (
	softEdge       = 2.0   // mean edge of a border that is a fold or a shade …
	softApart      = 3.5   // … between groups no further apart in chroma than this
	faintEdge      = 1.5   // mean edge of a border that is hardly there …
	faintApart     = 6.0   // … between groups no further apart than this: a backdrop that changes
	steepEdge      = 3.5   // mean edge of a steep shade …
	steepApart     = 1.2   // … on one line of shades …
	steepChroma    = 6.0   // … with chroma enough for that to mean something
	glareEdge      = 3.0   // mean edge around glare
	alikeApart     = 2.0   // chroma, of two parts of one material anywhere
	alikeLight     = 2.0   // lightness of their lit ends, for greys …
	alikeLightMore = 0.25  // … and more per unit of chroma
	alikeLeast     = 40    // cells of the smallest group that is compared anywhere
	alikeMost      = 600   // groups compared anywhere, largest first
	shadeApart     = 1.5   // chroma, of a small shaded part of a large group
	shadeLoose     = 3.0   // … of one found in the second pass
	shadeSize      = 0.5   // … of at most this share of the large group
	shadeChroma    = 8.0   // chroma from which the line of shades alone decides
	shadeDeep      = 0.6   // not darker than this part of the lightness of the large group's own dark end
	shadeContact   = 0.15  // else this share of its border touches the large group …
	shadeEdge      = 4.5   // … with no stronger edge than this
	glareSize      = 0.01  // share of the picture
	glareRing      = 0.3   // share of the border of a spot of glare that touches what it lies on …
	glareRingEdge  = 4.0   // … with no stronger edge than this
	mixSize        = 0.002 // share of the picture up to which a group may be a blur of its neighbours
	mixApart       = 4.0
	mixContact     = 0.1    // share of the border of a mixture that touches each of its parts
	materialMost   = 24     // materials found where no number is given
	materialLeast  = 0.0014 // share of the picture of the smallest material
	looseLeast     = 0.0015 // … of one found in the second pass
	thinnest       = 0.3    // least share of cells with no other region beside them
	thinnestLoose  = 0.45
)

// group is a set of regions taken as one material.
type group struct {
	region
	parts []int       // regions
	near  map[int]tie // other groups that it touches
	gone  bool        // joined to another
	age   int         // grows with every change
}

// tie is the border between two groups.
type tie struct{ length, weight int }

// groups sorts the regions of a picture into materials.
type groups struct {
	*regions
	list  []group
	up    []int // group that a group has gone to
	cells int   // cells read
}

// group finds which regions are one material.
func (rs *regions) group() *groups {
	gs := &groups{regions: rs, cells: rs.g.opaque()}
	gs.list = make([]group, len(rs.list))
	gs.up = make([]int, len(rs.list))
	for i := range gs.list {
		gs.list[i] = group{region: rs.list[i], parts: []int{i}, near: map[int]tie{}}
		gs.up[i] = i
	}
	for _, t := range rs.touch {
		b := tie{t.length, t.weight}
		gs.list[t.a].near[int(t.b)], gs.list[t.b].near[int(t.a)] = b, b
	}
	gs.markMixtures()
	gs.joinNeighbours()
	gs.joinAlike()
	gs.joinShades()
	gs.markBlurs()
	return gs
}

// lives says whether a group still counts.
func (g *group) lives() bool { return !g.gone && !g.mixed }

// neighbours lists the groups that a group touches, in order.
func (g *group) neighbours() []int {
	all := make([]int, 0, len(g.near))
	for k := range g.near {
		all = append(all, k)
	}
	slices.Sort(all)
	return all
}

// join makes two groups one and returns it.
func (gs *groups) join(i, j int) int {
	if gs.list[i].n < gs.list[j].n {
		i, j = j, i
	}
	a, b := &gs.list[i], &gs.list[j]
	a.absorb(&b.region)
	a.parts = append(a.parts, b.parts...)
	delete(a.near, j)
	for k, t := range b.near {
		if k == i {
			continue
		}
		o := a.near[k]
		o = tie{o.length + t.length, o.weight + t.weight}
		a.near[k] = o
		delete(gs.list[k].near, j)
		gs.list[k].near[i] = o
	}
	a.border = 0
	for _, t := range a.near {
		a.border += t.length
	}
	a.age++
	b.gone, b.near = true, nil
	gs.up[j] = i
	return i
}

// absorb adds what is known of another region.
func (s *region) absorb(o *region) {
	s.n, s.whole, s.inner, s.clipped = s.n+o.n, s.whole+o.whole, s.inner+o.inner, s.clipped+o.clipped
	s.lin = rgb64{s.lin.r + o.lin.r, s.lin.g + o.lin.g, s.lin.b + o.lin.b}
	s.ok.join(o.ok)
	s.unclipped.join(o.unclipped)
	for i, v := range o.light {
		s.light[i] += v
	}
	s.box = s.box.join(o.box)
	s.loose = s.loose && o.loose
	s.settle()
}

// thin says whether most of a region lies at its rim.
func (s *region) thin() bool { return 2*s.inner <= s.whole }

// markMixtures marks thin regions whose colour lies between those of two
// neighbours in linear light: the mixed pixels of an edge.
func (gs *groups) markMixtures() {
	for i := range gs.list {
		s := &gs.list[i]
		if !s.loose && !s.thin() {
			continue
		}
		m := s.mean()
		var about []rgb32
		for _, k := range s.neighbours() {
			if gs.list[k].n >= s.n && float64(s.near[k].length) >= mixContact*float64(s.border) {
				about = append(about, gs.list[k].mean())
			}
		}
		for x := range about {
			for y := range x {
				if mixture(m, about[x], about[y]) {
					s.mixed = true
				}
			}
		}
	}
}

// mixture says whether m lies between p and q in linear light.
func mixture(m, p, q rgb32) bool {
	dr, dg, db := q.r-p.r, q.g-p.g, q.b-p.b
	d := dr*dr + dg*dg + db*db
	t := (m.r-p.r)*dr + (m.g-p.g)*dg + (m.b-p.b)*db
	if t < 0.05*d || t > 0.95*d || d == 0 {
		return false
	}
	t /= d
	on := rgb32{p.r + t*dr, p.g + t*dg, p.b + t*db}
	return edge2(on.ok(), m.ok()) < mixApart*mixApart
}

// contest is a pair of groups that may be one, best first.
type contest struct {
	score      float64
	i, j       int
	ageI, ageJ int
}

type contests []contest

func (c contests) Len() int      { return len(c) }
func (c contests) Swap(i, j int) { c[i], c[j] = c[j], c[i] }
func (c contests) Less(i, j int) bool {
	p, q := c[i], c[j]
	if p.score != q.score {
		return p.score < q.score
	}
	if p.i != q.i {
		return p.i < q.i
	}
	return p.j < q.j
}
func (c *contests) Push(x any) { *c = append(*c, x.(contest)) }
func (c *contests) Pop() any {
	last := (*c)[len(*c)-1]
	*c = (*c)[:len(*c)-1]
	return last
}

// stale says whether a pair has changed since it was weighed.
func (gs *groups) stale(c contest) bool {
	p, q := &gs.list[c.i], &gs.list[c.j]
	return p.gone || q.gone || p.age != c.ageI || q.age != c.ageJ
}

func (gs *groups) contest(score float64, i, j int) contest {
	i, j = min(i, j), max(i, j)
	return contest{score, i, j, gs.list[i].age, gs.list[j].age}
}

// joinNeighbours joins groups that touch along a border which is no edge,
// faintest border first.
func (gs *groups) joinNeighbours() {
	var queue contests
	push := func(i, j int) {
		if gs.list[i].mixed || gs.list[j].mixed {
			return
		}
		t := gs.list[i].near[j]
		if w := gs.edge(t.length, t.weight); t.length >= 3 && w < max(steepEdge, glareEdge)*gs.g.rough {
			queue = append(queue, gs.contest(w, i, j))
		}
	}
	for _, t := range gs.touch {
		push(int(t.a), int(t.b))
	}
	heap.Init(&queue)
	for len(queue) > 0 {
		c := heap.Pop(&queue).(contest)
		if gs.stale(c) || !gs.sameSurface(&gs.list[c.i].region, &gs.list[c.j].region, c.score) {
			continue
		}
		k := gs.join(c.i, c.j)
		at := len(queue)
		for _, o := range gs.list[k].neighbours() {
			push(k, o)
		}
		for ; at < len(queue); at++ {
			heap.Fix(&queue, at)
		}
	}
}

// sameSurface says whether two groups with a border of that mean edge are faces
// or shades of one surface, or one is glare on the other.
func (gs *groups) sameSurface(p, q *region, edge float64) bool {
	d, c := p.apart(q)
	edge, d = edge/gs.g.rough, d/gs.g.rough
	switch {
	case edge < softEdge && d < softApart,
		edge < faintEdge && d < faintApart,
		edge < steepEdge && d < steepApart && c > steepChroma:
		return true
	}
	return edge < glareEdge && (glareOn(p, q) || glareOn(q, p))
}

// glareOn says whether q can be glare on p: p's own colour, lit about as much,
// plus white (Shafer 1985).
func glareOn(p, q *region) bool {
	if q.q50 < p.q50 {
		return false
	}
	u, c := p.mean(), q.mean()
	s, m, sure := bodyAndGlare(u, c)
	if !sure || s < 0.4 || m < 0 {
		return false
	}
	on := rgb32{s*u.r + m, s*u.g + m, s*u.b + m}
	return edge2(on.ok(), c.ok()) < 9
}

// bodyAndGlare splits a colour by least squares into s times a body colour and m
// times white (linear sRGB 1, 1, 1). sure is false for a body that is nearly
// neutral itself: the two then cannot be told apart.
func bodyAndGlare(u, c rgb32) (s, m float32, sure bool) {
	uu, uw := u.r*u.r+u.g*u.g+u.b*u.b, u.r+u.g+u.b
	cu, cw := c.r*u.r+c.g*u.g+c.b*u.b, c.r+c.g+c.b
	det := 3*uu - uw*uw
	if det < 0.03*3*uu || det == 0 {
		return 0, 0, false
	}
	return (3*cu - cw*uw) / det, (cw*uu - cu*uw) / det, true
}

// joinAlike joins parts of one material anywhere in the picture: on one line of
// shades and lit to about the same lightness. Greys all lie on one line, so for
// them the lightness must agree closely; the stronger the chroma, the more the
// line alone says.
func (gs *groups) joinAlike() {
	var some []int
	for i := range gs.list {
		if gs.list[i].lives() && (gs.g.blocks || gs.list[i].whole >= alikeLeast) {
			some = append(some, i)
		}
	}
	slices.SortStableFunc(some, func(p, q int) int { return gs.list[q].whole - gs.list[p].whole })
	some = some[:min(len(some), alikeMost)]
	var queue contests
	weigh := func(i, j int) {
		p, q := &gs.list[i].region, &gs.list[j].region
		d, c := p.apart(q)
		if s := math.Hypot(d/alikeApart/gs.g.rough, (p.q95-q.q95)/(alikeLight+alikeLightMore*c)); s < 1 {
			queue = append(queue, gs.contest(s, i, j))
		}
	}
	for x, i := range some {
		for _, j := range some[:x] {
			weigh(i, j)
		}
	}
	heap.Init(&queue)
	for len(queue) > 0 {
		c := heap.Pop(&queue).(contest)
		if gs.stale(c) {
			continue
		}
		k := gs.join(c.i, c.j)
		at := len(queue)
		for _, o := range some {
			if o != k && !gs.list[o].gone {
				weigh(k, o)
			}
		}
		for ; at < len(queue); at++ {
			heap.Fix(&queue, at)
		}
	}
}

// bySize lists the living groups, smallest first.
func (gs *groups) bySize() []int {
	var all []int
	for i := range gs.list {
		if gs.list[i].lives() {
			all = append(all, i)
		}
	}
	slices.SortStableFunc(all, func(p, q int) int { return gs.list[p].whole - gs.list[q].whole })
	return all
}

// joinShades gives small groups to the large group whose shade or glare they are.
func (gs *groups) joinShades() {
	all := gs.bySize()
	large := slices.DeleteFunc(slices.Clone(all), func(i int) bool {
		return float64(gs.list[i].whole) < materialLeast*float64(gs.cells)
	})
	for _, i := range all {
		b := &gs.list[i]
		if b.gone {
			continue
		}
		best, at := math.Inf(1), -1
		for _, j := range large {
			a := &gs.list[j]
			if j == i || a.gone || float64(b.whole) > shadeSize*float64(a.whole) {
				continue
			}
			if d, ok := gs.shadeOf(a, b, j); ok && d < best {
				best, at = d, j
			}
		}
		if at >= 0 {
			gs.join(at, i)
		}
	}
}

// shadeOf says whether the small group b is a shade of a, or glare on it, and how
// far apart the two are; j is a's number.
func (gs *groups) shadeOf(a, b *group, j int) (d float64, ok bool) {
	t := b.near[j]
	contact := float64(t.length) / float64(max(1, b.border))
	edge := gs.edge(t.length, t.weight)
	d, _ = a.apart(&b.region)
	if b.q95 > a.q95+2 {
		return 0, float64(b.whole) < glareSize*float64(gs.cells) && gs.glareSpot(a, b, contact, edge, d)
	}
	bound := shadeApart * gs.g.rough
	if b.loose {
		bound = shadeLoose
	}
	if d > bound || b.q50 < shadeDeep*a.q05 {
		return d, false
	}
	if a.chroma() > shadeChroma && (contact >= 0.08 || b.box.grown(6).meets(a.box)) {
		return d, true
	}
	return d, contact >= shadeContact && edge < shadeEdge*gs.g.rough && b.q50 > a.q05-4
}

// glareSpot says whether the lighter b is a spot of glare on a: it is ringed by
// a, without a hard edge, and its colour fits.
func (gs *groups) glareSpot(a, b *group, contact, edge, d float64) bool {
	if contact >= 0.4 && edge < glareEdge && d < 2.5 {
		return true
	}
	if !glareOn(&a.region, &b.region) {
		return false
	}
	around := 0
	for _, t := range b.near {
		around += t.weight
	}
	return contact >= glareRing && edge < glareRingEdge || contact >= 0.1 && gs.edge(b.border, around) < 3.2
}

// markBlurs marks small groups that lie between two neighbours in chroma and in
// lightness: compression blurs chroma further than lightness, so these are not
// mixtures of light.
func (gs *groups) markBlurs() {
	for _, i := range gs.bySize() {
		b := &gs.list[i]
		if float64(b.whole) > mixSize*float64(gs.cells) || !b.loose && !b.thin() {
			continue
		}
		var about []*region
		for _, k := range b.neighbours() {
			o := &gs.list[k]
			if !o.mixed && 2*o.n > b.n && float64(b.near[k].length) >= 0.08*float64(b.border) {
				about = append(about, &o.region)
			}
		}
		for x := range about {
			for y := range x {
				b.mixed = b.mixed || blur(&b.region, about[x], about[y])
			}
		}
	}
}

// blur says whether m lies between p and q in chroma, and no lighter or darker
// than both.
func blur(m, p, q *region) bool {
	ma, mb := m.ok.a/m.ok.n, m.ok.b/m.ok.n
	pa, pb := p.ok.a/p.ok.n, p.ok.b/p.ok.n
	da, db := q.ok.a/q.ok.n-pa, q.ok.b/q.ok.n-pb
	dd := da*da + db*db
	if dd < 36 {
		return false
	}
	t := ((ma-pa)*da + (mb-pb)*db) / dd
	if t < 0.08 || t > 0.92 || math.Hypot(ma-pa-t*da, mb-pb-t*db) > mixApart {
		return false
	}
	return m.q50 > min(p.q05, q.q05)-2 && m.q50 < max(p.q95, q.q95)+2
}

// recount counts, for each group, its cells with no other group beside them.
func (gs *groups) recount() {
	g := gs.g
	of := make([]int32, len(gs.regions.list))
	for i := range of {
		k := i
		for gs.up[k] != k {
			k = gs.up[k]
		}
		of[i] = int32(k)
		gs.list[k].inner = 0
	}
	at := func(i int) int32 {
		if gs.full[i] < 0 {
			return -1
		}
		return of[gs.full[i]]
	}
	for y := 1; y < g.h-1; y++ {
		left, here := int32(-1), at(y*g.w)
		for x := 1; x < g.w; x++ {
			i := y*g.w + x
			right := at(i)
			if here >= 0 && left == here && right == here && at(i-1-g.w) == here && at(i-1+g.w) == here {
				gs.list[here].inner++
			}
			left, here = here, right
		}
	}
}

// materials lists the groups that count as materials, largest first.
func (gs *groups) materials() []int {
	gs.recount()
	all := gs.bySize()
	slices.Reverse(all)
	return slices.DeleteFunc(all, func(i int) bool {
		s := &gs.list[i]
		share, inner := float64(s.whole)/float64(gs.cells), float64(s.inner)/float64(s.whole)
		switch {
		case share < materialLeast, s.loose && share < looseLeast:
			return true
		case gs.g.blocks:
			return false
		case s.loose:
			return inner < thinnestLoose
		}
		return inner < thinnest
	})
}
