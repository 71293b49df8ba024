package schedule

import (
	"reflect"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// fitted draws a problem and fits it.
func fitted(t *rapid.T, change func(*Problem)) (Problem, Schedule) {
	p := drawProblem(t)
	if change != nil {
		change(&p)
	}
	s, err := Fit(p, Options{})
	if err != nil {
		t.Fatalf("%v\n%+v", err, p)
	}
	return p, s
}

// moved is the schedule with other starts.
func moved(p Problem, s Schedule, start []int) Schedule {
	h := newHoursOf(p, nil)
	out := Schedule{Status: Feasible, Start: start, Choice: s.Choice, Bound: -far, End: p.Start}
	for i, t := range p.Tasks {
		uses := t.Uses
		if k := s.Choice[i]; k >= 0 {
			uses = append(slices.Clone(uses), t.Choices[k]...)
		}
		finish := start[i] + t.Duration
		if _, fixed := t.Fixed.Get(); !fixed {
			finish = h.starts(i, together(uses, nil)).finish(start[i])
		}
		out.Finish = append(out.Finish, finish)
		out.End = max(out.End, finish)
	}
	return out
}

// Starting all tasks at Latest is a valid schedule that is nowhere earlier.
func TestLatestIsASchedule(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		p, s := fitted(rt, nil)
		if s.Start == nil {
			return
		}
		if err := Check(p, moved(p, s, s.Latest)); err != nil {
			rt.Fatalf("%v\n%+v\n%+v", err, p, s)
		}
		for i := range s.Start {
			if s.Spare[i] != s.Latest[i]-s.Start[i] || s.Spare[i] < 0 {
				rt.Fatalf("task %d: start %d, latest %d, spare %d", i, s.Start[i], s.Latest[i], s.Spare[i])
			}
		}
	})
}

// Without resources nothing is ordered, and Latest is the largest start in any
// schedule that keeps the deadline (or the End); a task is critical when its
// start is the largest in any schedule with that End.
func TestLatestWithoutResources(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		p, s := fitted(rt, func(p *Problem) {
			for i := range p.Tasks {
				p.Tasks[i].Uses, p.Tasks[i].Choices = nil, nil
			}
		})
		if s.Start == nil {
			return
		}
		limit := s.End
		if d, ok := p.Deadline.Get(); ok {
			limit = d
		}
		last := slices.Repeat([]int{-far}, len(p.Tasks))
		lastOfEnd := slices.Clone(last)
		enumerate(p, func(o Schedule) bool {
			for i, v := range o.Start {
				if o.End <= max(limit, s.End) {
					last[i] = max(last[i], v)
				}
				if o.End <= s.End {
					lastOfEnd[i] = max(lastOfEnd[i], v)
				}
			}
			return true
		})
		for i := range last {
			if s.Latest[i] != last[i] || s.Critical[i] != (lastOfEnd[i] == s.Start[i]) {
				rt.Fatalf("task %d: latest %d, want %d; critical %v, last of the End %d\n%+v\n%+v", i, s.Latest[i], last[i], s.Critical[i], lastOfEnd[i], p, s)
			}
		}
	})
}

// Wait counts, minute by minute, what people spend idle between the first and
// the last work of a session.
func TestWaitCountsIdleMinutes(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		p, s := fitted(rt, nil)
		if s.Start == nil {
			return
		}
		c := checker{p, s}
		want := 0
		for r, res := range p.Resources {
			if !res.Person || res.Capacity != 1 || res.Calendar == AnyTime {
				continue
			}
			for _, w := range Union(p.Calendars[res.Calendar]) {
				if w.To <= p.Start {
					continue
				}
				idle, since := 0, -1
				for m := w.From; m < w.To; m++ {
					busy := false
					for i := range p.Tasks {
						busy = busy || c.held(i, r) > 0 && s.Start[i] <= m && m < s.Finish[i]
					}
					switch {
					case busy:
						if since >= 0 {
							idle += m - since - 1
						}
						since = m
					}
				}
				want += idle
			}
		}
		if s.Wait != want {
			rt.Fatalf("wait %d, want %d\n%+v\n%+v", s.Wait, want, p, s)
		}
	})
}

// The same problem, seed and nodes give the same schedule.
func TestFitIsDeterministic(t *testing.T) {
	for _, same := range []bool{false, true} {
		p := threePeople(3, 8, same)
		a, err := Fit(p, Options{Seed: 7, Nodes: 3000})
		if err != nil {
			t.Fatal(err)
		}
		b, err := Fit(p, Options{Seed: 7, Nodes: 3000})
		if err != nil {
			t.Fatal(err)
		}
		if !reflect.DeepEqual(a, b) {
			t.Errorf("same hours %v: two runs differ", same)
		}
	}
}

// The facts of a reason are impossible by themselves: a problem made of them
// alone has no schedule.
func TestWhyIsImpossibleAlone(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		p, s := fitted(rt, nil)
		if s.Status != Infeasible {
			return
		}
		q, ok := stated(rt, p, s.Why)
		if !ok {
			return
		}
		enumerate(q, func(o Schedule) bool {
			rt.Fatalf("the facts allow %v\n%v\n%+v\n%+v", o.Start, s.Why, p, q)
			return false
		})
	})
}

// stated makes a problem of the facts of a reason alone; not ok where hours
// differ from choice to choice, which facts by task cannot say.
func stated(t *rapid.T, p Problem, why Reason) (Problem, bool) {
	if len(why.Facts) == 0 {
		t.Fatalf("no reason given\n%+v", p)
	}
	index := map[string]int{}
	q := Problem{Start: p.Start, Horizon: p.Horizon}
	for _, r := range p.Resources {
		q.Resources = append(q.Resources, Resource{ID: r.ID, Capacity: reach, Calendar: AnyTime})
	}
	h := newHoursOf(p, nil)
	add := func(id string) int {
		if i, ok := index[id]; ok {
			return i
		}
		k := slices.IndexFunc(p.Tasks, func(t Task) bool { return t.ID == id })
		task := p.Tasks[k]
		q.Tasks = append(q.Tasks, Task{ID: id, Duration: task.Duration, Uses: task.Uses, Choices: task.Choices, Pausing: task.Pausing, Calendar: AnyTime})
		index[id] = len(q.Tasks) - 1
		return index[id]
	}
	ok := true
	keepHours := func(id string) {
		k := slices.IndexFunc(p.Tasks, func(t Task) bool { return t.ID == id })
		task := p.Tasks[k]
		open := h.of(k, together(task.Uses, nil))
		for c, choice := range task.Choices {
			o := h.of(k, together(task.Uses, choice))
			if c > 0 && !slices.Equal(o, open) {
				ok = false
			}
			open = o
		}
		if open != nil {
			q.Calendars = append(q.Calendars, open)
			q.Tasks[add(id)].Calendar = len(q.Calendars) - 1
		}
	}
	for _, f := range why.Facts {
		switch f.Kind {
		case FactStarts:
			q.Tasks[add(f.Task)].Release = At(f.At)
		case FactFixed:
			q.Tasks[add(f.Task)].Fixed = At(f.At)
		case FactTakes:
			if got := q.Tasks[add(f.Task)].Duration; got != f.Minutes {
				t.Fatalf("%s takes %d, not %d", f.Task, got, f.Minutes)
			}
		case FactMin:
			q.Lags = append(q.Lags, Lag{From: add(f.Task), To: add(f.To), Form: f.Form, Min: f.Minutes})
		case FactMax:
			q.Lags = append(q.Lags, Lag{From: add(f.Task), To: add(f.To), Form: f.Form, Min: NoMin, Max: At(f.Minutes)})
		case FactHours, FactNoHours, FactAgain, FactPauses:
			add(f.Task)
			keepHours(f.Task)
		case FactDue, FactDeadline, FactHorizon:
			q.Tasks[add(f.Task)].Due = At(f.At)
		case FactNeeds:
			add(f.Task)
		case FactCapacity:
			r := slices.IndexFunc(q.Resources, func(r Resource) bool { return r.ID == f.Resource })
			q.Resources[r].Capacity = f.Amount
		case FactLoad, FactSlots:
		default:
			t.Fatalf("fact %v", f)
		}
	}
	return q, ok
}

// Decides names the first session that cannot be lost.
func TestDecidesAgainstEnumeration(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		p, s := fitted(rt, func(p *Problem) {
			for i := range p.Resources {
				p.Resources[i].Person = false
			}
			p.Deadline = At(p.Horizon - 1)
		})
		if s.Start == nil {
			return
		}
		got, found, err := Decides(p, s, Options{})
		if err != nil {
			rt.Fatal(err)
		}
		var all []Session
		for c, windows := range p.Calendars {
			for _, w := range windows {
				all = append(all, Session{Calendar: c, Window: w, Proven: true})
			}
		}
		slices.SortStableFunc(all, func(a, b Session) int { return a.Window.From - b.Window.From })
		for _, c := range all {
			possible := false
			enumerate(without(p, c), func(Schedule) bool {
				possible = true
				return false
			})
			if !possible {
				if !found || got != c {
					rt.Fatalf("got %+v %v, want %+v\n%+v", got, found, c, p)
				}
				return
			}
		}
		if found {
			rt.Fatalf("got %+v, want none\n%+v", got, p)
		}
	})
}
