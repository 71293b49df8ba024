package sheet

import (
	"fmt"
	"strconv"
)

// sheet lays the bench sheet out.
func (p *printer) sheet(b page) {
	p.top(b)
	p.days(b.Days)
	p.pots(b.Pots)
	for _, a := range b.Areas {
		p.y += 1.5
		p.whole(func(y float64) float64 { return p.area(a, y) })
	}
	p.shopping(b)
	p.cloth(b.Cloth)
	p.touching(b.Contacts)
	if len(b.Refusals) > 0 {
		p.heading("Refused, and what instead", 8)
		for _, r := range b.Refusals {
			p.remark(boldRun(r.What+":"), plainRun(r.Why+"."), boldRun("Instead:"), plainRun(r.Instead+"."))
		}
	}
	if len(b.Otherwise) > 0 {
		p.heading("If it gets late", 8)
		for _, o := range b.Otherwise {
			p.para(plainRun("• " + o))
		}
	}
	p.mind(b)
}

func (p *printer) top(b page) {
	p.para(run{text: b.Title, bold: true, size: title})
	p.para(run{text: b.HandsOff, bold: true, size: head})
	if b.Missed {
		p.rule(p.y+0.2, 1)
		p.y += 1.2
	}
	if b.Decides != "" {
		p.para(boldRun("What decides:"), plainRun(b.Decides))
	}
	p.para(smallRun(fmt.Sprintf("Bench sheet as of %s; %s; drying: %s.", b.AsOf, b.Proof, b.Drying)))
}

func (p *printer) days(days []dayList) {
	p.heading("The days", 14)
	if len(days) == 0 {
		p.para(plainRun("Nothing is planned yet."))
		return
	}
	widths := p.columns(9.5, 30, 0, 22, 29, 46)
	names := []cell{cellOf(smallRun("done")), cellOf(smallRun("time")), cellOf(smallRun("what")), rightOf(smallRun("amount")), cellOf(smallRun("dry from")), cellOf(smallRun("last safe start (to spare)"))}
	p.table(widths, names, func() {
		for _, d := range days {
			p.need(16)
			p.y += 0.8
			p.y += p.flow(margin, p.y, p.w, false, run{text: d.Name, bold: true, size: 11}) + 0.4
			p.rule(p.y, 0.15)
			p.y += 0.4
			for _, s := range d.Steps {
				p.step(widths, s)
			}
		}
	})
}

func (p *printer) step(widths []float64, s stepLine) {
	what := []run{boldRun(s.Area), plainRun(s.What)}
	if s.Who != "" {
		what = append(what, boldRun("("+s.Who+")"))
	}
	amount := []run{bigRun(s.Amount)}
	if s.StirIn != "" {
		amount = append(amount, belowRun("+ "+s.StirIn))
	}
	last := []run{plainRun(glued(s.Last)), smallRun(glued("(" + s.Spare + ")"))}
	if s.Decides {
		last = append(last, boldRun(glued("▲ decides")))
	}
	p.row(widths, cell{tick: true, done: s.Done}, cellOf(bigRun(s.From+"–"+s.To)), cellOf(what...), rightOf(amount...), cellOf(plainRun(glued(s.Dry))), cellOf(last...))
}

// columns fills the width up: the column of width 0 takes what is left.
func (p *printer) columns(widths ...float64) []float64 {
	left := p.w
	for _, w := range widths {
		left -= w
	}
	for i, w := range widths {
		if w == 0 {
			widths[i] = left
		}
	}
	return widths
}

func (p *printer) pots(pots []pot) {
	if len(pots) == 0 {
		return
	}
	p.heading("Pots to be mixed", 8)
	widths := p.columns(8, 32, 0, 32, 60)
	for _, m := range pots {
		p.row(widths, cell{tick: true}, cellOf(boldRun(m.When)), cellOf(plainRun(m.Paint+" and"), boldRun(m.Fixer)), cellOf(plainRun("use by "+m.UseBy)), cellOf(smallRun(m.For)))
	}
}

// Measures of an area's block, in millimetres.
const (
	bayW, faceW, faceH = 66.0, 29.0, 13.0
	blockPad           = 2.0
)

// area draws one area as a block with its swatches on neutral grey.
func (p *printer) area(b block, y float64) float64 {
	top, x, w := y, margin+blockPad, p.w-2*blockPad
	y += 1.2
	y += max(p.flow(x, y, w*0.55, false, run{text: b.Code + " " + b.Piece, bold: true, size: head}), p.flow(x+w*0.45, y, w*0.55, true, bigRun(lastText(b))))
	y += p.flow(x, y, w, false, readyRuns(b)...) + 0.6
	bay := p.bay(b.Swatches, x, y)
	right := p.stack(b, x+bayW+4, y, w-bayW-4)
	y += max(bay, right)
	if b.Long {
		y += p.ticks(b.Steps, x, y, w)
	}
	for _, c := range b.Cautions {
		y += p.bar(x, y, w, boldRun(c.Weight), plainRun(c.Text), smallRun("("+strconv.Itoa(c.Source)+")"))
	}
	y += 1.2
	if !p.measuring {
		p.pdf.SetLineWidth(0.45)
		p.pdf.Rect(margin, top, p.w, y-top, "D")
		p.pdf.SetLineWidth(0.2)
	}
	return y - top
}

func lastText(b block) string {
	if b.Last == "" {
		return ""
	}
	return "begin by " + b.Last
}

func readyRuns(b block) []run {
	var out []run
	if b.Ready != "" {
		out = append(out, boldRun("ready "+b.Ready+","), plainRun(b.Spare+" to spare"))
	}
	if b.Ready != "" && b.Note != "" {
		out = append(out, plainRun("·"))
	}
	return append(out, plainRun(b.Note))
}

// bay draws an area's swatches two by two on grey, the last one blank.
func (p *printer) bay(swatches []swatch, x, y float64) float64 {
	type face struct {
		hex  string
		runs []run
	}
	var faces []face
	for _, s := range swatches {
		faces = append(faces, face{s.Hex, []run{boldSmall(s.Label), smallRun(s.Words), belowRun(glued(s.Numbers))}})
	}
	faces = append(faces, face{"", []run{boldSmall("real swatch"), belowRun("pin or paint it here")}})
	heights := make([]float64, (len(faces)+1)/2)
	quiet := p.measuring
	p.measuring = true
	for i, f := range faces {
		heights[i/2] = max(heights[i/2], faceH+p.flow(0, 0, faceW-2, false, f.runs...)+1.5)
	}
	p.measuring = quiet
	total := 2.0
	for _, h := range heights {
		total += h + 2
	}
	if p.measuring {
		return total
	}
	p.fill("#808080")
	p.pdf.Rect(x, y, bayW, total, "F")
	top := y + 2
	for i, f := range faces {
		fx := x + 2 + float64(i%2)*(faceW+4)
		p.fill("#ffffff")
		p.pdf.Rect(fx, top, faceW, heights[i/2], "F")
		caption := top + faceH
		if f.hex == "" {
			p.pdf.SetDashPattern([]float64{1, 1}, 0)
			p.pdf.Rect(fx, top, faceW, heights[i/2], "D")
			p.pdf.SetDashPattern(nil, 0)
			caption = top
		} else {
			p.fill(f.hex)
			p.pdf.Rect(fx, top, faceW, faceH, "F")
		}
		p.flow(fx+1, caption+0.3, faceW-2, false, f.runs...)
		if i%2 == 1 {
			top += heights[i/2] + 2
		}
	}
	return total
}

// fill sets the colour areas are filled with, "#rrggbb".
func (p *printer) fill(hex string) {
	n, err := strconv.ParseUint(hex[1:], 16, 32)
	if err != nil {
		panic("sheet: a swatch's colour cannot be read: " + hex)
	}
	p.pdf.SetFillColor(int(n>>16), int(n>>8&0xff), int(n&0xff))
}

// stack lists an area's layers, and its steps where they fit beside the bay.
func (p *printer) stack(b block, x, y, w float64) float64 {
	top := y
	if len(b.Layers) == 0 {
		y += p.flow(x, y, w, false, boldRun("Not chosen yet."))
	}
	for _, l := range b.Layers {
		h := p.flow(x, y, w-52, false, plainRun(strconv.Itoa(l.Number)+"."), boldRun(l.Name+","), plainRun(l.Role), belowRun(l.Fix))
		h = max(h, p.flow(x+w-52, y, 26, true, layerCoats(l)...), p.flow(x+w-26, y, 26, true, bigRun(l.Total), belowRun(glued(l.Repair))))
		y += h + 0.6
		if !p.measuring {
			p.pdf.SetLineWidth(0.15)
			p.pdf.Line(x, y, x+w, y)
		}
		y += 0.5
	}
	if !b.Long {
		for _, s := range b.Steps {
			y += p.tickLine(s, x, y, w)
		}
	}
	runs := []run{boldRun(b.Difference), smallRun(b.Basis)}
	if b.Setting != "" {
		runs = append(runs, belowRun("setting: "+b.Setting))
	}
	y += p.flow(x, y, w, false, runs...)
	return y - top
}

func layerCoats(l layerLine) []run {
	if l.Coats == "" {
		return nil
	}
	unit := " coats"
	if l.Coats == "1" {
		unit = " coat"
	}
	out := []run{bigRun(l.Coats), plainRun(unit)}
	if l.Range != "" {
		out = append(out, smallRun("("+l.Range+")"))
	}
	if l.Each != "" {
		out = append(out, belowRun(glued("of "+l.Each)))
	}
	return out
}

// ticks lists steps in two columns.
func (p *printer) ticks(steps []stepLine, x, y, w float64) float64 {
	half := (len(steps) + 1) / 2
	var h [2]float64
	for i, s := range steps {
		c := i / half
		h[c] += p.tickLine(s, x+float64(c)*(w/2+2), y+h[c], w/2-2)
	}
	return max(h[0], h[1])
}

func (p *printer) tickLine(s stepLine, x, y, w float64) float64 {
	p.box(x, y, s.Done)
	text := s.Short
	if s.Amount != "" {
		text += ", " + s.Amount
	}
	return max(5.6, p.flow(x+6.5, y+0.6, w-6.5, false, boldRun(s.Day+" "+s.From), plainRun(text))+0.8)
}

func (p *printer) shopping(b page) {
	p.heading("Shopping", 14)
	widths := p.columns(12, 0, 24, 26, 32, 18)
	names := []cell{cellOf(smallRun("bought")), cellOf(smallRun("what")), rightOf(smallRun("need")), rightOf(smallRun("on the shelf")), rightOf(smallRun("buy")), rightOf(smallRun("cost"))}
	if len(b.Shopping) > 0 {
		p.table(widths, names, func() {
			for _, s := range b.Shopping {
				what := []run{boldRun(s.Code), plainRun(s.Name)}
				for _, c := range s.Cautions {
					what = append(what, boldSmall(c.Weight), smallRun(c.Text+" ("+strconv.Itoa(c.Source)+")"))
				}
				p.row(widths, cell{tick: true}, cellOf(what...), rightOf(plainRun(s.Need)), rightOf(plainRun(s.OnHand)), rightOf(bigRun(s.Buy)), rightOf(plainRun(s.Cost)))
			}
		})
	}
	p.para(boldRun(b.Money))
	for _, t := range b.Trades {
		p.para(plainRun("• " + t))
	}
}

func (p *printer) cloth(lines []clothLine) {
	if len(lines) == 0 {
		return
	}
	p.heading("Cloth", 10)
	widths := p.columns(46, 20, 24, 24, 0)
	names := []cell{cellOf(smallRun("cloth")), rightOf(smallRun("need")), rightOf(smallRun("with reserve")), rightOf(smallRun("on the shelf")), cellOf(smallRun("mind"))}
	p.table(widths, names, func() {
		for _, c := range lines {
			mind := []run{boldRun(c.Note)}
			for _, r := range c.Cautions {
				mind = append(mind, boldSmall(r.Weight), smallRun(r.Text+" ("+strconv.Itoa(r.Source)+")"))
			}
			p.row(widths, cellOf(plainRun(c.Name)), rightOf(plainRun(c.Need)), rightOf(plainRun(c.Reserve)), rightOf(plainRun(c.OnHand)), cellOf(mind...))
		}
	})
}

func (p *printer) touching(contacts []contact) {
	if len(contacts) == 0 {
		return
	}
	p.heading("What may touch", 12)
	widths := p.columns(60, 36, 0)
	p.table(widths, []cell{cellOf(smallRun("contact")), cellOf(smallRun("verdict")), cellOf(smallRun("because"))}, func() {
		for _, c := range contacts {
			var pairs []run
			for i, o := range c.Pairs {
				end := ""
				if i+1 < len(c.Pairs) {
					end = ";"
				}
				pairs = append(pairs, boldRun(o.Code), plainRun(o.What+end))
			}
			why := []run{smallRun(c.Because + ".")}
			if c.To != "" {
				why = append(why, boldRun("To do:"), plainRun(c.To+"."))
			}
			p.row(widths, cellOf(pairs...), cellOf(boldRun(c.Verdict), boldSmall(c.Weight)), cellOf(why...))
		}
	})
}

func (p *printer) mind(b page) {
	p.heading("Mind", 10)
	for _, c := range b.Cautions {
		p.remark(boldRun(c.Weight), boldRun(c.Subject+":"), plainRun(c.Text), smallRun("("+strconv.Itoa(c.Source)+")"))
	}
	p.remark(boldRun("ALWAYS"), plainRun("The product's label and safety data sheet, local codes and licensed practice decide. Nothing on this sheet clears a hazard."))
	p.para(smallRun("▲ decides: if this step is late, the end of the job is late. Printed colours are approximate and a fluorescent cannot be printed: judge by the real swatch, in daylight and under the lights it will be seen in. Times are estimates: touch-test before the next coat."))
	if len(b.Sources) > 0 {
		text := "Sources of the cautions:"
		for i, s := range b.Sources {
			text += fmt.Sprintf(" (%d) %s;", i+1, s)
		}
		p.para(smallRun(text[:len(text)-1] + "."))
	}
}

// remark sets a paragraph with a bar at its left.
func (p *printer) remark(runs ...run) {
	p.whole(func(y float64) float64 { return p.bar(margin, y, p.w, runs...) })
}

func (p *printer) bar(x, y, w float64, runs ...run) float64 {
	h := p.flow(x+2.5, y, w-2.5, false, runs...)
	if !p.measuring {
		p.pdf.SetLineWidth(0.7)
		p.pdf.Line(x+0.5, y+0.4, x+0.5, y+h)
		p.pdf.SetLineWidth(0.2)
	}
	return h + 1
}

func boldSmall(s string) run { return run{text: s, bold: true, size: small} }
