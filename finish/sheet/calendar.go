package sheet

import (
	"fmt"
	"io"
	"strings"
	"time"

	"undercoat/finish/plan"
)

// ICS writes the calendar of the job: hands-on steps that block the day,
// drying that does not, and alarms where a wait ends or a recoat window
// closes. Same plan, same bytes: the stamp is the instant the plan was
// computed for.
func ICS(w io.Writer, d Data) error {
	c := Calendar{Product: "-//undercoat//job calendar//EN", Name: d.Job.Name, Stamp: d.Plan.Now}
	for _, s := range d.Plan.Steps {
		c.Events = append(c.Events, stepEvent(d, s))
		if e, ok := dryingEvent(d, s); ok {
			c.Events = append(c.Events, e)
		}
	}
	if h := d.Plan.HandsOff; h.Known {
		c.Events = append(c.Events, Event{
			UID: uid(d, "hands-off"), Sequence: sequence(d), Start: h.At, End: h.At.Add(15 * time.Minute), Summary: "Hands off: " + d.Job.Name,
			Description: "Nothing may be wet or unfinished after this.", Categories: []string{"date"},
		})
	}
	return WriteCalendar(w, c)
}

func stepEvent(d Data, s plan.Step) Event {
	return Event{
		UID: uid(d, s.ID), Sequence: sequence(d), Start: s.Start, End: s.End, Summary: s.Text,
		Description: fmt.Sprintf("%s\nlast safe start %s, %s to spare", s.ID, d.at(s.LatestStart), span(s.Spare)), Categories: []string{string(s.Verb)},
	}
}

// dryingEvent is the wait a coat begins, which blocks nobody's day.
func dryingEvent(d Data, s plan.Step) (Event, bool) {
	dries, ok := s.Dries.Get()
	if !ok || !s.Ready.After(s.End) {
		return Event{}, false
	}
	e := Event{
		UID: uid(d, s.ID+"-drying"), Sequence: sequence(d), Start: s.End, End: s.Ready, Summary: "Drying: " + s.Text, Transparent: true,
		Description: dries.Basis, Categories: []string{"drying"},
		Alarms: []Alarm{{At: s.Ready, Text: "May recoat after a touch test: " + s.Text}},
	}
	if until, ok := dries.RecoatUntil.Get(); ok {
		e.Alarms = append(e.Alarms, Alarm{At: until.Add(-30 * time.Minute), Text: "Recoat window closes at " + d.clock(until) + ": " + s.Text})
	}
	return e, true
}

// uid is stable over exports: the job and the step name it.
func uid(d Data, step string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r >= 'a' && r <= 'z', r >= '0' && r <= '9', r == '-':
			return r
		case r >= 'A' && r <= 'Z':
			return r + 'a' - 'A'
		}
		return '-'
	}, step+"-"+d.Job.Name) + "@undercoat"
}

// sequence grows with every recorded change of the job, and with the minutes
// that pass: a step that was not done in time moves without anything being
// recorded, and a calendar must take the moved one over the one it has.
func sequence(d Data) int {
	minutes := 0
	if starts, ok := d.Job.Starts.Get(); ok {
		minutes = max(0, int(d.Plan.Now.Sub(starts)/time.Minute))
	}
	return int(d.Job.Version) + minutes
}
