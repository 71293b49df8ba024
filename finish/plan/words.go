package plan

import (
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"

	"undercoat/inventory"
	"undercoat/inventory/unit"
)

// wordsOf returns the lower-case words of a text: runs of letters.
func wordsOf(s string) []string {
	return strings.FieldsFunc(strings.ToLower(s), func(r rune) bool { return !unicode.IsLetter(r) })
}

// hasWord reports whether one of the words stands in the text.
func hasWord(text string, words ...string) bool {
	return slices.ContainsFunc(wordsOf(text), func(w string) bool { return slices.Contains(words, w) })
}

// materials returns the names under which a label may mean this cloth: the
// fibres, the fibre text as a whole, and the medium up to "on" ("vinyl on
// knit" is vinyl).
func materials(c inventory.Cloth) []string {
	medium, _, _ := strings.Cut(strings.ToLower(c.Medium), " on ")
	fibre := strings.ToLower(strings.TrimSpace(c.Fibre))
	m := append(wordsOf(fibre), fibre, medium)
	if c.Unit == "m2" && slices.Contains(m, "foam") {
		m = append(m, "foam")
	}
	slices.Sort(m)
	return slices.Compact(slices.DeleteFunc(m, func(s string) bool { return s == "" }))
}

// Makers keep what no column holds in notes. These read the few phrases the
// demo and the tables' paper use; an unread note is no error, the fact is then
// unknown.
var (
	shareInPaint = regexp.MustCompile(`(\d+(?:[.,]\d+)?) ?% in (?:the )?paint`)
	potLife      = regexp.MustCompile(`pot life (\d+(?:[.,]\d+)?) ?(h|min)`)
	standsHeat   = regexp.MustCompile(`(?:stands up to|up to|at most) (\d+) ?°? ?C`)
	degrees      = regexp.MustCompile(`(-?\d+) ?°C`)
	countOf      = regexp.MustCompile(`(\d+) (\p{L}+)s\b`)
	massOf       = regexp.MustCompile(`(\d+(?:[.,]\d+)?) g of ([\p{L} ]+)`)
	volumeOf     = regexp.MustCompile(`(\d+(?:[.,]\d+)?) m[lL] of ([\p{L} ]+)`)
)

func decimal(s string) float64 {
	v, _ := strconv.ParseFloat(strings.Replace(s, ",", ".", 1), 64)
	return v
}

// noted returns the first number a phrase of a note states.
func noted(phrase *regexp.Regexp, note string) unit.Stated[float64] {
	m := phrase.FindStringSubmatch(note)
	if m == nil {
		return unit.Stated[float64]{}
	}
	return unit.State(decimal(m[1]))
}

// notedPotLife returns the pot life a note states.
func notedPotLife(note string) unit.Stated[time.Duration] {
	m := potLife.FindStringSubmatch(note)
	if m == nil {
		return unit.Stated[time.Duration]{}
	}
	size := time.Hour
	if m[2] == "min" {
		size = time.Minute
	}
	return unit.State(time.Duration(decimal(m[1]) * float64(size)))
}

// extra returns a number from a column this program does not know by itself.
func extra(a inventory.Article, column string) unit.Stated[float64] {
	v, err := unit.ParseNumber(a.Extra[column])
	if err != nil {
		return unit.Stated[float64]{}
	}
	return unit.State(v)
}
