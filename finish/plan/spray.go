package plan

import (
	"fmt"
	"strings"
	"time"

	"undercoat/finish/match"
	"undercoat/finish/schedule"
	"undercoat/inventory"
	"undercoat/inventory/unit"
)

// refuseSprays refuses the solvent aerosols of the shelf that could take the
// place of an area's clear coat, where no hours outdoors come after what lies
// under it is cured. early is the earliest start of every piece of work.
func (d *draft) refuseSprays(p problem, early []int) {
	for _, a := range d.areas {
		clear, under := d.clearCoat(a)
		if clear == nil {
			continue
		}
		for _, s := range d.stock.Paints() {
			if s.Code == clear.Code || !d.couldSeal(a, s) {
				continue
			}
			d.refuseSpray(p, a, s, *clear, under, early)
		}
	}
}

// clearCoat returns the clear coat over an area and the last coat under it.
func (d *draft) clearCoat(a areaWork) (clear, under *work) {
	for i := range d.work {
		w := &d.work[i]
		if w.Area != a.Code || !w.dries.on {
			continue
		}
		s, ok := d.stock.Paint(w.Code)
		if ok && match.RoleOf(s) == match.Clear {
			clear = w
			continue
		}
		under = w
	}
	return clear, under
}

// couldSeal reports whether a product is a solvent aerosol for this ground.
func (d *draft) couldSeal(a areaWork, s inventory.Paint) bool {
	spray := s.Base == "solvent" && (s.Unit == "can" || hasWord(s.Medium, "aerosol", "spray"))
	if !spray || match.RoleOf(s) != match.Clear {
		return false
	}
	grounds := materials(a.ground)
	for _, g := range materials(a.ground) {
		grounds = append(grounds, "sealed "+g)
	}
	return s.Fits(grounds...)
}

func (d *draft) refuseSpray(p problem, a areaWork, s inventory.Paint, clear work, under *work, early []int) {
	windows := windowsOf(p.shifts, "", sprayWork)
	ready := p.Start
	if under != nil {
		i := d.index[under.ID]
		ready = early[i] + under.minutes + int(wholeMinutes(under.dries.cure)/time.Minute)
	}
	need := int(wholeMinutes(clear.Hands) / time.Minute)
	for _, w := range windows {
		if max(w.From, ready)+need <= w.To {
			return
		}
	}
	why := "solvent spray: outdoors only, and no hours outdoors are stated that are dry and above 10 °C"
	if len(windows) > 0 {
		why = fmt.Sprintf("solvent spray: outdoors only (%s); what lies under it is cured %s at the earliest, after the last hours outdoors", d.windowsText(windows), d.at(ready))
	}
	if d.job.Room.Mask != "vapour" {
		why += "; no vapour mask for work indoors"
	}
	d.refuse(Refusal{
		Area: a.Code, Code: s.Code, Rule: "window", Why: why, What: fmt.Sprintf("%s (%s) on %s", s.Code, s.Name, a.Code),
		Instead: fmt.Sprintf("%s (%s)", clear.Code, d.nameOf(clear.Code)),
	})
}

// windowsText writes hours: "Sat 31 Oct 10:00–16:00".
func (d *draft) windowsText(windows []schedule.Window) string {
	var parts []string
	for _, w := range windows {
		if w.To > schedule.MinuteOf(d.now) {
			parts = append(parts, fmt.Sprintf("%s–%s", d.at(w.From), d.instant(w.To).Format("15:04")))
		}
	}
	if len(parts) == 0 {
		return "none left"
	}
	return strings.Join(parts, ", ")
}

// refuseRoom refuses what the room itself does not allow: coats in air that is
// too cold, too damp or too slow, products below their own least temperature,
// solvent thrown indoors, a product whose label does not say when it is dry.
func (d *draft) refuseRoom() {
	for _, w := range d.work {
		if !w.dries.on || w.Done {
			continue
		}
		refuse := func(rule, why, instead string) {
			d.refuse(Refusal{Area: w.Area, Code: w.Code, Rule: rule, Why: why, Instead: instead, Chosen: true, What: fmt.Sprintf("%s (%s) on %s", w.Code, d.nameOf(w.Code), w.Area)})
		}
		if w.dries.unknown != "" {
			refuse("label", w.dries.unknown, "ask the maker of the product, or note the times you see in this room")
		}
		if w.dries.film > thickestFilm {
			refuse("film", fmt.Sprintf("a coat of %s is laid %.1f times the label's film", w.Code, w.dries.film), "lay thinner coats and more of them")
		}
		if len(d.room.unfit) > 0 && w.kind != sprayWork {
			refuse("room", strings.Join(d.room.unfit, "; "), "warm or air the room, or lay fewer pieces at once")
		}
		if least, ok := d.lowest(w.Code).Get(); ok && d.room.known && w.kind != sprayWork && min(d.room.day.C, d.room.night.C) < least {
			refuse("cold", fmt.Sprintf("the room falls to %.0f °C; the label of %s asks for %.0f °C", min(d.room.day.C, d.room.night.C), w.Code, least), "keep the room warmer while it dries")
		}
	}
}

func (d *draft) lowest(code string) unit.Stated[float64] {
	if p, ok := d.stock.Paint(code); ok {
		return p.LowC
	}
	y, _ := d.stock.Dye(code)
	return y.LowC
}
