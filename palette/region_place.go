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

// part is a connected part of a material, in cells.
type part struct {
	n   int
	box Rect
}

// parts lists the connected parts of each of n materials, largest first.
func (p places) parts(n int) [][]part {
	w, h := p.g.w, p.g.h
	out := make([][]part, n)
	seen := make([]bool, len(p.at))
	var open []int32
	for i, v := range p.at {
		if v < 0 || seen[i] {
			continue
		}
		one := part{box: Rect{i % w, i / w, 1, 1}}
		seen[i] = true
		open = append(open[:0], int32(i))
		push := func(j int) {
			if p.at[j] == v && !seen[j] {
				seen[j] = true
				open = append(open, int32(j))
			}
		}
		for len(open) > 0 {
			c := int(open[len(open)-1])
			open = open[:len(open)-1]
			x, y := c%w, c/w
			one.n++
			one.box = one.box.with(x, y)
			if x > 0 {
				push(c - 1)
			}
			if x+1 < w {
				push(c + 1)
			}
			if y > 0 {
				push(c - w)
			}
			if y+1 < h {
				push(c + w)
			}
		}
		out[v] = append(out[v], one)
	}
	for _, list := range out {
		slices.SortStableFunc(list, func(a, b part) int { return b.n - a.n })
	}
	return out
}

// crumb is the share of the largest part below which a part is not listed.
const crumb = 1.0 / 40

// bounds turns the parts of a material into pixels: around all, and each.
func (p places) bounds(all []part) (around Rect, each []Rect) {
	if len(all) == 0 {
		return Rect{}, nil
	}
	around = all[0].box
	for _, a := range all {
		if float64(a.n) < crumb*float64(all[0].n) {
			break
		}
		around = around.join(a.box)
		each = append(each, p.g.pixels(a.box))
	}
	return p.g.pixels(around), each
}
