package finish

import (
	"context"
	"fmt"
	"strings"

	"undercoat/finish/rub"
	"undercoat/inventory"
	"undercoat/inventory/unit"
	"undercoat/palette/colour"
)

// GradeAnswer is the grade of a stained or changed cloth. Its JSON is the
// `rub grade` contract.
type GradeAnswer struct {
	Scale      string   `json:"scale"`
	DEAB       float64  `json:"de_ab"`
	DEGS       float64  `json:"de_gs"`
	Rating     float64  `json:"rating"`
	Grade      string   `json:"grade"`
	RatingLow  float64  `json:"rating_low"` // a photograph's range; equal to rating for measured colours
	RatingHigh float64  `json:"rating_high"`
	GradeLow   string   `json:"grade_low"`
	GradeHigh  string   `json:"grade_high"`
	Clean      Swatch   `json:"clean"`
	Stained    Swatch   `json:"stained"`              // light evened out, cast removed
	LightPct   float64  `json:"light_difference_pct"` // more light on the clean part than on the stain
	Doubts     []string `json:"doubts"`
}

// GradeColours grades two measured colours. Scale is "staining" or "change".
func GradeColours(scale string, clean, stained colour.Lab) GradeAnswer {
	a := gradeAnswer(rate(scale, clean, stained))
	a.Clean, a.Stained = swatch(clean), swatch(stained)
	return a
}

func rate(scale string, clean, stained colour.Lab) rub.Rating {
	if rub.Scale(scale) == rub.ChangeScale {
		return rub.Change(clean, stained)
	}
	return rub.Staining(clean, stained)
}

// gradeAnswer is a rating without a range.
func gradeAnswer(r rub.Rating) GradeAnswer {
	a := GradeAnswer{
		Scale: string(r.Scale), DEAB: round(r.DE, 3), DEGS: round(r.GS, 3), Rating: round(r.Rating, 3), Grade: r.Grade.String(), Doubts: []string{},
	}
	a.RatingLow, a.RatingHigh, a.GradeLow, a.GradeHigh = a.Rating, a.Rating, a.Grade, a.Grade
	return a
}

// TestEntry is a test as a maker types it.
type TestEntry struct {
	Code, Subject, Against, How, When, Condition, Clean, Stained, Age, Note string
}

// TestLine is a test on record.
type TestLine struct {
	Code      string  `json:"code"`
	Subject   string  `json:"subject"`
	Against   string  `json:"against"`
	How       string  `json:"how"`
	When      string  `json:"when"`
	Condition string  `json:"condition"`
	AgeH      float64 `json:"age_h"`
	Grade     string  `json:"grade"`
	Rating    float64 `json:"rating"`
	Note      string  `json:"note"`
}

// Tests lists the tests of the job with their grades.
func (b *Bench) Tests(ctx context.Context) ([]TestLine, error) {
	s, err := b.scene(ctx)
	if err != nil {
		return nil, err
	}
	lines := []TestLine{}
	for _, t := range rub.NewTests(s.facts.Tests, s.job.Zone) {
		lines = append(lines, testLine(s, t))
	}
	return lines, nil
}

func testLine(s scene, t rub.Test) TestLine {
	l := TestLine{Code: t.Code, Subject: t.Subject, Against: t.Against, How: t.How, Condition: t.Condition, AgeH: t.Age.Or(0).Hours(), Note: t.Note, Grade: "not graded"}
	if w, ok := t.When.Get(); ok {
		l.When = unit.FormatMoment(w, s.job.Zone)
	}
	if r, ok := t.Rating.Get(); ok {
		l.Grade, l.Rating = r.Grade.String(), round(r.Rating, 2)
	}
	return l
}

// AddTest puts a test on record. Every field that cannot be read is an error
// that says what was expected; nothing is recorded then.
func (b *Bench) AddTest(ctx context.Context, e TestEntry) (TestLine, error) {
	s, err := b.scene(ctx)
	if err != nil {
		return TestLine{}, err
	}
	fact, err := b.testFact(s, e)
	if err != nil {
		return TestLine{}, fmt.Errorf("record test %s: %w", e.Code, err)
	}
	if _, err := b.file.AddTest(ctx, s.at(), fact); err != nil {
		return TestLine{}, err
	}
	return testLine(s, rub.NewTests([]inventory.TestFact{fact}, s.job.Zone)[0]), nil
}

func (b *Bench) testFact(s scene, e TestEntry) (inventory.TestFact, error) {
	f := inventory.TestFact{Code: e.Code, Subject: e.Subject, Against: e.Against, How: e.How, Condition: e.Condition, Note: e.Note, When: unit.State(b.now())}
	if strings.TrimSpace(e.Subject) == "" {
		return f, fmt.Errorf("subject: expected a stock code or an area code")
	}
	switch e.How {
	case rub.DryRub, rub.DampRub, rub.Press, rub.Heat, rub.Wash:
	default:
		return f, fmt.Errorf("how: %q: expected dry rub, damp rub, press, heat or wash", e.How)
	}
	if e.When != "" {
		t, err := unit.ParseMoment(e.When, s.job.Zone)
		if err != nil {
			return f, err
		}
		f.When = unit.State(t)
	}
	if e.Age != "" {
		d, err := unit.ParseSpan(e.Age)
		if err != nil {
			return f, err
		}
		f.Age = unit.State(d)
	}
	for _, c := range []struct {
		text string
		into *unit.Stated[inventory.Written]
	}{{e.Clean, &f.Clean}, {e.Stained, &f.Stained}} {
		if c.text == "" {
			continue
		}
		w, err := inventory.Write(c.text)
		if err != nil {
			return f, err
		}
		*c.into = unit.State(w)
	}
	return f, nil
}
