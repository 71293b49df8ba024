package plan

import (
	"fmt"
	"slices"
	"time"

	"undercoat/finish/schedule"
)

// usualEffort is the search of one fit where the caller states none.
const usualEffort = 20_000

// dated is a fitted problem.
type dated struct {
	problem
	schedule.Schedule
	met     bool
	missed  schedule.Reason // why the date cannot be met, where it is not
	decides string          // the area that was dated first
}

// fit dates the steps: by the date that does not move where that can be kept,
// else as early as can be. Of the plans that end earliest it takes one in
// which the area that decides the date is as early as it can be on its own.
// Every schedule is checked apart before it is used.
func (d *draft) fit(p problem) (dated, error) {
	out, err := d.fitOnce(p)
	if err != nil || out.Start == nil {
		return out, err
	}
	return d.decisiveFirst(out)
}

// fitOnce fits with the deadline, and without it where that fails.
func (d *draft) fitOnce(p problem) (dated, error) {
	out := dated{problem: p}
	var err error
	off, known := d.job.HandsOff.Get()
	if known {
		p.Deadline = schedule.At(schedule.MinuteOf(off))
		if out.Schedule, err = d.search(p); err != nil {
			return out, err
		}
		if out.Start != nil {
			out.problem, out.met = p, true
			return out, nil
		}
		out.missed = out.Why
	}
	p.Deadline = schedule.Limit{}
	out.problem = p
	if out.Schedule, err = d.search(p); err != nil {
		return out, err
	}
	out.met = !known || out.Start != nil && out.End <= schedule.MinuteOf(off)
	return out, nil
}

// search fits one problem and checks the answer.
func (d *draft) search(p problem) (schedule.Schedule, error) {
	effort := d.in.Effort
	if effort == 0 {
		effort = usualEffort
	}
	s, err := schedule.Fit(p.Problem, schedule.Options{Seed: 1, Nodes: effort})
	if err != nil {
		return s, fmt.Errorf("plan %s: %w", d.job.Name, err)
	}
	if s.Start == nil {
		return s, nil
	}
	if err := schedule.Check(p.Problem, s); err != nil {
		return s, fmt.Errorf("plan %s: the dates found do not hold: %w", d.job.Name, err)
	}
	return s, nil
}

// decisiveFirst pins the area that decides the date to the earliest dates it
// could have if nothing else were to be done, and fits the rest round it. The
// pins are kept where the plan still ends no later.
func (d *draft) decisiveFirst(out dated) (dated, error) {
	area, ok := d.decisiveArea(out.problem)
	if !ok {
		return out, nil
	}
	alone, err := d.search(d.only(out.problem, area))
	if err != nil || alone.Start == nil {
		return out, err
	}
	pinned := out.problem
	pinned.Tasks = slices.Clone(out.Tasks)
	for i, w := range d.work {
		if t := &pinned.Tasks[out.task[i]]; w.Area == area && w.dries.on && !w.Done {
			start := alone.Start[out.task[i]]
			t.Release, t.Due = schedule.At(start), schedule.At(start+t.Duration)
		}
	}
	s, err := d.search(pinned)
	if err != nil || s.Start == nil || s.End > out.End {
		return out, err
	}
	out.decides = area
	out.Start, out.Finish, out.Choice, out.End, out.Wait = s.Start, s.Finish, s.Choice, s.End, s.Wait
	if err := schedule.Check(out.Problem, out.Schedule); err != nil {
		return out, fmt.Errorf("plan %s: the dates found do not hold: %w", d.job.Name, err)
	}
	return out, nil
}

// decisiveArea returns the area whose coats, had every pair of hands nothing
// else to do, would be cured last; the first in table order of several.
func (d *draft) decisiveArea(p problem) (string, bool) {
	early := d.relaxed(p)
	best, at := "", 0
	for _, a := range d.areas {
		i, ok := d.index[curedID(a.Code)]
		if !ok {
			continue
		}
		if m := early[i]; best == "" || m > at {
			best, at = a.Code, m
		}
	}
	return best, best != ""
}

// relaxed returns the earliest start of every piece of work by waits,
// calendars and releases alone, as if hands and places were without limit: the
// least solution of start >= f(start), found by repeated passes. Work that has
// no hours left stays at the horizon.
func (d *draft) relaxed(p problem) []int {
	early := make([]int, len(d.work))
	for i, w := range d.work {
		early[i] = p.Start
		if at, ok := p.Tasks[p.task[i]].Fixed.Get(); ok {
			early[i] = at
		} else {
			early[i] = d.nextStart(p, w, max(p.Start, releaseOf(p.Tasks[p.task[i]])))
		}
	}
	for changed, pass := true, 0; changed && pass <= len(d.work); pass++ {
		changed = false
		for _, w := range d.waits {
			from, to := d.index[w.from], d.index[w.to]
			if d.work[to].Done {
				continue
			}
			at := early[from] + d.work[from].minutes + int(wholeMinutes(w.min)/time.Minute)
			if at > early[to] {
				early[to], changed = d.nextStart(p, d.work[to], at), true
			}
		}
	}
	return early
}

func releaseOf(t schedule.Task) int {
	m, _ := t.Release.Get()
	return m
}

// nextStart returns the first minute from at on at which a piece of work fits
// whole into somebody's hours; the horizon where none does.
func (d *draft) nextStart(p problem, w work, at int) int {
	if w.milestone {
		return at
	}
	best := p.Horizon
	for _, who := range p.people[d.index[w.ID]] {
		for _, s := range windowsOf(p.shifts, who, w.kind) {
			if start := max(at, s.From); start+w.minutes <= s.To {
				best = min(best, start)
				break
			}
		}
	}
	return best
}

// only returns the problem with nothing to do but an area's coats and what
// they wait for: every other task is taken out of the way by needing nothing,
// at any time.
func (d *draft) only(p problem, area string) problem {
	keep := d.neededFor(area)
	p.Tasks = slices.Clone(p.Tasks)
	for i := range d.work {
		if keep[i] || d.work[i].Done {
			continue
		}
		for _, t := range []int{p.task[i], p.dry[i]} {
			if t >= 0 {
				p.Tasks[t] = schedule.Task{ID: p.Tasks[t].ID, Calendar: schedule.AnyTime}
			}
		}
	}
	p.Lags = slices.Clone(p.Lags)
	p.Lags = slices.DeleteFunc(p.Lags, func(l schedule.Lag) bool { return !p.kept(keep, l.From) || !p.kept(keep, l.To) })
	p.Deadline = schedule.Limit{}
	return p
}

// kept reports whether a task belongs to work that is kept.
func (p problem) kept(keep []bool, task int) bool {
	for i := range p.task {
		if p.task[i] == task || p.dry[i] == task {
			return keep[i]
		}
	}
	return false
}

// neededFor marks an area's coats and cure and everything they wait for.
func (d *draft) neededFor(area string) []bool {
	keep := make([]bool, len(d.work))
	for i, w := range d.work {
		keep[i] = w.Area == area && w.dries.on || w.ID == curedID(area)
	}
	for changed := true; changed; {
		changed = false
		for _, w := range d.waits {
			from, to := d.index[w.from], d.index[w.to]
			if keep[to] && !keep[from] {
				keep[from], changed = true, true
			}
		}
	}
	return keep
}

// latest returns, for every piece of work, the last start from which a
// deadline can still be kept with the order of work on hands and places
// unchanged, however early that lies; nil where even then it cannot.
func (d *draft) latest(out dated, deadline int) ([]int, error) {
	p := out.problem
	p.Start -= int(beyond / time.Minute)
	p.Deadline = schedule.At(deadline)
	p.Tasks = slices.Clone(p.Tasks)
	for i := range p.Tasks {
		t := &p.Tasks[i]
		t.Release = schedule.Limit{}
		if len(t.Choices) > 0 {
			t.Uses, t.Choices = append(slices.Clone(t.Uses), t.Choices[out.Choice[i]]...), nil
		}
	}
	p.Lags = append(slices.Clone(p.Lags), inOrder(p, out.Schedule)...)
	s, err := schedule.Fit(p.Problem, schedule.Options{Seed: 1, Nodes: usualEffort})
	if err != nil {
		return nil, fmt.Errorf("plan %s: last safe starts: %w", d.job.Name, err)
	}
	if s.Start == nil {
		return nil, nil
	}
	late := make([]int, len(d.work))
	for i := range d.work {
		late[i] = s.Latest[p.task[i]]
	}
	return late, nil
}

// inOrder returns the lags that keep the order two tasks have on hands or a
// place they cannot share at once.
func inOrder(p problem, s schedule.Schedule) []schedule.Lag {
	var lags []schedule.Lag
	for i := range p.Tasks {
		for j := range p.Tasks {
			if i != j && s.Finish[i] <= s.Start[j] && (s.Start[i] < s.Start[j] || i < j) && clash(p, i, j) && !present(p.Tasks[j].Fixed) {
				lags = append(lags, schedule.Lag{From: i, To: j})
			}
		}
	}
	return lags
}

// clash reports whether two tasks together ask for more of a resource than
// there is.
func clash(p problem, i, j int) bool {
	for _, a := range p.Tasks[i].Uses {
		for _, b := range p.Tasks[j].Uses {
			if a.Resource == b.Resource && a.Amount+b.Amount > p.Resources[a.Resource].Capacity {
				return true
			}
		}
	}
	return false
}

func present(l schedule.Limit) bool {
	_, ok := l.Get()
	return ok
}
