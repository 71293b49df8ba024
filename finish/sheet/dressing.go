package sheet

import (
	"fmt"
	"slices"
	"strings"

	"undercoat/finish/garment"
	"undercoat/finish/plan"
	"undercoat/finish/rub"
	"undercoat/inventory"
)

// dressingBits are what goes along to the event: the order of putting on, what
// lies apart in the bag, and what mends a knock.
func dressingBits(d Data) []bit {
	bits := []bit{heading("Who wears it")}
	if len(d.Job.Wearers) == 0 {
		bits = append(bits, words(plainRun("Nobody is on record yet.")))
	}
	for _, w := range d.Job.Wearers {
		bits = append(bits, words(wearerRuns(w)...))
	}
	bits = append(bits, heading("Putting on"))
	bits = append(bits, dressingTable(d)...)
	bits = append(bits, heading("In the bag"))
	bits = append(bits, bagBits(d)...)
	bits = append(bits, heading("Repair kit"))
	return append(bits, kitBits(d)...)
}

func wearerRuns(w garment.Wearer) []run {
	runs := []run{bigRun(w.Code), boldRun(w.Name)}
	if w.Size != "" {
		runs = append(runs, plainRun("size "+w.Size))
	}
	if len(w.Sensitivities) > 0 {
		runs = append(runs, boldRun("REACTS TO "+strings.ToUpper(commaAnd(w.Sensitivities))))
	}
	return runs
}

// wearersAcross is how many wearers' boxes stand side by side.
const wearersAcross = 6

// dressingTable lists the areas from the skin outwards with a box for each
// wearer.
func dressingTable(d Data) []bit {
	order, knotted := dressingOrder(d.Job)
	if len(order) == 0 {
		return []bit{words(plainRun("No area is on record yet."))}
	}
	said := "The order follows from what lies on what in the table of contacts, else the table of areas: settle it at the fitting and write it over the numbers."
	if knotted {
		said += " Some contacts lie on each other in a ring; those stand in the order of the table."
	}
	bits := []bit{words(smallRun(said))}
	for from := 0; from < len(d.Job.Wearers); from += wearersAcross {
		some := d.Job.Wearers[from:min(from+wearersAcross, len(d.Job.Wearers))]
		g := grid{columns: []column{{name: "", wide: 11}, {name: "piece", wide: 56}, {name: "mind"}}}
		for _, w := range some {
			g.columns = append(g.columns, column{name: w.Code, wide: 10})
		}
		for i, a := range order {
			row := []cell{cellOf(bigRun(fmt.Sprint(i + 1))), cellOf(bigRun(a.Code), plainRun(a.Piece)), cellOf(dressingMind(d, a)...)}
			for range some {
				row = append(row, cell{tick: true})
			}
			g.rows = append(g.rows, row)
		}
		bits = append(bits, g)
	}
	return bits
}

// dressingOrder puts what lies under something before what lies on it, ties in
// the order of the areas. Contacts of the bag, which rub nothing, do not count.
// knotted says that some lie on each other in a ring.
func dressingOrder(job garment.Job) (order []garment.Area, knotted bool) {
	left := slices.Clone(job.Areas)
	over := func(a garment.Area) bool { // something still left lies under it
		return slices.ContainsFunc(job.Contacts, func(c garment.Contact) bool {
			return c.Rubbing != garment.RubNone && c.From == a.Code && c.To != a.Code && slices.ContainsFunc(left, func(o garment.Area) bool { return o.Code == c.To })
		})
	}
	for len(left) > 0 {
		i := slices.IndexFunc(left, func(a garment.Area) bool { return !over(a) })
		if i < 0 {
			i, knotted = 0, true
		}
		order, left = append(order, left[i]), slices.Delete(left, i, i+1)
	}
	return order, knotted
}

// dressingMind is what must be minded while an area is put on.
func dressingMind(d Data, a garment.Area) []run {
	var runs []run
	for _, v := range d.Verdicts {
		c := v.Contact
		if c.Rubbing == garment.RubNone || c.From != a.Code || v.Word == rub.NoObjection {
			continue
		}
		runs = append(runs, run{text: fmt.Sprintf("on %s: %s", c.To, strings.ToUpper(string(v.Word))), bold: true, size: body, below: len(runs) > 0})
		if v.Barrier.How != "" {
			runs = append(runs, smallRun("("+strings.TrimSpace(v.Barrier.Code+" "+v.Barrier.How)+")"))
		}
	}
	if p, ok := planArea(d, a.Code); ok && a.Skin {
		if t, ok := p.Cured.Get(); ok && p.Method == garment.ByPaint {
			runs = append(runs, run{text: "lies on skin: not before it is cured, " + d.at(t), size: body, below: len(runs) > 0})
		} else {
			runs = append(runs, run{text: "lies on skin", size: body, below: len(runs) > 0})
		}
	}
	if a.Stretch > 0 && a.Painted > 0 {
		runs = append(runs, run{text: fmt.Sprintf("painted and stretched to %.0f %%: ease it on, do not pull at the paint", 100*a.Stretch), size: small, below: len(runs) > 0})
	}
	if a.Target.Fluorescent {
		runs = append(runs, run{text: "fluorescent: covered from the sun until it is worn", size: small, below: len(runs) > 0})
	}
	return runs
}

func planArea(d Data, code string) (plan.Area, bool) {
	i := slices.IndexFunc(d.Plan.Areas, func(a plan.Area) bool { return a.Code == code })
	if i < 0 {
		return plan.Area{}, false
	}
	return d.Plan.Areas[i], true
}

// bagBits are what must lie apart.
func bagBits(d Data) []bit {
	var bits []bit
	if t, ok := d.Job.Packing.Get(); ok {
		bits = append(bits, words(bigRun("pack "+d.at(t))))
	}
	for _, v := range d.Verdicts {
		if v.Contact.Rubbing == garment.RubNone && v.Word != rub.NoObjection {
			bits = append(bits, tick(boldRun(d.surface(v.Contact.From)+" on "+d.surface(v.Contact.To)+":"), boldRun(strings.ToUpper(string(v.Word))), smallRun("("+contactLife(v.Contact)+")")))
		}
	}
	for _, p := range d.Apart {
		how := "tissue or a bag between it and " + commaAnd(p.From)
		if p.Softens {
			how = rub.BagOfItsOwn + ", off " + commaAnd(p.From)
		}
		bits = append(bits, tick(boldRun(d.surface(p.Area)+":"), plainRun(how), smallRun("("+p.Because+")")))
	}
	bits = append(bits, tick(plainRun("painted faces never on each other; nothing folded before it is cured; tissue in every fold")))
	return bits
}

// kitCommon is what workrooms take along; common practice, no source.
var kitCommon = []string{
	"needles, thread in every colour of cloth", "safety pins, a thimble, small scissors", "a soft brush and a fine brush for each colour of paint",
	"clean white cotton, tissue, bags", "a small jar of water, cotton buds", "gloves", "tape that lifts off again", "this sheet and the safety data sheets of the pots",
}

// kitBits are the pots, scraps and trims that mend this job, and what is always
// taken.
func kitBits(d Data) []bit {
	var lines []bit
	for _, b := range d.Plan.Batches {
		if b.Repair > 0 {
			lines = append(lines, tick(boldRun(glued(fmt.Sprintf("%.0f ml", float64(b.Repair)))), boldRun(b.Code), plainRun(b.Name+", for "+commaAnd(b.Areas))))
		}
	}
	for _, code := range fixersOf(d.Plan) {
		lines = append(lines, tick(boldRun(code), plainRun(strings.TrimPrefix(d.name(code), code)+": no repair pot has it in yet, and a mix keeps for hours only")))
	}
	for _, a := range clothsOf(d) {
		lines = append(lines, tick(plainRun("a scrap of"), boldRun(a.Code), plainRun(a.Name)))
	}
	for _, a := range trimsOf(d) {
		lines = append(lines, tick(plainRun("a few of"), boldRun(a.Code), plainRun(a.Name)))
	}
	bits := []bit{words(boldRun("Of this job"))}
	if len(lines) == 0 {
		bits = append(bits, words(plainRun("Nothing is chosen yet.")))
	} else {
		bits = append(bits, ticks{across: 2, lines: lines})
	}
	var common []bit
	for _, s := range kitCommon {
		common = append(common, tick(plainRun(s)))
	}
	return append(bits, words(boldRun("Always"), smallRun("(common practice, no source)")), ticks{across: 2, lines: common}, fields{"packed by", "on"})
}

// fixersOf are the fixers of a plan's batches, each once.
func fixersOf(p plan.Plan) []string {
	var codes []string
	for _, b := range p.Batches {
		if b.Fixer != "" && !slices.Contains(codes, b.Fixer) {
			codes = append(codes, b.Fixer)
		}
	}
	return codes
}

// clothsOf are the cloths that areas are cut from or painted on, each once.
func clothsOf(d Data) []inventory.Article {
	return d.used(inventory.KindCloth)
}

// trimsOf are the trims that are set, each once.
func trimsOf(d Data) []inventory.Article {
	return d.used(inventory.KindTrim)
}

// used are the articles of a kind in the plan's areas, each once, in the order
// of the areas.
func (d Data) used(kind inventory.Kind) []inventory.Article {
	var out []inventory.Article
	take := func(code string) {
		a, ok := d.Stock.Article(code)
		if ok && a.Kind == kind && !slices.ContainsFunc(out, func(o inventory.Article) bool { return o.Code == code }) {
			out = append(out, a)
		}
	}
	for _, a := range d.Plan.Areas {
		take(a.Ground)
		for _, y := range a.Layers {
			take(y.Code)
		}
	}
	return out
}

// commaAnd joins words as a sentence does: "A1, A2 and A3".
func commaAnd(list []string) string {
	switch n := len(list); n {
	case 0:
		return ""
	case 1:
		return list[0]
	default:
		return strings.Join(list[:n-1], ", ") + " and " + list[n-1]
	}
}
