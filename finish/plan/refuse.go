package plan

import (
	"fmt"
	"slices"
	"strings"

	"undercoat/finish/garment"
	"undercoat/finish/match"
	"undercoat/inventory"
	"undercoat/palette/colour"
)

// refuse keeps a refusal; the same area, product, rule and wearer only once.
func (d *draft) refuse(r Refusal) {
	same := func(o Refusal) bool {
		return o.Area == r.Area && o.Code == r.Code && o.Rule == r.Rule && o.Wearer == r.Wearer
	}
	if !slices.ContainsFunc(d.refusals, same) {
		d.refusals = append(d.refusals, r)
	}
}

// difference is ΔE00 in daylight.
func difference(a, b colour.Lab) float64 { return colour.Difference(a, b) }

// sortRefusals puts refusals in the order of areas, then code, rule, wearer.
func (d *draft) sortRefusals() {
	place := map[string]int{}
	for i, a := range d.areas {
		place[a.Code] = i
	}
	slices.SortStableFunc(d.refusals, func(a, b Refusal) int {
		if c := place[a.Area] - place[b.Area]; c != 0 {
			return c
		}
		if c := compareCodes(a.Code, b.Code); c != 0 {
			return c
		}
		if c := strings.Compare(a.Rule, b.Rule); c != 0 {
			return c
		}
		return strings.Compare(a.Wearer, b.Wearer)
	})
}

// temptingWithin is the ΔE00 within which an article that is not allowed is
// near enough to be reached for: twice the ordinary tolerance. A judgement.
const temptingWithin = 6.0

// refuseFound refuses the articles the matcher holds something against, where
// the maker chose them or is likely to reach for them: near the target, a
// fluorescent straight on a dark ground, or of the same family as what the
// area gets.
func (d *draft) refuseFound(a areaWork, found match.Result) {
	instead := d.allowedWay(a, found)
	for _, m := range found.Matches {
		if m.Kind != match.Item || a.Method == garment.ByDye && holds(m, match.RuleMethod) {
			continue // nobody reaches for paint where fibre is inked
		}
		chosen := slices.ContainsFunc(a.layers, func(l layerWork) bool { return l.Code == m.Code })
		reasons := reasonsAgainst(m)
		if chosen && !a.alone(m.Code) {
			reasons = slices.DeleteFunc(reasons, func(r match.Reason) bool { return onlyAlone(r.Rule) && !(r.Rule == match.RuleBase && d.tempting(a, m)) })
			chosen = !slices.ContainsFunc(reasons, func(r match.Reason) bool { return r.Rule == match.RuleBase })
		} else if !chosen && !d.tempting(a, m) {
			continue
		}
		for _, why := range reasons {
			r := Refusal{
				Area: a.Code, Code: m.Code, Rule: string(why.Rule), Why: why.Text, Instead: instead, Chosen: chosen,
				What: fmt.Sprintf("%s (%s) on %s", m.Code, d.nameOf(m.Code), a.Code),
			}
			switch why.Rule {
			case match.RuleWearer:
				r.Wearer = d.wearerNamed(why.Text)
			case match.RuleBase:
				r.What = fmt.Sprintf("%s (%s) straight on %s", m.Code, d.nameOf(m.Code), a.Ground)
			}
			d.refuse(r)
		}
	}
}

// reasonsAgainst are the reasons worth a refusal: being far from the target or
// out of stock is no danger. What is not how the area gets its colour needs no
// further reason.
func reasonsAgainst(m match.Match) []match.Reason {
	var all []match.Reason
	for _, w := range m.Against {
		if w.Rule == match.RuleMethod {
			return []match.Reason{w}
		}
		if speaks(w.Rule) {
			all = append(all, w)
		}
	}
	return all
}

func speaks(r match.Rule) bool {
	return r != match.RuleTolerance && r != match.RuleStock && r != match.RuleGlow
}

// onlyAlone reports whether a rule speaks against an article laid by itself
// and not within a stack, which is judged as a whole.
func onlyAlone(r match.Rule) bool {
	return r == match.RuleBase || r == match.RuleBlock || r == match.RuleLight || r == match.RuleGlow
}

// alone reports whether a product is all that is laid on an area.
func (a areaWork) alone(code string) bool {
	n := 0
	for _, l := range a.layers {
		if l.coats() || l.Role == RoleCloth || l.Role == RoleInk {
			n++
		}
	}
	return n == 1 && slices.ContainsFunc(a.layers, func(l layerWork) bool { return l.Code == code })
}

func (d *draft) tempting(a areaWork, m match.Match) bool {
	if diff, ok := m.Difference.Get(); ok && diff <= max(temptingWithin, 2*a.Tolerance) {
		return true
	}
	if holds(m, match.RuleBase) && a.Target.Fluorescent {
		return true
	}
	p, ok := d.stock.Paint(m.Code)
	return ok && holds(m, match.RuleWearer) && slices.ContainsFunc(a.layers, func(l layerWork) bool { return l.paint.Medium == p.Medium })
}

// holds reports whether a rule speaks against a match.
func holds(m match.Match, r match.Rule) bool {
	return slices.ContainsFunc(m.Against, func(w match.Reason) bool { return w.Rule == r })
}

// wearerNamed finds the wearer a reason is about.
func (d *draft) wearerNamed(text string) string {
	for _, w := range d.job.Wearers {
		if slices.Contains(strings.FieldsFunc(text, func(r rune) bool { return r == ' ' || r == ',' || r == ';' }), w.Code) {
			return w.Code
		}
	}
	return ""
}

// allowedWay says what to do instead: what the area gets where nothing was
// refused in it, else the best the matcher allows.
func (d *draft) allowedWay(a areaWork, found match.Result) string {
	best, ok := firstAllowed(found)
	if len(a.layers) > 0 && !d.holdsRefused(a, found) {
		return d.wayText(a.layers)
	}
	if !ok {
		return "nothing on the shelf is allowed: ask for another product or another way"
	}
	if len(best.Coats) == 0 {
		return fmt.Sprintf("%s (%s)", best.Code, d.nameOf(best.Code))
	}
	var parts []string
	for _, c := range best.Coats {
		parts = append(parts, fmt.Sprintf("%s × %d", c.Code, c.Coats))
	}
	return strings.Join(parts, ", ")
}

func (d *draft) holdsRefused(a areaWork, found match.Result) bool {
	return slices.ContainsFunc(found.Matches, func(m match.Match) bool {
		return slices.ContainsFunc(a.layers, func(l layerWork) bool { return l.Code == m.Code }) &&
			slices.ContainsFunc(reasonsAgainst(m), func(w match.Reason) bool { return a.alone(m.Code) || !onlyAlone(w.Rule) })
	})
}

// wayText writes layers with names where there is only one.
func (d *draft) wayText(layers []layerWork) string {
	if t := layersText(layers); t != "" {
		return t
	}
	return fmt.Sprintf("%s (%s)", layers[0].Code, d.nameOf(layers[0].Code))
}

// whiteEnough is the L* below which what lies under a fluorescent is no white
// base. A judgement.
const whiteEnough = 85

// refuseStack refuses what only the whole stack shows: paint on raw foam,
// light paint on cloth whose dye climbs, a fluorescent without a white under
// it.
func (d *draft) refuseStack(a areaWork) {
	coats := slices.DeleteFunc(slices.Clone(a.layers), func(l layerWork) bool { return !l.coats() })
	if len(coats) == 0 || !a.onCloth {
		return
	}
	first := coats[0]
	refuse := func(l layerWork, rule, why, instead string) {
		d.refuse(Refusal{Area: a.Code, Code: l.Code, Rule: rule, Why: why, Instead: instead, Chosen: a.chosen,
			What: fmt.Sprintf("%s (%s) on %s", l.Code, l.paint.Name, a.Code)})
	}
	if slices.Contains(materials(a.ground), "foam") && match.RoleOf(first.paint) != match.Seal {
		why := fmt.Sprintf("%s is raw foam: it drinks the first coats", a.Ground)
		if first.paint.Base == "solvent" {
			why = fmt.Sprintf("%s is raw foam: solvent attacks it until it is sealed", a.Ground)
		}
		refuse(first, "seal", why, "seal it first: "+d.first(match.Seal, a))
	}
	if strings.EqualFold(a.ground.DyeClass, "disperse") && !slices.ContainsFunc(coats, func(l layerWork) bool { return l.Role == RoleBase }) {
		refuse(first, "block", fmt.Sprintf("the disperse dye of %s climbs through coats, sooner when warm", a.Ground), "block it first: "+d.first(match.Block, a))
	}
	for i, l := range coats {
		if l.Role != RoleFluorescent || i > 0 && coats[i-1].Role == RoleFluorescent {
			continue
		}
		if under, ok := d.colourUnder(a, coats[:i]); ok && under.L < whiteEnough {
			refuse(l, "base", fmt.Sprintf("a fluorescent shows only over white; under it lies L* %.0f", under.L), "lay a white under it: "+d.first(match.Cover, a))
		}
	}
}

// refuseUnknown refuses, for one wearer each, what is laid beside skin and
// whose contents nobody stated, where that wearer reacts to something.
func (d *draft) refuseUnknown(a areaWork) {
	if !a.Skin {
		return
	}
	for _, l := range a.layers {
		if !l.coats() || len(l.paint.Contains) > 0 {
			continue
		}
		for _, w := range d.job.Wearers {
			if len(w.Sensitivities) == 0 {
				continue
			}
			d.refuse(Refusal{
				Area: a.Code, Code: l.Code, Rule: "wearer", Wearer: w.Code, Chosen: true, What: fmt.Sprintf("%s (%s) on %s for %s", l.Code, l.paint.Name, a.Code, w.Code),
				Why:     fmt.Sprintf("what %s contains is not stated and %s reacts to %s", l.Code, w.Code, strings.Join(w.Sensitivities, ", ")),
				Instead: "read its safety data sheet and state what it contains, or take a product whose contents are stated",
			})
		}
	}
}

// colourUnder is the colour the layers leave, or of the ground where there are
// none.
func (d *draft) colourUnder(a areaWork, layers []layerWork) (colour.Lab, bool) {
	if len(layers) == 0 {
		c, ok := a.ground.Colour.Get()
		if !ok {
			return colour.Lab{}, false
		}
		return c.Lab(), true
	}
	a.layers = layers
	steps := d.build(a, nil)
	if len(steps) == 0 {
		return colour.Lab{}, false
	}
	return steps[len(steps)-1].Predicted.Lab, true
}

// first names the shelf's first product of a role that suits the area's
// ground; of covers the whitest.
func (d *draft) first(role match.Role, a areaWork) string {
	var best inventory.Paint
	light := -1.0
	for _, p := range d.stock.Paints() {
		if match.RoleOf(p) != role || !p.Fits(materials(a.ground)...) {
			continue
		}
		l := 0.0
		if c, ok := p.Colour.Get(); ok && role == match.Cover {
			l = c.Lab().L
		}
		if l > light {
			best, light = p, l
		}
	}
	if best.Code == "" {
		return "a product of that kind, which is not on the shelf"
	}
	return fmt.Sprintf("%s (%s)", best.Code, best.Name)
}
