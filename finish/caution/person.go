package caution

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"undercoat/finish/garment"
	"undercoat/finish/plan"
	"undercoat/finish/rub"
	"undercoat/inventory"
)

// sensitivities looks for what a wearer reacts to in everything the plan puts
// on that wearer: contents, fibres, grounds.
func sensitivities(in Input) []Caution {
	var out []Caution
	for _, w := range in.Job.Wearers {
		for _, p := range worn(in) {
			for _, sub := range reactedTo(in, w, p) {
				out = append(out, Caution{Weight: Stop, Subject: w.Code,
					Text: fmt.Sprintf("%s reacts to %s, and %s on %s holds %s: take another product for this wearer", wearerName(w), strings.Join(w.Sensitivities, ", "), p.name(), p.on(), sub)})
			}
		}
	}
	return out
}

func wearerName(w garment.Wearer) string {
	if w.Name == "" {
		return w.Code
	}
	return w.Name + " (" + w.Code + ")"
}

// worn is what the plan takes and the cloths it is laid on.
func worn(in Input) []product {
	out := used(in)
	for _, a := range in.Plan.Areas {
		i := slices.IndexFunc(out, func(p product) bool { return p.Code == a.Ground })
		if i >= 0 {
			if !slices.Contains(out[i].areas, a.Code) {
				out[i].areas = append(out[i].areas, a.Code)
			}
			continue
		}
		if p, ok := productOf(in.Stock, a.Ground); ok {
			p.areas = []string{a.Code}
			out = append(out, p)
		}
	}
	return out
}

// reactedTo lists what of an article a wearer reacts to. "latex free" and
// "declared nickel free" are no contents.
func reactedTo(in Input, w garment.Wearer, p product) []string {
	var out []string
	holds := append([]string(nil), p.Contains...)
	if c, ok := in.Stock.Cloth(p.Code); ok && c.Fibre != "" {
		holds = append(holds, c.Fibre)
	}
	text := words(p.Article)
	for _, sub := range holds {
		s := strings.ToLower(sub)
		freed := strings.HasSuffix(s, " free") || strings.HasSuffix(s, "-free") || says(text, s+" free", s+"-free", "free of "+s, "no "+s)
		if !freed && w.SensitiveTo(sub) {
			out = append(out, sub)
		}
	}
	return out
}

// nickel looks at metal trims where they touch skin.
func nickel(in Input) []Caution {
	var out []Caution
	for _, a := range in.Plan.Areas {
		if !touchesSkin(in.Job, a.Code) {
			continue
		}
		for _, y := range a.Layers {
			art, ok := in.Stock.Article(y.Code)
			if !ok || !rub.IsMetal(art) {
				continue
			}
			c := Caution{Weight: Care, Subject: a.Code,
				Text: fmt.Sprintf("%s %s lies against skin: put a cloth tab behind every one, and set them after paint and fixing", art.Code, art.Name)}
			if !rub.NickelFree(art) {
				c.Weight = Stop
				c.Text = fmt.Sprintf("%s %s lies against skin and its nickel is not declared: for a wearer with a nickel allergy take one declared to meet the release limit of 0.5 µg/cm² a week (0.2 for pierced skin), and put a cloth tab behind every one; a spot test that stays colourless proves nothing", art.Code, art.Name)
			}
			out = append(out, c)
		}
	}
	return out
}

func touchesSkin(j garment.Job, area string) bool {
	a, _ := j.Area(area)
	return a.Skin || slices.ContainsFunc(j.Contacts, func(c garment.Contact) bool { return c.From == area && c.To == garment.Skin })
}

// paintOnSkin asks for a layer between paint and skin, and for a trial where a
// wearer's skin reacts.
func paintOnSkin(in Input) []Caution {
	var out []Caution
	for _, a := range in.Plan.Areas {
		garmentArea, _ := in.Job.Area(a.Code)
		if a.Method != garment.ByPaint || !garmentArea.Skin {
			continue
		}
		c := Caution{Weight: Note, Subject: a.Code, Text: "paint lies against skin here: a washed lining between is better; wash or rinse once after it has set where the label allows"}
		if slices.ContainsFunc(a.Layers, func(y plan.Layer) bool { return graveOnSkin(in.Stock, y) }) {
			c.Weight, c.Text = Care, "fluorescent, metallic or solvent paint lies against skin here: put a washed lining between, or keep it off the inside"
		}
		out = append(out, c)
		if skins := reactingSkins(in.Job); len(skins) > 0 {
			out = append(out, Caution{Weight: Note, Subject: a.Code,
				Text: fmt.Sprintf("skin that reacts (%s): a small cured swatch on the inner forearm for a day, with consent, stopped at any itch; never with wet paint, never for a known allergy to it; a clear result proves nothing, a doctor tests allergies", strings.Join(skins, ", "))})
		}
	}
	return out
}

// reactingSkins lists the wearers who stated a sensitivity, with it.
func reactingSkins(j garment.Job) []string {
	var out []string
	for _, w := range j.Wearers {
		if len(w.Sensitivities) > 0 {
			out = append(out, w.Code+" "+strings.Join(w.Sensitivities, ", "))
		}
	}
	return out
}

func graveOnSkin(stock inventory.Stock, y plan.Layer) bool {
	p, ok := stock.Paint(y.Code)
	return ok && (y.Role == plan.RoleFluorescent || p.Base == "solvent" || says(words(p.Article), "metallic", "bronze powder"))
}

// uncured keeps wet paint off people.
func uncured(in Input) []Caution {
	var out []Caution
	for _, a := range in.Plan.Areas {
		cured, ok := a.Cured.Get()
		if ok && a.Method == garment.ByPaint && touchesSkin(in.Job, a.Code) {
			out = append(out, Caution{Weight: Care, Subject: a.Code,
				Text: fmt.Sprintf("paint against skin: no wearing and no fitting before it has cured, %s in this room", local(in.Job, cured))})
		}
	}
	return out
}

func local(j garment.Job, t time.Time) string {
	if j.Zone != nil {
		t = t.In(j.Zone)
	}
	return t.Format("Mon 2 Jan 15:04")
}
