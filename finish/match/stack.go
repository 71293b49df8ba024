package match

import (
	"cmp"
	"math"
	"slices"
	"sync"

	"undercoat/finish/film"
	"undercoat/palette/colour"
)

// mostLayers is the most different layers a searched stack may have.
const mostLayers = 4

// coatPane is what n coats of a paint do in every band: reflectance over
// black and the light that passes both ways.
type coatPane struct{ r, t2 colour.Spectrum }

// searchPot is one paint as the stack search needs it. panes holds 1… coats of
// it over a ground of each side; a paint whose film does not depend on the
// ground has equal ones.
type searchPot struct {
	panes       [film.Sides][]*coatPane // index coats−1
	least, most int                     // coats of one layer of it
	leastTop    int                     // coats it needs as the last layer
	first       bool                    // may lie on the ground
	cost, dry   float64                 // per coat
}

// newSearchPot prepares a paint for layers of up to most coats. A film with an
// outer surface enters as its bare likeness; the answer is predicted again with
// the film itself.
func newSearchPot(p film.Paint, most int) searchPot {
	s := searchPot{least: 1, most: most, leastTop: 1, first: true}
	for side := range film.Sides {
		if side > 0 && p.On(film.Side(side)) == p.On(film.Side(side-1)) {
			s.panes[side] = s.panes[side-1]
			continue
		}
		f := p.On(film.Side(side)).Bare()
		for n := 1; n <= most; n++ {
			pane := f.Coats(float64(n)).Pane()
			c := &coatPane{r: pane.R}
			for i, t := range pane.T {
				c.t2[i] = t * t
			}
			s.panes[side] = append(s.panes[side], c)
		}
	}
	return s
}

// over lays the pane on a ground.
func (c *coatPane) over(g *colour.Reflectance) (out colour.Reflectance) {
	for i, v := range g {
		out[i] = c.r[i] + c.t2[i]*v/(1-c.r[i]*v)
	}
	return out
}

// seen returns the tristimulus values of the pane on a ground.
func (c *coatPane) seen(g *colour.Reflectance, to *goal) (x colour.XYZ) {
	for i, v := range g {
		r := c.r[i] + c.t2[i]*v/(1-c.r[i]*v)
		x.X += r * to.x[i]
		x.Y += r * to.y[i]
		x.Z += r * to.z[i]
	}
	return x
}

// run is one layer of a stack: a pot by its place in the search and its coats.
type run struct{ pot, coats int16 }

// pile is a stack as the search holds it, from the ground up.
type pile struct {
	runs  [mostLayers]run
	n     int8
	coats int8
}

func (p pile) with(r run) pile {
	p.runs[p.n] = r
	p.n++
	p.coats += int8(r.coats)
	return p
}

// found is a stack with its difference to the goal.
type found struct {
	pile
	diff, cost, dry float64
}

// before orders stacks: nearest first, then fewer coats, then by their pots in
// order, so that no two stacks are equal.
func (f found) before(g found) int {
	if c := cmp.Compare(f.diff, g.diff); c != 0 {
		return c
	}
	if c := cmp.Compare(f.coats, g.coats); c != 0 {
		return c
	}
	return slices.CompareFunc(f.runs[:], g.runs[:], func(a, b run) int {
		return cmp.Or(cmp.Compare(a.pot, b.pot), cmp.Compare(a.coats, b.coats))
	})
}

// stackSearch looks for stacks of coats over a ground. It is exact: the stacks
// it returns are those a look at every stack would return.
type stackSearch struct {
	pots      []searchPot
	ground    colour.Reflectance
	to        goal
	maxCoats  int
	maxLayers int
	keep      int     // nearest stacks returned
	within    float64 // choices are made among stacks this near
	workers   int
}

// state is a pile of lower layers with what the next layer meets.
type state struct {
	pile
	face colour.Reflectance
	side film.Side
	cost float64
	dry  float64
}

// stackAnswer is what a search found: the nearest stacks in order, and among
// those within the tolerance the one of fewest coats, least cost and least dry
// film (equal ones by nearness). seen counts the stacks answered for.
type stackAnswer struct {
	nearest                   []found
	fewest, cheapest, softest found
	any                       bool
	seen                      int
}

// search runs the search: first every last layer over the ground and over one
// layer, which sets a limit for all, then over groups of deeper piles.
func (s *stackSearch) search() stackAnswer {
	states := s.states()
	shallow := 0
	for shallow < len(states) && states[shallow].n <= 1 {
		shallow++
	}
	leaves := cluster(states, shallow)
	first := members(shallow)
	tops := s.tops()
	n := max(s.workers, 1)
	parts := make([]*collector, n)
	share := func(do func(w int)) {
		var wg sync.WaitGroup
		for w := range n {
			wg.Add(1)
			go func() {
				defer wg.Done()
				do(w)
			}()
		}
		wg.Wait()
	}
	share(func(w int) {
		parts[w] = newCollector(s.keep, s.within)
		for t := w; t < len(tops); t += n {
			s.expand(parts[w], states, first, tops[t])
		}
	})
	ceiling := gathered(parts).limit()
	share(func(w int) {
		parts[w].ceiling = ceiling
		s.work(parts[w], states, leaves, tops, w, n)
	})
	a := gathered(parts).answer()
	a.seen = s.count(states, tops)
	return a
}

// gathered returns one collector of what several hold.
func gathered(parts []*collector) *collector {
	all := newCollector(parts[0].keep, parts[0].within)
	for _, p := range parts {
		all.merge(p)
	}
	return all
}

func members(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	return out
}

// top is a last layer: a pot with a number of coats.
type top struct{ pot, coats int }

func (s *stackSearch) tops() (out []top) {
	for i, p := range s.pots {
		for n := max(p.least, p.leastTop); n <= min(p.most, s.maxCoats); n++ {
			out = append(out, top{i, n})
		}
	}
	return out
}

// states returns every pile of lower layers, the bare ground first, shallow
// ones before deep ones.
func (s *stackSearch) states() []state {
	out := make([]state, 1, 1+len(s.pots)*(s.maxCoats-1)*max(1, len(s.pots)*(s.maxLayers-2)*(s.maxCoats-2)/2))
	out[0] = state{face: s.ground, side: film.SideOf(s.ground)}
	for from := 0; from < len(out); from++ {
		if int(out[from].n) >= s.maxLayers-1 {
			break // so are all that follow
		}
		for i := range s.pots {
			p := &s.pots[i]
			if !s.fits(&out[from].pile, i) {
				continue
			}
			for n := p.least; n <= p.most && int(out[from].coats)+n < s.maxCoats; n++ {
				out = append(out, s.laid(&out[from], i, n))
			}
		}
	}
	return out
}

// fits says whether a pot may be the next layer of a pile.
func (s *stackSearch) fits(on *pile, pot int) bool {
	if on.n == 0 {
		return s.pots[pot].first
	}
	return int(on.runs[on.n-1].pot) != pot
}

func (s *stackSearch) laid(on *state, pot, coats int) state {
	p := &s.pots[pot]
	face := p.panes[on.side][coats-1].over(&on.face)
	y := 0.0
	for i, r := range face {
		y += r * s.to.y[i]
	}
	return state{
		pile: on.with(run{int16(pot), int16(coats)}), face: face, side: film.SideOfLuminance(y),
		cost: on.cost + p.cost*float64(coats), dry: on.dry + p.dry*float64(coats),
	}
}

// work looks at this worker's share of the last layers over every leaf, the
// most promising first.
func (s *stackSearch) work(c *collector, states []state, leaves []leaf, tops []top, w, workers int) {
	type task struct {
		bound     float64
		top, leaf int32
	}
	var tasks []task
	for t := w; t < len(tops); t += workers {
		for l := range leaves {
			if int(leaves[l].coats)+tops[t].coats > s.maxCoats {
				continue
			}
			if b := s.bound(&leaves[l], tops[t], c.limit()); b <= c.limit() {
				tasks = append(tasks, task{b, int32(t), int32(l)})
			}
		}
	}
	slices.SortFunc(tasks, func(a, b task) int {
		return cmp.Or(cmp.Compare(a.bound, b.bound), cmp.Compare(a.top, b.top), cmp.Compare(a.leaf, b.leaf))
	})
	for _, t := range tasks {
		if t.bound > c.limit() {
			break
		}
		s.expand(c, states, leaves[t.leaf].members, tops[t.top])
	}
}

// bound returns a lower bound of ΔE00 of a last layer over any pile of a leaf:
// every band of the result rises with the backing. One plainly above limit may
// be cut short.
func (s *stackSearch) bound(l *leaf, t top, limit float64) float64 {
	pane := s.pots[t.pot].panes[l.side][t.coats-1]
	low := pane.seen(&l.low, &s.to)
	reach := 1.7473*limit + 1e-6
	if 116*labF(low.Y/s.to.white.Y)-16 > s.to.lab.L+reach {
		return math.Inf(1)
	}
	return s.to.nearest(low, pane.seen(&l.high, &s.to)) - boundSlack
}

// boundSlack covers what rounding may add to a lower bound.
const boundSlack = 1e-9

// expand evaluates a last layer over piles.
func (s *stackSearch) expand(c *collector, states []state, piles []int, t top) {
	p := &s.pots[t.pot]
	for _, i := range piles {
		on := &states[i]
		if int(on.coats)+t.coats > s.maxCoats || !s.fits(&on.pile, t.pot) {
			continue
		}
		x := p.panes[on.side][t.coats-1].seen(&on.face, &s.to)
		lim := c.limit()
		if math.Abs(116*labF(x.Y/s.to.white.Y)-16-s.to.lab.L) > 1.7473*lim+1e-9 {
			continue
		}
		lab := x.Lab(s.to.white)
		if s.to.atLeast(lab) > lim {
			continue
		}
		d := colour.Difference(s.to.lab, lab)
		if d > lim {
			continue
		}
		c.add(found{
			pile: on.with(run{int16(t.pot), int16(t.coats)}), diff: d,
			cost: on.cost + p.cost*float64(t.coats), dry: on.dry + p.dry*float64(t.coats),
		})
	}
}

// count returns the number of stacks the answer holds for.
func (s *stackSearch) count(states []state, tops []top) int {
	n := 0
	for i := range states {
		for _, t := range tops {
			if int(states[i].coats)+t.coats <= s.maxCoats && s.fits(&states[i].pile, t.pot) {
				n++
			}
		}
	}
	return n
}

// leaf is a group of piles that look alike to the next layer.
type leaf struct {
	low, high colour.Reflectance
	side      film.Side
	coats     int8 // fewest coats of any member
	members   []int
}

// leafSize is the number of piles a group is split down to.
const leafSize = 24

// cluster groups the piles from the first on, those of one side together, by
// halving along the band that varies most.
func cluster(states []state, first int) []leaf {
	var out []leaf
	for side := range film.Sides {
		var members []int
		for i := first; i < len(states); i++ {
			if int(states[i].side) == side {
				members = append(members, i)
			}
		}
		if len(members) > 0 {
			out = split(states, members, film.Side(side), out)
		}
	}
	return out
}

func split(states []state, members []int, side film.Side, out []leaf) []leaf {
	l := leaf{low: states[members[0]].face, high: states[members[0]].face, side: side, coats: math.MaxInt8, members: members}
	for _, m := range members {
		st := &states[m]
		l.coats = min(l.coats, st.coats)
		for b, r := range st.face {
			l.low[b] = min(l.low[b], r)
			l.high[b] = max(l.high[b], r)
		}
	}
	if len(members) <= leafSize {
		return append(out, l)
	}
	band, width := 0, -1.0
	for b := range l.low {
		if w := math.Cbrt(l.high[b]) - math.Cbrt(l.low[b]); w > width {
			band, width = b, w
		}
	}
	slices.SortFunc(members, func(a, b int) int {
		return cmp.Or(cmp.Compare(states[a].face[band], states[b].face[band]), cmp.Compare(a, b))
	})
	mid := len(members) / 2
	out = split(states, members[:mid:mid], side, out)
	return split(states, members[mid:], side, out)
}
