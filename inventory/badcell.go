package inventory

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"
)

// BadCell names one cell of a table that could not be taken: the row as a
// spreadsheet counts it (the header is row 1; 0 means the file as a whole),
// what was found and what was expected.
type BadCell struct {
	File     string
	Row      int
	Column   string
	Found    string
	Expected string
}

// String prints the cell in one line.
func (b BadCell) String() string {
	var s strings.Builder
	s.WriteString(b.File)
	if b.Row > 0 {
		s.WriteString(" row " + strconv.Itoa(b.Row))
	}
	if b.Column != "" {
		s.WriteString(" column " + b.Column)
	}
	s.WriteString(": ")
	if b.Found == "" {
		s.WriteString("nothing found")
	} else {
		s.WriteString("found " + strconv.Quote(b.Found))
	}
	return s.String() + ", expected " + b.Expected
}

// BadCells is the error of an import that found bad cells; nothing of it was
// taken. Cells are in the order of the tables, then of rows and columns.
type BadCells struct {
	Cells []BadCell
	More  int // cells beyond the first mostBad, counted but not listed
}

// mostBad bounds the list, so that a wrong file of a million rows does not
// become a million lines of complaint.
const mostBad = 10_000

// Error prints the first cells in one line and counts the rest.
func (b *BadCells) Error() string {
	const shown = 5
	total := len(b.Cells) + b.More
	parts := make([]string, 0, shown)
	for _, c := range b.Cells[:min(shown, len(b.Cells))] {
		parts = append(parts, c.String())
	}
	s := strings.Join(parts, "; ")
	if total > shown {
		s += fmt.Sprintf("; and %d more", total-shown)
	}
	if total == 1 {
		return "1 bad cell: " + s
	}
	return fmt.Sprintf("%d bad cells: %s", total, s)
}

// complaints collects bad cells while tables are read.
type complaints struct {
	cells []BadCell
	more  int
	rows  map[rowOf]bool // rows with a bad cell
}

type rowOf struct {
	file string
	row  int
}

func (c *complaints) add(file string, row int, column, found, expected string) {
	if len(c.cells) >= mostBad {
		c.more++
		return
	}
	if c.rows == nil {
		c.rows = map[rowOf]bool{}
	}
	c.rows[rowOf{file, row}] = true
	if utf8.RuneCountInString(found) > 60 {
		found = string([]rune(found)[:60]) + "…"
	}
	c.cells = append(c.cells, BadCell{file, row, column, found, expected})
}

// bad says whether a row has a bad cell: what it leaves empty may be one that
// was not understood.
func (c *complaints) bad(file string, row int) bool { return c.rows[rowOf{file, row}] }

func (c *complaints) count() int { return len(c.cells) + c.more }

// err returns nil when there was nothing to complain about; the cells come in
// the order of the tables, rows in order, columns as they were met.
func (c *complaints) err() error {
	if c.count() == 0 {
		return nil
	}
	slices.SortStableFunc(c.cells, func(a, b BadCell) int {
		return cmp.Or(cmp.Compare(fileRank(a.File), fileRank(b.File)), strings.Compare(a.File, b.File), cmp.Compare(a.Row, b.Row))
	})
	return &BadCells{Cells: c.cells, More: c.more}
}

// tableOrder is the order in which a job's tables are read, written and
// complained about.
var tableOrder = [...]string{"job.csv", "wearers.csv", "areas.csv", "contacts.csv", "references.csv", "patches.csv", "lights.csv",
	"stock.csv", "measures.csv", "tests.csv", "hours.csv", "room.csv", "sewing.csv", "done.csv", "targets.csv", "choices.csv"}

// fileRank returns a table's place in tableOrder; other files come last.
func fileRank(file string) int {
	if i := slices.Index(tableOrder[:], file); i >= 0 {
		return i
	}
	return len(tableOrder)
}
