package schedule

import "slices"

// neighbours improves the best plan by freeing some of its tasks and solving
// again with the order of the others kept (Palpant, Artigues, Michelon 2004),
// spending at most the given nodes.
func (s *search) neighbours(nodes int) {
	if !s.best.found() {
		return
	}
	end := s.nodes + nodes
	size := 8
	defer func() { s.asGood, s.first = false, false }()
	for k := 0; s.nodes < end && !s.halt && !s.done(); k++ {
		before := s.best.end
		s.asGood = k%2 == 0
		s.first = s.asGood
		s.e.ub = before
		got := s.neighbour(size, 200)
		if s.best.end < before {
			continue
		}
		if got == exhausted && size < s.e.n {
			size++
		} else if size > 4 {
			size--
		}
	}
}

// neighbour frees about size tasks and searches once.
func (s *search) neighbour(size, nodes int) outcome {
	e := s.e
	mark := e.mark()
	defer e.undo(mark)
	s.nodes++
	if !s.improve() {
		return exhausted
	}
	free := s.pick(size)
	for i := range free {
		if !free[i] && e.only[i] == nil && !e.allow(i, 1<<s.best.mode[i]) {
			e.drop()
			return exhausted
		}
	}
	for _, p := range chain(e.m, s.best, free) {
		if !e.precedes(p[0], p[1]) && !e.impose(p[0], p[1]) {
			e.drop()
			return exhausted
		}
	}
	if !e.propagate() {
		return exhausted
	}
	return s.run(nodes, s.jitter)
}

// pick chooses the tasks to free: those that run near a moment of the plan.
func (s *search) pick(size int) []bool {
	n := s.e.n
	free := make([]bool, n)
	at := s.rng.IntN(n)
	mid := s.best.start[at]
	order := make([]int, n)
	for i := range order {
		order[i] = i
	}
	dist := func(i int) int {
		switch {
		case s.best.finish[i] < mid:
			return mid - s.best.finish[i]
		case s.best.start[i] > mid:
			return s.best.start[i] - mid
		}
		return 0
	}
	slices.SortStableFunc(order, func(a, b int) int { return dist(a) - dist(b) })
	for _, i := range order[:min(size, n)] {
		free[i] = true
	}
	for k := 0; k < size/3; k++ {
		free[s.rng.IntN(n)] = true
	}
	return free
}

// build looks for better plans with the serial builder: the order of the plan
// it stands at, a little disturbed, is built and justified again. Where that
// has found nothing earlier for a while it begins anew from a random order.
// One node buys several buildings.
func (s *search) build(b *serial, nodes int) {
	if s.best.found() && (!b.now.found() || s.best.end < b.now.end) {
		b.now, b.missed = s.best, 0
	}
	rank := make([]float64, s.e.n)
	for range nodes {
		if s.halt || s.done() {
			return
		}
		for range buildings {
			s.rebuild(b, rank)
		}
		s.spend()
	}
}

const (
	buildings   = 2   // for a node of the learner
	patientWith = 400 // buildings without an earlier End before a new order
)

// rebuild makes one plan and justifies it until that no longer helps.
func (s *search) rebuild(b *serial, rank []float64) {
	if b.missed++; b.missed > patientWith {
		b.now, b.missed = plan{}, 0
	}
	if b.now.found() {
		s.disturb(rank, b.now)
	} else {
		for i := range rank {
			rank[i] = float64(s.e.ls[i]) * s.jitter()
		}
	}
	if !b.forward(rank) {
		return
	}
	a := b.plan()
	for b.justify() {
		for i := range rank {
			rank[i] = float64(b.start[i])
		}
		if !b.forward(rank) {
			break
		}
		c := b.plan()
		if c.end >= a.end {
			break
		}
		a = c
	}
	if !b.now.found() || a.end <= b.now.end {
		if !b.now.found() || a.end < b.now.end {
			b.missed = 0
		}
		b.now = a
	}
	if a.end <= s.e.m.limit && (!s.best.found() || a.end < s.best.end) {
		s.best = a
	}
}

// disturb ranks the tasks by their starts, some of them moved a little.
func (s *search) disturb(rank []float64, a plan) {
	n := len(rank)
	span := float64(a.end-slices.Min(a.start)) + 1
	for i := range rank {
		rank[i] = float64(a.start[i])
	}
	for range 1 + s.rng.IntN(max(n/5, 2)) {
		rank[s.rng.IntN(n)] += (s.rng.Float64() - 0.5) * span * 0.4
	}
}
