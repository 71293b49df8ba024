package schedule

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// bench is a small job: coat at 10, dry at once, coat again; one person, one
// place to dry.
func bench() (Problem, Schedule) {
	p := Problem{
		Horizon:   100,
		Calendars: [][]Window{{{10, 20}, {30, 40}}},
		Resources: []Resource{{ID: "hands", Capacity: 1, Calendar: 0, Person: true}, {ID: "rail", Capacity: 1, Calendar: AnyTime}},
		Tasks: []Task{
			{ID: "coat 1", Duration: 4, Uses: []Use{{0, 1}}, Calendar: AnyTime},
			{ID: "dry 1", Duration: 14, Uses: []Use{{1, 1}}, Calendar: AnyTime},
			{ID: "coat 2", Duration: 5, Uses: []Use{{0, 1}}, Calendar: AnyTime, Due: At(38)},
		},
		Lags: []Lag{{From: 0, To: 1, Max: At(0)}, {From: 1, To: 2, Max: At(6)}},
	}
	s := Schedule{Status: Feasible, Start: []int{12, 16, 30}, Finish: []int{16, 30, 35}, Choice: []int{-1, -1, -1}, End: 35, Bound: 33}
	return p, s
}

func TestCheckNamesTheRule(t *testing.T) {
	if p, s := bench(); Check(p, s) != nil {
		t.Fatal(Check(p, s))
	}
	move := func(s *Schedule, i, by int) { s.Start[i] += by; s.Finish[i] += by }
	for want, change := range map[string]func(*Problem, *Schedule){
		"outside its hours":     func(_ *Problem, s *Schedule) { move(s, 0, -3) },
		"works 4 minutes":       func(p *Problem, _ *Schedule) { p.Tasks[0].Duration = 5 },
		"wait at most 0":        func(_ *Problem, s *Schedule) { move(s, 1, 1); move(s, 2, 1) },
		"wait at most 6":        func(p *Problem, s *Schedule) { p.Tasks[2].Due = Limit{}; move(s, 0, -2); move(s, 1, -2); move(s, 2, 5) },
		"wait at least 1":       func(p *Problem, _ *Schedule) { p.Lags[1].Min = 1 },
		"due at 34":             func(p *Problem, _ *Schedule) { p.Tasks[2].Due = At(34) },
		"after the deadline 34": func(p *Problem, _ *Schedule) { p.Deadline = At(34) },
		"after the horizon 34":  func(p *Problem, _ *Schedule) { p.Horizon = 34 },
		"before its release":    func(p *Problem, _ *Schedule) { p.Tasks[0].Release = At(13) },
		"is fixed at 13":        func(p *Problem, _ *Schedule) { p.Tasks[0].Fixed = At(13) },
		"2 in use: capacity 1": func(p *Problem, _ *Schedule) {
			p.Tasks[0].Uses[0] = Use{1, 2}
			p.Tasks[0].Uses = append(p.Tasks[0].Uses, Use{0, 1})
		},
		"largest finish is 35": func(_ *Problem, s *Schedule) { s.End = 36 },
		"bound 36":             func(_ *Problem, s *Schedule) { s.Bound = 36 },
		"proven":               func(_ *Problem, s *Schedule) { s.Status = Proven },
		"choice 0 of 0":        func(_ *Problem, s *Schedule) { s.Choice[0] = 0 },
		"choice -1 of 1":       func(p *Problem, _ *Schedule) { p.Tasks[0].Choices = [][]Use{nil} },
		"for 3 tasks":          func(_ *Problem, s *Schedule) { s.Start = s.Start[:2] },
		"carries starts":       func(_ *Problem, s *Schedule) { s.Status = Infeasible },
	} {
		p, s := bench()
		change(&p, &s)
		if err := Check(p, s); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: error %v", want, err)
		}
	}
}

// Check passes exactly the schedules that break no rule when every minute is
// looked at one by one.
func TestCheckAgainstMinutes(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		p := drawProblem(rt)
		n := len(p.Tasks)
		s := Schedule{Status: Feasible, Start: make([]int, n), Finish: make([]int, n), Choice: slices.Repeat([]int{-1}, n), Bound: -far, End: p.Start}
		for i, task := range p.Tasks {
			if len(task.Choices) > 0 {
				s.Choice[i] = rapid.IntRange(0, len(task.Choices)-1).Draw(rt, "choice")
			}
			s.Start[i] = rapid.IntRange(-1, p.Horizon).Draw(rt, "start")
			if at, ok := task.Fixed.Get(); ok {
				s.Start[i] = at
			}
			s.Finish[i] = s.Start[i] + task.Duration
			if task.Pausing {
				s.Finish[i] += rapid.IntRange(0, 2).Draw(rt, "pause")
			}
			s.End = max(s.End, s.Finish[i])
		}
		if got, want := Check(p, s) == nil, keepsAll(p, s); got != want {
			rt.Fatalf("check %v, minutes %v\n%+v\n%+v", Check(p, s), want, p, s)
		}
	})
}

// keepsAll is Check worked out minute by minute.
func keepsAll(p Problem, s Schedule) bool {
	uses := func(i int) map[int]int {
		out := map[int]int{}
		add := func(us []Use) {
			for _, u := range us {
				out[u.Resource] += u.Amount
			}
		}
		add(p.Tasks[i].Uses)
		if k := s.Choice[i]; k >= 0 {
			add(p.Tasks[i].Choices[k])
		}
		return out
	}
	fixed := func(i int) bool { _, ok := p.Tasks[i].Fixed.Get(); return ok }
	limit := func(l Limit, none int) int {
		if v, ok := l.Get(); ok {
			return v
		}
		return none
	}
	for i, t := range p.Tasks {
		if fixed(i) {
			continue
		}
		open := func(m int) bool {
			in := t.Calendar == AnyTime || contains(p.Calendars[t.Calendar], m)
			for r, a := range uses(i) {
				c := p.Resources[r].Calendar
				in = in && (a == 0 || c == AnyTime || contains(p.Calendars[c], m))
			}
			return in
		}
		if f, ok := naiveRun(open, s.Start[i], t.Duration, t.Pausing); !ok || f != s.Finish[i] {
			return false
		}
		if s.Start[i] < max(p.Start, limit(t.Release, -far)) || s.Finish[i] > min(p.Horizon, limit(t.Due, far), limit(p.Deadline, far)) {
			return false
		}
	}
	for _, l := range p.Lags {
		from := s.Finish[l.From]
		if l.Form == StartToStart {
			from = s.Start[l.From]
		}
		if w := s.Start[l.To] - from; !(fixed(l.From) && fixed(l.To)) && (w < l.Min || w > limit(l.Max, far)) {
			return false
		}
	}
	for m := -10; m < 40; m++ {
		for r, res := range p.Resources {
			sum, free := 0, false
			for i := range p.Tasks {
				if a := uses(i)[r]; a > 0 && s.Start[i] <= m && m < s.Finish[i] {
					sum += a
					free = free || !fixed(i)
				}
			}
			if free && sum > res.Capacity {
				return false
			}
		}
	}
	return true
}

// naiveRun is the finish of work that starts at s.
func naiveRun(open func(int) bool, s, dur int, pausing bool) (int, bool) {
	if dur == 0 {
		return s, open(s) || open(s-1)
	}
	if !open(s) {
		return 0, false
	}
	m := s
	for left := dur; left > 0; m++ {
		switch {
		case m > 60:
			return 0, false
		case open(m):
			left--
		case !pausing:
			return 0, false
		}
	}
	return m, true
}

func TestRefusesNonsense(t *testing.T) {
	for want, change := range map[string]func(*Problem){
		"horizon 0: must be after": func(p *Problem) { p.Horizon = 0 },
		"must lie within":          func(p *Problem) { p.Horizon = 1 << 40 },
		"overlaps or precedes":     func(p *Problem) { p.Calendars[0][1].From = 15 },
		"must end after it begins": func(p *Problem) { p.Calendars[0][1].To = 30 },
		"calendar 0: must lie":     func(p *Problem) { p.Calendars[0][1].To = 1 << 40 },
		"deadline 1099511627776":   func(p *Problem) { p.Deadline = At(1 << 40) },
		"release -1099511627776":   func(p *Problem) { p.Tasks[1].Release = At(-1 << 40) },
		"capacity -1":              func(p *Problem) { p.Resources[0].Capacity = -1 },
		`"hands": no calendar 1`:   func(p *Problem) { p.Resources[0].Calendar = 1 },
		`"coat 1": no calendar -2`: func(p *Problem) { p.Tasks[0].Calendar = -2 },
		"duration -1":              func(p *Problem) { p.Tasks[0].Duration = -1 },
		"no resource 2":            func(p *Problem) { p.Tasks[0].Uses[0].Resource = 2 },
		"amount -1":                func(p *Problem) { p.Tasks[0].Uses[0].Amount = -1 },
		"70 choices: at most 63":   func(p *Problem) { p.Tasks[0].Choices = make([][]Use, 70) },
		"at most one choice":       func(p *Problem) { p.Tasks[0].Choices = make([][]Use, 2); p.Tasks[0].Fixed = At(0) },
		"no such task":             func(p *Problem) { p.Lags[0].To = 3 },
		"waits for itself":         func(p *Problem) { p.Lags[0].To = 0 },
		"unknown form 7":           func(p *Problem) { p.Lags[0].Form = 7 },
		"lag 0: must lie within":   func(p *Problem) { p.Lags[0].Min = NoMin + 1 },
		"its hours end before":     func(p *Problem) { p.Tasks[0].Fixed = At(38); p.Tasks[0].Pausing = true },
	} {
		p, _ := bench()
		change(&p)
		if _, err := Fit(p, Options{}); !errors.Is(err, ErrProblem) || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: error %v", want, err)
		}
	}
}
