package caution

import (
	"fmt"
	"slices"
	"strings"

	"undercoat/finish/garment"
	"undercoat/finish/plan"
	"undercoat/finish/rub"
	"undercoat/inventory"
	"undercoat/inventory/unit"
)

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
		out = append(out, Caution{Weight: w, Subject: v.Contact.Code,
			Text: fmt.Sprintf("%s on %s: %s: %s", v.Contact.From, v.Contact.To, v.Word, v.Because)})
	}
	return out
}

// packing says once what is better not packed face to face.
func packing(in Input) []Caution {
	var out []Caution
	var given, untested []string
	for _, a := range in.Apart {
		off := a.Area + " off " + strings.Join(a.From, " and ")
		switch {
		case a.Softens:
			out = append(out, Caution{Weight: Care, Subject: a.Area, Source: sourcePractice, Text: fmt.Sprintf("pack it in a bag of its own, off %s: %s", strings.Join(a.From, ", "), a.Because)})
		case a.Tested:
			given = append(given, fmt.Sprintf("%s (%s)", off, a.Test))
		default:
			untested = append(untested, off)
		}
	}
	text := ""
	if len(given) > 0 {
		text = "what gives off a little: " + strings.Join(given, ", ")
	}
	if len(untested) > 0 {
		if text != "" {
			text += "; "
		}
		text += "what was never tested: " + strings.Join(untested, ", ")
	}
	if text != "" {
		out = append(out, Caution{Weight: Note, Subject: "job", Text: "in the bag lay tissue between, or use bags of their own: " + text})
	}
	return out
}

// fixers mind the pot life and the skin.
func fixers(in Input) []Caution {
	var out []Caution
	for _, a := range in.Plan.Areas {
		if a.Setting.Way == plan.SetByFixer {
			out = append(out, Caution{Weight: Care, Subject: a.Code,
				Text: fmt.Sprintf("mix %s into the paint afresh for each session and use it within %s; keep the repair pot without it; gloves", a.Setting.Fixer, unit.FormatSpan(a.Setting.Pot))})
		}
	}
	return out
}

// fluorescents say what no screen and no print can show.
func fluorescents(in Input) []Caution {
	var out []Caution
	for _, a := range in.Plan.Areas {
		if glowsByPaint(a) {
			out = append(out, Caution{Weight: Note, Subject: a.Code,
				Text: "a fluorescent is brighter than a screen can show and fades in sun: judge a painted swatch in daylight and in the hall, and keep it out of the light when not worn"})
		}
	}
	return out
}

func glowsByPaint(a plan.Area) bool {
	return slices.ContainsFunc(a.Layers, func(y plan.Layer) bool { return y.Role == plan.RoleFluorescent })
}

// brighteners show up under ultraviolet, beside cloth that does not glow and
// paint that does: they are to be looked at together.
func brighteners(in Input) []Caution {
	if !slices.ContainsFunc(in.Job.Lights, func(l garment.Light) bool { return l.UV }) {
		return nil
	}
	var paint, dull []string
	for _, a := range in.Plan.Areas {
		_, glows := brightened(in.Stock, a)
		switch {
		case glows:
		case glowsByPaint(a):
			paint = append(paint, a.Code)
		case isLight(in.Stock, a):
			dull = append(dull, a.Code)
		}
	}
	var out []Caution
	for _, a := range in.Plan.Areas {
		art, glows := brightened(in.Stock, a)
		if !glows {
			continue
		}
		text := fmt.Sprintf("%s %s holds a brightener: under ultraviolet it glows blue-white", art.Code, art.Name)
		if len(paint) > 0 {
			text += fmt.Sprintf(", the fluorescent of %s glows in its own colour", strings.Join(paint, ", "))
		}
		if len(dull) > 0 {
			text += fmt.Sprintf(", the light cloth of %s does not", strings.Join(dull, ", "))
		}
		out = append(out, Caution{Weight: Note, Subject: a.Code, Text: text + ": look at them together under that light"})
	}
	return out
}

// brightened is the article of an area that holds an optical brightener.
func brightened(stock inventory.Stock, a plan.Area) (inventory.Article, bool) {
	for _, code := range append([]string{a.Ground}, layerCodes(a)...) {
		art, ok := stock.Article(code)
		if ok && !says(words(art), "no brightener", "without brightener", "brightener free", "brightener-free") && says(words(art), "brightener*") {
			return art, true
		}
	}
	return inventory.Article{}, false
}

// isLight reports whether an area's own cloth is light enough that one would
// expect it to glow beside a brightened white.
func isLight(stock inventory.Stock, a plan.Area) bool {
	art, ok := stock.Article(a.Ground)
	c, known := art.Colour.Get()
	return ok && known && c.Lab().L > 80
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
				out = append(out, Caution{Weight: Note, Subject: a.Code,
					Text: fmt.Sprintf("%s and %s must agree on different materials (%s; %s), whose gloss differs: approve both swatches side by side in daylight and in the hall", b.Code, a.Code, materialOf(in.Stock, b), materialOf(in.Stock, a))})
			}
		}
	}
	return out
}

func materialOf(stock inventory.Stock, a plan.Area) string {
	if g, ok := stock.Article(a.Ground); ok {
		return string(a.Method) + " on " + g.Code + " " + g.Name
	}
	return string(a.Method)
}

// angles mark what changes with the angle of view.
func angles(in Input) []Caution {
	var out []Caution
	for _, a := range in.Plan.Areas {
		for _, code := range append([]string{a.Ground}, layerCodes(a)...) {
			art, ok := in.Stock.Article(code)
			if ok && art.Kind != inventory.KindTrim && says(words(art), "velvet*", "nap", "metallic", "pearl*", "pile", "angle shift", "iridescent") {
				out = append(out, Caution{Weight: Note, Subject: a.Code, Text: art.Code + " " + art.Name + " changes with the angle of view: cut all pieces in one direction and judge it hanging"})
				break
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
			out = append(out, Caution{Weight: Note, Subject: s.Code,
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
			out = append(out, Caution{Weight: Care, Subject: c.Code,
				Text: fmt.Sprintf("%s has a reserve of only %.0f %%, %.0f %% is wanted: lay out all pieces before the first cut; another roll may be another dye lot", c.Code, 100*c.Reserve, 100*c.Wanted)})
		}
		if c.Prewash {
			out = append(out, Caution{Weight: Note, Subject: c.Code, Text: fmt.Sprintf("%s shrinks %.1f %%: wash it before cutting", c.Code, 100*c.Shrinkage)})
		}
	}
	return out
}

// rooms repeat why the room is unfit for coats.
func rooms(in Input) []Caution {
	var out []Caution
	for _, u := range in.Plan.Drying.Unfit {
		out = append(out, Caution{Weight: Care, Subject: "room", Text: u})
	}
	return out
}
