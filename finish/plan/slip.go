package plan

import (
	"fmt"
	"time"
)

// slips finds the steps that were to be done by now and are not: the plan is
// computed for the instant of the last fact, as the maker last saw it, and
// held against this one.
func (d *draft) slips(now Plan) ([]Slip, error) {
	last := d.lastFact()
	if !last.Before(d.now) {
		return nil, nil
	}
	in := d.frozen()
	in.Now, in.quick, in.Alternatives = last, true, false
	was, err := Make(in)
	if err != nil {
		return nil, fmt.Errorf("plan as of %s: %w", last.In(d.zone()).Format(clock), err)
	}
	var all []Slip
	for _, s := range was.Steps {
		if s.Done || s.Start.IsZero() || s.End.After(d.now) || s.Verb == VerbPack {
			continue
		}
		next, ok := stepOf(now.Steps, s.ID)
		if !ok || next.Done {
			continue
		}
		slip := Slip{Step: s.ID, WasEnd: s.End, NowAt: next.Start}
		if !next.Start.IsZero() {
			slip.Moves = now.HandsOff.Ends.Sub(was.HandsOff.Ends)
		}
		slip.Text = d.slipText(slip, was, now)
		all = append(all, slip)
	}
	return all, nil
}

// lastFact is the instant of the last finished step, else the planning start.
func (d *draft) lastFact() time.Time {
	last := d.job.Starts.Or(d.now)
	for _, f := range d.job.Done {
		if f.At.After(last) && !f.At.After(d.now) {
			last = f.At
		}
	}
	return last
}

func stepOf(steps []Step, id string) (Step, bool) {
	for _, s := range steps {
		if s.ID == id {
			return s, true
		}
	}
	return Step{}, false
}

// slipText tells the effect of a slip in one sentence.
func (d *draft) slipText(s Slip, was, now Plan) string {
	text := fmt.Sprintf("%s was to be finished by %s and is not: it moves to %s", s.Step, s.WasEnd.In(d.zone()).Format(clock), s.NowAt.In(d.zone()).Format(clock))
	if s.NowAt.IsZero() {
		text = fmt.Sprintf("%s was to be finished by %s and is not: no hours are left for it", s.Step, s.WasEnd.In(d.zone()).Format(clock))
	}
	if area, a, b, ok := d.curesMoved(s, was, now); ok && !a.Equal(b) {
		text += fmt.Sprintf("; %s is cured %s instead of %s", area, b.In(d.zone()).Format(clock), a.In(d.zone()).Format(clock))
	}
	if s.NowAt.IsZero() {
		return text
	}
	switch {
	case s.Moves > 0:
		text += fmt.Sprintf("; all ends %s later", durationText(s.Moves))
	default:
		text += "; the end does not move"
	}
	if now.HandsOff.Known {
		text += "; " + metText(now.HandsOff)
	}
	return text
}

// curesMoved returns when the slipped step's area was to be cured and is now.
func (d *draft) curesMoved(s Slip, was, now Plan) (area string, before, after time.Time, ok bool) {
	i, known := d.index[s.Step]
	if !known {
		return "", before, after, false
	}
	area = d.work[i].Area
	find := func(p Plan) (time.Time, bool) {
		for _, a := range p.Areas {
			if a.Code == area {
				return a.Cured.Get()
			}
		}
		return time.Time{}, false
	}
	before, ok1 := find(was)
	after, ok2 := find(now)
	return area, before, after, ok1 && ok2
}
