package schedule

import "slices"

// levelOf returns the entry that made an atom hold and its level; -1 and 0
// when it holds without any decision.
func (l *learner) levelOf(a atom) (at, level int32) {
	if a.v <= l.base[a.side] {
		return -1, 0
	}
	at = l.last[a.side]
	for l.trail[at].old >= a.v {
		at = l.trail[at].before
	}
	return at, l.trail[at].level
}

// analyse works out, from the failure in broken, the nogood to learn (first the
// atom to deny) and the level to go back to. It returns false when the failure
// does not rest on any decision: the search is over.
func (l *learner) analyse() (learnt []atom, back int32, ok bool) {
	top := int32(0)
	for _, a := range l.broken {
		_, lv := l.levelOf(a)
		top = max(top, lv)
	}
	if top == 0 {
		return nil, 0, false
	}
	l.undo(top)
	open := 0 // atoms wanted that hold only since the top level
	want := func(a atom) {
		_, lv := l.levelOf(a)
		if lv == 0 {
			return
		}
		if l.wanted[a.side] > 0 {
			if l.need[a.side] >= a.v {
				return
			}
			if l.wanted[a.side] == top+1 {
				open--
			}
		} else {
			l.sides = append(l.sides, a.side)
		}
		l.need[a.side], l.wanted[a.side] = a.v, lv+1
		if lv == top {
			open++
		}
	}
	for _, a := range l.broken {
		want(a)
	}
	var first atom
	for at := len(l.trail) - 1; ; at-- {
		e := &l.trail[at]
		if l.wanted[e.side] == 0 || l.need[e.side] <= e.old {
			continue
		}
		l.bump(e.side / 2)
		if open == 1 {
			first = atom{e.side, l.need[e.side]}
			break
		}
		l.wanted[e.side] = 0
		open--
		l.buf = l.unfold(l.buf[:0], &e.why, e.side, l.need[e.side])
		for _, a := range l.buf {
			want(a)
		}
	}
	learnt = append(learnt, first)
	for _, s := range l.sides {
		if l.wanted[s] > 0 && s != first.side && !l.implied(atom{s, l.need[s]}) {
			learnt = append(learnt, atom{s, l.need[s]})
		}
	}
	for _, s := range l.sides {
		l.wanted[s] = 0
	}
	l.sides = l.sides[:0]
	for k := 1; k < len(learnt); k++ {
		if _, lv := l.levelOf(learnt[k]); lv > back {
			back = lv
			learnt[1], learnt[k] = learnt[k], learnt[1]
		}
	}
	return learnt, back, true
}

// implied reports whether an atom of the nogood follows from the others.
func (l *learner) implied(a atom) bool {
	at, _ := l.levelOf(a)
	e := &l.trail[at]
	if e.why.kind == whyDecided {
		return false
	}
	l.buf = l.unfold(l.buf[:0], &e.why, a.side, a.v)
	for _, b := range l.buf {
		if b.v <= l.base[b.side] {
			continue
		}
		if b.side == a.side || l.wanted[b.side] == 0 || l.need[b.side] < b.v {
			return false
		}
		if by, _ := l.levelOf(atom{b.side, l.need[b.side]}); by >= at {
			return false
		}
	}
	return true
}

// undo goes back to the end of a level.
func (l *learner) undo(level int32) {
	if int(level) >= len(l.levels) {
		return
	}
	to := int(l.levels[level])
	for k := len(l.trail) - 1; k >= to; k-- {
		e := &l.trail[k]
		l.val[e.side] = e.old
		l.last[e.side] = e.before
		l.mirror(e.side)
		if k == to {
			l.written = l.written[:e.written]
		}
	}
	l.trail = l.trail[:to]
	l.levels = l.levels[:level]
	l.head = min(l.head, to)
}

// learn goes back and denies the first atom of a learnt nogood.
func (l *learner) learn(atoms []atom, back int32) bool {
	l.undo(back)
	o := atoms[0].opposite()
	if len(atoms) == 1 {
		return l.raise(o.side, o.v, reason{kind: whyDecided, cond: -1})
	}
	ng := int32(len(l.nogoods))
	spread := map[int32]bool{}
	for _, a := range atoms[1:] {
		_, lv := l.levelOf(a)
		spread[lv] = true
	}
	l.nogoods = append(l.nogoods, nogood{slices.Clone(atoms), l.inc, len(spread) + 1})
	l.watchFirst(ng)
	return l.raise(o.side, o.v, reason{kind: whyNogood, from: ng, cond: -1})
}

// bump makes a variable more likely to be branched on.
func (l *learner) bump(x int32) {
	l.act[x] += l.inc
	if l.act[x] > 1e100 {
		for k := range l.act {
			l.act[k] *= 1e-100
		}
		l.inc *= 1e-100
	}
}

// forget drops the worse half of the learnt nogoods. Only at the base, where
// no reason rests on one.
func (l *learner) forget() {
	learnt := l.nogoods[l.given:]
	if len(learnt) < l.most {
		return
	}
	spreads := make([]int, len(learnt))
	for k := range learnt {
		spreads[k] = learnt[k].spread
	}
	slices.Sort(spreads)
	mid := spreads[len(spreads)/2]
	kept := l.nogoods[:l.given]
	for k := range learnt {
		// Of those at the middle, the younger half stays.
		if s := learnt[k].spread; s < mid || s == mid && k > len(learnt)/2 || s <= 2 {
			kept = append(kept, learnt[k])
		}
	}
	clear(l.nogoods[len(kept):])
	l.nogoods = kept
	l.most += l.most / 20
	for s := range l.watch {
		l.watch[s] = l.watch[s][:0]
	}
	for k := range l.nogoods {
		l.rewatch(int32(k))
	}
}

// rewatch watches a nogood anew: two atoms that do not hold, where there are.
func (l *learner) rewatch(ng int32) {
	as := l.nogoods[ng].atoms
	at := 0
	for k := range as {
		if at < 2 && !l.holds(as[k]) {
			as[at], as[k] = as[k], as[at]
			at++
		}
	}
	l.watchFirst(ng)
}
