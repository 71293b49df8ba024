package finish

import (
	"context"
	"fmt"
	"slices"
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

// TestEntry is a test as a maker types it. It is graded by the clean and the
// stained colour, by a photograph of both, or by a grade seen against a grey
// scale: one of the three, or none where it is still to be graded.
type TestEntry struct {
	Code, Subject, Against, How, When, Condition, Clean, Stained, Age, Note string

	Grade   string      // judged by eye: "4", "3-4"
	Photo   *PhotoGrade // nil where there is none; its scale is that of How
	Retests string      // code of the earlier test; "" finds it
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
	GradeLow  string  `json:"grade_low"` // the least grade its photograph leaves open; "" not photographed
	ByEye     bool    `json:"by_eye"`    // seen against a grey scale, no colours read
	Rating    float64 `json:"rating"`
	Retests   string  `json:"retests"` // the earlier test it repeats
	Note      string  `json:"note"`
}

// Tests lists the tests of the job with their grades.
func (b *Bench) Tests(ctx context.Context) ([]TestLine, error) {
	s, err := b.scene(ctx)
	if err != nil {
		return nil, err
	}
	return testLines(s), nil
}

func testLines(s scene) []TestLine {
	lines := []TestLine{}
	for _, t := range rub.NewTests(s.facts.Tests, s.job.Zone) {
		lines = append(lines, testLine(s, t))
	}
	return lines
}

func testLine(s scene, t rub.Test) TestLine {
	l := TestLine{
		Code: t.Code, Subject: t.Subject, Against: t.Against, How: t.How, Condition: t.Condition, AgeH: t.Age.Or(0).Hours(), Note: t.Note,
		Grade: "not graded", ByEye: t.ByEye, Retests: t.Retests,
	}
	if w, ok := t.When.Get(); ok {
		l.When = unit.FormatMoment(w, s.job.Zone)
	}
	if r, ok := t.Rating.Get(); ok {
		l.Grade, l.Rating = r.Grade.String(), round(r.Rating, 2)
	}
	if t.Low > 0 {
		l.GradeLow = t.Low.String()
	}
	return l
}

// AddTest puts a test on record and gives it back as it stands there; an empty
// code becomes the next free RTn. Every field that cannot be read is an error
// that says what was expected; nothing is recorded then.
func (b *Bench) AddTest(ctx context.Context, e TestEntry) (TestLine, error) {
	s, err := b.scene(ctx)
	if err != nil {
		return TestLine{}, err
	}
	return b.addTest(ctx, s, s.at(), e)
}

// addTest records a test of a scene at a version of its job.
func (b *Bench) addTest(ctx context.Context, s scene, at inventory.At, e TestEntry) (TestLine, error) {
	fact, err := b.testFact(s, e)
	if err != nil {
		return TestLine{}, fmt.Errorf("record test of %s: %w", e.Subject, err)
	}
	if _, err := b.file.AddTest(ctx, at, fact); err != nil {
		return TestLine{}, err
	}
	if s, err = b.scene(ctx); err != nil {
		return TestLine{}, err
	}
	lines := testLines(s)
	return lines[len(lines)-1], nil
}

func (b *Bench) testFact(s scene, e TestEntry) (inventory.TestFact, error) {
	f := inventory.TestFact{
		Code: e.Code, Subject: e.Subject, Against: e.Against, How: e.How, Condition: e.Condition, Note: e.Note, When: unit.State(s.job.AsOf.Or(b.now())),
	}
	if strings.TrimSpace(e.Subject) == "" {
		return f, fmt.Errorf("subject: expected a stock code or an area code")
	}
	if !slices.Contains(rub.Ways(), e.How) {
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
	if e.Retests != "" {
		if !slices.ContainsFunc(s.facts.Tests, func(t inventory.TestFact) bool { return t.Code == e.Retests }) {
			return f, fmt.Errorf("retests: %q: expected the code of a test on record", e.Retests)
		}
		f.Retests = e.Retests
	}
	return f, e.gradeInto(&f)
}

// gradeInto fills in what the grade rests on.
func (e TestEntry) gradeInto(f *inventory.TestFact) error {
	colours := e.Clean != "" || e.Stained != ""
	switch {
	case e.Photo != nil && (colours || e.Grade != ""), colours && e.Grade != "":
		return fmt.Errorf("grade: expected one of: clean and stained colours, a photograph, or a grade judged by eye")
	case e.Photo != nil:
		return e.readPhoto(f)
	case e.Grade != "":
		g, err := rub.ParseGrade(e.Grade)
		if err != nil {
			return err
		}
		f.Grade = g.String()
		return nil
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
			return err
		}
		*c.into = unit.State(w)
	}
	return nil
}

// readPhoto grades the photograph and keeps the two colours it was graded by,
// and the least grade it leaves open. The picture itself is not kept.
func (e TestEntry) readPhoto(f *inventory.TestFact) error {
	q := *e.Photo
	q.Scale = string(rub.ScaleOf(e.How))
	g, err := gradePhoto(q)
	if err != nil {
		return fmt.Errorf("grade %s: %w", q.Picture.Name, err)
	}
	f.Clean, f.Stained = unit.State(writtenLab(g.Clean)), unit.State(writtenLab(g.Stained))
	f.GradeLow = g.Low.String()
	return nil
}
