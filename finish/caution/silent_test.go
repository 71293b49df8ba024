package caution

import (
	"testing"

	"undercoat/finish/garment"
	"undercoat/finish/plan"
	"undercoat/finish/rub"
	"undercoat/inventory"
	"undercoat/inventory/unit"
)

// silent holds, for every rule, a near neighbour of the job it speaks up in, in
// which it must say nothing.
func silent() map[string]*bench {
	water := func(name string) *bench {
		return newBench().paint(inventory.Paint{Article: article(name), Base: "water"})
	}
	return map[string]*bench{
		"hazard":      newBench().paint(inventory.Paint{Article: inventory.Article{Name: "dye", Hazards: []string{}}}),
		"product":     water("teal"),
		"sheets":      newBench().paint(inventory.Paint{Article: inventory.Article{Name: "teal", Hazards: []string{"H319"}}}),
		"solvent":     water("teal"),
		"ignition":    newBench().paint(solventBorne("mineral spirits")), // flash point 39 °C in a room of 20 °C
		"spraying":    water("clear"),
		"respirator":  water("clear"),
		"powder":      water("bronze"),
		"children":    newBench().paint(inventory.Paint{Article: inventory.Article{Name: "teal", Hazards: []string{}}}),
		"night":       newBench().paint(solventBorne("ethanol")).do(dries(12)),
		"air":         newBench().paint(inventory.Paint{Article: article("white"), Base: "water", VOC: unit.State(0.1)}),
		"sensitivity": newBench().paint(inventory.Paint{Article: article("white base", "acrylic binder")}).do(reacts("latex")),
		"nickel":      newBench().area(plan.Area{Code: "A1"}).skin(),
		"skin":        water("teal"),
		"uncured":     water("teal").do(func(in *Input) { in.Plan.Areas[0].Cured = unit.State(evening(9, 0)) }),
		"contact": newBench().do(func(in *Input) {
			in.Verdicts = []rub.Verdict{{Contact: garment.Contact{Code: "N1", Rubbing: garment.RubHigh}, Word: rub.NoObjection}}
		}),
		"packing":      newBench(),
		"heat":         water("stone").on(inventory.Cloth{Article: article("drill"), Fibre: "cotton"}),
		"migration":    water("white").on(inventory.Cloth{Article: article("drill"), Fibre: "cotton", DyeClass: "direct"}),
		"formaldehyde": water("white"),
		"flame":        water("white").on(inventory.Cloth{Article: article("drill"), Fibre: "cotton"}),
		"fixer":        water("white").do(heatSet(150)),
		"fluorescent":  water("coral"),
		"brightener":   water("white").on(inventory.Cloth{Article: article("white drill", "optical brightener")}), // no ultraviolet
		"together":     newBench().area(plan.Area{Code: "A1", Method: garment.ByPaint}),
		"angle":        water("white").on(inventory.Cloth{Article: article("drill")}),
		"margin": newBench().do(func(in *Input) {
			in.Plan.Shopping = []plan.Purchase{{Code: "S1", Name: "sealer", Unit: "ml", OnHand: 400, Margin: 120}}
		}),
		"hours": newBench(), // states them
		"cloth": newBench(),
		"room":  newBench(),
	}
}

func dries(hour int) func(*Input) {
	return func(in *Input) {
		in.Plan.Steps[0].Start, in.Plan.Steps[0].End = evening(hour-2, 0), evening(hour-1, 0)
		in.Plan.Steps[0].Dries = unit.State(plan.Drying{Touch: evening(hour, 0)})
	}
}

// Every rule but the one that always speaks is silent where nothing is amiss.
func TestEveryRuleIsSilentSomewhere(t *testing.T) {
	all := silent()
	for _, r := range Rules() {
		b, ok := all[r.Word]
		if !ok {
			if r.Word != "defer" {
				t.Errorf("rule %q has no silent case", r.Word)
			}
			continue
		}
		delete(all, r.Word)
		b.check(t) // puts the stock together
		if found := r.find(b.in); len(found) > 0 {
			t.Errorf("rule %q speaks: %+v", r.Word, found)
		}
	}
	for word := range all {
		t.Errorf("silent case %q belongs to no rule", word)
	}
}
