package schedule

import (
	"testing"
	"time"

	"pgregory.net/rapid"
)

func zone(t testing.TB, name string) *time.Location {
	t.Helper()
	loc, err := time.LoadLocation(name)
	if err != nil {
		t.Skipf("no time zone data for %s here", name)
	}
	return loc
}

// The days of the clock changes are those of the IANA time zone database as
// Go's time package reads it; the expected UTC times are worked by hand from
// the legal rules (EU directive 2000/84/EC: 01:00 UTC on the last Sunday of
// March and October; US Energy Policy Act of 2005: 02:00 local, second Sunday
// of March, first Sunday of November).
func TestWindowsOnClockChanges(t *testing.T) {
	utc := func(s string) int {
		at, err := time.Parse("2006-01-02 15:04", s)
		if err != nil {
			t.Fatal(err)
		}
		return MinuteOf(at)
	}
	cases := []struct {
		name, zone string
		y          int
		m          time.Month
		d          int
		span       Span
		from, to   string
	}{
		{"ordinary evening, winter", "Europe/Vienna", 2026, 1, 15, Span{19 * 60, 21*60 + 30}, "2026-01-15 18:00", "2026-01-15 20:30"},
		{"ordinary evening, summer", "Europe/Vienna", 2026, 7, 15, Span{19 * 60, 21*60 + 30}, "2026-07-15 17:00", "2026-07-15 19:30"},
		{"day of 23 hours", "Europe/Vienna", 2026, 3, 29, Span{0, 1440}, "2026-03-28 23:00", "2026-03-29 22:00"},
		{"day of 25 hours", "Europe/Vienna", 2026, 10, 25, Span{0, 1440}, "2026-10-24 22:00", "2026-10-25 23:00"},
		{"from a skipped time", "Europe/Vienna", 2026, 3, 29, Span{150, 240}, "2026-03-29 01:00", "2026-03-29 02:00"},
		{"to a skipped time", "Europe/Vienna", 2026, 3, 29, Span{60, 150}, "2026-03-29 00:00", "2026-03-29 01:00"},
		{"over the skipped hour", "Europe/Vienna", 2026, 3, 29, Span{90, 210}, "2026-03-29 00:30", "2026-03-29 01:30"},
		{"to a repeated time: the first", "Europe/Vienna", 2026, 10, 25, Span{60, 150}, "2026-10-24 23:00", "2026-10-25 00:30"},
		{"over the repeated hour", "Europe/Vienna", 2026, 10, 25, Span{90, 210}, "2026-10-24 23:30", "2026-10-25 02:30"},
		{"night shift into the change", "America/New_York", 2026, 10, 31, Span{22 * 60, 30 * 60}, "2026-11-01 02:00", "2026-11-01 11:00"},
		{"night shift into spring", "America/New_York", 2026, 3, 7, Span{22 * 60, 30 * 60}, "2026-03-08 03:00", "2026-03-08 10:00"},
		{"half-hour change", "Australia/Lord_Howe", 2026, 10, 4, Span{0, 1440}, "2026-10-03 13:30", "2026-10-04 13:00"},
		{"far east of UTC", "Pacific/Kiritimati", 2026, 6, 1, Span{480, 540}, "2026-05-31 18:00", "2026-05-31 19:00"},
		{"far west of UTC", "Pacific/Pago_Pago", 2026, 6, 1, Span{480, 540}, "2026-06-01 19:00", "2026-06-01 20:00"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			h := Hours{Dated: []Day{{c.y, c.m, c.d, []Span{c.span}}}}
			noon := MinuteOf(time.Date(c.y, c.m, c.d, 12, 0, 0, 0, time.UTC))
			got, err := h.Windows(zone(t, c.zone), noon-5*1440, noon+5*1440)
			if err != nil {
				t.Fatal(err)
			}
			want := Window{utc(c.from), utc(c.to)}
			if len(got) != 1 || got[0] != want {
				t.Errorf("got %v, want %v", got, want)
			}
		})
	}
}

func TestHoursDatedReplaceWeekly(t *testing.T) {
	var h Hours
	for d := range h.Weekly {
		h.Weekly[d] = []Span{{540, 600}}
	}
	h.Dated = []Day{{2026, 5, 5, nil}, {2026, 5, 6, []Span{{0, 60}, {30, 90}}}}
	day := func(d int) int { return MinuteOf(time.Date(2026, 5, d, 0, 0, 0, 0, time.UTC)) }
	got, err := h.Windows(time.UTC, day(4)+570, day(7)+550)
	if err != nil {
		t.Fatal(err)
	}
	want := []Window{{day(4) + 570, day(4) + 600}, {day(6), day(6) + 90}, {day(7) + 540, day(7) + 550}}
	if len(got) != 3 || got[0] != want[0] || got[1] != want[1] || got[2] != want[2] {
		t.Errorf("got %v, want %v", got, want)
	}
}

func TestHoursRefuse(t *testing.T) {
	for name, h := range map[string]Hours{
		"span backwards":   {Dated: []Day{{2026, 1, 1, []Span{{600, 540}}}}},
		"span empty":       {Dated: []Day{{2026, 1, 1, []Span{{600, 600}}}}},
		"span too long":    {Dated: []Day{{2026, 1, 1, []Span{{600, 3000}}}}},
		"no such date":     {Dated: []Day{{2026, 2, 30, nil}}},
		"date given twice": {Dated: []Day{{2026, 2, 3, nil}, {2026, 2, 3, nil}}},
		"weekly negative":  {Weekly: [7][]Span{{{-1, 5}}}},
	} {
		if _, err := h.Windows(time.UTC, 0, 1440); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}

// A full week of whole days covers every minute, whatever the clock does; a
// span cut in two on the wall covers the same minutes as the whole.
func TestHoursLaws(t *testing.T) {
	names := []string{"Europe/Vienna", "America/New_York", "Australia/Lord_Howe", "America/Havana", "Africa/Casablanca", "Asia/Kathmandu", "UTC"}
	rapid.Check(t, func(rt *rapid.T) {
		loc := zone(t, rapid.SampledFrom(names).Draw(rt, "zone"))
		from := rapid.IntRange(0, 60*365*1440).Draw(rt, "from")
		to := from + rapid.IntRange(1, 400*1440).Draw(rt, "length")
		a := rapid.IntRange(0, 1438).Draw(rt, "a")
		c := rapid.IntRange(a+2, 2880).Draw(rt, "c")
		b := rapid.IntRange(a+1, c-1).Draw(rt, "b")
		var all, whole, cut Hours
		for d := range all.Weekly {
			all.Weekly[d] = []Span{{0, 1440}}
			whole.Weekly[d] = []Span{{a, c}}
			cut.Weekly[d] = []Span{{b, c}, {a, b}}
		}
		open := func(h Hours) []Window {
			w, err := h.Windows(loc, from, to)
			if err != nil {
				rt.Fatal(err)
			}
			return w
		}
		if w := open(all); len(w) != 1 || w[0] != (Window{from, to}) {
			rt.Fatalf("whole days leave gaps: %v in [%d, %d)", w, from, to)
		}
		x, y := open(whole), open(cut)
		if len(x) != len(y) {
			rt.Fatalf("cut spans differ: %v, %v", x, y)
		}
		for i := range x {
			if x[i] != y[i] {
				rt.Fatalf("cut spans differ: %v, %v", x[i], y[i])
			}
		}
	})
}

func TestMinuteOf(t *testing.T) {
	for _, c := range []struct {
		unix int64
		want int
	}{{0, 0}, {59, 0}, {60, 1}, {-1, -1}, {-60, -1}, {-61, -2}} {
		if got := MinuteOf(time.Unix(c.unix, 0)); got != c.want {
			t.Errorf("second %d: minute %d, want %d", c.unix, got, c.want)
		}
	}
	at := time.Date(2026, 10, 25, 2, 30, 0, 0, time.UTC)
	if got := TimeOf(MinuteOf(at), time.UTC); !got.Equal(at) {
		t.Errorf("there and back: %v", got)
	}
}
