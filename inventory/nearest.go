package inventory

import (
	"cmp"
	"slices"
	"sync"

	"undercoat/palette/colour"
)

// Near is one article near a target colour.
type Near struct {
	Article    Article
	Difference float64 // ΔE00 in daylight
	Words      string  // how the article differs from the target: "darker, a little greener"
}

// nearestIndex holds an index for every kind, built when first asked for.
type nearestIndex struct {
	mu    sync.Mutex
	kinds map[Kind]*kindIndex
}

// kindIndex is the colours of one kind; a position of the index is one of lines.
type kindIndex struct {
	index *colour.Index
	lines []line
}

// Nearest returns the n articles nearest to a target in daylight (CIELAB, D65,
// 2°) under CIEDE2000, exactly, nearest first and equal ones by code. Kinds
// limits the search; none means every kind. Articles without a colour are left
// out; fluorescent ones take part with the colour that stands in for them.
func (s Stock) Nearest(target colour.Lab, n int, kinds ...Kind) []Near {
	if s.in == nil || n <= 0 {
		return nil
	}
	if len(kinds) == 0 {
		kinds = Kinds()
	}
	var hits []hit
	for i, k := range kinds {
		if slices.Contains(kinds[:i], k) {
			continue
		}
		x := s.in.ofKind(k)
		for _, h := range x.index.Nearest(target, n) {
			hits = append(hits, hit{x.lines[h.Index], h.Diff})
		}
	}
	slices.SortFunc(hits, func(a, b hit) int {
		return cmp.Or(cmp.Compare(a.difference, b.difference), cmp.Compare(a.code, b.code))
	})
	near := make([]Near, min(n, len(hits)))
	for i := range near {
		a := *s.in.article(hits[i].line)
		c, _ := a.Colour.Get()
		near[i] = Near{a, hits[i].difference, colour.InWords(target, c.Lab())}
	}
	return near
}

type hit struct {
	line
	difference float64
}

func (s *shelf) ofKind(k Kind) *kindIndex {
	s.nearest.mu.Lock()
	defer s.nearest.mu.Unlock()
	if x, ok := s.nearest.kinds[k]; ok {
		return x
	}
	x := &kindIndex{}
	var labs []colour.Lab
	for _, l := range s.lines { // by code, so that equal differences come by code
		a := s.article(l)
		if c, ok := a.Colour.Get(); ok && a.Kind == k {
			labs, x.lines = append(labs, c.Lab()), append(x.lines, l)
		}
	}
	x.index = colour.NewIndex(labs)
	if s.nearest.kinds == nil {
		s.nearest.kinds = make(map[Kind]*kindIndex)
	}
	s.nearest.kinds[k] = x
	return x
}
