package sheet

// column is one column of a table.
type column struct {
	name  string
	wide  float64 // mm; 0 shares what is left
	right bool
}

// grid is a table. A row of one cell in a table of several columns is a
// heading within it.
type grid struct {
	columns []column
	rows    [][]cell
	high    float64 // least height of a row in mm, for a hand that writes
	ruled   bool    // with lines between the columns, to write in
}

func (g grid) pieces() (bit, []bit) {
	var rows []bit
	for _, r := range g.rows {
		rows = append(rows, gridRow{g, r})
	}
	return gridHead{g}, rows
}

func (g grid) draw(p *printer, x, y, w float64) float64 {
	head, rows := g.pieces()
	top := y
	y += head.draw(p, x, y, w)
	for _, r := range rows {
		y += r.draw(p, x, y, w)
	}
	return y - top
}

// widths shares a width among the columns.
func (g grid) widths(w float64) []float64 {
	free, left := 0, w
	for _, c := range g.columns {
		left -= c.wide
		if c.wide == 0 {
			free++
		}
	}
	var all []float64
	for _, c := range g.columns {
		if c.wide == 0 {
			c.wide = max(left, 12) / float64(free)
		}
		all = append(all, c.wide)
	}
	return all
}

type gridHead struct{ grid }

func (g gridHead) draw(p *printer, x, y, w float64) float64 {
	at, h := x, 0.0
	widths := g.widths(w)
	for i, c := range g.columns {
		h = max(h, p.flow(at+g.pad(i), y, widths[i]-between(c.right), c.right, smallRun(c.name)))
		at += widths[i]
	}
	if h > 0 {
		h += 0.4
	}
	p.line4(x, y+h, w, 0.15)
	return h + 0.4
}

type gridRow struct {
	grid
	cells []cell
}

func (g gridRow) draw(p *printer, x, y, w float64) float64 {
	widths := g.widths(w)
	at, h := x, g.high
	if len(g.cells) == 1 {
		h = p.flow(x, y+1, w, false, g.cells[0].runs...) + 1
		widths = []float64{w}
	} else {
		for i, c := range g.cells {
			switch {
			case c.tick:
				p.box(at, y, c.done)
				h = max(h, 5.2)
			case c.mark != "":
				p.glyph(c.mark, at+4, y+3)
				h = max(h, 6.4)
			default:
				h = max(h, p.flow(at+g.pad(i), y, widths[i]-between(c.right), c.right, c.runs...))
			}
			at += widths[i]
		}
	}
	h += 1.1
	p.line4(x, y+h-0.3, w, 0.15)
	if g.ruled && !p.measuring {
		at = x
		for _, v := range widths[:len(widths)-1] {
			at += v
			p.pdf.SetLineWidth(0.15)
			p.pdf.Line(at, y-0.4, at, y+h-0.3)
		}
	}
	return h
}

// between is what a column leaves free at its right, in mm.
func between(right bool) float64 {
	if right {
		return 3.5
	}
	return 2
}

// pad keeps text off the lines between columns.
func (g grid) pad(i int) float64 {
	if g.ruled && i > 0 {
		return 1
	}
	return 0
}

// line4 draws a line of a width from a point to the right.
func (p *printer) line4(x, y, w, thick float64) {
	if p.measuring {
		return
	}
	p.pdf.SetLineWidth(thick)
	p.pdf.Line(x, y, x+w, y)
	p.pdf.SetLineWidth(0.2)
}

// blankRows are empty rows to write in.
func blankRows(n, columns int) [][]cell {
	var rows [][]cell
	for range n {
		rows = append(rows, make([]cell, columns))
	}
	return rows
}
