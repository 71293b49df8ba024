package unit

import (
	"strings"
	"time"
)

const (
	momentExample = `a time such as "2026-11-11 21:00" or "2026-11-11T21:00:00+01:00"`
	dateExample   = `a date such as "2026-11-11"`
)

// ParseMoment reads RFC 3339 with its own offset, or "2026-11-11 21:00",
// "2026-11-11T21:00", with seconds too, or "2026-11-11" (its first minute), as
// the wall clock of zone (nil is UTC). The hour a clock skips in spring is
// refused; of the hour it repeats in autumn the first one is taken. Years run
// from 1900 to 2999 in UTC.
func ParseMoment(s string, zone *time.Location) (time.Time, error) {
	if zone == nil {
		zone = time.UTC
	}
	t := strings.TrimSpace(plain.Replace(s))
	if m, err := time.Parse(time.RFC3339, strings.Replace(strings.ToUpper(t), " ", "T", 1)); err == nil {
		return inYears(s, m, momentExample)
	}
	for _, layout := range []string{"2006-01-02 15:04", "2006-01-02T15:04", "2006-01-02 15:04:05", "2006-01-02T15:04:05", "2006-01-02"} {
		m, err := time.ParseInLocation(layout, t, zone)
		if err != nil {
			continue
		}
		if m.Format(layout) != t {
			if m = afterGap(m); layout != "2006-01-02" || m.Format(layout) != t {
				return time.Time{}, refuse(s, "the clock skips this hour in "+zone.String(), momentExample)
			}
		}
		return inYears(s, firstOf(m), momentExample)
	}
	return time.Time{}, refuse(s, "not a time", momentExample)
}

// afterGap returns the first moment of the day that begins while the clock of
// m's zone is being put forward over midnight; m is the moment before.
func afterGap(m time.Time) time.Time {
	_, end := m.ZoneBounds()
	if end.IsZero() {
		return m
	}
	return end
}

// firstOf returns the earlier of the two moments with m's wall clock when the
// clock was put back, else m.
func firstOf(m time.Time) time.Time {
	const wall = "2006-01-02 15:04:05"
	for _, back := range []time.Duration{30 * time.Minute, time.Hour, 2 * time.Hour} {
		if e := m.Add(-back); e.Format(wall) == m.Format(wall) {
			return e
		}
	}
	return m
}

func inYears(s string, m time.Time, example string) (time.Time, error) {
	if y := m.UTC().Year(); y < 1900 || y > 2999 {
		return time.Time{}, refuse(s, "the year is not between 1900 and 2999", example)
	}
	return m, nil
}

// FormatMoment prints m on the wall clock of zone (nil is UTC) so that
// [ParseMoment] with the same zone reads it back, to the second: a midnight as
// a date alone, seconds only where they are not 0, and RFC 3339 for the second
// pass through a repeated hour.
func FormatMoment(m time.Time, zone *time.Location) string {
	if zone == nil {
		zone = time.UTC
	}
	m = m.In(zone).Truncate(time.Second)
	layout := "2006-01-02 15:04:05"
	switch {
	case m.Hour() == 0 && m.Minute() == 0 && m.Second() == 0:
		layout = "2006-01-02"
	case m.Second() == 0:
		layout = "2006-01-02 15:04"
	}
	s := m.Format(layout)
	if back, err := ParseMoment(s, zone); err != nil || !back.Equal(m) {
		return m.Format(time.RFC3339)
	}
	return s
}

// ParseDate reads "2026-11-11" as that day's midnight in UTC; a day carries no
// zone of its own.
func ParseDate(s string) (time.Time, error) {
	d, err := time.Parse("2006-01-02", strings.TrimSpace(plain.Replace(s)))
	if err != nil {
		return time.Time{}, refuse(s, "not a date", dateExample)
	}
	return inYears(s, d, dateExample)
}

// FormatDate prints the day [ParseDate] reads.
func FormatDate(d time.Time) string { return d.Format("2006-01-02") }
