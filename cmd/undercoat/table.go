package main

import (
	"fmt"
	"io"
	"os"
	"strings"
	"unicode/utf8"

	"golang.org/x/term"
)

// table prints rows under headings, columns as wide as their widest cell,
// two spaces apart. Cells right-aligned where the column's heading ends in
// a unit or a number is wanted are asked for by a leading '>' in the heading.
// A colour swatch, where the terminal can show it, stands in the last cell.
type table struct {
	heads []string
	right []bool
	rows  [][]string
}

func newTable(heads ...string) *table {
	t := &table{right: make([]bool, len(heads))}
	for i, h := range heads {
		if strings.HasPrefix(h, ">") {
			t.right[i], h = true, h[1:]
		}
		t.heads = append(t.heads, h)
	}
	return t
}

func (t *table) row(cells ...string) { t.rows = append(t.rows, cells) }

func (t *table) print(w io.Writer) error {
	if len(t.rows) == 0 {
		return nil
	}
	widths := make([]int, len(t.heads))
	for i, h := range t.heads {
		widths[i] = utf8.RuneCountInString(h)
	}
	for _, r := range t.rows {
		for i, c := range r {
			widths[i] = max(widths[i], visibleLen(c))
		}
	}
	var b strings.Builder
	t.line(&b, t.heads, widths)
	for _, r := range t.rows {
		t.line(&b, r, widths)
	}
	_, err := io.WriteString(w, b.String())
	return err
}

func (t *table) line(b *strings.Builder, cells []string, widths []int) {
	var l strings.Builder
	for i, c := range cells {
		if i > 0 {
			l.WriteString("  ")
		}
		pad := strings.Repeat(" ", widths[i]-visibleLen(c))
		if t.right[i] {
			l.WriteString(pad + c)
		} else {
			l.WriteString(c + pad)
		}
	}
	b.WriteString(strings.TrimRight(l.String(), " "))
	b.WriteByte('\n')
}

// visibleLen counts the runes a terminal shows, escape codes left out.
func visibleLen(s string) int {
	n, inEscape := 0, false
	for _, r := range s {
		switch {
		case r == '\x1b':
			inEscape = true
		case inEscape:
			inEscape = r != 'm'
		default:
			n++
		}
	}
	return n
}

// swatch shows a colour as a small block on a terminal that can show it, and
// nothing anywhere else: words and numbers always stand beside it. Two spaces
// part it from what stands before.
func (env *environment) swatch(hex string) string {
	f, ok := env.out.(*os.File)
	if !ok || os.Getenv("NO_COLOR") != "" || os.Getenv("TERM") == "dumb" || !term.IsTerminal(int(f.Fd())) {
		return ""
	}
	var r, g, b uint8
	if _, err := fmt.Sscanf(hex, "#%02x%02x%02x", &r, &g, &b); err != nil {
		return ""
	}
	if ct := os.Getenv("COLORTERM"); ct == "truecolor" || ct == "24bit" {
		return fmt.Sprintf("  \x1b[48;2;%d;%d;%dm    \x1b[0m", r, g, b)
	}
	cube := func(v uint8) int { return (int(v)*5 + 127) / 255 }
	return fmt.Sprintf("  \x1b[48;5;%dm    \x1b[0m", 16+36*cube(r)+6*cube(g)+cube(b))
}
