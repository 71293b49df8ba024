package inventory

import (
	"slices"
	"strings"
)

// StockColumns returns what stock.csv would show of a line, by column; empty
// cells are left out.
func StockColumns(r StockFact) map[string]string { return columnsOf(stockTable(), &r) }

// ParseStockColumns reads a stock line from cells by column, as stock.csv
// would: columns that are not known are kept as they are. A [*BadCells] names
// every cell that is not understood.
func ParseStockColumns(columns map[string]string) (StockFact, error) {
	var c complaints
	r := parseColumns(stockTable(), columns, &c)
	checkStockRow(&r, 0, &c)
	return r, c.err()
}

// MeasureColumns is [StockColumns] for a row of measures.csv.
func MeasureColumns(m Measure) map[string]string { return columnsOf(measureTable(), &m) }

// ParseMeasureColumns is [ParseStockColumns] for a row of measures.csv; whether
// its codes are known shows when it is added.
func ParseMeasureColumns(columns map[string]string) (Measure, error) {
	var c complaints
	m := parseColumns(measureTable(), columns, &c)
	return m, c.err()
}

// TestColumns is [StockColumns] for a row of tests.csv.
func TestColumns(r TestFact) map[string]string { return columnsOf(testTable(), &r) }

// ParseTestColumns is [ParseStockColumns] for a row of tests.csv; a time
// without an offset is read as UTC.
func ParseTestColumns(columns map[string]string) (TestFact, error) {
	var c complaints
	r := parseColumns(testTable(), columns, &c)
	return r, c.err()
}

func columnsOf[T any](t *table[T], r *T) map[string]string {
	cells := make([]string, len(t.csv))
	t.print(&env{}, r, cells)
	shown := map[string]string{}
	for i, name := range t.csv {
		if cells[i] != "" {
			shown[name] = cells[i]
		}
	}
	for name, value := range *t.extraOf(r) {
		shown[name] = value
	}
	return shown
}

func parseColumns[T any](t *table[T], columns map[string]string, c *complaints) T {
	var r T
	cells := make([]string, len(t.csv))
	names := make([]string, 0, len(columns))
	for name := range columns {
		names = append(names, name)
	}
	slices.Sort(names)
	for _, name := range names {
		p, other := placeOf(t, name)
		switch {
		case p >= 0:
			cells[p] = tidyCell(columns[name])
		case p == -2 || !isText(mostText)(columns[name]):
			c.add(t.file, 0, name, columns[name], "a named column, and text without control characters")
		case strings.TrimSpace(columns[name]) != "":
			extra := t.extraOf(&r)
			if *extra == nil {
				*extra = map[string]string{}
			}
			(*extra)[other] = columns[name]
		}
	}
	t.parse(&env{}, cells, &r, func(csv int, expected string) { c.add(t.file, 0, t.csv[csv], cells[csv], expected) })
	return r
}
