package schedule

import (
	"math/bits"
	"slices"
)

// A conflict is what keeps the earliest starts from being a schedule: a
// minimal over-full set of tasks that run at once, or a task whose mode is
// still open.
type conflict struct {
	set  []int32 // minimal over-full set, or
	mode int     // the task without a mode, -1 when set is given
}

// firstConflict sweeps the earliest starts in order of time. It returns false
// when they keep every capacity and every mode is settled.
func (e *engine) firstConflict(c *conflict, w *sweep) bool {
	e.sortOrder()
	w.active = w.active[:0]
	clear(w.load)
	for _, k := range e.order {
		md := e.only[k]
		if md == nil {
			c.mode, c.set = int(k), c.set[:0]
			return true
		}
		if len(md.uses) == 0 || md.at.dur == 0 {
			continue
		}
		e.retire(w, e.es[k])
		w.active = append(w.active, k)
		for _, u := range md.uses {
			w.load[u.Resource] += u.Amount
		}
		for _, u := range md.uses {
			if w.load[u.Resource] <= e.m.caps[u.Resource] || e.allFixed(w.active, u.Resource) {
				continue
			}
			c.mode = -1
			e.leastSet(c, w, u.Resource)
			return true
		}
	}
	return false
}

// A sweep is the room firstConflict works in.
type sweep struct {
	active  []int32
	load    []int
	members []int32
	trial   []int32
}

// sortOrder puts the tasks in order of earliest start, ties by number. The
// order of the node before is nearly right, so insertion is quick.
func (e *engine) sortOrder() {
	o := e.order
	for i := 1; i < len(o); i++ {
		k := o[i]
		j := i - 1
		for j >= 0 && (e.es[o[j]] > e.es[k] || e.es[o[j]] == e.es[k] && o[j] > k) {
			o[j+1] = o[j]
			j--
		}
		o[j+1] = k
	}
}

// retire takes tasks finished at time t out of the sweep.
func (e *engine) retire(w *sweep, t int) {
	kept := w.active[:0]
	for _, k := range w.active {
		if e.ef[k] > t {
			kept = append(kept, k)
			continue
		}
		for _, u := range e.only[k].uses {
			w.load[u.Resource] -= u.Amount
		}
	}
	w.active = kept
}

// allFixed reports whether only fixed tasks hold resource r.
func (e *engine) allFixed(active []int32, r int) bool {
	for _, k := range active {
		if !e.m.jobs[k].fixed && e.only[k].amount(r) > 0 {
			return false
		}
	}
	return true
}

// leastSet picks, from the active tasks, a minimal set that overfills r and
// leaves the fewest ways out; ties by the least room left.
func (e *engine) leastSet(c *conflict, w *sweep, r int) {
	w.members = w.members[:0]
	for _, k := range w.active {
		if e.only[k].amount(r) > 0 {
			w.members = append(w.members, k)
		}
	}
	best, bestRoom := -1, 0
	try := func(set []int32) {
		ways, room := e.ways(set)
		if best < 0 || ways < best || ways == best && room < bestRoom {
			best, bestRoom = ways, room
			c.set = append(c.set[:0], set...)
		}
	}
	pairs := false
	for a, i := range w.members {
		for _, j := range w.members[a+1:] {
			if e.only[i].amount(r)+e.only[j].amount(r) > e.m.caps[r] && !(e.m.jobs[i].fixed && e.m.jobs[j].fixed) {
				pairs = true
				try([]int32{i, j})
			}
		}
	}
	if pairs {
		return
	}
	orders := [...]func(i, j int32) int{
		func(i, j int32) int { return e.only[j].amount(r) - e.only[i].amount(r) },
		func(i, j int32) int { return e.ls[i] - e.ls[j] },
		func(i, j int32) int { return e.ls[j] - e.ls[i] },
	}
	for _, by := range orders {
		slices.SortStableFunc(w.members, by)
		w.trial = e.shrink(append(w.trial[:0], w.members...), r)
		try(w.trial)
	}
}

// shrink keeps the shortest prefix that overfills r and then drops, from the
// front, every task it can do without. A free task always stays.
func (e *engine) shrink(set []int32, r int) []int32 {
	sum, free := 0, 0
	for k, i := range set {
		sum += e.only[i].amount(r)
		if !e.m.jobs[i].fixed {
			free++
		}
		if sum > e.m.caps[r] && free > 0 {
			set = set[:k+1]
			break
		}
	}
	kept := set[:0]
	for _, i := range set {
		a := e.only[i].amount(r)
		lone := free == 1 && !e.m.jobs[i].fixed
		if sum-a > e.m.caps[r] && !lone {
			sum -= a
			if !e.m.jobs[i].fixed {
				free--
			}
			continue
		}
		kept = append(kept, i)
	}
	return kept
}

// ways counts the orders of two tasks of the set that are still possible, and
// the room they leave together.
func (e *engine) ways(set []int32) (ways, room int) {
	for _, i := range set {
		for _, j := range set {
			if i != j && e.mayPrecede(int(i), int(j)) {
				ways++
				room += e.ls[j] - e.ef[i]
			}
		}
	}
	return ways, room
}

// A way is one branch out of a conflict: an order i before j, or a mode.
type way struct {
	i, j int32 // order; j < 0: mode i of the task
	key  float64
}

// waysOut lists the branches of a conflict, best first.
func (e *engine) waysOut(c *conflict, buf []way, noise func() float64) []way {
	buf = buf[:0]
	if c.mode >= 0 {
		for set := e.modes[c.mode]; set != 0; set &= set - 1 {
			k := bits.TrailingZeros64(set)
			buf = append(buf, way{int32(k), -1, float64(e.vacant(c.mode, k)) * noise()})
		}
	} else {
		for _, i := range c.set {
			for _, j := range c.set {
				if i != j && e.mayPrecede(int(i), int(j)) {
					room := float64(e.ls[j] - e.ef[i])
					buf = append(buf, way{i, j, -(room + 1) * noise()})
				}
			}
		}
	}
	slices.SortStableFunc(buf, func(a, b way) int {
		switch {
		case a.key < b.key:
			return -1
		case a.key > b.key:
			return 1
		}
		return 0
	})
	return buf
}

// vacant estimates how long after its earliest start task i would finish in
// mode k: the first start at which no settled task at its own earliest time is
// in the way.
func (e *engine) vacant(i, k int) int {
	md := &e.m.jobs[i].modes[k]
	s := md.at.next(e.es[i])
	for again := true; again && s < far; {
		again = false
		f := md.at.finish(s)
		for j := range e.only {
			o := e.only[j]
			if j == i || o == nil || e.ef[j] <= s || e.es[j] >= f || !e.m.clash(md, o) {
				continue
			}
			s, again = md.at.next(e.ef[j]), true
			break
		}
	}
	if s >= far {
		return far
	}
	return md.at.finish(s) - e.es[i]
}
