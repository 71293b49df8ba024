package schedule

import (
	"slices"
)

// Work that may run at night but can only begin in working hours (a coat must
// be hung to dry at once) fills a rail overnight. Say all tasks of a set last
// at least step minutes and start within a span of minutes [lo, hi]. Of the
// check points hi, hi-step, hi-2*step, ... each of them is running at one at
// least; so a unit of the resource sees no more of these starts than there are
// check points in the span, however long the night. A load with slots counts
// starts in this way: need is the amount held, and the supply of a span is its
// number of check points for every unit.

// slotLoads returns loads over the starts of tasks that hold resource r, for
// some smallest durations.
func (m *model) slotLoads(r int) []load {
	var tasks []int32
	var durs []int
	for i := range m.jobs {
		j := &m.jobs[i]
		if j.fixed || !j.steady || j.least(r) == 0 || j.shortest == 0 || m.begins(i) == nil {
			continue
		}
		tasks = append(tasks, int32(i))
		durs = append(durs, j.shortest)
	}
	if len(tasks) < 2 || !slices.ContainsFunc(tasks, func(i int32) bool { return m.jobs[i].modes[0].at.any() }) {
		return nil // tasks that lie whole in their windows: the plain load says more
	}
	slices.Sort(durs)
	durs = slices.Compact(durs)
	var out []load
	for k := range slotSteps {
		step := durs[k*(len(durs)-1)/(slotSteps-1)]
		if k > 0 && step == out[len(out)-1].give[0].step {
			continue
		}
		out = append(out, m.slotLoad(r, tasks, step))
	}
	return slices.DeleteFunc(out, func(l load) bool { return len(l.tasks) < 2 })
}

// slotSteps is for how many smallest durations starts are counted.
const slotSteps = 4

func (m *model) slotLoad(r int, tasks []int32, step int) load {
	l := load{slots: true, group: make([]bool, len(m.caps))}
	l.group[r] = true
	s := supply{cap: m.caps[r], step: step, win: []Window{}}
	for _, i := range tasks {
		if m.jobs[i].shortest >= step {
			l.tasks = append(l.tasks, i)
			l.least = append(l.least, m.jobs[i].least(r))
			s.win = Union(s.win, m.begins(int(i)))
		}
	}
	s.sum()
	l.give = []supply{s}
	return l
}

// any reports whether every start is allowed.
func (a *starts) any() bool { return len(a.span) == 1 && a.span[0] == [2]int{-far, far} }

// begins returns the minutes at which task i can begin, as windows, or nil when
// they are not limited: those of its own hours, or those that follow from a
// wait with a maximum behind a task with hours.
func (m *model) begins(i int) []Window {
	if !m.jobs[i].modes[0].at.any() {
		return m.ownBegins(i)
	}
	for k, o := range m.origin {
		// start(l.from) >= end(l.to) - max is the maximum of a lag from l.to.
		l := m.arcs[k]
		if !o.maximum || l.ends != 0 || int(l.from) != i || m.jobs[l.to].fixed || m.jobs[l.to].modes[0].at.any() {
			continue
		}
		most := -l.w // start(i) <= start(before) + most
		least, ok := m.leastAfter(int(l.to), i)
		if !ok {
			continue
		}
		var out []Window
		for _, w := range m.ownBegins(int(l.to)) {
			out = append(out, Window{w.From + least, w.To + most})
		}
		return Union(out)
	}
	return nil
}

// ownBegins returns the starts of task i over all modes.
func (m *model) ownBegins(i int) []Window {
	var out []Window
	for k := range m.jobs[i].modes {
		for _, s := range m.jobs[i].modes[k].at.span {
			out = append(out, Window{s[0], s[1] + 1})
		}
	}
	return Union(out)
}

// leastAfter returns the largest minimum of the waits from i to j, start to
// start.
func (m *model) leastAfter(i, j int) (int, bool) {
	least, ok := 0, false
	for _, l := range m.arcs {
		if l.ends == 0 && int(l.from) == i && int(l.to) == j && (!ok || l.w > least) {
			least, ok = l.w, true
		}
	}
	return least, ok
}
