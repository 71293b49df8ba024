package finish

import (
	"context"
	"time"

	"undercoat/finish/caution"
	"undercoat/finish/match"
	"undercoat/finish/plan"
	"undercoat/finish/rub"
)

// work is a job computed from its facts: what touches, what must be done, and
// what must be minded. It is made anew for every question.
type work struct {
	scene
	tests    []rub.Test
	verdicts []rub.Verdict
	apart    []rub.Apart
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
	in := w.planInput(now, fan)
	in.Alternatives = true
	if w.plan, err = plan.Make(in); err != nil {
		return work{}, err
	}
	w.cautions = caution.Check(caution.Input{Job: s.job, Stock: s.stock, Plan: w.plan, Verdicts: w.verdicts, Apart: w.apart, Tests: w.tests})
	return w, nil
}

// planInput is what the planner asks for, with the baths and tests the verdicts
// want.
func (w work) planInput(now time.Time, fan plan.Fan) plan.Input {
	readings := map[string][]match.Reading{}
	for _, a := range w.job.Areas {
		if rs := w.readings(a.Code); len(rs) > 0 {
			readings[a.Code] = rs
		}
	}
	return plan.Input{Job: w.job, Stock: w.stock, Now: now, Fan: fan, Readings: readings, Weighed: w.weighed, Treatments: treatmentsOf(w.verdicts), Tests: testWants(w.job, w.verdicts)}
}

func (w work) answer() PlanAnswer {
	a := planAnswer(w.scene, w.plan)
	a.Cautions = cautionAnswers(w.cautions)
	return a
}
