package plan

import (
	"cmp"
	"fmt"
	"slices"
	"sync"
	"time"

	"undercoat/finish/garment"
	"undercoat/finish/match"
	"undercoat/inventory/unit"
)

// otherway is a changed input to be planned.
type otherway struct {
	Alternative
	in    Input
	helps bool // less work or more hands: whatever was possible still is
}

// alternatives plans what could be dropped or changed: without or with the
// fan, one coat fewer, a second pair of hands, another product. Every figure
// comes from a plan computed with the change, side by side with the others.
func (d *draft) alternatives(now Plan) ([]Alternative, error) {
	ways := slices.Concat(d.otherFan(), d.fewerCoats(now), d.helpers(), d.otherProduct(now))
	plans, errs := make([]Plan, len(ways)), make([]error, len(ways))
	var all sync.WaitGroup
	for i, o := range ways {
		o.in.quick, o.in.Alternatives = true, false
		all.Go(func() { plans[i], errs[i] = Make(o.in) })
	}
	all.Wait()
	var out []Alternative
	for i, o := range ways {
		if errs[i] != nil {
			return nil, fmt.Errorf("plan otherwise, %s: %w", o.Kind, errs[i])
		}
		if plans[i].HandsOff.Ends.IsZero() {
			continue
		}
		out = append(out, d.alternative(o, now, plans[i]))
	}
	return out, nil
}

// alternative holds a changed plan against the plan.
func (d *draft) alternative(o otherway, now, then Plan) Alternative {
	if o.helps && !now.HandsOff.Ends.IsZero() && then.HandsOff.Ends.After(now.HandsOff.Ends) {
		then.HandsOff = now.HandsOff // the dates found already still hold with less to do
	}
	a := o.Alternative
	a.Met, a.Ends = then.HandsOff.Met, then.HandsOff.Ends
	a.Cost = then.Cost.Total - now.Cost.Total
	if !now.HandsOff.Ends.IsZero() {
		a.Moves, a.dated = then.HandsOff.Ends.Sub(now.HandsOff.Ends), true
	}
	a.Cured = curedOf(then, now.Decides.Or(Session{}).Step, d)
	a.Text += ": " + d.effect(then, a)
	return a
}

// curedOf is when the area of a step is cured in a plan.
func curedOf(p Plan, step string, d *draft) unit.Stated[time.Time] {
	i, ok := d.index[step]
	if !ok {
		return unit.Stated[time.Time]{}
	}
	for _, a := range p.Areas {
		if a.Code == d.work[i].Area {
			return a.Cured
		}
	}
	return unit.Stated[time.Time]{}
}

// effect tells in one sentence what a change does.
func (d *draft) effect(then Plan, a Alternative) string {
	text := "ends " + a.Ends.In(d.zone()).Format(clock)
	switch {
	case a.Moves > 0:
		text += fmt.Sprintf(", %s later", durationText(a.Moves))
	case a.Moves < 0:
		text += fmt.Sprintf(", %s earlier", durationText(-a.Moves))
	case a.dated:
		text += ", no earlier and no later"
	}
	if then.HandsOff.Known {
		text += "; " + metText(then.HandsOff)
	}
	switch {
	case a.Cost > 0:
		text += fmt.Sprintf("; costs %s more", a.Cost)
	case a.Cost < 0:
		text += fmt.Sprintf("; saves %s", -a.Cost)
	}
	if diff, ok := a.Difference.Get(); ok {
		text += fmt.Sprintf("; ΔE00 %.1f from the colour planned", diff)
	}
	return text
}

func metText(h HandsOff) string {
	if h.Met {
		return fmt.Sprintf("hands-off is met with %s to spare", durationText(h.Spare))
	}
	return fmt.Sprintf("hands-off is missed by %s", durationText(-h.Spare))
}

func durationText(t time.Duration) string { return spanText(int(t / time.Minute)) }

// otherFan turns the fan round, where the room is known with it and without.
func (d *draft) otherFan() []otherway {
	room := d.job.Room
	if !room.DryingFactor.Known() || !room.DryingFactorFan.Known() {
		return nil
	}
	o := otherway{in: d.frozen(), helps: true, Alternative: Alternative{Kind: "fan", Text: "with the fan"}}
	o.in.Fan = FanOn
	if d.room.fan {
		o.in.Fan, o.Text, o.helps = FanOff, "without the fan", false
	}
	return []otherway{o}
}

// frozen is the input with every area's layers chosen as they are now, so that
// only the change differs.
func (d *draft) frozen() Input {
	in := d.in
	in.Job.Choices = nil
	for _, a := range d.areas {
		in.Job.Choices = append(in.Job.Choices, garment.Choice{Area: a.Code, Layers: a.choice(nil)})
	}
	return in
}

// choice returns an area's layers as a choice would state them; less names
// products with one coat fewer.
func (a areaWork) choice(less map[string]bool) []garment.Layer {
	var layers []garment.Layer
	for _, l := range a.layers {
		if l.Role == RoleTreatment || l.Role == RoleTrim && l.Quantity.Unit == "g" {
			continue // the input and the note give these again
		}
		n := l.Coats
		if less[l.Code] {
			n--
		}
		layers = append(layers, garment.Layer{Code: l.Code, Coats: n})
	}
	return layers
}

// choose replaces an area's choice.
func choose(in Input, area string, layers []garment.Layer) Input {
	in.Job.Choices = slices.Clone(in.Job.Choices)
	for i := range in.Job.Choices {
		if in.Job.Choices[i].Area == area {
			in.Job.Choices[i].Layers = layers
		}
	}
	return in
}

// fewerCoats takes one coat off each product of the area that decides.
func (d *draft) fewerCoats(now Plan) []otherway {
	var all []otherway
	for _, a := range d.areas {
		if a.Code != d.decidingArea(now) {
			continue
		}
		for _, l := range a.layers {
			if !thinnable(l) {
				continue
			}
			o := otherway{helps: true, in: choose(d.frozen(), a.Code, a.choice(map[string]bool{l.Code: true}))}
			o.Alternative = Alternative{Kind: "coats", Area: a.Code, Code: l.Code, Difference: d.coatLess(a, l.Code)}
			o.Text = fmt.Sprintf("%d coats of %s on %s instead of %d", l.Coats-1, l.Code, a.Code, l.Coats)
			all = append(all, o)
		}
	}
	return all
}

func (d *draft) decidingArea(now Plan) string {
	i, ok := d.index[now.Decides.Or(Session{}).Step]
	if !ok {
		return ""
	}
	return d.work[i].Area
}

// secondHands is the name a second pair of hands goes by.
const secondHands = "second pair of hands"

// helpers doubles the maker's hours.
func (d *draft) helpers() []otherway {
	in := d.frozen()
	in.Job.Hours = slices.Clone(in.Job.Hours)
	for _, h := range d.job.Hours {
		if h.Who == "" && kindWords[h.What] == anyWork {
			h.Who = secondHands
			in.Job.Hours = append(in.Job.Hours, h)
		}
	}
	if len(in.Job.Hours) == len(d.job.Hours) {
		return nil
	}
	return []otherway{{in: in, helps: true, Alternative: Alternative{Kind: "helper", Text: "with a second pair of hands in the same hours"}}}
}

// otherProduct takes the next best way the matcher allows on the area that
// decides.
func (d *draft) otherProduct(now Plan) []otherway {
	for _, a := range d.areas {
		if a.Code != d.decidingArea(now) {
			continue
		}
		for _, m := range a.ways {
			if !m.Allowed() || len(m.Coats) == 0 || !near(m, a) || sameProducts(m.Coats, a.layers) {
				continue
			}
			var layers []garment.Layer
			for _, c := range m.Coats {
				layers = append(layers, garment.Layer{Code: c.Code, Coats: c.Coats})
			}
			o := otherway{in: choose(d.frozen(), a.Code, layers), Alternative: Alternative{Kind: "product", Area: a.Code, Code: m.Code}}
			o.Text = fmt.Sprintf("%s on %s", m.Code, a.Code)
			if p, ok := a.predicted.Get(); ok {
				o.Difference = unit.State(difference(p.Lab, m.Predicted.Lab))
			}
			return []otherway{o}
		}
	}
	return nil
}

func sameProducts(coats []match.Layer, layers []layerWork) bool {
	var a, b []string
	for _, c := range coats {
		a = append(a, c.Code)
	}
	for _, l := range layers {
		if l.coats() {
			b = append(b, l.Code)
		}
	}
	slices.SortFunc(a, cmp.Compare[string])
	slices.SortFunc(b, cmp.Compare[string])
	return slices.Equal(a, b)
}
