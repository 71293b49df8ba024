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
	group []bool // by resource; nil for a set of which no two can run at once
	modal bool   // the need depends on the mode
	least []int  // per entry of tasks: least need over all modes, minutes times amount
	give  []supply
	one   bool // only one of the tasks can run at a time
	slots bool // what counts is where the tasks start, not where they lie
}

// A supply is what one resource can give.
type supply struct {
	cap  int
	win  []Window // nil: any time
	fit  []int    // fit[x]: most minutes of whole tasks within x minutes; nil: x
	step int      // above 0: starts are counted, step apart on one unit
	sums []int    // sum of usable over the windows before
}

// usable returns the minutes that whole tasks can fill within x minutes, or
// how many starts one unit can see there.
func (s *supply) usable(x int) int {
	if s.step > 0 {
		return (x + s.step - 1) / s.step
	}
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

// A place is where a minute falls among the windows of a supply: the first
// window that ends after it, and what that window gives from and up to it.
type place struct {
	win      int
	from, up int
}

func (s *supply) place(t int) place {
	if s.win == nil {
		return place{}
	}
	k := sort.Search(len(s.win), func(k int) bool { return s.win[k].To > t })
	if k == len(s.win) {
		return place{win: k}
	}
	w := s.win[k]
	p := place{win: k, from: s.usable(w.To - max(t, w.From))}
	if t > w.From {
		p.up = s.usable(t - w.From)
	}
	return p
}

// between is within(a, b), given their places.
func (s *supply) between(p, q place, a, b int) int {
	switch {
	case s.win == nil:
		return s.cap * s.usable(b-a)
	case p.win < q.win:
		return s.cap * (p.from + s.sums[q.win] - s.sums[p.win+1] + q.up)
	case p.win == len(s.win) || b <= s.win[p.win].From:
		return 0
	}
	return s.cap * s.usable(b-max(a, s.win[p.win].From))
}

// findLoads prepares one load per resource, one per set of resources that
// stand in for one another in choices, and some sets of tasks of which no two
// can run at once, whatever the resource that forbids it.
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
		if l := m.load(g, h); len(l.tasks) > 1 {
			out = append(out, l)
		}
	}
	for _, set := range m.cliques(out) {
		out = append(out, m.cliqueLoad(set, h))
	}
	for r := range m.caps {
		out = append(out, m.slotLoads(r)...)
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
	if md == nil || !l.modal {
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

func (m *model) load(group []bool, h *hoursOf) load {
	l := load{group: group, modal: true}
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
	total := 0
	for r, in := range group {
		if in {
			l.give = append(l.give, m.supply(r, h))
			total += m.caps[r]
		}
	}
	l.one = total == 1
	return l
}

// supply works out what resource r can give to the tasks that may use it.
func (m *model) supply(r int, h *hoursOf) supply {
	f := filling{h: h, one: true, win: []Window{}}
	for i := range m.jobs {
		for k := range m.jobs[i].modes {
			if a := m.jobs[i].modes[k].amount(r); a > 0 {
				f.one = f.one && a == 1
				f.add(m, i, k)
			}
		}
	}
	return f.supply(m, m.caps[r])
}

// A filling gathers the tasks that share a supply.
type filling struct {
	h    *hoursOf
	one  bool // all hold one unit and none pauses
	win  []Window
	durs []int
}

func (f *filling) add(m *model, i, k int) {
	md := &m.jobs[i].modes[k]
	if m.jobs[i].fixed || md.at.dur == 0 {
		return
	}
	f.one = f.one && !md.at.pausing
	f.durs = append(f.durs, md.at.dur)
	if f.win == nil {
		return
	}
	open := f.h.of(i, md.uses)
	if open == nil {
		f.win = nil
		return
	}
	f.win = Union(f.win, open)
	if f.win == nil {
		f.win = []Window{}
	}
}

func (f *filling) supply(m *model, capacity int) supply {
	s := supply{cap: capacity, win: f.win}
	longest := 0
	for _, w := range s.win {
		longest = max(longest, w.To-w.From)
	}
	if s.win == nil {
		longest = min(m.limit-f.h.p.Start, maxFit)
	}
	if f.one && longest >= 0 && longest <= maxFit {
		s.fit = fits(f.durs, longest)
	}
	s.sum()
	return s
}

// sum prepares the sums over whole windows.
func (s *supply) sum() {
	s.sums = make([]int, len(s.win)+1)
	for k, w := range s.win {
		s.sums[k+1] = s.sums[k] + s.usable(w.To-w.From)
	}
}

// cliques finds some large sets of tasks of which no two can run at once and
// which no load of a single unit holds already: grown from every task by the
// longest that still fits.
func (m *model) cliques(have []load) [][]int32 {
	n := len(m.jobs)
	apart := make([]bool, n*n)
	for _, p := range m.pairs {
		if i, j := int(p[0]), int(p[1]); m.mustClash(i, j) && !m.jobs[i].fixed && !m.jobs[j].fixed {
			apart[i*n+j], apart[j*n+i] = true, true
		}
	}
	byLength := make([]int32, n)
	for i := range byLength {
		byLength[i] = int32(i)
	}
	slices.SortStableFunc(byLength, func(i, j int32) int { return m.jobs[j].shortest - m.jobs[i].shortest })
	var sets [][]int32
	for seed := range n {
		set := []int32{int32(seed)}
		for _, i := range byLength {
			if !slices.ContainsFunc(set, func(k int32) bool { return !apart[int(k)*n+int(i)] }) {
				set = append(set, i)
			}
		}
		slices.Sort(set)
		if len(set) > 2 && !covered(set, have) && !slices.ContainsFunc(sets, func(o []int32) bool { return slices.Equal(o, set) }) {
			sets = append(sets, set)
		}
	}
	length := func(set []int32) (sum int) {
		for _, i := range set {
			sum += m.jobs[i].shortest
		}
		return sum
	}
	slices.SortStableFunc(sets, func(a, b []int32) int { return length(b) - length(a) })
	return sets[:min(len(sets), maxCliques)]
}

// maxCliques bounds how many sets of mutually exclusive tasks are watched.
const maxCliques = 12

// covered reports whether a load of a single unit holds the whole set.
func covered(set []int32, have []load) bool {
	for k := range have {
		l := &have[k]
		if l.one && !slices.ContainsFunc(set, func(i int32) bool { return !slices.Contains(l.tasks, i) }) {
			return true
		}
	}
	return false
}

// cliqueLoad is the load of tasks that run one at a time.
func (m *model) cliqueLoad(set []int32, h *hoursOf) load {
	l := load{tasks: set, one: true}
	f := filling{h: h, one: true, win: []Window{}}
	for _, i := range set {
		l.least = append(l.least, m.jobs[i].shortest)
		for k := range m.jobs[i].modes {
			f.add(m, int(i), k)
		}
	}
	l.give = []supply{f.supply(m, 1)}
	return l
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

// An item is a task of a load as the edge reasoning sees it: it must lie within
// [es, lf).
type item struct {
	task         int32
	k            int32 // place in load.tasks
	es, lf, need int
}

// energy reports whether every load passes.
func (e *engine) energy() bool {
	for k := range e.m.loads {
		if _, _, over := e.overload(k); over > 0 {
			return false
		}
	}
	return true
}

// overload returns the first interval found in which the tasks that must lie
// inside need more than the k-th load can give, and by how much; 0 if none.
func (e *engine) overload(k int) (a, b, over int) {
	ld := &e.m.loads[k]
	e.itemsByFinish(k)
	for f := range e.items {
		a, sum := e.items[f].es, 0
		if f > 0 && a == e.items[f-1].es {
			continue
		}
		for k, it := range e.items {
			if it.es < a {
				continue
			}
			sum += it.need
			if k+1 < len(e.items) && e.items[k+1].lf == it.lf {
				continue
			}
			if give := e.gives(ld, f, k); sum > give {
				return a, it.lf, sum - give
			}
		}
	}
	return 0, 0, 0
}

// latest is the end of the interval in which a load counts task i: its latest
// finish, or just after its latest start.
func (e *engine) latest(l *load, i int32) int {
	if l.slots {
		return e.ls[i] + 1
	}
	return e.lf[i]
}

// itemsByFinish lists the items of the k-th load in order of latest finish,
// itemsByBegin in order of earliest start. They return the largest need.
func (e *engine) itemsByFinish(k int) (most int) {
	ld := &e.m.loads[k]
	insertion(e.byFinish[k], func(j int32) int { return e.latest(ld, ld.tasks[j]) })
	return e.itemsOf(ld, e.byFinish[k])
}

func (e *engine) itemsByBegin(k int) (most int) {
	ld := &e.m.loads[k]
	insertion(e.byBegin[k], func(j int32) int { return e.es[ld.tasks[j]] })
	return e.itemsOf(ld, e.byBegin[k])
}

// itemsOf lists the tasks of a load that need something of it now, in the given
// order, with their places. It returns the largest need.
func (e *engine) itemsOf(ld *load, order []int32) (most int) {
	e.items, e.places = e.items[:0], e.places[:0]
	for _, k := range order {
		i := ld.tasks[k]
		need := ld.needs(int(k), e.only[i])
		if need == 0 {
			continue
		}
		most = max(most, need)
		it := item{i, k, e.es[i], e.latest(ld, i), need}
		e.items = append(e.items, it)
		for g := range ld.give {
			e.places = append(e.places, ld.give[g].place(it.es), ld.give[g].place(it.lf))
		}
	}
	return most
}

// gives is what a load can give from the earliest start of item x to the latest
// finish of item y.
func (e *engine) gives(ld *load, x, y int) int {
	g, sum := len(ld.give), 0
	for s := range ld.give {
		sum += ld.give[s].between(e.places[2*(x*g+s)], e.places[2*(y*g+s)+1], e.items[x].es, e.items[y].lf)
	}
	return sum
}

// insertion sorts by a key, ties in the order they have. The order of the last
// look is nearly right.
func insertion(o []int32, key func(int32) int) {
	for i := 1; i < len(o); i++ {
		k, v := o[i], key(o[i])
		j := i - 1
		for j >= 0 && key(o[j]) > v {
			o[j+1] = o[j]
			j--
		}
		o[j+1] = k
	}
}
