package schedule

import "slices"

// A plan is a complete answer inside the search: a start, a finish and a mode
// for every task. The zero value is no plan.
type plan struct {
	start, finish []int
	mode          []int
	end           int
}

func (a plan) found() bool { return a.start != nil }

// planOf reads the plan of earliest starts off an engine without conflicts.
func planOf(e *engine) plan {
	a := plan{slices.Clone(e.es), slices.Clone(e.ef), make([]int, e.n), e.m.floor}
	for i := range a.mode {
		a.mode[i] = e.modeOf(i)
		a.end = max(a.end, a.finish[i])
	}
	return a
}

// frozen returns an engine with the modes of the plan and the order of its
// tasks on every resource imposed, so that any starts within its arcs and
// hours keep the capacities. Its earliest starts are the least such plan, its
// latest starts the greatest with End at most ub.
func frozen(m *model, a plan, ub int) *engine {
	e := newEngine(m)
	e.gap = nil // the order of a plan holds no circle
	e.ub = ub
	for i, k := range a.mode {
		if !e.allow(i, 1<<k) {
			panic("schedule: a mode of a valid plan is not allowed")
		}
	}
	ok := e.begin()
	for _, o := range chain(m, a, nil) {
		ok = ok && e.impose(o[0], o[1])
	}
	if !ok || !e.settle() {
		panic("schedule: the order of a valid plan does not hold")
	}
	return e
}

// chain returns orders that keep every capacity among the tasks not free
// whatever their starts: every unit of a resource is handed from task to task
// in the order of the plan. A unit is taken from the task that finished last.
// Orders between two fixed tasks are left out.
func chain(m *model, a plan, free []bool) [][2]int {
	order := slices.DeleteFunc(byStart(a.start), func(i int) bool { return free != nil && free[i] })
	var out [][2]int
	for r, units := range m.caps {
		out = append(out, chainOne(m, a, order, r, units)...)
	}
	return out
}

// chainOne hands the units of resource r on.
func chainOne(m *model, a plan, order []int, r, units int) [][2]int {
	type held struct{ task, amount int }
	var pool []held // who last held the units, ascending by finish
	var out [][2]int
	unused, crowded := units, false
	for _, i := range order {
		md := &m.jobs[i].modes[a.mode[i]]
		need := md.amount(r)
		if need == 0 || md.at.dur == 0 {
			continue
		}
		left := need
		for k := len(pool) - 1; k >= 0 && left > 0; k-- {
			h := &pool[k]
			if a.finish[h.task] > a.start[i] || h.amount == 0 {
				continue
			}
			take := min(left, h.amount)
			left -= take
			h.amount -= take
			if !m.jobs[h.task].fixed || !m.jobs[i].fixed {
				out = append(out, [2]int{h.task, i})
			}
		}
		take := min(left, unused)
		left, unused = left-take, unused-take
		pool = slices.DeleteFunc(pool, func(h held) bool { return h.amount == 0 })
		pool = append(pool, held{i, need - left})
		crowded = crowded || left > 0
		slices.SortStableFunc(pool, func(x, y held) int { return a.finish[x.task] - a.finish[y.task] })
	}
	if crowded {
		out = append(out, keepClear(m, a, order, r)...)
	}
	return out
}

// keepClear returns the orders between fixed and free tasks on resource r. It
// is for the resource that fixed tasks alone overfill: there no units can be
// handed on.
func keepClear(m *model, a plan, order []int, r int) [][2]int {
	var out [][2]int
	for _, i := range order {
		for _, j := range order {
			x, y := &m.jobs[i].modes[a.mode[i]], &m.jobs[j].modes[a.mode[j]]
			if m.jobs[i].fixed != m.jobs[j].fixed && x.amount(r) > 0 && y.amount(r) > 0 && a.finish[i] <= a.start[j] {
				out = append(out, [2]int{i, j})
			}
		}
	}
	return out
}
