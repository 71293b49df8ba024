package rub

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"undercoat/inventory"
	"undercoat/inventory/unit"
)

// How a test was done.
const (
	DryRub  = "dry rub"
	DampRub = "damp rub"
	Press   = "press"
	Heat    = "heat"
	Wash    = "wash"
)

// Ways lists how a test may be done, in the order a maker meets them.
func Ways() []string { return []string{DryRub, DampRub, Press, Heat, Wash} }

// Test is a rub, press, heat or wash test on record, with its grade where the
// colours were read or judged by eye. Subject is the stock code that was
// tested, Against what it was tested on.
type Test struct {
	Code, Subject, Against, How string
	When                        unit.Stated[time.Time]
	Condition                   string // "as bought", "washed twice at 40 °C", …
	Age                         unit.Stated[time.Duration]
	Note                        string
	Rating                      unit.Stated[Rating] // unknown where neither colours nor a grade are there
	ByEye                       bool                // Rating holds only the grade a person saw: its differences are 0 and mean nothing
	Low                         Grade               // the least grade its photograph leaves open; 0 where it was not photographed
	Retests                     string              // code of the earlier test it repeats; "" none
}

// NewTests reads the tests on record, in their table's order, and grades them:
// by their clean and stained colours, else by the grade a person saw. A wash test
// is graded as change, the others as staining. Dates are told on the clock of
// zone. A test that names none repeats the latest earlier one of the same
// subject, neighbour and way.
func NewTests(facts []inventory.TestFact, zone *time.Location) []Test {
	var tests []Test
	for _, f := range facts {
		t := Test{Code: f.Code, Subject: f.Subject, Against: f.Against, How: f.How, When: f.When, Condition: f.Condition, Age: f.Age, Note: f.Note}
		if w, ok := f.When.Get(); ok {
			t.When = unit.State(w.In(zone))
		}
		t.Rating, t.ByEye = gradeOf(f)
		if low, err := ParseGrade(f.GradeLow); err == nil && t.Rating.Known() {
			t.Low = low
		}
		t.Retests = f.Retests
		tests = append(tests, t)
	}
	for i := range tests {
		if tests[i].Retests == "" {
			tests[i].Retests = earlier(tests, tests[i])
		}
	}
	return tests
}

// ScaleOf is the grey scale a way of testing is graded on.
func ScaleOf(how string) Scale {
	if how == Wash {
		return ChangeScale
	}
	return StainingScale
}

// gradeOf grades a test by its colours, else by the grade a person saw.
func gradeOf(f inventory.TestFact) (r unit.Stated[Rating], byEye bool) {
	clean, ok1 := f.Clean.Get()
	stained, ok2 := f.Stained.Get()
	if ok1 && ok2 {
		return unit.State(rateOn(ScaleOf(f.How), clean.Colour.Lab(), stained.Colour.Lab())), false
	}
	g, err := ParseGrade(f.Grade)
	if err != nil {
		return unit.Stated[Rating]{}, false
	}
	return unit.State(Rating{Scale: ScaleOf(f.How), Rating: float64(g) / 2, Grade: g}), true
}

// earlier is the code of the latest test before t of the same subject,
// neighbour and way; "" where there is none or a date is missing.
func earlier(tests []Test, t Test) string {
	var best Test
	now, ok := t.When.Get()
	if !ok {
		return ""
	}
	for _, o := range tests {
		was, dated := o.When.Get()
		if !dated || !was.Before(now) || o.Subject != t.Subject || o.How != t.How || o.Against != t.Against {
			continue
		}
		if best.Code == "" || was.After(best.When.Or(time.Time{})) {
			best = o
		}
	}
	return best.Code
}

// AsBought reports whether the subject had no treatment before the test.
func (t Test) AsBought() bool {
	c := strings.ToLower(strings.TrimSpace(t.Condition))
	return c == "" || c == "as bought"
}

// Treated reports whether the condition says that the subject was washed,
// fixed or rinsed before the test.
func (t Test) Treated() bool {
	c := strings.ToLower(t.Condition)
	return slices.ContainsFunc([]string{"wash", "fixed", "fixative", "rinsed"}, func(w string) bool { return strings.Contains(c, w) })
}

// grade is the test's grade, 0 where it has none.
func (t Test) grade() Grade {
	r, ok := t.Rating.Get()
	if !ok {
		return 0
	}
	return r.Grade
}

// String says the test in words: "RT4 of 22 October 2026 (damp rub, washed
// twice and fixed): 4".
func (t Test) String() string {
	var b strings.Builder
	b.WriteString(t.Code)
	if w, ok := t.When.Get(); ok {
		fmt.Fprintf(&b, " of %s", w.Format("2 January 2006"))
	}
	fmt.Fprintf(&b, " (%s", t.How)
	if t.Condition != "" {
		fmt.Fprintf(&b, ", %s", t.Condition)
	}
	fmt.Fprintf(&b, "): %s", t.grade())
	switch {
	case t.ByEye:
		b.WriteString(" by eye")
	case t.Low > 0 && t.Low < t.grade():
		fmt.Fprintf(&b, ", perhaps %s", t.Low)
	}
	return b.String()
}
