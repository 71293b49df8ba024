package plan

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"sync"

	"undercoat/finish/garment"
	"undercoat/finish/match"
	"undercoat/inventory/unit"
)

// chooseLayers gives every area without a choice the best the shelf allows,
// and every layer without a number of coats the house rule's number. What was
// tempting and is not allowed is refused.
func (d *draft) chooseLayers() error {
	results, doubts := d.findAll()
	for i := range d.areas {
		a, found := &d.areas[i], results[i]
		a.ways = found.Matches
		if !a.chosen {
			if err := d.take(a, found, doubts[i]); err != nil {
				return err
			}
		}
		d.countCoats(a)
		d.refuseFound(*a, found)
		d.refuseStack(*a)
		d.refuseUnknown(*a)
	}
	return nil
}

// findAll asks the matcher for every area, side by side; an alternative asks
// nothing, its choices are made. What the matcher cannot answer (a ground whose
// colour nobody stated) is a doubt, no obstacle to the work.
func (d *draft) findAll() (results []match.Result, doubts []error) {
	results, doubts = make([]match.Result, len(d.areas)), make([]error, len(d.areas))
	if d.in.quick {
		return results, doubts
	}
	var all sync.WaitGroup
	for i, a := range d.areas {
		all.Go(func() { results[i], doubts[i] = d.find(a) })
	}
	all.Wait()
	return results, doubts
}

// errNoTarget says that nothing can be looked for.
var errNoTarget = errors.New("the area has no target yet")

// find asks the matcher for single articles, and for stacks where no article
// is near enough.
func (d *draft) find(a areaWork) (match.Result, error) {
	if !a.Target.Known() || a.Method == garment.ByTrim {
		return match.Result{}, errNoTarget
	}
	q := d.question(a)
	r, err := match.Find(q, d.stock)
	if err != nil {
		return match.Result{}, err
	}
	if best, ok := firstAllowed(r); a.chosen || a.Method != garment.ByPaint || ok && near(best, a) {
		return r, nil
	}
	q.Kinds = append(q.Kinds, match.Layers)
	return match.Find(q, d.stock)
}

// rangedWays is how many ways to an area's colour get their likely range: a
// shelf may hold thousands, and the plan shows the nearest.
const rangedWays = 48

// question is what the job knows of an area, as the matcher asks it.
func (d *draft) question(a areaWork) match.Request {
	q := match.Request{
		Target:    match.Target{Colour: a.Target.Colour, Readings: d.in.Readings[a.Code], Fluorescent: a.Target.Fluorescent},
		Tolerance: a.Tolerance, Method: match.Method(a.Method), Stretch: a.Stretch, Skin: a.Skin, IronMax: d.job.Room.IronMaxC,
		Extent: d.allPieces(a.Painted), Now: d.now, Kinds: []match.Kind{match.Item}, Top: d.stock.Len() + 1, Ranged: rangedWays,
	}
	for _, l := range a.layers {
		q.Named = append(q.Named, l.Code)
	}
	if a.Method == garment.ByCloth {
		q.Extent = d.allPieces(a.Cloth)
	} else {
		q.Ground = d.groundOf(a)
	}
	for _, w := range d.job.Wearers {
		for _, s := range w.Sensitivities {
			q.Sensitivities = append(q.Sensitivities, match.Sensitivity{Wearer: w.Code, Substance: s})
		}
	}
	for _, l := range d.job.JudgingLights() {
		q.Lights = append(q.Lights, match.Light{Name: l.Name, Light: l.Light, UV: l.UV})
	}
	return q
}

// allPieces is an extent of the lead wearer for every wearer, without the noise
// of the multiplication: it is printed in reasons.
func (d *draft) allPieces(e unit.Extent) unit.Extent {
	return unit.Extent(math.Round(float64(e)*d.factor*1e6) / 1e6)
}

func firstAllowed(r match.Result) (match.Match, bool) {
	for _, m := range r.Matches {
		if m.Allowed() {
			return m, true
		}
	}
	return match.Match{}, false
}

// near reports whether a match is within the area's tolerance; against a
// fluorescent target every allowed match is.
func near(m match.Match, a areaWork) bool {
	diff, ok := m.Difference.Get()
	return !ok || diff <= a.Tolerance
}

// take lays the best allowed match on an area; nothing where none is allowed.
func (d *draft) take(a *areaWork, r match.Result, doubt error) error {
	best, ok := firstAllowed(r)
	if !ok {
		a.basis = "nothing chosen, and nothing on the shelf is allowed"
		if doubt != nil {
			a.basis = fmt.Sprintf("nothing chosen: %v", doubt)
		}
		return nil
	}
	layers := []garment.Layer{{Code: best.Code}}
	if len(best.Coats) > 0 {
		layers = nil
		for _, c := range best.Coats {
			layers = append(layers, garment.Layer{Code: c.Code, Coats: c.Coats})
		}
	}
	a.basis = "nearest on the shelf that is allowed"
	if diff, known := best.Difference.Get(); known {
		a.basis += fmt.Sprintf(", ΔE00 %.1f", diff)
	}
	if best.Basis != "" {
		a.basis += "; " + best.Basis
	}
	return d.addLayers(a, layers)
}

// countCoats fills the coats that are open and the range of every layer, by the
// house rule; where the model has no colour to count by, by its least number.
func (d *draft) countCoats(a *areaWork) {
	if d.in.quick && !slices.ContainsFunc(a.layers, func(l layerWork) bool { return l.coats() && l.Coats == 0 }) {
		return // every number is settled, and no range is asked for
	}
	var at []int // layers that are coats
	q := match.HouseQuestion{Ground: d.groundOf(*a), Tolerance: a.Tolerance}
	for i, l := range a.layers {
		if l.coats() {
			at = append(at, i)
			q.Layers = append(q.Layers, match.Layer{Code: l.Code, Coats: l.Coats})
		}
	}
	built, err := match.HouseCoats(q, d.stock)
	for k, i := range at {
		l := &a.layers[i]
		least := match.Count{N: leastCoats(*l), Low: leastCoats(*l), High: leastCoats(*l)}
		if err == nil {
			least = built[k].Count
		}
		if l.Coats == 0 {
			l.Coats = least.N
		}
		l.CoatsRange = [2]int{min(least.Low, l.Coats), max(least.High, l.Coats)}
	}
}

// leastCoats is the house rule's least number of coats: two by brush, one of a
// block base, a glaze or a clear coat, three of the sealer of raw foam. Common
// practice, no source.
func leastCoats(l layerWork) int {
	switch match.RoleOf(l.paint) {
	case match.Seal:
		return 3
	case match.Block, match.Glaze, match.Clear, match.Rub:
		return 1
	}
	return 2
}

// groundOf is what an area's first coat meets: a cloth of the shelf, or the
// trim or fibre that is inked.
func (d *draft) groundOf(a areaWork) match.Ground {
	return match.Ground{Code: a.Ground, Stretch: a.Stretch}
}

// predict says what an area will look like: the colour after its last coat, or
// of the cloth it is cut from. What the model cannot see stays unknown.
func (d *draft) predict() {
	for i := range d.areas {
		a := &d.areas[i]
		if steps := d.build(*a, nil); len(steps) > 0 {
			a.curve = steps
			p := steps[len(steps)-1].Predicted
			a.predicted = unit.State(Prediction{Lab: p.Lab, Low: p.Low, High: p.High, Hex: p.Hex, OutOfScreen: p.OutOfScreen})
		} else if !a.predicted.Known() {
			d.predictCloth(a)
		}
		d.compare(a)
	}
}

// build predicts an area's coats; less names layers whose coats are one fewer.
// A glaze over a share of the area is left out: the prediction is of the colour
// between its strokes. nil where the model cannot see the stack.
func (d *draft) build(a areaWork, less map[string]bool) []match.Step {
	var layers []match.Layer
	for _, l := range a.layers {
		if !l.coats() || l.Role == RoleGlaze && a.Share < 1 {
			continue
		}
		n := l.Coats
		if less[l.Code] {
			n--
		}
		if n > 0 {
			layers = append(layers, match.Layer{Code: l.Code, Coats: n})
		}
	}
	if len(layers) == 0 {
		return nil
	}
	steps, err := match.Build(d.groundOf(a), layers, match.Light{}, d.stock)
	if err != nil {
		return nil // a doubt about a colour is no obstacle to the work
	}
	return steps
}

func (d *draft) predictCloth(a *areaWork) {
	for _, l := range a.layers {
		if l.Role != RoleCloth && l.Role != RoleInk {
			continue
		}
		if article, ok := d.stock.Article(l.Code); ok {
			if c, ok := article.Colour.Get(); ok {
				a.predicted = unit.State(Prediction{Lab: c.Lab(), Low: c.Lab(), High: c.Lab(), Hex: c.Hex(), OutOfScreen: !c.InScreen()})
			}
		}
	}
}

// compare states the difference to the target, with the range the prediction
// allows. Against a fluorescent target none is stated: it is a stand-in.
func (d *draft) compare(a *areaWork) {
	p, ok := a.predicted.Get()
	if !ok || !a.Target.Known() || a.Target.Fluorescent {
		return
	}
	at := difference(a.Target.Colour.Lab(), p.Lab)
	low, high := difference(a.Target.Colour.Lab(), p.Low), difference(a.Target.Colour.Lab(), p.High)
	a.difference = unit.State(at)
	a.between = [2]float64{min(at, low, high), max(at, low, high)}
}

// layersText writes a stack as people say it: "W3 × 1, W1 × 3, F1 × 3".
func layersText(layers []layerWork) string {
	var parts []string
	for _, l := range layers {
		if l.coats() {
			parts = append(parts, fmt.Sprintf("%s × %d", l.Code, l.Coats))
		}
	}
	return strings.Join(parts, ", ")
}
