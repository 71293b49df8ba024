package schedule

import "slices"

// A serial builder places tasks one by one, each as early as the tasks placed
// before it allow (serial schedule generation, Kolisch and Hartmann 1999), and
// improves a plan by placing all tasks as late and then as early as possible
// again (double justification, Valls, Ballestin, Quintanilla 2005). It knows
// maximum lags only as a reason to begin again with a later start, so it is
// quick where they are few and gives up where they rule.
type serial struct {
	m     *model
	e     *engine // the root: bounds and gaps
	lo    []int   // earliest start asked of every task
	next  [][]int32
	preds []int
	in    [][]arc // arcs by target: arc.to is the source
	out   [][]arc
	holds []profile

	start, finish []int
	mode          []int
	placed        []bool
	left          []int

	now    plan // the plan the next one is made from; none: a random order
	missed int  // buildings since it last ended earlier
}

func newSerial(e *engine) *serial {
	n := e.n
	b := &serial{
		m: e.m, e: e, lo: make([]int, n), next: make([][]int32, n), preds: make([]int, n),
		in: make([][]arc, n), out: make([][]arc, n), holds: make([]profile, len(e.m.caps)),
		start: make([]int, n), finish: make([]int, n), mode: make([]int, n),
		placed: make([]bool, n), left: make([]int, n),
	}
	for _, l := range e.m.arcs {
		b.out[l.from] = append(b.out[l.from], l.arc)
		b.in[l.to] = append(b.in[l.to], arc{l.from, l.ends, l.w})
	}
	for i := range n {
		for j := range n {
			if ij, ji := e.gap[i*n+j], e.gap[j*n+i]; i != j && (ij > 0 || ij == 0 && ji < 0) {
				b.next[i] = append(b.next[i], int32(j))
				b.preds[j]++
			}
		}
	}
	return b
}

// forward places all tasks as early as possible, in order of rank where the
// lags leave a choice. It reports false when it gives up.
func (b *serial) forward(rank []float64) bool {
	for i := range b.lo {
		b.lo[i] = b.e.es[i]
	}
	for range serialTries {
		late, at := b.placeAll(rank)
		if late < 0 {
			return true
		}
		if at > b.e.ls[late] {
			return false
		}
		b.lo[late] = at // begin again with the task a maximum lag called for later
	}
	return false
}

// serialTries is how often one building may begin again.
const serialTries = 20

// placeAll returns a task that must start later, and when; -1 when all are
// placed.
func (b *serial) placeAll(rank []float64) (late, at int) {
	b.clear()
	copy(b.left, b.preds)
	for range b.left {
		best := -1
		for i, c := range b.left {
			if c == 0 && !b.placed[i] && (best < 0 || rank[i] < rank[best]) {
				best = i
			}
		}
		if !b.placeEarly(best) {
			return best, far
		}
		if late, at := b.tooEarly(best); late >= 0 {
			return late, at
		}
		for _, j := range b.next[best] {
			b.left[j]--
		}
	}
	return -1, 0
}

func (b *serial) clear() {
	for r := range b.holds {
		b.holds[r].clear()
	}
	clear(b.placed)
}

// placeEarly places task i in the mode that finishes it first.
func (b *serial) placeEarly(i int) bool {
	s, f := b.lo[i], -far
	for _, a := range b.in[i] {
		if !b.placed[a.to] {
			continue
		}
		v := b.value(int(a.to), a.ends&fromFinish != 0) + a.w
		if a.ends&toFinish != 0 {
			f = max(f, v)
		} else {
			s = max(s, v)
		}
	}
	best := -1
	for k := range b.m.jobs[i].modes {
		if b.e.modes[i]>>k&1 == 0 {
			continue
		}
		md := &b.m.jobs[i].modes[k]
		at := b.early(md, max(s, md.at.startFor(f)))
		if at >= far {
			continue
		}
		if fin := md.at.finish(at); best < 0 || fin < b.finish[i] {
			best, b.start[i], b.finish[i] = k, at, fin
		}
	}
	if best < 0 {
		return false
	}
	b.mode[i] = best
	b.hold(i)
	return true
}

func (b *serial) value(i int, finish bool) int {
	if finish {
		return b.finish[i]
	}
	return b.start[i]
}

// hold books what task i uses.
func (b *serial) hold(i int) {
	b.placed[i] = true
	for _, u := range b.m.jobs[i].modes[b.mode[i]].uses {
		b.holds[u.Resource].add(b.start[i], b.finish[i], u.Amount)
	}
}

// early returns the first start of a mode at or after s that finds room.
func (b *serial) early(md *mode, s int) int {
	for {
		s = md.at.next(s)
		if s >= far {
			return far
		}
		f, later := md.at.finish(s), s
		for _, u := range md.uses {
			later = max(later, b.holds[u.Resource].roomFrom(s, f, b.m.caps[u.Resource]-u.Amount))
		}
		if later == s {
			return s
		}
		s = later
	}
}

// late returns the last start of a mode at or before s that finds room.
func (b *serial) late(md *mode, s int) int {
	for {
		s = md.at.prev(s)
		if s <= -far {
			return -far
		}
		f := md.at.finish(s)
		before := f
		for _, u := range md.uses {
			before = min(before, b.holds[u.Resource].roomUntil(s, f, b.m.caps[u.Resource]-u.Amount))
		}
		if before == f {
			return s
		}
		s = md.at.startBy(before)
	}
}

// tooEarly returns a placed task that an arc from task i calls for later.
func (b *serial) tooEarly(i int) (late, at int) {
	for _, a := range b.out[i] {
		j := int(a.to)
		if !b.placed[j] {
			continue
		}
		v := b.value(i, a.ends&fromFinish != 0) + a.w
		if a.ends&toFinish != 0 {
			if b.finish[j] < v {
				return j, b.m.jobs[j].modes[b.mode[j]].at.startFor(v)
			}
		} else if b.start[j] < v {
			return j, v
		}
	}
	return -1, 0
}

// justify places all tasks as late as possible before the End, keeping modes,
// in order of finish from the last. It reports false when it gives up.
func (b *serial) justify() bool {
	end := slices.Max(b.finish)
	order := make([]int, len(b.finish))
	for i := range order {
		order[i] = i
	}
	old := slices.Clone(b.finish)
	slices.SortStableFunc(order, func(i, j int) int { return old[j] - old[i] })
	b.clear()
	for _, i := range order {
		if !b.placeLate(i, end) {
			return false
		}
	}
	return true
}

// placeLate places task i as late as the placed tasks and End allow.
func (b *serial) placeLate(i, end int) bool {
	s, f := b.e.ls[i], min(b.e.lf[i], max(end, b.finish[i]))
	for _, a := range b.out[i] {
		if !b.placed[a.to] {
			continue
		}
		v := b.value(int(a.to), a.ends&toFinish != 0) - a.w
		if a.ends&fromFinish != 0 {
			f = min(f, v)
		} else {
			s = min(s, v)
		}
	}
	md := &b.m.jobs[i].modes[b.mode[i]]
	at := b.late(md, min(s, md.at.startBy(f)))
	if at < b.e.es[i] {
		return false
	}
	b.start[i], b.finish[i] = at, md.at.finish(at)
	for _, a := range b.in[i] {
		if b.placed[a.to] && b.value(i, a.ends&toFinish != 0) < b.value(int(a.to), a.ends&fromFinish != 0)+a.w {
			return false
		}
	}
	b.hold(i)
	return true
}

// plan reads the plan off.
func (b *serial) plan() plan {
	a := plan{slices.Clone(b.start), slices.Clone(b.finish), slices.Clone(b.mode), b.m.floor}
	for _, f := range a.finish {
		a.end = max(a.end, f)
	}
	return a
}

// A profile is how much of a resource is held over time: loads[k] from
// times[k] to times[k+1], nothing before the first and after the last.
type profile struct {
	times, loads []int
}

func (p *profile) clear() { p.times, p.loads = p.times[:0], p.loads[:0] }

// cut makes t a border and returns its place.
func (p *profile) cut(t int) int {
	k, found := slices.BinarySearch(p.times, t)
	if found {
		return k
	}
	load := 0
	if k > 0 {
		load = p.loads[k-1]
	}
	p.times = slices.Insert(p.times, k, t)
	p.loads = slices.Insert(p.loads, k, load)
	return k
}

func (p *profile) add(from, to, amount int) {
	if from >= to {
		return
	}
	i := p.cut(from)
	j := p.cut(to)
	for k := i; k < j; k++ {
		p.loads[k] += amount
	}
}

// roomFrom returns from when the load within [s, f) is at most limit: s, or the
// end of the last stretch of [s, f) above it.
func (p *profile) roomFrom(s, f, limit int) int {
	k, _ := slices.BinarySearch(p.times, f)
	for k = min(k-1, len(p.times)-2); k >= 0 && p.times[k+1] > s; k-- {
		if p.loads[k] > limit {
			return p.times[k+1]
		}
	}
	return s
}

// roomUntil returns until when the load within [s, f) is at most limit: f, or
// the begin of the first stretch of [s, f) above it.
func (p *profile) roomUntil(s, f, limit int) int {
	k, found := slices.BinarySearch(p.times, s)
	if !found {
		k--
	}
	for k = max(k, 0); k < len(p.times) && p.times[k] < f; k++ {
		if p.loads[k] > limit && k+1 < len(p.times) && p.times[k+1] > s {
			return p.times[k]
		}
	}
	return f
}
