package finish

import "slices"

// ForArea narrows a plan to one area: its layers, its steps, what was refused
// for it. Dates, shopping and money stay those of the whole job.
func (a PlanAnswer) ForArea(code string) PlanAnswer {
	a.Areas = slices.DeleteFunc(slices.Clone(a.Areas), func(l PlanArea) bool { return l.Code != code })
	a.Steps = slices.DeleteFunc(slices.Clone(a.Steps), func(s PlanStep) bool { return s.Area != code })
	a.Refusals = slices.DeleteFunc(slices.Clone(a.Refusals), func(r PlanRefusal) bool { return r.Area != code })
	a.Cautions = slices.DeleteFunc(slices.Clone(a.Cautions), func(c CautionAnswer) bool { return c.Subject != code })
	a.Else = slices.DeleteFunc(slices.Clone(a.Else), func(e PlanElse) bool { return e.Area != code })
	takes := map[string]bool{}
	for _, l := range a.Areas {
		for _, y := range l.Layers {
			takes[y.Code] = true
		}
	}
	a.Shopping = slices.DeleteFunc(slices.Clone(a.Shopping), func(p PlanPurchase) bool { return !takes[p.Code] })
	a.Trades = slices.DeleteFunc(slices.Clone(a.Trades), func(t PlanTrade) bool { return !takes[t.Code] })
	a.Cloth = slices.DeleteFunc(slices.Clone(a.Cloth), func(c PlanCloth) bool { return !takes[c.Code] })
	return a
}
