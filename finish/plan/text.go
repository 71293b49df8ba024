package plan

import (
	"cmp"
	"fmt"
	"strings"

	"undercoat/inventory/unit"
)

// stepText says what to do, for a bench sheet.
func (d *draft) stepText(s Step) string {
	switch s.Verb {
	case VerbCoat, VerbDye:
		return d.coatText(s)
	case VerbMask:
		return fmt.Sprintf("mask the edges on %d %s", d.pieces(), plural(d.pieces(), "piece"))
	case VerbUnmask:
		return "take the masking off while the paint is touch dry"
	case VerbRinse:
		return fmt.Sprintf("rinse %s cold until the water stays clear", s.Code)
	case VerbTreat:
		return fmt.Sprintf("bath of %s (%s): %s; rinse, dry", s.Code, d.nameOf(s.Code), s.Needs)
	case VerbHeat:
		return "heat set: " + s.Needs
	case VerbPack:
		return "pack: painted faces apart, tissue between"
	case VerbTest:
		return cmp.Or(d.work[d.index[s.ID]].what, s.Needs)
	}
	if s.Code != "" {
		return fmt.Sprintf("%s %s (%s)", s.Verb, s.Code, d.nameOf(s.Code))
	}
	return fmt.Sprintf("%s %s", s.Verb, strings.ToLower(s.Piece))
}

func (d *draft) coatText(s Step) string {
	text := fmt.Sprintf("coat %d of %d: %s (%s)", s.Coat, s.Coats, s.Code, d.nameOf(s.Code))
	if s.Side != "" {
		text += ", " + s.Side
	}
	if s.Volume > 0 {
		text += ", " + millilitres(s.Volume)
	}
	if s.FixerVolume > 0 {
		text += fmt.Sprintf(" with %s mL of %s", unit.FormatNumber(float64(s.FixerVolume)), s.Fixer)
	}
	switch {
	case s.Place == OnRail && s.Racked > 0:
		text += fmt.Sprintf("; hang, %d of the smaller on the rack", s.Racked)
	case s.Place == OnRail:
		text += "; hang"
	case s.Place == OnRack:
		text += "; lay on the rack"
	case s.Place == InYard:
		text += "; outdoors"
	}
	return text
}

func plural(n int, word string) string {
	if n == 1 {
		return word
	}
	return word + "s"
}
