package sheet

import (
	"fmt"
	"strings"

	"undercoat/finish/plan"
)

func shoppingBits(d Data) []bit {
	r := &remarks{d: d}
	list, cloth := purchases(d, r), cloths(d, r)
	var bits []bit
	if t, ok := d.Plan.HandsOff.OrderBy.Get(); ok {
		runs := []run{bigRun("order by " + d.at(t))}
		if a, ok := d.Plan.HandsOff.Arrive.Get(); ok {
			runs = append(runs, plainRun("to arrive "+d.at(a)))
		}
		if d.Plan.HandsOff.OrderLate {
			runs = append(runs, boldRun("THAT TIME HAS PASSED"))
		}
		bits = append(bits, words(runs...))
	}
	if len(list) == 0 {
		bits = append(bits, words(plainRun("Nothing is to be bought.")))
	} else {
		g := grid{columns: []column{{name: "got", wide: 10}, {name: "what, and for what"}, {name: "need", wide: 22, right: true}, {name: "on the shelf", wide: 22, right: true}, {name: "buy", wide: 36, right: true}, {name: "cost", wide: 20, right: true}, {name: "paid", wide: 16, right: true}}}
		for _, p := range list {
			g.rows = append(g.rows, purchaseRow(d, p))
		}
		bits = append(bits, g)
	}
	if len(list) > 0 {
		bits = append(bits, words(bigRun(moneyText(d.Plan))))
	}
	if len(d.Plan.Trades) > 0 {
		bits = append(bits, heading("Cheaper, one after the other"))
		for _, t := range d.Plan.Trades {
			bits = append(bits, tick(plainRun(t.Text+": saves"), boldRun(t.Saves.String()+";"), plainRun("gives up: "+t.Gives)))
		}
	}
	if len(cloth) > 0 {
		g := grid{columns: []column{{name: "cut", wide: 10}, {name: "cloth"}, {name: "need", wide: 22, right: true}, {name: "with reserve", wide: 25, right: true}, {name: "on the shelf", wide: 25, right: true}, {name: "mind", wide: 52}}}
		for _, c := range cloth {
			mind := []run{boldRun(c.Note)}
			for _, k := range c.Cautions {
				mind = append(mind, boldSmall(k.Weight), smallRun(k.Text))
			}
			need := bigRun(glued(c.Need))
			if c.Need == "" {
				need = smallRun("not known")
			}
			g.rows = append(g.rows, []cell{{tick: true}, cellOf(boldRun(c.Name)), rightOf(need), rightOf(plainRun(glued(c.Reserve))), rightOf(plainRun(glued(c.OnHand))), cellOf(mind...)})
		}
		bits = append(bits, heading("Cloth to cut"), g)
	}
	return bits
}

// purchaseRow is a line of the list with what it is for.
func purchaseRow(d Data, p purchase) []cell {
	what := []run{bigRun(p.Code), boldRun(p.Name)}
	for _, s := range d.Plan.Shopping {
		if s.Code == p.Code {
			what = append(what, belowRun(usesText(s)))
		}
	}
	for _, c := range p.Cautions {
		what = append(what, run{text: c.Weight + " " + c.Text, size: small, below: true})
	}
	return []cell{{tick: true}, cellOf(what...), rightOf(plainRun(glued(p.Need))), rightOf(plainRun(glued(p.OnHand))), rightOf(bigRun(p.Buy)), rightOf(plainRun(p.Cost)), {}}
}

// usesText says what an article is for: "A5 coats 683 ml; A5 repair pot 20 ml".
func usesText(s plan.Purchase) string {
	var parts []string
	for _, u := range s.Uses {
		parts = append(parts, strings.TrimSpace(fmt.Sprintf("%s %s", u.Area, u.What))+" "+amount(u.Amount, s.Unit))
	}
	return strings.Join(parts, "; ")
}
