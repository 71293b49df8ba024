package caution

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"undercoat/finish/garment"
	"undercoat/finish/plan"
	"undercoat/inventory"
	"undercoat/inventory/unit"
)

// What is taken where the room states nothing: a closed home room changes its
// air 0.3 times an hour (US handbook median about 0.45, from memory), a room
// with an open window and a fan mixes with a factor of 3 (common practice, no
// source), and vapour comes off within an hour.
const (
	DefaultChanges = 0.3
	DefaultMixing  = 3.0
	DefaultOver    = time.Hour
)

// RoomOf is the air of a job's room with the fan running where it states one,
// and in words what was taken because nothing is stated.
func RoomOf(r garment.Room) (room Room, assumed []string) {
	room = Room{Volume: r.Volume.Or(0), Changes: r.Changes.Or(DefaultChanges), Mixing: DefaultMixing, Warmth: r.DayC}
	fan, hasFan := r.Fan.Get()
	switch {
	case hasFan && room.Volume > 0:
		room.Changes = fan / float64(room.Volume)
		assumed = append(assumed, fmt.Sprintf("the fan runs outward (%.0f m³/h)", fan))
	case !r.Changes.Known():
		assumed = append(assumed, fmt.Sprintf("%g air changes an hour, a closed home room", DefaultChanges))
	}
	return room, append(assumed, fmt.Sprintf("mixing factor %g, a room with an open window and a fan", DefaultMixing))
}

// Evaporates is what an amount of an article puts into the air, from its label:
// a water-borne product's VOC as a lump, a solvent-borne one's VOC wholly as the
// strictest of the substances it names. how says so in words. ok is false where
// VOC or contents are not stated: then the safety data sheet must be asked.
func Evaporates(stock inventory.Stock, code string, amount unit.Volume) (w Work, how string, ok bool) {
	p, found := productOf(stock, code)
	voc, known := p.voc.Get()
	if !found || !known || amount <= 0 {
		return Work{}, "", false
	}
	mass := unit.Mass(voc * float64(amount) / 1000)
	if p.base != "solvent" {
		return Work{Lump: mass}, fmt.Sprintf("its label's VOC (%g g/l), as a glycol ether", voc), true
	}
	s, named := strictest(p.Contains)
	if !named {
		return Work{}, "", false
	}
	return Work{Released: []Released{{s, mass}}}, fmt.Sprintf("its label's VOC (%g g/l), wholly as %s, the strictest it names", voc, s.Name), true
}

// Lacks names what the label of an article does not state, of what [Evaporates]
// needs; nil where it states all.
func Lacks(stock inventory.Stock, code string) []string {
	p, _ := productOf(stock, code)
	var out []string
	if !p.voc.Known() {
		out = append(out, "VOC in g/L (voc_g_l) from its label")
	}
	if _, named := strictest(p.Contains); p.base == "solvent" && !named {
		out = append(out, "substances that evaporate (contains) from section 3 of its safety data sheet, one at least with a limit in the table")
	}
	return out
}

// strictest is the named substance of which a gram uses up most of its limit.
func strictest(contains []string) (Solvent, bool) {
	var best Solvent
	use := func(s Solvent) float64 { return 1 / (s.MolarG * s.LimitPPM) }
	for _, name := range contains {
		s, err := SolventNamed(name)
		if err != nil || s.LimitPPM <= 0 || s.MolarG <= 0 {
			continue
		}
		if best.Name == "" || use(s) > use(best) {
			best = s
		}
	}
	return best, best.Name != ""
}

// solvents looks at solvent-borne products in this room. Without a vapour mask
// and without an estimate below a tenth of the limits they are for outdoors.
func solvents(in Input) []Caution {
	var out []Caution
	for _, p := range used(in) {
		if p.base != "solvent" {
			continue
		}
		c := Caution{Weight: Care, Subject: p.Code,
			Text: fmt.Sprintf("%s on %s carries solvent: open window and fan, no flame, iron or heat gun until the smell is gone, gloves of the kind its safety data sheet names (thin nitrile lets solvent through in minutes), never thinner on skin", p.Name, p.on())}
		e, estimated := estimateOf(in, p)
		if estimated {
			c.Text += fmt.Sprintf("; for %.0f ml at once: %s", float64(p.volume), e.Why)
		}
		if (!estimated || !e.Slight()) && in.Job.Room.Mask != "vapour" {
			c.Weight = Stop
			c.Text += "; no mask that stops vapour is stated: outdoors only"
		}
		out = append(out, c)
	}
	return out
}

// estimateOf is the air after the largest step of a product.
func estimateOf(in Input, p product) (Estimate, bool) {
	room, _ := RoomOf(in.Job.Room)
	if !in.Plan.Drying.Fan {
		room.Changes = in.Job.Room.Changes.Or(DefaultChanges)
	}
	work, _, ok := Evaporates(in.Stock, p.Code, p.volume)
	if !ok || room.Volume <= 0 {
		return Estimate{}, false
	}
	work.Over = TouchOf(in.Stock, p.Code)
	e, err := Air(room, work)
	return e, err == nil
}

// TouchOf is when the first dry stage of a product ends, the time its vapour is
// taken to come off in.
func TouchOf(stock inventory.Stock, code string) time.Duration {
	if p, ok := stock.Paint(code); ok {
		return p.Touch.Or(DefaultOver)
	}
	d, _ := stock.Dye(code)
	return d.Touch.Or(DefaultOver)
}

// airOfCoats says once for all water-borne products what the worst of their
// largest coats comes to.
func airOfCoats(in Input) []Caution {
	if !in.Job.Room.Volume.Known() {
		return []Caution{{Weight: Note, Subject: "room", Text: "the room's volume is not stated, so no vapour can be estimated: state volume_m3 and air changes in room.csv"}}
	}
	var worst Estimate
	var codes []string
	for _, p := range used(in) {
		if p.base == "solvent" {
			continue
		}
		e, ok := estimateOf(in, p)
		if !ok || e.Verdict == AirLow {
			continue
		}
		codes = append(codes, fmt.Sprintf("%s (%.0f ml)", p.Code, float64(p.volume)))
		if len(codes) == 1 || e.worse(worst) {
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
	return []Caution{{Weight: weight, Subject: "room",
		Text: fmt.Sprintf("run the fan or open the window for a coat of %s: in %.0f m³ at %.1f air changes an hour, with %s", strings.Join(codes, ", "), worst.VolumeM3, worst.Changes, worst.Text)}}
}

// ignition compares flash points with the room, and heat with wet solvent.
func ignition(in Input) []Caution {
	var out []Caution
	room := in.Job.Room.DayC.Or(UsualRoomC)
	for _, p := range used(in) {
		if flash, what := flashOf(p); what != "" && flash < room {
			out = append(out, Caution{Weight: Care, Subject: p.Code,
				Text: fmt.Sprintf("%s: %s has a flash point of %.0f °C, below this room's %.0f °C: take the air around the wet work as ready to catch fire; no flame, spark, iron, heat gun or cigarette until it is dry", p.name(), what, flash, room)})
		}
		out = append(out, hotBeside(in, p)...)
	}
	return out
}

// flashOf is the lowest flash point of what a product names.
func flashOf(p product) (c float64, what string) {
	for _, name := range p.Contains {
		s, err := SolventNamed(name)
		if err != nil {
			continue
		}
		if f, ok := s.FlashC.Get(); ok && (what == "" || f < c) {
			c, what = f, name
		}
	}
	return c, what
}

// hotBeside finds heat sets that fall into the time a solvent dries.
func hotBeside(in Input, p product) []Caution {
	if p.base != "solvent" {
		return nil
	}
	var out []Caution
	for _, wet := range in.Plan.Steps {
		dries, ok := wet.Dries.Get()
		if wet.Code != p.Code || !ok || wet.Done {
			continue
		}
		for _, hot := range in.Plan.Steps {
			if hot.Verb == plan.VerbHeat && hot.Start.Before(dries.Touch) && hot.End.After(wet.Start) {
				out = append(out, Caution{Weight: Stop, Subject: p.Code,
					Text: fmt.Sprintf("%s is still wet until %s when %s is heat set (%s): not in one room, or move one of them", p.name(), local(in.Job, dries.Touch), hot.Area, local(in.Job, hot.Start))})
			}
		}
	}
	return out
}

// spraying minds mist: what is breathed in although the paint is water-borne.
func spraying(in Input) []Caution {
	var out []Caution
	for _, p := range used(in) {
		if !sprays(p) {
			continue
		}
		c := Caution{Weight: Care, Subject: p.Code, Text: p.name() + " on " + p.on() + " is sprayed: its mist is breathed in whatever carries it; outdoors or with extraction, particle filter at least, cover what must stay clean"}
		if p.base == "solvent" || slices.ContainsFunc(p.Hazards, func(h string) bool { return groupOf(h) == "fire" }) {
			c.Weight, c.Text = Stop, p.name()+" on "+p.on()+" is a solvent spray: outdoors only, dry and warm enough by its label, with vapour and particle cartridges that are fresh and fit; no flame or spark near it"
		}
		out = append(out, c)
	}
	return out
}

func sprays(p product) bool {
	return p.Kind != inventory.KindCloth && p.Kind != inventory.KindTrim && says(words(p.Article), "aerosol", "spray", "airbrush")
}

// respirators says what the stated mask does not do.
func respirators(in Input) []Caution {
	var codes []string
	for _, p := range used(in) {
		if p.base == "solvent" || sprays(p) {
			codes = append(codes, p.Code)
		}
	}
	if len(codes) == 0 {
		return nil
	}
	text := map[string]string{
		"":         "no mask is stated; a dust mask would not stop vapour",
		"none":     "no mask is at hand",
		"particle": "the particle mask stops mist and dust, not vapour",
		"vapour":   "a vapour mask helps only with the right fresh cartridge, a fit test and no beard",
	}[in.Job.Room.Mask]
	return []Caution{{Weight: Note, Subject: "room", Text: fmt.Sprintf("for %s: %s; no mask takes the place of moving air to outdoors", strings.Join(codes, ", "), text)}}
}

// Hours in which people sleep and a fan is off; common practice, no source. They
// are the planner's night.
const nightFrom, nightTo = 22, 7

// nights finds coats that still give off vapour when the room is shut.
func nights(in Input) []Caution {
	var late []string
	weight := Note
	zone := in.Job.Zone
	if zone == nil {
		zone = time.UTC
	}
	for _, s := range in.Plan.Steps {
		dries, ok := s.Dries.Get()
		p, known := productOf(in.Stock, s.Code)
		if !ok || !known || s.Done || (p.base != "solvent" && p.voc.Or(0) <= 0) {
			continue
		}
		if end := dries.Touch.In(zone); end.Hour() >= nightFrom || end.Hour() < nightTo || end.YearDay() != s.End.In(zone).YearDay() {
			if p.base == "solvent" {
				weight = Care
			}
			late = append(late, fmt.Sprintf("%s on %s (wet until %s)", s.Code, s.Area, local(in.Job, dries.Touch)))
		}
	}
	if len(late) == 0 {
		return nil
	}
	return []Caution{{Weight: weight, Subject: "room", Text: fmt.Sprintf("still gives off vapour at night, when no fan runs: %s: nobody sleeps in that room, its door shut and its window ajar; or start earlier", strings.Join(late, ", "))}}
}
