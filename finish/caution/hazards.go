package caution

import (
	_ "embed"
	"encoding/csv"
	"strings"
	"sync"
)

//go:embed data/ghs_h.csv
var hazardsCSV string

// statement is a hazard statement of the GHS.
type statement struct{ text, group string }

var statements = sync.OnceValue(func() map[string]statement {
	r := csv.NewReader(strings.NewReader(hazardsCSV))
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		panic("caution: the embedded hazard statements cannot be read: " + err.Error())
	}
	m := map[string]statement{}
	for _, c := range rows[1:] {
		m[c[0]] = statement{c[1], c[2]}
	}
	return m
})

// HazardText returns the official text of a hazard statement such as "H317".
// ok is false for a code the table does not hold.
func HazardText(code string) (text string, ok bool) {
	s, ok := statements()[strings.ToUpper(strings.TrimSpace(code))]
	return s.text, ok
}

// stops are the statements after which nothing begins before the safety data
// sheet was read: allergy by breathing, fatal if inhaled, cancer,
// reproduction, organ damage.
var stops = []string{"H334", "H330", "H350", "H360", "H372"}

const (
	sourceGHS      = "GHS, Annex 3; the product's safety data sheet"
	sourceReach    = "EU REACH Annex XVII entry 27 (nickel release, EN 1811)"
	sourcePractice = "common practice, no source; the product's label and safety data sheet decide"
	sourceAir      = "well-mixed box; limits: " + LimitsAsOf
	sourceTests    = "the tests on record"
	sourcePlan     = "the plan's own figures"
	sourceHeat     = "NIOSH Pocket Guide (hydrogen chloride); published fire toxicity reviews (isocyanates, hydrogen cyanide); the product's label"
)
