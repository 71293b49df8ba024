package finish

import (
	"context"
	"fmt"
	"strings"
	"time"

	"undercoat/finish/garment"
	"undercoat/finish/plan"
	"undercoat/inventory"
	"undercoat/inventory/unit"
)

// Choose records what an area is made with, from the ground up. Every code
// must be on the shelf's list; nothing is recorded otherwise.
func (b *Bench) Choose(ctx context.Context, area string, layers []garment.Layer) error {
	s, err := b.scene(ctx)
	if err != nil {
		return err
	}
	if _, err := s.area(area); err != nil {
		return err
	}
	for _, l := range layers {
		if _, err := s.article(l.Code); err != nil {
			return err
		}
	}
	_, err = b.file.Choose(ctx, s.at(), inventory.ChoiceFact{Area: area, Layers: layers, At: unit.State(b.now())})
	return err
}

// Accept records for an area what the plan proposes, and returns it.
func (b *Bench) Accept(ctx context.Context, area string) ([]garment.Layer, error) {
	w, err := b.work(ctx, time.Time{}, plan.FanAsRoom)
	if err != nil {
		return nil, err
	}
	if _, err := w.area(area); err != nil {
		return nil, err
	}
	layers := w.proposal(area)
	if len(layers) == 0 {
		return nil, &Hinted{Err: fmt.Errorf("choose %s: the plan proposes nothing for it", area), Try: []string{"undercoat match --area " + area + " --layers"}}
	}
	return layers, b.Choose(ctx, area, layers)
}

// proposal is what the plan makes an area with, what is stirred in, sewn on or
// washed in left out.
func (w work) proposal(area string) []garment.Layer {
	var layers []garment.Layer
	for _, a := range w.plan.Areas {
		if a.Code != area {
			continue
		}
		for _, y := range a.Layers {
			switch y.Role {
			case plan.RoleFixer, plan.RoleTreatment, plan.RoleTrim:
			case plan.RoleCloth:
				layers = append(layers, garment.Layer{Code: y.Code})
			default:
				layers = append(layers, garment.Layer{Code: y.Code, Coats: y.Coats})
			}
		}
	}
	return layers
}

// at names the job and the version of the facts a write rests on.
func (s scene) at() inventory.At { return inventory.At{Job: s.facts.Name, Version: s.facts.Version} }

// DoneAnswer says what a finished step changes.
type DoneAnswer struct {
	Step   string     `json:"step"`
	At     string     `json:"at"`
	Effect string     `json:"effect"`
	Plan   PlanAnswer `json:"plan"`
}

// Done records that a step of the plan was finished: at is when ("" is now),
// used is how much of its product it took ("" is not said). The plan is
// computed again with the past fixed.
func (b *Bench) Done(ctx context.Context, step, at, used string) (DoneAnswer, error) {
	return b.finished(ctx, step, at, func(work, plan.Step) (use, error) { return usedText(used) })
}

// DoneWeighed is [Bench.Done] of a step whose pot was weighed before and after:
// the use is their difference by the density.
func (b *Bench) DoneWeighed(ctx context.Context, step, at string, w Weighed) (DoneAnswer, error) {
	return b.finished(ctx, step, at, func(before work, st plan.Step) (use, error) { return b.weighedUse(ctx, before, st, w) })
}

func (b *Bench) finished(ctx context.Context, step, at string, used func(work, plan.Step) (use, error)) (DoneAnswer, error) {
	before, err := b.work(ctx, time.Time{}, plan.FanAsRoom)
	if err != nil {
		return DoneAnswer{}, err
	}
	st, err := findStep(before.plan, step)
	if err != nil {
		return DoneAnswer{}, err
	}
	took, err := used(before, st)
	if err != nil {
		return DoneAnswer{}, fmt.Errorf("record %s: %w", st.ID, err)
	}
	done, _, err := b.recordUse(ctx, before, before.at(), st, at, took)
	if err != nil {
		return DoneAnswer{}, err
	}
	after, err := b.work(ctx, time.Time{}, plan.FanAsRoom)
	if err != nil {
		return DoneAnswer{}, err
	}
	return DoneAnswer{Step: st.ID, At: done.In(before.job.Zone).Format(time.RFC3339), Effect: effect(st, before.plan, after.plan) + took.text(), Plan: after.answer()}, nil
}

// Undo takes back that a step is done, and puts on hand again what it used.
func (b *Bench) Undo(ctx context.Context, step string) (DoneAnswer, error) {
	s, err := b.scene(ctx)
	if err != nil {
		return DoneAnswer{}, err
	}
	if _, err := b.file.Undo(ctx, s.at(), step); err != nil {
		return DoneAnswer{}, err
	}
	after, err := b.work(ctx, time.Time{}, plan.FanAsRoom)
	if err != nil {
		return DoneAnswer{}, err
	}
	return DoneAnswer{Step: step, Effect: step + " is not done any more; what it used is on the shelf again", Plan: after.answer()}, nil
}

// recordDone records a finished step of a planned job at a version of its facts.
func (b *Bench) recordDone(ctx context.Context, before work, rests inventory.At, step, at, used string) (st plan.Step, done time.Time, version int64, err error) {
	if st, err = findStep(before.plan, step); err != nil {
		return st, done, 0, err
	}
	took, err := usedText(used)
	if err != nil {
		return st, done, 0, fmt.Errorf("record %s: %w", step, err)
	}
	done, version, err = b.recordUse(ctx, before, rests, st, at, took)
	return st, done, version, err
}

// recordUse records a finished step with what it took.
func (b *Bench) recordUse(ctx context.Context, before work, rests inventory.At, st plan.Step, at string, took use) (done time.Time, version int64, err error) {
	done = b.now()
	if at != "" {
		if done, err = unit.ParseMoment(at, before.job.Zone); err != nil {
			return done, 0, fmt.Errorf("record %s: %w", st.ID, err)
		}
	}
	fact := inventory.DoneFact{Step: st.ID, Code: st.Code, At: unit.State(done), Used: took.amount, Extra: took.weighed}
	version, err = b.file.Done(ctx, rests, fact)
	return done, version, err
}

// findStep finds a step of the plan by its id, in any case of letters.
func findStep(p plan.Plan, id string) (plan.Step, error) {
	var near []string
	for _, st := range p.Steps {
		if strings.EqualFold(st.ID, id) {
			return st, nil
		}
		if st.Area != "" && strings.HasPrefix(strings.ToUpper(id), strings.ToUpper(st.Area)) {
			near = append(near, st.ID)
		}
	}
	hint := "undercoat plan   (lists the steps)"
	if len(near) > 0 {
		hint = "one of " + strings.Join(near, ", ")
	}
	return plan.Step{}, &Hinted{Err: fmt.Errorf("record step: %s: the plan has no step of that id", id), Try: []string{hint}}
}

// effect tells in one sentence what a finished step changes.
func effect(st plan.Step, before, after plan.Plan) string {
	moved := after.HandsOff.Ends.Sub(before.HandsOff.Ends)
	text := st.ID + " is done; "
	switch {
	case moved > 0:
		text += "the end moves " + unit.FormatSpan(moved) + " later, to " + after.HandsOff.Ends.In(after.Zone).Format("Mon 2 Jan 15:04")
	case moved < 0:
		text += "the end moves " + unit.FormatSpan(-moved) + " earlier, to " + after.HandsOff.Ends.In(after.Zone).Format("Mon 2 Jan 15:04")
	default:
		text += "the end stays " + after.HandsOff.Ends.In(after.Zone).Format("Mon 2 Jan 15:04")
	}
	if after.HandsOff.Known && !after.HandsOff.Met {
		text += ", and hands-off is missed"
	}
	return text
}

// Moment reads a time on the job's own wall clock; "" is the zero
// time, which a plan takes as the present.
func (b *Bench) Moment(ctx context.Context, s string) (time.Time, error) {
	if s == "" {
		return time.Time{}, nil
	}
	sc, err := b.scene(ctx)
	if err != nil {
		return time.Time{}, err
	}
	return unit.ParseMoment(s, sc.job.Zone)
}

// ParseFan reads "on" or "off"; "" runs the fan where the room states one.
func ParseFan(s string) (plan.Fan, error) {
	switch s {
	case "":
		return plan.FanAsRoom, nil
	case "on":
		return plan.FanOn, nil
	case "off":
		return plan.FanOff, nil
	}
	return 0, fmt.Errorf("%q: expected on or off", s)
}
