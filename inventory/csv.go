package inventory

import (
	"io"
	"slices"
	"strconv"
	"strings"
)

// rowsOf is a table that was read: rows and the spreadsheet row of each.
type rowsOf[T any] struct {
	rows    []T
	at      []int
	found   bool     // the file was there
	unknown []string // columns this program does not know, sorted
}

// readTable reads one CSV table. What is wrong goes to c, all of it.
func readTable[T any](t *table[T], e *env, r io.Reader, c *complaints) rowsOf[T] {
	got := rowsOf[T]{found: true}
	s, ok := newSheet(t.file, r, c)
	if !ok {
		return got
	}
	if t.pairs {
		got.rows, got.at, got.unknown = readPairs(t, e, s, c)
		return got
	}
	h, ok := readHeader(t, s, c)
	if !ok {
		return got
	}
	got.unknown = h.names()
	keys := newKeys(t)
	cells := make([]string, len(t.csv))
	for s.next(len(h.place)) {
		var row T
		h.fill(s, cells, t.extraOf(&row), c)
		t.parse(e, cells, &row, func(csv int, expected string) { c.add(t.file, s.row, t.csv[csv], cells[csv], expected) })
		keys.check(s.row, cells, c)
		got.rows, got.at = append(got.rows, row), append(got.at, s.row)
	}
	return got
}

// header says where each cell of a record belongs.
type header struct {
	place []int    // index of a CSV column; -1 unknown; -2 unnamed
	other []string // name of an unknown column, by place in the record
}

// readHeader reads the first row; false when rows cannot be read under it.
func readHeader[T any](t *table[T], s *sheet, c *complaints) (header, bool) {
	before := c.count()
	if !s.next(-1) {
		if c.count() == before {
			c.add(t.file, 1, "", "", "a header row: "+strings.Join(t.csv[:min(4, len(t.csv))], ",")+" …")
		}
		return header{}, false
	}
	h := header{make([]int, len(s.record)), make([]string, len(s.record))}
	seen := map[string]bool{}
	for i, raw := range s.record {
		h.place[i], h.other[i] = placeOf(t, raw)
		name := h.other[i]
		if h.place[i] >= 0 {
			name = t.csv[h.place[i]]
		}
		if seen[name] && name != "" {
			c.add(t.file, s.row, name, raw, "each column once")
		}
		seen[name] = true
	}
	for _, col := range t.columns {
		if col.need && !seen[col.csv[0]] {
			found := strings.Join(s.record, ",")
			c.add(t.file, s.row, col.csv[0], found, "a column "+col.csv[0]+" in the header, columns parted by commas")
		}
	}
	return h, c.count() == before
}

// placeOf finds the column of a header cell: its index, or -1 and its name, or
// -2 for a cell without a name.
func placeOf[T any](t *table[T], raw string) (int, string) {
	name := strings.ToLower(tidyCell(unguard(raw)))
	if i, ok := t.known[name]; ok {
		return i, ""
	}
	if name == "" {
		return -2, ""
	}
	return -1, tidyCell(unguard(raw))
}

// names are the unknown columns, sorted.
func (h header) names() []string {
	var names []string
	for i, p := range h.place {
		if p == -1 {
			names = append(names, h.other[i])
		}
	}
	slices.Sort(names)
	return names
}

// fill puts the record's cells in their places and keeps the unknown ones.
func (h header) fill(s *sheet, cells []string, extra *map[string]string, c *complaints) {
	clear(cells)
	for i, raw := range s.record {
		switch p := h.place[i]; {
		case p >= 0:
			cells[p] = tidyCell(unguardList(raw))
		case raw == "":
		case p == -2:
			c.add(s.file, s.row, "", raw, "an empty cell: its column has no name")
		case !isText(mostText)(unguard(raw)):
			c.add(s.file, s.row, h.other[i], raw, "text without control characters, at most 10000 characters")
		default:
			if *extra == nil {
				*extra = map[string]string{}
			}
			(*extra)[h.other[i]] = unguard(raw)
		}
	}
}

// keys refuses a key that was used above.
type keys struct {
	file, column string
	at           int
	seen         map[string]int
}

func newKeys[T any](t *table[T]) keys {
	for _, c := range t.columns {
		if c.key {
			return keys{t.file, c.csv[0], c.at, map[string]int{}}
		}
	}
	return keys{}
}

func (k keys) check(row int, cells []string, c *complaints) {
	if k.seen == nil || cells[k.at] == "" {
		return
	}
	key := cells[k.at]
	if first, ok := k.seen[key]; ok {
		c.add(k.file, row, k.column, key, "a value not used above (row "+strconv.Itoa(first)+")")
		return
	}
	k.seen[key] = row
}

// readPairs reads a key,value table as one row.
func readPairs[T any](t *table[T], e *env, s *sheet, c *complaints) (rows []T, at []int, unknown []string) {
	var row T
	cells, where := make([]string, len(t.csv)), make([]int, len(t.csv))
	seen := map[string]int{}
	for s.next(-1) {
		if len(s.record) == 1 {
			c.add(t.file, s.row, "value", s.record[0], "two columns: key,value")
			continue
		}
		key := tidyCell(unguard(s.record[0]))
		if s.first && strings.EqualFold(key, "key") {
			continue
		}
		if slices.ContainsFunc(s.record[2:], func(x string) bool { return x != "" }) {
			c.add(t.file, s.row, "value", strings.Join(s.record[1:], ","), `one value; put quotes round a value with a comma in it`)
			continue
		}
		p, name := placeOf(t, key)
		if p >= 0 {
			name = t.csv[p]
		}
		if first, ok := seen[name]; ok {
			c.add(t.file, s.row, "key", key, "each key once (row "+strconv.Itoa(first)+")")
			continue
		}
		seen[name] = s.row
		switch {
		case p >= 0:
			cells[p], where[p] = tidyCell(unguardList(s.record[1])), s.row
		case p == -2:
			c.add(t.file, s.row, "key", "", "a key")
		case !isText(mostText)(unguard(s.record[1])):
			c.add(t.file, s.row, "value", s.record[1], "text without control characters")
		default:
			extra := t.extraOf(&row)
			if *extra == nil {
				*extra = map[string]string{}
			}
			(*extra)[name] = unguard(s.record[1])
			unknown = append(unknown, name)
		}
	}
	t.parse(e, cells, &row, func(csv int, expected string) { c.add(t.file, where[csv], t.csv[csv], cells[csv], expected) })
	slices.Sort(unknown)
	return []T{row}, []int{1}, unknown
}
