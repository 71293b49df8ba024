package rub

import (
	"fmt"
	"strings"

	"undercoat/finish/garment"
	"undercoat/inventory"
)

// hardware are the words by which a contact's note says that metal parts, not
// the cloth, lie against skin.
var hardware = []string{"stud", "rivet", "zip", "buckle", "eyelet", "hook", "snap", "button", "clasp"}

// metalOnSkin judges metal parts against skin by what is declared of their
// nickel: no rub test speaks for that. ok is false for any other contact.
//
// Source: EU REACH, Annex XVII, entry 27 (nickel release).
func metalOnSkin(in Input, c garment.Contact) (v Verdict, ok bool) {
	noun := hardwareIn(c.Note)
	if c.To != garment.Skin || noun == "" {
		return Verdict{}, false
	}
	v = Verdict{Contact: c, Word: WithBarrier, Barrier: barrierOf(in.Stock, Tabs)}
	free, silent := declared(metalParts(in, c.From, noun))
	react := reacting(in.Job)
	switch {
	case len(free) == 0 && len(silent) == 0:
		v.Word = NotTested
		v.Because = fmt.Sprintf("no metal part named %q is on the shelf: ask its maker whether it is declared to meet the nickel release limit", noun)
		return v, true
	case len(free) == 0 && len(react) > 0:
		v.Word = KeepApart
		v.Because = fmt.Sprintf("%s of %s is not declared, and %s reacts to nickel: take parts declared to meet the release limit", "the nickel", strings.Join(silent, ", "), strings.Join(react, ", "))
		return v, true
	case len(free) == 0:
		v.Because = fmt.Sprintf("the nickel of %s is not declared: better take declared parts", strings.Join(silent, ", "))
	case len(silent) == 0:
		v.Because = strings.Join(free, ", ") + " is declared nickel free"
	default:
		v.Because = fmt.Sprintf("%s is declared nickel free, %s is not declared: take the declared one", strings.Join(free, ", "), strings.Join(silent, ", "))
		if len(react) > 0 {
			v.Because += ", for " + strings.Join(react, ", ") + " (reacts to nickel) always"
		}
	}
	v.Because += "; " + v.Barrier.String()
	return v, true
}

func hardwareIn(note string) string {
	for _, w := range hardware {
		if strings.Contains(strings.ToLower(note), w) {
			return w
		}
	}
	return ""
}

// metalParts are the trims that an area carries, else all of the shelf, that
// are metal and named so.
func metalParts(in Input, area, noun string) []inventory.Trim {
	named := func(t inventory.Trim) bool {
		words := strings.ToLower(t.Name + " " + t.Medium)
		return strings.Contains(words, noun) && IsMetal(t.Article)
	}
	var chosen, all []inventory.Trim
	layers, _ := in.Job.ChoiceFor(area)
	for _, l := range layers {
		if t, ok := in.Stock.Trim(l.Code); ok && named(t) {
			chosen = append(chosen, t)
		}
	}
	for a := range in.Stock.All() {
		if t, ok := in.Stock.Trim(a.Code); ok && named(t) {
			all = append(all, t)
		}
	}
	if len(chosen) > 0 {
		return chosen
	}
	return all
}

// IsMetal reports whether an article's words name metal.
func IsMetal(a inventory.Article) bool {
	return a.Kind == inventory.KindTrim && holdsAny(strings.ToLower(a.Name+" "+a.Medium+" "+a.Note), "metal", "brass", "steel", "bronze", "copper", "nickel", "rivet", "zip")
}

// NickelFree reports whether an article is declared to be free of nickel; a
// list of its metals without nickel is no such declaration.
func NickelFree(a inventory.Article) bool {
	words := strings.ToLower(a.Note + " " + strings.Join(a.Contains, " "))
	return holdsAny(words, "nickel free", "nickel-free", "en 1811", "free of nickel")
}

func declared(parts []inventory.Trim) (free, silent []string) {
	for _, t := range parts {
		name := t.Code + " " + t.Name
		if NickelFree(t.Article) {
			free = append(free, name)
		} else {
			silent = append(silent, name)
		}
	}
	return free, silent
}

// reacting are the codes of the wearers who react to nickel.
func reacting(j garment.Job) []string {
	var codes []string
	for _, w := range j.Wearers {
		if w.SensitiveTo("nickel") {
			codes = append(codes, w.Code)
		}
	}
	return codes
}
