package finish

import (
	"context"
	"errors"
	"slices"
	"strings"
	"time"

	"undercoat/finish/caution"
	"undercoat/finish/garment"
	"undercoat/finish/plan"
	"undercoat/finish/rub"
	"undercoat/inventory"
	"undercoat/inventory/unit"
)

// ContactsAnswer is every contact with its verdict. Its JSON is the `contacts`
// contract.
type ContactsAnswer struct {
	Contacts []ContactAnswer `json:"contacts"`
	Packing  []PackAnswer    `json:"packing"` // what else is better not packed face to face
}

// ContactAnswer is one contact and the test its verdict rests on.
type ContactAnswer struct {
	Code       string   `json:"code"`
	From       string   `json:"from"`
	To         string   `json:"to"`
	Rubbing    string   `json:"rubbing"`
	Damp       bool     `json:"damp"`
	Hours      float64  `json:"hours"`
	Verdict    string   `json:"verdict"`
	Because    string   `json:"because"`
	Test       string   `json:"test"`
	Stale      string   `json:"stale"` // why that test no longer speaks for the piece
	Needed     string   `json:"grade_needed"`
	ToDo       string   `json:"test_to_do"`
	TestOrder  int      `json:"test_order"` // 1 is to be tested first; 0 nothing to test
	TestWords  string   `json:"test_words"`
	TestWhy    []string `json:"test_why"`
	TestBy     string   `json:"test_by"` // latest start of that test in the plan
	Try        []string `json:"try"`     // what may help, in order; test again after each
	Barrier    string   `json:"barrier"` // stock code
	BarrierHow string   `json:"barrier_how"`
	Note       string   `json:"note"`
}

// PackAnswer is an area that is better not packed against others.
type PackAnswer struct {
	Area    string   `json:"area"`
	From    []string `json:"apart_from"`
	How     string   `json:"how"`
	Because string   `json:"because"`
	Test    string   `json:"test"`
}

// Contacts gives every contact of the job with its verdict, and for tests still
// to do the latest date the plan leaves for them.
func (b *Bench) Contacts(ctx context.Context) (ContactsAnswer, error) {
	s, err := b.scene(ctx)
	if err != nil {
		return ContactsAnswer{}, err
	}
	w := judged(s)
	if len(testWants(w.job, w.verdicts)) > 0 {
		// A job whose plan cannot be made still has its verdicts.
		if p, err := plan.Make(w.planInput(s.job.AsOf.Or(b.now()), plan.FanAsRoom)); err == nil {
			w.plan = p
		}
	}
	return w.contacts(), nil
}

// contacts is the answer of a computed job.
func (w work) contacts() ContactsAnswer {
	a := ContactsAnswer{Contacts: []ContactAnswer{}, Packing: []PackAnswer{}}
	for _, v := range w.verdicts {
		c := contactAnswer(v)
		if by, ok := w.testBy(v); ok {
			c.TestBy = unit.FormatMoment(by, w.job.Zone)
		}
		a.Contacts = append(a.Contacts, c)
	}
	for _, p := range w.apart {
		how := "tissue or a bag between"
		if p.Softens {
			how = rub.BagOfItsOwn
		}
		a.Packing = append(a.Packing, PackAnswer{Area: p.Area, From: p.From, How: how, Because: p.Because, Test: p.Test})
	}
	return a
}

func contactAnswer(v rub.Verdict) ContactAnswer {
	a := ContactAnswer{
		Code: v.Contact.Code, From: v.Contact.From, To: v.Contact.To, Rubbing: v.Contact.Rubbing.String(), Damp: v.Contact.Damp, Hours: v.Contact.Hours,
		Verdict: string(v.Word), Because: v.Because, Test: v.Test, Stale: v.Stale, Barrier: v.Barrier.Code, BarrierHow: v.Barrier.How, Note: v.Contact.Note,
		TestOrder: v.Risk.Order, TestWords: v.Risk.Words, TestWhy: list(v.Risk.Why), Try: []string{},
	}
	if v.Needed > 0 {
		a.Needed = v.Needed.String()
	}
	if v.Wanted.How != "" {
		a.ToDo = v.Wanted.String()
	}
	for _, r := range v.Try {
		a.Try = append(a.Try, r.What+": "+r.Why)
	}
	return a
}

// judged gives the verdicts on a scene's contacts.
func judged(s scene) work {
	w := work{scene: s, tests: rub.NewTests(s.facts.Tests, s.job.Zone)}
	in := rub.Input{Job: s.job, Stock: s.stock, Tests: w.tests, Bought: s.bought, Washed: washed(s)}
	w.verdicts, w.apart = rub.Verdicts(in), rub.PackApart(in)
	return w
}

// bought says when each tested stock line was last bought.
func (b *Bench) bought(ctx context.Context, tests []inventory.TestFact) (map[string]time.Time, error) {
	last := map[string]time.Time{}
	for _, t := range tests {
		if _, seen := last[t.Subject]; seen {
			continue
		}
		last[t.Subject] = time.Time{}
		moves, err := b.file.Movements(ctx, t.Subject)
		if errors.Is(err, inventory.ErrNotFound) {
			continue // the subject is an area
		}
		if err != nil {
			return nil, err
		}
		for _, m := range moves {
			if m.What == inventory.Bought && m.At.After(last[t.Subject]) {
				last[t.Subject] = m.At
			}
		}
	}
	return last, nil
}

// washed says when each area's cloth was last washed or treated, from the steps
// that are done: its prewash, and its baths.
func washed(s scene) map[string]time.Time {
	last := map[string]time.Time{}
	for _, d := range s.job.Done {
		for _, a := range s.job.Areas {
			if isWash(s, a.Code, d.Step) && d.At.After(last[a.Code]) {
				last[a.Code] = d.At
			}
		}
	}
	return last
}

func isWash(s scene, area, step string) bool {
	if code, ok := strings.CutPrefix(step, area+"-"); ok {
		if p, ok := s.stock.Paint(code); ok && p.Kind == inventory.KindTreatment {
			return true
		}
	}
	return slices.ContainsFunc(s.job.Sewing, func(w garment.Sewing) bool {
		return w.Code == step && w.Area == area && plan.Verb(w.Verb) == plan.VerbPrewash
	})
}

// treatmentsOf are the baths the verdicts rest on, each once.
func treatmentsOf(verdicts []rub.Verdict) []plan.Treatment {
	var out []plan.Treatment
	seen := map[string]bool{}
	for _, v := range verdicts {
		for _, t := range v.Treat {
			if key := t.Area + " " + t.Code; !seen[key] {
				seen[key] = true
				out = append(out, plan.Treatment{Area: t.Area, Code: t.Code, Because: t.Because})
			}
		}
	}
	return out
}

// testWants are the tests still to be done, as the planner wants them, each
// subject tested once in a way: paint when it has cured, cloth before it is cut or
// painted, a treated cloth between its bath and the scissors, a swatch that is there
// at any time.
func testWants(job garment.Job, verdicts []rub.Verdict) []plan.TestWant {
	var out []plan.TestWant
	seen := map[string]bool{}
	for _, v := range verdicts {
		code := testCode(v.Wanted)
		if v.Wanted.How == "" || seen[code] {
			continue
		}
		seen[code] = true
		want := plan.TestWant{Code: code, Area: v.Wanted.Area, How: v.Wanted.How, What: v.Wanted.String()}
		p, _ := rub.ProtocolFor(v.Wanted.How)
		want.Wait = p.Lies
		a, _ := job.Area(v.Wanted.Area)
		switch {
		case v.Wanted.Swatch != "":
		case v.Wanted.Cured && a.Method == garment.ByPaint:
			want.After = a.Code + " cured"
		case v.Wanted.Treated && len(v.Treat) > 0:
			want.After = v.Treat[0].Area + "-" + v.Treat[0].Code // the planner's name of the bath
		}
		if !v.Wanted.Cured && v.Wanted.Swatch == "" {
			want.Before = cuts(job, a.Code)
			if layers, _ := job.ChoiceFor(a.Code); len(want.Before) == 0 && a.Method == garment.ByPaint && len(layers) > 0 {
				want.Before = []string{a.Code + " painting"}
			}
		}
		out = append(out, want)
	}
	return out
}

// testCode names a test to be done, and its step in the plan.
func testCode(w rub.Wanted) string { return strings.ReplaceAll(w.Subject+" "+w.How, " ", "-") }

// cuts are the steps that cut an area's cloth.
func cuts(job garment.Job, area string) []string {
	var out []string
	for _, s := range job.Sewing {
		if s.Area == area && plan.Verb(s.Verb) == plan.VerbCut && !slices.ContainsFunc(job.Done, func(d garment.Done) bool { return d.Step == s.Code }) {
			out = append(out, s.Code)
		}
	}
	return out
}

// testBy is the latest start the plan leaves for a verdict's test.
func (w work) testBy(v rub.Verdict) (time.Time, bool) {
	if v.Wanted.How == "" {
		return time.Time{}, false
	}
	i := slices.IndexFunc(w.plan.Steps, func(s plan.Step) bool { return s.ID == testCode(v.Wanted) })
	if i < 0 || w.plan.Steps[i].LatestStart.IsZero() {
		return time.Time{}, false
	}
	return w.plan.Steps[i].LatestStart, true
}

// CautionAnswer is one thing to be minded.
type CautionAnswer struct {
	Rule    string `json:"rule"`
	Weight  string `json:"weight"` // stop, care or note
	Subject string `json:"subject"`
	Text    string `json:"text"`
	Source  string `json:"source"`
}

// Cautions gives all cautions of the job, the heaviest first.
func (b *Bench) Cautions(ctx context.Context) ([]CautionAnswer, error) {
	w, err := b.work(ctx, time.Time{}, plan.FanAsRoom)
	if err != nil {
		return nil, err
	}
	return cautionAnswers(w.cautions), nil
}

func cautionAnswers(cs []caution.Caution) []CautionAnswer {
	out := []CautionAnswer{}
	for _, c := range cs {
		out = append(out, CautionAnswer{Rule: c.Rule, Weight: c.Weight.String(), Subject: c.Subject, Text: c.Text, Source: c.Source})
	}
	return out
}

// RuleAnswer is one rule that cautions come from.
type RuleAnswer struct {
	Rule   string `json:"rule"`
	Looks  string `json:"looks_at"`
	Source string `json:"source"`
}

// CautionRules lists every rule with its source, those of products after the
// others.
func CautionRules() []RuleAnswer {
	var out []RuleAnswer
	for _, r := range append(caution.Rules(), caution.ProductRules()...) {
		out = append(out, RuleAnswer{Rule: r.Word, Looks: r.Looks, Source: r.Source})
	}
	return out
}
