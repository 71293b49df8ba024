package sheet

import (
	"bufio"
	"fmt"
	"io"
	"strings"
	"time"
	"unicode/utf8"
)

// A Calendar is what WriteCalendar prints as one iCalendar object. Nothing in
// it is made up by the writer: identifiers and stamps come from the caller, so
// the same Calendar gives the same bytes.
type Calendar struct {
	Product string    // PRODID: who wrote the file; required
	Name    string    // shown as the name of the calendar; may be empty
	Stamp   time.Time // DTSTAMP of every event: when the file was made; required
	Events  []Event   // printed in this order
}

// An Event is one entry. Times are instants; seconds are kept, fractions cut.
type Event struct {
	// UID names the event for good: the same step must keep its UID when the
	// calendar is written again, or it shows up twice. Required, no two alike.
	UID         string
	Sequence    int // raise it when the event moves; 0 at first
	Start       time.Time
	End         time.Time // not before Start; equal to Start: a moment
	Summary     string
	Description string
	Categories  []string
	Transparent bool // does not make the day busy (drying)
	Alarms      []Alarm
}

// An Alarm shows Text at a moment. It is written relative to the start of its
// event and moves with it.
type Alarm struct {
	At   time.Time
	Text string // empty: the summary of the event
}

// WriteCalendar writes c as an iCalendar object in UTF-8, with CR LF line ends,
// lines of at most 75 octets, and all times in UTC.
//
// Line ends within texts become line breaks of the calendar; other control
// characters, which the format cannot carry, become spaces; bytes that are not
// UTF-8 become U+FFFD. The error names the event and the field; a wrong
// calendar is refused before the first byte is written.
//
// Source: RFC 5545, sections 3.1 (folding), 3.3.11 (text), 3.3.5 form 2 (UTC),
// 3.6.1, 3.6.6, 3.8.6.3; NAME: RFC 7986, section 5.1.
func WriteCalendar(w io.Writer, c Calendar) error {
	if err := c.check(); err != nil {
		return fmt.Errorf("write calendar: %w", err)
	}
	p := &icalPrinter{w: bufio.NewWriter(w)}
	p.line("BEGIN", "VCALENDAR")
	p.line("VERSION", "2.0")
	p.text("PRODID", c.Product)
	p.line("CALSCALE", "GREGORIAN")
	if c.Name != "" {
		p.text("NAME", c.Name)
	}
	for _, e := range c.Events {
		p.event(e, c.Stamp)
	}
	p.line("END", "VCALENDAR")
	if err := p.w.Flush(); err != nil {
		return fmt.Errorf("write calendar: %w", err)
	}
	return nil
}

// check reports the first thing that the format forbids.
func (c Calendar) check() error {
	if c.Product == "" {
		return fmt.Errorf("product: empty")
	}
	if len(c.Events) == 0 {
		return fmt.Errorf("events: none: a calendar needs at least one")
	}
	if err := checkTime("stamp", c.Stamp); err != nil {
		return err
	}
	seen := map[string]bool{}
	for i, e := range c.Events {
		if e.UID == "" {
			return fmt.Errorf("event %d %q: uid: empty", i, e.Summary)
		}
		if seen[e.UID] {
			return fmt.Errorf("event %d %q: uid: %s: used twice", i, e.Summary, e.UID)
		}
		seen[e.UID] = true
		if err := e.check(); err != nil {
			return fmt.Errorf("event %s: %w", e.UID, err)
		}
	}
	return nil
}

func (e Event) check() error {
	if err := checkTime("start", e.Start); err != nil {
		return err
	}
	if err := checkTime("end", e.End); err != nil {
		return err
	}
	if e.End.Before(e.Start) {
		return fmt.Errorf("end: %s: before the start %s", e.End.UTC().Format(time.RFC3339), e.Start.UTC().Format(time.RFC3339))
	}
	if e.Sequence < 0 {
		return fmt.Errorf("sequence: %d: must not be negative", e.Sequence)
	}
	for _, a := range e.Alarms {
		if err := checkTime("alarm", a.At); err != nil {
			return err
		}
	}
	return nil
}

// checkTime refuses the zero time and years that do not fit in four digits.
func checkTime(field string, t time.Time) error {
	if t.IsZero() {
		return fmt.Errorf("%s: not set", field)
	}
	if y := t.UTC().Year(); y < 1 || y > 9999 {
		return fmt.Errorf("%s: year %d: must be 1 to 9999", field, y)
	}
	return nil
}

// An icalPrinter writes content lines; write errors stay in w until Flush.
type icalPrinter struct{ w *bufio.Writer }

func (p *icalPrinter) event(e Event, stamp time.Time) {
	p.line("BEGIN", "VEVENT")
	p.text("UID", e.UID)
	p.line("DTSTAMP", icalTime(stamp))
	p.line("DTSTART", icalTime(e.Start))
	if end := icalTime(e.End); end != icalTime(e.Start) {
		p.line("DTEND", end)
	}
	p.line("SEQUENCE", fmt.Sprint(e.Sequence))
	p.text("SUMMARY", e.Summary)
	if e.Description != "" {
		p.text("DESCRIPTION", e.Description)
	}
	if len(e.Categories) > 0 {
		escaped := make([]string, len(e.Categories))
		for i, c := range e.Categories {
			escaped[i] = icalText(c)
		}
		p.line("CATEGORIES", strings.Join(escaped, ","))
	}
	if e.Transparent {
		p.line("TRANSP", "TRANSPARENT")
	} else {
		p.line("TRANSP", "OPAQUE")
	}
	for _, a := range e.Alarms {
		p.alarm(a, e)
	}
	p.line("END", "VEVENT")
}

func (p *icalPrinter) alarm(a Alarm, e Event) {
	text := a.Text
	if text == "" {
		text = e.Summary
	}
	p.line("BEGIN", "VALARM")
	p.line("ACTION", "DISPLAY")
	p.line("TRIGGER", icalDuration(a.At.Unix()-e.Start.Unix()))
	p.text("DESCRIPTION", text)
	p.line("END", "VALARM")
}

// text writes a property whose value is text.
func (p *icalPrinter) text(name, value string) { p.line(name, icalText(value)) }

// foldAt is the longest content line in octets, line end not counted.
const foldAt = 75

// line writes one content line, folded. A character is never split.
func (p *icalPrinter) line(name, value string) {
	used := 0
	for _, r := range name + ":" + value {
		if used+utf8.RuneLen(r) > foldAt {
			p.w.WriteString("\r\n ")
			used = 1
		}
		p.w.WriteRune(r)
		used += utf8.RuneLen(r)
	}
	p.w.WriteString("\r\n")
}

// icalText escapes a text value (RFC 5545, 3.3.11).
func icalText(s string) string {
	var b strings.Builder
	s = strings.ReplaceAll(s, "\r\n", "\n")
	for _, r := range s {
		switch {
		case r == '\n' || r == '\r':
			b.WriteString(`\n`)
		case r == '\\' || r == ';' || r == ',':
			b.WriteByte('\\')
			b.WriteRune(r)
		case r < ' ' && r != '\t' || r == 0x7f:
			b.WriteByte(' ')
		default:
			b.WriteRune(r) // a byte that is not UTF-8 has become U+FFFD
		}
	}
	return b.String()
}

// icalTime is a time in UTC (RFC 5545, 3.3.5, form 2).
func icalTime(t time.Time) string { return t.UTC().Format("20060102T150405Z") }

// icalDuration is a signed duration of whole seconds (RFC 5545, 3.3.6), in
// hours and smaller: a day there may have 23 hours, 24 hours here never do.
func icalDuration(s int64) string {
	sign := ""
	if s < 0 {
		sign, s = "-", -s
	}
	h, m, s := s/3600, s/60%60, s%60
	out := sign + "PT"
	if h > 0 {
		out += fmt.Sprintf("%dH", h)
	}
	if m > 0 || h > 0 && s > 0 {
		out += fmt.Sprintf("%dM", m)
	}
	if s > 0 || h == 0 && m == 0 {
		out += fmt.Sprintf("%dS", s)
	}
	return out
}
