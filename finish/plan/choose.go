package plan

import (
	"fmt"
	"strings"

	"undercoat/finish/garment"
	"undercoat/finish/match"
	"undercoat/inventory/unit"
)

// chooseLayers gives every area without a choice the best the shelf allows,
// and every layer without a number of coats the house rule's number.
func (d *draft) chooseLayers() error {
	for i := range d.areas {
		a := &d.areas[i]
		if !a.chosen {
			if err := d.ask(a); err != nil {
				return err
			}
		}
		if err := d.countCoats(a); err != nil {
			return err
		}
	}
	return nil
}

// ask lets the matcher choose for an area.
func (d *draft) ask(a *areaWork) error { return nil }

// countCoats fills the coats that are open and the range of every layer.
func (d *draft) countCoats(a *areaWork) error {
	var at []int // layers that are coats
	q := match.HouseQuestion{Ground: d.groundOf(*a), Tolerance: a.Tolerance}
	for i, l := range a.layers {
		if l.coats() {
			at = append(at, i)
			q.Layers = append(q.Layers, match.Layer{Code: l.Code, Coats: l.Coats})
		}
	}
	if len(at) == 0 {
		return nil
	}
	built, err := match.HouseCoats(q, d.stock)
	if err != nil {
		return fmt.Errorf("plan area %s: %w", a.Code, err)
	}
	for k, b := range built {
		l := &a.layers[at[k]]
		if l.Coats == 0 {
			l.Coats = b.Coats
		}
		l.CoatsRange = [2]int{min(b.Count.Low, l.Coats), max(b.Count.High, l.Coats)}
	}
	return nil
}

// groundOf is what an area's first coat meets: a cloth of the shelf, or the
// trim or fibre that is inked.
func (d *draft) groundOf(a areaWork) match.Ground { return match.Ground{Code: a.Ground} }

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
// Glazes over a share of the area and layers without a known colour are left
// to the model as they are; nil where it cannot see the stack.
func (d *draft) build(a areaWork, less map[string]bool) []match.Step {
	var layers []match.Layer
	for _, l := range a.layers {
		if !l.coats() {
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

// clothLayer makes the layer of a cloth area from its ground, where the maker
// named only that.
func clothLayer(code string) []garment.Layer { return []garment.Layer{{Code: code}} }
