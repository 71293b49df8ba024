package plan

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"undercoat/finish/garment"
	"undercoat/inventory/unit"
)

// sewing returns the maker's sewing steps of a verb on an area.
func (d *draft) sewing(area string, v Verb) []garment.Sewing {
	var out []garment.Sewing
	for _, s := range d.job.Sewing {
		if s.Area == area && Verb(s.Verb) == v {
			out = append(out, s)
		}
	}
	return out
}

// sewingSteps adds the maker's own steps.
func (d *draft) sewingSteps() error {
	for _, s := range d.job.Sewing {
		if _, twice := d.index[s.Code]; twice {
			return fmt.Errorf("plan sewing step %s: its code is also that of another step", s.Code)
		}
		a, _ := d.job.Area(s.Area)
		w := work{Step: Step{ID: s.Code, Area: s.Area, Piece: a.Piece, Verb: Verb(s.Verb), Hands: s.Hands}, kind: sewingWork}
		switch w.Verb {
		case VerbFit:
			w.kind = anyWork
		case VerbPrewash:
			w.Hands = cmpOr(s.Hands, prewashHands)
		case VerbStud:
			w.release = d.arrival(d.trimCodes(s.Area)...)
		case VerbCut:
			if c, ok := d.clothOfArea(s.Area); ok {
				w.release = d.arrival(c)
			}
		}
		if s.Who != "" {
			w.who = unit.State(s.Who)
		}
		d.add(w)
	}
	return nil
}

func cmpOr(a, b time.Duration) time.Duration {
	if a > 0 {
		return a
	}
	return b
}

func (d *draft) trimCodes(area string) []string {
	var codes []string
	for _, a := range d.areas {
		for _, l := range a.layers {
			if a.Code == area && l.Role == RoleTrim {
				codes = append(codes, l.Code)
			}
		}
	}
	return codes
}

func (d *draft) clothOfArea(area string) (string, bool) {
	for _, a := range d.areas {
		if a.Code == area {
			c, ok := d.clothOf(a)
			return c.Code, ok
		}
	}
	return "", false
}

// sewingWaits ties the maker's steps by their own after and before, and by
// what always holds: washed cloth is cut dry, studs and fittings wait for the
// cure.
func (d *draft) sewingWaits() error {
	for _, s := range d.job.Sewing {
		for _, text := range s.After {
			if err := d.waitFor(s.Code, text); err != nil {
				return fmt.Errorf("plan sewing step %s: after: %w", s.Code, err)
			}
		}
		for _, text := range s.Before {
			if err := d.holdBack(s.Code, text); err != nil {
				return fmt.Errorf("plan sewing step %s: before: %w", s.Code, err)
			}
		}
		d.houseWaits(s)
	}
	return nil
}

// houseWaits are the waits the maker need not state.
func (d *draft) houseWaits(s garment.Sewing) {
	switch Verb(s.Verb) {
	case VerbPrewash:
		for _, c := range d.sewing(s.Area, VerbCut) {
			d.after(s.Code, c.Code, clothDries, fmt.Sprintf("washed cloth dries for %s", unit.FormatSpan(clothDries)))
		}
	case VerbStud:
		if _, painted := d.index[curedID(s.Area)]; painted {
			d.after(curedID(s.Area), s.Code, 0, "studs are set after paint and fixing")
		}
	case VerbFit:
		for _, a := range d.areas {
			if _, painted := d.index[curedID(a.Code)]; painted && a.Skin {
				d.after(curedID(a.Code), s.Code, 0, "no paint on skin before it is cured")
			}
		}
	}
}

// waitFor makes a step wait for another step or for a state of an area.
func (d *draft) waitFor(step, text string) error {
	if i, ok := d.index[text]; ok && !d.work[i].milestone {
		min, why := time.Duration(0), fmt.Sprintf("after %s", text)
		if v := d.work[i].Verb; v == VerbPrewash || v == VerbTreat {
			min, why = clothDries, fmt.Sprintf("washed cloth dries for %s", unit.FormatSpan(clothDries))
		}
		d.after(text, step, min, why)
		return nil
	}
	area, state, err := d.areaState(text)
	if err != nil {
		return err
	}
	return d.waitForState(step, area, state, text)
}

// states are the words for a state of a painted area; the first of each line
// is the one papers use.
var states = map[string]string{
	"cured": "cured", "": "cured", "finished": "cured", "done": "cured",
	"painting": "painting", "painted": "painting", "coats": "painting", "coated": "painting",
	"touch dry": "touch dry", "dry": "handle dry", "handle dry": "handle dry",
	"set": "set", "heat set": "set",
}

// verbStates are states that the maker's own steps bring about.
var verbStates = map[string]Verb{
	"prewash": VerbPrewash, "prewashed": VerbPrewash, "washed": VerbPrewash, "cut": VerbCut, "sew": VerbSew, "sewn": VerbSew,
	"hem": VerbHem, "hemmed": VerbHem, "line": VerbLine, "lined": VerbLine, "stud": VerbStud, "studded": VerbStud, "fit": VerbFit, "fitted": VerbFit,
}

const expectedState = "expected a step's code, or an area with a state: cured, painting, touch dry, handle dry, set, cut, sewn, hemmed, lined, studded"

// areaState reads "A5 cured".
func (d *draft) areaState(text string) (area, state string, err error) {
	area, state, _ = strings.Cut(strings.TrimSpace(text), " ")
	state = strings.ToLower(strings.TrimSpace(state))
	if _, ok := d.job.Area(area); !ok {
		return "", "", fmt.Errorf("%q: %s", text, expectedState)
	}
	if _, ok := states[state]; !ok {
		if _, ok := verbStates[state]; !ok {
			return "", "", fmt.Errorf("%q: %s", text, expectedState)
		}
	}
	return area, state, nil
}

// waitForCloth makes a step wait for the baths and washes of an area that is
// cut, not painted: it has nothing else to cure.
func (d *draft) waitForCloth(step, area string) {
	for _, w := range d.work {
		if w.Area == area && w.ID != step && (w.Verb == VerbTreat || w.Verb == VerbPrewash) {
			d.after(w.ID, step, clothDries, fmt.Sprintf("washed cloth dries for %s", unit.FormatSpan(clothDries)))
		}
	}
}

func (d *draft) waitForState(step, area, state, text string) error {
	if v, ok := verbStates[state]; ok {
		steps := d.sewing(area, v)
		if len(steps) == 0 {
			return fmt.Errorf("%q: no step does that; %s", text, expectedState)
		}
		for _, s := range steps {
			if s.Code != step {
				d.after(s.Code, step, 0, "after "+s.Code)
			}
		}
		return nil
	}
	if _, painted := d.index[curedID(area)]; !painted {
		d.waitForCloth(step, area)
		return nil
	}
	last := d.lastCoat(area)
	switch {
	case states[state] == "cured" || last == nil:
		d.after(curedID(area), step, 0, area+" is cured")
	case states[state] == "set":
		if heat := stepID(area, VerbHeat); d.has(heat) {
			d.after(heat, step, coolDown, "cool after the heat")
		} else {
			d.after(curedID(area), step, 0, area+" is cured")
		}
	case states[state] == "touch dry":
		d.after(last.ID, step, last.dries.touch, "touch dry")
	case states[state] == "handle dry":
		d.after(last.ID, step, last.dries.handle, "handle dry")
	default:
		d.after(last.ID, step, 0, "after the last coat")
	}
	return nil
}

// holdBack makes another step, or an area's painting, wait for a step.
func (d *draft) holdBack(step, text string) error {
	min, why := time.Duration(0), "after "+step
	if i, ok := d.index[step]; ok && d.work[i].begins > 0 {
		min = d.work[i].begins
		why = fmt.Sprintf("%s is read after %s", step, unit.FormatSpan(min))
	}
	if i, ok := d.index[text]; ok && !d.work[i].milestone {
		d.after(step, text, min, why)
		return nil
	}
	area, state, err := d.areaState(text)
	if err != nil {
		return err
	}
	if v, ok := verbStates[state]; ok {
		for _, s := range d.sewing(area, v) {
			d.after(step, s.Code, min, why)
		}
		return nil
	}
	for _, first := range d.firstOfPainting(area) {
		d.after(step, first, min, why)
	}
	return nil
}

func (d *draft) has(id string) bool {
	_, ok := d.index[id]
	return ok
}

// firstOfPainting returns the steps an area's painting starts with.
func (d *draft) firstOfPainting(area string) []string {
	if mask := stepID(area, VerbMask); d.has(mask) {
		return []string{mask}
	}
	for _, w := range d.work {
		if w.Area == area && w.dries.on {
			return []string{w.ID}
		}
	}
	return nil
}

func (d *draft) lastCoat(area string) *work {
	for i := range slices.Backward(d.work) {
		if w := &d.work[i]; w.Area == area && w.dries.on {
			return w
		}
	}
	return nil
}

// clothSteps adds what the maker's steps leave out: the prewash of cloth that
// shrinks, and the baths.
func (d *draft) clothSteps() {
	for _, c := range d.cloth {
		if !c.Prewash || slices.ContainsFunc(c.Areas, func(a string) bool { return len(d.sewing(a, VerbPrewash)) > 0 }) {
			continue
		}
		id := stepID(c.Code, VerbPrewash)
		cuts := d.cutsOf(c.Areas)
		if len(cuts) == 0 || d.has(id) {
			continue
		}
		d.add(work{Step: Step{ID: id, Area: c.Areas[0], Verb: VerbPrewash, Code: c.Code, Hands: prewashHands}, kind: sewingWork, release: d.arrival(c.Code)})
		for _, s := range cuts {
			d.after(id, s.Code, clothDries, fmt.Sprintf("washed cloth dries for %s", unit.FormatSpan(clothDries)))
		}
	}
	for _, a := range d.areas {
		for _, l := range a.layers {
			if l.Role == RoleTreatment {
				d.bathStep(a, l)
			}
		}
	}
}

func (d *draft) cutsOf(areas []string) []garment.Sewing {
	var cuts []garment.Sewing
	for _, a := range areas {
		cuts = append(cuts, d.sewing(a, VerbCut)...)
	}
	return cuts
}

// bathStep adds a bath for an area's cloth: after the prewash, before it is
// cut.
func (d *draft) bathStep(a areaWork, l layerWork) {
	id := treatID(a.Code, l.Code)
	needs := ""
	if c, ok := l.paint.HeatC.Get(); ok {
		needs = fmt.Sprintf("bath of %.0f °C, %s", c, unit.FormatSpan(l.paint.HeatTime.Or(0)))
	}
	d.add(work{
		Step:    Step{ID: id, Area: a.Code, Piece: a.Piece, Verb: VerbTreat, Code: l.Code, Hands: bathHands + l.paint.HeatTime.Or(0), Needs: needs},
		release: d.arrival(l.Code),
	})
	for _, s := range d.sewing(a.Code, VerbPrewash) {
		d.after(s.Code, id, 0, "washed first")
	}
	for _, s := range d.sewing(a.Code, VerbCut) {
		d.after(id, s.Code, clothDries, fmt.Sprintf("washed cloth dries for %s", unit.FormatSpan(clothDries)))
	}
}

// testSteps adds the tests the caller wants; one that lies by itself is read when
// it has lain.
func (d *draft) testSteps() error {
	for _, t := range d.in.Tests {
		a, _ := d.job.Area(t.Area)
		d.add(work{Step: Step{ID: t.Code, Area: t.Area, Piece: a.Piece, Verb: VerbTest, Hands: cmpOr(t.Hands, testHands), Needs: t.How}, what: t.What, begins: t.Wait})
		if t.Wait > 0 && len(t.Before) == 0 { // nothing waits for it but the end
			read := t.Code + " read"
			d.add(work{Step: Step{ID: read, Area: t.Area, Piece: a.Piece}, milestone: true})
			d.after(t.Code, read, t.Wait, fmt.Sprintf("%s is read after %s", t.Code, unit.FormatSpan(t.Wait)))
		}
	}
	for _, t := range d.in.Tests {
		if t.After != "" {
			if err := d.waitFor(t.Code, t.After); err != nil {
				return fmt.Errorf("plan test %s: after: %w", t.Code, err)
			}
		}
		for _, b := range t.Before {
			if err := d.holdBack(t.Code, b); err != nil {
				return fmt.Errorf("plan test %s: before: %w", t.Code, err)
			}
		}
	}
	return nil
}
