package sheet

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"undercoat/finish/plan"
	"undercoat/finish/rub"
)

// rubBits are the tests still to do, how each is done, both grey scales, and
// rows to write the grades into.
func rubBits(d Data) []bit {
	wanted := wantedTests(d)
	bits := []bit{heading("To be tested, the most pressing first")}
	if len(wanted) == 0 {
		bits = append(bits, words(plainRun("No contact asks for a test now. What is tested anyway is written below.")))
	} else {
		bits = append(bits, wantedTable(d, wanted))
	}
	bits = append(bits, recordBits(d, wanted)...)
	bits = append(bits, scaleBits(rub.StainingScale)...)
	bits = append(bits, scaleBits(rub.ChangeScale)...)
	bits = append(bits, heading("How it is done"))
	for _, p := range rub.Protocols() {
		if len(wanted) == 0 || slices.ContainsFunc(wanted, func(v rub.Verdict) bool { return v.Wanted.How == p.How }) {
			bits = append(bits, protocolCard(p))
		}
	}
	return append(bits, onRecord(d)...)
}

// wantedTests are the verdicts that ask for a test, one for each test, in the
// order they press.
func wantedTests(d Data) []rub.Verdict {
	var out []rub.Verdict
	for _, v := range d.Verdicts {
		if v.Wanted.How != "" && !slices.ContainsFunc(out, func(o rub.Verdict) bool { return o.Wanted == v.Wanted }) {
			out = append(out, v)
		}
	}
	slices.SortStableFunc(out, func(a, b rub.Verdict) int { return cmp.Compare(a.Risk.Order, b.Risk.Order) })
	return out
}

func wantedTable(d Data, wanted []rub.Verdict) bit {
	g := grid{columns: []column{{name: "done", wide: 10}, {name: "test"}, {name: "at least", wide: 22, right: true}, {name: "begin by", wide: 36}, {name: "why it presses", wide: 62}}}
	for _, v := range wanted {
		what := []run{bigRun(v.Wanted.How), plainRun("of"), boldRun(d.name(v.Wanted.Subject)), plainRun("on"), boldRun(d.name(v.Wanted.Against))}
		switch {
		case v.Wanted.Treated:
			what = append(what, belowRun("the treated piece, before it is cut"))
		case v.Wanted.Cured:
			what = append(what, belowRun("on the paint when it has cured"))
		}
		needed := ""
		if v.Needed > 0 {
			needed = v.Needed.String()
		}
		by := ""
		if s, ok := testStep(d.Plan, v.Wanted); ok {
			by = d.at(s.LatestStart)
		}
		g.rows = append(g.rows, []cell{{tick: true}, cellOf(what...), rightOf(bigRun(needed)), cellOf(boldRun(by)), cellOf(boldSmall(v.Risk.Words), smallRun(strings.Join(v.Risk.Why, ", ")))})
	}
	return g
}

// testStep is the plan's step that makes a test.
func testStep(p plan.Plan, w rub.Wanted) (plan.Step, bool) {
	id := strings.ReplaceAll(w.Subject+" "+w.How, " ", "-") // as the planner names it
	i := slices.IndexFunc(p.Steps, func(s plan.Step) bool { return s.ID == id && !s.LatestStart.IsZero() })
	if i < 0 {
		return plan.Step{}, false
	}
	return p.Steps[i], true
}

// recordBits are rows to write into and squares for the cloths.
func recordBits(d Data, wanted []rub.Verdict) []bit {
	g := grid{
		columns: []column{{name: "date", wide: 20}, {name: "what was rubbed, its state and age"}, {name: "how", wide: 24}, {name: "on", wide: 32}, {name: "grade", wide: 16}, {name: "judged by", wide: 24}},
		high:    9, ruled: true,
	}
	for _, v := range wanted {
		g.rows = append(g.rows, []cell{{}, cellOf(plainRun(d.name(v.Wanted.Subject))), cellOf(plainRun(v.Wanted.How)), cellOf(plainRun(d.name(v.Wanted.Against))), {}, {}})
	}
	g.rows = append(g.rows, blankRows(max(2, 6-len(wanted)), len(g.columns))...)
	squares := faces{high: 26, across: 4}
	for i := range max(4, (len(wanted)+3)/4*4) {
		label := "rubbed cloth"
		if i < len(wanted) {
			label = wanted[i].Wanted.Subject + ", " + wanted[i].Wanted.How
		}
		squares.all = append(squares.all, blankFace(label, "stick it here"))
	}
	return []bit{heading("Record"), g, squares}
}

// scaleBits is a grey scale: pairs of greys that differ by the standard's step.
func scaleBits(s rub.Scale) []bit {
	title := "Grey scale for staining"
	ask := "Lay the stained cloth beside the clean one and find the pair that differs as much."
	if s == rub.ChangeScale {
		title, ask = "Grey scale for change", "Lay the tested piece beside the untouched one and find the pair that differs as much."
	}
	return []bit{heading(title), words(plainRun(ask), smallRun("5 is the best grade, 1 the worst. ΔE is CIELAB ΔE*ab, after ISO 105-A02 and A03; in brackets what the 8-bit greys printed here differ by. A printer that was not measured changes the steps: photograph a pair and grade it, and trust the print only where its own grade comes back.")), scaleFigure(s)}
}

func scaleFigure(s rub.Scale) bit {
	pairs := rub.GreyScale(s)
	const each, high = 21.0, 15.0
	return figure{
		wide: figureWide, high: 2*high + 16, label: scaleWords(pairs),
		draws: func(c pen) {
			for i, p := range pairs {
				x := each*float64(i) + 0.5
				reference, other, shown := p.Shown()
				c.rect(x, 6, each-2, high, fmt.Sprintf("#%02[1]x%02[1]x%02[1]x", reference))
				c.rect(x, 6+high, each-2, high, fmt.Sprintf("#%02[1]x%02[1]x%02[1]x", other))
				c.rect(x, 6, each-2, 2*high, "")
				c.text(x, 4.8, each, run{text: p.Grade.String(), bold: true, size: 13})
				c.text(x, 2*high+10, each-1, run{text: fmt.Sprintf("ΔE %.1f", p.DE), bold: true, size: 9.5})
				c.text(x, 2*high+14, each-1, run{text: fmt.Sprintf("(%.1f)", shown), size: 9.5})
			}
		},
	}
}

func scaleWords(pairs []rub.Pair) string {
	var parts []string
	for _, p := range pairs {
		parts = append(parts, fmt.Sprintf("grade %s: ΔE %.1f", p.Grade, p.DE))
	}
	return "Pairs of greys. " + strings.Join(parts, "; ") + "."
}

// protocolCard is how one test is done, step by step, with the laboratory's
// figure beside it.
func protocolCard(p rub.Protocol) bit {
	c := card{head: []run{{text: p.How, bold: true, size: head}}, bits: []bit{words(boldRun(p.Question))}}
	if p.Standard != "" {
		c.aside = []run{smallRun("a home form of " + p.Standard)}
	}
	c.bits = append(c.bits, words(boldRun("Have ready:"), plainRun(strings.Join(p.Need, "; ")+".")))
	for _, s := range p.Steps {
		runs := []run{plainRun(s.Home)}
		if s.Standard != "" {
			runs = append(runs, smallRun("["+s.Standard+"; "+string(s.Evidence)+"]"))
		} else {
			runs = append(runs, smallRun("["+string(s.Evidence)+"]"))
		}
		c.bits = append(c.bits, tick(runs...))
	}
	for _, a := range p.Accept {
		c.bits = append(c.bits, words(boldRun("Asked for, "+a.Of+": "+a.Grade), plainRun("("+a.Who+"): "+a.Looks)))
	}
	return c
}

// onRecord lists the tests that were made.
func onRecord(d Data) []bit {
	if len(d.Tests) == 0 {
		return nil
	}
	g := grid{columns: []column{{name: "test", wide: 16}, {name: "of", wide: 38}, {name: "on", wide: 30}, {name: "how", wide: 20}, {name: "grade", wide: 18}, {name: "on", wide: 24}, {name: "state"}}}
	for _, t := range d.Tests {
		grade, when := smallRun("not graded"), ""
		if r, ok := t.Rating.Get(); ok {
			grade = bigRun(r.Grade.String())
		}
		if w, ok := t.When.Get(); ok {
			when = w.Format("2 Jan 2006")
		}
		g.rows = append(g.rows, []cell{cellOf(boldRun(t.Code)), cellOf(plainRun(d.name(t.Subject))), cellOf(plainRun(d.name(t.Against))), cellOf(plainRun(t.How)), cellOf(grade), cellOf(plainRun(when)), cellOf(plainRun(t.Condition))})
	}
	return []bit{heading("On record"), g}
}
