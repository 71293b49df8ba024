package match

import (
	"fmt"
	"strings"

	"undercoat/inventory"
	"undercoat/inventory/unit"
)

// verdict gathers what speaks against an article or a match, and what it
// needs.
type verdict struct{ against, notes []Reason }

func (v *verdict) refuse(r Rule, format string, args ...any) {
	v.against = append(v.against, Reason{r, fmt.Sprintf(format, args...)})
}

func (v *verdict) note(r Rule, format string, args ...any) {
	v.notes = append(v.notes, Reason{r, fmt.Sprintf(format, args...)})
}

func (v *verdict) join(w verdict) {
	v.against = append(v.against, w.against...)
	v.notes = append(v.notes, w.notes...)
}

// judge holds what articles are judged by.
type judge struct {
	q      Request
	ground groundFacts
	stock  inventory.Stock
}

// article judges what every kind of article has.
func (j judge) article(a inventory.Article) (v verdict) {
	if !j.q.Now.IsZero() && a.Expired(j.q.Now) {
		last, _ := a.Expires.Get()
		v.refuse(RuleExpired, "%s %s was to be used by %s", a.Code, a.Name, unit.FormatDate(last))
	}
	if left, ok := a.OnHand.Get(); ok && left.Amount <= 0 {
		if a.Pack.Known() || a.Price.Known() {
			v.note(RuleStock, "none of %s on hand: to buy", a.Code)
		} else {
			v.refuse(RuleStock, "none of %s on hand and no pack known to buy", a.Code)
		}
	}
	for _, s := range j.q.Sensitivities {
		for _, c := range a.Contains {
			if sameSubstance(s.Substance, c) {
				v.refuse(RuleWearer, "%s contains %s and wearer %s reacts to %s", a.Code, c, s.Wearer, s.Substance)
			}
		}
	}
	return v
}

// sameSubstance compares two names of substances, one inside the other:
// "latex" meets "natural latex".
func sameSubstance(a, b string) bool {
	a, b = strings.ToLower(strings.TrimSpace(a)), strings.ToLower(strings.TrimSpace(b))
	return a != "" && b != "" && (strings.Contains(a, b) || strings.Contains(b, a))
}

// paint judges a paint for the ground it would lie on, first or over others.
func (j judge) paint(p inventory.Paint) (v verdict) {
	v = j.article(p.Article)
	v.join(j.method(p))
	v.join(j.stretch(p))
	v.join(j.heat(p))
	v.join(j.material(p))
	if j.q.Skin {
		if days, ok := p.Cure.Get(); ok {
			v.note(RuleSkin, "%s lies on skin: not before its full cure of %s", p.Code, unit.FormatSpan(days))
		} else {
			v.note(RuleSkin, "%s lies on skin and its cure time is not stated", p.Code)
		}
	}
	if RoleOf(p) == Rub {
		v.note(RuleOutside, "%s is metallic or pearl: its colour changes with the angle and is not predicted", p.Code)
	}
	return v
}

// method speaks against painting what is to be cut from cloth, dyed or made of
// trim.
func (j judge) method(p inventory.Paint) (v verdict) {
	switch j.q.Method {
	case ByCloth:
		text := "this area is cut from cloth and stays unpainted; paint would stiffen it"
		if j.q.Extent > 0 {
			if s, ok := p.Spread.Get(); ok {
				need := 2 * float64(s.Over(j.q.Extent))
				text += fmt.Sprintf(", and two coats on %s take about %.0f ml of %s", j.q.Extent, need, p.Code)
				if left, ok := p.OnHand.Get(); ok {
					text += fmt.Sprintf(", of which there are %s", left)
				}
			}
		}
		v.refuse(RuleMethod, "%s", text)
	case ByDye:
		v.refuse(RuleMethod, "this area is dyed; paint would stiffen it")
	case ByTrim:
		v.refuse(RuleMethod, "this area is made of trim")
	}
	return v
}

// littleStretch is the stretch a film of unknown elongation is trusted with.
// Judgement.
const littleStretch = 0.05

func (j judge) stretch(p inventory.Paint) (v verdict) {
	e, known := p.Elongation.Get()
	switch {
	case j.q.Stretch <= 0:
	case known && e < j.q.Stretch:
		v.refuse(RuleStretch, "the film of %s stretches %s before it cracks; the area stretches %s", p.Code, percent(e), percent(j.q.Stretch))
	case !known && j.q.Stretch > littleStretch:
		v.refuse(RuleStretch, "the area stretches %s and how far the film of %s stretches is not stated", percent(j.q.Stretch), p.Code)
	}
	return v
}

func (j judge) heat(p inventory.Paint) (v verdict) {
	hot, ok := p.HeatC.Get()
	limit, whose := j.ground.heatLimit(j.q.IronMax)
	most, limited := limit.Get()
	if !ok || !limited || hot <= most {
		return v
	}
	if x, ok := j.fixer(p); ok {
		v.note(RuleHeat, "%s sets at %s and %s %s: set it with %s %s instead", p.Code, celsius(hot), whose, stands(most), x.Code, x.Name)
		return v
	}
	v.refuse(RuleHeat, "%s sets at %s and %s %s", p.Code, celsius(hot), whose, stands(most))
	return v
}

func stands(most float64) string {
	if most <= 0 {
		return "takes no heat"
	}
	return "stands " + celsius(most)
}

// fixer returns a treatment of the shelf that sets the paint without heat: a
// cross-linker whose label names the paint's medium.
func (j judge) fixer(p inventory.Paint) (inventory.Paint, bool) {
	for _, x := range j.stock.Paints() {
		if x.Kind == inventory.KindTreatment && strings.Contains(strings.ToLower(x.Medium), "cross-linker") &&
			has(x.Suits, strings.ToLower(p.Medium)) && (x.Base == "" || p.Base == "" || x.Base == p.Base) {
			return x, true
		}
	}
	return inventory.Paint{}, false
}

// material speaks against a paint whose label does not name the ground, and
// against solvent on what it would eat.
func (j judge) material(p inventory.Paint) (v verdict) {
	if !j.ground.there || len(j.ground.materials) == 0 {
		return v
	}
	if j.ground.raw && p.Base == "solvent" {
		v.refuse(RuleSolvent, "%s is solvent-based and attacks %s until it is sealed", p.Code, j.ground)
	}
	if len(p.Suits) == 0 {
		v.note(RuleMaterial, "the label of %s names no material: try it on a scrap of %s", p.Code, j.ground)
		return v
	}
	for _, s := range p.Suits {
		if has(j.ground.materials, strings.ToLower(s)) {
			return v
		}
	}
	v.refuse(RuleMaterial, "%s is for %s, not for %s", p.Code, strings.Join(p.Suits, ", "), j.ground.made())
	return v
}

// made says what the ground is of, for a sentence.
func (f groundFacts) made() string {
	if len(f.materials) == 0 {
		return f.String()
	}
	return f.materials[0] + " (" + f.String() + ")"
}
