package schedule

// A variable of the learner is a whole number within bounds: the start of a
// task, a finish that is not start + duration, a choice (0 or 1), an order of
// two tasks (0 or 1), the End. Side 2x bounds variable x from below, side 2x+1
// bounds -x from below, so that every move of a bound is a rise.

// An atom states that a side is at least v.
type atom struct {
	side int32
	v    int
}

// opposite is the atom that holds exactly when a does not.
func (a atom) opposite() atom { return atom{a.side ^ 1, 1 - a.v} }

// atLeast is x >= v.
func atLeast(x int32, v int) atom { return atom{2 * x, v} }

// atMost is x <= v.
func atMost(x int32, v int) atom { return atom{2*x + 1, -v} }

// yes and no are the values of a variable that is 0 or 1.
func yes(x int32) atom { return atLeast(x, 1) }
func no(x int32) atom  { return atMost(x, 0) }

// An entry of the trail is one rise of one side.
type entry struct {
	why      reason
	old, new int
	side     int32
	before   int32 // the entry that moved the side before, -1 if none
	level    int32
	written  int32 // length of the written reasons before this entry
}

// A reason tells how a rise follows from other atoms. It is unfolded only when
// a failure is analysed, and then for the value that mattered.
type reason struct {
	kind reasonKind
	from int32 // the source side, the nogood or the start of written atoms
	to   int32 // the end of written atoms, or a variable
	cond int32 // side of a 0/1 variable that must hold too, or -1
	w    int   // weight or value
	at   *starts
}

type reasonKind uint8

const (
	whyDecided reasonKind = iota
	whyArc                // side from, plus w
	whyHours              // the side itself, moved out of a gap of at
	whyFinish             // side from (a start) through the pause to the finish
	whyStart              // side from (a finish) through the pause to the start
	whyNogood             // the other atoms of nogood from
	whyClosed             // no start of at is left below w: rules a mode out
	whyBounds             // finish from and start to, either side of w: settles an order
	whyAtoms              // written atoms from..to
)

// condition is the atom a reason's cond stands for: a 0/1 variable at 1 on its
// lower side, at 0 on its upper side.
func condition(side int32) atom { return atom{side, 1 - int(side&1)} }

// unfold appends atoms from which side >= v follows by the reason.
func (l *learner) unfold(out []atom, why *reason, side int32, v int) []atom {
	if why.cond >= 0 {
		out = append(out, condition(why.cond))
	}
	up := side&1 == 0
	switch why.kind {
	case whyArc:
		out = append(out, atom{why.from, v - why.w})
	case whyHours:
		if up { // any later start than prev(v-1) is v or later
			out = append(out, atom{side, why.at.prev(v-1) + 1})
		} else {
			out = append(out, atom{side, 1 - why.at.next(1-v)})
		}
	case whyFinish:
		if up {
			out = append(out, atom{why.from, why.at.startBy(v-1) + 1})
		} else {
			out = append(out, atom{why.from, 1 - why.at.startFor(1-v)})
		}
	case whyStart:
		if up {
			out = append(out, atom{why.from, why.at.finish(why.at.prev(v-1)) + 1})
		} else {
			out = append(out, atom{why.from, 1 - why.at.finish(why.at.next(1-v))})
		}
	case whyNogood:
		for _, a := range l.nogoods[why.from].atoms {
			if a.side != side^1 {
				out = append(out, a)
			}
		}
	case whyClosed:
		out = append(out, atom{why.from, why.at.prev(why.w) + 1}, atom{why.from ^ 1, -why.w})
	case whyBounds:
		o := l.orders[why.to]
		if side&1 == 1 { // not i before j: i finishes after w, j starts by w
			out = append(out, atom{2 * o.fin.x, why.w + 1 - o.fin.add}, atom{2*o.start + 1, -why.w})
		} else { // i finishes by w, j starts at w or later
			out = append(out, atom{2*o.fin.x + 1, o.fin.add - why.w}, atom{2 * o.start, why.w})
		}
	case whyAtoms:
		out = append(out, l.written[why.from:why.to]...)
	}
	return out
}
