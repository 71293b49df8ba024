package palette

import "slices"

// places says where each material of a palette lies.
type places struct {
	g  *cells
	at []int32 // number of the material of each cell, −1 for none
}

// places marks the cells of the groups listed.
func (gs *groups) places(list []int) places {
	number := gs.numbers(list)
	p := places{g: gs.g, at: make([]int32, len(gs.full))}
	for i, v := range gs.full {
		p.at[i] = -1
		if v >= 0 {
			p.at[i] = number[v]
		}
	}
	return p
}

// renumber gives material k the number to[k].
func (p places) renumber(to []int32) {
	for i, v := range p.at {
		if v >= 0 {
			p.at[i] = to[v]
		}
	}
}

// of returns the bounds of a material and of its connected parts, largest first.
// Parts of less than a fortieth of the largest are left out.
func (p places) of(k int) (bounds Rect, parts []Rect) {
	type part struct {
		n   int
		box Rect
	}
	var all []part
	seen := make([]bool, len(p.at))
	var open []int
	for i, v := range p.at {
		if v != int32(k) || seen[i] {
			continue
		}
		one := part{box: Rect{i % p.g.w, i / p.g.w, 1, 1}}
		seen[i] = true
		open = append(open[:0], i)
		for len(open) > 0 {
			c := open[len(open)-1]
			open = open[:len(open)-1]
			x, y := c%p.g.w, c/p.g.w
			one.n++
			one.box = one.box.with(x, y)
			for _, d := range [4][2]int{{1, 0}, {-1, 0}, {0, 1}, {0, -1}} {
				xx, yy := x+d[0], y+d[1]
				if xx < 0 || yy < 0 || xx >= p.g.w || yy >= p.g.h {
					continue
				}
				if j := yy*p.g.w + xx; p.at[j] == int32(k) && !seen[j] {
					seen[j] = true
					open = append(open, j)
				}
			}
		}
		all = append(all, one)
	}
	if len(all) == 0 {
		return Rect{}, nil
	}
	slices.SortStableFunc(all, func(a, b part) int { return b.n - a.n })
	bounds = all[0].box
	for _, a := range all {
		if 40*a.n < all[0].n {
			break
		}
		bounds = bounds.join(a.box)
		parts = append(parts, p.g.pixels(a.box))
	}
	return p.g.pixels(bounds), parts
}
