package match

import (
	"runtime"
	"slices"
)

// searchKeep is the number of nearest stacks a search returns to be ranked
// with everything else.
const searchKeep = 24

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
		keep: max(searchKeep, f.q.Top), within: f.q.Tolerance, workers: min(runtime.GOMAXPROCS(0), 4),
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
	a := s.search()
	f.searched += a.seen
	picked := a.nearest
	if a.any {
		picked = append(picked, a.fewest, a.cheapest, a.softest)
	}
	var seen []pile
	for _, x := range picked {
		if x.n < 2 || slices.Contains(seen, x.pile) {
			continue // one paint alone is an item
		}
		seen = append(seen, x.pile)
		layers := f.prepared[:len(f.prepared):len(f.prepared)]
		for _, r := range x.runs[:x.n] {
			layers = append(layers, Layer{codes[r.pot], int(r.coats)})
		}
		f.add(f.coated(Layers, recipe(layers), layers))
	}
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
	if each, ok := perUnit(p.paint.Article, "ml"); ok {
		s.cost = each * p.wet * f.q.extent()
	}
	s.dry = p.wet * p.paint.VolumeSolids.Or(usualSolids)
	return s
}
