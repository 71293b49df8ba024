package inventory

import (
	"fmt"
	"time"

	"undercoat/inventory/unit"
)

// momentCell is a wall clock in a table and UTC RFC 3339 in the file.
type momentCell struct{}

// dateCell is a day without a zone.
type dateCell struct{}

func newTime(r rules) cell {
	switch r.as {
	case "moment":
		return momentCell{}
	case "date":
		return dateCell{}
	}
	panic("inventory: a time needs moment or date")
}

func (momentCell) parse(e *env, in []string, p any) (int, string) {
	if in[0] == "" {
		return 0, ""
	}
	m, err := unit.ParseMoment(in[0], e.zone)
	if err != nil {
		return 0, "a time such as 2026-11-11 21:00 that the clock of the job's time zone shows, or 2026-11-11T21:00:00Z"
	}
	*p.(*unit.Stated[time.Time]) = unit.State(m.UTC().Truncate(time.Second))
	return 0, ""
}

func (momentCell) print(e *env, out []string, p any) {
	if m, ok := p.(*unit.Stated[time.Time]).Get(); ok {
		out[0] = unit.FormatMoment(m, e.zone)
	}
}

func (momentCell) bind(out []any, p any) {
	if m, ok := p.(*unit.Stated[time.Time]).Get(); ok {
		out[0] = m.UTC().Format(time.RFC3339)
	}
}

func (momentCell) scan(e *env, in []any, p any) error {
	s, err := loadText(in[0])
	if s == "" || err != nil {
		return err
	}
	m, err := time.Parse(time.RFC3339, s)
	if err != nil {
		return fmt.Errorf("found %q, expected a time in RFC 3339", s)
	}
	*p.(*unit.Stated[time.Time]) = unit.State(m.UTC())
	return nil
}

func (dateCell) parse(e *env, in []string, p any) (int, string) {
	if in[0] == "" {
		return 0, ""
	}
	d, err := unit.ParseDate(in[0])
	if err != nil {
		return 0, "a date such as 2026-11-11"
	}
	*p.(*unit.Stated[time.Time]) = unit.State(d)
	return 0, ""
}

func (dateCell) print(e *env, out []string, p any) {
	if d, ok := p.(*unit.Stated[time.Time]).Get(); ok {
		out[0] = unit.FormatDate(d)
	}
}

func (dateCell) bind(out []any, p any) {
	if d, ok := p.(*unit.Stated[time.Time]).Get(); ok {
		out[0] = unit.FormatDate(d)
	}
}

func (dateCell) scan(e *env, in []any, p any) error {
	s, err := loadText(in[0])
	if s == "" || err != nil {
		return err
	}
	d, err := unit.ParseDate(s)
	if err == nil {
		*p.(*unit.Stated[time.Time]) = unit.State(d)
	}
	return err
}

type clockCell struct{}

func (clockCell) parse(e *env, in []string, p any) (int, string) {
	if in[0] == "" {
		return 0, ""
	}
	c, err := ParseClock(in[0])
	if err != nil {
		return 0, "a time of day such as 19:00"
	}
	*p.(*unit.Stated[Clock]) = unit.State(c)
	return 0, ""
}

func (clockCell) print(e *env, out []string, p any) { out[0] = p.(*unit.Stated[Clock]).String() }

func (clockCell) bind(out []any, p any) { out[0] = nullText(p.(*unit.Stated[Clock]).String()) }

func (clockCell) scan(e *env, in []any, p any) error { return scanText(e, clockCell{}, in, p) }
