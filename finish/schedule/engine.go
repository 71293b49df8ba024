package schedule

import (
	"math/bits"
	"slices"
)

// An engine holds one node of the search: bounds on every start and finish,
// the modes still allowed, the arcs added so far, and a trail to take changes
// back. propagate brings the bounds to the fixpoint of all arcs, hours and
// forced orders.
type engine struct {
	m *model
	n int

	es, ef, ls, lf []int    // earliest and latest start and finish
	modes          []uint64 // allowed modes, one bit each
	only           []*mode  // the mode when one is left, else nil

	out, in [][]arc // arcs by source and by target; in an in-list arc.to is the source
	pair    []uint8 // pair[i*n+j]: what was decided about i before j
	gap     []int   // gap[i*n+j]: start(j) >= start(i) + gap, by arcs alone; nil: not kept

	trail []change

	fwd, bwd queue
	order    []int32 // tasks by earliest start

	// Room for the loads: see itemsByFinish.
	byFinish, byBegin [][]int32
	items             []item
	places            []place

	ub int // largest End wanted
	// failedAt names the task whose bounds crossed, or -1.
	failedAt int
}

// A change undoes one assignment: which table, where, and the value before.
type change struct {
	table uint8
	at    int32
	old   int
}

const (
	tableES uint8 = iota
	tableEF
	tableLS
	tableLF
	tableModes
	tableGap
	tablePair
	tableArc
)

// What may be decided about i before j.
const (
	imposed uint8 = 1 + iota // j starts no earlier than i finishes
	barred                   // j starts before i finishes
)

// none in the gap table says that no arcs lead from i to j.
const none = -1 << 60

// A queue holds tasks whose bounds moved, each at most once.
type queue struct {
	items []int32
	in    []bool
}

func (q *queue) push(i int) {
	if !q.in[i] {
		q.in[i] = true
		q.items = append(q.items, int32(i))
	}
}

func (q *queue) clear() {
	for _, i := range q.items {
		q.in[i] = false
	}
	q.items = q.items[:0]
}

// newEngine returns the root node before propagation; not ok when the arcs
// alone hold a positive cycle or a task has no allowed start at all.
func newEngine(m *model) *engine {
	n := len(m.jobs)
	e := &engine{
		m: m, n: n,
		es: make([]int, n), ef: make([]int, n), ls: make([]int, n), lf: make([]int, n),
		modes: make([]uint64, n), only: make([]*mode, n),
		out: make([][]arc, n), in: make([][]arc, n),
		pair:     make([]uint8, n*n),
		gap:      make([]int, n*n),
		fwd:      queue{in: make([]bool, n)},
		bwd:      queue{in: make([]bool, n)},
		order:    make([]int32, n),
		ub:       far,
		failedAt: -1,
	}
	for i := range e.gap {
		e.gap[i] = none
	}
	for i := range m.jobs {
		e.gap[i*n+i] = 0
		e.order[i] = int32(i)
		e.es[i], e.ef[i], e.ls[i], e.lf[i] = -far, -far, far, far
		e.modes[i] = 1<<len(m.jobs[i].modes) - 1
		if len(m.jobs[i].modes) == 1 {
			e.only[i] = &m.jobs[i].modes[0]
		}
	}
	for k := range m.loads {
		o := make([]int32, len(m.loads[k].tasks))
		for j := range o {
			o[j] = int32(j)
		}
		e.byFinish = append(e.byFinish, o)
		e.byBegin = append(e.byBegin, slices.Clone(o))
	}
	return e
}

// root imposes releases, dues, lags and the largest End and propagates.
func (e *engine) root(ub int) bool {
	e.ub = ub
	if !e.begin() {
		e.drop()
		return false
	}
	return e.propagate()
}

// begin imposes releases, dues and lags.
func (e *engine) begin() bool {
	for i := range e.m.jobs {
		j := &e.m.jobs[i]
		if !e.raiseStart(i, j.release) || !e.lowerFinish(i, min(j.due, e.limit(i))) {
			return false
		}
	}
	for _, l := range e.m.arcs {
		if !e.add(l) {
			return false
		}
	}
	return true
}

// modeOf returns the number of the mode task i is left with.
func (e *engine) modeOf(i int) int { return bits.TrailingZeros64(e.modes[i]) }

// limit is the largest finish of task i that keeps End within ub.
func (e *engine) limit(i int) int {
	if e.m.jobs[i].fixed {
		return far
	}
	return e.ub
}

// applyLimit brings the latest finishes within ub.
func (e *engine) applyLimit() bool {
	if e.ub < e.m.floor {
		return false
	}
	for i := range e.m.jobs {
		if e.lf[i] > e.limit(i) && !e.lowerFinish(i, e.limit(i)) {
			e.drop()
			return false
		}
	}
	return true
}

func (e *engine) mark() int { return len(e.trail) }

// undo takes back every change since mark.
func (e *engine) undo(mark int) {
	for k := len(e.trail) - 1; k >= mark; k-- {
		c := &e.trail[k]
		switch c.table {
		case tableES:
			e.es[c.at] = c.old
		case tableEF:
			e.ef[c.at] = c.old
		case tableLS:
			e.ls[c.at] = c.old
		case tableLF:
			e.lf[c.at] = c.old
		case tableModes:
			e.setModes(int(c.at), uint64(c.old))
		case tableGap:
			e.gap[c.at] = c.old
		case tablePair:
			e.pair[c.at] = uint8(c.old)
		case tableArc:
			from, to := c.at, int32(c.old)
			e.out[from] = e.out[from][:len(e.out[from])-1]
			e.in[to] = e.in[to][:len(e.in[to])-1]
		}
	}
	e.trail = e.trail[:mark]
}

func (e *engine) setModes(i int, set uint64) {
	e.modes[i] = set
	e.only[i] = nil
	if set&(set-1) == 0 {
		e.only[i] = &e.m.jobs[i].modes[bits.TrailingZeros64(set)]
	}
}

// allow leaves only the modes in set to task i.
func (e *engine) allow(i int, set uint64) bool {
	set &= e.modes[i]
	if set == e.modes[i] {
		return true
	}
	if set == 0 {
		return e.fail(i)
	}
	e.trail = append(e.trail, change{tableModes, int32(i), int(e.modes[i])})
	e.setModes(i, set)
	return e.refresh(i)
}

// refresh fits the bounds of task i to its modes.
func (e *engine) refresh(i int) bool {
	return e.moveUp(i, e.es[i], e.ef[i]) && e.moveDown(i, e.ls[i], e.lf[i])
}

func (e *engine) fail(i int) bool {
	e.failedAt = i
	return false
}

// drop forgets pending work after a failure.
func (e *engine) drop() {
	e.fwd.clear()
	e.bwd.clear()
}

// raiseStart demands start(i) >= s.
func (e *engine) raiseStart(i, s int) bool {
	if s <= e.es[i] {
		return true
	}
	return e.moveUp(i, s, e.ef[i])
}

// raiseFinish demands finish(i) >= f.
func (e *engine) raiseFinish(i, f int) bool {
	if f <= e.ef[i] {
		return true
	}
	return e.moveUp(i, e.es[i], f)
}

// lowerStart demands start(i) <= s.
func (e *engine) lowerStart(i, s int) bool {
	if s >= e.ls[i] {
		return true
	}
	return e.moveDown(i, s, e.lf[i])
}

// lowerFinish demands finish(i) <= f.
func (e *engine) lowerFinish(i, f int) bool {
	if f >= e.lf[i] {
		return true
	}
	return e.moveDown(i, e.ls[i], f)
}

// moveUp sets the earliest start and finish of i to the least that some
// allowed mode offers at start >= s and finish >= f.
func (e *engine) moveUp(i, s, f int) bool {
	var es, ef int
	if md := e.only[i]; md != nil {
		es = s
		if f-md.at.dur > s {
			es = max(s, md.at.startFor(f))
		}
		es = md.at.next(es)
		ef = md.at.finish(es)
	} else {
		var kept uint64
		es, ef = far, far
		for set := e.modes[i]; set != 0; set &= set - 1 {
			k := bits.TrailingZeros64(set)
			at := e.m.jobs[i].modes[k].at
			t := at.next(max(s, at.startFor(f)))
			if t > e.ls[i] || at.finish(t) > e.lf[i] {
				continue
			}
			kept |= 1 << k
			es, ef = min(es, t), min(ef, at.finish(t))
		}
		if kept != e.modes[i] {
			if kept == 0 {
				return e.fail(i)
			}
			e.trail = append(e.trail, change{tableModes, int32(i), int(e.modes[i])})
			e.setModes(i, kept)
			if !e.moveDown(i, e.ls[i], e.lf[i]) {
				return false
			}
		}
	}
	if es > e.ls[i] || ef > e.lf[i] {
		return e.fail(i)
	}
	moved := false
	if es > e.es[i] {
		e.trail = append(e.trail, change{tableES, int32(i), e.es[i]})
		e.es[i], moved = es, true
	}
	if ef > e.ef[i] {
		e.trail = append(e.trail, change{tableEF, int32(i), e.ef[i]})
		e.ef[i], moved = ef, true
	}
	if moved {
		e.fwd.push(i)
	}
	return true
}

// moveDown is moveUp seen from the other end: start <= s, finish <= f.
func (e *engine) moveDown(i, s, f int) bool {
	var ls, lf int
	if md := e.only[i]; md != nil {
		ls = min(s, md.at.startBy(f))
		ls = md.at.prev(ls)
		lf = md.at.finish(ls)
	} else {
		var kept uint64
		ls, lf = -far, -far
		for set := e.modes[i]; set != 0; set &= set - 1 {
			k := bits.TrailingZeros64(set)
			at := e.m.jobs[i].modes[k].at
			t := at.prev(min(s, at.startBy(f)))
			if t < e.es[i] || at.finish(t) < e.ef[i] {
				continue
			}
			kept |= 1 << k
			ls, lf = max(ls, t), max(lf, at.finish(t))
		}
		if kept != e.modes[i] {
			if kept == 0 {
				return e.fail(i)
			}
			e.trail = append(e.trail, change{tableModes, int32(i), int(e.modes[i])})
			e.setModes(i, kept)
			if !e.moveUp(i, e.es[i], e.ef[i]) {
				return false
			}
		}
	}
	if ls < e.es[i] || lf < e.ef[i] {
		return e.fail(i)
	}
	moved := false
	if ls < e.ls[i] {
		e.trail = append(e.trail, change{tableLS, int32(i), e.ls[i]})
		e.ls[i], moved = ls, true
	}
	if lf < e.lf[i] {
		e.trail = append(e.trail, change{tableLF, int32(i), e.lf[i]})
		e.lf[i], moved = lf, true
	}
	if moved {
		e.bwd.push(i)
	}
	return true
}

// add imposes an arc. It fails when the arcs alone now hold a positive cycle.
func (e *engine) add(l link) bool {
	a, b := int(l.from), int(l.to)
	if w, ok := e.startGap(l); ok && e.gap != nil {
		if w <= e.gap[a*e.n+b] {
			if l.ends == 0 {
				return true // already implied
			}
		} else if !e.widen(a, b, w) {
			return e.fail(b)
		}
	}
	e.out[a] = append(e.out[a], l.arc)
	e.in[b] = append(e.in[b], arc{l.from, l.ends, l.w})
	e.trail = append(e.trail, change{tableArc, l.from, b})
	return e.pull(a, l.arc) && e.pullBack(b, arc{l.from, l.ends, l.w})
}

// impose demands that j starts no earlier than i finishes.
func (e *engine) impose(i, j int) bool {
	e.decide(i, j, imposed)
	return e.add(e.m.follow(i, j))
}

// bar demands that j starts before i finishes.
func (e *engine) bar(i, j int) bool {
	e.decide(i, j, barred)
	return e.add(e.m.overtake(i, j))
}

func (e *engine) decide(i, j int, d uint8) {
	at := i*e.n + j
	e.trail = append(e.trail, change{tablePair, int32(at), int(e.pair[at])})
	e.pair[at] = d
}

// startGap is the least difference of starts that the arc implies.
func (e *engine) startGap(l link) (int, bool) {
	w := l.w
	if l.ends&fromFinish != 0 {
		w += e.m.jobs[l.from].shortest
	}
	if l.ends&toFinish != 0 {
		return 0, false // a pause may be long: the starts are not bound
	}
	return w, true
}

// widen enters start(b) >= start(a) + w into the gap table; false when that
// closes a positive cycle.
func (e *engine) widen(a, b, w int) bool {
	n := e.n
	if back := e.gap[b*n+a]; back != none && back+w > 0 {
		return false
	}
	rowB := e.gap[b*n : b*n+n]
	for i := 0; i < n; i++ {
		ia := e.gap[i*n+a]
		if ia == none {
			continue
		}
		d := ia + w
		if d <= e.gap[i*n+b] {
			continue
		}
		rowI := e.gap[i*n : i*n+n]
		for j, bj := range rowB {
			if bj != none && d+bj > rowI[j] {
				e.trail = append(e.trail, change{tableGap, int32(i*n + j), rowI[j]})
				rowI[j] = d + bj
			}
		}
	}
	return true
}

// pull applies an arc from a to the earliest times of its target.
func (e *engine) pull(a int, r arc) bool {
	v := e.es[a]
	if r.ends&fromFinish != 0 {
		v = e.ef[a]
	}
	if r.ends&toFinish != 0 {
		return e.raiseFinish(int(r.to), v+r.w)
	}
	return e.raiseStart(int(r.to), v+r.w)
}

// pullBack applies an arc into b to the latest times of its source r.to.
func (e *engine) pullBack(b int, r arc) bool {
	v := e.ls[b]
	if r.ends&toFinish != 0 {
		v = e.lf[b]
	}
	if r.ends&fromFinish != 0 {
		return e.lowerFinish(int(r.to), v-r.w)
	}
	return e.lowerStart(int(r.to), v-r.w)
}

// propagate brings all bounds to their fixpoint; false when there is none
// within the limits. Pending work is dropped on failure.
func (e *engine) propagate() bool {
	for {
		if !e.settle() {
			e.drop()
			return false
		}
		found, ok := e.forceOrders()
		if !ok {
			e.drop()
			return false
		}
		if !found {
			break
		}
	}
	if !e.energy() {
		e.drop()
		return false
	}
	return true
}

// settle follows the arcs until nothing moves.
func (e *engine) settle() bool {
	for len(e.fwd.items) > 0 || len(e.bwd.items) > 0 {
		for h := 0; h < len(e.fwd.items); h++ {
			i := int(e.fwd.items[h])
			e.fwd.in[i] = false
			for k := range e.out[i] {
				if !e.pull(i, e.out[i][k]) {
					return false
				}
			}
		}
		e.fwd.items = e.fwd.items[:0]
		for h := 0; h < len(e.bwd.items); h++ {
			i := int(e.bwd.items[h])
			e.bwd.in[i] = false
			for k := range e.in[i] {
				if !e.pullBack(i, e.in[i][k]) {
					return false
				}
			}
		}
		e.bwd.items = e.bwd.items[:0]
	}
	return true
}

// forceOrders adds the order of every pair that cannot run at once and can
// follow only one way round; found says that bounds may have moved.
func (e *engine) forceOrders() (found, ok bool) {
	for _, p := range e.m.pairs {
		i, j := int(p[0]), int(p[1])
		a, b := e.only[i], e.only[j]
		if a == nil || b == nil || !e.m.clash(a, b) {
			continue
		}
		if e.precedes(i, j) || e.precedes(j, i) {
			continue
		}
		ij, ji := e.mayPrecede(i, j), e.mayPrecede(j, i)
		switch {
		case ij && ji:
			continue
		case ij:
			if !e.impose(i, j) {
				return true, false
			}
		case ji:
			if !e.impose(j, i) {
				return true, false
			}
		default:
			return true, e.fail(i)
		}
		found = true
	}
	return found, true
}

// precedes reports whether j is known to start no earlier than i finishes.
func (e *engine) precedes(i, j int) bool {
	if e.lf[i] <= e.es[j] || e.pair[i*e.n+j] == imposed {
		return true
	}
	if !e.m.jobs[i].steady {
		return false
	}
	return e.gap[i*e.n+j] >= e.m.jobs[i].shortest
}

// mayPrecede reports whether j may still start no earlier than i finishes.
func (e *engine) mayPrecede(i, j int) bool {
	if e.ef[i] > e.ls[j] || e.pair[i*e.n+j] == barred {
		return false
	}
	back := e.gap[j*e.n+i] // start(i) >= start(j) + back
	return back == none || back <= -e.m.jobs[i].shortest
}
