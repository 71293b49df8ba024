package plan

import (
	"slices"

	"undercoat/finish/schedule"
)

// asLate fits the work backwards from minute by: the same problem with time
// running the other way, so that what ends earliest there starts latest here.
// The starts it gives, one for each piece of work, all hold together; nil
// where none were found. What is done has no place in it. Other seeds give
// other orders.
func (d *draft) asLate(p problem, by int, seed uint64) ([]int, error) {
	s, err := d.searchFrom(d.reversed(p, by), d.effort()/4, seed)
	if err != nil || s.Start == nil {
		return nil, err
	}
	starts := make([]int, len(d.work))
	for i := range d.work {
		starts[i] = by - s.Finish[p.task[i]]
	}
	return starts, nil
}

// reversed mirrors a problem's clock at minute by. A wait between two steps is
// the same wait between the same two in the other order.
func (d *draft) reversed(p problem, by int) problem {
	q := p
	q.Start, q.Horizon, q.Deadline = 0, by-p.early, schedule.Limit{}
	q.Tasks = slices.Clone(p.Tasks)
	for i := range q.Tasks {
		t := &q.Tasks[i]
		if present(t.Fixed) {
			*t = schedule.Task{ID: t.ID, Calendar: schedule.AnyTime}
		}
		t.Release, t.Due = schedule.Limit{}, schedule.Limit{}
	}
	q.Lags = nil
	for _, l := range p.Lags {
		if !present(p.Tasks[l.From].Fixed) && !present(p.Tasks[l.To].Fixed) {
			l.From, l.To = l.To, l.From
			q.Lags = append(q.Lags, l)
		}
	}
	q.Calendars = make([][]schedule.Window, len(p.Calendars))
	for i, c := range p.Calendars {
		q.Calendars[i] = mirrored(c, by)
	}
	return q
}

// mirrored turns windows round at minute by and keeps them in order; what
// lies after by is left out.
func mirrored(windows []schedule.Window, by int) []schedule.Window {
	var out []schedule.Window
	for _, w := range slices.Backward(windows) {
		if m := (schedule.Window{From: max(0, by-w.To), To: by - w.From}); m.From < m.To {
			out = append(out, m)
		}
	}
	return out
}
