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

// splitNumber cuts the number at the start of s, with an exponent as
// spreadsheets write it ("1e+05"), from what follows it.
func splitNumber(s string) (number, rest string) {
	i := skipSign(s, 0)
	for i < len(s) && (isDigit(s[i]) || s[i] == '.' || s[i] == ',') {
		i++
	}
	if j := skipSign(s, i+1); i > 0 && i < len(s) && s[i] == 'e' && j < len(s) && isDigit(s[j]) {
		for i = j; i < len(s) && isDigit(s[i]); {
			i++
		}
	}
	return s[:i], strings.TrimSpace(s[i:])
}

func skipSign(s string, i int) int {
	if i < len(s) && (s[i] == '-' || s[i] == '+') {
		return i + 1
	}
	return i
}

func isDigit(b byte) bool { return b >= '0' && b <= '9' }

// decimal reads digits with at most one decimal point or decimal comma.
// A comma counts as a decimal comma unless it could be a thousands separator:
// "1,500" and "1,234.5" are refused, "1,5", "0,125" and "12,50" are read.
func decimal(s string) (v float64, why string) {
	digits, _, _ := strings.Cut(strings.TrimLeft(s, "+-"), "e")
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
	if err != nil || !finite(v) {
		return 0, "not a number this program can hold"
	}
	return v, ""
}

// ParseNumber reads a bare number, as in a table cell whose column names the
// unit: "30", "1.5", "1,5", "-3", "1E+05". It is finite.
func ParseNumber(s string) (float64, error) {
	const example = "a number such as 12 or 0.5"
	number, rest := splitNumber(tidy(s))
	if rest != "" {
		return 0, refuse(s, "not a bare number", example)
	}
	v, why := decimal(number)
	if why != "" {
		return 0, refuse(s, why, example)
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

// scaled is v in a unit of another size, free of the dust that scaling leaves:
// 0.07 l is 70 ml, not 70.00000000000001.
func scaled(v, size float64) float64 {
	if size == 1 {
		return v
	}
	r, err := strconv.ParseFloat(strconv.FormatFloat(v*size, 'g', 15, 64), 64)
	if err != nil {
		return v * size // beyond the largest float; bound refuses it
	}
	return r
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
