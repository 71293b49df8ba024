package plan

import (
	"fmt"
	"slices"
	"time"

	"undercoat/finish/schedule"
)

// usualEffort is the search of one fit where the caller states none: enough
// for a plan of a hundred tasks to come near its bound.
const usualEffort = 2_000

// dated is a fitted problem.
type dated struct {
	problem
	schedule.Schedule
	met     bool   // the date that does not move is kept; true where none is stated
	decides string // the area that was dated first; "" where none could be
}

// fit dates the steps. Wet work comes first: the coats of the area that would
// be cured last are pinned to the earliest dates they could have if nothing
// else were to be done, and the rest is fitted round them to end as early as
// it can; so it is with the areas pinned one after the other, and the plan
// that ends earlier is taken. Where the date that does not move cannot be kept
// with pins they are let go; where it cannot be kept at all the steps are
// dated as early as can be. Every schedule is checked apart before it is used.
func (d *draft) fit(p problem) (dated, error) {
	pins, err := d.wetFirst(p)
	if err != nil {
		return dated{}, err
	}
	off, known := d.job.HandsOff.Get()
	by := schedule.MinuteOf(off)
	var rounds [][]problem
	if known && pins.alone.End <= by {
		late := schedule.At(by)
		rounds = append(rounds, until(late, pins.problems), until(late, []problem{p}))
	}
	rounds = append(rounds, pins.problems, []problem{p})
	var last schedule.Schedule
	for _, tries := range rounds {
		s, err := d.earliest(tries)
		if err != nil {
			return dated{}, err
		}
		last = s
		if s.Start != nil {
			out := dated{problem: p, Schedule: s, decides: pins.area, met: !known || s.End <= by}
			return d.bounded(out, pins.alone)
		}
	}
	return dated{problem: p, Schedule: last, decides: pins.area}, nil
}

// earliest fits each problem and returns the schedule that ends first; of
// equal ends the first. Where none has one it returns the last answer, whose
// reason it is.
func (d *draft) earliest(tries []problem) (best schedule.Schedule, err error) {
	for _, try := range tries {
		s, err := d.search(try, d.effort())
		if err != nil {
			return best, err
		}
		if best.Start == nil || s.Start != nil && s.End < best.End {
			best = s
		}
	}
	return best, nil
}

// until returns the problems with a deadline.
func until(by schedule.Limit, problems []problem) []problem {
	problems = slices.Clone(problems)
	for i := range problems {
		problems[i].Deadline = by
	}
	return problems
}

// pins are the problem with coats pinned to dates.
type pins struct {
	area     string            // that decides the date; "" where nothing is coated
	alone    schedule.Schedule // its dates if nothing else is to be done
	problems []problem         // every area pinned, then only the first
}

// wetFirst pins area after area to the earliest dates among those pinned
// before it.
func (d *draft) wetFirst(p problem) (pins, error) {
	var out pins
	var placed []string
	for _, area := range d.wetOrder(p) {
		s, err := d.search(d.only(p, placed, area), d.effort()/4)
		if err != nil {
			return out, err
		}
		if len(placed) == 0 {
			out.area, out.alone = area, s
		}
		if s.Start == nil {
			break
		}
		p = d.pin(p, area, s)
		placed = append(placed, area)
		if len(placed) <= 2 {
			out.problems = slices.Insert(out.problems, 0, p)
		} else {
			out.problems[0] = p
		}
	}
	return out, nil
}

// effort is the search of the fit that dates everything. An alternative gets
// as much: its date is that of the plan it would be.
func (d *draft) effort() int {
	if d.in.Effort > 0 {
		return d.in.Effort
	}
	return usualEffort
}

// search fits one problem and checks the answer.
func (d *draft) search(p problem, nodes int) (schedule.Schedule, error) {
	return d.searchFrom(p, nodes, 1)
}

// searchFrom is search with another seed.
func (d *draft) searchFrom(p problem, nodes int, seed uint64) (schedule.Schedule, error) {
	s, err := schedule.Fit(p.Problem, schedule.Options{Seed: seed, Nodes: max(1, nodes)})
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

// bounded states what is proven of the end: no order of work ends before the
// area that decides it could alone, nor before what the whole work asks of
// hands and hours. The dates are checked once more, against the problem
// without pins.
func (d *draft) bounded(out dated, alone schedule.Schedule) (dated, error) {
	root, err := schedule.Fit(out.Problem, schedule.Options{Seed: 1, Nodes: 1})
	if err != nil {
		return out, fmt.Errorf("plan %s: %w", d.job.Name, err)
	}
	out.Bound = root.Bound
	if alone.Start != nil {
		out.Bound = max(out.Bound, alone.Bound)
	}
	out.Status = schedule.Feasible
	if out.End <= out.Bound {
		out.Status = schedule.Proven
	}
	if err := schedule.Check(out.Problem, out.Schedule); err != nil {
		return out, fmt.Errorf("plan %s: the dates found do not hold: %w", d.job.Name, err)
	}
	return out, nil
}

// pin returns the problem with an area's coats held to the dates of s.
func (d *draft) pin(p problem, area string, s schedule.Schedule) problem {
	p.Tasks = slices.Clone(p.Tasks)
	for i, w := range d.work {
		if t := &p.Tasks[p.task[i]]; w.Area == area && w.dries.on && !w.Done {
			start := s.Start[p.task[i]]
			t.Release, t.Due = schedule.At(start), schedule.At(start+t.Duration)
		}
	}
	return p
}

// wetOrder lists the coated areas, the one that would be cured last if hands
// and places were without limit first; ties in table order.
func (d *draft) wetOrder(p problem) []string {
	early := d.relaxed(p)
	var areas []string
	for _, a := range d.areas {
		if i, ok := d.index[curedID(a.Code)]; ok && d.lastCoat(a.Code) != nil && !d.lastCoat(a.Code).Done {
			areas = append(areas, d.work[i].Area)
		}
	}
	slices.SortStableFunc(areas, func(a, b string) int { return early[d.index[curedID(b)]] - early[d.index[curedID(a)]] })
	return areas
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

// only returns the problem with nothing to do but an area's coats until they
// are cured, the coats of the areas placed before it, and what all of them
// wait for: every other task is taken out of the way by needing nothing, at
// any time.
func (d *draft) only(p problem, placed []string, area string) problem {
	keep := d.neededFor(append(slices.Clone(placed), area), area)
	p.Tasks = slices.Clone(p.Tasks)
	gone := make([]bool, len(p.Tasks))
	for i := range d.work {
		if keep[i] || d.work[i].Done {
			continue
		}
		for _, t := range []int{p.task[i], p.dry[i]} {
			if t >= 0 {
				p.Tasks[t], gone[t] = schedule.Task{ID: p.Tasks[t].ID, Calendar: schedule.AnyTime}, true
			}
		}
	}
	p.Lags = slices.DeleteFunc(slices.Clone(p.Lags), func(l schedule.Lag) bool { return gone[l.From] || gone[l.To] })
	p.Deadline = schedule.Limit{}
	return p
}

// neededFor marks areas' coats, the cure of one of them, and everything they
// wait for.
func (d *draft) neededFor(coated []string, cured string) []bool {
	keep := make([]bool, len(d.work))
	for i, w := range d.work {
		keep[i] = w.dries.on && slices.Contains(coated, w.Area) || w.ID == curedID(cured)
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
