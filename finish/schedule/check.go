package schedule

import (
	"fmt"
	"slices"
)

// Check reports the first rule of p that s breaks, or nil. It shares no code
// with the search: it looks at every task, every lag and every change point
// anew. Every schedule of Fit has passed it.
//
// It judges Start, Finish, Choice, End and Bound; a schedule without starts
// (unknown or infeasible) passes only if it carries none of them.
func Check(p Problem, s Schedule) error {
	if err := wellFormed(p); err != nil {
		return fmt.Errorf("check schedule: %w", err)
	}
	if s.Status != Feasible && s.Status != Proven {
		if s.Start != nil || s.Finish != nil || s.Choice != nil {
			return fmt.Errorf("check schedule: status %v: carries starts", s.Status)
		}
		return nil
	}
	n := len(p.Tasks)
	if len(s.Start) != n || len(s.Finish) != n || len(s.Choice) != n {
		return fmt.Errorf("check schedule: %d starts, %d finishes, %d choices for %d tasks", len(s.Start), len(s.Finish), len(s.Choice), n)
	}
	c := checker{p, s}
	for i := range p.Tasks {
		if err := c.task(i); err != nil {
			return fmt.Errorf("check schedule: task %q: %w", p.Tasks[i].ID, err)
		}
	}
	for _, l := range p.Lags {
		if err := c.lag(l); err != nil {
			return fmt.Errorf("check schedule: lag from %q to %q: %w", p.Tasks[l.From].ID, p.Tasks[l.To].ID, err)
		}
	}
	for r := range p.Resources {
		if err := c.capacity(r); err != nil {
			return fmt.Errorf("check schedule: resource %q: %w", p.Resources[r].ID, err)
		}
	}
	return c.end()
}

type checker struct {
	p Problem
	s Schedule
}

// held returns how much of resource r task i holds.
func (c checker) held(i, r int) int {
	sum := 0
	for _, u := range c.uses(i) {
		if u.Resource == r {
			sum += u.Amount
		}
	}
	return sum
}

func (c checker) uses(i int) []Use {
	t := c.p.Tasks[i]
	if k := c.s.Choice[i]; k >= 0 && k < len(t.Choices) {
		return slices.Concat(t.Uses, t.Choices[k])
	}
	return t.Uses
}

// calendars returns the window lists task i must keep to.
func (c checker) calendars(i int) [][]Window {
	var out [][]Window
	if k := c.p.Tasks[i].Calendar; k != AnyTime {
		out = append(out, c.p.Calendars[k])
	}
	for _, u := range c.uses(i) {
		if k := c.p.Resources[u.Resource].Calendar; k != AnyTime && u.Amount > 0 {
			out = append(out, c.p.Calendars[k])
		}
	}
	return out
}

// openUntil returns whether minute m is open in every list, and the first
// later minute at which that may change (far if never).
func openUntil(lists [][]Window, m int) (open bool, until int) {
	open, until = true, far
	for _, l := range lists {
		in := false
		for _, w := range l {
			if w.From <= m && m < w.To {
				in = true
				until = min(until, w.To)
			} else if w.From > m {
				until = min(until, w.From)
			}
		}
		open = open && in
	}
	return open, until
}

func (c checker) task(i int) error {
	t, start, finish := c.p.Tasks[i], c.s.Start[i], c.s.Finish[i]
	if k := c.s.Choice[i]; len(t.Choices) == 0 && k != -1 || len(t.Choices) > 0 && (k < 0 || k >= len(t.Choices)) {
		return fmt.Errorf("choice %d of %d", k, len(t.Choices))
	}
	if at, ok := t.Fixed.Get(); ok {
		if start != at {
			return fmt.Errorf("starts at %d: is fixed at %d", start, at)
		}
		if !t.Pausing && finish != start+t.Duration {
			return fmt.Errorf("lasts %d: must last %d", finish-start, t.Duration)
		}
		if t.Pausing && finish < start+t.Duration {
			return fmt.Errorf("lasts %d: must last at least %d", finish-start, t.Duration)
		}
		return nil
	}
	if err := c.hours(i); err != nil {
		return err
	}
	if r, ok := t.Release.Get(); start < c.p.Start || ok && start < r {
		return fmt.Errorf("starts at %d: before its release", start)
	}
	if d, ok := t.Due.Get(); ok && finish > d {
		return fmt.Errorf("finishes at %d: due at %d", finish, d)
	}
	if d, ok := c.p.Deadline.Get(); ok && finish > d {
		return fmt.Errorf("finishes at %d: after the deadline %d", finish, d)
	}
	if finish > c.p.Horizon {
		return fmt.Errorf("finishes at %d: after the horizon %d", finish, c.p.Horizon)
	}
	return nil
}

// hours checks that task i runs for its duration within its hours.
func (c checker) hours(i int) error {
	t, start, finish := c.p.Tasks[i], c.s.Start[i], c.s.Finish[i]
	lists := c.calendars(i)
	now, until := openUntil(lists, start)
	if t.Duration == 0 {
		before, _ := openUntil(lists, start-1)
		if !now && !before {
			return fmt.Errorf("at %d: outside its hours", start)
		}
		if finish != start {
			return fmt.Errorf("lasts %d: must last 0", finish-start)
		}
		return nil
	}
	if !now {
		return fmt.Errorf("starts at %d: outside its hours", start)
	}
	done := 0
	for at := start; at < finish; {
		if now {
			done += min(until, finish) - at
		} else if !t.Pausing {
			return fmt.Errorf("from %d to %d: outside its hours at %d", start, finish, at)
		}
		at = until
		now, until = openUntil(lists, at)
	}
	if done != t.Duration {
		return fmt.Errorf("from %d to %d: works %d minutes: must work %d", start, finish, done, t.Duration)
	}
	if last, _ := openUntil(lists, finish-1); !last {
		return fmt.Errorf("finishes at %d: outside its hours", finish)
	}
	return nil
}

func (c checker) lag(l Lag) error {
	_, a := c.p.Tasks[l.From].Fixed.Get()
	_, b := c.p.Tasks[l.To].Fixed.Get()
	if a && b {
		return nil
	}
	from := c.s.Finish[l.From]
	if l.Form == StartToStart {
		from = c.s.Start[l.From]
	}
	wait := c.s.Start[l.To] - from
	if l.Min != NoMin && wait < l.Min {
		return fmt.Errorf("waits %d: must wait at least %d", wait, l.Min)
	}
	if most, ok := l.Max.Get(); ok && wait > most {
		return fmt.Errorf("waits %d: must wait at most %d", wait, most)
	}
	return nil
}

// capacity adds up the holders of resource r at every start, where alone a sum
// can grow.
func (c checker) capacity(r int) error {
	for i := range c.p.Tasks {
		at := c.s.Start[i]
		if c.held(i, r) == 0 || c.s.Finish[i] == at {
			continue
		}
		sum, free := 0, false
		for j := range c.p.Tasks {
			if c.s.Start[j] > at || c.s.Finish[j] <= at {
				continue
			}
			a := c.held(j, r)
			sum += a
			if _, fixed := c.p.Tasks[j].Fixed.Get(); !fixed && a > 0 {
				free = true
			}
		}
		if free && sum > c.p.Resources[r].Capacity {
			return fmt.Errorf("at %d: %d in use: capacity %d", at, sum, c.p.Resources[r].Capacity)
		}
	}
	return nil
}

func (c checker) end() error {
	end := c.p.Start
	for _, f := range c.s.Finish {
		end = max(end, f)
	}
	if c.s.End != end {
		return fmt.Errorf("check schedule: end %d: the largest finish is %d", c.s.End, end)
	}
	if c.s.Bound > end || c.s.Status == Proven && c.s.Bound != end {
		return fmt.Errorf("check schedule: bound %d: end %d, %v", c.s.Bound, end, c.s.Status)
	}
	return nil
}
