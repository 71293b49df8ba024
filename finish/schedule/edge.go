package schedule

import "sort"

// lookAtLoad fails where a load does not pass, and moves tasks that cannot lie
// within an interval together with those that must. Say a set must lie within
// [a, b) and task i, which cannot start before a, does not fit in with it: then
// i finishes after b, and where tasks run one at a time it starts only when the
// whole set is done. The same holds backwards.
//
// Source: edge finding (Carlier, Pinson 1989, Manage. Sci. 35:164-176), here
// with what working windows can give in place of plain length.
func (l *learner) lookAtLoad(at int) bool {
	ld, most := &l.m.loads[at], l.view.itemsByFinish(at)
	if len(l.view.items) < 2 {
		return true
	}
	if !l.edgesUp(ld, l.view.items, most) {
		return false
	}
	l.view.itemsByBegin(at)
	return l.edgesDown(ld, l.view.items, most)
}

// edgesUp takes the items in order of latest finish.
func (l *learner) edgesUp(ld *load, items []item, most int) bool {
	for f := range items {
		a, sum := items[f].es, 0
		if f > 0 && items[f-1].es == a {
			continue
		}
		for k := range items {
			if items[k].es < a {
				continue
			}
			sum += items[k].need
			b := items[k].lf
			if k+1 < len(items) && items[k+1].lf == b {
				continue
			}
			slack := l.view.gives(ld, f, k) - sum
			if slack >= most {
				continue
			}
			if slack < 0 {
				l.blameLoad(ld, a, b, -slack)
				return false
			}
			for _, it := range items[k+1:] {
				if it.es >= a && it.need > slack && it.es < b && !l.pushAfter(ld, items[:k+1], it, a, b, sum) {
					return false
				}
			}
		}
	}
	return true
}

// pushAfter draws that item i finishes after b, since the items within [a, b)
// leave no room for it.
func (l *learner) pushAfter(ld *load, items []item, i item, a, b, sum int) bool {
	side, v := 2*i.task, 0
	if ld.one {
		v = ld.done(a, b, sum)
	} else {
		f := l.endOf(ld, i.task)
		side, v = 2*f.x, b+1-f.add
	}
	if v <= l.val[side] {
		return true
	}
	from := l.writeEdge(ld, items, i, a, b)
	l.written = append(l.written, atLeast(i.task, a))
	return l.raise(side, v, reason{kind: whyAtoms, from: from, to: int32(len(l.written)), cond: -1})
}

// edgesDown takes the items in order of earliest start.
func (l *learner) edgesDown(ld *load, items []item, most int) bool {
	for f := range items {
		b, sum := items[f].lf, 0
		if f > 0 && items[f-1].lf == b {
			continue
		}
		for k := len(items) - 1; k >= 0; k-- {
			if items[k].lf > b {
				continue
			}
			sum += items[k].need
			a := items[k].es
			if k > 0 && items[k-1].es == a {
				continue
			}
			slack := l.view.gives(ld, k, f) - sum
			if slack >= most {
				continue
			}
			if slack < 0 { // only after edgesUp has moved something
				l.blameLoad(ld, a, b, -slack)
				return false
			}
			for _, it := range items[:k] {
				if it.lf <= b && it.need > slack && it.lf > a && !l.pushBefore(ld, items[k:], it, a, b, sum) {
					return false
				}
			}
		}
	}
	return true
}

// pushBefore draws that item i starts before a.
func (l *learner) pushBefore(ld *load, items []item, i item, a, b, sum int) bool {
	side, v := 2*i.task+1, 1-a
	f := l.endOf(ld, i.task)
	if ld.one {
		side, v = 2*f.x+1, f.add-ld.begun(a, b, sum)
	}
	if v <= l.val[side] {
		return true
	}
	from := l.writeEdge(ld, items, i, a, b)
	l.written = append(l.written, atMost(f.x, b-f.add))
	return l.raise(side, v, reason{kind: whyAtoms, from: from, to: int32(len(l.written)), cond: -1})
}

// writeEdge writes that the items of the set lie within [a, b), and the needs
// that rest on modes. It returns where it began to write.
func (l *learner) writeEdge(ld *load, items []item, i item, a, b int) int32 {
	from := int32(len(l.written))
	for _, it := range items {
		if it.es < a || it.lf > b {
			continue
		}
		f := l.endOf(ld, it.task)
		l.written = append(l.written, atLeast(it.task, a), atMost(f.x, b-f.add))
		l.written = l.needsMode(l.written, ld, it.k)
	}
	l.written = l.needsMode(l.written, ld, i.k)
	return from
}

// needsMode appends the mode that makes the k-th task of a load need more than
// its least.
func (l *learner) needsMode(out []atom, ld *load, k int32) []atom {
	i := ld.tasks[k]
	if md := l.view.only[i]; l.mode[i] != nil && md != nil && ld.needs(int(k), md) != ld.least[k] {
		out = append(out, yes(l.mode[i][l.view.modeOf(int(i))]))
	}
	return out
}

// endOf is the end of the interval in which a load counts task i: its finish,
// or the minute after its start.
func (l *learner) endOf(ld *load, i int32) point {
	if ld.slots {
		return point{i, 1}
	}
	return l.fin[i]
}

// done returns the first minute by which the load can give sum from a on, at
// most b, by which it can.
func (l *load) done(a, b, sum int) int {
	if l.give[0].win == nil {
		return a + sum // sum is made of whole tasks
	}
	return a + sort.Search(b-a, func(d int) bool { return l.within(a, a+d) >= sum })
}

// begun returns the last minute from which the load can still give sum until
// b, at least a, from which it can.
func (l *load) begun(a, b, sum int) int {
	if l.give[0].win == nil {
		return b - sum
	}
	return b - sort.Search(b-a, func(d int) bool { return l.within(b-d, b) >= sum })
}
