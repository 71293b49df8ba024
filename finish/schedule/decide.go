package schedule

import (
	"fmt"
	"slices"
)

// A Session is one window of one calendar. Proven says that without it no
// schedule exists; otherwise the effort ran out before one was found.
type Session struct {
	Calendar int // index into Problem.Calendars
	Window   Window
	Proven   bool
}

// Decides returns the first session, by the time it opens and then by calendar,
// whose loss makes the problem impossible: the evening that must not be
// missed. Sessions are the windows of the calendars of people, or of all
// calendars where no person has one; what lies before the start of the problem
// is past. It returns false when every single one may be lost, which without a
// deadline or due dates only the horizon can prevent.
//
// s is a schedule of p as Fit returned it; o bounds the effort per session.
// Every session that s does not use may be lost.
func Decides(p Problem, s Schedule, o Options) (Session, bool, error) {
	if err := Check(p, s); err != nil {
		return Session{}, false, fmt.Errorf("find deciding session: %w", err)
	}
	if s.Start == nil {
		return Session{}, false, fmt.Errorf("find deciding session: %w: the schedule is %v", ErrProblem, s.Status)
	}
	p = pastKept(p, s)
	for _, c := range sessionsOf(p) {
		if !usesSession(p, s, c) {
			continue
		}
		status, err := possible(without(p, c), o)
		if err != nil {
			return Session{}, false, fmt.Errorf("find deciding session: %w", err)
		}
		if status == Infeasible || status == Unknown {
			c.Proven = status == Infeasible
			return c, true, nil
		}
	}
	return Session{}, false, nil
}

// sessionsOf lists what may be lost, in order of time.
func sessionsOf(p Problem) []Session {
	var calendars []int
	for _, r := range p.Resources {
		if r.Person && r.Calendar != AnyTime {
			calendars = append(calendars, r.Calendar)
		}
	}
	if len(calendars) == 0 {
		for c := range p.Calendars {
			calendars = append(calendars, c)
		}
	}
	slices.Sort(calendars)
	var out []Session
	for _, c := range slices.Compact(calendars) {
		for _, w := range p.Calendars[c] {
			if w.To > p.Start {
				out = append(out, Session{Calendar: c, Window: w})
			}
		}
	}
	slices.SortStableFunc(out, func(a, b Session) int { return a.Window.From - b.Window.From })
	return out
}

// usesSession reports whether a free task that keeps to the calendar runs
// within the window.
func usesSession(p Problem, s Schedule, c Session) bool {
	h := newHoursOf(p, nil)
	for i, t := range p.Tasks {
		if _, fixed := t.Fixed.Get(); fixed {
			continue
		}
		uses := t.Uses
		if k := s.Choice[i]; k >= 0 {
			uses = together(t.Uses, t.Choices[k])
		}
		if slices.Contains(h.calendars(i, together(uses, nil)), c.Calendar) &&
			s.Start[i] <= c.Window.To && s.Finish[i] >= c.Window.From {
			return true
		}
	}
	return false
}

// pastKept returns p with the finish of every fixed task made independent of
// the hours still to come.
func pastKept(p Problem, s Schedule) Problem {
	p.Tasks = slices.Clone(p.Tasks)
	for i, t := range p.Tasks {
		if _, fixed := t.Fixed.Get(); fixed {
			p.Tasks[i].Pausing, p.Tasks[i].Duration = false, s.Finish[i]-s.Start[i]
		}
	}
	return p
}

// without returns p with one window lost.
func without(p Problem, c Session) Problem {
	p.Calendars = slices.Clone(p.Calendars)
	p.Calendars[c.Calendar] = slices.DeleteFunc(slices.Clone(p.Calendars[c.Calendar]), func(w Window) bool { return w == c.Window })
	return p
}

// possible looks for any schedule.
func possible(p Problem, o Options) (Status, error) {
	q, _ := mergeCrews(p)
	m, err := compile(q)
	if err != nil {
		return Unknown, err
	}
	s := newSearch(m, o)
	s.first = true
	return s.solveAny(), nil
}

// solveAny looks for any plan within the budget.
func (s *search) solveAny() Status {
	if !s.e.root(max(s.e.m.limit, s.e.m.floor)) {
		return Infeasible
	}
	for k := 0; !s.halt && !s.best.found(); k++ {
		noise, size := s.jitter, 4*s.e.n
		if k%8 == 0 {
			noise, size = plain, 1000<<(k/4)
		}
		if s.run(size, noise) == exhausted && !s.best.found() {
			return Infeasible
		}
	}
	if s.best.found() {
		return Feasible
	}
	return Unknown
}
