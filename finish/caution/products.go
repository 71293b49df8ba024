package caution

import (
	_ "embed"
	"fmt"
	"slices"
	"strings"
	"sync"
	"unicode"
	"unicode/utf8"

	"undercoat/finish/plan"
	"undercoat/inventory"
	"undercoat/inventory/unit"
)

//go:embed data/products.csv
var productsCSV string

// productRule is a row of data/products.csv: a product that holds one of the
// words, and none of the words against, or bears one of the statements.
type productRule struct {
	word           string
	weight         Weight
	words, against []string
	hazards        []string
	text, source   string
}

var productRules = sync.OnceValue(func() []productRule {
	weights := map[string]Weight{"note": Note, "care": Care, "stop": Stop}
	var out []productRule
	for _, c := range table("products.csv", productsCSV) {
		w, ok := weights[c[1]]
		if !ok {
			panic("caution: products.csv: " + c[0] + ": expected note, care or stop")
		}
		out = append(out, productRule{word: c[0], weight: w, words: split(c[2]), against: split(c[3]), hazards: split(c[4]), text: c[5], source: c[6]})
	}
	return out
})

// ProductRules lists the rows of data/products.csv as rules: what each looks for,
// and its source.
func ProductRules() []Rule {
	var out []Rule
	for _, r := range productRules() {
		looks := "products that name " + strings.ReplaceAll(strings.Join(r.words, ", "), "*", "")
		if len(r.hazards) > 0 {
			looks += " or bear " + strings.Join(r.hazards, ", ")
		}
		out = append(out, Rule{Word: r.word, Looks: looks, Source: r.source})
	}
	return out
}

func split(s string) []string {
	if s == "" {
		return nil
	}
	return strings.Split(s, ";")
}

// product is one article the plan takes, with what several rules ask of it.
type product struct {
	inventory.Article
	base   string // water, solvent or ""
	voc    unit.Stated[float64]
	areas  []string
	volume unit.Volume // the most of it laid in one step; 0 where it is no liquid
}

func (p product) name() string { return p.Code + " " + p.Name }

func (p product) on() string { return strings.Join(p.areas, ", ") }

// used lists the products the plan takes, in the order of its areas, each
// once.
func used(in Input) []product {
	var out []product
	take := func(code, area string) {
		if code == "" {
			return
		}
		i := slices.IndexFunc(out, func(p product) bool { return p.Code == code })
		if i < 0 {
			p, ok := productOf(in.Stock, code)
			if !ok {
				return
			}
			out, i = append(out, p), len(out)
		}
		if !slices.Contains(out[i].areas, area) {
			out[i].areas = append(out[i].areas, area)
		}
	}
	for _, a := range in.Plan.Areas {
		for _, y := range a.Layers {
			take(y.Code, a.Code)
			take(y.Fixer, a.Code)
		}
		take(a.Setting.Fixer, a.Code)
	}
	for i := range out {
		out[i].volume = largestStep(in.Plan, out[i].Code)
	}
	return out
}

func productOf(stock inventory.Stock, code string) (product, bool) {
	if p, ok := stock.Paint(code); ok {
		return product{Article: p.Article, base: p.Base, voc: p.VOC}, true
	}
	if d, ok := stock.Dye(code); ok {
		return product{Article: d.Article, base: d.Base, voc: d.VOC}, true
	}
	a, ok := stock.Article(code)
	return product{Article: a}, ok
}

// largestStep is the most of a product that one step still to be done lays: of
// its coats, else all of its layer at once.
func largestStep(p plan.Plan, code string) unit.Volume {
	most := unit.Volume(0)
	for _, s := range p.Steps {
		if s.Code == code && !s.Done {
			most = max(most, s.Volume)
		}
	}
	if most > 0 {
		return most
	}
	for _, a := range p.Areas {
		for _, y := range a.Layers {
			if y.Code == code && y.Coats == 0 {
				most = max(most, y.Left, y.Volume)
			}
		}
	}
	return most
}

// words are everything a maker wrote of an article, in lower case.
func words(a inventory.Article) string {
	return strings.ToLower(strings.Join(append([]string{a.Name, a.Medium, a.Note}, a.Contains...), " ; "))
}

// says reports whether a text holds one of the words, as words of their own:
// "benzene" is not in "ethylbenzene", "velvet" is in "velveteen" only where the
// word ends in *.
func says(text string, list ...string) bool {
	return slices.ContainsFunc(list, func(w string) bool {
		open := strings.HasSuffix(w, "*")
		w = strings.TrimSuffix(w, "*")
		for at := 0; ; {
			i := strings.Index(text[at:], w)
			if i < 0 {
				return false
			}
			i += at
			end := i + len(w)
			if !letterBefore(text, i) && (open || !letterAfter(text, end)) {
				return true
			}
			at = i + 1
		}
	})
}

func letterBefore(s string, i int) bool {
	r, _ := utf8.DecodeLastRuneInString(s[:i])
	return unicode.IsLetter(r) || unicode.IsDigit(r)
}

func letterAfter(s string, i int) bool {
	r, _ := utf8.DecodeRuneInString(s[i:])
	return unicode.IsLetter(r) || unicode.IsDigit(r)
}

// products applies the rows of data/products.csv.
func products(in Input) []Caution {
	var out []Caution
	for _, p := range used(in) {
		text := words(p.Article)
		for _, r := range productRules() {
			bears := slices.ContainsFunc(p.Hazards, func(h string) bool { return slices.Contains(r.hazards, plainCode(h)) })
			if !bears && (!says(text, r.words...) || says(text, r.against...)) {
				continue
			}
			out = append(out, Caution{Rule: r.word, Weight: r.weight, Subject: p.Code, Source: r.source, Text: strings.NewReplacer("{name}", p.name(), "{areas}", p.on()).Replace(r.text)})
		}
	}
	return out
}

// hazards quotes the hazard statements of every product the plan takes.
func hazards(in Input) []Caution {
	var out []Caution
	for _, p := range used(in) {
		for _, h := range p.Hazards {
			text, known := HazardText(h)
			if !known {
				text = "a hazard statement this table does not hold: read it on the label"
			}
			c := Caution{Weight: Care, Subject: p.Code, Text: fmt.Sprintf("%s: %s: %s. %s", p.Name, h, text, advice(h))}
			if slices.Contains(stops, plainCode(h)) {
				c.Weight, c.Text = Stop, c.Text+" Do not open it before its safety data sheet was read."
			}
			out = append(out, c)
		}
	}
	return out
}

// advice is what a hazard statement's group asks for in a workroom.
func advice(code string) string {
	switch groupOf(code) {
	case "fire":
		return "No flame, heat gun or iron near it until all smell of solvent is gone; work outdoors or with a fan to outdoors."
	case "sensitizer":
		return "Gloves of the kind its safety data sheet names; not for anyone with a known allergy to it."
	case "inhalation":
		return "Outdoors or with extraction; a dust mask does not stop vapour."
	case "skin", "eye":
		return "Gloves and glasses; wash off at once."
	case "chronic":
		return "Keep it away from children and from pregnant or nursing people."
	case "environment":
		return "Not into the drain: leftovers go to a collection point."
	}
	return "Read its safety data sheet first."
}

// unsheeted names the products of which no hazard statement is on record: that
// may mean none, or that nobody entered the safety data sheet.
func unsheeted(in Input) []Caution {
	var codes []string
	for _, p := range used(in) {
		liquid := p.Kind != inventory.KindCloth && p.Kind != inventory.KindTrim
		if liquid && len(p.Hazards) == 0 {
			codes = append(codes, p.Code)
		}
	}
	if len(codes) == 0 {
		return nil
	}
	return []Caution{{Weight: Note, Subject: "job", Text: fmt.Sprintf("no hazard statement is on record for %s: look into section 2 of their safety data sheets; none stated is not none", strings.Join(codes, ", "))}}
}

// powders mind dye powders, those in use and those that need not be opened.
func powders(in Input) []Caution {
	var out []Caution
	taken := used(in)
	for a := range in.Stock.All() {
		if a.Kind != inventory.KindDye && a.Kind != inventory.KindPaint || !says(words(a), "powder", "powdered") {
			continue
		}
		if slices.ContainsFunc(taken, func(p product) bool { return p.Code == a.Code }) {
			out = append(out, Caution{Weight: Care, Subject: a.Code, Text: a.Code + " " + a.Name + ": weigh it in still air under a cover, wet it before stirring, particle mask and gloves, wipe up wet; not where food is made"})
			continue
		}
		if slices.ContainsFunc(a.Hazards, func(h string) bool { return groupOf(h) == "sensitizer" || groupOf(h) == "chronic" }) {
			out = append(out, Caution{Weight: Note, Subject: a.Code, Text: a.Code + " " + a.Name + " is not needed for this job: leave it closed"})
		}
	}
	return out
}

// children asks for everybody who must not be near what the plan uses.
func children(in Input) []Caution {
	var grave, other []string
	for _, p := range used(in) {
		switch {
		case slices.ContainsFunc(p.Hazards, func(h string) bool { return groupOf(h) == "chronic" }):
			grave = append(grave, p.Code)
		case p.base == "solvent", slices.ContainsFunc(p.Hazards, func(h string) bool { return groupOf(h) == "sensitizer" }):
			other = append(other, p.Code)
		}
	}
	var out []Caution
	say := func(w Weight, codes []string) {
		if len(codes) > 0 {
			out = append(out, Caution{Weight: w, Subject: "room", Text: fmt.Sprintf("no children, pregnant or nursing people in the room while %s is open or drying", strings.Join(codes, ", "))})
		}
	}
	say(Stop, grave)
	say(Care, other)
	return out
}
