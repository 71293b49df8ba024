package match

import (
	"cmp"
	"math"
	"slices"

	"undercoat/finish/film"
)

// searchKeep is the number of nearest stacks or mixtures a search returns;
// near-copies are thinned out of them before they are ranked with everything
// else.
const searchKeep = 200

// plainlyNearer is the gain in ΔE00 that makes one more coat worth showing: an
// eye sees no less. Judgement.
const plainlyNearer = 0.3

// stacks adds the nearest stacks of the paints nothing speaks against, and
// those of fewest coats, least cost and least film among the ones within
// tolerance.
func (f *finder) stacks() {
	if !f.ground.there || !f.q.wants(Layers) || f.q.Target.Fluorescent {
		return
	}
	var codes []string
	s := stackSearch{
		ground: f.base.base(), to: newGoal(f.goal()), maxCoats: f.q.MaxCoats, maxLayers: min(f.q.MaxLayers, mostLayers),
		keep: searchKeep, within: f.q.Tolerance, workers: workers(),
	}
	for i, p := range f.pots {
		if !p.known || len(f.verdicts[i].against) > 0 || p.role != Cover && p.role != Glaze && p.role != Block {
			continue
		}
		codes = append(codes, p.paint.Code)
		s.pots = append(s.pots, f.searchPot(p))
	}
	if len(s.pots) == 0 {
		return
	}
	codes = s.narrow(codes)
	a := s.search()
	f.searched += a.seen
	picked := a.nearest
	if a.any {
		picked = append(picked, a.fewest, a.cheapest, a.softest)
	}
	slices.SortFunc(picked, func(a, b found) int {
		return cmp.Or(cmp.Compare(a.coats, b.coats), cmp.Compare(a.cost, b.cost), a.before(b))
	})
	var kept []found
	for _, x := range picked {
		if slices.ContainsFunc(kept, func(k found) bool { return k.replaces(x) }) {
			continue
		}
		kept = append(kept, x)
		if x.n == 1 && f.houseItem(codes[x.runs[0].pot], int(x.coats)) {
			continue // it is an item
		}
		layers := slices.Clone(f.prepared)
		for _, r := range x.runs[:x.n] {
			layers = append(layers, Layer{codes[r.pot], int(r.coats)})
		}
		f.add(f.coated(Layers, recipe(layers), layers))
	}
}

// houseItem says whether so many coats of one paint are what the house rule
// gives, which is the paint as an item. Another number lets the ground show
// through on purpose.
func (f *finder) houseItem(code string, coats int) bool {
	return f.q.wants(Item) && houseNumber(f.pot(code), f.base, f.q.Tolerance, nil) == coats
}

// exactStackPaints is the most paints whose stacks are all answered for.
const exactStackPaints = 60

// narrow keeps, of more paints than that, those that come nearest alone on the
// ground, and the lightest and darkest for bases; the answer is then exact for
// these only.
func (s *stackSearch) narrow(codes []string) []string {
	if len(s.pots) <= exactStackPaints {
		return codes
	}
	const bases = 5
	side := film.SideOf(s.ground)
	type rated struct {
		pot         int
		diff, light float64
	}
	var all []rated
	for i, p := range s.pots {
		r := rated{pot: i, diff: math.Inf(1)}
		for _, pane := range p.panes[side] {
			x := pane.seen(&s.ground, &s.to)
			r.diff, r.light = min(r.diff, s.to.difference(x)), x.Y
		}
		all = append(all, r)
	}
	slices.SortStableFunc(all, func(a, b rated) int { return cmp.Compare(a.light, b.light) })
	n := len(all)
	keep := slices.Concat(all[:bases:bases], all[n-bases:])
	rest := slices.Clone(all[bases : n-bases])
	slices.SortStableFunc(rest, func(a, b rated) int { return cmp.Compare(a.diff, b.diff) })
	keep = append(keep, rest[:exactStackPaints-2*bases]...)
	slices.SortFunc(keep, func(a, b rated) int { return cmp.Compare(a.pot, b.pot) })
	var pots []searchPot
	var left []string
	for _, k := range keep {
		pots, left = append(pots, s.pots[k.pot]), append(left, codes[k.pot])
	}
	s.pots = pots
	return left
}

// replaces says whether a stack of no more coats and cost is as near and shows
// the same paint: the other is a near-copy.
func (f found) replaces(g found) bool {
	return f.coats <= g.coats && f.cost <= g.cost && f.diff <= g.diff+plainlyNearer && f.runs[f.n-1].pot == g.runs[g.n-1].pot
}

// searchPot prepares a paint of the shelf for the stack search: a block base
// lies below others, one coat of it; a covering paint by brush is never one
// coat where it is what is seen.
func (f *finder) searchPot(p pot) searchPot {
	most := f.q.MaxCoats
	if p.role == Block {
		most = 1
	}
	s := newSearchPot(p.film, most)
	switch p.role {
	case Cover:
		s.leastTop = brushLeast
	case Block:
		s.leastTop = most + 1
	}
	s.cost = p.price * p.wet * f.q.extent()
	s.dry = p.wet * p.paint.VolumeSolids.Or(usualSolids)
	return s
}
