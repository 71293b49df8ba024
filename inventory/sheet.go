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
