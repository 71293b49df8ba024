package plan

import (
	"cmp"
	"math"
	"slices"
	"time"

	"undercoat/finish/schedule"
)

// latest returns, for every piece of work, the last start from which all ends
// by minute by, with the order of work on hands and places unchanged; it may
// lie before now, where by cannot be kept. It is the greatest solution of
// start <= f(start), found by repeated passes from the end backwards: it is at
// or after the start of every schedule that ends by then. nil where there is
// none within the hours known.
func (d *draft) latest(out dated, by int) []int {
	return d.latestWith(out, by, out.handOvers())
}

// latestWith is latest with other orders than those of the schedule; without
// any it is a bound: no order of work allows a later start.
func (d *draft) latestWith(out dated, by int, order []schedule.Lag) []int {
	p := out.problem
	late := make([]int, len(p.Tasks))
	open := make([][]schedule.Window, len(p.Tasks))
	for t := range p.Tasks {
		open[t] = out.windows(t)
		if at, fixed := p.Tasks[t].Fixed.Get(); fixed {
			late[t] = at
			continue
		}
		late[t] = lastStart(open[t], p.Tasks[t].Duration, by-p.Tasks[t].Duration)
	}
	lags := slices.Concat(order, p.Lags)
	for pass := 0; ; pass++ {
		if pass > len(p.Tasks) {
			return nil // waits at least and at most chase each other
		}
		changed := false
		for _, l := range slices.Backward(lags) {
			changed = tighten(p, late, open, l) || changed
		}
		if !changed {
			break
		}
	}
	starts := make([]int, len(d.work))
	for i := range d.work {
		starts[i] = late[p.task[i]]
	}
	return starts
}

// tighten moves the latest starts at both ends of a lag earlier as it asks,
// and reports whether it moved one. Done work does not move.
func tighten(p problem, late []int, open [][]schedule.Window, l schedule.Lag) bool {
	from, to := p.Tasks[l.From], p.Tasks[l.To]
	changed := false
	if !present(from.Fixed) && l.Min != schedule.NoMin {
		if at := late[l.To] - l.Min - from.Duration; at < late[l.From] && !present(to.Fixed) {
			late[l.From], changed = lastStart(open[l.From], from.Duration, at), true
		}
	}
	if most, ok := l.Max.Get(); ok && !present(to.Fixed) {
		if at := late[l.From] + from.Duration + most; at < late[l.To] {
			late[l.To], changed = lastStart(open[l.To], to.Duration, at), true
		}
	}
	return changed
}

// lastStart returns the last minute up to at from which duration minutes lie
// whole in one window; at itself where there are no windows to keep to.
func lastStart(open []schedule.Window, duration, at int) int {
	if open == nil {
		return at
	}
	for _, w := range slices.Backward(open) {
		if start := min(at, w.To-duration); start >= w.From {
			return start
		}
	}
	return at - int(beyond/time.Minute) // before every hour known
}

// windows returns the hours a task keeps to with the people it was given; nil
// for any time.
func (out dated) windows(task int) []schedule.Window {
	var open []schedule.Window
	for _, u := range out.uses(task) {
		c := out.Resources[u.Resource].Calendar
		if c == schedule.AnyTime {
			continue
		}
		if open == nil {
			open = out.Calendars[c]
		} else {
			open = schedule.Intersect(open, out.Calendars[c])
		}
	}
	return open
}

// uses returns what a task holds with the choice it was given.
func (out dated) uses(task int) []schedule.Use {
	t := out.Tasks[task]
	if len(t.Choices) == 0 {
		return t.Uses
	}
	return append(slices.Clone(t.Uses), t.Choices[out.Choice[task]]...)
}

// handOvers returns, for every limited resource, which task hands its units to
// which: keeping these orders keeps the capacity whatever the dates. Tasks
// take their units from those that gave them back first.
func (out dated) handOvers() []schedule.Lag {
	var lags []schedule.Lag
	for r, res := range out.Resources {
		if res.Calendar == schedule.AnyTime { // hours are no limit of their own
			lags = append(lags, out.handOver(r, res.Capacity)...)
		}
	}
	return lags
}

// holding is units of a resource in some task's hands, or never used (task -1).
type holding struct{ task, units, until int }

func (out dated) handOver(resource, capacity int) []schedule.Lag {
	var tasks []int
	for t := range out.Tasks {
		if out.amount(t, resource) > 0 {
			tasks = append(tasks, t)
		}
	}
	slices.SortStableFunc(tasks, func(a, b int) int { return out.Start[a] - out.Start[b] })
	free := []holding{{-1, capacity, math.MinInt}}
	var lags []schedule.Lag
	for _, t := range tasks {
		need := out.amount(t, resource)
		slices.SortStableFunc(free, func(a, b holding) int { return cmp.Compare(a.until, b.until) })
		for i := range free {
			if need == 0 || free[i].until > out.Start[t] {
				break
			}
			take := min(need, free[i].units)
			if take > 0 && free[i].task >= 0 {
				lags = append(lags, schedule.Lag{From: free[i].task, To: t})
			}
			free[i].units -= take
			need -= take
		}
		free = slices.DeleteFunc(free, func(h holding) bool { return h.units == 0 })
		free = append(free, holding{t, out.amount(t, resource) - need, out.Finish[t]})
	}
	return lags
}

func (out dated) amount(task, resource int) int {
	n := 0
	for _, u := range out.uses(task) {
		if u.Resource == resource {
			n += u.Amount
		}
	}
	return n
}

func present(l schedule.Limit) bool {
	_, ok := l.Get()
	return ok
}
