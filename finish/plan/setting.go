package plan

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"undercoat/inventory"
	"undercoat/inventory/unit"
)

// heatLimit is how hot an area's stack may be pressed, and everything that
// sets a limit.
type heatLimit struct {
	c     float64
	rests []limitFact
}

type limitFact struct {
	c   float64
	why string
}

func (h *heatLimit) add(c float64, why string) {
	h.c = min(h.c, c)
	h.rests = append(h.rests, limitFact{c, why})
}

// below says what limits the heat below c.
func (h heatLimit) below(c float64) string {
	var why []string
	for _, f := range h.rests {
		if f.c < c {
			why = append(why, f.why)
		}
	}
	return strings.Join(why, "; ")
}

// heatLimit asks the ground, every layer and the tools of the room.
func (d *draft) heatLimit(w areaWork) heatLimit {
	h := heatLimit{c: math.Inf(1)}
	if c, ok := w.ground.IronMax.Get(); ok && w.onCloth {
		h.add(c, fmt.Sprintf("%s takes %s", w.ground.Code, ironText(c)))
	}
	if t, ok := d.stock.Trim(w.Ground); ok {
		if c, ok := t.IronMax.Get(); ok {
			h.add(c, fmt.Sprintf("%s takes %s", t.Code, ironText(c)))
		}
	}
	for _, l := range w.layers {
		if c, ok := standsC(l.paint).Get(); ok {
			h.add(c, fmt.Sprintf("%s stands %.0f °C at most", l.Code, c))
		}
	}
	if c, ok := d.job.Room.IronMaxC.Get(); ok {
		h.add(c, fmt.Sprintf("the iron reaches %.0f °C", c))
	} else if !d.job.Room.Press {
		h.add(0, "the room states neither an iron nor a press")
	}
	return h
}

// standsC returns the heat a paint stands: a temperature its label gives
// without a time, or its note.
func standsC(p inventory.Paint) unit.Stated[float64] {
	if p.HeatC.Known() && !p.HeatTime.Known() {
		return p.HeatC
	}
	return noted(standsHeat, p.Note)
}

func ironText(c float64) string {
	if c <= 0 {
		return "no iron"
	}
	return fmt.Sprintf("an iron of %.0f °C at most", c)
}

// settle says how an area's paint is fixed: by the fixer its recipe names; by
// heat where ground, label and tools allow the label's own heat for every
// paint that asks for it; else by a fixer that fits them; else in air. One
// stack is set one way.
func (d *draft) settle(w *areaWork) {
	if len(coatLayers(*w)) == 0 {
		return
	}
	wants := heatSet(w.layers)
	if named, ok := w.takeFixer(); ok {
		d.setByFixer(w, named, "the recipe names it")
		return
	}
	if len(wants) == 0 {
		w.setting = Setting{Way: SetByAir, Because: "no label asks for heat"}
		return
	}
	limit := d.heatLimit(*w)
	hot, dwell := hottestOf(wants)
	if hot <= limit.c {
		w.setting = Setting{Way: SetByHeat, HeatC: hot, Heat: dwell, Because: "label, cloth and iron allow it"}
		return
	}
	fixer, ok := d.fixerFor(wants)
	for _, l := range wants {
		if c := l.paint.HeatC.Or(0); c > limit.c {
			d.refuse(heatRefusal(*w, l, limit, fixer, ok))
		}
	}
	if !ok {
		w.setting = Setting{Way: SetByAir, Because: fmt.Sprintf("%s, and no fixer fits: it cures in air and rubs off sooner when damp", limit.below(hot))}
		return
	}
	d.setByFixer(w, fixer, fmt.Sprintf("%s; the label asks for %.0f °C", limit.below(hot), hot))
}

// takeFixer takes a fixer the recipe names out of an area's layers.
func (w *areaWork) takeFixer() (inventory.Paint, bool) {
	i := slices.IndexFunc(w.layers, func(l layerWork) bool { return l.Role == RoleFixer })
	if i < 0 {
		return inventory.Paint{}, false
	}
	p := w.layers[i].paint
	w.layers = slices.Delete(w.layers, i, i+1)
	return p, true
}

// setByFixer stirs a fixer into every paint that asks for heat, or into every
// colour where none does.
func (d *draft) setByFixer(w *areaWork, fixer inventory.Paint, because string) {
	w.setting = Setting{Way: SetByFixer, Fixer: fixer.Code, Share: fixerShare(fixer), Pot: fixerPot(fixer), Because: because}
	heats := len(heatSet(w.layers)) > 0
	for i := range w.layers {
		l := &w.layers[i]
		_, asks := heatOf(*l)
		if asks || !heats && keepsRepair(l.Role) {
			l.Fixer = fixer.Code
		}
	}
}

// heatOf returns the heat set a layer's label asks for: a temperature with a
// time. A temperature alone is what it stands.
func heatOf(l layerWork) (time.Duration, bool) {
	t, timed := l.paint.HeatTime.Get()
	return t, timed && l.coats() && l.paint.HeatC.Known()
}

func heatSet(layers []layerWork) []layerWork {
	var wants []layerWork
	for _, l := range layers {
		if _, ok := heatOf(l); ok {
			wants = append(wants, l)
		}
	}
	return wants
}

func hottestOf(wants []layerWork) (c float64, dwell time.Duration) {
	for _, l := range wants {
		t, _ := heatOf(l)
		c, dwell = max(c, l.paint.HeatC.Or(0)), max(dwell, t)
	}
	return c, dwell
}

func heatRefusal(w areaWork, l layerWork, limit heatLimit, fixer inventory.Paint, fixed bool) Refusal {
	r := Refusal{
		Area: w.Code, Code: l.Code, Rule: "heat",
		What: fmt.Sprintf("heat set of %s at %.0f °C", l.Code, l.paint.HeatC.Or(0)),
		Why:  limit.below(l.paint.HeatC.Or(0)),
	}
	if strings.EqualFold(w.ground.DyeClass, "disperse") {
		r.Why += "; hot disperse dye of polyester moves into the paint"
	}
	if fixed {
		r.Instead = fmt.Sprintf("stir %s %% of %s into the paint, mixed for each session", unit.FormatNumber(100*fixerShare(fixer)), fixer.Code)
	} else {
		r.Instead = "let it cure in air for the label's time and test by rubbing"
	}
	for _, under := range w.layers {
		if under.Role == RoleBase {
			r.Instead += fmt.Sprintf("; keep %s under it", under.Code)
		}
	}
	return r
}

// fixerFor returns the first fixer by code that fits every paint.
func (d *draft) fixerFor(wants []layerWork) (inventory.Paint, bool) {
	for _, p := range d.stock.Paints() {
		if p.Kind == inventory.KindTreatment && isFixer(p) && fitsAll(p, wants) {
			return p, true
		}
	}
	return inventory.Paint{}, false
}

// fitsAll reports whether the fixer's label names every paint's medium, or the
// paint's own note names the fixer.
func fitsAll(fixer inventory.Paint, wants []layerWork) bool {
	for _, l := range wants {
		if !fixer.Fits(strings.ToLower(l.paint.Medium), l.Code) && !strings.Contains(l.paint.Note, "fixer "+fixer.Code) {
			return false
		}
	}
	return true
}

// usualFixerShare and usualPotLife stand in where a fixer's label is silent;
// common practice, no source.
const (
	usualFixerShare = 0.02
	usualPotLife    = 4 * time.Hour
)

// fixerShare reads how much of a fixer goes into paint: its share_pct column,
// else its note.
func fixerShare(p inventory.Paint) float64 {
	if v, ok := extra(p.Article, "share_pct").Get(); ok {
		return v / 100
	}
	if v, ok := noted(shareInPaint, p.Note).Get(); ok {
		return v / 100
	}
	return usualFixerShare
}

// fixerPot reads how long a mix may be used: its pot_life_h column, else its
// note.
func fixerPot(p inventory.Paint) time.Duration {
	if v, ok := extra(p.Article, "pot_life_h").Get(); ok {
		return time.Duration(v * float64(time.Hour))
	}
	return notedPotLife(p.Note).Or(usualPotLife)
}
