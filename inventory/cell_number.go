package inventory

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"undercoat/inventory/unit"
)

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

// rangeWords says which numbers are allowed.
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
