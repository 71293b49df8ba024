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

// table reads an embedded table: its header is skipped, lines that begin with
// # are comments.
func table(name, text string) [][]string {
	r := csv.NewReader(strings.NewReader(text))
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		panic("caution: the embedded table " + name + " cannot be read: " + err.Error())
	}
	return rows[1:]
}

var statements = sync.OnceValue(func() map[string]statement {
	m := map[string]statement{}
	for _, c := range table("ghs_h.csv", hazardsCSV) {
		m[c[0]] = statement{c[1], c[2]}
	}
	return m
})

// plainCode is a code as the table has it: letters after the number narrow a
// statement on a label ("H360FD", "H350i") and are dropped.
func plainCode(code string) string {
	c := strings.ToUpper(strings.TrimSpace(code))
	end := strings.IndexAny(c, "0123456789")
	if end < 0 {
		return c
	}
	for end < len(c) && c[end] >= '0' && c[end] <= '9' {
		end++
	}
	return c[:end]
}

// HazardText returns the official text of a hazard statement such as "H317".
// Letters after the number are looked past; of statements joined on a label
// ("H300+H310") each is given. ok is false for a code the table does not hold.
func HazardText(code string) (text string, ok bool) {
	var texts []string
	for _, c := range strings.Split(code, "+") {
		s, known := statements()[plainCode(c)]
		if !known {
			return "", false
		}
		texts = append(texts, s.text)
	}
	return strings.Join(texts, "; "), true
}

// groupOf is what kind of harm a statement speaks of; "" where not known.
func groupOf(code string) string {
	first, _, _ := strings.Cut(code, "+")
	return statements()[plainCode(first)].group
}

// stops are the statements after which nothing begins before the safety data
// sheet was read: allergy by breathing, fatal if inhaled, cancer,
// reproduction, organ damage, isocyanates.
var stops = []string{"H334", "H330", "H350", "H360", "H372", "EUH204"}
