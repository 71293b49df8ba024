package finish

import (
	"context"
	"strings"
	"time"

	"undercoat/finish/caution"
	"undercoat/finish/garment"
	"undercoat/finish/plan"
	"undercoat/finish/rub"
)

// work is a job computed from its facts: what touches, what must be done, and
// what must be minded. It is made anew for every question.
type work struct {
	scene
	tests    []rub.Test
	verdicts []rub.Verdict
	plan     plan.Plan
	cautions []caution.Caution
}

// work computes the whole job for an instant; the zero time is the present, or
// where the job's own clock stands.
func (b *Bench) work(ctx context.Context, now time.Time, fan plan.Fan) (work, error) {
	s, err := b.scene(ctx)
	if err != nil {
		return work{}, err
	}
	if now.IsZero() {
		now = s.job.AsOf.Or(b.now())
	}
	w := judged(s)
	w.plan, err = plan.Make(plan.Input{
		Job: s.job, Stock: s.stock, Now: now, Fan: fan, Treatments: treatmentsOf(w.verdicts), Tests: testWants(s.job, w.verdicts), Alternatives: true,
	})
	if err != nil {
		return work{}, err
	}
	w.cautions = caution.Check(caution.Input{Job: s.job, Stock: s.stock, Plan: w.plan, Verdicts: w.verdicts})
	return w, nil
}

// judged gives the verdicts on a scene's contacts.
func judged(s scene) work {
	w := work{scene: s, tests: rub.NewTests(s.facts.Tests, s.job.Zone)}
	w.verdicts = rub.Verdicts(rub.Input{Job: s.job, Stock: s.stock, Tests: w.tests})
	return w
}

func (w work) answer() PlanAnswer {
	a := planAnswer(w.scene, w.plan)
	a.Cautions = cautionAnswers(w.cautions)
	return a
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

// testWants are the tests still to be done, as the planner wants them: each
// subject tested once in a way; paint when it has cured.
func testWants(job garment.Job, verdicts []rub.Verdict) []plan.TestWant {
	var out []plan.TestWant
	seen := map[string]bool{}
	for _, v := range verdicts {
		if v.Wanted.How == "" {
			continue
		}
		area := v.Contact.From
		key := area + " " + v.Wanted.How
		if seen[key] {
			continue
		}
		seen[key] = true
		want := plan.TestWant{Code: strings.ReplaceAll(v.Wanted.Subject+" "+v.Wanted.How, " ", "-"), Area: area, How: v.Wanted.How}
		if a, _ := job.Area(area); a.Method == garment.ByPaint {
			want.After = area + " cured"
		}
		out = append(out, want)
	}
	return out
}
