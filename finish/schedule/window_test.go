package schedule

import (
	"testing"

	"pgregory.net/rapid"
)

func drawWindows(t *rapid.T, label string) []Window {
	return rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Window {
		from := rapid.IntRange(-5, 30).Draw(t, "from")
		return Window{from, from + rapid.IntRange(-1, 8).Draw(t, "length")}
	}), 0, 6).Draw(t, label)
}

func contains(list []Window, m int) bool {
	for _, w := range list {
		if w.From <= m && m < w.To {
			return true
		}
	}
	return false
}

// The window algebra agrees, minute by minute, with the algebra of sets, and
// its results neither overlap nor touch.
func TestWindowsAreSetsOfMinutes(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		a, b := drawWindows(rt, "a"), drawWindows(rt, "b")
		check := func(name string, got []Window, want func(inA, inB bool) bool) {
			open := 0
			for m := -10; m < 50; m++ {
				w := want(contains(a, m), contains(b, m))
				if contains(got, m) != w {
					rt.Fatalf("%s: minute %d: %v", name, m, got)
				}
				if w {
					open++
				}
			}
			for i, w := range got {
				if w.From >= w.To || i > 0 && w.From <= got[i-1].To {
					rt.Fatalf("%s: out of form: %v", name, got)
				}
			}
			if n := Open(got, -10, 50); n != open {
				rt.Fatalf("%s: open %d, want %d", name, n, open)
			}
		}
		check("union", Union(a, b), func(x, y bool) bool { return x || y })
		check("intersection", Intersect(a, b), func(x, y bool) bool { return x && y })
		check("difference", Subtract(a, b), func(x, y bool) bool { return x && !y })
	})
}

// The starts of a duration in a list of windows are those a search minute by
// minute finds, and all four questions agree with it.
func TestStartsAgainstMinutes(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		win := Union(drawWindows(rt, "windows"))
		dur := rapid.IntRange(0, 9).Draw(rt, "duration")
		pausing := rapid.Bool().Draw(rt, "pausing")
		a := wholeStarts(win, dur)
		if pausing {
			a = pausingStarts(win, dur)
		}
		finish := map[int]int{}
		for s := -10; s < 50; s++ {
			if f, ok := naiveFinish(win, s, dur, pausing); ok {
				finish[s] = f
			}
		}
		for x := -10; x < 50; x++ {
			next, prev, startFor, startBy := far, -far, far, -far
			for s := 49; s >= -10; s-- {
				f, ok := finish[s]
				if !ok {
					continue
				}
				if s >= x {
					next = s
				}
				if f >= x {
					startFor = s
				}
				if s <= x {
					prev = max(prev, s)
				}
				if f <= x {
					startBy = max(startBy, s)
				}
			}
			if got := [4]int{a.next(x), a.prev(x), a.startFor(x), a.startBy(x)}; got != [4]int{next, prev, startFor, startBy} {
				rt.Fatalf("at %d in %v for %d, pausing %v: next, prev, startFor, startBy %v, want %v", x, win, dur, pausing, got, [4]int{next, prev, startFor, startBy})
			}
			if f, ok := finish[x]; ok && a.finish(x) != f {
				rt.Fatalf("start %d in %v for %d: finish %d, want %d", x, win, dur, a.finish(x), f)
			}
		}
	})
}

func naiveFinish(win []Window, s, dur int, pausing bool) (int, bool) {
	if dur == 0 {
		return s, contains(win, s) || contains(win, s-1)
	}
	if !contains(win, s) {
		return 0, false
	}
	m := s
	for left := dur; left > 0; m++ {
		if m > 60 {
			return 0, false
		}
		if contains(win, m) {
			left--
		} else if !pausing {
			return 0, false
		}
	}
	return m, true
}

// What a supply can give agrees with packing whole tasks window by window, and
// the quick form with places agrees with the plain one.
func TestSupplyAgainstPacking(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		win := Union(drawWindows(rt, "windows"))
		if win == nil {
			win = []Window{}
		}
		durs := rapid.SliceOfN(rapid.IntRange(1, 9), 1, 5).Draw(rt, "durations")
		s := supply{cap: 1, win: win, fit: fits(durs, 40)}
		s.sum()
		a := rapid.IntRange(-8, 40).Draw(rt, "a")
		b := rapid.IntRange(a, 48).Draw(rt, "b")
		want := 0
		for _, w := range win {
			room, most := min(w.To, b)-max(w.From, a), 0
			for set := range 1 << len(durs) {
				sum := 0
				for k, d := range durs {
					if set>>k&1 == 1 {
						sum += d
					}
				}
				if sum <= room {
					most = max(most, sum)
				}
			}
			want += most
		}
		if got := s.within(a, b); got != want {
			rt.Fatalf("within [%d, %d) of %v: %d, want %d", a, b, win, got, want)
		}
		if got := s.between(s.place(a), s.place(b), a, b); got != want {
			rt.Fatalf("between [%d, %d) of %v: %d, want %d", a, b, win, got, want)
		}
	})
}
