package plan

import (
	"fmt"
	"slices"
	"strings"

	"undercoat/inventory/unit"
)

// change is a way to spend less, applied to a copy of the draft.
type change struct {
	Trade
	apply func(*draft)
}

// leastLoss is the smallest working loss that is still honest for a brush:
// printed as 10–15 % in a coating note.
const leastLoss = 0.10

// trades lists honest ways to spend less, each computed on top of those before
// it: first what nobody misses (a pack bought for a few millilitres), then
// trims that differ between wearers, then coats, whose colour cost is stated.
// What saves nothing is left out.
func (d *draft) trades() []Trade {
	now, cost := d, d.cost().Total
	var out []Trade
	for _, c := range slices.Concat(d.trimChanges(), d.lossChanges(), d.coatChanges()) {
		next := now.copyForCost()
		c.apply(next)
		next.measure()
		next.shop()
		total := next.cost().Total
		if total >= cost {
			continue
		}
		t := c.Trade
		t.Saves, t.Total = cost-total, total
		budget, known := d.job.Budget.Get()
		t.Fits = known && total <= budget
		out = append(out, t)
		now, cost = next, total
	}
	return out
}

// copyForCost copies what a change may touch.
func (d *draft) copyForCost() *draft {
	c := *d
	c.areas = slices.Clone(d.areas)
	for i := range c.areas {
		c.areas[i].layers = slices.Clone(c.areas[i].layers)
	}
	c.loss = map[string]float64{}
	for k, v := range d.loss { // a set: order plays no part
		c.loss[k] = v
	}
	return &c
}

// lossChanges lower the working loss of one product, by whole per cent, until
// a pack fewer is enough.
func (d *draft) lossChanges() []change {
	var all []change
	for _, p := range d.buys {
		article, ok := d.stock.Paint(p.Code)
		if !ok || p.Buy == 0 || p.Unit != "ml" {
			continue
		}
		for percent := int(100*d.job.Reserve + 0.5); float64(percent-1)/100 >= leastLoss-enough; {
			percent--
			loss := float64(percent) / 100
			next := d.copyForCost()
			next.loss[p.Code] = loss
			next.measure()
			next.shop()
			if next.cost().Total >= d.cost().Total {
				continue
			}
			all = append(all, change{
				Trade: Trade{Kind: "loss", Code: p.Code,
					Text:  fmt.Sprintf("%s: buy %s with %d %% working loss instead of %.0f %%", p.Code, packsText(next.packsBought(p.Code), p.Unit), percent, 100*d.job.Reserve),
					Gives: fmt.Sprintf("%s of %s left for a spill", left(next, p.Code), article.Name),
				},
				apply: func(n *draft) { n.loss[p.Code] = loss },
			})
			break
		}
	}
	return all
}

// left is what remains of a product when the plan is done.
func left(d *draft, code string) string {
	for _, p := range d.buys {
		if p.Code == code {
			return fmt.Sprintf("%.0f mL", p.Margin)
		}
	}
	return "nothing"
}

func (d *draft) packsBought(code string) []Packs {
	for _, p := range d.buys {
		if p.Code == code {
			return p.Packs
		}
	}
	return nil
}

// packsText writes packs: "1 × 150 mL".
func packsText(packs []Packs, in string) string {
	if len(packs) == 0 {
		return "none"
	}
	var parts []string
	for _, p := range packs {
		word := in
		if word == "ml" {
			word = "mL"
		}
		parts = append(parts, fmt.Sprintf("%d × %s %s", p.Count, unit.FormatNumber(p.Size), word))
	}
	return strings.Join(parts, " and ")
}

// coatChanges take one coat off every product laid in three or more, with the
// colour it costs.
func (d *draft) coatChanges() []change {
	var all []change
	for i, a := range d.areas {
		for k, l := range a.layers {
			if !thinnable(l) {
				continue
			}
			c := change{
				Trade: Trade{Kind: "coats", Code: l.Code, Text: fmt.Sprintf("%s on %s: %d coats instead of %d", l.Code, a.Code, l.Coats-1, l.Coats)},
				apply: func(n *draft) { n.areas[i].layers[k].Coats-- },
			}
			c.Difference = d.coatLess(a, l.Code)
			c.Gives = "a thinner colour"
			if diff, ok := c.Difference.Get(); ok {
				c.Gives = fmt.Sprintf("ΔE00 %.1f from the colour planned, and a thinner film", diff)
			}
			all = append(all, c)
		}
	}
	return all
}

// thinnable reports whether a layer could do with a coat fewer: it gives
// colour, two coats are left, and the coat is not laid yet.
func thinnable(l layerWork) bool {
	return (l.Role == RoleUndercoat || l.Role == RoleTop || l.Role == RoleFluorescent) && l.Coats >= 3 && l.done < l.Coats
}

// coatLess is ΔE00 between an area's colour as planned and with one coat of a
// product fewer; unknown where the model cannot see it.
func (d *draft) coatLess(a areaWork, code string) unit.Stated[float64] {
	less := d.build(a, map[string]bool{code: true})
	if len(a.curve) == 0 || len(less) == 0 {
		return unit.Stated[float64]{}
	}
	return unit.State(difference(a.curve[len(a.curve)-1].Predicted.Lab, less[len(less)-1].Predicted.Lab))
}

// trimChanges let the wearers differ: everybody gets the cheapest trim that is
// not refused for them.
func (d *draft) trimChanges() []change {
	var all []change
	for _, noun := range d.trimNouns() {
		for _, t := range d.trimsNamed(noun) {
			barred := barredWearers(d.trimBars(t))
			if len(barred) == 0 || len(barred) >= d.pieces() {
				continue
			}
			allowed, ok := d.trimInUse(noun)
			if !ok || allowed == t.Code {
				continue
			}
			all = append(all, change{
				Trade: Trade{Kind: "trim", Code: t.Code,
					Text:  fmt.Sprintf("%s (%s) for all but %s, who gets %s", t.Code, t.Name, strings.Join(barred, ", "), allowed),
					Gives: fmt.Sprintf("the wearers' trims differ: %s beside %s", t.Name, d.nameOf(allowed)),
				},
				apply: func(n *draft) { n.swapTrim(allowed, t.Code, len(barred)) },
			})
		}
	}
	return all
}

// trimInUse is the one trim of a noun the plan gives everybody.
func (d *draft) trimInUse(noun string) (string, bool) {
	code := ""
	for _, a := range d.areas {
		for _, l := range a.layers {
			if l.Role != RoleTrim || !d.isNamed(l.Code, noun) {
				continue
			}
			if code != "" && code != l.Code {
				return "", false
			}
			code = l.Code
		}
	}
	return code, code != ""
}

// swapTrim gives every wearer but barred of them another trim.
func (d *draft) swapTrim(from, to string, barred int) {
	for i := range d.areas {
		a := &d.areas[i]
		for k, l := range a.layers {
			if l.Role != RoleTrim || l.Code != from {
				continue
			}
			each := l.Count / d.pieces()
			a.layers[k] = trimLayer(from, each*barred)
			a.layers = append(a.layers, trimLayer(to, each*(d.pieces()-barred)))
			break
		}
	}
}
