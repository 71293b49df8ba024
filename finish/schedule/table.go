package schedule

import "slices"

// A table watches one resource of which several tasks may hold a part at once:
// at every minute the tasks that run then for certain may not hold more than
// there is, and no other may join where it finds no room.
//
// Source: time-table reasoning with pointwise explanations, Schutt, Feydy,
// Stuckey, Wallace (2011), Constraints 16:250-282 (from memory).
type table struct {
	r     int
	tasks []int32
}

// tables lists the resources that orders of pairs do not settle already.
func (m *model) tables() []table {
	var out []table
	for r := range m.caps {
		t := table{r: r}
		together := false
		for i := range m.jobs {
			if m.jobs[i].most(r) == 0 || m.jobs[i].shortest == 0 {
				continue
			}
			for _, j := range t.tasks {
				together = together || m.jobs[i].least(r)+m.jobs[j].least(r) <= m.caps[r]
			}
			t.tasks = append(t.tasks, int32(i))
		}
		if together {
			out = append(out, t)
		}
	}
	return out
}

// most and least are the largest and the smallest amount of r over the modes.
func (j *job) most(r int) int {
	a := 0
	for k := range j.modes {
		a = max(a, j.modes[k].amount(r))
	}
	return a
}

func (j *job) least(r int) int {
	a := j.modes[0].amount(r)
	for k := range j.modes {
		a = min(a, j.modes[k].amount(r))
	}
	return a
}

// A part is the stretch in which a task runs for certain: from its latest
// start to its earliest finish.
type part struct {
	task     int32
	from, to int
	amount   int
}

// A segment is a stretch of constant load.
type segment struct {
	from, to, load int
}

// mirror copies a bound that moved into the view.
func (l *learner) mirror(side int32) {
	x := side / 2
	if i := l.owner[x]; i >= 0 {
		l.mirrorTask(i)
		return
	}
	if i := l.task[x]; i >= 0 {
		var set uint64
		for k, y := range l.mode[i] {
			if l.hi(y) == 1 {
				set |= 1 << k
			}
		}
		if set != 0 { // else a failure is on its way
			l.view.setModes(int(i), set)
		}
		return
	}
	if o := &l.orders[x]; o.i >= 0 {
		d := uint8(0)
		switch {
		case l.lo(x) == 1:
			d = imposed
		case l.hi(x) == 0:
			d = barred
		}
		l.view.pair[int(o.i)*l.n+int(o.j)] = d
	}
}

func (l *learner) mirrorTask(i int32) {
	v, f := l.view, l.fin[i]
	v.es[i], v.ls[i] = l.lo(i), l.hi(i)
	v.ef[i], v.lf[i] = l.lo(f.x)+f.add, l.hi(f.x)+f.add
}

// findWatched lists, for every task, the tables and loads that count it.
func (l *learner) findWatched() {
	l.watched = make([][]int32, l.n)
	l.isStale = make([]bool, len(l.tables)+len(l.m.loads))
	for k := range l.isStale {
		for _, i := range l.tasksOf(k) {
			l.watched[i] = append(l.watched[i], int32(k))
		}
	}
}

// tasksOf returns the tasks of the k-th of all tables and loads.
func (l *learner) tasksOf(k int) []int32 {
	if k < len(l.tables) {
		return l.tables[k].tasks
	}
	return l.m.loads[k-len(l.tables)].tasks
}

// spoil marks what counts task i.
func (l *learner) spoil(i int32) {
	for _, k := range l.watched[i] {
		if !l.isStale[k] {
			l.isStale[k] = true
			l.stale = append(l.stale, k)
		}
	}
}

// lookAtStale looks at the first table or load that is stale; the tables come
// first. What it draws is followed up before the next.
func (l *learner) lookAtStale() bool {
	at := 0
	for j, k := range l.stale {
		if k < l.stale[at] {
			at = j
		}
	}
	k := l.stale[at]
	l.stale = slices.Delete(l.stale, at, at+1)
	l.isStale[k] = false
	if int(k) < len(l.tables) {
		return l.lookAtTable(&l.tables[k])
	}
	return l.lookAtLoad(int(k) - len(l.tables))
}

func (l *learner) lookAtTable(t *table) bool {
	v := l.view
	l.parts = l.parts[:0]
	for _, i := range t.tasks {
		if md := v.only[i]; md != nil && v.ls[i] < v.ef[i] {
			if a := md.amount(t.r); a > 0 {
				l.parts = append(l.parts, part{i, v.ls[i], v.ef[i], a})
			}
		}
	}
	if len(l.parts) == 0 {
		return true
	}
	l.segment()
	limit := l.m.caps[t.r]
	for _, s := range l.segments {
		if s.load > limit && !l.onlyFixed(s.from) {
			l.broken = l.blame(l.broken[:0], -1, s.from, t.r, limit)
			return false
		}
	}
	for _, i := range t.tasks {
		md := v.only[i]
		if md == nil || v.es[i] == v.ls[i] || l.m.jobs[i].fixed {
			continue
		}
		if a := md.amount(t.r); a > 0 && (!l.pushUp(i, a, t.r, limit) || !l.pushDown(i, a, t.r, limit)) {
			return false
		}
	}
	return true
}

// segment turns the parts into segments of constant load, ascending.
func (l *learner) segment() {
	l.edges = l.edges[:0]
	for _, p := range l.parts {
		l.edges = append(l.edges, segment{from: p.from, load: p.amount}, segment{from: p.to, load: -p.amount})
	}
	slices.SortFunc(l.edges, func(a, b segment) int { return a.from - b.from })
	l.segments = l.segments[:0]
	load := 0
	for k, e := range l.edges {
		load += e.load
		if k+1 < len(l.edges) && l.edges[k+1].from > e.from && load > 0 {
			l.segments = append(l.segments, segment{e.from, l.edges[k+1].from, load})
		}
	}
}

// onlyFixed reports whether only fixed tasks run for certain at t.
func (l *learner) onlyFixed(t int) bool {
	for _, p := range l.parts {
		if p.from <= t && t < p.to && !l.m.jobs[p.task].fixed {
			return false
		}
	}
	return true
}

// blame appends why more than limit of r is held at minute t by the parts,
// without the task but.
func (l *learner) blame(out []atom, but int32, t, r, limit int) []atom {
	sum, free := 0, but >= 0
	for pass := 0; pass < 2; pass++ {
		for _, p := range l.parts {
			fixed := l.m.jobs[p.task].fixed
			if p.task == but || t < p.from || t >= p.to || fixed != (pass == 1) || sum > limit && free {
				continue
			}
			sum += p.amount
			free = free || !fixed
			out = l.runsAt(out, p.task, t, r)
		}
	}
	return out
}

// runsAt appends the atoms that make task i hold r at minute t.
func (l *learner) runsAt(out []atom, i int32, t, r int) []atom {
	f := l.fin[i]
	out = append(out, atMost(i, t), atLeast(f.x, t+1-f.add))
	return l.uses(out, i, r)
}

// uses appends the atom that settles how much of r task i holds, if its modes
// differ in that.
func (l *learner) uses(out []atom, i int32, r int) []atom {
	if l.mode[i] != nil && l.m.jobs[i].most(r) != l.m.jobs[i].least(r) {
		out = append(out, yes(l.mode[i][l.view.modeOf(int(i))]))
	}
	return out
}

// pushUp starts task i after the segments that leave no room for it.
func (l *learner) pushUp(i int32, amount, r, limit int) bool {
	v, f := l.view, l.fin[i]
	own := part{from: v.ls[i], to: v.ef[i]}
	for _, s := range l.segments {
		if s.from >= v.ef[i] {
			break
		}
		load := s.load
		if own.from <= s.from && s.to <= own.to {
			load -= amount
		}
		if load+amount <= limit {
			continue
		}
		for s.to > v.es[i] && s.from < v.ef[i] {
			t := min(s.to, v.ef[i]) - 1
			if t < v.es[i] {
				break
			}
			from := int32(len(l.written))
			l.written = append(l.written, atLeast(f.x, t+1-f.add))
			l.written = l.uses(l.written, i, r)
			l.written = l.blame(l.written, i, t, r, limit-amount)
			if !l.raise(2*i, t+1, reason{kind: whyAtoms, from: from, to: int32(len(l.written)), cond: -1}) {
				return false
			}
		}
	}
	return true
}

// pushDown finishes task i before the segments that leave no room for it.
func (l *learner) pushDown(i int32, amount, r, limit int) bool {
	v, f := l.view, l.fin[i]
	own := part{from: v.ls[i], to: v.ef[i]}
	for k := len(l.segments) - 1; k >= 0; k-- {
		s := l.segments[k]
		if s.to <= v.ls[i] {
			break
		}
		load := s.load
		if own.from <= s.from && s.to <= own.to {
			load -= amount
		}
		if load+amount <= limit {
			continue
		}
		for s.to > v.ls[i] && s.from < v.lf[i] {
			t := max(s.from, v.ls[i])
			if t >= v.lf[i] {
				break
			}
			from := int32(len(l.written))
			l.written = append(l.written, atMost(i, t))
			l.written = l.uses(l.written, i, r)
			l.written = l.blame(l.written, i, t, r, limit-amount)
			if !l.raise(2*f.x+1, f.add-t, reason{kind: whyAtoms, from: from, to: int32(len(l.written)), cond: -1}) {
				return false
			}
		}
	}
	return true
}

// blameLoad writes why the tasks of a load need too much between a and b: as
// few tasks as will do, and the widest interval that still cannot hold them.
func (l *learner) blameLoad(ld *load, a, b, over int) {
	v := l.view
	l.members = l.members[:0]
	need := 0
	for k, i := range ld.tasks {
		n := ld.needs(k, v.only[i])
		if v.es[i] < a || v.latest(ld, i) > b || n == 0 {
			continue
		}
		if n < over {
			over -= n
			continue
		}
		l.members = append(l.members, i)
		need += n
	}
	lo, hi := l.base[2*l.members[0]], b
	for _, i := range l.members {
		f := l.endOf(ld, i)
		lo = min(lo, l.base[2*i])
		hi = max(hi, -l.base[2*f.x+1]+f.add)
	}
	a -= widest(a-lo, func(d int) bool { return ld.within(a-d, b) < need })
	b += widest(hi-b, func(d int) bool { return ld.within(a, b+d) < need })
	l.broken = l.broken[:0]
	for _, i := range l.members {
		f := l.endOf(ld, i)
		l.broken = append(l.broken, atLeast(i, a), atMost(f.x, b-f.add))
		l.broken = l.needsMode(l.broken, ld, int32(slices.Index(ld.tasks, i)))
	}
}

// widest returns the largest d from 0 to most for which ok holds; it holds at
// 0 and, where it fails, also further on.
func widest(most int, ok func(d int) bool) int {
	lo, hi := 0, max(most, 0)
	for lo < hi {
		d := lo + (hi-lo+1)/2
		if ok(d) {
			lo = d
		} else {
			hi = d - 1
		}
	}
	return lo
}
