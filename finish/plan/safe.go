package plan

import (
	"sync"

	"undercoat/finish/schedule"
)

// lastStarts returns, for every piece of work, the last safe start by the date
// that does not move, and the last start that keeps the end of the plan with
// the order of work unchanged; nil where nothing is dated. A safe start rests
// on a whole order of work that keeps the date with this step so late: several
// such orders are made and each step takes the latest it has in any of them.
// A still later start may be possible; it was not found.
func (d *draft) lastStarts(out dated) (safe, tight []int, err error) {
	if out.Start == nil || d.in.quick {
		return nil, nil, nil // nobody asks an alternative for its last starts
	}
	by := out.End
	if off, known := d.job.HandsOff.Get(); known {
		by = schedule.MinuteOf(off)
	}
	tight = d.latest(out, out.End)
	safe, err = d.witnessed(out, by)
	return safe, tight, err
}

// Orders made for the last safe starts: some as late as can be, then some for
// the steps that still have least to spare.
const (
	lateOrders   = 3
	pushedOrders = 6
)

func (d *draft) witnessed(out dated, by int) ([]int, error) {
	safe := d.latest(out, by)
	late, err := d.lateOrders(out.problem, by)
	if err != nil {
		return nil, err
	}
	for _, starts := range late {
		safe = d.later(safe, starts)
	}
	if safe == nil || !out.met {
		return safe, nil
	}
	return d.push(out, by, safe)
}

// later keeps the later start of each step that is not done.
func (d *draft) later(a, b []int) []int {
	if a == nil || b == nil {
		return append(a, b...)
	}
	for i := range a {
		if !d.work[i].Done {
			a[i] = max(a[i], b[i])
		}
	}
	return a
}

// lateOrders fits the work as late as can be from several seeds, side by side.
func (d *draft) lateOrders(p problem, by int) ([][]int, error) {
	starts, errs := make([][]int, lateOrders), make([]error, lateOrders)
	var all sync.WaitGroup
	for i := range starts {
		all.Go(func() { starts[i], errs[i] = d.asLate(p, by, uint64(i+1)) })
	}
	all.Wait()
	for _, err := range errs {
		if err != nil {
			return nil, err
		}
	}
	return starts, nil
}

// push takes the step with least to spare, asks for an order of work in which
// it starts later, and goes on with the next.
func (d *draft) push(out dated, by int, safe []int) ([]int, error) {
	bound := d.latestWith(out, by, nil)
	tried := make([]bool, len(d.work))
	for range pushedOrders {
		i := d.leastSpare(out, safe, bound, tried)
		if i < 0 {
			return safe, nil
		}
		tried[i] = true
		p := out.problem
		p.Deadline = schedule.At(by)
		p.Tasks = append([]schedule.Task(nil), p.Tasks...)
		p.Tasks[p.task[i]].Release = schedule.At(safe[i] + 1)
		s, err := d.search(p, d.effort()/8)
		if err != nil {
			return nil, err
		}
		if s.Start == nil {
			continue
		}
		starts := make([]int, len(d.work))
		for k := range d.work {
			starts[k] = s.Start[p.task[k]]
		}
		safe = d.later(safe, starts)
	}
	return safe, nil
}

// leastSpare returns the step with least between its start and its last safe
// start that may have more; -1 none.
func (d *draft) leastSpare(out dated, safe, bound []int, tried []bool) int {
	best, least := -1, 0
	for i, w := range d.work {
		if w.milestone || w.Done || tried[i] || bound == nil || safe[i] >= bound[i] {
			continue
		}
		if spare := safe[i] - out.Start[out.task[i]]; best < 0 || spare < least {
			best, least = i, spare
		}
	}
	return best
}
