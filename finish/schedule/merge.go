package schedule

import "slices"

// A crew is a set of interchangeable resources that the search may count as
// one: any tasks that never overfill the sum can be shared out among the
// members, earliest first (colouring of an interval graph).
type crew struct {
	members []int
}

// mergeCrews replaces interchangeable resources by one resource with their
// summed capacity (the first member; the others get capacity 0 and are not
// used) and says how.
func mergeCrews(p Problem) (Problem, []crew) {
	var crews []crew
	taken := make([]bool, len(p.Resources))
	for r := range p.Resources {
		if taken[r] {
			continue
		}
		c := crew{members: []int{r}}
		for q := r + 1; q < len(p.Resources); q++ {
			if !taken[q] && alike(p, r, q) && (crew{[]int{r, q}}).mergeable(p) {
				c.members = append(c.members, q)
			}
		}
		if len(c.members) == 1 {
			continue
		}
		for _, q := range c.members {
			taken[q] = true
		}
		crews = append(crews, c)
	}
	for _, c := range crews {
		p = c.merge(p)
	}
	return p, crews
}

// alike reports whether two resources could change names.
func alike(p Problem, a, b int) bool {
	x, y := p.Resources[a], p.Resources[b]
	if x.Capacity != y.Capacity || x.Person != y.Person {
		return false
	}
	if x.Calendar == y.Calendar {
		return true
	}
	return x.Calendar != AnyTime && y.Calendar != AnyTime &&
		slices.Equal(Union(p.Calendars[x.Calendar]), Union(p.Calendars[y.Calendar]))
}

// mergeable reports whether every task treats the members alike: it uses one
// unit of any one of them, or has already begun at the start of the problem.
func (c crew) mergeable(p Problem) bool {
	begun := map[int]int{}
	for _, t := range p.Tasks {
		if at, ok := t.Fixed.Get(); ok {
			if at+t.Duration <= p.Start && !t.Pausing {
				continue
			}
			for _, u := range t.Uses {
				if !c.has(u.Resource) || u.Amount == 0 {
					continue
				}
				begun[u.Resource]++
				if at > p.Start || u.Amount != 1 || begun[u.Resource] > p.Resources[u.Resource].Capacity {
					return false
				}
			}
			for _, choice := range t.Choices {
				if slices.ContainsFunc(choice, func(u Use) bool { return c.has(u.Resource) }) {
					return false
				}
			}
			continue
		}
		if slices.ContainsFunc(t.Uses, func(u Use) bool { return c.has(u.Resource) }) {
			return false
		}
		if !c.evenly(t) {
			return false
		}
	}
	return true
}

func (c crew) has(r int) bool { return slices.Contains(c.members, r) }

// evenly reports whether the choices of t name one unit of every member in
// turn with the same other uses.
func (c crew) evenly(t Task) bool {
	rests := map[int][][]Use{} // by member: the other uses, in order of choice
	for _, choice := range t.Choices {
		member, rest := -1, []Use{}
		for _, u := range choice {
			if !c.has(u.Resource) {
				rest = append(rest, u)
				continue
			}
			if member >= 0 || u.Amount != 1 {
				return false
			}
			member = u.Resource
		}
		if member >= 0 {
			rests[member] = append(rests[member], rest)
		}
	}
	for _, m := range c.members {
		if !slices.EqualFunc(rests[m], rests[c.members[0]], slices.Equal) {
			return false
		}
	}
	return true
}

// merge gives the first member the capacity of all and drops the choices that
// name another.
func (c crew) merge(p Problem) Problem {
	p.Resources = slices.Clone(p.Resources)
	first := c.members[0]
	for _, m := range c.members[1:] {
		p.Resources[first].Capacity += p.Resources[m].Capacity
		p.Resources[m].Capacity = 0
	}
	p.Tasks = slices.Clone(p.Tasks)
	for i, t := range p.Tasks {
		if _, fixed := t.Fixed.Get(); fixed {
			t.Uses = slices.Clone(t.Uses)
			for k := range t.Uses {
				if c.has(t.Uses[k].Resource) {
					t.Uses[k].Resource = first
				}
			}
			p.Tasks[i] = t
			continue
		}
		var kept [][]Use
		for _, choice := range t.Choices {
			if !slices.ContainsFunc(choice, func(u Use) bool { return c.has(u.Resource) && u.Resource != first }) {
				kept = append(kept, choice)
			}
		}
		p.Tasks[i].Choices = kept
	}
	return p
}

// share names the members again: it returns the choice of every task in p,
// given a plan of the merged problem q. Tasks go, in order of start, to the
// free member who finished last, so that one person works on where possible.
func share(p, q Problem, crews []crew, a plan) []int {
	choice := make([]int, len(p.Tasks))
	uses := make([][]Use, len(p.Tasks))
	for i, t := range q.Tasks {
		choice[i] = -1
		if len(t.Choices) > 0 {
			uses[i] = slices.Clone(t.Choices[a.mode[i]])
		}
	}
	order := byStart(a.start)
	for _, c := range crews {
		c.share(p, a, order, uses)
	}
	for i, t := range p.Tasks {
		if len(t.Choices) > 0 {
			want := together(uses[i], nil)
			choice[i] = slices.IndexFunc(t.Choices, func(o []Use) bool { return slices.Equal(together(o, nil), want) })
		}
	}
	return choice
}

// byStart returns the task numbers in order of start, ties by number.
func byStart(start []int) []int {
	order := make([]int, len(start))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int { return start[i] - start[j] })
	return order
}

func (c crew) share(p Problem, a plan, order []int, uses [][]Use) {
	type hold struct{ member, finish int }
	var holds []hold
	last := map[int]int{}
	for _, m := range c.members {
		last[m] = -far
	}
	take := func(m, i int) {
		if a.finish[i] > a.start[i] {
			holds = append(holds, hold{m, a.finish[i]})
			last[m] = max(last[m], a.finish[i])
		}
	}
	for i, t := range p.Tasks {
		if _, fixed := t.Fixed.Get(); !fixed || a.finish[i] <= p.Start {
			continue
		}
		for _, u := range t.Uses {
			if c.has(u.Resource) && u.Amount > 0 {
				take(u.Resource, i)
			}
		}
	}
	for _, i := range order {
		k := slices.IndexFunc(uses[i], func(u Use) bool { return u.Resource == c.members[0] && u.Amount > 0 })
		if _, fixed := p.Tasks[i].Fixed.Get(); fixed || k < 0 {
			continue
		}
		busy := map[int]int{}
		for _, h := range holds {
			if h.finish > a.start[i] {
				busy[h.member]++
			}
		}
		best := -1
		for _, m := range c.members {
			if busy[m] < p.Resources[m].Capacity && (best < 0 || last[m] > last[best]) {
				best = m
			}
		}
		if best < 0 {
			best = c.members[0] // a milestone while all are busy
		}
		uses[i][k].Resource = best
		take(best, i)
	}
}
