package schedule

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
		s.shortenWait(s.e.n)
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
