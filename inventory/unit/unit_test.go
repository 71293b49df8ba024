package unit

import (
	"errors"
	"flag"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

func TestParseAmounts(t *testing.T) {
	volume := func(s string) (float64, error) { v, err := ParseVolume(s); return float64(v), err }
	mass := func(s string) (float64, error) { v, err := ParseMass(s); return float64(v), err }
	length := func(s string) (float64, error) { v, err := ParseLength(s); return float64(v), err }
	extent := func(s string) (float64, error) { v, err := ParseExtent(s); return float64(v), err }
	space := func(s string) (float64, error) { v, err := ParseSpace(s); return float64(v), err }
	spread := func(s string) (float64, error) { v, err := ParseSpreadRate(s); return float64(v), err }
	for _, c := range []struct {
		parse func(string) (float64, error)
		text  string
		want  float64
	}{
		{volume, "30 ml", 30}, {volume, "30mL", 30}, {volume, "0.5 l", 500}, {volume, "1,5 l", 1500}, {volume, "0,125 l", 125},
		{volume, "20 cl", 200}, {volume, "0", 0}, {volume, "0 ml", 0}, {volume, "-0 ml", 0}, {volume, " 30\u00a0ml ", 30}, {volume, "2 litres", 2000},
		{volume, "0.07 l", 70}, {volume, "1e3 ml", 1000}, {volume, ".5 l", 500}, {volume, "+3 ml", 3},
		{mass, "12 g", 12}, {mass, "0.5 kg", 500}, {mass, "250 mg", 0.25},
		// International yard and pound agreement, 1959: 1 lb = 453.59237 g, 1 yd = 0.9144 m.
		{mass, "1 lb", 453.59237}, {mass, "16 oz", 453.59237}, {length, "1 yd", 0.9144}, {length, "36 in", 0.9144}, {length, `12"`, 0.3048},
		{length, "2.5 m", 2.5}, {length, "90 cm", 0.9}, {length, "40 um", 40e-6}, {length, "40 µm", 40e-6}, {length, "40 μm", 40e-6},
		{extent, "0.42 m2", 0.42}, {extent, "0.42 m²", 0.42}, {extent, "1200 cm2", 0.12}, {extent, "1 sq yd", 0.9144 * 0.9144},
		{space, "26 m3", 26}, {space, "26 m³", 26},
		{spread, "110 ml/m2", 110}, {spread, "110 ml/m²", 110}, {spread, "0.11 l/m2", 110}, {spread, "10 m2/l", 100}, {spread, "8 m²/l", 125},
	} {
		got, err := c.parse(c.text)
		if err != nil || math.Abs(got-c.want) > 1e-12*c.want {
			t.Errorf("%q: got %v, %v; want %v", c.text, got, err, c.want)
		}
	}
}

func TestParseRefuses(t *testing.T) {
	volume := func(s string) error { _, err := ParseVolume(s); return err }
	mass := func(s string) error { _, err := ParseMass(s); return err }
	money := func(s string) error { _, err := ParseMoney(s); return err }
	span := func(s string) error { _, err := ParseSpan(s); return err }
	for _, c := range []struct {
		name  string
		parse func(string) error
		text  string
		why   string
	}{
		{"nothing", volume, "", "nothing is written"},
		{"no unit", volume, "30", "the unit is missing"},
		{"another kind's unit", volume, "30 g", "that is a mass: expected a volume"},
		{"a volume for a mass", mass, "60 ml", "that is a volume: expected a mass"},
		{"fluid ounces differ between countries", volume, "1 fl oz", "the unit is not known"},
		{"negative", volume, "-3 ml", "not negative"},
		{"thousands or decimals", volume, "1,500 ml", "comma"},
		{"two marks", volume, "1,234.5 ml", "more than one decimal mark"},
		{"not a number", volume, "NaN ml", "no number"},
		{"infinite", volume, "Inf l", "no number"},
		{"beyond floats", volume, "1e999 ml", "can hold"},
		{"beyond a workroom", volume, "2000000 l", "too large"},
		{"below a workroom", volume, "1e-10 ml", "too small"},
		{"hexadecimal", volume, "0x10 ml", "unit"},
		{"half a cent", money, "7.505", "more than two decimals"},
		{"thousands", money, "1,500", "comma"},
		{"two currencies", money, "$ 5 EUR", "currency"},
		{"a word", money, "cheap", "no number"},
		{"exponent", money, "1e3", "exponent"},
		{"huge", money, "9999999999999999", "too large"},
		{"bare span", span, "90", "unit"},
		{"wrong order", span, "20 min 1 h", "large to small"},
		{"twice", span, "1 h 1 h", "large to small"},
		{"negative span", span, "-1 h", "not negative"},
		{"long", span, "200000 d", "too long"},
	} {
		err := c.parse(c.text)
		if err == nil || !errors.Is(err, ErrFormat) {
			t.Errorf("%s: %q: got %v, want a refusal", c.name, c.text, err)
			continue
		}
		if !strings.Contains(err.Error(), c.why) || !strings.Contains(err.Error(), "expected") {
			t.Errorf("%s: %q: error %q does not say %q and what was expected", c.name, c.text, err, c.why)
		}
	}
}

func TestMoney(t *testing.T) {
	for _, c := range []struct {
		text     string
		want     Money
		currency string
		prints   string
	}{
		{"7.50", 750, "", "7.50"}, {"7,50", 750, "", "7.50"}, {"12", 1200, "", "12.00"}, {"12 EUR", 1200, "EUR", "12.00"}, {"€ 3", 300, "€", "3.00"},
		{"£0.08", 8, "£", "0.08"}, {"-2.40", -240, "", "-2.40"}, {"−2.40", -240, "", "-2.40"}, {"gbp 130.00", 13000, "GBP", "130.00"}, {".5", 50, "", "0.50"},
		{"0.1", 10, "", "0.10"},
	} {
		m, currency, err := ParseMoneyIn(c.text)
		if err != nil || m != c.want || currency != c.currency || m.String() != c.prints {
			t.Errorf("%q: got %v %q, %v", c.text, m, currency, err)
		}
	}
	if got := Money(math.MinInt64).String(); got != "-92233720368547758.08" {
		t.Errorf("least money prints %s", got)
	}
	for _, c := range []struct {
		m    Money
		n    float64
		want Money
	}{{750, 3, 2250}, {8, 144, 1152}, {5, 0.5, 3}, {-5, 0.5, -3}, {1, math.NaN(), mostMoney}, {mostMoney, 2, mostMoney}, {mostMoney, -2, -mostMoney}} {
		if got := c.m.Times(c.n); got != c.want {
			t.Errorf("%v × %v = %v, want %v", c.m, c.n, got, c.want)
		}
	}
}

func TestSpan(t *testing.T) {
	for _, c := range []struct {
		text   string
		want   time.Duration
		prints string
	}{
		{"1 h 20 min", 80 * time.Minute, "1 h 20 min"}, {"90 min", 90 * time.Minute, "1 h 30 min"}, {"0.75 h", 45 * time.Minute, "45 min"},
		{"1h20m", 80 * time.Minute, "1 h 20 min"}, {"3 d", 72 * time.Hour, "72 h"}, {"2 d 4 h", 52 * time.Hour, "52 h"}, {"0", 0, "0 min"},
		{"1 week", 168 * time.Hour, "168 h"}, {"1.5 s", 1500 * time.Millisecond, "1.5 s"}, {"1h20m0s", 80 * time.Minute, "1 h 20 min"},
		{"2,5 hours", 150 * time.Minute, "2 h 30 min"},
	} {
		got, err := ParseSpan(c.text)
		if err != nil || got != c.want || FormatSpan(got) != c.prints {
			t.Errorf("%q: got %v (%s), %v; want %v", c.text, got, FormatSpan(got), err, c.want)
		}
	}
	if got := FormatSpan(-90 * time.Minute); got != "-1 h 30 min" {
		t.Errorf("a negative span prints %q", got)
	}
	if got := FormatSpan(math.MinInt64); got != "-2562047 h 47 min 16.854775807 s" {
		t.Errorf("the least span prints %q", got)
	}
}

// Clock changes of the tz database: Europe/Berlin put forward on 29 March 2026
// at 02:00 and back on 25 October 2026 at 03:00; Africa/Cairo put forward over
// midnight on 24 April 2026.
func TestMoment(t *testing.T) {
	berlin, cairo := zone(t, "Europe/Berlin"), zone(t, "Africa/Cairo")
	for _, c := range []struct {
		name, text string
		zone       *time.Location
		utc        string
		prints     string
	}{
		{"local", "2026-11-11 21:00", berlin, "2026-11-11T20:00:00Z", "2026-11-11 21:00"},
		{"local with T", "2026-11-11T21:00", berlin, "2026-11-11T20:00:00Z", "2026-11-11 21:00"},
		{"own offset", "2026-11-11T21:00:00+09:00", berlin, "2026-11-11T12:00:00Z", "2026-11-11 13:00"},
		{"own offset, blank", "2026-11-11 21:00:00z", berlin, "2026-11-11T21:00:00Z", "2026-11-11 22:00"},
		{"seconds", "2026-11-11 21:00:07", berlin, "2026-11-11T20:00:07Z", "2026-11-11 21:00:07"},
		{"a day", "2026-11-11", berlin, "2026-11-10T23:00:00Z", "2026-11-11"},
		{"no zone", "2026-11-11 21:00", nil, "2026-11-11T21:00:00Z", "2026-11-11 21:00"},
		{"first pass of the repeated hour", "2026-10-25 02:30", berlin, "2026-10-25T00:30:00Z", "2026-10-25 02:30"},
		{"second pass of the repeated hour", "2026-10-25T02:30:00+01:00", berlin, "2026-10-25T01:30:00Z", "2026-10-25T02:30:00+01:00"},
		{"a day whose midnight is skipped", "2026-04-24", cairo, "2026-04-23T22:00:00Z", "2026-04-24 01:00"},
	} {
		m, err := ParseMoment(c.text, c.zone)
		if err != nil || m.UTC().Format(time.RFC3339) != c.utc {
			t.Errorf("%s: %q: got %v, %v; want %s", c.name, c.text, m.UTC(), err, c.utc)
			continue
		}
		if got := FormatMoment(m, c.zone); got != c.prints {
			t.Errorf("%s: prints %q, want %q", c.name, got, c.prints)
		}
	}
	for name, text := range map[string]string{"skipped hour": "2026-03-29 02:30", "no time": "soon", "bad day": "2026-02-30", "old": "0026-11-11", "order": "11.11.2026"} {
		if m, err := ParseMoment(text, berlin); !errors.Is(err, ErrFormat) {
			t.Errorf("%s: %q: got %v, %v; want a refusal", name, text, m, err)
		}
	}
	if _, err := ParseDate("2026-11-11 21:00"); !errors.Is(err, ErrFormat) {
		t.Errorf("a date with a time: %v", err)
	}
}

func zone(t testing.TB, name string) *time.Location {
	z, err := time.LoadLocation(name)
	if err != nil {
		t.Skipf("no time zone data on this machine: %v", err)
	}
	return z
}

func TestQuantity(t *testing.T) {
	for text, want := range map[string]Quantity{
		"30 ml": {30, "ml"}, "0.5 l": {500, "ml"}, "2.5 m": {2.5, "m"}, "90 cm": {0.9, "m"}, "1.2 m²": {1.2, "m2"}, "12 pcs": {12, "pc"}, "1 can": {1, "can"},
		"40 g": {40, "g"}, "3 Dosen": {3, "dosen"},
	} {
		if got, err := ParseQuantity(text); err != nil || got != want {
			t.Errorf("%q: got %v, %v; want %v", text, got, err, want)
		}
	}
	for _, text := range []string{"", "30", "ml", "-3 ml", "3 m l", "3 a1", "3 abcdefghijklmnopq", "NaN pc"} {
		if got, err := ParseQuantity(text); err == nil {
			t.Errorf("%q: got %v, want a refusal", text, got)
		}
	}
	if _, err := (Quantity{1, "ml"}).Plus(Quantity{1, "g"}); err == nil {
		t.Error("millilitres and grams were added")
	}
	if got, err := (Quantity{1, "ml"}).Minus(Quantity{3, "ml"}); err != nil || got != (Quantity{-2, "ml"}) {
		t.Errorf("1 ml - 3 ml = %v, %v", got, err)
	}
	if _, err := NewQuantity(math.NaN(), "ml"); err == nil {
		t.Error("NaN ml was taken")
	}
	if v, ok := (Quantity{3, "ml"}).Volume(); !ok || v != 3 {
		t.Error("ml is a volume")
	}
	if _, ok := (Quantity{3, "g"}).Volume(); ok {
		t.Error("g is no volume")
	}
}

// Every value that a parser gives prints as text that gives the same value.
func TestAmountsPrintWhatParsesBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.Float64Range(Least, Most).Draw(t, "v")
		var volume Volume
		var mass Mass
		var length Length
		var extent Extent
		var space Space
		var spread SpreadRate
		for _, c := range []struct {
			text string
			back flag.Value
			got  func() float64
		}{
			{Volume(v).String(), &volume, func() float64 { return float64(volume) }}, {Mass(v).String(), &mass, func() float64 { return float64(mass) }},
			{Length(v).String(), &length, func() float64 { return float64(length) }}, {Extent(v).String(), &extent, func() float64 { return float64(extent) }},
			{Space(v).String(), &space, func() float64 { return float64(space) }}, {SpreadRate(v).String(), &spread, func() float64 { return float64(spread) }},
		} {
			if err := c.back.Set(c.text); err != nil || c.got() != v {
				t.Fatalf("%q: got %v, %v; want %v", c.text, c.got(), err, v)
			}
		}
	})
}

func TestMoneySpansMomentsAndQuantitiesPrintWhatParsesBack(t *testing.T) {
	berlin := zone(t, "Europe/Berlin")
	rapid.Check(t, func(t *rapid.T) {
		m := Money(rapid.Int64Range(-mostMoney, mostMoney).Draw(t, "money"))
		if got, err := ParseMoney(m.String()); err != nil || got != m {
			t.Fatalf("money %d prints %q, gives %d, %v", m, m, got, err)
		}
		d := Span(rapid.Int64Range(0, int64(mostSpan)).Draw(t, "span"))
		var span Span
		if err := span.Set(d.String()); err != nil || span != d {
			t.Fatalf("span %d prints %q, gives %d, %v", d, d, span, err)
		}
		at := time.Unix(rapid.Int64Range(-2208988000, 32503679000).Draw(t, "moment"), 0)
		if got, err := ParseMoment(FormatMoment(at, berlin), berlin); err != nil || !got.Equal(at) {
			t.Fatalf("moment %v prints %q, gives %v, %v", at.UTC(), FormatMoment(at, berlin), got, err)
		}
		q := Quantity{rapid.Float64Range(Least, Most).Draw(t, "amount"), rapid.SampledFrom([]string{"ml", "g", "m", "m2", "pc", "can", "Ω"}).Draw(t, "unit")}
		q, err := NewQuantity(q.Amount, q.Unit)
		if err != nil {
			t.Fatal(err)
		}
		var back Quantity
		if err := back.Set(q.String()); err != nil || back != q {
			t.Fatalf("quantity %v gives %v, %v", q, back, err)
		}
	})
}

// Around every change of the clock in a century of Berlin, each quarter of an
// hour prints as text that gives the same moment.
func TestMomentsAroundClockChanges(t *testing.T) {
	berlin := zone(t, "Europe/Berlin")
	at := time.Date(1915, 1, 1, 0, 0, 0, 0, berlin)
	for range 400 {
		_, change := at.ZoneBounds()
		if change.IsZero() || change.Year() > 2040 {
			break
		}
		for m := change.Add(-3 * time.Hour); m.Before(change.Add(3 * time.Hour)); m = m.Add(15 * time.Minute) {
			if got, err := ParseMoment(FormatMoment(m, berlin), berlin); err != nil || !got.Equal(m) {
				t.Fatalf("%v prints %q, gives %v, %v", m.UTC(), FormatMoment(m, berlin), got, err)
			}
		}
		at = change.Add(time.Hour)
	}
}

func TestStated(t *testing.T) {
	var unknown Stated[Volume]
	if unknown.Known() || unknown.Or(7) != 7 || unknown.String() != "" {
		t.Error("the zero value is not unknown")
	}
	known := State(Volume(0))
	if v, ok := known.Get(); !ok || v != 0 || known == unknown || known.Or(7) != 0 {
		t.Error("a stated zero is not zero")
	}
	for _, s := range []Stated[Volume]{unknown, known, State(Volume(3))} {
		b, err := s.MarshalJSON()
		if err != nil {
			t.Fatal(err)
		}
		back := State(Volume(99))
		if err := back.UnmarshalJSON(b); err != nil || back != s {
			t.Errorf("%s gives %v, %v; want %v", b, back, err, s)
		}
	}
	if err := unknown.UnmarshalJSON([]byte(`"x"`)); err == nil {
		t.Error("text was taken for a volume")
	}
}

func TestSetLeavesTheValueOnAnError(t *testing.T) {
	v, m, s := Volume(3), Money(5), Span(time.Hour)
	for _, f := range []flag.Value{&v, &m, &s} {
		if f.Set("?") == nil {
			t.Errorf("%T took ?", f)
		}
	}
	if v != 3 || m != 5 || s != Span(time.Hour) {
		t.Error("a refused text changed a value")
	}
}

func FuzzParse(f *testing.F) {
	for _, s := range []string{"30 ml", "1 h 20 min", "0.42 m²", "1,5 l", "12 EUR", "7.50", "1E+05", "2026-11-11 21:00", "-", "9 m2/l", "NaN", "1e-320 ml", "0x1p-3 g", "３０ ml"} {
		f.Add(s)
	}
	berlin := zone(f, "Europe/Berlin")
	f.Fuzz(func(t *testing.T, s string) {
		again := func(kind, printed string, same bool, err error) {
			if err != nil || !same {
				t.Errorf("%s: %q prints %q, which does not give it back: %v", kind, s, printed, err)
			}
		}
		if v, err := ParseVolume(s); err == nil {
			w, err := ParseVolume(v.String())
			again("volume", v.String(), v == w && v >= 0 && v <= Most, err)
		}
		if v, err := ParseLength(s); err == nil {
			w, err := ParseLength(v.String())
			again("length", v.String(), v == w, err)
		}
		if v, err := ParseSpreadRate(s); err == nil {
			w, err := ParseSpreadRate(v.String())
			again("spread rate", v.String(), v == w, err)
		}
		if v, err := ParseMoney(s); err == nil {
			w, err := ParseMoney(v.String())
			again("money", v.String(), v == w, err)
		}
		if v, err := ParseSpan(s); err == nil {
			w, err := ParseSpan(FormatSpan(v))
			again("span", FormatSpan(v), v == w && v >= 0 && v <= mostSpan, err)
		}
		if v, err := ParseQuantity(s); err == nil {
			w, err := ParseQuantity(v.String())
			again("quantity", v.String(), v == w, err)
		}
		if v, err := ParseNumber(s); err == nil {
			w, err := ParseNumber(FormatNumber(v))
			again("number", FormatNumber(v), v == w, err)
		}
		if v, err := ParseMoment(s, berlin); err == nil {
			w, err := ParseMoment(FormatMoment(v, berlin), berlin)
			again("moment", FormatMoment(v, berlin), v.Truncate(time.Second).Equal(w), err)
		}
	})
}

func ExampleParseVolume() {
	v, err := ParseVolume("1,5 l")
	fmt.Println(v, err)
	_, err = ParseVolume("1,500 ml")
	fmt.Println(err)
	// Output:
	// 1500 ml <nil>
	// "1,500 ml": the comma may mean a decimal or thousands: expected a volume such as "30 ml" or "0.5 l" (not understood)
}
