package schedule

import (
	"fmt"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// drawProblem draws a small problem that uses every feature.
func drawProblem(t *rapid.T) Problem {
	p := Problem{Start: 0, Horizon: rapid.IntRange(6, 11).Draw(t, "horizon")}
	for range rapid.IntRange(0, 2).Draw(t, "calendars") {
		var c []Window
		at := rapid.IntRange(0, 3).Draw(t, "opens")
		for at < p.Horizon {
			to := at + rapid.IntRange(1, 5).Draw(t, "open")
			c = append(c, Window{at, to})
			at = to + rapid.IntRange(0, 3).Draw(t, "shut")
		}
		p.Calendars = append(p.Calendars, c)
	}
	calendar := func(what string) int { return rapid.IntRange(AnyTime, len(p.Calendars)-1).Draw(t, what) }
	for r := range rapid.IntRange(1, 3).Draw(t, "resources") {
		p.Resources = append(p.Resources, Resource{
			ID: fmt.Sprint("r", r), Capacity: rapid.IntRange(1, 2).Draw(t, "capacity"),
			Calendar: calendar("resource calendar"), Person: rapid.Bool().Draw(t, "person"),
		})
	}
	uses := func() []Use {
		var out []Use
		for r := range p.Resources {
			if a := rapid.IntRange(0, 2).Draw(t, "amount"); a > 0 {
				out = append(out, Use{r, min(a, 2)})
			}
		}
		return out
	}
	n := rapid.IntRange(1, 4).Draw(t, "tasks")
	for i := range n {
		task := Task{ID: string(rune('a' + i)), Duration: rapid.IntRange(0, 4).Draw(t, "duration"), Calendar: calendar("calendar")}
		switch rapid.IntRange(0, 5).Draw(t, "kind") {
		case 0:
			task.Uses = uses()
			task.Pausing = true
		case 1:
			for r := range p.Resources {
				task.Choices = append(task.Choices, []Use{{r, 1}})
			}
		case 2:
			task.Choices = [][]Use{uses(), uses()}
			task.Pausing = rapid.Bool().Draw(t, "pausing")
		default:
			task.Uses = uses()
		}
		if rapid.IntRange(0, 4).Draw(t, "released") == 0 {
			task.Release = At(rapid.IntRange(0, 6).Draw(t, "release"))
		}
		if rapid.IntRange(0, 4).Draw(t, "has due") == 0 {
			task.Due = At(rapid.IntRange(2, 10).Draw(t, "due"))
		}
		if rapid.IntRange(0, 5).Draw(t, "is fixed") == 0 && len(task.Choices) < 2 {
			task.Fixed = At(rapid.IntRange(-2, 3).Draw(t, "fixed"))
			task.Pausing = false
		}
		p.Tasks = append(p.Tasks, task)
	}
	if n > 1 {
		for range rapid.IntRange(0, 4).Draw(t, "lags") {
			l := Lag{From: rapid.IntRange(0, n-1).Draw(t, "from"), To: rapid.IntRange(0, n-1).Draw(t, "to")}
			if l.From == l.To {
				continue
			}
			l.Form = Form(rapid.IntRange(0, 1).Draw(t, "form"))
			l.Min = rapid.IntRange(-3, 3).Draw(t, "min")
			switch rapid.IntRange(0, 3).Draw(t, "max") {
			case 0:
				l.Max = At(l.Min + rapid.IntRange(0, 4).Draw(t, "room"))
			case 1:
				l.Min, l.Max = NoMin, At(rapid.IntRange(-2, 4).Draw(t, "most"))
			}
			p.Lags = append(p.Lags, l)
		}
	}
	if rapid.IntRange(0, 3).Draw(t, "has deadline") == 0 {
		p.Deadline = At(rapid.IntRange(4, p.Horizon).Draw(t, "deadline"))
	}
	return p
}

// enumerate calls yield with every schedule of p until it returns false, by
// trying all starts and choices and asking the checker.
func enumerate(p Problem, yield func(Schedule) bool) {
	n := len(p.Tasks)
	s := Schedule{Status: Feasible, Start: make([]int, n), Finish: make([]int, n), Choice: make([]int, n), Bound: -far}
	var place func(i int) bool
	place = func(i int) bool {
		if i == n {
			s.End = max(p.Start, slices.Max(s.Finish))
			for r := range p.Resources {
				if (checker{p, s}).capacity(r) != nil {
					return true
				}
			}
			return yield(s)
		}
		t := p.Tasks[i]
		from, to := p.Start, p.Horizon
		if at, ok := t.Fixed.Get(); ok {
			from, to = at, at
		}
		first, last := 0, len(t.Choices)-1
		if last < 0 {
			first, last = -1, -1
		}
		c := checker{p, s}
		for s.Choice[i] = first; s.Choice[i] <= last; s.Choice[i]++ {
			for s.Start[i] = from; s.Start[i] <= to; s.Start[i]++ {
				s.Finish[i] = s.Start[i] + t.Duration
				most := s.Finish[i]
				if t.Pausing {
					most = p.Horizon
				}
				for ; s.Finish[i] <= most; s.Finish[i]++ {
					if c.task(i) != nil || !c.lagsAmong(i) {
						continue
					}
					if !place(i + 1) {
						return false
					}
				}
			}
		}
		return true
	}
	place(0)
}

// lagsAmong reports whether the lags between the first tasks up to i hold.
func (c checker) lagsAmong(i int) bool {
	for _, l := range c.p.Lags {
		if max(l.From, l.To) == i && c.lag(l) != nil {
			return false
		}
	}
	return true
}

// Fit finds the smallest End of all schedules, or none where none exists.
func TestFitAgainstEnumeration(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		p := drawProblem(rt)
		best, any := far, false
		enumerate(p, func(s Schedule) bool {
			best, any = min(best, s.End), true
			return true
		})
		got, err := Fit(p, Options{})
		if err != nil {
			rt.Fatalf("%v\n%+v", err, p)
		}
		switch {
		case any && (got.Status != Proven || got.End != best):
			rt.Fatalf("got %v %d, want proven %d\n%+v", got.Status, got.End, best, p)
		case !any && got.Status != Infeasible:
			rt.Fatalf("got %v, want infeasible\n%+v", got.Status, p)
		}
	})
}

// Either engine alone closes every small problem with the same answer.
func TestEnginesAlone(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		p := drawProblem(rt)
		best := far
		enumerate(p, func(s Schedule) bool {
			best = min(best, s.End)
			return true
		})
		m, err := compile(p)
		if err != nil {
			rt.Fatal(err)
		}
		plainEnd, learntEnd := far, far
		s := newSearch(m, Options{})
		limit := max(m.limit, m.floor)
		s.floor = -far // so that it never stops early
		if s.e.root(limit) {
			if s.run(s.most, plain) != exhausted {
				rt.Fatal("search not exhausted")
			}
			if s.best.found() {
				plainEnd = s.best.end
			}
		}
		s = newSearch(m, Options{})
		if s.e.root(limit) {
			if l, ok := newLearner(s.e, limit); ok {
				l.audit = true
				if l.close(s.most, best-1, nil, func(a plan) { learntEnd = a.end }) != exhausted {
					rt.Fatal("learner not exhausted")
				}
			}
		}
		if plainEnd != best || learntEnd != best {
			rt.Fatalf("search %d, learner %d, enumeration %d\n%+v", plainEnd, learntEnd, best, p)
		}
	})
}
