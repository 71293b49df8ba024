package schedule

import (
	"fmt"
	"slices"
)

// close looks for better plans than the best, each into l.best and onto found,
// until none is left (exhausted) or the given nodes are spent or stop says so
// (cut). It can be called again to go on. It looks first for plans with End at
// most target; where there are none the End is bounded from below.
func (l *learner) close(nodes, target int, stop func() bool, found func(plan)) outcome {
	until := l.nodes + nodes
	restart := l.nodes + 100
	for {
		if !l.propagate() {
			l.nodes++
			learnt, back, ok := l.analyse()
			if !ok {
				return exhausted
			}
			l.inc /= 0.95
			l.failed = !l.learn(learnt, back)
			continue
		}
		if len(l.levels) == 0 {
			l.settleBase()
		}
		if l.nodes >= until || stop != nil && l.nodes&15 == 0 && stop() {
			l.undo(0)
			return cut
		}
		if l.nodes >= restart {
			restart = l.nodes + 100 + l.nodes/20
			l.undo(0)
			l.forget()
			continue
		}
		if len(l.levels) == 0 && l.lo(l.end) <= target && target < l.hi(l.end) {
			l.decide(atMost(l.end, target))
			continue
		}
		a, plan, ok := l.branch()
		if plan {
			l.best = planOf(l.view)
			found(l.best)
			l.undo(0)
			if !l.atMostEnd(l.best.end - 1) {
				return exhausted
			}
			continue
		}
		if !ok {
			continue // something was settled on the way
		}
		l.decide(a)
	}
}

// decide opens a level with a decision, which must be open.
func (l *learner) decide(a atom) {
	l.levels = append(l.levels, int32(len(l.trail)))
	if !l.raise(a.side, a.v, reason{kind: whyDecided, cond: -1}) {
		panic(fmt.Sprintf("schedule: decision %+v was settled before", a))
	}
}

// atMostEnd asks for a better End; at the base only.
func (l *learner) atMostEnd(ub int) bool {
	return l.raise(2*l.end+1, -ub, reason{kind: whyDecided, cond: -1})
}

// branch picks the next decision. plan says that the earliest starts are a
// plan; ok is false when there is nothing to decide before propagating again.
func (l *learner) branch() (a atom, plan, ok bool) {
	if !l.view.firstConflict(&l.c, &l.w) {
		return atom{}, true, false
	}
	if l.c.mode >= 0 {
		return l.branchMode(l.c.mode), false, true
	}
	if l.require(l.c.set) {
		return atom{}, false, false
	}
	if x, ok := l.hottest(); ok {
		if o := l.orders[x]; l.best.found() && l.best.finish[o.i] > l.best.start[o.j] {
			return no(x), false, true
		}
		return yes(x), false, true
	}
	return l.branchOrder(l.c.set), false, true
}

// hottest returns the most active open order of two tasks that overfill a
// resource together at the earliest starts.
func (l *learner) hottest() (int32, bool) {
	v := l.view
	best, heat := int32(-1), 0.0
	for _, t := range l.m.pairs {
		i, j := t[0], t[1]
		if v.es[i] >= v.ef[j] || v.es[j] >= v.ef[i] || v.only[i] == nil || v.only[j] == nil || !l.m.clash(v.only[i], v.only[j]) {
			continue
		}
		for _, x := range [2]int32{l.orderOf[int(i)*l.n+int(j)], l.orderOf[int(j)*l.n+int(i)]} {
			if l.lo(x) < l.hi(x) && l.act[x] > heat {
				best, heat = x, l.act[x]
			}
		}
	}
	return best, best >= 0
}

// branchMode picks the mode of a task: that of the best plan, else the one that
// seems to finish it first.
func (l *learner) branchMode(i int) atom {
	if l.best.found() {
		if x := l.mode[i][l.best.mode[i]]; l.hi(x) == 1 {
			return yes(x)
		}
	}
	l.ways = l.view.waysOut(&l.c, l.ways, plain)
	return yes(l.mode[i][l.ways[0].i])
}

// branchOrder picks an order of two tasks of an over-full set: one that the
// best plan keeps, among those the one with the most room.
func (l *learner) branchOrder(set []int32) atom {
	best, room, kept := int32(-1), 0, false
	for _, i := range set {
		for _, j := range set {
			if i == j {
				continue
			}
			x := l.orderOf[int(i)*l.n+int(j)]
			if l.lo(x) == l.hi(x) {
				continue
			}
			in := l.best.found() && l.best.finish[i] <= l.best.start[j]
			r := l.view.ls[j] - l.view.ef[i]
			if best < 0 || in && !kept || in == kept && r > room {
				best, room, kept = x, r, in
			}
		}
	}
	if best < 0 {
		panic(fmt.Sprint("schedule: an over-full set without an open order: ", set))
	}
	return yes(best)
}

// require makes sure that the learner knows that some order of two tasks of an
// over-full set must hold. It reports whether that settled anything.
func (l *learner) require(set []int32) bool {
	sorted := slices.Sorted(slices.Values(set))
	before := len(l.trail)
	var ng []atom
	for _, i := range sorted {
		for _, j := range sorted {
			if i == j {
				continue
			}
			x := l.orderVar(int(i), int(j))
			ng = append(ng, no(x))
			if !l.settleOrder(x) {
				panic("schedule: an open order fails")
			}
		}
	}
	for _, i := range sorted {
		if l.mode[i] != nil {
			ng = append(ng, yes(l.mode[i][l.view.modeOf(int(i))]))
		}
	}
	key := fmt.Sprint(ng)
	if !l.sets[key] {
		l.sets[key] = true
		l.nogoods = append(l.nogoods, nogood{atoms: ng})
		l.enter(int32(len(l.nogoods) - 1))
	}
	return len(l.trail) > before || l.failed
}

// enter watches a nogood that was added below decisions, and draws what follows
// from it now.
func (l *learner) enter(ng int32) {
	as := l.nogoods[ng].atoms
	slices.SortStableFunc(as, func(a, b atom) int { return int(l.heldSince(b) - l.heldSince(a)) })
	l.watchFirst(ng)
	if !l.holds(as[1]) {
		return
	}
	o := as[0].opposite()
	if !l.raise(o.side, o.v, reason{kind: whyNogood, from: ng, cond: -1}) {
		l.failed = true
	}
}

// heldSince is the entry since which an atom holds; beyond all when it does not.
func (l *learner) heldSince(a atom) int64 {
	if !l.holds(a) {
		return far
	}
	at, _ := l.levelOf(a)
	return int64(at)
}
