package schedule

import (
	"fmt"
	"slices"
	"sort"
)

// Union returns the minutes that lie in any of the lists, as ascending windows
// that neither overlap nor touch. The lists may be in any order; empty windows
// are dropped. Union of one list puts it in order.
func Union(lists ...[]Window) []Window {
	var all []Window
	for _, l := range lists {
		for _, w := range l {
			if w.From < w.To {
				all = append(all, w)
			}
		}
	}
	slices.SortFunc(all, func(a, b Window) int {
		if a.From != b.From {
			return a.From - b.From
		}
		return a.To - b.To
	})
	var out []Window
	for _, w := range all {
		if k := len(out); k > 0 && w.From <= out[k-1].To {
			out[k-1].To = max(out[k-1].To, w.To)
			continue
		}
		out = append(out, w)
	}
	return out
}

// Intersect returns the minutes that lie in both lists, in the form of Union.
func Intersect(a, b []Window) []Window {
	a, b = Union(a), Union(b)
	var out []Window
	for i, j := 0, 0; i < len(a) && j < len(b); {
		w := Window{max(a[i].From, b[j].From), min(a[i].To, b[j].To)}
		if w.From < w.To {
			out = append(out, w)
		}
		if a[i].To < b[j].To {
			i++
		} else {
			j++
		}
	}
	return out
}

// Subtract returns the minutes of a that do not lie in b, in the form of Union.
func Subtract(a, b []Window) []Window {
	a, b = Union(a), Union(b)
	var out []Window
	for _, w := range a {
		for _, c := range b {
			if c.To <= w.From || c.From >= w.To {
				continue
			}
			if c.From > w.From {
				out = append(out, Window{w.From, c.From})
			}
			w.From = min(c.To, w.To)
		}
		if w.From < w.To {
			out = append(out, w)
		}
	}
	return out
}

// Open returns how many of the minutes [from, to) lie in the list, which must
// be in ascending order without overlap.
func Open(list []Window, from, to int) int {
	sum := 0
	for i := sort.Search(len(list), func(i int) bool { return list[i].To > from }); i < len(list) && list[i].From < to; i++ {
		sum += max(0, min(list[i].To, to)-max(list[i].From, from))
	}
	return sum
}

// ordered says what is wrong with a calendar, or nothing.
func ordered(list []Window) error {
	for i, w := range list {
		if w.From >= w.To {
			return fmt.Errorf("window %d: from %d to %d: must end after it begins", i, w.From, w.To)
		}
		if i > 0 && w.From < list[i-1].To {
			return fmt.Errorf("window %d: from %d: overlaps or precedes the window before it", i, w.From)
		}
	}
	return nil
}
