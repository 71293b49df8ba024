package schedule

import "slices"

// sessions returns the windows in which the waiting of resource r counts: the
// hours of a person who is one pair of hands.
func sessions(p Problem, r int) []Window {
	res := p.Resources[r]
	if !res.Person || res.Capacity != 1 || res.Calendar == AnyTime {
		return nil
	}
	all := Union(p.Calendars[res.Calendar])
	return slices.DeleteFunc(all, func(w Window) bool { return w.To <= p.Start })
}

// A visit is the work of one person in one session, in order of start.
type visit struct {
	w     Window
	tasks []int
}

// visits returns every session of every person in which they work.
func visits(p Problem, m *model, a plan) []visit {
	var out []visit
	order := byStart(a.start)
	for r := range p.Resources {
		for _, w := range sessions(p, r) {
			v := visit{w: w}
			for _, i := range order {
				md := &m.jobs[i].modes[a.mode[i]]
				if md.amount(r) > 0 && a.start[i] < a.finish[i] && a.start[i] < w.To && a.finish[i] > w.From {
					v.tasks = append(v.tasks, i)
				}
			}
			if len(v.tasks) > 0 {
				out = append(out, v)
			}
		}
	}
	return out
}

// wait is the time between the first and the last minute of work in the
// session during which the person has nothing to do.
func (v visit) wait(a plan) int {
	sum, until := 0, max(a.start[v.tasks[0]], v.w.From)
	for _, i := range v.tasks {
		sum += max(0, a.start[i]-until)
		until = max(until, min(a.finish[i], v.w.To))
	}
	return sum
}

func totalWait(vs []visit, a plan) int {
	sum := 0
	for _, v := range vs {
		sum += v.wait(a)
	}
	return sum
}

// closeGaps starts tasks later, order and End unchanged, where that shortens
// the waiting inside sessions. No task of a person leaves its session: a plan
// is not made later by a day to save an hour's wait.
func closeGaps(p Problem, m *model, a plan) plan {
	if len(visits(p, m, a)) == 0 {
		return a
	}
	e := frozen(m, a, a.end)
	a = planOf(e)
	for again := true; again; {
		again = false
		vs := visits(p, m, a)
		for k := len(vs) - 1; k >= 0; k-- {
			mark := e.mark()
			b, ok := e.closeGap(vs[k], a)
			if ok && totalWait(visits(p, m, b), b) < totalWait(vs, a) && sameSessions(vs, visits(p, m, b)) {
				a, again = b, true
				break
			}
			e.undo(mark)
		}
	}
	return a
}

// closeGap moves the tasks of a visit as late as the next one and the latest
// starts allow, the last task staying. Not ok when there is no gap.
func (e *engine) closeGap(v visit, a plan) (plan, bool) {
	if v.wait(a) == 0 {
		return a, false
	}
	for k := len(v.tasks) - 2; k >= 0; k-- {
		i, next := v.tasks[k], v.tasks[k+1]
		s := min(e.only[i].at.startBy(e.es[next]), e.ls[i])
		if s > e.es[i] && (!e.raiseStart(i, s) || !e.settle()) {
			panic("schedule: a start no later than the latest does not hold")
		}
	}
	return planOf(e), true
}

// sameSessions reports whether every person works on the same tasks in every
// session.
func sameSessions(a, b []visit) bool {
	return slices.EqualFunc(a, b, func(x, y visit) bool {
		if x.w != y.w || len(x.tasks) != len(y.tasks) {
			return false
		}
		s, t := slices.Sorted(slices.Values(x.tasks)), slices.Sorted(slices.Values(y.tasks))
		return slices.Equal(s, t)
	})
}
