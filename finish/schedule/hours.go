package schedule

import (
	"fmt"
	"time"
)

// A Span is a stretch of wall-clock minutes after local midnight, [From, To),
// 0 <= From < To. To may pass 1440 to run on into the next day, to 2880 at most.
type Span struct{ From, To int }

// A Day is a date with its own hours, which replace the weekly ones; no spans
// means no work that day.
type Day struct {
	Year  int
	Month time.Month
	Day   int
	Spans []Span
}

// Hours are local working hours. The zero value has none. Spans of a day may
// be in any order and may overlap.
type Hours struct {
	Weekly [7][]Span // by time.Weekday, Sunday first
	Dated  []Day     // at most one per date
}

// Windows returns the hours in loc that lie in [from, to) as minutes since
// 1970 in UTC (see MinuteOf), in the form of Union.
//
// Wall-clock times become the earliest minute at which the clock shows that
// time or a later one. So a window lasts as long as it really does on the days
// of 23 and 25 hours, a time that the clock skips is the minute after the
// gap, a time that it shows twice is the first of the two, and spans that
// touch on the wall touch in fact.
func (h Hours) Windows(loc *time.Location, from, to int) ([]Window, error) {
	dated, err := h.dated()
	if err != nil {
		return nil, err
	}
	var all []Window
	// A span may begin up to two days before it reaches the range.
	first := TimeOf(from, loc).AddDate(0, 0, -3)
	for k := 0; ; k++ {
		noon := time.Date(first.Year(), first.Month(), first.Day()+k, 12, 0, 0, 0, time.UTC)
		y, m, d := noon.Date()
		if wallMinute(loc, y, m, d, 0) >= to {
			break
		}
		spans, ok := dated[date{y, m, d}]
		if !ok {
			spans = h.Weekly[noon.Weekday()]
		}
		for _, s := range spans {
			w := Window{wallMinute(loc, y, m, d, s.From), wallMinute(loc, y, m, d, s.To)}
			all = append(all, Window{max(w.From, from), min(w.To, to)})
		}
	}
	return Union(all), nil
}

type date struct {
	y int
	m time.Month
	d int
}

// dated checks the spans and returns the dated ones by date.
func (h Hours) dated() (map[date][]Span, error) {
	for day, spans := range h.Weekly {
		if err := wellFormedSpans(spans); err != nil {
			return nil, fmt.Errorf("read hours: %v: %w", time.Weekday(day), err)
		}
	}
	out := map[date][]Span{}
	for _, d := range h.Dated {
		noon := time.Date(d.Year, d.Month, d.Day, 12, 0, 0, 0, time.UTC)
		name := fmt.Sprintf("%04d-%02d-%02d", d.Year, d.Month, d.Day)
		if y, m, dd := noon.Date(); y != d.Year || m != d.Month || dd != d.Day {
			return nil, fmt.Errorf("read hours: %s: no such date", name)
		}
		if err := wellFormedSpans(d.Spans); err != nil {
			return nil, fmt.Errorf("read hours: %s: %w", name, err)
		}
		key := date{d.Year, d.Month, d.Day}
		if _, twice := out[key]; twice {
			return nil, fmt.Errorf("read hours: %s: given twice", name)
		}
		out[key] = d.Spans
	}
	return out, nil
}

func wellFormedSpans(spans []Span) error {
	for _, s := range spans {
		if s.From < 0 || s.To <= s.From || s.To > 2*1440 {
			return fmt.Errorf("span from minute %d to %d: must satisfy 0 <= from < to <= 2880", s.From, s.To)
		}
	}
	return nil
}

// wallMinute returns the earliest minute since 1970 at which the clocks in loc
// show the given minute of the given date, or later. The minute may run past
// midnight.
func wallMinute(loc *time.Location, y int, m time.Month, d, minute int) int {
	wall := time.Date(y, m, d, 0, minute, 0, 0, time.UTC).Unix() // the wall clock read as UTC
	// No zone is more than 15 hours from UTC, so the clock shows less here:
	at := time.Unix(wall-16*3600, 0).In(loc)
	for {
		_, offset := at.Zone()
		begin, end := at.ZoneBounds()
		u := wall - int64(offset)
		if !begin.IsZero() && u < begin.Unix() {
			u = begin.Unix() // the change of clocks leapt over it
		}
		if end.IsZero() || u < end.Unix() {
			return int(ceilMinute(u))
		}
		at = end
	}
}

// ceilMinute turns seconds into minutes, rounded up (some zones of the
// nineteenth century differ from UTC by odd seconds).
func ceilMinute(s int64) int64 {
	m := s / 60
	if s%60 > 0 {
		m++
	}
	return m
}

// MinuteOf returns whole minutes since 1970-01-01 00:00 UTC, rounded down.
func MinuteOf(t time.Time) int {
	s := t.Unix()
	m := s / 60
	if s%60 < 0 {
		m--
	}
	return int(m)
}

// TimeOf returns the instant of minute m since 1970 in loc.
func TimeOf(m int, loc *time.Location) time.Time { return time.Unix(int64(m)*60, 0).In(loc) }
