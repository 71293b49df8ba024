package schedule

import "fmt"

// raise demands side >= v for a reason. On failure broken holds atoms that
// cannot all be.
func (l *learner) raise(side int32, v int, why reason) bool {
	if v <= l.val[side] {
		return true
	}
	if l.audit {
		l.auditReason(&why, side, v)
	}
	if l.val[side^1]+v > 0 {
		// The least value that already fails blames the reason least.
		v = 1 - l.val[side^1]
		l.broken = append(l.unfold(l.broken[:0], &why, side, v), atom{side ^ 1, 1 - v})
		return false
	}
	at := int32(len(l.trail))
	l.trail = append(l.trail, entry{why, l.val[side], v, side, l.last[side], int32(len(l.levels)), int32(len(l.written))})
	l.last[side] = at
	l.val[side] = v
	if why.kind == whyAtoms {
		l.trail[at].written = why.from
	}
	if l.rises[side]++; l.rises[side] == 1 {
		l.risen = append(l.risen, side)
	}
	if why.kind == whyArc && l.rises[side] > 3 && l.circle(at) {
		return false
	}
	l.mirror(side)
	return true
}

// auditReason panics when a reason rests on an atom that does not hold.
func (l *learner) auditReason(why *reason, side int32, v int) {
	for _, a := range l.unfold(nil, why, side, v) {
		if !l.holds(a) {
			panic(fmt.Sprintf("schedule: side %d to %d: reason %+v: %+v does not hold at %d", side, v, *why, a, l.val[a.side]))
		}
	}
}

// circle looks whether the rise at an entry follows from an earlier rise of
// the same side through arcs alone: then the arcs can never be kept.
func (l *learner) circle(at int32) bool {
	side := l.trail[at].side
	l.buf = l.buf[:0]
	k := at
	for range len(l.orders) {
		e := &l.trail[k]
		if e.why.kind != whyArc {
			return false
		}
		if e.why.cond >= 0 {
			l.buf = append(l.buf, condition(e.why.cond))
		}
		from := l.last[e.why.from]
		for from >= k {
			from = l.trail[from].before
		}
		if from < 0 {
			return false
		}
		k = from
		if l.trail[k].side == side {
			l.broken = append(l.broken[:0], l.buf...)
			return true
		}
	}
	return false
}

// propagate draws all consequences; false leaves the failure in broken.
func (l *learner) propagate() bool {
	if l.failed {
		l.failed = false
		return false
	}
	for {
		for l.head < len(l.trail) {
			side := l.trail[l.head].side
			l.head++
			if !l.recall(side) || !l.draw(side) {
				l.rest()
				return false
			}
		}
		if len(l.stale) == 0 {
			break
		}
		if !l.lookAtStale() {
			l.rest()
			return false
		}
	}
	l.rest()
	return true
}

// rest forgets what counts only within one propagation.
func (l *learner) rest() {
	for _, s := range l.risen {
		l.rises[s] = 0
	}
	l.risen = l.risen[:0]
	for _, k := range l.stale {
		l.isStale[k] = false
	}
	l.stale = l.stale[:0]
}

// recall draws the consequences of nogoods that watch a side.
func (l *learner) recall(side int32) bool {
	ws := l.watch[side]
	kept := ws[:0]
	for k := 0; k < len(ws); k++ {
		w := ws[k]
		if l.val[side] < w.v || l.holds(w.other.opposite()) {
			kept = append(kept, w)
			continue
		}
		as := l.nogoods[w.ng].atoms
		if as[0].side == side {
			as[0], as[1] = as[1], as[0]
		}
		w.other = as[0]
		if l.holds(as[0].opposite()) {
			kept = append(kept, w)
			continue
		}
		moved := false
		for j := 2; j < len(as); j++ {
			if !l.holds(as[j]) {
				as[1], as[j] = as[j], as[1]
				l.watch[as[1].side] = append(l.watch[as[1].side], watcher{as[1].v, as[0], w.ng})
				moved = true
				break
			}
		}
		if moved {
			continue
		}
		kept = append(kept, w)
		o := as[0].opposite()
		if !l.raise(o.side, o.v, reason{kind: whyNogood, from: w.ng, cond: -1}) {
			kept = append(kept, ws[k+1:]...)
			l.watch[side] = kept
			return false
		}
	}
	l.watch[side] = kept
	return true
}

// draw draws the consequences of a side for arcs, hours, pauses and orders.
func (l *learner) draw(side int32) bool {
	v := l.val[side]
	for _, a := range l.arcs[side] {
		if v+a.w > l.val[a.to] && !l.raise(a.to, v+a.w, reason{kind: whyArc, from: side, cond: -1, w: a.w}) {
			return false
		}
	}
	x := side / 2
	if i := l.owner[x]; i >= 0 {
		l.spoil(i)
	}
	if int(x) < l.n {
		for k := range l.hours[x] {
			if !l.keep(x, &l.hours[x][k]) {
				return false
			}
		}
	}
	for k := range l.pauses[x] {
		if !l.pause(&l.pauses[x][k]) {
			return false
		}
	}
	for _, o := range l.after[side] {
		if !l.settleAfter(o) {
			return false
		}
	}
	for _, o := range l.before[side] {
		if !l.settleBefore(o) {
			return false
		}
	}
	if l.orders[x].i >= 0 {
		return l.settleOrder(x)
	}
	if i := l.task[x]; i >= 0 {
		l.spoil(i)
		return l.applyMode(i)
	}
	return true
}

// applyMode draws what follows for a task from a change of its modes.
func (l *learner) applyMode(x int32) bool {
	for k := range l.hours[x] {
		if !l.keep(x, &l.hours[x][k]) {
			return false
		}
	}
	for k := range l.pauses[x] {
		if !l.pause(&l.pauses[x][k]) {
			return false
		}
	}
	return true
}

// keep moves the bounds of start x out of the gaps of its hours, or rules the
// mode out whose hours are closed between them.
func (l *learner) keep(x int32, h *keeper) bool {
	if h.cond >= 0 && !l.holds(condition(h.cond)) {
		if l.holds(condition(h.cond).opposite()) || h.at.next(l.lo(x)) <= l.hi(x) {
			return true
		}
		o := condition(h.cond).opposite()
		return l.raise(o.side, o.v, reason{kind: whyClosed, from: 2 * x, cond: -1, w: l.hi(x), at: h.at})
	}
	why := reason{kind: whyHours, cond: h.cond, at: h.at}
	if s := h.at.next(l.lo(x)); s > l.lo(x) && !l.raise(2*x, s, why) {
		return false
	}
	if s := h.at.prev(l.hi(x)); s < l.hi(x) && !l.raise(2*x+1, -s, why) {
		return false
	}
	return true
}

// pause carries bounds between a start and its finish.
func (l *learner) pause(p *pause) bool {
	if p.cond >= 0 && !l.holds(condition(p.cond)) {
		return true
	}
	to := reason{kind: whyFinish, from: 2 * p.start, cond: p.cond, at: p.at}
	back := reason{kind: whyStart, from: 2 * p.fin, cond: p.cond, at: p.at}
	if s := p.at.next(l.lo(p.start)); s < far && !l.raise(2*p.fin, p.at.finish(s), to) {
		return false
	}
	if !l.raise(2*p.start, p.at.startFor(l.lo(p.fin)), back) {
		return false
	}
	to.from, back.from = 2*p.start+1, 2*p.fin+1
	if s := p.at.prev(l.hi(p.start)); s > -far && !l.raise(2*p.fin+1, -p.at.finish(s), to) {
		return false
	}
	return l.raise(2*p.start+1, -p.at.startBy(l.hi(p.fin)), back)
}

// settleOrder draws all consequences of an order, or settles it when the bounds
// leave one answer.
func (l *learner) settleOrder(x int32) bool { return l.settleAfter(x) && l.settleBefore(x) }

// settleAfter draws start >= finish where the order is yes, or no where that
// cannot be any more.
func (l *learner) settleAfter(x int32) bool {
	o := &l.orders[x]
	f, s, w := o.fin.x, o.start, o.fin.add
	lo, hi := l.val[2*f]+w, l.val[2*s+1]+w
	if l.val[2*x] == 1 {
		return (lo <= l.val[2*s] || l.raise(2*s, lo, reason{kind: whyArc, from: 2 * f, cond: 2 * x, w: w})) &&
			(hi <= l.val[2*f+1] || l.raise(2*f+1, hi, reason{kind: whyArc, from: 2*s + 1, cond: 2 * x, w: w}))
	}
	if l.val[2*x+1] == -1 && lo > l.hi(s) {
		return l.raise(2*x+1, 0, reason{kind: whyBounds, to: x, cond: -1, w: l.hi(s)})
	}
	return true
}

// settleBefore draws finish >= start + 1 where the order is no, or yes where
// that cannot be any more.
func (l *learner) settleBefore(x int32) bool {
	o := &l.orders[x]
	f, s, w := o.fin.x, o.start, 1-o.fin.add
	if l.val[2*x+1] == 0 {
		lo, hi := l.val[2*s]+w, l.val[2*f+1]+w
		return (lo <= l.val[2*f] || l.raise(2*f, lo, reason{kind: whyArc, from: 2 * s, cond: 2*x + 1, w: w})) &&
			(hi <= l.val[2*s+1] || l.raise(2*s+1, hi, reason{kind: whyArc, from: 2*f + 1, cond: 2*x + 1, w: w}))
	}
	if l.val[2*x] == 0 && l.hi(f)+o.fin.add <= l.lo(s) {
		return l.raise(2*x, 1, reason{kind: whyBounds, to: x, cond: -1, w: l.lo(s)})
	}
	return true
}
