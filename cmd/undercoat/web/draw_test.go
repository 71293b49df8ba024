package web

import (
	"math"
	"testing"

	"undercoat/finish"
)

// A section fills its place from the selvedge to the bottom, without a gap.
func TestCutFillsItsPlace(t *testing.T) {
	h := func(v float64) *float64 { return &v }
	for name, s := range map[string]finish.Section{
		"ground alone":      {GroundShare: 1},
		"one coat":          {GroundShare: 0.3, Coats: []finish.SectionCoat{{Share: 0.7, Hiding: h(0.7)}}},
		"three of a kind":   {GroundShare: 0.125, Coats: []finish.SectionCoat{{Share: 0.125, Hiding: h(0.5)}, {Share: 0.25, Hiding: h(0.5)}, {Share: 0.5, Hiding: h(0.5)}}},
		"a clear coat":      {GroundShare: 0.2, Coats: []finish.SectionCoat{{Share: 0.8, Hiding: h(0.8)}, {Share: 0, Hiding: h(0)}}},
		"hiding not stated": {GroundShare: 0.5, Coats: []finish.SectionCoat{{Share: 0.5}}},
	} {
		bands := cut(s)
		if len(bands) != len(s.Coats)+1 {
			t.Fatalf("%s: %d bands for %d coats and the ground", name, len(bands), len(s.Coats))
		}
		y := selvedge
		for i, b := range bands {
			if math.Abs(b.Y-y) > 0.02 || b.H < leastBand-0.01 {
				t.Errorf("%s: band %d lies at %g, %g high; want %g", name, i, b.Y, b.H, y)
			}
			y = b.Y + b.H
		}
		if math.Abs(y-100) > 0.02 {
			t.Errorf("%s: it ends at %g, want 100", name, y)
		}
	}
	// The last coat lies on top.
	got := cut(finish.Section{Coats: []finish.SectionCoat{{Code: "W1"}, {Code: "F1"}}})
	if got[0].Says[:2] != "F1" || !got[0].Hatch {
		t.Errorf("on top lies %q, hatched %v", got[0].Says, got[0].Hatch)
	}
}

// The words beside a section stand in the order of its coats, inside the
// drawing, and never on each other; they account for all that is seen.
func TestTagsOfASection(t *testing.T) {
	h := func(v float64) *float64 { return &v }
	s := finish.Section{Ground: "C7", GroundShare: 0.0004}
	for _, c := range []struct {
		code  string
		share float64
	}{{"W3", 0.0006}, {"W1", 0.03}, {"W1", 0.12}, {"F1", 0.25}, {"F1", 0.6}} {
		s.Coats = append(s.Coats, finish.SectionCoat{Code: c.code, Share: c.share, Hiding: h(0.5)})
	}
	got := tags(s, cut(s))
	want := []string{"F1 × 2 85 %", "W1 × 2 15 %", "W3 × 1 0 %", "C7 0 %"}
	if len(got) != len(want) {
		t.Fatalf("tags %+v", got)
	}
	for i, g := range got {
		if g.Code+" "+g.Share != want[i] {
			t.Errorf("tag %d is %s %s, want %s", i, g.Code, g.Share, want[i])
		}
		if g.Y < selvedge || g.Y > 96 || i > 0 && g.Y-got[i-1].Y < tagApart-0.02 {
			t.Errorf("tag %d stands at %g after %+v", i, g.Y, got[max(0, i-1)])
		}
	}
}

func TestCalendarHoldsEveryStep(t *testing.T) {
	off := "2026-11-03T21:00:00Z"
	c := newCalendar(finish.PlanAnswer{
		Now: "2026-10-31T09:00:00Z", HandsOff: finish.PlanHandsOff{At: &off},
		Chain: []finish.PlanLink{{Step: "A5-W1-1"}},
		Steps: []finish.PlanStep{
			{ID: "pack", Start: "2026-11-02T10:00:00Z", End: "2026-11-02T11:00:00Z", Ready: "2026-11-02T11:00:00Z", LatestStart: "2026-11-02T10:00:00Z"},
			{ID: "A5-W1-1", Area: "A5", Start: "2026-11-01T10:00:00Z", End: "2026-11-01T10:45:00Z", Ready: "2026-11-01T13:09:00Z", LatestStart: "2026-11-01T12:00:00Z"},
			{ID: "A4-cut", Area: "A4", Start: "2026-10-31T10:00:00Z", End: "2026-10-31T10:30:00Z", Ready: "2026-10-31T10:30:00Z", LatestStart: "2026-11-01T10:00:00Z", Done: true},
		},
	})
	if len(c.Days) != 4 || c.Days[0].Name != "Sat" || c.Days[0].Num != "31 Oct" || !c.Days[0].Rest || c.Days[2].Rest {
		t.Errorf("days %+v", c.Days)
	}
	if len(c.Rows) != 3 || c.Rows[0].Code != "A4" || c.Rows[1].Code != "A5" || c.Rows[2].Code != "" {
		t.Fatalf("rows %+v", c.Rows)
	}
	a5 := c.Rows[1]
	// 34 of the 96 hours that the days hold.
	if want := calLabel + (100-calLabel)*34/96; math.Abs(a5.Hands[0].X-want) > 0.01 || !a5.Hands[0].Chain {
		t.Errorf("hands %+v, want at %g", a5.Hands[0], want)
	}
	if len(a5.Drying) != 1 || len(a5.Spare) != 1 || len(c.Rows[0].Spare) != 0 {
		t.Errorf("drying %+v, spare %+v; spare time of a done step %+v", a5.Drying, a5.Spare, c.Rows[0].Spare)
	}
	if want := calLabel + (100-calLabel)*93/96; math.Abs(c.Off-want) > 0.01 {
		t.Errorf("hands-off at %g, want %g", c.Off, want)
	}
	if newCalendar(finish.PlanAnswer{}) != nil {
		t.Error("no plan is drawn")
	}
}

func TestWordsOfTimesAndNumbers(t *testing.T) {
	for m, want := range map[int]string{0: "0 min", 45: "45 min", 75: "1 h 15 min", 1440: "1 d", 4680: "3 d 6 h", -180: "−3 h"} {
		if got := spanOf(m); got != want {
			t.Errorf("%d min is %q, want %q", m, got, want)
		}
	}
	for _, c := range []struct {
		v    float64
		d    int
		want string
	}{{-0.04, 1, "0.0"}, {-3.42, 1, "−3.4"}, {47.37, 0, "47"}} {
		if got := number(c.v, c.d); got != c.want {
			t.Errorf("%g is %q, want %q", c.v, got, c.want)
		}
	}
	if got := until("2026-11-01T10:00:00Z", "2026-11-02T11:30:00Z"); got != "1 d 1 h" {
		t.Errorf("until gives %q", got)
	}
	if when((*string)(nil)) != "" || when("soon") != "" {
		t.Error("no time has words")
	}
}
