package schedule

import (
	"slices"
	"sort"
)

// A load is a group of resources counted together and the free tasks that
// must draw on it whatever their mode. Within any [a, b) the tasks that must
// lie inside it may not need more than the group can give there.
//
// With one resource of capacity 1 this is the preemptive one-machine bound
// (Jackson; Carlier 1982) run over the working windows, read as a test: a
// preemptive schedule keeps all heads and tails exactly when every interval
// passes. It is stronger here because a window only counts for what whole
// tasks can fill of it.
type load struct {
	tasks []int32
	group []bool // by resource
	least []int  // per entry of tasks: least need over all modes, minutes times amount
	give  []supply
}

// A supply is what one resource can give.
type supply struct {
	cap  int
	win  []Window // nil: any time
	fit  []int    // fit[x]: most minutes of whole tasks within x minutes; nil: x
	sums []int    // sum of fit over the windows before
}

// usable returns the minutes that whole tasks can fill within x minutes.
func (s *supply) usable(x int) int {
	if x < len(s.fit) {
		return s.fit[x]
	}
	return x
}

// within returns what the resource can give in [a, b), minutes times amount.
func (s *supply) within(a, b int) int {
	if s.win == nil {
		return s.cap * s.usable(b-a)
	}
	i := sort.Search(len(s.win), func(k int) bool { return s.win[k].To > a })
	j := sort.Search(len(s.win), func(k int) bool { return s.win[k].To > b })
	// Windows i..j-1 end within (a, b]; window j may begin before b.
	sum := 0
	if i < j {
		sum = s.sums[j] - s.sums[i]
		if w := s.win[i]; w.From < a {
			sum += s.usable(w.To-a) - s.usable(w.To-w.From)
		}
	}
	if j < len(s.win) && s.win[j].From < b {
		sum += s.usable(b - max(a, s.win[j].From))
	}
	return s.cap * sum
}

// findLoads prepares one load per resource and one per set of resources that
// stand in for one another in choices.
func (m *model) findLoads(h *hoursOf) []load {
	var groups [][]bool
	for r := range m.caps {
		g := make([]bool, len(m.caps))
		g[r] = true
		groups = append(groups, g)
	}
	groups = append(groups, m.standIns()...)
	var out []load
	for _, g := range groups {
		if l, ok := m.load(g, h); ok {
			out = append(out, l)
		}
	}
	return out
}

// standIns returns the connected sets of two or more resources in which some
// task may use one instead of another.
func (m *model) standIns() [][]bool {
	root := make([]int, len(m.caps))
	for r := range root {
		root[r] = r
	}
	find := func(r int) int {
		for root[r] != r {
			r = root[r]
		}
		return r
	}
	for _, j := range m.jobs {
		first := -1
		for k := range j.modes {
			for _, u := range j.modes[k].uses {
				if j.everyMode(u) {
					continue
				}
				if first >= 0 {
					root[find(u.Resource)] = find(first)
				}
				first = u.Resource
			}
		}
	}
	var out [][]bool
	for r := range root {
		if root[r] != r {
			continue
		}
		g, size := make([]bool, len(root)), 0
		for q := range root {
			if find(q) == r {
				g[q] = true
				size++
			}
		}
		if size > 1 {
			out = append(out, g)
		}
	}
	return out
}

// everyMode reports whether all modes of j hold exactly u.
func (j *job) everyMode(u Use) bool {
	for k := range j.modes {
		if j.modes[k].amount(u.Resource) != u.Amount {
			return false
		}
	}
	return true
}

// need is what a mode draws from a group.
func (md *mode) need(group []bool) int {
	sum := 0
	for _, u := range md.uses {
		if group[u.Resource] {
			sum += u.Amount * md.at.dur
		}
	}
	return sum
}

// needs is what the k-th task draws, given its mode (nil while open).
func (l *load) needs(k int, md *mode) int {
	if md == nil {
		return l.least[k]
	}
	return md.need(l.group)
}

// within is what the group can give in [a, b).
func (l *load) within(a, b int) int {
	sum := 0
	for g := range l.give {
		sum += l.give[g].within(a, b)
	}
	return sum
}

func (m *model) load(group []bool, h *hoursOf) (load, bool) {
	l := load{group: group}
	for i := range m.jobs {
		j := &m.jobs[i]
		if j.fixed {
			continue
		}
		least, most := j.modes[0].need(group), 0
		for k := range j.modes {
			least = min(least, j.modes[k].need(group))
			most = max(most, j.modes[k].need(group))
		}
		if most > 0 {
			l.tasks = append(l.tasks, int32(i))
			l.least = append(l.least, least)
		}
	}
	for r, in := range group {
		if in {
			l.give = append(l.give, m.supply(r, h))
		}
	}
	return l, len(l.tasks) > 1
}

// supply works out what resource r can give to the tasks that may use it.
func (m *model) supply(r int, h *hoursOf) supply {
	s := supply{cap: m.caps[r], win: []Window{}}
	ones, whole := true, true
	var durs []int
	longest := 0
	for i := range m.jobs {
		if m.jobs[i].fixed {
			continue
		}
		for k := range m.jobs[i].modes {
			md := &m.jobs[i].modes[k]
			a := md.amount(r)
			if a == 0 || md.at.dur == 0 {
				continue
			}
			ones = ones && a == 1
			whole = whole && !md.at.pausing
			durs = append(durs, md.at.dur)
			if s.win == nil {
				continue
			}
			open := h.of(i, md.uses)
			if open == nil {
				s.win = nil
				continue
			}
			s.win = Union(s.win, open)
		}
	}
	for _, w := range s.win {
		longest = max(longest, w.To-w.From)
	}
	if s.win == nil {
		longest = min(m.limit-h.p.Start, maxFit)
	}
	if ones && whole && longest <= maxFit {
		s.fit = fits(durs, longest)
	}
	s.sums = make([]int, len(s.win)+1)
	for k, w := range s.win {
		s.sums[k+1] = s.sums[k] + s.usable(w.To-w.From)
	}
	return s
}

// maxFit is the longest window for which whole tasks are counted.
const maxFit = 4096

// fits returns, for every x up to longest, the largest sum of some of the
// durations that is at most x.
func fits(durs []int, longest int) []int {
	can := make([]bool, longest+1)
	can[0] = true
	slices.Sort(durs)
	top := 0
	for _, d := range durs {
		for x := min(longest, top+d); x >= d; x-- {
			if can[x-d] {
				can[x] = true
				top = max(top, x)
			}
		}
	}
	out := make([]int, longest+1)
	for x := 1; x <= longest; x++ {
		out[x] = out[x-1]
		if can[x] {
			out[x] = x
		}
	}
	return out
}

// energy reports whether every load passes.
func (e *engine) energy() bool {
	for k := range e.m.loads {
		if _, _, over := e.overload(&e.m.loads[k]); over > 0 {
			return false
		}
	}
	return true
}

// overload returns the first interval found in which the tasks that must lie
// inside need more than the group can give, and by how much; 0 if none.
func (e *engine) overload(l *load) (a, b, over int) {
	type item struct{ es, lf, need int }
	var room [128]item
	items := room[:0]
	for k, i := range l.tasks {
		if need := l.needs(k, e.only[i]); need > 0 {
			items = append(items, item{e.es[i], e.lf[i], need})
		}
	}
	slices.SortFunc(items, func(x, y item) int { return x.lf - y.lf })
	for f := range items {
		a := items[f].es
		if f > 0 && a == items[f-1].es {
			continue
		}
		sum := 0
		for k, it := range items {
			if it.es < a {
				continue
			}
			sum += it.need
			if k+1 < len(items) && items[k+1].lf == it.lf {
				continue
			}
			if give := l.within(a, it.lf); sum > give {
				return a, it.lf, sum - give
			}
		}
	}
	return 0, 0, 0
}
