package caution

import (
	"fmt"
	"slices"
	"strings"

	"undercoat/finish/garment"
	"undercoat/finish/plan"
	"undercoat/finish/rub"
	"undercoat/inventory"
)

// heats keeps irons and heat guns off what they harm.
func heats(in Input) []Caution {
	var out []Caution
	for _, a := range in.Plan.Areas {
		g, ok := in.Stock.Cloth(a.Ground)
		if !ok {
			continue
		}
		out = append(out, fumes(a.Code, g)...)
		if a.Setting.Way != plan.SetByHeat {
			continue
		}
		if most, ok := g.IronMax.Get(); ok && a.Setting.HeatC >= most {
			out = append(out, Caution{Weight: Care, Subject: a.Code, Source: sourcePractice, Text: fmt.Sprintf("heat set at %.0f °C is at the limit of %s %s (%.0f °C): test a scrap first", a.Setting.HeatC, g.Code, g.Name, most)})
		} else if most, fibre, ok := fibreLimit(g.Fibre); ok && a.Setting.HeatC > most {
			out = append(out, Caution{Weight: Stop, Subject: a.Code, Source: sourceFibre, Text: fmt.Sprintf("heat set at %.0f °C is too hot for %s in %s %s (%.0f °C at most): test a scrap, or set it by a fixer", a.Setting.HeatC, fibre, g.Code, g.Name, most)})
		}
	}
	return out
}

// fumes warns of what heated plastics give off.
func fumes(area string, g inventory.Cloth) []Caution {
	text := strings.ToLower(g.Name + " ; " + g.Fibre + " ; " + g.Medium)
	name := g.Code + " " + g.Name
	say := func(s string) []Caution { return []Caution{{Weight: Care, Subject: area, Text: name + s}} }
	switch {
	case says(text, "vinyl", "pvc", "polyvinyl*"):
		return say(": no iron, no heat set, no hot cutting, no laser: heated vinyl gives off hydrogen chloride")
	case says(text, "polystyrene"):
		return say(": little heat, outdoors or under extraction: heated polystyrene gives off styrene")
	case says(text, "foam"):
		return say(": shape it with little heat outdoors or under extraction: overheated foam gives off harmful fumes; never burn or hot-cut polyurethane foam")
	case says(text, "polyurethane", "pu-coated"):
		return say(": no hot cutting and no burning: polyurethane gives off isocyanates and hydrogen cyanide; no iron on its face")
	}
	return nil
}

// fibreLimit is the least heat that one of the fibres of a label takes, °C.
//
// Source: the planner's ceilings of the workroom's table of fibres (care symbol
// or 30 °C under softening, the lower), from memory of textile handbooks.
func fibreLimit(label string) (most float64, fibre string, ok bool) {
	limits := []struct {
		word string
		c    float64
	}{
		{"polypropylene", 90}, {"modacrylic", 100}, {"wig fibre", 100}, {"acrylic", 110}, {"elastane", 110}, {"spandex", 110}, {"acetate", 110}, {"nylon", 120}, {"polyamide", 120},
		{"wool", 130}, {"silk", 130}, {"polyester", 150}, {"viscose", 150}, {"rayon", 150}, {"lyocell", 150}, {"cotton", 180}, {"linen", 180},
	}
	text := strings.ToLower(label)
	for _, l := range limits {
		if says(text, l.word) {
			return l.c, l.word, true
		}
	}
	return 0, "", false
}

// migration minds disperse dye under paint: it climbs when hot, and in a hot car.
func migration(in Input) []Caution {
	var out []Caution
	for _, a := range in.Plan.Areas {
		g, ok := in.Stock.Cloth(a.Ground)
		if !ok || a.Method != garment.ByPaint || !strings.EqualFold(g.DyeClass, "disperse") {
			continue
		}
		c := Caution{Weight: Care, Subject: a.Code, Text: fmt.Sprintf("%s %s is dyed with disperse dye, which climbs into paint when hot and goes on for a day: no press hotter than planned, no hot car", g.Code, g.Name)}
		if t := heatTests(in.Tests, g.Code); len(t) > 0 {
			c.Text += "; on record " + strings.Join(t, ", ")
		} else {
			c.Text += "; no heat test of it is on record"
		}
		out = append(out, c)
	}
	return out
}

func heatTests(tests []rub.Test, code string) []string {
	var out []string
	for _, t := range tests {
		if t.Subject == code && t.How == rub.Heat && t.Rating.Known() {
			out = append(out, t.String())
		}
	}
	return out
}

// formaldehyde minds the air while binders and easy-care finishes are heated.
func formaldehyde(in Input) []Caution {
	var areas []string
	for _, a := range in.Plan.Areas {
		g, _ := in.Stock.Article(a.Ground)
		easy := says(words(g), "easy-care", "easy care", "non-iron", "crease-resist*", "formaldehyde")
		if a.Setting.Way == plan.SetByHeat || easy {
			areas = append(areas, a.Code)
		}
	}
	if len(areas) == 0 {
		return nil
	}
	return []Caution{{Weight: Care, Subject: "room", Text: fmt.Sprintf("air the room while %s is heated: some binders and easy-care finishes give off formaldehyde; wash once before it is worn on skin", strings.Join(areas, ", "))}}
}

// flames minds raised pile and fur near open flame.
func flames(in Input) []Caution {
	var out []Caution
	for _, a := range in.Plan.Areas {
		code := a.Ground
		if code == "" && len(a.Layers) > 0 {
			code = a.Layers[0].Code
		}
		g, ok := in.Stock.Cloth(code)
		raised := says(words(g.Article), "velvet*", "velour", "pile", "nap", "fur", "fleece", "plush", "brushed")
		if ok && raised && says(strings.ToLower(g.Fibre), "cotton", "viscose", "rayon", "linen", "acrylic", "modacrylic", "lyocell") {
			out = append(out, Caution{Weight: Note, Subject: a.Code, Text: fmt.Sprintf("%s %s has a raised face that can flash over: well away from candles, lanterns with a flame and hot lamps", g.Code, g.Name)})
		}
	}
	return slices.CompactFunc(out, func(x, y Caution) bool { return x == y })
}
