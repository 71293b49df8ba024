package inventory

import (
	"fmt"
	"path"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"undercoat/inventory/unit"
	"undercoat/palette/colour"
)

// Most characters of a cell: house limits against a slipped paste.
const (
	mostCode = 60
	mostName = 200
	mostText = 10_000
)

type textCell[T ~string] struct {
	check    func(string) bool
	tidy     func(string) string
	expected string
}

func newText[T ~string](r rules) cell {
	c := textCell[T]{check: isText(mostText), expected: "text of at most 10000 characters without control characters"}
	switch {
	case r.oneof != nil:
		c.tidy = strings.ToLower
		c.check = func(s string) bool { return slices.Contains(r.oneof, s) }
		c.expected = "one of " + strings.Join(r.oneof, ", ")
	case r.as == "code":
		c.check, c.expected = isCode, "a code of letters, digits and - _ . / #, at most 60, without spaces"
	case r.as == "name":
		c.check, c.expected = isText(mostName), "a name of at most 200 characters"
	case r.as == "zone":
		c.check, c.expected = isZone, "a time zone such as Europe/Berlin or UTC"
	case r.as == "path":
		c.check, c.expected = isPath, "a file name inside the folder, such as R1.jpg or pictures/R1.jpg"
	case r.as == "day":
		c.tidy, c.check, c.expected = tidyDay, isDay, "a weekday (Mon … Sun) or a date such as 2026-10-31"
	case r.as == "unit":
		c.tidy, c.check, c.expected = tidyUnit, isUnit, "a unit such as ml, g, m, m2, pc or can"
	case r.as == "light":
		c.check, c.expected = isLight, "a light such as D65, A, FL11, LED-B3 or 2900 K"
	case r.as == "trust":
		c.tidy, c.check, c.expected = strings.ToLower, isTrust, "low, medium or high, or as in \"high for hue, low for lightness\""
	case r.as != "":
		panic("inventory: no text rule " + r.as)
	}
	return c
}

func (c textCell[T]) parse(e *env, in []string, p any) (int, string) {
	s := in[0]
	if s == "" {
		return 0, ""
	}
	if c.tidy != nil {
		s = c.tidy(s)
	}
	if !c.check(s) {
		return 0, c.expected
	}
	*p.(*T) = T(s)
	return 0, ""
}

func (c textCell[T]) print(e *env, out []string, p any) { out[0] = string(*p.(*T)) }

func (c textCell[T]) bind(out []any, p any) { out[0] = nullText(string(*p.(*T))) }

func (c textCell[T]) scan(e *env, in []any, p any) error {
	s, err := loadText(in[0])
	*p.(*T) = T(s)
	return err
}

// nullText stores an empty text as NULL: empty is unknown.
func nullText(s string) any {
	if s == "" {
		return nil
	}
	return s
}

func loadText(v any) (string, error) {
	switch v := v.(type) {
	case nil:
		return "", nil
	case string:
		return v, nil
	case []byte:
		return string(v), nil
	}
	return "", fmt.Errorf("stored as %T, expected text", v)
}

func isText(most int) func(string) bool {
	return func(s string) bool {
		return utf8.RuneCountInString(s) <= most && strings.IndexFunc(s, unprintable) < 0 && utf8.ValidString(s)
	}
}

// unprintable are control characters other than the tab and the line feed.
func unprintable(r rune) bool { return unicode.IsControl(r) && r != '\n' && r != '\t' }

// isCode accepts letters, marks and digits of any script and a few signs. A
// code never holds a space, comma, semicolon or colon, which part codes in
// cells, and never begins with a sign a spreadsheet computes.
func isCode(s string) bool {
	for i, r := range s {
		letter := unicode.IsLetter(r) || unicode.IsDigit(r)
		if !letter && (i == 0 || !strings.ContainsRune("-_./#", r) && !unicode.IsMark(r)) {
			return false
		}
	}
	return s != "" && utf8.RuneCountInString(s) <= mostCode
}

func isZone(s string) bool {
	_, err := loadZone(s)
	return err == nil
}

// isTrust reports whether s is one level of trust, or one for hue and one for
// lightness.
func isTrust(s string) bool {
	levels := []string{"low", "medium", "high"}
	if slices.Contains(levels, s) {
		return true
	}
	for _, part := range strings.Split(s, ",") {
		level, of, _ := strings.Cut(strings.TrimSpace(part), " for ")
		if !slices.Contains(levels, level) || (of != "hue" && of != "lightness") {
			return false
		}
	}
	return true
}

// isPath accepts a slash-separated name that stays inside the folder on every
// system.
func isPath(s string) bool {
	if !isText(mostName)(s) || path.Clean(s) != s || path.IsAbs(s) || s == "." || strings.ContainsAny(s, `\:*?"<>|`+"\n\t") {
		return false
	}
	for part := range strings.SplitSeq(s, "/") {
		if part == ".." || strings.HasPrefix(part, ".") || strings.HasSuffix(part, ".") || strings.TrimSpace(part) != part {
			return false
		}
	}
	return true
}

var weekdays = [...]string{"Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"}

// tidyDay turns "monday" and "MON" into "Mon".
func tidyDay(s string) string {
	for _, d := range weekdays {
		if len(s) >= 3 && strings.EqualFold(s[:3], d) && isEnglishDay(s) {
			return d
		}
	}
	return s
}

func isEnglishDay(s string) bool {
	for _, w := range [...]string{"mon", "monday", "tue", "tues", "tuesday", "wed", "wednesday", "thu", "thur", "thurs", "thursday",
		"fri", "friday", "sat", "saturday", "sun", "sunday"} {
		if strings.EqualFold(s, w) {
			return true
		}
	}
	return false
}

func isDay(s string) bool {
	if slices.Contains(weekdays[:], s) {
		return true
	}
	_, err := unit.ParseDate(s)
	return err == nil
}

// tidyUnit gives the base unit's word: "l" becomes "ml"; the amounts beside it
// are scaled by the reader of the row (see baseUnits).
func tidyUnit(s string) string { return strings.ToLower(strings.TrimSpace(s)) }

func isUnit(s string) bool {
	_, err := unit.NewQuantity(1, s)
	return err == nil
}

func isLight(s string) bool {
	_, err := colour.LightNamed(s)
	return err == nil
}
