package caution

import (
	"cmp"
	"slices"
)

// Rule is one rule over finished values. Every caution it gives has its source,
// unless the caution names a nearer one.
type Rule struct {
	Word   string // the word that marks its cautions
	Looks  string // what it looks at, in a sentence
	Source string
	find   func(Input) []Caution
}

// Rules lists the rules in the order they are read.
func Rules() []Rule {
	return []Rule{
		{"defer", "every plan", sourceDefer, deferring},
		{"hazard", "hazard statements of the products the plan takes", sourceGHS, hazards},
		{"product", "substances and words of those products (data/products.csv)", sourceProducts, products},
		{"sheets", "products without a hazard statement on record", sourceGHS, unsheeted},
		{"solvent", "solvent-borne products in this room", sourceSolvent, solvents},
		{"ignition", "flash points below the room's temperature; irons and heat guns while solvent dries", sourceFlash, ignition},
		{"spraying", "aerosols and sprays", sourceSpray, spraying},
		{"respirator", "masks where vapour or mist is made", sourceMask, respirators},
		{"powder", "dyes and colours in powder", sourcePractice, powders},
		{"children", "children, pregnant and nursing people", sourceGHS, children},
		{"night", "what still gives off vapour at night", sourcePractice, nights},
		{"air", "vapour of the largest water-borne coats in the room's air", sourceAir, airOfCoats},
		{"sensitivity", "what a wearer reacts to, in everything put on that wearer", sourcePractice, sensitivities},
		{"nickel", "metal parts against skin", sourceReach, nickel},
		{"skin", "painted areas against skin", sourcePractice, paintOnSkin},
		{"uncured", "paint on skin before it has cured", sourcePractice, uncured},
		{"contact", "verdicts on what touches", sourceTests, contacts},
		{"packing", "what is better not packed face to face", sourceTests, packing},
		{"heat", "irons and heat guns on vinyl, foam, coated and synthetic cloth", sourceHeat, heats},
		{"migration", "disperse-dyed cloth under paint and heat", sourceFibre, migration},
		{"formaldehyde", "heat setting of binders and easy-care finishes", sourceFormaldehyde, formaldehyde},
		{"flame", "raised pile and fur near flame", sourceFlame, flames},
		{"fixer", "pot life of cross-linkers", sourcePractice, fixers},
		{"fluorescent", "fluorescent coats", sourcePractice, fluorescents},
		{"brightener", "what glows under ultraviolet", sourcePractice, brighteners},
		{"together", "areas that must agree on different materials", sourcePractice, sameTargets},
		{"angle", "colours that change with the angle of view", sourcePractice, angles},
		{"margin", "amounts that are enough only if nothing is spilt", sourcePlan, margins},
		{"cloth", "cloth before it is cut", sourcePlan, cloths},
		{"hours", "a job that states no working hours", sourcePlan, hoursUnstated},
		{"room", "a room unfit for coats", sourceDrying, rooms},
	}
}

// The sources of the rules. What is common practice is called so.
const (
	sourceDefer        = "policy of this program: estimates, never a clearance"
	sourceGHS          = "GHS, Annex 3; the product's safety data sheet"
	sourceProducts     = "the substance's own source stands with each row"
	sourceSolvent      = "OSHA 29 CFR 1910.134; safety data sheet, section 8; common practice"
	sourceFlash        = "NIOSH Pocket Guide and IEC 60079-20-1 (flash points, lower limits); GHS flammable liquid categories"
	sourceSpray        = "OSHA 29 CFR 1910.94(c) and 1910.107, NFPA 33 (spray finishing)"
	sourceMask         = "OSHA 29 CFR 1910.134 (respirators)"
	sourceReach        = "EU REACH Annex XVII entry 27 (nickel release, EN 1811; coated parts EN 12472)"
	sourcePractice     = "common practice, no source; the product's label and safety data sheet decide"
	sourceAir          = "well-mixed box; limits: " + LimitsAsOf
	sourceTests        = "the tests on record"
	sourcePlan         = "the plan's own figures"
	sourceDrying       = "surface 3 °C above the dew point, humidity at most 85 % (coating practice after ISO 8502-4 and ISO 12944-7); the label's own limits"
	sourceHeat         = "NIOSH Pocket Guide (hydrogen chloride, styrene); published fire toxicity reviews (isocyanates, hydrogen cyanide); the product's label"
	sourceFibre        = "textile handbooks, from memory; the tests on record"
	sourceFormaldehyde = "limit table of a voluntary textile eco-label, 2014–2016 (75 mg/kg against skin, 300 mg/kg else)"
	sourceFlame        = "16 CFR 1610 (flammability of clothing) for the test; the advice is common practice"
)

// Check judges a finished plan. Cautions come heaviest first, then by rule,
// subject and text; equal ones are said once.
func Check(in Input) []Caution {
	var out []Caution
	for _, r := range Rules() {
		for _, c := range r.find(in) {
			c.Rule = cmp.Or(c.Rule, r.Word)
			c.Source = cmp.Or(c.Source, r.Source)
			out = append(out, c)
		}
	}
	slices.SortStableFunc(out, func(a, b Caution) int {
		return cmp.Or(cmp.Compare(b.Weight, a.Weight), cmp.Compare(a.Rule, b.Rule), cmp.Compare(a.Subject, b.Subject), cmp.Compare(a.Text, b.Text))
	})
	return slices.Compact(out)
}

// hoursUnstated says by which hours a job without a table of hours is planned.
func hoursUnstated(in Input) []Caution {
	if len(in.Job.Hours) > 0 || len(in.Plan.Steps) == 0 {
		return nil
	}
	return []Caution{{Weight: Care, Subject: "job", Text: "no working hours are stated: planned as if you worked every day from 9:00 to 21:00; state yours in hours.csv (day, from, to)"}}
}

func deferring(Input) []Caution {
	return []Caution{{Weight: Note, Subject: "job", Text: "these are reminders and estimates: the products' labels and safety data sheets, local codes and licensed practice come first, and nothing here clears a hazard"}}
}
