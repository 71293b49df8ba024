package schedule

import "slices"

// A learner is the second engine of the search. It branches like search but
// explains every bound it moves, learns from every failure the combination of
// bounds that made it (a nogood), and jumps back over what did not matter. It
// is the better of the two at closing a problem; the plain engine is the
// quicker one at finding plans.
//
// Source: lazy clause generation (Ohrimenko, Stuckey, Codish 2009, Constraints
// 14:357-391), for min and max lags Schutt, Feydy, Stuckey, Wallace (2013), J.
// Scheduling 16:273-289, for calendars Kreter, Schutt, Stuckey (2017),
// Constraints 22:432-462; from memory, no text or code was at hand.
type learner struct {
	m    *model
	n    int
	view *engine // the bounds as the branching code reads them
	w    sweep
	c    conflict
	ways []way

	val     []int   // by side
	base    []int   // by side: without any decision
	last    []int32 // by side: its latest entry, -1 if none
	trail   []entry
	levels  []int32 // trail length before each decision
	head    int     // first entry whose consequences are not drawn
	written []atom  // reasons that were worked out when drawn
	broken  []atom  // the failure
	failed  bool    // broken awaits its analysis

	nogoods []nogood
	watch   [][]watcher // by side
	given   int         // nogoods that belong to the problem
	most    int         // learnt nogoods before some are forgotten

	arcs    [][]sideArc   // by source side
	hours   [][]keeper    // by variable
	pauses  [][]pause     // by variable, start or finish
	fin     []point       // by task
	mode    [][]int32     // by task: a variable per mode; nil when there is one
	task    []int32       // by variable: the task whose mode it is, -1 for others
	orderOf map[int]int32 // by i*n+j: the variable of i before j
	orders  []order       // by variable; i < 0 for others
	after   [][]int32     // by side: the orders whose "yes" it carries or excludes
	before  [][]int32     // by side: the orders whose "no" it carries or excludes
	sets    map[string]bool
	end     int32
	tables  []table
	watched [][]int32 // by task: the tables and then loads that count it
	owner   []int32   // by variable: the task whose start or finish it is, or -1
	stale   []int32   // tables and loads to look at
	isStale []bool

	parts    []part // room for tables and loads
	edges    []segment
	segments []segment
	members  []int32

	rises  []int32 // by side: rises in this propagation
	risen  []int32 // sides with rises
	act    []float64
	inc    float64
	need   []int   // by side, in the analysis: the value wanted, if wanted
	wanted []int32 // by side: 0, or 1 + level of the atom
	sides  []int32 // that are wanted
	buf    []atom
	best   plan
	nodes  int
	audit  bool // check every reason as it is given (tests)
}

// A point is a variable plus a constant.
type point struct {
	x   int32
	add int
}

// A nogood is a set of atoms that cannot all hold. The first two not yet known
// to hold are watched.
type nogood struct {
	atoms  []atom
	act    float64
	spread int // levels it reached over when learnt
}

// A watcher waits until its side is at least v. While other is denied the
// nogood is harmless and need not be looked at.
type watcher struct {
	v     int
	other atom
	ng    int32
}

// A sideArc demands val[to] >= val[source] + w.
type sideArc struct {
	to int32
	w  int
}

// A keeper holds a start to its hours, if its condition holds.
type keeper struct {
	at   *starts
	cond int32
}

// A pause ties a start and a finish that may lie apart, if its condition holds.
type pause struct {
	at         *starts
	start, fin int32
	cond       int32
}

// An order is the question whether the start is at or after the finish.
type order struct {
	i, j  int32
	fin   point
	start int32
}

// newLearner returns a learner for a better plan than End ub; not ok when
// bounds alone show that there is none. root must be an engine at its
// propagated root with the same limit, whose bounds it takes over.
func newLearner(root *engine, ub int) (*learner, bool) {
	m := root.m
	n := root.n
	l := &learner{
		m: m, n: n, view: newEngine(m), inc: 1, most: 2000,
		orderOf: map[int]int32{}, sets: map[string]bool{},
		mode: make([][]int32, n), fin: make([]point, n),
	}
	copy(l.view.gap, root.gap)
	l.w.load = make([]int, len(m.caps))
	for i := range m.jobs {
		l.owner[l.variable(root.es[i], root.ls[i])] = int32(i)
	}
	for i := range m.jobs {
		l.fin[i] = point{int32(i), m.jobs[i].shortest}
		if !m.jobs[i].steady {
			l.fin[i] = point{l.variable(root.ef[i], root.lf[i]), 0}
			l.owner[l.fin[i].x] = int32(i)
		}
	}
	for i := range m.jobs {
		l.addModes(i, root)
	}
	l.end = l.variable(m.floor, ub)
	for i := range m.jobs {
		l.addHours(i)
		if !m.jobs[i].fixed {
			l.tie(l.fin[i], point{l.end, 0}, 0)
		}
	}
	for _, a := range m.arcs {
		l.tie(l.point(int(a.from), a.ends&fromFinish), l.point(int(a.to), a.ends&toFinish), a.w)
	}
	for _, p := range m.pairs {
		l.addPair(int(p[0]), int(p[1]))
	}
	l.given = len(l.nogoods)
	l.tables = m.tables()
	l.findWatched()
	return l, l.start()
}

// variable adds a variable with its bounds.
func (l *learner) variable(lo, hi int) int32 {
	x := int32(len(l.val) / 2)
	l.val = append(l.val, lo, -hi)
	l.base = append(l.base, lo, -hi)
	l.last = append(l.last, -1, -1)
	l.watch = append(l.watch, nil, nil)
	l.arcs = append(l.arcs, nil, nil)
	l.rises = append(l.rises, 0, 0)
	l.need = append(l.need, 0, 0)
	l.wanted = append(l.wanted, 0, 0)
	l.hours = append(l.hours, nil)
	l.pauses = append(l.pauses, nil)
	l.after = append(l.after, nil, nil)
	l.before = append(l.before, nil, nil)
	l.orders = append(l.orders, order{i: -1})
	l.task = append(l.task, -1)
	l.owner = append(l.owner, -1)
	l.act = append(l.act, 0)
	return x
}

func (l *learner) lo(x int32) int { return l.val[2*x] }
func (l *learner) hi(x int32) int { return -l.val[2*x+1] }

func (l *learner) holds(a atom) bool { return l.val[a.side] >= a.v }

// point is the start of a task, or its finish when the bit is set.
func (l *learner) point(i int, finish uint8) point {
	if finish != 0 {
		return l.fin[i]
	}
	return point{int32(i), 0}
}

// tie demands b >= a + w.
func (l *learner) tie(a, b point, w int) {
	w += a.add - b.add
	l.arcs[2*a.x] = append(l.arcs[2*a.x], sideArc{2 * b.x, w})
	l.arcs[2*b.x+1] = append(l.arcs[2*b.x+1], sideArc{2*a.x + 1, w})
}

// addModes adds a variable per mode where there is a choice: exactly one is 1.
func (l *learner) addModes(i int, root *engine) {
	modes := l.m.jobs[i].modes
	if len(modes) == 1 {
		return
	}
	var all []atom
	for k := range modes {
		hi := 1
		if root.modes[i]>>k&1 == 0 {
			hi = 0
		}
		x := l.variable(0, hi)
		l.mode[i] = append(l.mode[i], x)
		l.task[x] = int32(i)
		all = append(all, no(x))
		for _, y := range l.mode[i][:k] {
			l.addNogood([]atom{yes(x), yes(y)})
		}
	}
	l.addNogood(all)
}

// addHours ties the start and the finish of task i to its hours.
func (l *learner) addHours(i int) {
	j := &l.m.jobs[i]
	x := int32(i)
	shared := true
	for k := range j.modes {
		shared = shared && j.modes[k].at == j.modes[0].at
	}
	add := func(at *starts, cond int32) {
		l.hours[x] = append(l.hours[x], keeper{at, cond})
		if f := l.fin[i].x; f != x {
			p := pause{at, x, f, cond}
			l.pauses[x] = append(l.pauses[x], p)
			l.pauses[f] = append(l.pauses[f], p)
		}
	}
	if shared {
		add(j.modes[0].at, -1)
	} else {
		l.hours[x] = append(l.hours[x], keeper{anyOf(j.modes), -1})
		for k, y := range l.mode[i] {
			add(j.modes[k].at, 2*y)
		}
	}
	if f := l.fin[i]; f.x != x {
		l.tie(point{x, 0}, f, j.shortest)
	}
}

// anyOf returns the starts that some mode allows; only next and prev may be
// asked of it.
func anyOf(modes []mode) *starts {
	var all []Window
	for k := range modes {
		for _, s := range modes[k].at.span {
			all = append(all, Window{s[0], s[1] + 1})
		}
	}
	a := &starts{}
	for _, w := range Union(all) {
		a.span = append(a.span, [2]int{w.From, w.To - 1})
	}
	return a
}

// addPair demands an order of two tasks wherever their modes clash.
func (l *learner) addPair(i, j int) {
	for a := range l.m.jobs[i].modes {
		for b := range l.m.jobs[j].modes {
			if !l.m.clash(&l.m.jobs[i].modes[a], &l.m.jobs[j].modes[b]) {
				continue
			}
			ng := []atom{no(l.orderVar(i, j)), no(l.orderVar(j, i))}
			if l.mode[i] != nil {
				ng = append(ng, yes(l.mode[i][a]))
			}
			if l.mode[j] != nil {
				ng = append(ng, yes(l.mode[j][b]))
			}
			l.addNogood(ng)
		}
	}
}

// orderVar returns the variable that is 1 when i comes before j.
func (l *learner) orderVar(i, j int) int32 {
	if x, ok := l.orderOf[i*l.n+j]; ok {
		return x
	}
	x := l.variable(0, 1)
	l.orderOf[i*l.n+j] = x
	o := order{int32(i), int32(j), l.fin[i], int32(j)}
	l.orders[x] = o
	for _, side := range [2]int32{2 * o.fin.x, 2*o.start + 1} {
		l.after[side] = append(l.after[side], x)
	}
	for _, side := range [2]int32{2*o.fin.x + 1, 2 * o.start} {
		l.before[side] = append(l.before[side], x)
	}
	return x
}

// addNogood adds a nogood of the problem. No atom of it may hold for certain.
func (l *learner) addNogood(atoms []atom) {
	if len(atoms) == 1 {
		a := atoms[0].opposite()
		l.val[a.side] = max(l.val[a.side], a.v)
		l.base[a.side] = max(l.base[a.side], a.v)
		return
	}
	l.nogoods = append(l.nogoods, nogood{atoms: slices.Clone(atoms)})
	l.watchFirst(int32(len(l.nogoods) - 1))
}

// watchFirst watches the first two atoms of a nogood.
func (l *learner) watchFirst(ng int32) {
	a, b := l.nogoods[ng].atoms[0], l.nogoods[ng].atoms[1]
	l.watch[a.side] = append(l.watch[a.side], watcher{a.v, b, ng})
	l.watch[b.side] = append(l.watch[b.side], watcher{b.v, a, ng})
}

// start draws the first consequences of everything.
func (l *learner) start() bool {
	for s := int32(0); s < int32(len(l.val)); s += 2 {
		l.mirror(s)
	}
	for s := range l.val {
		if l.val[s]+l.val[s^1] > 0 {
			return false
		}
	}
	for s := int32(0); s < int32(len(l.val)); s++ {
		if !l.recall(s) || !l.draw(s) {
			return false
		}
	}
	return l.propagate() && l.settleBase()
}

// settleBase makes the bounds of now those without any decision.
func (l *learner) settleBase() bool {
	copy(l.base, l.val)
	l.trail = l.trail[:0]
	l.written = l.written[:0]
	l.head = 0
	for i := range l.last {
		l.last[i] = -1
	}
	return true
}
