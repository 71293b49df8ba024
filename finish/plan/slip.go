package plan

import (
	"fmt"
	"strings"
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
		all = append(all, slip)
	}
	d.decidingFirst(all, now)
	d.tellSlips(all, was, now)
	return all, nil
}

// decidingFirst puts the slip that most likely moves the end to the front: a
// step on which the end of the plan rests, and of those one of the area that
// decides. The others keep their order.
func (d *draft) decidingFirst(all []Slip, now Plan) {
	area := d.decidingArea(now)
	best, most := 0, -1
	for i, s := range all {
		weight := 0
		if next, _ := stepOf(now.Steps, s.Step); next.Critical {
			weight = 2
		}
		if k, ok := d.index[s.Step]; ok && area != "" && d.work[k].Area == area {
			weight++
		}
		if weight > most {
			best, most = i, weight
		}
	}
	if len(all) > 0 {
		s := all[best]
		copy(all[1:best+1], all[:best])
		all[0] = s
	}
}

// tellSlips tells each slip in one sentence: the first with what the lost time
// does to the whole job, the others in short; when an area is cured is said
// once.
func (d *draft) tellSlips(all []Slip, was, now Plan) {
	told := map[string]bool{}
	for i := range all {
		s := &all[i]
		s.Text = d.moveText(*s, i == 0)
		if area, a, b, ok := d.curesMoved(*s, was, now); ok && !a.Equal(b) && !told[area] {
			told[area] = true
			s.Text += fmt.Sprintf("; %s is cured %s instead of %s", area, b.In(d.zone()).Format(clock), a.In(d.zone()).Format(clock))
		}
		if i == 0 {
			s.Text += endText(*s, now)
		}
	}
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

// moveText tells where a step goes, and in full also when it was to be done.
func (d *draft) moveText(s Slip, full bool) string {
	text := s.Step
	if full {
		text += fmt.Sprintf(" was to be finished by %s and is not: it", s.WasEnd.In(d.zone()).Format(clock))
	}
	if s.NowAt.IsZero() {
		if full {
			return strings.TrimSuffix(text, " it") + " no hours are left for it"
		}
		return text + " has no hours left"
	}
	return text + " moves to " + s.NowAt.In(d.zone()).Format(clock)
}

// endText tells what the slips do to the whole job.
func endText(s Slip, now Plan) string {
	if s.NowAt.IsZero() {
		return ""
	}
	text := "; the end does not move"
	switch {
	case s.Moves > 0:
		text = fmt.Sprintf("; all ends %s later", durationText(s.Moves))
	case s.Moves < 0:
		text = fmt.Sprintf("; all ends %s earlier", durationText(-s.Moves))
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
