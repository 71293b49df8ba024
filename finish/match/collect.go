package match

import (
	"container/heap"
	"math"
	"slices"
)

// collector keeps the nearest stacks, and the best by other measures among
// those within a tolerance.
type collector struct {
	keep                      int
	within                    float64
	ceiling                   float64 // a limit known from elsewhere
	near                      farthestFirst
	fewest, cheapest, softest found
	any                       bool
}

func newCollector(keep int, within float64) *collector {
	return &collector{keep: max(keep, 1), within: within, ceiling: math.Inf(1)}
}

// limit is the difference above which a stack cannot matter any more.
func (c *collector) limit() float64 {
	if len(c.near) < c.keep {
		return c.ceiling
	}
	return min(max(c.near[0].diff, c.within), c.ceiling)
}

func (c *collector) add(f found) {
	if f.diff <= c.within {
		c.choose(f)
	}
	if len(c.near) < c.keep {
		heap.Push(&c.near, f)
		return
	}
	if f.before(c.near[0]) < 0 {
		c.near[0] = f
		heap.Fix(&c.near, 0)
	}
}

// choose keeps f where it is the best so far by coats, cost or dry film.
func (c *collector) choose(f found) {
	if !c.any {
		c.fewest, c.cheapest, c.softest, c.any = f, f, f, true
		return
	}
	take := func(best *found, of func(found) float64) {
		if a, b := of(f), of(*best); a < b || a == b && f.before(*best) < 0 {
			*best = f
		}
	}
	take(&c.fewest, func(f found) float64 { return float64(f.coats) })
	take(&c.cheapest, func(f found) float64 { return f.cost })
	take(&c.softest, func(f found) float64 { return f.dry })
}

func (c *collector) merge(d *collector) {
	for _, f := range d.near {
		c.add(f)
	}
	if d.any {
		c.choose(d.fewest)
		c.choose(d.cheapest)
		c.choose(d.softest)
	}
}

func (c *collector) answer() stackAnswer {
	near := slices.Clone(c.near)
	slices.SortFunc(near, found.before)
	return stackAnswer{nearest: near, fewest: c.fewest, cheapest: c.cheapest, softest: c.softest, any: c.any}
}

// farthestFirst is a heap of stacks whose root is the farthest.
type farthestFirst []found

func (h farthestFirst) Len() int           { return len(h) }
func (h farthestFirst) Less(i, j int) bool { return h[i].before(h[j]) > 0 }
func (h farthestFirst) Swap(i, j int)      { h[i], h[j] = h[j], h[i] }
func (h *farthestFirst) Push(x any)        { *h = append(*h, x.(found)) }
func (h *farthestFirst) Pop() any {
	old := *h
	f := old[len(old)-1]
	*h = old[:len(old)-1]
	return f
}
