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
// sense; an impossible problem is a Schedule, not an error.
func Fit(p Problem, o Options) (Schedule, error) {
	m, err := compile(p)
	if err != nil {
		return Schedule{}, fmt.Errorf("fit: %w", err)
	}
	q, crews := mergeCrews(p)
	mq, err := compile(q)
	if err != nil {
		return Schedule{}, fmt.Errorf("fit: %w", err)
	}
	s := newSearch(mq, o)
	status := s.solve()
	out := Schedule{Status: status, Bound: s.floor}
	if s.best.found() {
		best := s.shortestWait(func(a plan) plan {
			return closeGaps(p, m, named(p, q, crews, a))
		}, func(a plan) int {
			return totalWait(visits(p, m, a), a)
		})
		out.fill(p, m, best)
	}
	if status == Infeasible {
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

// solve looks for the best plan within the budget.
func (s *search) solve() Status {
	e := s.e
	if !e.root(max(e.m.limit, e.m.floor)) {
		return Infeasible
	}
	for i := range e.ef {
		s.floor = max(s.floor, e.ef[i])
	}
	s.raiseFloor()
	for k := 0; k < dives && !s.halt && !s.done(); k++ {
		noise := s.jitter
		if k == 0 {
			noise = plain
		}
		if s.fresh(4*e.n, noise) == exhausted {
			return s.closed()
		}
	}
	if s.halt || s.done() {
		return s.status()
	}
	l, ok := newLearner(e, s.wantedEnd())
	if !ok {
		return s.closed()
	}
	for round := 500; !s.halt && !s.done(); round += round / 4 {
		target := s.floor + (s.wantedEnd()-s.floor)/2
		if s.learn(l, round/2, target) == exhausted || s.learn(l, round, far) == exhausted {
			return s.closed()
		}
		s.neighbours(round / 2)
	}
	return s.status()
}

// wantedEnd is the largest End worth finding.
func (s *search) wantedEnd() int {
	if s.best.found() {
		return min(s.e.ub, s.best.end-1)
	}
	return s.e.ub
}

// learn lets the learner go on for some nodes.
func (s *search) learn(l *learner, nodes, target int) outcome {
	l.best = s.best
	if !l.atMostEnd(s.wantedEnd()) {
		return exhausted
	}
	before := l.nodes
	got := l.close(min(nodes, s.most-s.nodes), target, s.stop, func(a plan) { s.best = a })
	s.nodes += l.nodes - before
	s.floor = max(s.floor, l.lo(l.end))
	s.halt = s.halt || s.nodes >= s.most || s.stop != nil && s.stop()
	return got
}

// status is what is known when the search stops early.
func (s *search) status() Status {
	switch {
	case s.done():
		return Proven
	case s.best.found():
		return Feasible
	}
	return Unknown
}

// dives is how many short randomised runs come before the search proper.
const dives = 12

// closed is the status when every branch was closed.
func (s *search) closed() Status {
	if !s.best.found() {
		return Infeasible
	}
	s.floor = s.best.end
	return Proven
}

// fresh runs from the root for a better plan than the best.
func (s *search) fresh(nodes int, noise func() float64) outcome {
	mark := s.e.mark()
	defer s.e.undo(mark)
	if !s.improve() || !s.e.propagate() {
		return exhausted
	}
	return s.run(nodes, noise)
}

// raiseFloor finds, by halving, the smallest End that the bounds at the root
// do not refute.
func (s *search) raiseFloor() {
	e := s.e
	lo, hi := s.floor, e.ub
	keep := e.ub
	for lo < hi {
		mid := lo + (hi-lo)/2
		mark := e.mark()
		e.ub = mid
		ok := e.applyLimit() && e.propagate()
		e.undo(mark)
		if ok {
			hi = mid
		} else {
			lo = mid + 1
		}
	}
	e.ub = keep
	s.floor = lo
}

// shortestWait returns the best plan or another with the same End and less
// waiting: after the search it draws some more plans of that End, makes each
// as tight as it gets and keeps the first with the smallest wait.
func (s *search) shortestWait(tighten func(plan) plan, wait func(plan) int) plan {
	end := s.best.end
	best := tighten(s.best)
	least := wait(best)
	s.halt, s.most, s.first = false, s.nodes+waitNodes, true
	for k := 0; k < waitDraws && least > 0 && !s.halt; k++ {
		s.best = plan{}
		s.e.ub = end
		s.fresh(4*s.e.n, s.jitter)
		if !s.best.found() {
			continue
		}
		a := tighten(s.best)
		if w := wait(a); w < least {
			best, least = a, w
		}
	}
	return best
}

const (
	waitDraws = 40     // plans drawn for a shorter wait
	waitNodes = 20_000 // nodes spent on them at most
)
