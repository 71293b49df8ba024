package unit

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode/utf8"
)

// Most and Least bound every amount in the base unit of its kind (mL, g, m,
// m², m³, mL/m²): beyond 1e9, or below 1e-9 and not 0, a typing slip is far
// likelier than a workroom of that size. House limits, no source.
const (
	Most  = 1e9
	Least = 1e-9
)

// ErrFormat is wrapped by every error of this package's parsers.
var ErrFormat = errors.New("not understood")

// refuse builds the one error of the parsers: what was found, what is wrong
// with it, and what was expected.
func refuse(found, why, expected string) error {
	if utf8.RuneCountInString(found) > 40 {
		found = string([]rune(found)[:40]) + "…"
	}
	return fmt.Errorf("%q: %s: expected %s (%w)", found, why, expected, ErrFormat)
}

// plain replaces the look-alikes that keyboards and spreadsheets produce: no-break and thin
// spaces, the true minus, both micro signs, raised 2 and 3, middle dots.
var plain = strings.NewReplacer("\u00a0", " ", "\u202f", " ", "\u2009", " ", "\u2212", "-", "\u00b5", "u", "\u03bc", "u",
	"\u00b2", "2", "\u00b3", "3")

// tidy returns the words of s in lower case with look-alikes replaced.
func tidy(s string) string { return strings.ToLower(strings.TrimSpace(plain.Replace(s))) }

// splitNumber cuts the number at the start of s from what follows it.
func splitNumber(s string) (number, rest string) {
	i := 0
	if i < len(s) && (s[i] == '-' || s[i] == '+') {
		i++
	}
	for i < len(s) && (s[i] >= '0' && s[i] <= '9' || s[i] == '.' || s[i] == ',') {
		i++
	}
	return s[:i], strings.TrimSpace(s[i:])
}

// decimal reads digits with at most one decimal point or decimal comma.
// A comma counts as a decimal comma unless it could be a thousands separator:
// "1,500" and "1,234.5" are refused, "1,5", "0,125" and "12,50" are read.
func decimal(s string) (v float64, why string) {
	digits := strings.TrimLeft(s, "+-")
	if len(s)-len(digits) > 1 {
		return 0, "more than one sign"
	}
	comma, dot := strings.Count(digits, ","), strings.Count(digits, ".")
	switch {
	case strings.Trim(digits, ".,") == "":
		return 0, "there is no number"
	case comma+dot > 1:
		return 0, "more than one decimal mark"
	case comma == 1:
		whole, part, _ := strings.Cut(digits, ",")
		if len(part) == 3 && whole != "" && whole[0] != '0' {
			return 0, "the comma may mean a decimal or thousands"
		}
		s = strings.Replace(s, ",", ".", 1)
	}
	v, err := strconv.ParseFloat(s, 64)
	if err != nil || math.IsInf(v, 0) || math.IsNaN(v) {
		return 0, "not a number this program can hold"
	}
	return v, ""
}

// ParseNumber reads a bare number, as in a table cell whose column names the
// unit: "30", "1.5", "1,5". It is finite; signs are accepted.
func ParseNumber(s string) (float64, error) {
	t := tidy(s)
	number, rest := splitNumber(t)
	if rest != "" {
		if f, err := strconv.ParseFloat(t, 64); err == nil && finite(f) && !strings.ContainsAny(t, "xp_in") {
			return f, nil // 1E+05, as spreadsheets write large numbers
		}
		return 0, refuse(s, "not a bare number", "a number such as 12 or 0.5")
	}
	v, why := decimal(number)
	if why != "" {
		return 0, refuse(s, why, "a number such as 12 or 0.5")
	}
	return v, nil
}

// FormatNumber prints the shortest decimal that reads back as the same number,
// without an exponent.
func FormatNumber(v float64) string {
	if v == 0 {
		return "0" // not "-0"
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
