package schedule

import "math"

// far lies beyond every time; -far before every time.
const far = math.MaxInt / 4

// starts are the allowed starts of one piece of work and the finish that
// belongs to each. All methods are non-decreasing in their argument, which is
// what makes a least and a greatest solution exist (see the package comment).
type starts struct {
	dur     int
	span    [][2]int // closed intervals of allowed starts, ascending
	pausing bool
	win     []Window // pausing only: the open hours
	before  []int    // pausing only: open minutes before win[k]
}

// anyStart allows every start.
func anyStart(dur int) *starts { return &starts{dur: dur, span: [][2]int{{-far, far}}} }

// oneStart allows a single start.
func oneStart(at, dur int) *starts { return &starts{dur: dur, span: [][2]int{{at, at}}} }

// wholeStarts allows the starts from which dur minutes fit into one window.
// The windows must neither overlap nor touch.
func wholeStarts(win []Window, dur int) *starts {
	a := &starts{dur: dur}
	for _, w := range win {
		if w.To-w.From >= dur {
			a.span = append(a.span, [2]int{w.From, w.To - dur})
		}
	}
	return a
}

// pausingStarts allows the starts inside a window from which dur open minutes
// follow.
func pausingStarts(win []Window, dur int) *starts {
	if dur == 0 {
		return wholeStarts(win, 0)
	}
	a := &starts{dur: dur, pausing: true, win: win}
	total := 0
	for _, w := range win {
		a.before = append(a.before, total)
		total += w.To - w.From
	}
	for k, w := range win {
		// The last start of window k leaves total - before - (s - From) >= dur.
		last := min(w.To-1, w.From+total-a.before[k]-dur)
		if last >= w.From {
			a.span = append(a.span, [2]int{w.From, last})
		}
	}
	return a
}

// next returns the first allowed start at or after s, far if there is none.
func (a *starts) next(s int) int {
	lo, hi := 0, len(a.span)
	for lo < hi {
		m := int(uint(lo+hi) >> 1)
		if a.span[m][1] < s {
			lo = m + 1
		} else {
			hi = m
		}
	}
	if lo == len(a.span) {
		return far
	}
	return max(s, a.span[lo][0])
}

// prev returns the last allowed start at or before s, -far if there is none.
func (a *starts) prev(s int) int {
	lo, hi := 0, len(a.span)
	for lo < hi {
		m := int(uint(lo+hi) >> 1)
		if a.span[m][0] <= s {
			lo = m + 1
		} else {
			hi = m
		}
	}
	if lo == 0 {
		return -far
	}
	return min(s, a.span[lo-1][1])
}

// finish returns the finish of the allowed start s.
func (a *starts) finish(s int) int {
	if !a.pausing || s >= far || s <= -far {
		return s + a.dur
	}
	k := a.window(s)
	done := a.before[k] + s - a.win[k].From + a.dur // open minutes passed at the finish
	k = a.reached(done)
	return a.win[k].From + done - a.before[k]
}

// startFor returns the first allowed start whose finish is x or later.
func (a *starts) startFor(x int) int {
	if !a.pausing {
		return a.next(x - a.dur)
	}
	lo, hi := 0, len(a.span) // first interval whose last start finishes late enough
	for lo < hi {
		m := int(uint(lo+hi) >> 1)
		if a.finish(a.span[m][1]) < x {
			lo = m + 1
		} else {
			hi = m
		}
	}
	if lo == len(a.span) {
		return far
	}
	from, to := a.span[lo][0], a.span[lo][1]
	for from < to {
		m := from + (to-from)/2
		if a.finish(m) < x {
			from = m + 1
		} else {
			to = m
		}
	}
	return from
}

// startBy returns the last allowed start whose finish is x or earlier.
func (a *starts) startBy(x int) int {
	if !a.pausing {
		return a.prev(x - a.dur)
	}
	s := a.startFor(x + 1) // the first that is too late
	if s >= far {
		if len(a.span) == 0 {
			return -far
		}
		return a.span[len(a.span)-1][1]
	}
	return a.prev(s - 1)
}

// window returns the window that holds minute s.
func (a *starts) window(s int) int {
	lo, hi := 0, len(a.win)
	for lo < hi {
		m := int(uint(lo+hi) >> 1)
		if a.win[m].To <= s {
			lo = m + 1
		} else {
			hi = m
		}
	}
	return lo
}

// reached returns the window in which the open minutes since the first window
// come to done, at least 1 and at most all.
func (a *starts) reached(done int) int {
	lo, hi := 0, len(a.win)-1 // last window with before < done
	for lo < hi {
		m := int(uint(lo+hi+1) >> 1)
		if a.before[m] < done {
			lo = m
		} else {
			hi = m - 1
		}
	}
	return lo
}
