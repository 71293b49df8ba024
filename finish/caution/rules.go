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
	"undercoat/inventory/unit"
)

// used lists the stock codes the plan takes, in the order of its areas, each
// once, with the areas that take them.
func used(in Input) (codes []string, areas map[string][]string) {
	areas = map[string][]string{}
	take := func(code, area string) {
		if code == "" {
			return
		}
		if _, ok := areas[code]; !ok {
			codes = append(codes, code)
		}
		if !slices.Contains(areas[code], area) {
			areas[code] = append(areas[code], area)
		}
	}
	for _, a := range in.Plan.Areas {
		for _, y := range a.Layers {
			take(y.Code, a.Code)
			take(y.Fixer, a.Code)
		}
		take(a.Setting.Fixer, a.Code)
	}
	return codes, areas
}

// hazards quotes the hazard statements of every product the plan takes.
func hazards(in Input) []Caution {
	var out []Caution
	codes, _ := used(in)
	for _, code := range codes {
		art, ok := in.Stock.Article(code)
		if !ok {
			continue
		}
		for _, h := range art.Hazards {
			text, known := HazardText(h)
			if !known {
				text = "a hazard statement this table does not hold"
			}
			c := Caution{Weight: Care, Subject: art.Code, Source: sourceGHS,
				Text: fmt.Sprintf("%s: %s: %s. %s", art.Name, h, text, advice(h))}
			if slices.Contains(stops, strings.ToUpper(h)) {
				c.Weight, c.Text = Stop, c.Text+" Do not open it before its safety data sheet was read."
			}
			out = append(out, c)
		}
	}
	return out
}

// advice is what a hazard statement's group asks for in a workroom.
func advice(code string) string {
	switch statements()[strings.ToUpper(code)].group {
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
	}
	return "Read its safety data sheet first."
}

// sensitivities looks for what a wearer reacts to in everything the plan puts
// on that wearer.
func sensitivities(in Input) []Caution {
	var out []Caution
	codes, areas := used(in)
	for _, w := range in.Job.Wearers {
		for _, code := range codes {
			art, ok := in.Stock.Article(code)
			if !ok {
				continue
			}
			for _, sub := range art.Contains {
				if w.SensitiveTo(sub) && !strings.Contains(strings.ToLower(art.Note), "free of "+sub) {
					out = append(out, Caution{Weight: Stop, Subject: w.Code, Source: sourcePractice,
						Text: fmt.Sprintf("%s (%s) reacts to %s, and %s %s on %s contains %s: take another product for this wearer", w.Name, w.Code, strings.Join(w.Sensitivities, ", "), art.Code, art.Name, strings.Join(areas[code], ", "), sub)})
				}
			}
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
			if !ok || art.Kind != inventory.KindTrim || !isMetal(art) {
				continue
			}
			free := slices.ContainsFunc(art.Contains, func(s string) bool { return strings.Contains(s, "nickel free") }) || strings.Contains(strings.ToLower(art.Note), "nickel free")
			c := Caution{Weight: Care, Subject: a.Code, Source: sourceReach,
				Text: fmt.Sprintf("%s %s lies against skin: put a cloth tab behind every one, and set them after paint and fixing", art.Code, art.Name)}
			if !free {
				c.Weight = Stop
				c.Text = fmt.Sprintf("%s %s lies against skin and its nickel is not declared: for a wearer with a nickel allergy take one declared to meet the release limit of 0.5 µg/cm² a week, and put a cloth tab behind every one", art.Code, art.Name)
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

func isMetal(a inventory.Article) bool {
	words := strings.ToLower(a.Name + " " + a.Medium + " " + a.Note)
	return slices.ContainsFunc([]string{"metal", "brass", "steel", "stud", "rivet", "zip"}, func(w string) bool { return strings.Contains(words, w) })
}

// uncured keeps wet paint off people.
func uncured(in Input) []Caution {
	var out []Caution
	for _, a := range in.Plan.Areas {
		cured, ok := a.Cured.Get()
		if !ok || a.Method != garment.ByPaint {
			continue
		}
		if touchesSkin(in.Job, a.Code) {
			out = append(out, Caution{Weight: Care, Subject: a.Code, Source: sourcePractice,
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

// contacts repeats the verdicts that ask for something.
func contacts(in Input) []Caution {
	weights := map[rub.Word]Weight{rub.WithBarrier: Care, rub.TreatAndRetest: Stop, rub.KeepApart: Stop, rub.NotTested: Care}
	var out []Caution
	for _, v := range in.Verdicts {
		w, asks := weights[v.Word]
		if !asks {
			continue
		}
		if v.Contact.Rubbing == garment.RubNone {
			w = Care // lying in a bag: nothing has to wait for it
		}
		out = append(out, Caution{Weight: w, Subject: v.Contact.Code, Source: sourceTests,
			Text: fmt.Sprintf("%s on %s: %s: %s", v.Contact.From, v.Contact.To, v.Word, v.Because)})
	}
	return out
}

// heats keeps irons and heat guns off what they harm.
func heats(in Input) []Caution {
	var out []Caution
	for _, a := range in.Plan.Areas {
		g, ok := in.Stock.Cloth(a.Ground)
		if !ok {
			continue
		}
		words := strings.ToLower(g.Name + " " + g.Fibre + " " + g.Medium)
		switch {
		case strings.Contains(words, "vinyl"):
			out = append(out, Caution{Weight: Care, Subject: a.Code, Source: sourceHeat, Text: g.Code + " " + g.Name + ": no iron, no heat set, no hot cutting: heated vinyl gives off hydrogen chloride"})
		case strings.Contains(words, "foam"):
			out = append(out, Caution{Weight: Care, Subject: a.Code, Source: sourceHeat, Text: g.Code + " " + g.Name + ": shape it with little heat outdoors or under extraction: overheated foam gives off harmful fumes"})
		}
		if most, ok := g.IronMax.Get(); ok && a.Setting.Way == plan.SetByHeat && a.Setting.HeatC >= most {
			out = append(out, Caution{Weight: Care, Subject: a.Code, Source: sourcePractice, Text: fmt.Sprintf("heat set at %.0f °C is at the limit of %s %s (%.0f °C): test a scrap first", a.Setting.HeatC, g.Code, g.Name, most)})
		}
	}
	return out
}

// solventWork looks at solvent-borne products in this room.
func solventWork(in Input) []Caution {
	var out []Caution
	codes, areas := used(in)
	for _, code := range codes {
		p, ok := in.Stock.Paint(code)
		if !ok || p.Base != "solvent" {
			continue
		}
		c := Caution{Weight: Care, Subject: p.Code, Source: sourcePractice,
			Text: fmt.Sprintf("%s on %s carries solvent: open window and fan, no flame, iron or heat gun until the smell is gone, not at night with the fan off", p.Name, strings.Join(areas[code], ", "))}
		if in.Job.Room.Mask != "vapour" {
			c.Weight = Stop
			c.Text += "; the masks stated (" + first(in.Job.Room.Mask, "none") + ") do not stop vapour: outdoors only"
		}
		out = append(out, c)
	}
	return out
}

func first(a, b string) string {
	if a != "" {
		return a
	}
	return b
}

// airOfCoats estimates the vapour of the largest coat of every water-borne
// product whose VOC is stated, with the fan where the room states one, and
// says once for all of them what the worst comes to.
func airOfCoats(in Input) []Caution {
	volume, ok := in.Job.Room.Volume.Get()
	if !ok {
		return []Caution{{Weight: Note, Subject: "room", Source: sourceAir, Text: "the room's volume is not stated, so no vapour can be estimated: state volume_m3 and air changes in room.csv"}}
	}
	room := Room{Volume: volume, Changes: in.Job.Room.Changes.Or(defaultChanges), Mixing: fanMixing}
	if fan, ok := in.Job.Room.Fan.Get(); ok && in.Plan.Drying.Fan {
		room.Changes = fan / float64(volume)
	}
	var worst Estimate
	var codes []string
	for _, s := range largestCoats(in) {
		p, _ := in.Stock.Paint(s.Code)
		e, err := Air(room, Work{Lump: unit.Mass(p.VOC.Or(0) * float64(s.Volume) / 1000), Over: p.Touch.Or(time.Hour)})
		if err != nil || e.Verdict == AirLow {
			continue
		}
		codes = append(codes, fmt.Sprintf("%s (%.0f ml)", p.Code, float64(s.Volume)))
		if e.Index >= worst.Index {
			worst = e
		}
	}
	if len(codes) == 0 {
		return nil
	}
	weight := Care
	if worst.Verdict == AirRefuse {
		weight = Stop
	}
	return []Caution{{Weight: weight, Subject: "room", Source: sourceAir,
		Text: fmt.Sprintf("run the fan or open the window for a coat of %s: in %.0f m³ at %.1f air changes an hour, with %s", strings.Join(codes, ", "), float64(volume), room.Changes, worst.Text)}}
}

// largestCoats is the largest coat still to be laid of each product with a
// stated VOC, in the order they are first laid.
func largestCoats(in Input) []plan.Step {
	var out []plan.Step
	for _, s := range in.Plan.Steps {
		p, ok := in.Stock.Paint(s.Code)
		if !ok || !p.VOC.Known() || p.Base == "solvent" || s.Volume <= 0 || s.Done {
			continue
		}
		i := slices.IndexFunc(out, func(o plan.Step) bool { return o.Code == s.Code })
		switch {
		case i < 0:
			out = append(out, s)
		case s.Volume > out[i].Volume:
			out[i] = s
		}
	}
	return out
}

// What is taken where the room states nothing: a closed home room changes its
// air 0.3 times an hour (US handbook median about 0.45, from memory), and a
// room with an open window and a fan mixes with a factor of 3 (common
// practice, no source).
const (
	defaultChanges = 0.3
	fanMixing      = 3
)

// fixers mind the pot life and the skin.
func fixers(in Input) []Caution {
	var out []Caution
	for _, a := range in.Plan.Areas {
		if a.Setting.Way == plan.SetByFixer {
			out = append(out, Caution{Weight: Care, Subject: a.Code, Source: sourcePractice,
				Text: fmt.Sprintf("mix %s into the paint afresh for each session and use it within %s; keep the repair pot without it; gloves", a.Setting.Fixer, unit.FormatSpan(a.Setting.Pot))})
		}
	}
	return out
}

// fluorescents say what no screen and no print can show.
func fluorescents(in Input) []Caution {
	var out []Caution
	for _, a := range in.Plan.Areas {
		if slices.ContainsFunc(a.Layers, func(y plan.Layer) bool { return y.Role == plan.RoleFluorescent }) {
			out = append(out, Caution{Weight: Note, Subject: a.Code, Source: sourcePractice,
				Text: "a fluorescent is brighter than a screen can show and fades in sun: judge a painted swatch in daylight and in the hall, and keep it out of the light when not worn"})
		}
	}
	return out
}

// brighteners show up under ultraviolet.
func brighteners(in Input) []Caution {
	if !slices.ContainsFunc(in.Job.Lights, func(l garment.Light) bool { return l.UV }) {
		return nil
	}
	var out []Caution
	for _, a := range in.Plan.Areas {
		for _, code := range append([]string{a.Ground}, layerCodes(a)...) {
			art, ok := in.Stock.Article(code)
			if ok && (strings.Contains(strings.ToLower(art.Note), "holds brightener") || slices.Contains(art.Contains, "optical brightener")) {
				out = append(out, Caution{Weight: Note, Subject: a.Code, Source: sourcePractice,
					Text: art.Code + " " + art.Name + " holds a brightener: under ultraviolet it glows blue-white beside cloth that does not; look at them together under that light"})
				break
			}
		}
	}
	return out
}

func layerCodes(a plan.Area) []string {
	var codes []string
	for _, y := range a.Layers {
		codes = append(codes, y.Code)
	}
	return codes
}

// sameTargets asks for one look at areas that must agree on different
// materials.
func sameTargets(in Input) []Caution {
	var out []Caution
	for i, a := range in.Plan.Areas {
		for _, b := range in.Plan.Areas[:i] {
			if a.Target.Known() && b.Target.Known() && a.Method != b.Method && a.Target.Colour.Lab() == b.Target.Colour.Lab() {
				out = append(out, Caution{Weight: Note, Subject: a.Code, Source: sourcePractice,
					Text: fmt.Sprintf("%s and %s must agree on different materials (%s, %s): approve both swatches side by side in daylight and in the hall", b.Code, a.Code, b.Method, a.Method)})
			}
		}
	}
	return out
}

// margins flag amounts that are enough only if nothing is spilt.
func margins(in Input) []Caution {
	var out []Caution
	for _, s := range in.Plan.Shopping {
		if s.Thin {
			out = append(out, Caution{Weight: Note, Subject: s.Code, Source: sourcePlan,
				Text: fmt.Sprintf("%s: %.3g of %.4g %s is left over: enough only if nothing is spilt", s.Name, s.Margin, s.OnHand+s.Bought, s.Unit)})
		}
	}
	return out
}

// cloths say what must be known before scissors.
func cloths(in Input) []Caution {
	var out []Caution
	for _, c := range in.Plan.Cloth {
		if c.Short.Amount > 0 {
			out = append(out, Caution{Weight: Care, Subject: c.Code, Source: sourcePlan,
				Text: fmt.Sprintf("%s has a reserve of only %.0f %%, %.0f %% is wanted: lay out all pieces before the first cut; another roll may be another dye lot", c.Code, 100*c.Reserve, 100*c.Wanted)})
		}
		if c.Prewash {
			out = append(out, Caution{Weight: Note, Subject: c.Code, Source: sourcePlan, Text: fmt.Sprintf("%s shrinks %.1f %%: wash it before cutting", c.Code, 100*c.Shrinkage)})
		}
	}
	return out
}

// rooms repeat why the room is unfit for coats.
func rooms(in Input) []Caution {
	var out []Caution
	for _, u := range in.Plan.Drying.Unfit {
		out = append(out, Caution{Weight: Care, Subject: "room", Source: "the planning paper's drying rules; the label's own limits", Text: u})
	}
	return out
}

// angles mark what changes with the angle of view.
func angles(in Input) []Caution {
	var out []Caution
	for _, a := range in.Plan.Areas {
		for _, code := range append([]string{a.Ground}, layerCodes(a)...) {
			art, ok := in.Stock.Article(code)
			words := strings.ToLower(art.Name + " " + art.Medium + " " + art.Note)
			if ok && art.Kind != inventory.KindTrim && slices.ContainsFunc([]string{"velvet", "nap", "metallic", "pearl", "pile"}, func(w string) bool { return strings.Contains(words, w) }) {
				out = append(out, Caution{Weight: Note, Subject: a.Code, Source: sourcePractice, Text: art.Code + " " + art.Name + " changes with the angle of view: cut all pieces in one direction and judge it hanging"})
				break
			}
		}
	}
	return out
}
