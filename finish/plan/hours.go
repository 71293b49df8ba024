package plan

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"undercoat/finish/garment"
	"undercoat/finish/schedule"
)

// shift is when one person does one kind of work.
type shift struct {
	who     string // "" is the maker
	kind    kind
	windows []schedule.Window
}

// UsualHours are the hours a job is planned by that states none: every day
// from 9 to 21, the maker's own hands. An assumption of this program, no
// source; a caution says so beside every such plan.
func UsualHours() []garment.Hours {
	hours := make([]garment.Hours, 0, 7)
	for day := time.Sunday; day <= time.Saturday; day++ {
		hours = append(hours, garment.Hours{Weekday: day, From: 9 * 60, To: 21 * 60, What: "any"})
	}
	return hours
}

var kindWords = map[string]kind{"": anyWork, "any": anyWork, "sewing": sewingWork, "spraying outdoors": sprayWork}

// shifts expands the hours of the job to windows between two minutes, one
// shift for each person and kind: the maker first, then by name.
func (d *draft) shifts(from, to int) ([]shift, error) {
	hours := map[string]map[kind]*schedule.Hours{}
	var people []string
	for _, h := range d.job.Hours {
		k, ok := kindWords[strings.ToLower(h.What)]
		if !ok {
			return nil, fmt.Errorf("plan hours of %s: what %q: expected any, sewing or spraying outdoors", personName(h.Who), h.What)
		}
		if k == sprayWork && tooWetOrCold(h.Note) {
			continue
		}
		if hours[h.Who] == nil {
			hours[h.Who] = map[kind]*schedule.Hours{}
			people = append(people, h.Who)
		}
		if hours[h.Who][k] == nil {
			hours[h.Who][k] = &schedule.Hours{}
		}
		addHours(hours[h.Who][k], h)
	}
	slices.Sort(people)
	var all []shift
	for _, who := range people {
		for _, k := range []kind{anyWork, sewingWork, sprayWork} {
			h := hours[who][k]
			if h == nil {
				continue
			}
			ws, err := h.Windows(d.zone(), from, to)
			if err != nil {
				return nil, fmt.Errorf("plan hours of %s: %w", personName(who), err)
			}
			all = append(all, shift{who, k, ws})
		}
	}
	return all, nil
}

func personName(who string) string {
	if who == "" {
		return "the maker"
	}
	return who
}

// addHours puts one line of hours.csv where it belongs. A line for a date
// replaces the weekly lines of that person and kind on that day; several lines
// of one date add up; a line without times is a day off.
func addHours(into *schedule.Hours, h garment.Hours) {
	var spans []schedule.Span
	if h.From < h.To {
		spans = []schedule.Span{{From: int(h.From), To: int(h.To)}}
	}
	date, dated := h.Date.Get()
	if !dated {
		into.Weekly[h.Weekday] = append(into.Weekly[h.Weekday], spans...)
		return
	}
	y, m, day := date.Date()
	for i, have := range into.Dated {
		if have.Year == y && have.Month == m && have.Day == day {
			into.Dated[i].Spans = append(have.Spans, spans...)
			return
		}
	}
	into.Dated = append(into.Dated, schedule.Day{Year: y, Month: m, Day: day, Spans: spans})
}

// tooWetOrCold reads the weather of an outdoor window from the first clause of
// its note: rain, or a temperature below the least for any coat.
func tooWetOrCold(note string) bool {
	first, _, _ := strings.Cut(note, ";")
	if hasWord(first, "rain", "rainy", "wet", "snow") {
		return true
	}
	c, ok := noted(degrees, first).Get()
	return ok && c < coldest
}

// sessionOf returns the working hours round a minute for a person and kind.
func sessionOf(shifts []shift, who string, k kind, minute int) (schedule.Window, bool) {
	for _, w := range windowsOf(shifts, who, k) {
		if w.From <= minute && minute < w.To {
			return w, true
		}
	}
	return schedule.Window{}, false
}

// windowsOf returns when a person may do a kind of work: sewing also in the
// hours for anything, spraying only when its own hours and the person's meet.
func windowsOf(shifts []shift, who string, k kind) []schedule.Window {
	var own, spray [][]schedule.Window
	for _, s := range shifts {
		switch {
		case s.kind == sprayWork:
			spray = append(spray, s.windows)
		case s.who == who && (s.kind == anyWork || s.kind == k):
			own = append(own, s.windows)
		}
	}
	if k == sprayWork {
		return schedule.Intersect(schedule.Union(own...), schedule.Union(spray...))
	}
	return schedule.Union(own...)
}

// peopleFor returns who can do a kind of work at all, the maker first.
func peopleFor(shifts []shift, k kind) []string {
	var people []string
	for _, s := range shifts {
		if !slices.Contains(people, s.who) && len(windowsOf(shifts, s.who, k)) > 0 {
			people = append(people, s.who)
		}
	}
	return people
}

// minute is an instant in whole minutes, rounded up: work never starts early.
func minute(t time.Time) int { return schedule.MinuteOf(t.Add(time.Minute - time.Nanosecond)) }

func (d *draft) instant(m int) time.Time { return schedule.TimeOf(m, d.zone()) }
