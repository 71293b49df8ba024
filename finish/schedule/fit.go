package schedule

import (
	"fmt"
	"slices"
)

// Fit returns the schedule with the earliest End it can find, among those the
// one with the smallest Wait it can find, ties by the order of the tasks. The
// Status speaks of the End alone: Proven when no schedule ends earlier,
// Feasible when the effort of o ran out before that was known, Infeasible when
// no schedule exists (Why says why), Unknown when the effort ran out before
// either was known.
//
// The result depends on p, o.Seed and o.Nodes alone unless o.Stop ends the
// search. The error wraps ErrProblem and is about a problem that makes no
// sense; an impossible problem is a Schedule, not an error. No tasks give an
// empty proven Schedule.
func Fit(p Problem, o Options) (Schedule, error) {
	m, err := compile(p)
	if err != nil {
		return Schedule{}, fmt.Errorf("fit: %w", err)
	}
	if len(p.Tasks) == 0 {
		return Schedule{Status: Proven}, nil // nothing to do is done at once
	}
	q, crews := mergeCrews(p)
	mq, err := compile(q)
	if err != nil {
		return Schedule{}, fmt.Errorf("fit: %w", err)
	}
	s := newSearch(mq, o)
	s.polish.tighten = func(a plan) (plan, int) {
		a = closeGaps(p, m, named(p, q, crews, a))
		return a, totalWait(visits(p, m, a), a)
	}
	out := Schedule{Status: s.solve(), Bound: s.floor}
	if s.best.found() {
		out.fill(p, m, s.polished())
	}
	if out.Status == Infeasible {
		out.Why = explain(p, o)
	}
	out.Nodes = s.nodes
	if err := Check(p, out); err != nil {
		panic("schedule: own result broken: " + err.Error())
	}
	return out, nil
}

// named turns a plan of the merged problem q into one of p.
func named(p, q Problem, crews []crew, a plan) plan {
	choice := share(p, q, crews, a)
	a.mode = slices.Clone(a.mode)
	for i, k := range choice {
		a.mode[i] = max(k, 0)
	}
	return a
}

// fill writes the plan and what follows from it.
func (s *Schedule) fill(p Problem, m *model, a plan) {
	s.Start, s.Finish, s.End = a.start, a.finish, a.end
	if s.End == s.Bound {
		s.Status = Proven
	}
	s.Choice = make([]int, len(a.mode))
	for i, k := range a.mode {
		s.Choice[i] = m.jobs[i].modes[k].choice
	}
	s.Wait = totalWait(visits(p, m, a), a)
	last := a.end
	if d, ok := p.Deadline.Get(); ok {
		last = d
	}
	s.Latest = frozen(m, a, last).ls
	tight := frozen(m, a, a.end).ls
	s.Spare = make([]int, len(a.start))
	s.Critical = make([]bool, len(a.start))
	for i := range a.start {
		s.Spare[i] = s.Latest[i] - a.start[i]
		s.Critical[i] = tight[i] == a.start[i]
	}
}
