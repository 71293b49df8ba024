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
