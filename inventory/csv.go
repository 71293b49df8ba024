package inventory

import (
	"bufio"
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"
)

// Limits of one table: house limits against a wrong file.
const (
	mostTableBytes = 256 << 20
	mostRows       = 300_000
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

// sheet reads records and counts rows as a spreadsheet does: a blank line is a
// row, a cell of several lines is one.
type sheet struct {
	file   string
	in     *csv.Reader
	c      *complaints
	record []string
	row    int  // of record
	first  bool // record is the first one
	count  int
	line   int // last line of record
}

// newSheet looks at the start of a file for what is not a table in UTF-8.
func newSheet(file string, r io.Reader, c *complaints) (*sheet, bool) {
	b := bufio.NewReaderSize(r, 1<<16)
	head, _ := b.Peek(512)
	switch {
	case bytes.HasPrefix(head, []byte{0xEF, 0xBB, 0xBF}):
		b.Discard(3)
	case bytes.HasPrefix(head, []byte{0xFF, 0xFE}), bytes.HasPrefix(head, []byte{0xFE, 0xFF}):
		c.add(file, 0, "", "UTF-16 text", "UTF-8: save the table as CSV UTF-8")
		return nil, false
	case bytes.HasPrefix(head, []byte("PK\x03\x04")):
		c.add(file, 0, "", "a spreadsheet's own file", "CSV text: save the sheet as CSV UTF-8")
		return nil, false
	}
	line, _, _ := bytes.Cut(head, []byte{'\n'})
	if bytes.Count(line, []byte{';'}) > 0 && !bytes.Contains(line, []byte{','}) || bytes.Contains(line, []byte{'\t'}) {
		c.add(file, 1, "", string(bytes.TrimRight(line, "\r")), "columns parted by commas (choose the comma when saving as CSV)")
		return nil, false
	}
	in := csv.NewReader(&capped{b, mostTableBytes})
	in.FieldsPerRecord, in.ReuseRecord = -1, true
	return &sheet{file: file, in: in, c: c}, true
}

// capped gives an error, not an end, after left bytes.
type capped struct {
	in   io.Reader
	left int64
}

var errTooLong = errors.New("too long")

func (r *capped) Read(p []byte) (int, error) {
	if r.left <= 0 {
		return 0, errTooLong
	}
	n, err := r.in.Read(p[:min(int64(len(p)), r.left)])
	r.left -= int64(n)
	return n, err
}

// next reads the next record that is not blank; width is the number of cells
// the header has, -1 for any. False at the end or where reading must stop.
func (s *sheet) next(width int) bool {
	for {
		record, err := s.in.Read()
		if errors.Is(err, io.EOF) {
			return false
		}
		if err != nil {
			s.stop(err)
			return false
		}
		line, _ := s.in.FieldPos(0)
		s.row += line - s.line // blank lines between count
		last, _ := s.in.FieldPos(len(record) - 1)
		s.line = last + strings.Count(record[len(record)-1], "\n")
		s.count++
		if s.count > mostRows {
			s.c.add(s.file, s.row, "", "more rows", fmt.Sprintf("at most %d rows", mostRows))
			return false
		}
		if !slices.ContainsFunc(record, func(x string) bool { return strings.TrimSpace(x) != "" }) {
			continue
		}
		s.first = s.record == nil
		if s.record = record; s.whole(width) {
			return true
		}
	}
}

// whole refuses a record that is not text or does not fit under the header.
func (s *sheet) whole(width int) bool {
	for i, cell := range s.record {
		if !utf8.ValidString(cell) {
			s.c.add(s.file, s.row, "", strings.ToValidUTF8(cell, "�"), "text in UTF-8 (cell "+strconv.Itoa(i+1)+"): save the table as CSV UTF-8")
			return false
		}
	}
	if width < 0 || len(s.record) == width {
		return true
	}
	if len(s.record) > width && !slices.ContainsFunc(s.record[width:], func(x string) bool { return x != "" }) {
		s.record = s.record[:width]
		return true
	}
	s.c.add(s.file, s.row, "", strings.Join(s.record, ","), fmt.Sprintf("%d cells as in the header, not %d; put quotes round a cell with a comma in it", width, len(s.record)))
	return false
}

// stop reports a record that cannot be parted into cells.
func (s *sheet) stop(err error) {
	var p *csv.ParseError
	if errors.Is(err, errTooLong) {
		s.c.add(s.file, 0, "", "a very large file", fmt.Sprintf("at most %d MB", mostTableBytes>>20))
		return
	}
	if !errors.As(err, &p) {
		s.c.add(s.file, s.row+1, "", "a file that breaks off: "+err.Error(), "a whole file")
		return
	}
	row := s.row + p.StartLine - s.line
	s.c.add(s.file, row, "", "quotes that do not pair", `a cell with quotes in it written as "say ""so""", quotes at both ends`)
}

// tidyCell trims a cell and gives its lines one kind of ending.
func tidyCell(s string) string {
	if strings.IndexByte(s, '\r') >= 0 {
		s = strings.ReplaceAll(strings.ReplaceAll(s, "\r\n", "\n"), "\r", "\n")
	}
	return strings.TrimSpace(s)
}

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
