package inventory

import (
	"encoding/json"
	"fmt"
	"reflect"
	"strconv"
	"strings"
	"sync"

	"undercoat/palette/colour"
)

// A table ties a fact to its CSV file and to its SQL table, by the tags of the
// fact's fields:
//
//	col    the column's name, in CSV and in SQL; "*" is the map of unknown columns
//	as     how the cell is written: code, name, percent, hours, moment …
//	oneof  the words allowed, separated by |
//	range  the numbers allowed, low..high, in the column's unit
//	need   the cell must be filled
//	key    the cell must be filled and its values differ (implies need)
//	alias  other headers it is read from, separated by |
//	optional  the column is left out of a written table that does not fill it
//	sql    the SQL column where it has another name; "-" keeps it out of SQL
type table[T any] struct {
	file    string // "areas.csv"
	name    string // SQL table
	pairs   bool   // key,value rows instead of a header
	columns []column
	extra   int // index of the field that holds unknown columns
	known   map[string]int
	csv     []string // every CSV column in order
	sql     []string // every SQL column in order
}

// column is one field of a fact with the columns it fills.
type column struct {
	field     int
	csv, sql  []string
	aliases   []string
	need, key bool
	optional  bool // left out of an export when no row fills it
	cell      cell
	at        int // index of its first CSV column
}

// newTable reads the tags of T. It panics on a mistake in them.
func newTable[T any](file, name string) *table[T] {
	t := &table[T]{file: file, name: name, extra: -1, known: map[string]int{}}
	typ := reflect.TypeFor[T]()
	for i := range typ.NumField() {
		f := typ.Field(i)
		col := f.Tag.Get("col")
		switch col {
		case "":
			continue
		case "*":
			t.extra = i
			continue
		}
		t.add(newColumn(i, col, f))
	}
	return t
}

func newColumn(field int, col string, f reflect.StructField) column {
	c := column{field: field, csv: strings.Split(col, ",")}
	if f.Type == reflect.TypeFor[spectrumField]() {
		c.csv, c.sql, c.optional = bandColumns(), []string{"spectrum"}, true
	} else {
		c.sql = c.csv
	}
	switch s := f.Tag.Get("sql"); s {
	case "":
	case "-":
		c.sql = nil
	default:
		c.sql = []string{s}
	}
	if a := f.Tag.Get("alias"); a != "" {
		c.aliases = strings.Split(a, "|")
	}
	if f.Tag.Get("optional") != "" {
		c.optional = true
	}
	c.key = f.Tag.Get("key") != ""
	c.need = c.key || f.Tag.Get("need") != ""
	c.cell = newCell(f.Type, newRules(f.Tag))
	return c
}

func newRules(tag reflect.StructTag) rules {
	r := rules{as: tag.Get("as")}
	if s := tag.Get("oneof"); s != "" {
		r.oneof = strings.Split(s, "|")
	}
	if s := tag.Get("range"); s != "" {
		low, high, _ := strings.Cut(s, "..")
		var err1, err2 error
		r.low, err1 = strconv.ParseFloat(low, 64)
		r.high, err2 = strconv.ParseFloat(high, 64)
		if err1 != nil || err2 != nil {
			panic("inventory: no range " + s)
		}
		r.bounded = true
	}
	return r
}

// bandColumns are r380 … r730.
func bandColumns() []string {
	names := make([]string, colour.Bands)
	for i := range names {
		names[i] = "r" + strconv.Itoa(colour.Wavelength(i))
	}
	return names
}

func (t *table[T]) add(c column) {
	c.at = len(t.csv)
	t.columns = append(t.columns, c)
	for i, n := range c.csv {
		t.known[n] = c.at + i
	}
	for _, a := range c.aliases {
		t.known[a] = c.at
	}
	t.csv = append(t.csv, c.csv...)
	t.sql = append(t.sql, c.sql...)
}

// p returns a pointer to the field of column c in the row v.
func (c *column) p(v reflect.Value) any { return v.Field(c.field).Addr().Interface() }

// parse fills row from cells, one per CSV column, and returns the bad ones as
// the index of the CSV column and what was expected.
func (t *table[T]) parse(e *env, cells []string, row *T, bad func(csv int, expected string)) {
	v := reflect.ValueOf(row).Elem()
	for i := range t.columns {
		c := &t.columns[i]
		in := cells[c.at : c.at+len(c.csv)]
		if c.need && in[0] == "" {
			bad(c.at, "a value in every row")
			continue
		}
		if j, expected := c.cell.parse(e, in, c.p(v)); expected != "" {
			bad(c.at+j, expected)
		}
	}
}

// print writes row into cells, one per CSV column.
func (t *table[T]) print(e *env, row *T, cells []string) {
	clear(cells)
	v := reflect.ValueOf(row).Elem()
	for i := range t.columns {
		c := &t.columns[i]
		c.cell.print(e, cells[c.at:c.at+len(c.csv)], c.p(v))
	}
}

// extraOf returns the unknown columns of a row; a table that keeps none gives
// an empty map.
func (t *table[T]) extraOf(row *T) *map[string]string {
	if t.extra < 0 {
		return new(map[string]string)
	}
	return reflect.ValueOf(row).Elem().Field(t.extra).Addr().Interface().(*map[string]string)
}

// check prints a row that came from a command and reads it again, so that it
// obeys the rules of its table; it returns the row as the table would give it.
func (t *table[T]) check(e *env, row T, no int, c *complaints) T {
	cells := make([]string, len(t.csv))
	t.print(e, &row, cells)
	for i := range cells {
		cells[i] = tidyCell(cells[i])
	}
	var again T
	t.parse(e, cells, &again, func(csv int, expected string) {
		c.add(t.file, no, t.csv[csv], cells[csv], expected)
	})
	extra := *t.extraOf(&row)
	for name, value := range extra {
		if _, ok := t.known[name]; ok || strings.TrimSpace(name) == "" || !isText(mostText)(value) {
			c.add(t.file, no, name, value, "a column name this table does not use, and text")
		}
	}
	*t.extraOf(&again) = extra
	return again
}

// values returns what SQL stores for a row: every SQL column, then the unknown
// columns as JSON.
func (t *table[T]) values(row *T, into []any) []any {
	v := reflect.ValueOf(row).Elem()
	for i := range t.columns {
		c := &t.columns[i]
		if c.sql == nil {
			continue
		}
		start := len(into)
		for range c.sql {
			into = append(into, nil)
		}
		c.cell.bind(into[start:], c.p(v))
	}
	if t.extra < 0 {
		return into
	}
	return append(into, encodeExtra(*t.extraOf(row)))
}

// load fills row from SQL values in the order of values.
func (t *table[T]) load(e *env, in []any, row *T) error {
	v := reflect.ValueOf(row).Elem()
	at := 0
	for i := range t.columns {
		c := &t.columns[i]
		if c.sql == nil {
			continue
		}
		if err := c.cell.scan(e, in[at:at+len(c.sql)], c.p(v)); err != nil {
			return fmt.Errorf("column %s: %w", c.sql[0], err)
		}
		at += len(c.sql)
	}
	if t.extra < 0 {
		return nil
	}
	extra, err := decodeExtra(in[at])
	if err != nil {
		return fmt.Errorf("column extra: %w", err)
	}
	*t.extraOf(row) = extra
	return nil
}

func encodeExtra(extra map[string]string) any {
	if len(extra) == 0 {
		return nil
	}
	b, err := json.Marshal(extra) // keys sorted
	if err != nil {
		panic("inventory: a map of text does not encode: " + err.Error())
	}
	return string(b)
}

func decodeExtra(v any) (map[string]string, error) {
	s, err := loadText(v)
	if s == "" || err != nil {
		return nil, err
	}
	var extra map[string]string
	if err := json.Unmarshal([]byte(s), &extra); err != nil {
		return nil, err
	}
	return extra, nil
}

// sqlNames are a table's SQL columns, quoted, "extra" last.
func (t *table[T]) sqlNames() []string {
	names := make([]string, 0, len(t.sql)+1)
	for _, n := range t.sql {
		names = append(names, `"`+n+`"`)
	}
	if t.extra >= 0 {
		names = append(names, "extra")
	}
	return names
}

// insertSQL is the statement that stores the head columns and a row.
func (t *table[T]) insertSQL(head ...string) string {
	names := append(head[:len(head):len(head)], t.sqlNames()...)
	return "INSERT INTO " + t.name + "(" + strings.Join(names, ", ") + ") VALUES (?" + strings.Repeat(", ?", len(names)-1) + ")"
}

// updateSQL is the statement that replaces a row; its arguments are those of
// values, then those of where.
func (t *table[T]) updateSQL(also, where string) string {
	return "UPDATE " + t.name + " SET " + strings.Join(t.sqlNames(), " = ?, ") + " = ?, " + also + " WHERE " + where
}

// width is the number of SQL columns with the unknown ones.
func (t *table[T]) width() int { return len(t.sqlNames()) }

// selectSQL is the statement that loads rows.
func (t *table[T]) selectSQL(rest string) string {
	return "SELECT " + strings.Join(t.sqlNames(), ", ") + " FROM " + t.name + " " + rest
}

// The tables of a job's folder and of the shelf, built when first used.
var (
	jobTable       = lazyPairs[JobFact]("job.csv", "job")
	wearerTable    = lazy[WearerFact]("wearers.csv", "wearer")
	areaTable      = lazy[AreaFact]("areas.csv", "area")
	contactTable   = lazy[ContactFact]("contacts.csv", "contact")
	referenceTable = lazy[ReferenceFact]("references.csv", "reference")
	patchTable     = lazy[PatchFact]("patches.csv", "patch")
	lightTable     = lazy[LightFact]("lights.csv", "light")
	stockTable     = lazy[StockFact]("stock.csv", "stock")
	measureTable   = lazy[Measure]("measures.csv", "measure")
	testTable      = lazy[TestFact]("tests.csv", "test")
	hoursTable     = lazy[HoursFact]("hours.csv", "hours")
	roomTable      = lazyPairs[RoomFact]("room.csv", "room")
	sewingTable    = lazy[SewingFact]("sewing.csv", "sewing")
	doneTable      = lazy[DoneFact]("done.csv", "done")
	targetTable    = lazy[TargetFact]("targets.csv", "target")
	choiceTable    = lazy[ChoiceFact]("choices.csv", "choice")
	movementTable  = lazy[Movement]("movements.csv", "movement")
	recipeTable    = lazy[RecipeFact]("recipes.csv", "recipe")
	batchTable     = lazy[BatchFact]("batches.csv", "batch")
	weighingTable  = lazy[WeighingFact]("weighings.csv", "weighing")
)

func lazy[T any](file, name string) func() *table[T] {
	return sync.OnceValue(func() *table[T] { return newTable[T](file, name) })
}

func lazyPairs[T any](file, name string) func() *table[T] {
	return sync.OnceValue(func() *table[T] {
		t := newTable[T](file, name)
		t.pairs = true
		return t
	})
}
