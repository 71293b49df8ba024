package sheet

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"
	"unicode/utf8"
)

func day(h, m int) time.Time {
	return time.Date(2026, 11, 1, h, m, 0, 0, time.UTC)
}

func sample() Calendar {
	vienna := time.FixedZone("CET", 3600)
	return Calendar{
		Product: "-//undercoat//bench calendar//EN",
		Name:    "Bells, spring",
		Stamp:   time.Date(2026, 10, 30, 8, 5, 6, 7, time.UTC),
		Events: []Event{
			{
				UID: "a5-f1-2@bells", Sequence: 2, Start: day(14, 0).In(vienna), End: day(14, 45).In(vienna),
				Summary:     `Sash; second coat, "coral" \ both faces`,
				Description: "Hang at once.\r\nNot past 16:09: überstreichbar von 16:09 bis 20:00 — danach erst nach 48 h wieder.",
				Categories:  []string{"hands", "paint, fluorescent"},
			},
			{
				UID: "a5-f1-2-dry@bells", Start: day(14, 45), End: day(16, 9), Summary: "Sash dries", Transparent: true,
				Alarms: []Alarm{{At: day(16, 9), Text: "may recoat"}, {At: day(14, 30)}, {At: day(14, 45)}},
			},
			{UID: "handsoff@bells", Start: day(18, 0), End: day(18, 0), Summary: "Hands off"},
		},
	}
}

func written(t testing.TB, c Calendar) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := WriteCalendar(&b, c); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// Worked by hand from RFC 5545.
func TestCalendarBytes(t *testing.T) {
	want := []string{
		`BEGIN:VCALENDAR`,
		`VERSION:2.0`,
		`PRODID:-//undercoat//bench calendar//EN`,
		`CALSCALE:GREGORIAN`,
		`NAME:Bells\, spring`,
		`BEGIN:VEVENT`,
		`UID:a5-f1-2@bells`,
		`DTSTAMP:20261030T080506Z`,
		`DTSTART:20261101T140000Z`,
		`DTEND:20261101T144500Z`,
		`SEQUENCE:2`,
		`SUMMARY:Sash\; second coat\, "coral" \\ both faces`,
		"DESCRIPTION:Hang at once.\\nNot past 16:09: überstreichbar von 16:09 bis 20",
		` :00 — danach erst nach 48 h wieder.`,
		`CATEGORIES:hands,paint\, fluorescent`,
		`TRANSP:OPAQUE`,
		`END:VEVENT`,
		`BEGIN:VEVENT`,
		`UID:a5-f1-2-dry@bells`,
		`DTSTAMP:20261030T080506Z`,
		`DTSTART:20261101T144500Z`,
		`DTEND:20261101T160900Z`,
		`SEQUENCE:0`,
		`SUMMARY:Sash dries`,
		`TRANSP:TRANSPARENT`,
		`BEGIN:VALARM`, `ACTION:DISPLAY`, `TRIGGER:PT1H24M`, `DESCRIPTION:may recoat`, `END:VALARM`,
		`BEGIN:VALARM`, `ACTION:DISPLAY`, `TRIGGER:-PT15M`, `DESCRIPTION:Sash dries`, `END:VALARM`,
		`BEGIN:VALARM`, `ACTION:DISPLAY`, `TRIGGER:PT0S`, `DESCRIPTION:Sash dries`, `END:VALARM`,
		`END:VEVENT`,
		`BEGIN:VEVENT`,
		`UID:handsoff@bells`,
		`DTSTAMP:20261030T080506Z`,
		`DTSTART:20261101T180000Z`,
		`SEQUENCE:0`,
		`SUMMARY:Hands off`,
		`TRANSP:OPAQUE`,
		`END:VEVENT`,
		`END:VCALENDAR`,
	}
	got := string(written(t, sample()))
	if got != strings.Join(want, "\r\n")+"\r\n" {
		for i, l := range strings.Split(got, "\r\n") {
			if i >= len(want) || l != want[i] {
				t.Errorf("line %d: %q", i, l)
			}
		}
		t.Fatal("bytes differ")
	}
}

func TestCalendarFolding(t *testing.T) {
	name := len("SUMMARY:")
	for _, c := range []struct {
		what, text string
		lines      []int // octets
	}{
		{"exactly 75", strings.Repeat("x", 75-name), []int{75}},
		{"one more", strings.Repeat("x", 76-name), []int{75, 2}},
		{"two-octet character over the edge", strings.Repeat("x", 74-name) + "ü", []int{74, 3}},
		{"four-octet character over the edge", strings.Repeat("x", 72-name) + "🖌", []int{72, 5}},
		{"four-octet character on the edge", strings.Repeat("x", 71-name) + "🖌", []int{75}},
		{"two folds", strings.Repeat("x", 75-name+74+1), []int{75, 75, 2}},
	} {
		e := Event{UID: "u", Start: day(1, 0), End: day(2, 0), Summary: c.text}
		got := written(t, Calendar{Product: "p", Stamp: day(0, 0), Events: []Event{e}})
		_, rest, _ := bytes.Cut(got, []byte("SUMMARY:"))
		rest, _, _ = bytes.Cut(rest, []byte("\r\nTRANSP"))
		var lens []int
		for _, l := range strings.Split("SUMMARY:"+string(rest), "\r\n") {
			lens = append(lens, len(l))
		}
		if fmt.Sprint(lens) != fmt.Sprint(c.lines) {
			t.Errorf("%s: lines of %v octets, want %v", c.what, lens, c.lines)
		}
	}
}

func TestCalendarDurations(t *testing.T) {
	for s, want := range map[int64]string{0: "PT0S", 1: "PT1S", -60: "-PT1M", 3600: "PT1H", 3605: "PT1H0M5S", 93784: "PT26H3M4S", -90: "-PT1M30S"} {
		if got := icalDuration(s); got != want {
			t.Errorf("%d s: %s, want %s", s, got, want)
		}
	}
}

func TestCalendarRefuses(t *testing.T) {
	ok := Event{UID: "u", Start: day(1, 0), End: day(2, 0)}
	with := func(change func(*Calendar)) Calendar {
		c := Calendar{Product: "p", Stamp: day(0, 0), Events: []Event{ok}}
		change(&c)
		return c
	}
	for field, c := range map[string]Calendar{
		"product":    with(func(c *Calendar) { c.Product = "" }),
		"stamp":      with(func(c *Calendar) { c.Stamp = time.Time{} }),
		"events":     with(func(c *Calendar) { c.Events = nil }),
		"uid: empty": with(func(c *Calendar) { c.Events[0].UID = "" }),
		"used twice": with(func(c *Calendar) { c.Events = []Event{ok, ok} }),
		"start":      with(func(c *Calendar) { c.Events[0].Start = time.Time{} }),
		"end":        with(func(c *Calendar) { c.Events[0].End = day(0, 30) }),
		"year":       with(func(c *Calendar) { c.Events[0].End = day(1, 0).AddDate(9000, 0, 0) }),
		"sequence":   with(func(c *Calendar) { c.Events[0].Sequence = -1 }),
		"alarm":      with(func(c *Calendar) { c.Events[0].Alarms = []Alarm{{}} }),
	} {
		var b bytes.Buffer
		err := WriteCalendar(&b, c)
		if err == nil || !strings.Contains(err.Error(), field) {
			t.Errorf("%s: error %v", field, err)
		}
		if b.Len() > 0 {
			t.Errorf("%s: %d bytes written", field, b.Len())
		}
	}
}

type failing struct{}

func (failing) Write([]byte) (int, error) { return 0, fmt.Errorf("disk full") }

func TestCalendarWriteError(t *testing.T) {
	if err := WriteCalendar(failing{}, sample()); err == nil || !strings.Contains(err.Error(), "disk full") {
		t.Errorf("error %v", err)
	}
}

// unfold checks the bytes of a calendar and returns its content lines.
func unfold(t testing.TB, b []byte) []string {
	t.Helper()
	s := string(b)
	if !utf8.ValidString(s) {
		t.Fatal("not UTF-8")
	}
	if !strings.HasSuffix(s, "\r\n") {
		t.Fatal("no line end at the end")
	}
	var out []string
	for _, l := range strings.Split(strings.TrimSuffix(s, "\r\n"), "\r\n") {
		if len(l) > 75 {
			t.Fatalf("line of %d octets: %q", len(l), l)
		}
		if i := strings.IndexFunc(l, func(r rune) bool { return r < ' ' && r != '\t' || r == 0x7f }); i >= 0 {
			t.Fatalf("control character in %q", l)
		}
		if rest, ok := strings.CutPrefix(l, " "); ok {
			out[len(out)-1] += rest
			continue
		}
		out = append(out, l)
	}
	return out
}

// What people type comes back from the file, but for what the format cannot
// carry.
func FuzzCalendarText(f *testing.F) {
	f.Add("plain", "two\nlines")
	f.Add(`back\slash; semi, comma`, "tab\there \x00\x1b[31m")
	f.Add(strings.Repeat("ü", 200), "\r\n\r")
	f.Add("bad \xff utf-8", strings.Repeat("🖌\\", 90))
	f.Fuzz(func(t *testing.T, summary, category string) {
		e := Event{UID: "u" + summary, Start: day(1, 0), End: day(2, 0), Summary: summary, Description: summary + category, Categories: []string{category, summary}}
		b := written(t, Calendar{Product: "p", Stamp: day(0, 0), Events: []Event{e}})
		found := map[string]string{}
		for _, l := range unfold(t, b) {
			name, value, ok := strings.Cut(l, ":")
			if !ok {
				t.Fatalf("no colon in %q", l)
			}
			found[name] = value
		}
		if got := unescape(t, found["SUMMARY"]); len(got) != 1 || got[0] != carried(summary) {
			t.Errorf("summary %q came back as %q", summary, got)
		}
		if got := unescape(t, found["UID"]); len(got) != 1 || got[0] != "u"+carried(summary) {
			t.Errorf("uid of %q came back as %q", summary, got)
		}
		if got := unescape(t, found["CATEGORIES"]); len(got) != 2 || got[0] != carried(category) || got[1] != carried(summary) {
			t.Errorf("categories %q, %q came back as %q", category, summary, got)
		}
	})
}

// carried is what the format can carry of a text.
func carried(s string) string {
	s = strings.NewReplacer("\r\n", "\n", "\r", "\n").Replace(s)
	return strings.Map(func(r rune) rune {
		if r < ' ' && r != '\t' && r != '\n' || r == 0x7f {
			return ' '
		}
		return r
	}, string([]rune(s)))
}

// unescape reads a list of text values.
func unescape(t testing.TB, s string) []string {
	t.Helper()
	out := []string{""}
	for i := 0; i < len(s); i++ {
		switch {
		case s[i] == ',':
			out = append(out, "")
			continue
		case s[i] == ';':
			t.Fatalf("bare semicolon in %q", s)
		case s[i] == '\\':
			i++
			if i == len(s) || !strings.ContainsRune(`\;,n`, rune(s[i])) {
				t.Fatalf("bad escape in %q", s)
			}
			if s[i] == 'n' {
				out[len(out)-1] += "\n"
				continue
			}
		}
		out[len(out)-1] += s[i : i+1]
	}
	return out
}

// An independent parser that validates: python3-vobject.
func TestCalendarReadByVobject(t *testing.T) {
	python := ""
	for _, try := range []string{"python3", "/usr/bin/python3"} {
		if p, err := exec.LookPath(try); err == nil && exec.Command(p, "-c", "import vobject").Run() == nil {
			python = p
			break
		}
	}
	if python == "" {
		t.Skip("python3 with vobject is not installed here")
	}
	script := `
import sys, vobject
c = vobject.readOne(open(sys.argv[1], newline='').read())
c.validate(raiseException=True)
for e in c.vevent_list:
    e.validate(raiseException=True)
    end = e.dtend.value.isoformat() if hasattr(e, 'dtend') else '-'
    print(e.uid.value, e.dtstart.value.isoformat(), end, e.transp.value, sep='|')
    print(repr(e.summary.value))
    for a in getattr(e, 'valarm_list', []):
        print(a.trigger.value.total_seconds())
`
	got := read(t, python, "-c", script)
	want := `a5-f1-2@bells|2026-11-01T14:00:00+00:00|2026-11-01T14:45:00+00:00|OPAQUE
'Sash; second coat, "coral" \\ both faces'
a5-f1-2-dry@bells|2026-11-01T14:45:00+00:00|2026-11-01T16:09:00+00:00|TRANSPARENT
'Sash dries'
5040.0
-900.0
0.0
handsoff@bells|2026-11-01T18:00:00+00:00|-|OPAQUE
'Hands off'
`
	if got != want {
		t.Errorf("vobject read\n%s\nwant\n%s", got, want)
	}
}

// A second independent parser: ical.js, found through NODE_PATH.
func TestCalendarReadByICALJS(t *testing.T) {
	node, err := exec.LookPath("node")
	if err != nil || exec.Command(node, "-e", "require('ical.js')").Run() != nil {
		t.Skip("node with ical.js is not installed here")
	}
	script := `
const I = require('ical.js')
const c = new I.Component(I.parse(require('fs').readFileSync(process.argv[1], 'utf8')))
for (const v of c.getAllSubcomponents('vevent')) {
  const e = new I.Event(v)
  console.log([e.uid, e.startDate.toJSDate().toISOString(), e.endDate.toJSDate().toISOString(), e.sequence].join('|'))
  console.log(JSON.stringify(e.summary), JSON.stringify(v.getFirstProperty('categories')?.getValues()))
  for (const a of v.getAllSubcomponents('valarm')) console.log(a.getFirstPropertyValue('trigger').toSeconds())
}
`
	got := read(t, node, "-e", script)
	want := `a5-f1-2@bells|2026-11-01T14:00:00.000Z|2026-11-01T14:45:00.000Z|2
"Sash; second coat, \"coral\" \\ both faces" ["hands","paint, fluorescent"]
a5-f1-2-dry@bells|2026-11-01T14:45:00.000Z|2026-11-01T16:09:00.000Z|0
"Sash dries" undefined
5040
-900
0
handsoff@bells|2026-11-01T18:00:00.000Z|2026-11-01T18:00:00.000Z|0
"Hands off" undefined
`
	if got != want {
		t.Errorf("ical.js read\n%s\nwant\n%s", got, want)
	}
}

// read runs a reader over the sample calendar.
func read(t *testing.T, name string, args ...string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "bench.ics")
	if err := os.WriteFile(path, written(t, sample()), 0o600); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command(name, append(args, path)...).CombinedOutput()
	if err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	return string(out)
}
