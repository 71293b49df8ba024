package caution

import (
	"cmp"
	"slices"
)

// rule is one rule over finished values: its word, and what it finds.
type rule struct {
	word string
	find func(Input) []Caution
}

// rules in the order they are read; the answer is sorted afterwards.
var rules = []rule{
	{"hazard", hazards},
	{"sensitivity", sensitivities},
	{"nickel", nickel},
	{"uncured", uncured},
	{"contact", contacts},
	{"heat", heats},
	{"solvent", solventWork},
	{"air", airOfCoats},
	{"fixer", fixers},
	{"fluorescent", fluorescents},
	{"brightener", brighteners},
	{"together", sameTargets},
	{"margin", margins},
	{"cloth", cloths},
	{"room", rooms},
	{"angle", angles},
}

// Check judges a finished plan. Cautions come heaviest first, then by rule,
// subject and text; equal ones are said once.
func Check(in Input) []Caution {
	var out []Caution
	for _, r := range rules {
		for _, c := range r.find(in) {
			c.Rule = r.word
			out = append(out, c)
		}
	}
	slices.SortStableFunc(out, func(a, b Caution) int {
		return cmp.Or(cmp.Compare(b.Weight, a.Weight), cmp.Compare(a.Rule, b.Rule), cmp.Compare(a.Subject, b.Subject), cmp.Compare(a.Text, b.Text))
	})
	return slices.Compact(out)
}

// Rules lists the words of the rules, in the order they are read.
func Rules() []string {
	var words []string
	for _, r := range rules {
		words = append(words, r.word)
	}
	return words
}
