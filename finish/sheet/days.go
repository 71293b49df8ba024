package sheet

import (
	"fmt"
	"slices"
	"strings"

	"undercoat/finish/plan"
)

// dayList is one day's steps, in order of their start.
type dayList struct {
	Name  string
	Steps []stepLine
}

// stepLine is a step in print, for the days and for its area's block.
type stepLine struct {
	ID, Area       string
	Day, From, To  string // "Sat 31 Oct", "10:00", "10:45"
	What           string // "W1 Chalk white, opaque, coat 2 of 4; hang"
	Short          string // the same within its area's block: "W1, 2 of 4"
	Who            string // "" is the maker
	Amount, StirIn string // "166 ml", "3.3 ml X1"
	Dry            string // when what it begins lets the next step start; "" where at once
	Last, Spare    string // last safe start, and the time until it
	Done, Decides  bool   // Decides: it is a link of the chain that sets the end
}

func days(d Data) []dayList {
	var out []dayList
	for _, s := range d.Plan.Steps {
		name := s.Start.In(d.zone()).Format("Monday 2 January")
		if len(out) == 0 || out[len(out)-1].Name != name {
			out = append(out, dayList{Name: name})
		}
		last := &out[len(out)-1]
		last.Steps = append(last.Steps, newStep(d, s))
	}
	return out
}

func newStep(d Data, s plan.Step) stepLine {
	l := stepLine{
		ID: s.ID, Area: s.Area, Day: d.date(s.Start), From: d.clock(s.Start), To: d.clock(s.End), What: what(d, s), Short: short(s), Who: s.Who,
		Last: d.moment(s.LatestStart, s.Start), Spare: span(s.Spare), Done: s.Done,
		Decides: slices.ContainsFunc(d.Plan.Chain, func(l plan.Link) bool { return l.Step == s.ID }),
	}
	if s.Ready.After(s.End) {
		l.Dry = d.moment(s.Ready, s.Start)
	}
	if s.Volume > 0 {
		l.Amount = fmt.Sprintf("%.0f ml", float64(s.Volume))
	}
	if s.FixerVolume > 0 {
		l.StirIn = fmt.Sprintf("%.1f ml %s", float64(s.FixerVolume), s.Fixer)
	}
	return l
}

// what says what a step does. A coat is composed from its parts, because the
// amounts stand in a column of their own; other steps say it themselves.
func what(d Data, s plan.Step) string {
	if s.Coat == 0 {
		if s.Text != "" {
			return s.Text
		}
		return strings.TrimSpace(string(s.Verb) + " " + strings.ToLower(s.Piece))
	}
	t := fmt.Sprintf("%s, coat %d of %d", d.name(s.Code), s.Coat, s.Coats)
	if s.Side != "" {
		t += ", " + s.Side
	}
	if p := placeWords(s); p != "" {
		t += "; " + p
	}
	if s.Needs != "" {
		t += "; needs " + s.Needs
	}
	return t
}

// placeWords say where a coated piece dries.
func placeWords(s plan.Step) string {
	switch s.Place {
	case plan.OnRail:
		if s.Racked > 0 {
			return fmt.Sprintf("hang, %d of the smaller on the rack", s.Racked)
		}
		return "hang"
	case plan.OnRack:
		return "on the rack"
	case plan.InYard:
		return "outdoors"
	}
	return ""
}

// short says what a step does beside its area's own list of layers.
func short(s plan.Step) string {
	switch s.Verb {
	case plan.VerbCoat:
		return fmt.Sprintf("%s, %d of %d", s.Code, s.Coat, s.Coats)
	case plan.VerbMask, plan.VerbUnmask, plan.VerbPrewash, plan.VerbCut, plan.VerbSew, plan.VerbHem, plan.VerbLine, plan.VerbStud, plan.VerbFit:
		return string(s.Verb)
	}
	if s.Text != "" {
		return s.Text
	}
	return string(s.Verb)
}
