package sheet

import (
	_ "embed"
	"fmt"
	"html"
	"strings"
)

//go:embed paper.css
var paperStyle string

// markup writes a page for a browser. Every text is escaped where it is
// written, and only here.
type markup struct{ strings.Builder }

// markup is the whole page of a paper.
func (l Leaf) markup(d Data) string {
	var m markup
	m.WriteString("<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n")
	fmt.Fprintf(&m, "<title>%s – %s</title>\n<style>\n%s</style>\n</head>\n<body>\n", html.EscapeString(d.Job.Name), html.EscapeString(l.Title), paperStyle)
	fmt.Fprintf(&m, "<header><h1>%s</h1><p><b>%s</b> %s</p></header>\n<main>\n", html.EscapeString(d.Job.Name), html.EscapeString(l.Title), html.EscapeString(asOf(d)))
	for _, b := range l.bits(d) {
		b.html(&m)
		m.WriteByte('\n')
	}
	m.WriteString("</main>\n</body>\n</html>\n")
	return m.String()
}

// all writes bits one after the other.
func (m *markup) all(bits []bit) {
	for _, b := range bits {
		b.html(m)
	}
}

// runs writes runs of text with a blank between, as a page of a PDF has them.
func (m *markup) runs(runs []run) {
	first := true
	for _, r := range runs {
		if r.text == "" {
			continue
		}
		switch {
		case r.below:
			m.WriteString("<br>")
		case !first:
			m.WriteByte(' ')
		}
		first = false
		open, close := tagsOf(r)
		m.WriteString(open + html.EscapeString(r.text) + close)
	}
}

func tagsOf(r run) (open, close string) {
	switch {
	case r.size >= title:
		open, close = `<span class="huge">`, `</span>`
	case r.size >= head:
		open, close = `<span class="head">`, `</span>`
	case r.size >= big:
		open, close = `<span class="big">`, `</span>`
	case r.size <= small:
		open, close = `<small>`, `</small>`
	}
	if r.bold && r.size < big {
		open, close = open+"<b>", "</b>"+close
	}
	return open, close
}

func (s heading) html(m *markup) {
	fmt.Fprintf(m, "<h2>%s</h2>", html.EscapeString(string(s)))
}

func (t text) html(m *markup) {
	if t.bar {
		m.WriteString(`<p class="remark">`)
	} else {
		m.WriteString("<p>")
	}
	m.runs(t.runs)
	m.WriteString("</p>")
}

// tickBox is an empty box, or one that is done.
func tickBox(done bool) string {
	if done {
		return `<span class="box">✓</span>`
	}
	return `<span class="box"></span>`
}

func (t ticked) html(m *markup) {
	m.WriteString(`<p class="tickline">` + tickBox(t.done))
	m.runs(t.runs)
	m.WriteString("</p>")
}

func (t ticks) html(m *markup) {
	fmt.Fprintf(m, `<div class="ticks" style="columns:%d">`, t.across)
	m.all(t.lines)
	m.WriteString("</div>")
}

func (t tickRow) html(m *markup) { m.all(t.lines) }

func (f fields) html(m *markup) {
	m.WriteString(`<p class="fields">`)
	for _, s := range f {
		fmt.Fprintf(m, "<span>%s</span>", html.EscapeString(s))
	}
	m.WriteString("</p>")
}

func (g grid) html(m *markup) {
	class := "grid"
	if g.ruled {
		class += " ruled"
	}
	fmt.Fprintf(m, `<div class="scroll"><table class="%s"><colgroup>`, class)
	for _, c := range g.columns {
		if c.wide > 0 {
			fmt.Fprintf(m, `<col style="width:%smm">`, mm(c.wide))
		} else {
			m.WriteString("<col>")
		}
	}
	m.WriteString("</colgroup>")
	gridHead{g}.html(m)
	m.WriteString("<tbody>")
	for _, r := range g.rows {
		gridRow{g, r}.html(m)
	}
	m.WriteString("</tbody></table></div>")
}

func (g gridHead) html(m *markup) {
	m.WriteString("<thead><tr>")
	for _, c := range g.columns {
		fmt.Fprintf(m, "<th%s>%s</th>", rightClass(c.right), html.EscapeString(c.name))
	}
	m.WriteString("</tr></thead>")
}

func rightClass(right bool) string {
	if right {
		return ` class="n"`
	}
	return ""
}

func (g gridRow) html(m *markup) {
	if g.high > 0 {
		fmt.Fprintf(m, `<tr style="height:%smm">`, mm(g.high))
	} else {
		m.WriteString("<tr>")
	}
	defer m.WriteString("</tr>")
	if len(g.cells) == 1 {
		fmt.Fprintf(m, `<th colspan="%d" scope="rowgroup">`, len(g.columns))
		m.runs(g.cells[0].runs)
		m.WriteString("</th>")
		return
	}
	for _, c := range g.cells {
		fmt.Fprintf(m, "<td%s>", rightClass(c.right))
		switch {
		case c.tick:
			m.WriteString(tickBox(c.done))
		case c.mark != "":
			drawing(m, 8, 6.4, "", func(p pen) { mark(p, c.mark, 4, 3.2) })
		default:
			m.runs(c.runs)
		}
		m.WriteString("</td>")
	}
}

func (f faces) html(m *markup) {
	fmt.Fprintf(m, `<div class="bay" style="grid-template-columns:repeat(%d,minmax(0,1fr))">`, f.perRow())
	for _, one := range f.all {
		if one.hex == "" {
			fmt.Fprintf(m, `<figure class="blank"><div style="height:%smm"></div><figcaption>`, mm(f.high))
		} else {
			fmt.Fprintf(m, `<figure><div class="face" style="height:%smm;background:%s"></div><figcaption>`, mm(f.high), one.hex)
		}
		m.runs(one.runs)
		m.WriteString("</figcaption></figure>")
	}
	m.WriteString("</div>")
}

func (c card) html(m *markup) {
	class := "card"
	if c.cut {
		class += " cut"
	}
	fmt.Fprintf(m, `<article class="%s"><header><h3>`, class)
	m.runs(c.head)
	m.WriteString("</h3><p>")
	m.runs(c.aside)
	m.WriteString("</p></header>")
	m.all(c.bits)
	m.WriteString("</article>")
}

func (c cards) html(m *markup) {
	fmt.Fprintf(m, `<div class="cards" style="--across:%d">`, c.across)
	for _, one := range c.all {
		one.html(m)
	}
	m.WriteString("</div>")
}

func (c cardRow) html(m *markup) { cards(c).html(m) }

func (f figure) html(m *markup) {
	m.WriteString(`<div class="scroll figure">`)
	drawing(m, f.wide, f.high, f.label, f.draws)
	m.WriteString("</div>")
}

// drawing writes a picture; one without a label is for the eye alone.
func drawing(m *markup, w, h float64, label string, draws func(pen)) {
	fmt.Fprintf(m, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %[1]s %[2]s" style="width:%[1]smm" fill="#111" `, mm(w), mm(h))
	if label == "" {
		m.WriteString(`aria-hidden="true">`)
	} else {
		fmt.Fprintf(m, `role="img"><title>%s</title>`, html.EscapeString(label))
	}
	draws(svgPen{&m.Builder})
	m.WriteString("</svg>")
}
