package inventory

import (
	"encoding/csv"
	"io"
	"slices"
)

// writeTable prints rows as CSV after RFC 4180: a header, commas, CRLF. The
// unknown columns follow the known ones by name; columns that may be absent
// are left out when no row fills them.
func writeTable[T any](t *table[T], e *env, rows []T, w io.Writer) error {
	out := csv.NewWriter(w)
	out.UseCRLF = true
	if t.pairs {
		return writePairs(t, e, rows, out)
	}
	use, others := columnsInUse(t, e, rows)
	record := make([]string, 0, len(use)+len(others))
	for _, i := range use {
		record = append(record, t.csv[i])
	}
	for _, name := range others {
		record = append(record, guard(name))
	}
	out.Write(record)
	cells := make([]string, len(t.csv))
	for i := range rows {
		t.print(e, &rows[i], cells)
		extra := *t.extraOf(&rows[i])
		record = record[:0]
		for _, j := range use {
			record = append(record, guardList(cells[j]))
		}
		for _, name := range others {
			record = append(record, guard(extra[name]))
		}
		out.Write(record)
	}
	out.Flush()
	return out.Error()
}

// columnsInUse returns the CSV columns to write and the unknown ones, sorted.
func columnsInUse[T any](t *table[T], e *env, rows []T) (use []int, others []string) {
	names := map[string]bool{}
	for i := range rows {
		for n := range *t.extraOf(&rows[i]) {
			names[n] = true
		}
	}
	for n := range names {
		others = append(others, n)
	}
	slices.Sort(others)
	filled := filledColumns(t, e, rows)
	for _, c := range t.columns {
		for i := range c.csv {
			if !c.optional || filled[c.at] {
				use = append(use, c.at+i)
			}
		}
	}
	return use, others
}

// filledColumns says which optional columns some row fills.
func filledColumns[T any](t *table[T], e *env, rows []T) map[int]bool {
	filled := map[int]bool{}
	if !slices.ContainsFunc(t.columns, func(c column) bool { return c.optional }) {
		return filled
	}
	cells := make([]string, len(t.csv))
	for i := range rows {
		t.print(e, &rows[i], cells)
		for _, c := range t.columns {
			if cells[c.at] != "" {
				filled[c.at] = true
			}
		}
	}
	return filled
}

// writePairs prints one row as key,value: the known keys, then the others.
func writePairs[T any](t *table[T], e *env, rows []T, out *csv.Writer) error {
	out.Write([]string{"key", "value"})
	var row T
	if len(rows) > 0 {
		row = rows[0]
	}
	cells := make([]string, len(t.csv))
	t.print(e, &row, cells)
	for _, c := range t.columns {
		if !c.optional || cells[c.at] != "" {
			out.Write([]string{c.csv[0], guardList(cells[c.at])})
		}
	}
	extra := *t.extraOf(&row)
	names := make([]string, 0, len(extra))
	for n := range extra {
		names = append(names, n)
	}
	slices.Sort(names)
	for _, n := range names {
		out.Write([]string{guard(n), guard(extra[n])})
	}
	out.Flush()
	return out.Error()
}
