package rub

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"undercoat/inventory"
	"undercoat/inventory/unit"
	"undercoat/palette/colour"
)

// How a test was done.
const (
	DryRub  = "dry rub"
	DampRub = "damp rub"
	Press   = "press"
	Heat    = "heat"
	Wash    = "wash"
)

// Test is a rub, press, heat or wash test on record, with its grade where the
// colours were read. Subject is the stock code that was tested, Against what
// it was tested on.
type Test struct {
	Code, Subject, Against, How string
	When                        unit.Stated[time.Time]
	Condition                   string // "as bought", "washed twice at 40 °C", …
	Age                         unit.Stated[time.Duration]
	Note                        string
	Rating                      unit.Stated[Rating] // unknown where a colour is missing
}

// NewTests reads the tests on record, in their table's order, and grades those
// whose clean and stained colours were read. A wash test is graded as change,
// the others as staining. Dates are told on the clock of zone.
func NewTests(facts []inventory.TestFact, zone *time.Location) []Test {
	var tests []Test
	for _, f := range facts {
		t := Test{Code: f.Code, Subject: f.Subject, Against: f.Against, How: f.How, When: f.When, Condition: f.Condition, Age: f.Age, Note: f.Note}
		if w, ok := f.When.Get(); ok {
			t.When = unit.State(w.In(zone))
		}
		clean, ok1 := f.Clean.Get()
		stained, ok2 := f.Stained.Get()
		if ok1 && ok2 {
			t.Rating = unit.State(grade(f.How, clean.Colour.Lab(), stained.Colour.Lab()))
		}
		tests = append(tests, t)
	}
	return tests
}

func grade(how string, clean, stained colour.Lab) Rating {
	if how == Wash {
		return Change(clean, stained)
	}
	return Staining(clean, stained)
}

// AsBought reports whether the subject had no treatment before the test.
func (t Test) AsBought() bool {
	c := strings.ToLower(strings.TrimSpace(t.Condition))
	return c == "" || c == "as bought"
}

// Treated reports whether the condition says that the subject was washed,
// fixed or set before the test.
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
	return b.String()
}
