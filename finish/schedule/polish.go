package schedule

// A polish is the best plan so far with its gaps closed, and the search for one
// with the same End and less waiting.
type polish struct {
	// tighten closes the gaps of a plan of the search and says what waiting is
	// left in it.
	tighten func(plan) (plan, int)

	of     plan // the plan of the search behind out
	out    plan
	wait   int
	misses int // neighbours looked at since the wait last became shorter
}

// waitMisses is after how many neighbours without a shorter wait none is looked
// for any more; lastDraws is how many are looked at when the search has been
// stopped.
const (
	waitMisses = 40
	lastDraws  = 8
)

// polished returns the best plan in its last form.
func (s *search) polished() plan {
	s.halt, s.most, s.stop = false, far, nil
	if s.done() {
		s.shortenWait(far)
	} else {
		s.shortenWait(lastDraws)
	}
	return s.polish.out
}

// shortenWait frees some tasks of the best plan again and again, at most draws
// times, and keeps what ends no later and waits less.
func (s *search) shortenWait(draws int) {
	p := &s.polish
	if !s.best.found() {
		return
	}
	if !p.of.found() || s.best.end < p.of.end {
		p.of, p.misses = s.best, 0
		p.out, p.wait = p.tighten(s.best)
	}
	best, ub := s.best, s.e.ub
	s.first, s.asGood = true, true
	for range draws {
		if p.wait == 0 || p.misses >= waitMisses || s.halt {
			break
		}
		s.best, s.e.ub = p.of, p.of.end
		s.neighbour(4+s.rng.IntN(8), 4*s.e.n)
		p.misses++
		if a, wait := p.tighten(s.best); s.best.end < p.of.end || wait < p.wait {
			p.of, p.out, p.wait, p.misses = s.best, a, wait, 0
		}
	}
	s.first, s.asGood = false, false
	s.best, s.e.ub = best, ub
	if p.of.end < best.end {
		s.best = p.of
	}
}
