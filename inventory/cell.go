package inventory

import (
	"encoding/binary"
	"fmt"
	"math"
	"path"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"undercoat/inventory/unit"
	"undercoat/palette/colour"
)

// A cell reads, prints, stores and loads one field of a fact. Most fields are
// one column; a CIELAB colour is three and a spectrum thirty-six in a table.
// p is a pointer to the field. The field is at its zero value before parse and
// scan, which leave it there when the cell is empty or NULL.
type cell interface {
	// parse reads cells of a table, already trimmed; on a bad one it returns
	// its index and what was expected.
	parse(e *env, in []string, p any) (bad int, expected string)
	print(e *env, out []string, p any)
	bind(out []any, p any)
	scan(e *env, in []any, p any) error
}

// env is what cells need to know about the table they stand in.
type env struct {
	zone    *time.Location           // of wall clocks; nil = UTC
	colours map[string]colour.Colour // colours read so far, by text
	lights  map[string]bool          // lights found good so far
}

// write is [Write], remembering colours that occur again.
func (e *env) write(text string) (Written, error) {
	text = strings.TrimSpace(text)
	if c, ok := e.colours[text]; ok {
		return Written{text, c}, nil
	}
	w, err := Write(text)
	if err != nil {
		return Written{}, err
	}
	if e.colours == nil {
		e.colours = make(map[string]colour.Colour)
	}
	e.colours[text] = w.Colour
	return w, nil
}

// rules are what the tags of a field say about its cells.
type rules struct {
	as       string
	oneof    []string
	low      float64
	high     float64
	bounded  bool
	example  string
	expected string
}

// newCell returns the codec of a field type. It panics on a type or a rule
// that no codec knows, which is a mistake in a fact's tags.
func newCell(t reflect.Type, r rules) cell {
	switch reflect.New(t).Interface().(type) {
	case *string:
		return newText[string](r)
	case *Kind:
		return newText[Kind](r)
	case *[]string:
		return listCell{}
	case *[]RecipeLayer:
		return layersCell{}
	case *[]Part:
		return partsCell{}
	case *Moved:
		return newText[Moved](r)
	case *int64:
		return plainCell[int64]{newWhole[int64](r)}
	case *time.Time:
		return plainCell[time.Time]{newTime(r)}
	case *float64:
		return plainCell[float64]{newNumber[float64](r, 1)}
	case *unit.Mass:
		return plainCell[unit.Mass]{newNumber[unit.Mass](r, 1)}
	case *unit.Extent:
		return plainCell[unit.Extent]{newNumber[unit.Extent](r, 1)}
	case *int:
		return plainCell[int]{newWhole[int](r)}
	case *unit.Stated[float64]:
		return newNumber[float64](r, 1)
	case *unit.Stated[unit.Volume]:
		return newNumber[unit.Volume](r, 1)
	case *unit.Stated[unit.Mass]:
		return newNumber[unit.Mass](r, 1)
	case *unit.Stated[unit.Length]:
		return newNumber[unit.Length](r, 1)
	case *unit.Stated[unit.Extent]:
		return newNumber[unit.Extent](r, 1)
	case *unit.Stated[unit.Space]:
		return newNumber[unit.Space](r, 1)
	case *unit.Stated[unit.SpreadRate]:
		return newNumber[unit.SpreadRate](r, 1)
	case *unit.Stated[time.Duration]:
		return newSpan(r)
	case *unit.Stated[int]:
		return newWhole[int](r)
	case *unit.Stated[int64]:
		return newWhole[int64](r)
	case *unit.Stated[bool]:
		return yesNoCell{}
	case *unit.Stated[unit.Money]:
		return moneyCell{}
	case *unit.Stated[time.Time]:
		return newTime(r)
	case *unit.Stated[Written]:
		return colourCell{}
	case *unit.Stated[Rect]:
		return rectCell{}
	case *unit.Stated[Clock]:
		return clockCell{}
	case *unit.Stated[unit.Quantity]:
		return quantityCell{}
	case *unit.Stated[colour.Lab]:
		return labCell{}
	case *unit.Stated[colour.Reflectance]:
		return spectrumCell{}
	}
	panic(fmt.Sprintf("inventory: no table cell for %v", t))
}

// --- text

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

// --- lists

type listCell struct{}

const listExpected = "words separated by ;"

func (listCell) parse(e *env, in []string, p any) (int, string) {
	list := splitList(in[0])
	for _, s := range list {
		if !isText(mostText)(s) {
			return 0, listExpected
		}
	}
	*p.(*[]string) = list
	return 0, ""
}

func (listCell) print(e *env, out []string, p any) { out[0] = strings.Join(*p.(*[]string), ";") }

func (listCell) bind(out []any, p any) { out[0] = nullText(strings.Join(*p.(*[]string), ";")) }

func (listCell) scan(e *env, in []any, p any) error {
	s, err := loadText(in[0])
	if s != "" {
		*p.(*[]string) = strings.Split(s, ";")
	}
	return err
}

// splitList parts a cell at semicolons; empty items fall away.
func splitList(s string) []string {
	if s == "" {
		return nil
	}
	var list []string
	for item := range strings.SplitSeq(s, ";") {
		if item = strings.TrimSpace(item); item != "" {
			list = append(list, item)
		}
	}
	return list
}

type layersCell struct{}

const layersExpected = "layers from the ground up such as W3:1;W1:3;F1:3"

func (layersCell) parse(e *env, in []string, p any) (int, string) {
	layers, ok := parseLayers(in[0])
	if !ok {
		return 0, layersExpected
	}
	*p.(*[]RecipeLayer) = layers
	return 0, ""
}

func (layersCell) print(e *env, out []string, p any) { out[0] = printLayers(*p.(*[]RecipeLayer)) }

func (layersCell) bind(out []any, p any) { out[0] = nullText(printLayers(*p.(*[]RecipeLayer))) }

func (layersCell) scan(e *env, in []any, p any) error {
	s, err := loadText(in[0])
	if err != nil {
		return err
	}
	layers, ok := parseLayers(s)
	if !ok {
		return fmt.Errorf("found %q, expected %s", s, layersExpected)
	}
	*p.(*[]RecipeLayer) = layers
	return nil
}

// parseLayers reads "W3:1;W1:3"; a code without a number leaves the coats
// unsaid (0).
func parseLayers(s string) ([]RecipeLayer, bool) {
	var layers []RecipeLayer
	for _, item := range splitList(s) {
		code, coats, said := strings.Cut(item, ":")
		code = strings.TrimSpace(code)
		n, err := strconv.Atoi(strings.TrimSpace(coats))
		if !isCode(code) || said && (err != nil || n < 1 || n > 100) {
			return nil, false
		}
		layers = append(layers, RecipeLayer{code, n})
	}
	return layers, true
}

func printLayers(layers []RecipeLayer) string {
	parts := make([]string, len(layers))
	for i, l := range layers {
		parts[i] = l.Code
		if l.Coats != 0 {
			parts[i] += ":" + strconv.Itoa(l.Coats)
		}
	}
	return strings.Join(parts, ";")
}

type partsCell struct{}

const partsExpected = "parts by mass in g such as W1:12.5;T3:1, no code twice"

func (partsCell) parse(e *env, in []string, p any) (int, string) {
	parts, ok := parseParts(in[0])
	if !ok {
		return 0, partsExpected
	}
	*p.(*[]Part) = parts
	return 0, ""
}

func (partsCell) print(e *env, out []string, p any) { out[0] = printParts(*p.(*[]Part)) }

func (partsCell) bind(out []any, p any) { out[0] = nullText(printParts(*p.(*[]Part))) }

func (partsCell) scan(e *env, in []any, p any) error {
	s, err := loadText(in[0])
	if err != nil {
		return err
	}
	parts, ok := parseParts(s)
	if !ok {
		return fmt.Errorf("found %q, expected %s", s, partsExpected)
	}
	*p.(*[]Part) = parts
	return nil
}

func parseParts(s string) ([]Part, bool) {
	var parts []Part
	for _, item := range splitList(s) {
		code, mass, _ := strings.Cut(item, ":")
		code = strings.TrimSpace(code)
		v, err := unit.ParseNumber(mass)
		twice := slices.ContainsFunc(parts, func(p Part) bool { return p.Code == code })
		if err != nil || !isCode(code) || twice || v < unit.Least || v > unit.Most {
			return nil, false
		}
		parts = append(parts, Part{code, unit.Mass(v)})
	}
	return parts, true
}

func printParts(parts []Part) string {
	list := make([]string, len(parts))
	for i, p := range parts {
		list[i] = p.Code + ":" + unit.FormatNumber(float64(p.Mass))
	}
	return strings.Join(list, ";")
}

// --- numbers

// numberCell holds a number in the column's unit; per is the size of the
// field's unit in the column's (100 for a share in percent, metres in cm).
type numberCell[T ~float64] struct {
	per       float64
	low, high float64
	expected  string
}

func newNumber[T ~float64](r rules, per float64) cell {
	switch r.as {
	case "":
	case "percent", "cm":
		per = 100
	default:
		panic("inventory: no number rule " + r.as)
	}
	c := numberCell[T]{per: per, low: 0, high: unit.Most}
	if r.bounded {
		c.low, c.high = r.low, r.high
	}
	c.expected = rangeWords("a number", c.low, c.high)
	return c
}

func rangeWords(what string, low, high float64) string {
	if high >= unit.Most {
		return what + " of " + unit.FormatNumber(low) + " or more"
	}
	return what + " from " + unit.FormatNumber(low) + " to " + unit.FormatNumber(high)
}

func (c numberCell[T]) parse(e *env, in []string, p any) (int, string) {
	if in[0] == "" {
		return 0, ""
	}
	v, err := unit.ParseNumber(in[0])
	if err != nil || v < c.low || v > c.high {
		return 0, c.expected
	}
	*p.(*unit.Stated[T]) = unit.State(T(v / c.per))
	return 0, ""
}

func (c numberCell[T]) print(e *env, out []string, p any) {
	if v, ok := p.(*unit.Stated[T]).Get(); ok {
		out[0] = unit.FormatNumber(c.column(v))
	}
}

// column returns the number in the column's unit, free of the dust that
// scaling leaves (0.07 × 100 is 7.000000000000001).
func (c numberCell[T]) column(v T) float64 {
	if c.per == 1 {
		return float64(v)
	}
	return round12(float64(v) * c.per)
}

// round12 keeps twelve significant digits.
func round12(v float64) float64 {
	r, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 12, 64), 64)
	if err != nil {
		return v
	}
	return r
}

func (c numberCell[T]) bind(out []any, p any) {
	if v, ok := p.(*unit.Stated[T]).Get(); ok {
		out[0] = c.column(v)
	}
}

func (c numberCell[T]) scan(e *env, in []any, p any) error {
	v, ok, err := loadNumber(in[0])
	if ok {
		*p.(*unit.Stated[T]) = unit.State(T(v / c.per))
	}
	return err
}

func loadNumber(v any) (float64, bool, error) {
	switch v := v.(type) {
	case nil:
		return 0, false, nil
	case float64:
		return v, true, nil
	case int64:
		return float64(v), true, nil
	}
	return 0, false, fmt.Errorf("stored as %T, expected a number", v)
}

// spanCell holds a time span as a number of hours or minutes.
type spanCell struct {
	size     time.Duration
	expected string
}

// mostSpan is the longest span of a table: a hundred years, house limit.
const mostSpan = 100 * 365 * 24 * time.Hour

func newSpan(r rules) cell {
	switch r.as {
	case "hours":
		return spanCell{time.Hour, "a number of hours, 0 or more"}
	case "minutes":
		return spanCell{time.Minute, "a number of minutes, 0 or more"}
	}
	panic("inventory: a span needs hours or minutes")
}

func (c spanCell) parse(e *env, in []string, p any) (int, string) {
	if in[0] == "" {
		return 0, ""
	}
	v, err := unit.ParseNumber(in[0])
	if err != nil || v < 0 || v*float64(c.size) > float64(mostSpan) {
		return 0, c.expected
	}
	*p.(*unit.Stated[time.Duration]) = unit.State(c.span(v))
	return 0, ""
}

func (c spanCell) span(v float64) time.Duration {
	return time.Duration(math.Round(v * float64(c.size)))
}

func (c spanCell) column(d time.Duration) float64 { return round12(float64(d) / float64(c.size)) }

func (c spanCell) print(e *env, out []string, p any) {
	if d, ok := p.(*unit.Stated[time.Duration]).Get(); ok {
		out[0] = unit.FormatNumber(c.column(d))
	}
}

func (c spanCell) bind(out []any, p any) {
	if d, ok := p.(*unit.Stated[time.Duration]).Get(); ok {
		out[0] = c.column(d)
	}
}

func (c spanCell) scan(e *env, in []any, p any) error {
	v, ok, err := loadNumber(in[0])
	if ok {
		*p.(*unit.Stated[time.Duration]) = unit.State(c.span(v))
	}
	return err
}

type wholeCell[T ~int | ~int64] struct {
	low, high float64
	expected  string
}

func newWhole[T ~int | ~int64](r rules) cell {
	c := wholeCell[T]{high: unit.Most}
	if r.bounded {
		c.low, c.high = r.low, r.high
	}
	c.expected = rangeWords("a whole number", c.low, c.high)
	return c
}

func (c wholeCell[T]) parse(e *env, in []string, p any) (int, string) {
	if in[0] == "" {
		return 0, ""
	}
	v, err := unit.ParseNumber(in[0]) // a spreadsheet may write 2.0
	if err != nil || v != math.Trunc(v) || v < c.low || v > c.high {
		return 0, c.expected
	}
	*p.(*unit.Stated[T]) = unit.State(T(v))
	return 0, ""
}

func (c wholeCell[T]) print(e *env, out []string, p any) {
	if v, ok := p.(*unit.Stated[T]).Get(); ok {
		out[0] = strconv.FormatInt(int64(v), 10)
	}
}

func (c wholeCell[T]) bind(out []any, p any) {
	if v, ok := p.(*unit.Stated[T]).Get(); ok {
		out[0] = int64(v)
	}
}

func (c wholeCell[T]) scan(e *env, in []any, p any) error {
	switch v := in[0].(type) {
	case nil:
	case int64:
		*p.(*unit.Stated[T]) = unit.State(T(v))
	default:
		return fmt.Errorf("stored as %T, expected a whole number", v)
	}
	return nil
}

// plainCell is the cell of a field that is always known; its zero value is
// printed like any other.
type plainCell[T any] struct{ stated cell }

func (c plainCell[T]) parse(e *env, in []string, p any) (int, string) {
	var s unit.Stated[T]
	bad, expected := c.stated.parse(e, in, &s)
	*p.(*T), _ = s.Get()
	return bad, expected
}

func (c plainCell[T]) print(e *env, out []string, p any) {
	s := unit.State(*p.(*T))
	c.stated.print(e, out, &s)
}

func (c plainCell[T]) bind(out []any, p any) {
	s := unit.State(*p.(*T))
	c.stated.bind(out, &s)
}

func (c plainCell[T]) scan(e *env, in []any, p any) error {
	var s unit.Stated[T]
	err := c.stated.scan(e, in, &s)
	*p.(*T), _ = s.Get()
	return err
}

type yesNoCell struct{}

func (yesNoCell) parse(e *env, in []string, p any) (int, string) {
	switch strings.ToLower(in[0]) {
	case "":
	case "yes", "y", "true":
		*p.(*unit.Stated[bool]) = unit.State(true)
	case "no", "n", "false":
		*p.(*unit.Stated[bool]) = unit.State(false)
	default:
		return 0, "yes or no"
	}
	return 0, ""
}

func (yesNoCell) print(e *env, out []string, p any) {
	if v, ok := p.(*unit.Stated[bool]).Get(); ok {
		out[0] = "no"
		if v {
			out[0] = "yes"
		}
	}
}

func (yesNoCell) bind(out []any, p any) {
	if v, ok := p.(*unit.Stated[bool]).Get(); ok {
		out[0] = int64(0)
		if v {
			out[0] = int64(1)
		}
	}
}

func (yesNoCell) scan(e *env, in []any, p any) error {
	switch v := in[0].(type) {
	case nil:
	case int64:
		*p.(*unit.Stated[bool]) = unit.State(v != 0)
	default:
		return fmt.Errorf("stored as %T, expected 0 or 1", v)
	}
	return nil
}

// moneyCell refuses negative amounts: tables hold prices and budgets.
type moneyCell struct{}

func (moneyCell) parse(e *env, in []string, p any) (int, string) {
	if in[0] == "" {
		return 0, ""
	}
	m, err := unit.ParseMoney(in[0])
	if err != nil || m < 0 {
		return 0, "an amount of money such as 7.50"
	}
	*p.(*unit.Stated[unit.Money]) = unit.State(m)
	return 0, ""
}

func (moneyCell) print(e *env, out []string, p any) { out[0] = p.(*unit.Stated[unit.Money]).String() }

func (moneyCell) bind(out []any, p any) {
	if m, ok := p.(*unit.Stated[unit.Money]).Get(); ok {
		out[0] = int64(m)
	}
}

func (moneyCell) scan(e *env, in []any, p any) error {
	switch v := in[0].(type) {
	case nil:
	case int64:
		*p.(*unit.Stated[unit.Money]) = unit.State(unit.Money(v))
	default:
		return fmt.Errorf("stored as %T, expected minor units of money", v)
	}
	return nil
}

// --- times

// momentCell is a wall clock in a table and UTC RFC 3339 in the file.
type momentCell struct{}

// dateCell is a day without a zone.
type dateCell struct{}

func newTime(r rules) cell {
	switch r.as {
	case "moment":
		return momentCell{}
	case "date":
		return dateCell{}
	}
	panic("inventory: a time needs moment or date")
}

func (momentCell) parse(e *env, in []string, p any) (int, string) {
	if in[0] == "" {
		return 0, ""
	}
	m, err := unit.ParseMoment(in[0], e.zone)
	if err != nil {
		return 0, "a time such as 2026-11-11 21:00 that the clock of the job's time zone shows, or 2026-11-11T21:00:00Z"
	}
	*p.(*unit.Stated[time.Time]) = unit.State(m.UTC().Truncate(time.Second))
	return 0, ""
}

func (momentCell) print(e *env, out []string, p any) {
	if m, ok := p.(*unit.Stated[time.Time]).Get(); ok {
		out[0] = unit.FormatMoment(m, e.zone)
	}
}

func (momentCell) bind(out []any, p any) {
	if m, ok := p.(*unit.Stated[time.Time]).Get(); ok {
		out[0] = m.UTC().Format(time.RFC3339)
	}
}

func (momentCell) scan(e *env, in []any, p any) error {
	s, err := loadText(in[0])
	if s == "" || err != nil {
		return err
	}
	m, err := time.Parse(time.RFC3339, s)
	if err != nil {
		return fmt.Errorf("found %q, expected a time in RFC 3339", s)
	}
	*p.(*unit.Stated[time.Time]) = unit.State(m.UTC())
	return nil
}

func (dateCell) parse(e *env, in []string, p any) (int, string) {
	if in[0] == "" {
		return 0, ""
	}
	d, err := unit.ParseDate(in[0])
	if err != nil {
		return 0, "a date such as 2026-11-11"
	}
	*p.(*unit.Stated[time.Time]) = unit.State(d)
	return 0, ""
}

func (dateCell) print(e *env, out []string, p any) {
	if d, ok := p.(*unit.Stated[time.Time]).Get(); ok {
		out[0] = unit.FormatDate(d)
	}
}

func (dateCell) bind(out []any, p any) {
	if d, ok := p.(*unit.Stated[time.Time]).Get(); ok {
		out[0] = unit.FormatDate(d)
	}
}

func (dateCell) scan(e *env, in []any, p any) error {
	s, err := loadText(in[0])
	if s == "" || err != nil {
		return err
	}
	d, err := unit.ParseDate(s)
	if err == nil {
		*p.(*unit.Stated[time.Time]) = unit.State(d)
	}
	return err
}

type clockCell struct{}

func (clockCell) parse(e *env, in []string, p any) (int, string) {
	if in[0] == "" {
		return 0, ""
	}
	c, err := ParseClock(in[0])
	if err != nil {
		return 0, "a time of day such as 19:00"
	}
	*p.(*unit.Stated[Clock]) = unit.State(c)
	return 0, ""
}

func (clockCell) print(e *env, out []string, p any) { out[0] = p.(*unit.Stated[Clock]).String() }

func (clockCell) bind(out []any, p any) { out[0] = nullText(p.(*unit.Stated[Clock]).String()) }

func (clockCell) scan(e *env, in []any, p any) error { return scanText(e, clockCell{}, in, p) }

// --- things with a spelling of their own

// scanText loads what is stored as the text of a table.
func scanText(e *env, c cell, in []any, p any) error {
	s, err := loadText(in[0])
	if err != nil || s == "" {
		return err
	}
	if _, expected := c.parse(e, []string{s}, p); expected != "" {
		return fmt.Errorf("found %q, expected %s", s, expected)
	}
	return nil
}

type colourCell struct{}

func (colourCell) parse(e *env, in []string, p any) (int, string) {
	if in[0] == "" {
		return 0, ""
	}
	w, err := e.write(in[0])
	if err != nil {
		return 0, "a colour such as #6c7176 or lab(47.4 -0.8 -3.4)"
	}
	*p.(*unit.Stated[Written]) = unit.State(w)
	return 0, ""
}

func (colourCell) print(e *env, out []string, p any) { out[0] = p.(*unit.Stated[Written]).String() }

func (colourCell) bind(out []any, p any) { out[0] = nullText(p.(*unit.Stated[Written]).String()) }

func (colourCell) scan(e *env, in []any, p any) error { return scanText(e, colourCell{}, in, p) }

type rectCell struct{}

func (rectCell) parse(e *env, in []string, p any) (int, string) {
	if in[0] == "" {
		return 0, ""
	}
	r, err := ParseRect(in[0])
	if err != nil {
		return 0, "a rectangle x,y,w,h in pixels such as 120,80,40,40"
	}
	*p.(*unit.Stated[Rect]) = unit.State(r)
	return 0, ""
}

func (rectCell) print(e *env, out []string, p any) { out[0] = p.(*unit.Stated[Rect]).String() }

func (rectCell) bind(out []any, p any) { out[0] = nullText(p.(*unit.Stated[Rect]).String()) }

func (rectCell) scan(e *env, in []any, p any) error { return scanText(e, rectCell{}, in, p) }

// quantityCell takes a number alone as millilitres: most steps use a liquid.
type quantityCell struct{}

func (quantityCell) parse(e *env, in []string, p any) (int, string) {
	s := in[0]
	if s == "" {
		return 0, ""
	}
	if _, err := unit.ParseNumber(s); err == nil {
		s += " ml"
	}
	q, err := unit.ParseQuantity(s)
	if err != nil {
		return 0, "a quantity such as 30 ml, 12 g or 4 pc (a number alone is ml)"
	}
	*p.(*unit.Stated[unit.Quantity]) = unit.State(q)
	return 0, ""
}

func (quantityCell) print(e *env, out []string, p any) {
	out[0] = p.(*unit.Stated[unit.Quantity]).String()
}

func (quantityCell) bind(out []any, p any) {
	out[0] = nullText(p.(*unit.Stated[unit.Quantity]).String())
}

func (quantityCell) scan(e *env, in []any, p any) error { return scanText(e, quantityCell{}, in, p) }

// labCell is three columns, all filled or all empty.
type labCell struct{}

// labBounds hold any colour an instrument can report; L* a little above 100
// for fluorescent whites. House limits, no source.
var labBounds = [3][2]float64{{0, 150}, {-200, 200}, {-200, 200}}

func (labCell) parse(e *env, in []string, p any) (int, string) {
	if in[0] == "" && in[1] == "" && in[2] == "" {
		return 0, ""
	}
	var v [3]float64
	for i := range v {
		n, err := unit.ParseNumber(in[i])
		if err != nil || n < labBounds[i][0] || n > labBounds[i][1] {
			return i, rangeWords("a number", labBounds[i][0], labBounds[i][1]) + "; L*, a* and b* come together"
		}
		v[i] = n
	}
	*p.(*unit.Stated[colour.Lab]) = unit.State(colour.Lab{L: v[0], A: v[1], B: v[2]})
	return 0, ""
}

func (labCell) print(e *env, out []string, p any) {
	if l, ok := p.(*unit.Stated[colour.Lab]).Get(); ok {
		for i, v := range [3]float64{l.L, l.A, l.B} {
			out[i] = unit.FormatNumber(v)
		}
	}
}

func (labCell) bind(out []any, p any) {
	if l, ok := p.(*unit.Stated[colour.Lab]).Get(); ok {
		out[0], out[1], out[2] = l.L, l.A, l.B
	}
}

func (labCell) scan(e *env, in []any, p any) error {
	var v [3]float64
	known := 0
	for i := range v {
		n, ok, err := loadNumber(in[i])
		if err != nil {
			return err
		}
		if ok {
			known++
		}
		v[i] = n
	}
	switch known {
	case 0:
		return nil
	case 3:
		*p.(*unit.Stated[colour.Lab]) = unit.State(colour.Lab{L: v[0], A: v[1], B: v[2]})
		return nil
	}
	return fmt.Errorf("found %d of L*, a*, b*, expected all or none", known)
}

// spectrumCell is 36 columns r380 … r730 in a table and 36 little-endian
// float64 in the file.
type spectrumCell struct{}

func (spectrumCell) parse(e *env, in []string, p any) (int, string) {
	var s colour.Spectrum
	filled := 0
	for _, cell := range in {
		if cell != "" {
			filled++
		}
	}
	if filled == 0 {
		return 0, ""
	}
	for i := range s {
		v, err := unit.ParseNumber(in[i])
		if err != nil || v < 0 || v > 1 {
			return i, "a reflectance from 0 to 1; a spectrum has every band"
		}
		s[i] = v
	}
	r, err := colour.NewReflectance(s)
	if err != nil {
		return 0, "reflectances from 0 to 1"
	}
	*p.(*unit.Stated[colour.Reflectance]) = unit.State(r)
	return 0, ""
}

func (spectrumCell) print(e *env, out []string, p any) {
	if r, ok := p.(*unit.Stated[colour.Reflectance]).Get(); ok {
		for i, v := range r {
			out[i] = unit.FormatNumber(v)
		}
	}
}

func (spectrumCell) bind(out []any, p any) {
	if r, ok := p.(*unit.Stated[colour.Reflectance]).Get(); ok {
		b := make([]byte, 0, 8*colour.Bands)
		for _, v := range r {
			b = binary.LittleEndian.AppendUint64(b, math.Float64bits(v))
		}
		out[0] = b
	}
}

func (spectrumCell) scan(e *env, in []any, p any) error {
	if in[0] == nil {
		return nil
	}
	b, ok := in[0].([]byte)
	if !ok || len(b) != 8*colour.Bands {
		return fmt.Errorf("spectrum of %T, expected %d bytes", in[0], 8*colour.Bands)
	}
	var s colour.Spectrum
	for i := range s {
		s[i] = math.Float64frombits(binary.LittleEndian.Uint64(b[8*i:]))
	}
	r, err := colour.NewReflectance(s)
	if err != nil {
		return err
	}
	*p.(*unit.Stated[colour.Reflectance]) = unit.State(r)
	return nil
}
