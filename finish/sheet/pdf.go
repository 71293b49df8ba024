package sheet

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"sync"
	"time"
	"unicode"

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"
)

// Paper is a size of paper.
type Paper int

// The sizes that benches print on. The zero value is A4.
const (
	A4 Paper = iota
	Letter
)

// ParsePaper reads "A4" or "Letter", in any case; "" is A4.
func ParsePaper(s string) (Paper, error) {
	switch strings.ToLower(strings.TrimSpace(s)) {
	case "", "a4":
		return A4, nil
	case "letter":
		return Letter, nil
	}
	return A4, fmt.Errorf("read paper size: %q: expected A4 or Letter", s)
}

// String returns what [ParsePaper] reads.
func (p Paper) String() string {
	if p == Letter {
		return "Letter"
	}
	return "A4"
}

// PDF writes the bench sheet of [HTML] as a document of pages. The same data
// gives the same bytes: its dates are the instant the plan was computed for.
// Colours are those of a screen and print approximately; the file is not
// tagged, the HTML is the one for screen readers. Characters that the embedded
// Go fonts lack (they hold Latin, Greek and Cyrillic) are printed as U+FFFD;
// the foot of such a page says so, and a line at the end names them.
func PDF(w io.Writer, d Data, on Paper) error {
	p := newPrinter(d, "Bench sheet", on)
	p.sheet(benchPage(d))
	p.confess()
	if err := p.pdf.Output(w); err != nil {
		return fmt.Errorf("print bench sheet: %w", err)
	}
	return nil
}

// Sizes of type in points and of the page in millimetres.
const (
	body, small, big, head, title = 9.6, 8.4, 12.2, 13.2, 19.5

	margin  = 10.0
	perLine = 0.3528 * 1.22 // mm of a line for each point of its type
)

// printer lays a page out from the top down. Heights are measured before
// anything is drawn, so that no block is cut by the end of a page.
type printer struct {
	pdf       *fpdf.Fpdf
	w, bottom float64 // width between the margins, last line of the page
	y         float64
	measuring bool
	lacking   []rune          // characters the fonts lack, sorted
	lackHere  bool            // one of them stands on this page
	repeat    func(y float64) // heads a table again on a new page
}

func newPrinter(d Data, name string, on Paper) *printer {
	pdf := fpdf.New("P", "mm", on.String(), "")
	pdf.SetCatalogSort(true)
	made := d.Plan.Now
	if made.IsZero() {
		made = time.Unix(0, 0).UTC() // the library would take the present, and no two papers were alike
	}
	pdf.SetCreationDate(made)
	pdf.SetModificationDate(made)
	pdf.SetTitle(d.Job.Name+" – "+name, true)
	pdf.SetCreator("undercoat", true)
	pdf.SetProducer("undercoat", true)
	pdf.SetLang("en")
	pdf.SetMargins(margin, margin, margin)
	pdf.SetAutoPageBreak(false, 0)
	pdf.AddUTF8FontFromBytes("go", "", goregular.TTF)
	pdf.AddUTF8FontFromBytes("go", "B", gobold.TTF)
	pdf.AliasNbPages("{pages}")
	width, height := pdf.GetPageSize()
	p := &printer{pdf: pdf, w: width - 2*margin, bottom: height - margin - 5}
	pdf.SetFooterFunc(func() { p.foot(d.Job.Name+" – "+name, height-margin-2) })
	pdf.SetTextColor(0x11, 0x11, 0x11)
	pdf.SetDrawColor(0x11, 0x11, 0x11)
	pdf.AddPage()
	p.y = margin
	return p
}

// foot writes the name of the paper and the page's number, and where a
// character could not be printed says so.
func (p *printer) foot(name string, y float64) {
	p.pdf.SetTextColor(0x33, 0x33, 0x33)
	name = p.known(name)
	lacked := p.lackHere
	p.font(smallRun(""))
	page := fmt.Sprintf("page %d of ", p.pdf.PageNo())
	right := p.w - p.pdf.GetStringWidth(page+"00") // how many there are is known only at the end
	p.pdf.Text(margin+right, y+3, page+"{pages}")
	room := right - 4
	if lacked {
		note := "\ufffd: a character the embedded font lacks; the HTML paper shows it"
		room -= p.pdf.GetStringWidth(note) + 4
		p.pdf.Text(margin+room+4, y+3, note)
	}
	p.pdf.Text(margin, y+3, p.shortened(name, room))
	p.pdf.SetTextColor(0x11, 0x11, 0x11)
	p.lackHere = false
}

// shortened cuts a text that is wider than its room, with an ellipsis.
func (p *printer) shortened(s string, w float64) string {
	r := []rune(s)
	for len(r) > 1 && p.pdf.GetStringWidth(s) > w {
		r = r[:len(r)-1]
		s = strings.TrimRight(string(r), " ") + "…"
	}
	return s
}

// confess names the characters that could not be printed.
func (p *printer) confess() {
	if len(p.lacking) == 0 {
		return
	}
	var codes []string
	for _, r := range p.lacking {
		codes = append(codes, fmt.Sprintf("%U", r))
	}
	const most = 40
	if len(codes) > most {
		codes = append(codes[:most], fmt.Sprintf("and %d more", len(codes)-most))
	}
	p.para(smallRun("\ufffd stands for a character that the embedded font lacks (it holds Latin, Greek and Cyrillic): " + strings.Join(codes, ", ") + ". The HTML paper shows them."))
}

// glyphs tells which characters the embedded fonts hold.
var glyphs = sync.OnceValue(func() func(rune) bool {
	var fonts []*sfnt.Font
	for _, data := range [][]byte{goregular.TTF, gobold.TTF} {
		f, err := sfnt.Parse(data)
		if err != nil {
			panic("sheet: the embedded font cannot be read: " + err.Error())
		}
		fonts = append(fonts, f)
	}
	return func(r rune) bool {
		for _, f := range fonts {
			if i, err := f.GlyphIndex(new(sfnt.Buffer), r); err != nil || i == 0 {
				return false
			}
		}
		return true
	}
})

// known replaces characters the fonts lack by U+FFFD, the character for what
// cannot be shown, and remembers them.
func (p *printer) known(s string) string {
	has := glyphs()
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\n' || r == '\t' || r == '\u202f':
			return ' '
		case r == '\u00a0' || has(r):
			return r
		case unicode.Is(unicode.Cf, r) || unicode.Is(unicode.Variation_Selector, r) || unicode.IsControl(r):
			return -1 // it has no shape of its own
		}
		if i, found := slices.BinarySearch(p.lacking, r); !found {
			p.lacking = slices.Insert(p.lacking, i, r)
		}
		if !p.measuring {
			p.lackHere = true
		}
		return '\ufffd'
	}, s)
}

// run is a piece of text in one style; below begins a line of its own.
type run struct {
	text  string
	bold  bool
	size  float64
	below bool
}

// glued is text that is not broken over lines.
func glued(s string) string { return strings.ReplaceAll(s, " ", "\u00a0") }

func plainRun(s string) run { return run{text: s, size: body} }
func boldRun(s string) run  { return run{text: s, bold: true, size: body} }
func smallRun(s string) run { return run{text: s, size: small} }
func bigRun(s string) run   { return run{text: s, bold: true, size: big} }
func belowRun(s string) run { return run{text: s, size: small, below: true} }

func (p *printer) font(r run) {
	style := ""
	if r.bold {
		style = "B"
	}
	p.pdf.SetFont("go", style, r.size)
}

// word is one word of a run with its width and that of a blank after it.
type word struct {
	run
	w, blank float64
}

// flow sets runs of text into a column and returns its height. Right-aligned
// text ends at the column's right edge.
func (p *printer) flow(x, y, w float64, right bool, runs ...run) float64 {
	var words []word
	for _, r := range runs {
		p.font(r)
		blank := p.pdf.GetStringWidth(" ")
		for _, t := range strings.FieldsFunc(p.known(r.text), func(c rune) bool { return c == ' ' }) {
			for _, part := range p.fitting(strings.ReplaceAll(t, "\u00a0", " "), w) {
				words = append(words, word{run{part, r.bold, r.size, r.below}, p.pdf.GetStringWidth(part), blank})
				r.below = false
			}
		}
	}
	top := y
	for len(words) > 0 {
		n, width, size := 0, 0.0, 0.0
		for n < len(words) && (n == 0 || !words[n].below && width+words[n-1].blank+words[n].w <= w+0.01) {
			if n > 0 {
				width += words[n-1].blank
			}
			width += words[n].w
			size = max(size, words[n].size)
			n++
		}
		y += size * perLine
		p.line(x, y, w, width, size, right, words[:n])
		words = words[n:]
	}
	return y - top
}

// line draws the words of one line that ends at y.
func (p *printer) line(x, y, w, width, size float64, right bool, words []word) {
	if p.measuring {
		return
	}
	if right {
		x += w - width
	}
	for _, t := range words {
		p.font(t.run)
		p.pdf.Text(x, y-size*perLine*0.25, t.text)
		x += t.w + t.blank
	}
}

// fitting cuts a word that is wider than its column.
func (p *printer) fitting(t string, w float64) []string {
	var parts []string
	for p.pdf.GetStringWidth(t) > w && len([]rune(t)) > 1 {
		r := []rune(t)
		n := len(r) - 1
		for n > 1 && p.pdf.GetStringWidth(string(r[:n])) > w {
			n--
		}
		parts, t = append(parts, string(r[:n])), string(r[n:])
	}
	return append(parts, t)
}

// para sets a paragraph over the whole width, on a new page where it does not
// fit on this one.
func (p *printer) para(runs ...run) {
	p.whole(func(y float64) float64 { return p.flow(margin, y, p.w, false, runs...) + 0.8 })
}

// heading sets a section's heading, kept together with what follows.
func (p *printer) heading(s string, after float64) {
	p.need(12 + after)
	p.y += 2.5
	p.y += p.flow(margin, p.y, p.w, false, run{text: s, bold: true, size: head})
	p.rule(p.y+0.3, 0.7)
	p.y += 1.2
}

// rule draws a line over the whole width.
func (p *printer) rule(y, thick float64) {
	if p.measuring {
		return
	}
	p.pdf.SetLineWidth(thick)
	p.pdf.Line(margin, y, margin+p.w, y)
	p.pdf.SetLineWidth(0.2)
}

// need begins a new page where less than a height is left.
func (p *printer) need(h float64) {
	if p.y+h <= p.bottom || p.y <= margin {
		return
	}
	p.pdf.AddPage()
	p.y = margin
	if p.repeat != nil {
		p.repeat(p.y)
	}
}

// whole draws a block that no page end may cut: it is measured first.
func (p *printer) whole(draw func(y float64) float64) {
	p.measuring = true
	h := draw(p.y)
	p.measuring = false
	p.need(h)
	p.y += draw(p.y)
}

// box draws a square to tick; a done one is crossed.
func (p *printer) box(x, y float64, done bool) {
	if p.measuring {
		return
	}
	const side = 4.2
	p.pdf.SetLineWidth(0.45)
	p.pdf.Rect(x, y+0.5, side, side, "D")
	if done {
		p.pdf.Line(x, y+0.5, x+side, y+0.5+side)
		p.pdf.Line(x+side, y+0.5, x, y+0.5+side)
	}
	p.pdf.SetLineWidth(0.2)
}

// cell is one cell of a table's row.
type cell struct {
	runs  []run
	right bool
	tick  bool // a box to tick in the place of text
	done  bool
	mark  shape // a verdict's shape in the place of text
}

func cellOf(runs ...run) cell  { return cell{runs: runs} }
func rightOf(runs ...run) cell { return cell{runs: runs, right: true} }

// row draws a row of cells with a line under it.
func (p *printer) row(widths []float64, cells ...cell) {
	p.whole(func(y float64) float64 {
		x, h := margin, 0.0
		for i, c := range cells {
			if c.tick {
				p.box(x, y, c.done)
				h = max(h, 5.2)
			} else {
				h = max(h, p.flow(x, y, widths[i]-2, c.right, c.runs...))
			}
			x += widths[i]
		}
		h += 1.1
		p.rule(y+h-0.3, 0.15)
		return h
	})
}

// table heads a table, and again on every page it goes on to.
func (p *printer) table(widths []float64, names []cell, rows func()) {
	p.need(16)
	top := func(y float64) {
		x, h := margin, 0.0
		for i, n := range names {
			h = max(h, p.flow(x, y, widths[i]-2, n.right, n.runs...))
			x += widths[i]
		}
		p.rule(y+h+0.4, 0.15)
		p.y = y + h + 0.8
	}
	top(p.y)
	p.repeat = top
	rows()
	p.repeat = nil
}
