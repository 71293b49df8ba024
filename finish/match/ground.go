package match

import (
	"fmt"
	"strings"
	"unicode"

	"undercoat/finish/film"
	"undercoat/inventory"
	"undercoat/inventory/unit"
)

// groundFacts is what is known of the thing under the coats.
type groundFacts struct {
	code, name string
	there      bool     // whether there is a ground at all
	materials  []string // lower case, as labels name them
	dye        string   // dye class of the cloth
	iron       unit.Stated[float64]
	raw        bool // open foam: solvents attack it, it must be sealed first
	look       look
}

// readGround gathers the facts of a request's ground.
func readGround(g Ground, stock inventory.Stock) (groundFacts, error) {
	if g.Code == "" && !g.Colour.Valid() {
		return groundFacts{}, nil
	}
	f := groundFacts{code: g.Code, there: true}
	var err error
	if f.look, err = groundLook(g, stock); err != nil {
		return groundFacts{}, err
	}
	if c, ok := stock.Cloth(g.Code); ok {
		f.name, f.dye, f.iron = c.Name, c.DyeClass, c.IronMax
		f.materials = materialWords(c.Fibre, c.Medium)
	} else if t, ok := stock.Trim(g.Code); ok {
		f.name, f.iron = t.Name, t.IronMax
		f.materials = materialWords(t.Fibre, t.Medium)
	} else if a, ok := stock.Article(g.Code); ok {
		f.name = a.Name
	}
	f.raw = has(f.materials, "foam")
	for _, l := range g.Under {
		if p, ok := stock.Paint(l.Code); ok && RoleOf(p) == Seal {
			f = f.sealed()
		}
	}
	return f, nil
}

// sealed returns the facts once a sealer lies on the ground.
func (f groundFacts) sealed() groundFacts {
	if !f.raw {
		return f
	}
	f.raw = false
	f.materials = append([]string{"sealed foam"}, without(f.materials, "foam")...)
	return f
}

// materialWords returns the words a label might use for an article: each whole
// text and its words.
func materialWords(texts ...string) []string {
	var out []string
	add := func(s string) {
		if s = strings.TrimSpace(s); s != "" && !has(out, s) {
			out = append(out, s)
		}
	}
	for _, t := range texts {
		// "vinyl on knit" is vinyl to whatever lies on it.
		t, _, _ = strings.Cut(strings.ToLower(t), " on ")
		add(t)
		for _, w := range strings.FieldsFunc(t, func(r rune) bool { return !unicode.IsLetter(r) }) {
			add(w)
		}
	}
	return out
}

func has(words []string, w string) bool {
	for _, x := range words {
		if x == w {
			return true
		}
	}
	return false
}

func without(words []string, w string) []string {
	var out []string
	for _, x := range words {
		if x != w {
			out = append(out, x)
		}
	}
	return out
}

// String names the ground for a sentence: "C7 Navy canvas".
func (f groundFacts) String() string {
	if f.code == "" {
		return "the ground"
	}
	return strings.TrimSpace(f.code + " " + f.name)
}

// heatLimit returns the hottest the ground and the workroom stand, and whose
// limit it is.
func (f groundFacts) heatLimit(room unit.Stated[float64]) (limit unit.Stated[float64], whose string) {
	limit, whose = f.iron, f.String()
	if r, ok := room.Get(); ok {
		if l, ok := limit.Get(); !ok || r < l {
			return room, "the workroom"
		}
	}
	return limit, whose
}

func celsius(c float64) string { return fmt.Sprintf("%.0f °C", c) }

func percent(x float64) string { return fmt.Sprintf("%.0f %%", 100*x) }

// closed lists the materials that swallow nothing and lie smooth.
var closed = []string{"foam", "vinyl", "polyurethane", "pvc", "leather", "plastic", "metal", "wood"}

// weaveOf returns what a cloth does to a film laid on it and whether it is
// open: dry, absorbent textile.
//
// Unevenness and thirst are judgements (common practice, no source): smooth
// weaves, canvas and the like, knit and pile; man-made fibre swallows less.
func weaveOf(c inventory.Cloth) (w Weave, open bool) {
	words := materialWords(c.Fibre, c.Medium)
	for _, m := range closed {
		if has(words, m) || has(words, m+" sheet") || strings.HasPrefix(strings.ToLower(c.Medium), m) {
			return Weave{}, false
		}
	}
	const slope = 0.4
	w = Weave{Uneven: film.Brushed, Thirst: film.Absorbency{Volume: 60, Slope: slope}}
	for _, x := range words {
		switch x {
		case "canvas", "drill", "twill", "denim", "linen", "hessian":
			w = Weave{Uneven: film.Canvas, Thirst: film.Absorbency{Volume: 90, Slope: slope}}
		case "knit", "jersey", "velveteen", "velvet", "fleece", "felt", "towelling":
			w = Weave{Uneven: film.Pile, Thirst: film.Absorbency{Volume: 105, Slope: slope}}
		}
	}
	if has(words, "polyester") || has(words, "polyamide") || has(words, "nylon") {
		w.Thirst.Volume /= 3
	}
	return w, true
}
