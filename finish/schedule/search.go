package schedule

import (
	"math/rand/v2"
)

// A search runs the branching over one engine under a budget of nodes.
type search struct {
	e     *engine
	w     sweep
	best  plan
	floor int // a proven lower bound of End: a plan that meets it is optimal
	nodes int // spent so far, over all runs
	most  int // budget over all runs
	stop  func() bool
	rng   *rand.Rand
	halt  bool // budget gone

	until  int // node count at which the current run ends
	noise  func() float64
	levels []level
	first  bool // a run ends with its first plan
	asGood bool // plans with the End of the best are wanted too

	polish polish
}

// A level is the room one depth of the branching works in.
type level struct {
	c    conflict
	ways []way
}

func newSearch(m *model, o Options) *search {
	s := &search{e: newEngine(m), most: o.Nodes, stop: o.Stop, floor: m.floor}
	if s.most <= 0 {
		s.most = DefaultNodes
	}
	s.w.load = make([]int, len(m.caps))
	s.rng = rand.New(rand.NewPCG(o.Seed, 0x9e3779b97f4a7c15))
	return s
}

func plain() float64 { return 1 }

// jitter multiplies by a random factor about 1.
func (s *search) jitter() float64 { return 0.5 + s.rng.Float64() }

// spend counts one node and reports whether the run must end.
func (s *search) spend() bool {
	s.nodes++
	if s.nodes >= s.most || s.stop != nil && s.nodes&31 == 0 && s.stop() {
		s.halt = true
	}
	return s.halt || s.nodes >= s.until
}

// done reports whether nothing better can exist.
func (s *search) done() bool { return s.best.found() && s.best.end <= s.floor }

// outcome of a run.
type outcome int

const (
	exhausted outcome = iota // every branch was closed
	cut                      // the run ended early
)

// run explores the node the engine stands at, which must be propagated, with
// at most nodes more nodes. The engine is left as it was found.
func (s *search) run(nodes int, noise func() float64) outcome {
	s.until, s.noise = s.nodes+nodes, noise
	mark := s.e.mark()
	got := s.dive(0)
	s.e.undo(mark)
	return got
}

func (s *search) level(depth int) *level {
	for len(s.levels) <= depth {
		s.levels = append(s.levels, level{})
	}
	return &s.levels[depth]
}

// dive closes the node the engine stands at: it branches on the first conflict,
// one order of two tasks of a minimal over-full set (or one mode) against its
// opposite, until no conflict is left or no way out. Changes stay on the trail.
func (s *search) dive(depth int) outcome {
	e := s.e
	for {
		if s.spend() {
			return cut
		}
		lv := s.level(depth)
		if !e.firstConflict(&lv.c, &s.w) {
			s.keep()
			if s.first || s.done() {
				return cut
			}
			return exhausted
		}
		lv.ways = e.waysOut(&lv.c, lv.ways, s.noise)
		if len(lv.ways) == 0 {
			return exhausted
		}
		way, task := lv.ways[0], lv.c.mode
		mark := e.mark()
		if s.take(way, task) && s.dive(depth+1) == cut {
			return cut
		}
		e.undo(mark)
		if !s.improve() || !s.refuse(way, task) {
			return exhausted
		}
	}
}

// improve asks the engine for a better End than the best, or for one as good.
func (s *search) improve() bool {
	if s.best.found() && !s.asGood {
		s.e.ub = min(s.e.ub, s.best.end-1)
	}
	return s.e.applyLimit()
}

// take follows a way.
func (s *search) take(w way, task int) bool {
	e := s.e
	ok := false
	if w.j < 0 {
		ok = e.allow(task, 1<<w.i)
	} else {
		ok = e.impose(int(w.i), int(w.j))
	}
	if !ok {
		e.drop()
		return false
	}
	return e.propagate()
}

// refuse imposes the opposite of a way.
func (s *search) refuse(w way, task int) bool {
	e := s.e
	ok := false
	if w.j < 0 {
		ok = e.allow(task, e.modes[task]&^(1<<w.i))
	} else {
		ok = e.bar(int(w.i), int(w.j))
	}
	if !ok {
		e.drop()
		return false
	}
	return e.propagate()
}

// keep records the earliest starts as the best plan.
func (s *search) keep() { s.best = planOf(s.e) }
