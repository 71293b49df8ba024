package finish

import (
	"context"

	"undercoat/finish/garment"
	"undercoat/finish/plan"
	"undercoat/inventory"
	"undercoat/inventory/unit"
	"undercoat/palette"
)

// The writes of a page rest on the version of the job that its form was filled
// in on: on any other they are an [inventory.ErrChanged] and change nothing.
// Each returns the version after it, on which an undo rests.

// Choose records what an area is made with, from the ground up.
func (d *Desk) Choose(ctx context.Context, job string, version int64, area string, layers []garment.Layer) (int64, error) {
	return d.bench.file.Choose(ctx, inventory.At{Job: job, Version: version}, inventory.ChoiceFact{Area: area, Layers: layers, At: unit.State(d.bench.now())})
}

// Approve freezes the target of an area; as zero takes the one that stands,
// else what the pictures say. It returns the target before and after.
func (d *Desk) Approve(ctx context.Context, job string, version int64, area string, as inventory.Written) (before, after TargetAnswer, now int64, err error) {
	s, err := d.bench.ForJob(job).scene(ctx)
	if err != nil {
		return before, after, 0, err
	}
	a, err := s.area(area)
	if err != nil {
		return before, after, 0, err
	}
	pics := d.pictures(s)
	before = s.targetFrom(a, pics)
	fact, err := approval(a, palette.Weigh(readingsOf(area, pics)), as, d.bench.now())
	if err != nil {
		return before, after, 0, err
	}
	if now, err = d.bench.file.Approve(ctx, inventory.At{Job: job, Version: version}, fact); err != nil {
		return before, after, 0, err
	}
	if s, err = d.bench.ForJob(job).scene(ctx); err != nil {
		return before, after, now, err
	}
	a, err = s.area(area)
	return before, s.targetFrom(a, pics), now, err
}

// Done records that a step was finished and says in a sentence what that
// changes; at and used are as in [Bench.Done].
func (d *Desk) Done(ctx context.Context, job string, version int64, step, at, used string) (text string, now int64, err error) {
	before, trouble, err := d.work(ctx, job, plan.FanAsRoom, false)
	if err != nil || trouble != nil {
		return "", 0, firstOf(err, trouble)
	}
	st, _, now, err := d.bench.recordDone(ctx, before, inventory.At{Job: job, Version: version}, step, at, used)
	if err != nil {
		return "", 0, err
	}
	after, trouble, err := d.work(ctx, job, plan.FanAsRoom, false)
	if err != nil || trouble != nil {
		return st.ID + " is done", now, err
	}
	return effect(st, before.plan, after.plan), now, nil
}

func firstOf(a, b error) error {
	if a != nil {
		return a
	}
	return b
}

// Undo takes back that a step is done and puts on hand again what it took.
func (d *Desk) Undo(ctx context.Context, job string, version int64, step string) (int64, error) {
	return d.bench.file.Undo(ctx, inventory.At{Job: job, Version: version}, step)
}

// AddTest puts a test on record.
func (d *Desk) AddTest(ctx context.Context, job string, version int64, e TestEntry) (TestLine, error) {
	b := d.bench.ForJob(job)
	s, err := b.scene(ctx)
	if err != nil {
		return TestLine{}, err
	}
	return b.addTest(ctx, s, inventory.At{Job: job, Version: version}, e)
}
