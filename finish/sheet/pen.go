package sheet

import (
	"fmt"
	"html"
	"math"
	"strconv"
	"strings"
	"sync"

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// shape is a verdict's mark: told apart without colour.
type shape string

// The shapes.
const (
	hollow   shape = "circle"   // no objection found
	square   shape = "square"   // with barrier
	question shape = "question" // not tested
	triangle shape = "triangle" // treat and retest
	blocked  shape = "octagon"  // keep apart
)

// stroke is how a line is drawn.
type stroke int

// The strokes. Twin is two thin lines side by side.
const (
	solid stroke = iota
	twin
	dotted
	dashed
	thick
	fine
)

// pen draws a picture. Lengths are millimetres, y runs down.
type pen interface {
	line(x1, y1, x2, y2 float64, s stroke)
	rect(x, y, w, h float64, fill string) // "" draws the outline
	hatch(x, y, w, h float64)             // slanting lines in a frame
	polygon(points [][2]float64, fill string)
	circle(x, y, r float64, fill string)
	// text sets one line whose baseline is y; a text wider than w is cut with
	// an ellipsis.
	text(x, y, w float64, r run)
}

// figure is a picture of a fixed size, drawn alike on paper and in a browser.
type figure struct {
	wide, high float64
	label      string // what it shows, for those who cannot see it
	draws      func(pen)
}

func (f figure) draw(p *printer, x, y, w float64) float64 {
	if !p.measuring {
		f.draws(pdfPen{p, x + (w-f.wide)/2, y})
	}
	return f.high
}

// figureWide fits the narrower of the two papers.
const figureWide = 190.0

// mark draws a verdict's shape around a point, 5 mm high.
func mark(c pen, s shape, x, y float64) {
	const r = 2.5
	switch s {
	case hollow:
		c.circle(x, y, r, "#ffffff")
	case square:
		c.rect(x-r, y-r, 2*r, 2*r, "#ffffff")
		c.rect(x-r, y-r, 2*r, 2*r, "")
		c.rect(x-r+1.2, y-r+1.2, 2*r-2.4, 2*r-2.4, "")
	case question:
		c.polygon([][2]float64{{x, y - r - 0.6}, {x + r + 0.6, y}, {x, y + r + 0.6}, {x - r - 0.6, y}}, "#ffffff")
		c.text(x-0.9, y+1.15, 4, run{text: "?", bold: true, size: 9})
	case triangle:
		c.polygon([][2]float64{{x, y - r - 0.4}, {x + r + 0.6, y + r}, {x - r - 0.6, y + r}}, "#ffffff")
	case blocked:
		var points [][2]float64
		for i := range 8 {
			a := (float64(i) + 0.5) * math.Pi / 4
			points = append(points, [2]float64{x + (r+0.2)*math.Cos(a), y + (r+0.2)*math.Sin(a)})
		}
		c.polygon(points, "#111111")
		c.rect(x-1.6, y-0.5, 3.2, 1, "#ffffff")
	}
}

// glyph draws a verdict's shape on a page.
func (p *printer) glyph(s shape, x, y float64) {
	if !p.measuring {
		mark(pdfPen{p, 0, 0}, s, x, y)
	}
}

// thread draws a line in a verdict's stroke.
func thread(c pen, x1, y1, x2, y2 float64, s stroke) {
	if s != twin {
		c.line(x1, y1, x2, y2, s)
		return
	}
	const half = 0.55
	dx, dy := x2-x1, y2-y1
	n := math.Hypot(dx, dy)
	if n == 0 {
		return
	}
	ox, oy := -dy/n*half, dx/n*half
	c.line(x1+ox, y1+oy, x2+ox, y2+oy, solid)
	c.line(x1-ox, y1-oy, x2-ox, y2-oy, solid)
}

// strokeOf gives a stroke's thickness and its dashes in mm.
func strokeOf(s stroke) (wide float64, dashes []float64) {
	switch s {
	case dotted:
		return 0.5, []float64{0.5, 1.1}
	case dashed:
		return 0.5, []float64{2.6, 1.3}
	case thick:
		return 1.3, nil
	case fine:
		return 0.12, nil
	}
	return 0.4, nil
}

// pdfPen draws on a page, from a point.
type pdfPen struct {
	p    *printer
	x, y float64
}

func (c pdfPen) line(x1, y1, x2, y2 float64, s stroke) {
	wide, dashes := strokeOf(s)
	c.p.pdf.SetLineWidth(wide)
	c.p.pdf.SetDashPattern(dashes, 0)
	c.p.pdf.Line(c.x+x1, c.y+y1, c.x+x2, c.y+y2)
	c.p.pdf.SetDashPattern(nil, 0)
	c.p.pdf.SetLineWidth(0.2)
}

func (c pdfPen) rect(x, y, w, h float64, fill string) {
	style := "D"
	if fill != "" {
		c.p.fill(fill)
		style = "F"
	}
	c.p.pdf.SetLineWidth(0.4)
	c.p.pdf.Rect(c.x+x, c.y+y, w, h, style)
	c.p.pdf.SetLineWidth(0.2)
}

func (c pdfPen) hatch(x, y, w, h float64) { hatched(c, x, y, w, h) }

func (c pdfPen) polygon(points [][2]float64, fill string) {
	var all []fpdf.PointType
	for _, q := range points {
		all = append(all, fpdf.PointType{X: c.x + q[0], Y: c.y + q[1]})
	}
	c.p.fill(fill)
	c.p.pdf.SetLineWidth(0.4)
	c.p.pdf.Polygon(all, "FD")
	c.p.pdf.SetLineWidth(0.2)
}

func (c pdfPen) circle(x, y, r float64, fill string) {
	c.p.fill(fill)
	c.p.pdf.SetLineWidth(0.4)
	c.p.pdf.Circle(c.x+x, c.y+y, r, "FD")
	c.p.pdf.SetLineWidth(0.2)
}

func (c pdfPen) text(x, y, w float64, r run) {
	c.p.font(r)
	c.p.pdf.Text(c.x+x, c.y+y, cutTo(c.p.known(r.text), w, r))
}

// hatched fills a frame with slanting lines 1.4 mm apart.
func hatched(c pen, x, y, w, h float64) {
	for at := -h; at < w; at += 1.4 {
		from, to := max(at, 0), min(at+h, w)
		if to > from {
			c.line(x+from, y+h-(from-at), x+to, y+h-(to-at), fine)
		}
	}
	c.line(x, y, x+w, y, fine)
	c.line(x, y+h, x+w, y+h, fine)
}

// svgPen draws for a browser.
type svgPen struct{ b *strings.Builder }

// mm writes a length, to a hundredth of a millimetre.
func mm(v float64) string { return strconv.FormatFloat(math.Round(v*100)/100+0, 'f', -1, 64) }

func (c svgPen) line(x1, y1, x2, y2 float64, s stroke) {
	wide, dashes := strokeOf(s)
	fmt.Fprintf(c.b, `<path d="M%s %sL%s %s" stroke="#111" stroke-width="%s"`, mm(x1), mm(y1), mm(x2), mm(y2), mm(wide))
	if len(dashes) == 2 {
		fmt.Fprintf(c.b, ` stroke-dasharray="%s %s"`, mm(dashes[0]), mm(dashes[1]))
	}
	c.b.WriteString("/>")
}

func (c svgPen) rect(x, y, w, h float64, fill string) {
	fmt.Fprintf(c.b, `<rect x="%s" y="%s" width="%s" height="%s"%s/>`, mm(x), mm(y), mm(w), mm(h), paintOf(fill, fill == ""))
}

func (c svgPen) hatch(x, y, w, h float64) { hatched(c, x, y, w, h) }

func (c svgPen) polygon(points [][2]float64, fill string) {
	c.b.WriteString(`<polygon points="`)
	for i, q := range points {
		if i > 0 {
			c.b.WriteByte(' ')
		}
		c.b.WriteString(mm(q[0]) + "," + mm(q[1]))
	}
	fmt.Fprintf(c.b, `"%s/>`, paintOf(fill, true))
}

func (c svgPen) circle(x, y, r float64, fill string) {
	fmt.Fprintf(c.b, `<circle cx="%s" cy="%s" r="%s"%s/>`, mm(x), mm(y), mm(r), paintOf(fill, true))
}

// paintOf gives fill and outline.
func paintOf(fill string, outline bool) string {
	if fill == "" {
		fill = "none"
	}
	s := ` fill="` + fill + `"`
	if outline {
		s += ` stroke="#111" stroke-width="0.4"`
	}
	return s
}

func (c svgPen) text(x, y, w float64, r run) {
	weight := ""
	if r.bold {
		weight = ` font-weight="bold"`
	}
	fmt.Fprintf(c.b, `<text x="%s" y="%s" font-size="%s"%s>%s</text>`, mm(x), mm(y), mm(r.size*pointMM), weight, html.EscapeString(cutTo(r.text, w, r)))
}

// pointMM is a point in millimetres.
const pointMM = 25.4 / 72

// measures are the embedded fonts, read for measuring.
var measures = sync.OnceValue(func() [2]*sfnt.Font {
	var fonts [2]*sfnt.Font
	for i, data := range [][]byte{goregular.TTF, gobold.TTF} {
		f, err := sfnt.Parse(data)
		if err != nil {
			panic("sheet: the embedded font cannot be read: " + err.Error())
		}
		fonts[i] = f
	}
	return fonts
})

// widthOf is the width of a text in mm; a character the font lacks counts as a
// square of the type's size, as most of those are.
func widthOf(s string, r run) float64 {
	f := measures()[0]
	if r.bold {
		f = measures()[1]
	}
	var buf sfnt.Buffer
	const em = 1000
	sum := 0.0
	for _, c := range s {
		i, err := f.GlyphIndex(&buf, c)
		if err != nil || i == 0 {
			sum += em
			continue
		}
		a, err := f.GlyphAdvance(&buf, i, fixed.I(em), font.HintingNone)
		if err != nil {
			a = fixed.I(em)
		}
		sum += float64(a) / 64
	}
	return sum / em * r.size * pointMM
}

// cutTo cuts a text to a width with an ellipsis.
func cutTo(s string, w float64, r run) string {
	if widthOf(s, r) <= w {
		return s
	}
	letters := []rune(s)
	for len(letters) > 1 && widthOf(string(letters)+"…", r) > w {
		letters = letters[:len(letters)-1]
	}
	return strings.TrimRight(string(letters), " ") + "…"
}

// linesOf breaks a text into at most n lines of a width; what does not fit
// ends in an ellipsis.
func linesOf(s string, w float64, n int, r run) []string {
	var lines []string
	line := ""
	for _, word := range strings.Fields(s) {
		next := word
		if line != "" {
			next = line + " " + word
		}
		if line != "" && widthOf(next, r) > w && len(lines) < n-1 {
			lines, line = append(lines, line), word
			continue
		}
		line = next
	}
	if line != "" {
		lines = append(lines, line)
	}
	for i := range lines {
		lines[i] = cutTo(lines[i], w, r)
	}
	return lines
}
