package sheet

import (
	"fmt"
	"slices"

	"undercoat/finish/plan"
	"undercoat/inventory"
	"undercoat/inventory/unit"
)

// recipeBits are the cards a pot is mixed by: the stack of every area that is
// painted or dyed, then the numbered recipes of the workroom that belong to the
// job.
func recipeBits(d Data) []bit {
	var all []card
	for _, a := range d.Plan.Areas {
		if poured(a) {
			all = append(all, stackCard(d, a))
		}
	}
	for _, r := range d.Recipes {
		all = append(all, recipeCard(d, r))
	}
	if len(all) == 0 {
		return []bit{words(plainRun("Nothing is painted or dyed yet, and no recipe is kept."))}
	}
	return []bit{
		words(smallRun("Stir, pour all pots of one colour together before the first coat, and write every correction down: a corrected mix is a new recipe.")),
		cards{across: 1, all: all},
	}
}

// poured reports whether anything of an area comes out of a pot.
func poured(a plan.Area) bool {
	return slices.ContainsFunc(a.Layers, func(y plan.Layer) bool { return y.Volume > 0 })
}

// stackCard is the recipe of one area, from the ground up.
func stackCard(d Data, a plan.Area) card {
	g := grid{columns: []column{{name: "", wide: 8}, {name: "from the ground up"}, {name: "coats", wide: 30, right: true}, {name: "each", wide: 30, right: true}, {name: "pour in all", wide: 30, right: true}}}
	for i, y := range a.Layers {
		if y.Volume <= 0 {
			continue
		}
		l := newLayer(d, i+1, y)
		what := []run{boldRun(fmt.Sprintf("%d. %s,", l.Number, l.Name)), plainRun(l.Role), belowRun(l.Fix)}
		coats := []run{bigRun(l.Coats)}
		if l.Range != "" {
			coats = append(coats, smallRun("("+l.Range+")"))
		}
		each := l.Each
		if each == "" {
			each = l.Total
		}
		g.rows = append(g.rows, []cell{{tick: true}, cellOf(what...), rightOf(coats...), rightOf(plainRun(glued(each))), rightOf(bigRun(glued(l.Total)), belowRun(glued(l.Repair)))})
	}
	c := card{head: []run{{text: a.Code + " " + a.Piece, bold: true, size: head}}, bits: []bit{g}}
	if t, ok := a.LatestStart.Get(); ok {
		c.aside = []run{bigRun("begin by " + d.at(t))}
	}
	var under []run
	if a.Ground != "" {
		under = append(under, boldRun("On:"), plainRun(d.name(a.Ground)+"."))
	}
	if a.Setting.Because != "" {
		under = append(under, boldRun("Setting:"), plainRun(a.Setting.Because+"."))
	}
	if len(under) > 0 {
		c.bits = append([]bit{words(under...)}, c.bits...)
	}
	squares := faces{high: 15}
	for _, s := range colours(d, a) {
		squares.all = append(squares.all, faceOf(s))
	}
	squares.all = append(squares.all, blankFace("dab, wet", ""), blankFace("dab, dry", ""))
	c.bits = append(c.bits, squares, corrections())
	return c
}

// recipeCard is a numbered recipe of the workroom, weighed out for 100 g.
func recipeCard(d Data, r inventory.RecipeFact) card {
	c := card{head: []run{{text: fmt.Sprintf("Recipe %d: %s", r.Number, r.Name), bold: true, size: head}}}
	if r.Area != "" {
		c.aside = []run{plainRun("for " + d.surface(r.Area))}
	}
	if r.Ground != "" {
		c.bits = append(c.bits, words(boldRun("On:"), plainRun(d.name(r.Ground))))
	}
	if len(r.Parts) > 0 {
		c.bits = append(c.bits, partsTable(d, r))
	}
	if len(r.Layers) > 0 {
		g := grid{columns: []column{{name: "", wide: 8}, {name: "from the ground up"}, {name: "coats", wide: 30, right: true}}}
		for _, y := range r.Layers {
			coats := "as planned"
			if y.Coats > 0 {
				coats = fmt.Sprint(y.Coats)
			}
			g.rows = append(g.rows, []cell{{tick: true}, cellOf(boldRun(d.name(y.Code))), rightOf(bigRun(coats))})
		}
		c.bits = append(c.bits, g)
	}
	squares := faces{high: 15}
	if w, ok := r.Target.Get(); ok {
		squares.all = append(squares.all, faceOf(newSwatch("made for", w.Colour.Lab())))
	}
	squares.all = append(squares.all, blankFace("dab, wet", ""), blankFace("dab, dry", ""))
	c.bits = append(c.bits, squares)
	for _, b := range d.Batches {
		if b.Recipe == r.Number {
			c.bits = append(c.bits, words(boldRun(batchName(b)+":"), plainRun(batchLeft(d, b))))
		}
	}
	if r.Note != "" {
		c.bits = append(c.bits, words(plainRun(r.Note)))
	}
	c.bits = append(c.bits, corrections())
	return c
}

// recipeUnit is the amount a recipe's parts are printed for.
const recipeUnit unit.Mass = 100

func partsTable(d Data, r inventory.RecipeFact) grid {
	g := grid{columns: []column{{name: "", wide: 8}, {name: "weigh, for 100 g"}, {name: "share", wide: 24, right: true}, {name: "g", wide: 30, right: true}, {name: "weighed", wide: 30, right: true}}}
	for _, p := range r.For(recipeUnit) {
		g.rows = append(g.rows, []cell{{tick: true}, cellOf(boldRun(d.name(p.Code))), rightOf(plainRun(fmt.Sprintf("%.1f %%", float64(p.Mass)))), rightOf(bigRun(fmt.Sprintf("%.1f", float64(p.Mass)))), {}})
	}
	return g
}

func batchName(b inventory.BatchFact) string { return fmt.Sprintf("Batch %d", b.Number) }

func batchLeft(d Data, b inventory.BatchFact) string {
	s := fmt.Sprintf("%.0f g made", float64(b.Made))
	if !b.At.IsZero() {
		s += " " + b.At.In(d.zone()).Format("2 January 2006")
	}
	s += fmt.Sprintf(", %.0f g left", float64(b.Left))
	if b.Place != "" {
		s += ", " + b.Place
	}
	return s
}

// corrections are rows to write down what was added.
func corrections() bit {
	return grid{
		columns: []column{{name: "corrected on", wide: 28}, {name: "added"}, {name: "how much", wide: 28}, {name: "then it looked", wide: 52}},
		rows:    blankRows(3, 4), high: writing, ruled: true,
	}
}

// labelBits are the labels of the pots: one for each colour that is poured
// together, one for each that is kept for repairs, one for each batch that was
// mixed.
func labelBits(d Data) []bit {
	var all []card
	for _, b := range d.Plan.Batches {
		all = append(all, potLabel(d, b, b.Paint, false))
		if b.Repair > 0 {
			all = append(all, potLabel(d, b, b.Repair, true))
		}
	}
	for _, b := range d.Batches {
		all = append(all, batchLabel(d, b))
	}
	if len(all) == 0 {
		return []bit{words(plainRun("No pot is to be filled yet."))}
	}
	return []bit{
		words(smallRun("Cut along the dashes. The words of the hazard statements are on the safety data sheet, which decides; a code that is missing here is not a clearance.")),
		cards{across: 2, all: all},
	}
}

// potLabel is one pot of a plan's colour.
func potLabel(d Data, b plan.Batch, amount unit.Volume, repair bool) card {
	what, fix := "", ""
	if repair {
		what = "REPAIR POT, keep sealed;"
	}
	switch {
	case b.Fixer != "" && repair:
		fix = "No " + b.Fixer + " in it: stir some in when it is used."
	case b.Fixer != "":
		fix = "Stir in " + d.name(b.Fixer) + " afresh for each session."
	}
	c := card{
		cut: true, head: []run{{text: b.Code, bold: true, size: title}}, aside: []run{bigRun(glued(fmt.Sprintf("%.0f ml", float64(amount))))},
		bits: []bit{words(boldRun(b.Name+","), boldRun(what), plainRun("for "+commaAnd(b.Areas)))},
	}
	squares := faces{high: 9, all: []face{blankFace("dab here", "")}}
	if a, ok := d.Stock.Article(b.Code); ok {
		if col, ok := a.Colour.Get(); ok {
			s := newSwatch("", col.Lab())
			if glows(d, b.Code) {
				s.Words = "glows, cannot be printed; hue near " + s.Words
			}
			squares.all = append([]face{{s.Hex, []run{smallRun(s.Words)}}}, squares.all...)
		}
		c.bits = append(c.bits, squares)
		c.bits = append(c.bits, labelFacts(d, a)...)
	} else {
		c.bits = append(c.bits, squares)
	}
	if fix != "" {
		c.bits = append(c.bits, words(boldRun(fix)))
	}
	c.bits = append(c.bits, fields{"filled on", "by"})
	return c
}

// glows reports whether a paint or a dye is known to be fluorescent.
func glows(d Data, code string) bool {
	if p, ok := d.Stock.Paint(code); ok {
		return p.Fluorescent.Known()
	}
	y, ok := d.Stock.Dye(code)
	return ok && y.Fluorescent.Known()
}

// labelFacts are the last day of use and the hazard codes of an article.
func labelFacts(d Data, a inventory.Article) []bit {
	var bits []bit
	if t, ok := a.Expires.Get(); ok {
		bits = append(bits, words(boldRun("use by "+t.Format("2 January 2006"))))
	}
	if len(a.Hazards) > 0 {
		bits = append(bits, words(boldRun(commaAnd(a.Hazards)+":"), plainRun("see its safety data sheet")))
	} else {
		bits = append(bits, words(smallRun("no hazard statement on record: see its safety data sheet")))
	}
	return bits
}

// batchLabel is the label of a recipe's batch.
func batchLabel(d Data, b inventory.BatchFact) card {
	name := fmt.Sprintf("recipe %d", b.Recipe)
	var parts []run
	for _, r := range d.Recipes {
		if r.Number == b.Recipe {
			name += ": " + r.Name
			for _, p := range r.For(recipeUnit) {
				parts = append(parts, plainRun(fmt.Sprintf("%s %.1f %%;", d.name(p.Code), float64(p.Mass))))
			}
		}
	}
	return card{
		cut: true, head: []run{{text: batchName(b), bold: true, size: title}}, aside: []run{bigRun(glued(fmt.Sprintf("%.0f g", float64(b.Made))))},
		bits: []bit{words(boldRun(name)), words(parts...), words(plainRun(batchLeft(d, b))), faces{high: 12, all: []face{blankFace("dab here", "")}}, fields{"opened", "used up"}},
	}
}
