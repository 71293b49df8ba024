package inventory

import (
	"strconv"
	"strings"
	"unicode/utf8"
)

// A cell that begins with = + - @, a tab or a line break is computed by a
// spreadsheet as a formula, which a name in somebody's table must never
// become. Such a cell is written with one apostrophe in front, which
// spreadsheets take as "this is text"; so is a cell that already looks guarded,
// so that reading takes off exactly the one apostrophe that writing put there.
// Plain numbers are left as they are. Full-width signs count: some spreadsheets
// take them for the narrow ones.
const formulaSigns = "=+-@\t\r\n＝＋－＠"

func guard(s string) string {
	if isPlainNumber(s) {
		return s
	}
	return guardSign(s)
}

func guardSign(s string) string {
	if looksGuarded(s) {
		return "'" + s
	}
	return s
}

// unguard takes off the apostrophe that guard put in front. A table from
// elsewhere whose text begins with an apostrophe and a sign loses it.
func unguard(s string) string {
	if s != "" && s[0] == '\'' && looksGuarded(s) {
		return s[1:]
	}
	return s
}

// looksGuarded says whether s is apostrophes, or none, and a formula's sign.
func looksGuarded(s string) bool {
	r, _ := utf8.DecodeRuneInString(strings.TrimLeft(s, "'"))
	return r != utf8.RuneError && strings.ContainsRune(formulaSigns, r)
}

// guardList also guards every item of a cell that parts its values by ";": a
// spreadsheet that takes ";" for its own separator would see them as cells.
func guardList(s string) string {
	if strings.IndexByte(s, ';') < 0 {
		return guard(s)
	}
	return eachItem(s, guardSign)
}

func unguardList(s string) string { return eachItem(s, unguard) }

func eachItem(s string, change func(string) string) string {
	items := strings.Split(s, ";")
	for i := range items {
		items[i] = change(items[i])
	}
	return strings.Join(items, ";")
}

// isPlainNumber accepts what a spreadsheet reads as a number and nothing else.
func isPlainNumber(s string) bool {
	t := strings.TrimLeft(s, "+-")
	if len(s)-len(t) > 1 || t == "" || t[0] < '0' || t[0] > '9' {
		return false
	}
	if strings.Trim(t, "0123456789.eE+-") != "" {
		return false
	}
	_, err := strconv.ParseFloat(s, 64)
	return err == nil
}
