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
	b := newSerial(e)
	s.build(b, 500)
	for round := 500; !s.halt && !s.done(); round += round / 4 {
		target := s.floor + (s.wantedEnd()-s.floor)/2
		if s.learn(l, round/2, target) == exhausted || s.learn(l, round, far) == exhausted {
			return s.closed()
		}
		s.neighbours(round / 2)
		s.build(b, round)
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

// shortestWait returns the best plan or another with no later End and less
// waiting. It frees some tasks of the plan again and again and keeps what
// tighten makes shorter.
func (s *search) shortestWait(tighten func(plan) plan, wait func(plan) int) plan {
	best, out := s.best, tighten(s.best)
	least := wait(out)
	s.halt, s.first, s.asGood, s.most = false, true, true, far
	for k, missed := 0, 0; least > 0 && missed < waitMisses && k < waitDraws; k++ {
		if k >= waitMisses && s.stop != nil && s.stop() {
			break
		}
		s.best, s.e.ub = best, best.end
		s.neighbour(4+s.rng.IntN(8), 4*s.e.n)
		a := tighten(s.best)
		missed++
		if w := wait(a); s.best.end < best.end || w < least {
			best, out, least, missed = s.best, a, w, 0
		}
	}
	return out
}

const (
	waitDraws  = 200 // neighbours looked at for a shorter wait, at most
	waitMisses = 30  // of them in a row without success; so many even after Stop
)
