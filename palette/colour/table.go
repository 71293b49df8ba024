package colour

import (
	"encoding/csv"
	"fmt"
	"strconv"
	"strings"
)

// standardTable is one of the published tables that travel inside the
// program: a row of column names, then numbers, '#' before remarks.
type standardTable struct {
	name   string
	header []string
	rows   [][]string
}

// readTable reads an embedded table. The tables are part of the program, so a
// fault in one is a broken promise of ours and panics.
func readTable(name, text string) standardTable {
	r := csv.NewReader(strings.NewReader(text))
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil || len(rows) < 2 {
		panic(fmt.Sprintf("colour: embedded table %s: %d rows: %v", name, len(rows), err))
	}
	return standardTable{name: name, header: rows[0], rows: rows[1:]}
}

// number returns the figure in a row and column.
func (t standardTable) number(row, column int) float64 {
	v, err := strconv.ParseFloat(t.rows[row][column], 64)
	if err != nil {
		panic(fmt.Sprintf("colour: embedded table %s: row %d: %v", t.name, row+1, err))
	}
	return v
}

// column returns a whole column of figures.
func (t standardTable) column(c int) []float64 {
	out := make([]float64, len(t.rows))
	for i := range out {
		out[i] = t.number(i, c)
	}
	return out
}
