package plan

import (
	"fmt"
	"math"
	"slices"
	"testing"
	"time"

	"undercoat/finish/garment"
	"undercoat/inventory"
	"undercoat/inventory/unit"
)

// checkPlan holds a plan against the facts of its input by rules written apart
// from the planner: hands, hours, places, waits, and totals that agree.
func checkPlan(t *testing.T, in Input, p Plan) {
	t.Helper()
	checkHands(t, in, p)
	checkRail(t, in, p)
	checkOrder(t, in, p)
	checkTotals(t, p)
}

// checkHands wants nobody in two places and everybody within the hours of the
// table.
func checkHands(t *testing.T, in Input, p Plan) {
	t.Helper()
	for i, a := range p.Steps {
		if a.Verb == VerbPack || a.Done {
			continue
		}
		if a.Start.Before(p.Now) {
			t.Errorf("%s starts %s, before now", a.ID, a.Start.Format(clock))
		}
		if !withinHours(in.Job, a, p.Zone) {
			t.Errorf("%s %s–%s lies outside the hours of %q", a.ID, a.Start.Format(clock), a.End.Format(clock), a.Who)
		}
		for _, b := range p.Steps[i+1:] {
			if a.Who == b.Who && b.Verb != VerbPack && !b.Done && a.Start.Before(b.End) && b.Start.Before(a.End) {
				t.Errorf("%q does %s and %s at once", a.Who, a.ID, b.ID)
			}
		}
	}
}

func withinHours(j garment.Job, s Step, zone *time.Location) bool {
	sewing := slices.Contains([]Verb{VerbPrewash, VerbCut, VerbSew, VerbHem, VerbLine, VerbStud}, s.Verb)
	start := s.Start.In(zone)
	from := start.Hour()*60 + start.Minute()
	to := from + int(s.End.Sub(s.Start)/time.Minute)
	for _, h := range j.Hours {
		if h.Who != s.Who || h.Date.Known() || h.Weekday != start.Weekday() || h.What != "any" && !(h.What == "sewing" && sewing) {
			continue
		}
		if int(h.From) <= from && to <= int(h.To) {
			return true
		}
	}
	return false
}

// checkRail wants no more on the rail than it is long, at any coat's end. One
// piece of a row may have been laid on the rack.
func checkRail(t *testing.T, in Input, p Plan) {
	t.Helper()
	rail, ok := in.Job.Room.Rail.Get()
	if !ok {
		return
	}
	for _, s := range p.Steps {
		if s.Place != OnRail {
			continue
		}
		sum := 0.0
		for _, o := range p.Steps {
			if o.Place == OnRail && !o.End.After(s.End) && o.Ready.After(s.End) {
				a, _ := in.Job.Area(o.Area)
				sum += float64(a.Rail) * float64(len(in.Job.Wearers)-o.Racked)
			}
		}
		if sum > float64(rail)+1e-9 {
			t.Errorf("%.2f m hang on a rail of %v when %s is hung %s", sum, rail, s.ID, s.End.Format(clock))
		}
	}
}

// checkOrder wants every coat to wait for the label's recoat time of the coat
// before it times the room's factor, products that must be bought to have
// arrived, and steps to follow the steps they name.
func checkOrder(t *testing.T, in Input, p Plan) {
	t.Helper()
	room := in.Job.Room.DryingFactorFan
	if !p.Drying.Fan {
		room = in.Job.Room.DryingFactor
	}
	factor, known := room.Get()
	for _, a := range p.Areas {
		var before *Step
		for _, l := range a.Layers {
			for n := 1; n <= l.Coats; n++ {
				s, ok := stepOf(p.Steps, coatID(a.Code, l.Code, n, ""))
				if !ok {
					continue // coated side by side
				}
				if before != nil && known && !s.Done {
					checkRecoat(t, in.Stock, *before, s, factor)
				}
				if arrive, ok := in.Job.SuppliesArrive.Get(); ok && l.Packs > 0 && !s.Done && s.Start.Before(arrive) {
					t.Errorf("%s starts %s, before its paint arrives", s.ID, s.Start.Format(clock))
				}
				before = &s
			}
		}
	}
	for _, s := range p.Steps {
		for _, id := range s.After {
			if q, ok := stepOf(p.Steps, id); ok && !s.Done && s.Start.Before(q.End) {
				t.Errorf("%s starts %s before %s has ended", s.ID, s.Start.Format(clock), id)
			}
		}
		if !s.Done && s.Verb != VerbPack && p.HandsOff.Met && s.Spare < 0 {
			t.Errorf("%s starts %v after its last safe start", s.ID, -s.Spare)
		}
	}
}

func checkRecoat(t *testing.T, stock inventory.Stock, before, s Step, factor float64) {
	t.Helper()
	prev, _ := stock.Paint(before.Code)
	label, ok := prev.RecoatFrom.Get()
	if !ok {
		return
	}
	if wait := time.Duration(float64(label) * factor); s.Start.Before(before.End.Add(wait - time.Second)) {
		t.Errorf("%s starts %s, less than %v after %s", s.ID, s.Start.Format(clock), wait, before.ID)
	}
}

// checkTotals wants steps, layers, shopping, pots and money to agree to the
// millilitre and the cent.
func checkTotals(t *testing.T, p Plan) {
	t.Helper()
	need := map[string]float64{}
	for _, a := range p.Areas {
		for _, l := range a.Layers {
			var each, steps unit.Volume
			for _, v := range l.Each {
				each += v
			}
			for _, s := range p.Steps {
				if s.Area == a.Code && s.Code == l.Code && s.Verb == VerbCoat && !s.Done {
					steps += s.Volume
				}
			}
			if l.Role != RoleInk && l.Role != RoleFixer && (each != l.Volume || steps != l.Left) {
				t.Errorf("%s on %s: coats add up to %v and steps to %v, the layer says %v and %v left", l.Code, a.Code, each, steps, l.Volume, l.Left)
			}
			if l.Volume != RoundVolume(l.Volume) || l.Repair != RoundVolume(l.Repair) {
				t.Errorf("%s: %v and %v are not whole", l.Code, l.Volume, l.Repair)
			}
			need[l.Code] += float64(l.Left + l.Repair)
		}
	}
	var cost unit.Money
	for _, b := range p.Shopping {
		if b.Unit == "ml" && need[b.Code] > 0 && b.Need != need[b.Code] {
			t.Errorf("%s: the list needs %g mL, the areas %g", b.Code, b.Need, need[b.Code])
		}
		sum := 0.0
		for _, u := range b.Uses {
			sum += u.Amount
		}
		if math.Abs(sum-b.Need) > 1e-9 {
			t.Errorf("%s: uses add up to %g of %g", b.Code, sum, b.Need)
		}
		if b.Margin < -1e-6 {
			t.Errorf("%s: %g short", b.Code, -b.Margin)
		}
		cost += b.Cost.Or(0)
	}
	if cost != p.Cost.Total {
		t.Errorf("the list costs %v, the plan %v", cost, p.Cost.Total)
	}
	checkPots(t, p)
}

func checkPots(t *testing.T, p Plan) {
	t.Helper()
	pots, steps := map[string]float64{}, map[string]float64{}
	for _, pot := range p.Pots {
		pots[pot.Fixer] += float64(pot.FixerVolume)
	}
	for _, s := range p.Steps {
		if s.Fixer != "" && !s.Done {
			steps[s.Fixer] += float64(s.FixerVolume)
		}
	}
	for fixer, sum := range pots { // each is held against its own line
		i := slices.IndexFunc(p.Shopping, func(b Purchase) bool { return b.Code == fixer })
		if i < 0 || math.Abs(sum-p.Shopping[i].Need) > 1e-6 || math.Abs(steps[fixer]-sum) > 1e-6 {
			t.Errorf("%s: pots hold %g mL, steps %g", fixer, sum, steps[fixer])
		}
	}
}

func TestDemoPlanHoldsApart(t *testing.T) {
	in := demoInput(t, recipes(keyRecipes))
	checkPlan(t, in, demoPlan(t))
}

// printed is a plan as text, for comparing two of them.
func printed(p Plan) string { return fmt.Sprintf("%+v", p) }
