package finish

import (
	"context"

	"undercoat/finish/garment"
	"undercoat/finish/plan"
)

// learned is what earlier work tells of how far products go: the finished
// coats of the other jobs whose use was recorded, and the pots weighed before
// and after. The job's own finished coats are not in it, the plan reads those
// itself. A job whose facts no longer hold together teaches nothing.
func (b *Bench) learned(ctx context.Context, s scene) ([]plan.Observation, error) {
	names, err := b.file.JobsThatUsed(ctx)
	if err != nil {
		return nil, err
	}
	var seen []plan.Observation
	for _, name := range names {
		if name == s.job.Name {
			continue
		}
		facts, err := b.file.Job(ctx, name)
		if err != nil {
			return nil, err
		}
		job, err := garment.NewJob(facts)
		if err != nil {
			continue
		}
		if o, err := plan.Observations(plan.Input{Job: job, Stock: s.stock, Now: b.now()}); err == nil {
			seen = append(seen, o...)
		}
	}
	pots, err := b.file.Weighings(ctx, "")
	if err != nil {
		return nil, err
	}
	for _, w := range pots {
		if o, ok := plan.WeighedPot(w, s.job); ok {
			seen = append(seen, o)
		}
	}
	return seen, nil
}
