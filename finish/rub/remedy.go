package rub

import (
	"fmt"
	"strings"

	"undercoat/inventory"
)

// Remedy is something that may make an article that gives off colour give off
// less. Code is the stock line it needs; "" where it needs none or none is on
// the shelf.
type Remedy struct{ What, Why, Code string }

// remedies lists what works for an article, in the order to try: only what has
// a reason in its fibre and dye. Folk recipes that do not fix dye are never
// offered.
//
// Source: common practice with the textile chemist's reason (the workroom's
// table of remedies); a cationic fixative ties anionic dye (direct, reactive) to
// cellulose, and does nothing for disperse dye or pigment.
func remedies(stock inventory.Stock, a inventory.Article) []Remedy {
	switch a.Kind {
	case inventory.KindPaint:
		return paintRemedies(stock, a)
	case inventory.KindCloth, inventory.KindTrim, inventory.KindDye:
		class, fibre := dyeing(stock, a)
		return dyeRemedies(stock, class, fibre)
	}
	return nil
}

// dyeing is the dye class and the fibre of an article, in lower case.
func dyeing(stock inventory.Stock, a inventory.Article) (class, fibre string) {
	if c, ok := stock.Cloth(a.Code); ok {
		return strings.ToLower(c.DyeClass), strings.ToLower(c.Fibre)
	}
	if d, ok := stock.Dye(a.Code); ok {
		return strings.ToLower(d.Class), strings.ToLower(strings.Join(d.Suits, " "))
	}
	t, _ := stock.Trim(a.Code)
	return "", strings.ToLower(t.Fibre)
}

func paintRemedies(stock inventory.Stock, a inventory.Article) []Remedy {
	out := []Remedy{{"let it cure longer", "the binder is not yet linked", ""}}
	if p, _ := stock.Paint(a.Code); p.HeatC.Known() {
		out[0] = Remedy{"let it cure longer, then heat-set it again as its label says", "the binder is not yet linked", ""}
	}
	return append(out, Remedy{"lay a thin coat of clear textile binder over it", "it ties loose pigment; the hand stiffens and a fluorescent dulls", ""})
}

var wash = Remedy{"wash or rinse it until the water runs clear, then dry it", "loose dye sits on the surface", ""}

func dyeRemedies(stock inventory.Stock, class, fibre string) []Remedy {
	cellulose := holdsAny(fibre, "cotton", "linen", "viscose", "rayon", "lyocell", "modal", "cupro", "hemp", "ramie")
	switch {
	case holdsAny(class, "undyed"):
		return nil
	case holdsAny(class, "direct", "reactive", "union") && cellulose:
		return []Remedy{wash, fixative(stock)}
	case holdsAny(class, "acid") && holdsAny(fibre, "nylon", "polyamide"):
		return []Remedy{wash, {"an aftertreatment made for acid dye on nylon (syntan)", "it holds acid dye; a fixative for cotton does not", ""}}
	case holdsAny(class, "disperse"):
		return []Remedy{wash} // surplus dye only: nothing at home ties disperse dye
	case holdsAny(fibre, "vinyl", "foam", "polyurethane", "leather"):
		return nil
	}
	return []Remedy{wash}
}

// fixative is the cationic fixative of the shelf, or the advice to get one.
func fixative(stock inventory.Stock) Remedy {
	r := Remedy{What: "a cationic dye fixative, after washing", Why: "it ties direct and reactive dye to cellulose; the shade may shift"}
	for p := range stock.All() {
		words := strings.ToLower(p.Name + " " + strings.Join(p.Contains, " "))
		if p.Kind == inventory.KindTreatment && strings.Contains(words, "cationic") {
			r.What, r.Code = fmt.Sprintf("the fixative %s %s, after washing", p.Code, p.Name), p.Code
			break
		}
	}
	return r
}

func holdsAny(text string, words ...string) bool {
	for _, w := range words {
		if strings.Contains(text, w) {
			return true
		}
	}
	return false
}
