package schedule

import "time"

// A Span is a stretch of wall-clock minutes after local midnight, [From, To).
// To may pass 1440 to run on into the next day.
type Span struct{ From, To int }

// A Day is a date with its own hours, which replace the weekly ones; no spans
// means no work that day.
type Day struct {
	Year  int
	Month time.Month
	Day   int
	Spans []Span
}

// Hours are local working hours. The zero value has none.
type Hours struct {
	Weekly [7][]Span // by time.Weekday, Sunday first
	Dated  []Day
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
