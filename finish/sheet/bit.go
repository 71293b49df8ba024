package sheet

// bit is one thing on a paper: a heading, a line to tick, a table, a card. The
// same bits make the pages of a PDF and the page of a browser.
type bit interface {
	// draw sets the bit into a column from a top line down and returns its
	// height; where the printer is measuring, nothing is drawn.
	draw(p *printer, x, y, w float64) float64
	html(m *markup)
}

// parted is a bit that the end of a page may cut between its pieces; its head,
// where it has one, stands again above those on the next page.
type parted interface {
	bit
	pieces() (head bit, rest []bit)
}

// gap stands between the bits of a paper, in mm.
const gap = 1.2

// document prints bits one below the other. A heading is kept with the first
// piece of what follows it.
func (p *printer) document(bits []bit) {
	for i, b := range bits {
		if _, ok := b.(heading); ok {
			p.need(p.together(bits[i:]))
		}
		p.print(b)
		p.y += gap
	}
}

// together is the height of a heading, the words under it and the first piece
// of what they are about.
func (p *printer) together(bits []bit) float64 {
	h := 0.0
	for _, b := range bits {
		h += p.first(b) + gap
		switch b.(type) {
		case heading, text:
		default:
			return min(h, p.bottom-margin)
		}
	}
	return min(h, p.bottom-margin)
}

func (p *printer) print(b bit) {
	cut, ok := b.(parted)
	if !ok {
		p.whole(func(y float64) float64 { return b.draw(p, margin, y, p.w) })
		return
	}
	head, rest := cut.pieces()
	if head != nil {
		p.need(p.first(b))
		p.y += head.draw(p, margin, p.y, p.w)
		p.repeat = func(y float64) { p.y = y + head.draw(p, margin, y, p.w) }
	}
	for _, piece := range rest {
		p.whole(func(y float64) float64 { return piece.draw(p, margin, y, p.w) })
	}
	p.repeat = nil
}

// height measures a bit over the whole width.
func (p *printer) height(b bit) float64 {
	quiet := p.measuring
	p.measuring = true
	defer func() { p.measuring = quiet }()
	return b.draw(p, margin, 0, p.w)
}

// first is the height of what must stand together at the start of a bit.
func (p *printer) first(b bit) float64 {
	cut, ok := b.(parted)
	if !ok {
		return min(p.height(b), p.bottom-margin)
	}
	h := 0.0
	head, rest := cut.pieces()
	if head != nil {
		h = p.height(head)
	}
	if len(rest) > 0 {
		h += p.height(rest[0])
	}
	return min(h, p.bottom-margin)
}

// drawAll draws bits one below the other within a column.
func drawAll(p *printer, bits []bit, x, y, w float64) float64 {
	top := y
	for i, b := range bits {
		if i > 0 {
			y += gap
		}
		y += b.draw(p, x, y, w)
	}
	return y - top
}

// heading begins a section.
type heading string

func (s heading) draw(p *printer, x, y, w float64) float64 {
	top := y
	y += 2.2
	y += p.flow(x, y, w, false, run{text: string(s), bold: true, size: head})
	p.rule(y+0.3, 0.7)
	return y + 1.2 - top
}

// text is a paragraph; with a bar it must not be overlooked.
type text struct {
	runs []run
	bar  bool
}

func words(runs ...run) bit   { return text{runs: runs} }
func minding(runs ...run) bit { return text{runs: runs, bar: true} }

func (t text) draw(p *printer, x, y, w float64) float64 {
	if t.bar {
		return p.bar(x, y, w, t.runs...)
	}
	return p.flow(x, y, w, false, t.runs...)
}

// ticked is a line with a box to tick.
type ticked struct {
	done bool
	runs []run
}

func tick(runs ...run) bit { return ticked{runs: runs} }

func (t ticked) draw(p *printer, x, y, w float64) float64 {
	p.box(x, y, t.done)
	return max(5.6, p.flow(x+6.5, y+0.5, w-6.5, false, t.runs...)+1)
}

// ticks are lines to tick in columns side by side.
type ticks struct {
	across int
	lines  []bit
}

func (t ticks) pieces() (bit, []bit) {
	var rows []bit
	for i := 0; i < len(t.lines); i += t.across {
		rows = append(rows, tickRow{t.across, t.lines[i:min(i+t.across, len(t.lines))]})
	}
	return nil, rows
}

func (t ticks) draw(p *printer, x, y, w float64) float64 {
	_, rows := t.pieces()
	return drawAll(p, rows, x, y, w)
}

type tickRow struct {
	across int
	lines  []bit
}

func (t tickRow) draw(p *printer, x, y, w float64) float64 {
	h, each := 0.0, w/float64(t.across)
	for i, l := range t.lines {
		h = max(h, l.draw(p, x+float64(i)*each, y, each-3))
	}
	return h
}

// fields are words with a line behind each to write on, side by side.
type fields []string

// writing is the height of a line that a hand writes on, in mm.
const writing = 8.0

func (f fields) draw(p *printer, x, y, w float64) float64 {
	each := w / float64(len(f))
	for i, s := range f {
		r := smallRun(s)
		left := x + float64(i)*each
		p.flow(left, y+writing-small*perLine-0.3, each-2, false, r)
		if !p.measuring {
			p.font(r)
			from := left + p.pdf.GetStringWidth(p.known(s)) + 1.5
			p.pdf.SetLineWidth(0.2)
			p.pdf.Line(from, y+writing-0.8, left+each-3, y+writing-0.8)
		}
	}
	return writing
}
