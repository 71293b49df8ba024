package plan

import (
	"fmt"
	"math"
	"slices"
	"time"

	"undercoat/finish/garment"
	"undercoat/inventory"
	"undercoat/inventory/unit"
)

// coatSteps adds an area's painting: mask, coats and sides from the ground up
// with their waits, unmask, heat set, and the state cured.
func (d *draft) coatSteps(a areaWork) {
	if a.Method != garment.ByPaint && a.Method != garment.ByDye && len(coatLayers(a)) == 0 {
		return
	}
	chain := d.coatChain(a)
	for _, c := range chain {
		d.add(c.work)
	}
	d.add(work{Step: Step{ID: curedID(a.Code), Area: a.Code, Piece: a.Piece}, milestone: true})
	if len(chain) == 0 {
		return
	}
	d.coatWaits(chain)
	d.maskSteps(a, chain)
	d.cureWaits(a, chain)
	for _, s := range d.sewing(a.Code, VerbCut) {
		d.after(s.Code, chain[0].ID, 0, "cut first")
	}
}

// coatWork is one coat, or one side of it, with its product.
type coatWork struct {
	work
	paint inventory.Paint
	role  Role
}

// coatChain lists an area's coats in the order they are laid.
func (d *draft) coatChain(a areaWork) []coatWork {
	var chain []coatWork
	sides := a.sides()
	for _, l := range coatLayers(a) {
		for n := 1; n <= l.Coats; n++ {
			for i, side := range sides {
				chain = append(chain, d.coat(a, l, n, side, i, len(sides)))
			}
		}
	}
	for i := range chain {
		chain[i].dries.hold = chain[i].dries.recoat
	}
	if len(chain) > 0 {
		last := &chain[len(chain)-1].dries
		last.hold = last.handle
	}
	return chain
}

// coat builds one coat; of a piece coated side by side each takes its part of
// hands and paint.
func (d *draft) coat(a areaWork, l layerWork, n int, side string, i, sides int) coatWork {
	p, verb := l.paint, VerbCoat
	if l.Role == RoleInk {
		p, verb = inkAsPaint(l.dye), VerbDye
	}
	s := Step{
		ID: coatID(a.Code, l.Code, n, side), Area: a.Code, Piece: a.Piece, Verb: verb, Code: l.Code, Coat: n, Coats: l.Coats, Side: side,
		Volume: coatVolume(l, n, i, sides), Fixer: l.Fixer, Hands: d.coatHands(a) / time.Duration(sides),
	}
	w := work{Step: s, kind: anyWork, dries: d.dries(a, p, l), release: d.arrival(l.Code, l.Fixer)}
	if d.sprayedSolvent(a, l) {
		w.kind, w.dries.place, w.Needs = sprayWork, InYard, fmt.Sprintf("outdoors, dry and above %.0f °C", coldest)
	} else if p.Base == "solvent" {
		w.Needs = "open window and the fan outward until it is touch dry"
	}
	w.Place = w.dries.place
	return coatWork{w, p, l.Role}
}

func coatVolume(l layerWork, n, side, sides int) unit.Volume {
	if l.Role == RoleInk {
		return l.Volume
	}
	if n > len(l.each) {
		return 0
	}
	parts := make([]unit.Volume, sides)
	for k := range parts {
		parts[k] = l.each[n-1] / unit.Volume(sides)
	}
	return split(l.each[n-1], parts)[side]
}

// inkAsPaint gives an ink the times of a paint.
func inkAsPaint(y inventory.Dye) inventory.Paint {
	return inventory.Paint{Article: y.Article, Touch: y.Touch, RecoatFrom: y.RecoatFrom, Cure: y.Cure, Base: y.Base}
}

// coatHands is the hands time of one coat on every wearer's piece: the
// maker's own, else by the painted surface, up to five minutes.
func (d *draft) coatHands(a areaWork) time.Duration {
	if a.CoatHands > 0 {
		return a.CoatHands
	}
	t := coatSetUp + time.Duration(float64(coatPace)*float64(a.Painted)*d.factor)
	return (t + 5*time.Minute - 1).Truncate(5 * time.Minute)
}

// sprayedSolvent reports whether a layer throws solvent into the air.
func (d *draft) sprayedSolvent(a areaWork, l layerWork) bool {
	return l.paint.Base == "solvent" && d.laying(a.Code, l).Tool.Sprays()
}

// dries works out a coat's stages in this room and the place it takes.
func (d *draft) dries(a areaWork, p inventory.Paint, l layerWork) drying {
	film := filmOf(l)
	y := drying{on: true, film: film}
	set := func(s Stage, into *time.Duration) {
		t, ok := d.stage(p, s, film)
		if !ok {
			y.unknown = fmt.Sprintf("the label of %s does not say when it is %s", p.Code, s)
			return
		}
		*into = t.after
		if s == Recoat {
			y.basis = t.basis
		}
	}
	set(TouchDry, &y.touch)
	set(Recoat, &y.recoat)
	set(HandleDry, &y.handle)
	set(Cured, &y.cure)
	if x, ok := d.stock.Paint(l.Fixer); ok {
		if t, ok := d.stage(x, Cured, film); ok && x.Cure.Known() {
			y.cure = t.after
		}
	}
	y.until = d.until(p)
	y.place, y.amount = d.placeFor(a)
	if y.place == OnRail {
		y.laid = d.layings(a)
	}
	return y
}

// filmOf returns how many times the label's wet film a coat is laid; 1 where
// the label gives none.
func filmOf(l layerWork) float64 {
	if um, ok := l.paint.WetFilm.Get(); ok && um > 0 && l.Spreading.Later > 0 {
		return float64(l.Spreading.Later) / um
	}
	return 1
}

// layings returns the ways to lay some of an area's hung pieces on the rack,
// smallest first, where the rail is too short for everything at once. A piece
// painted on both faces must hang; a garment lies double.
func (d *draft) layings(a areaWork) []laid {
	rack, ok := d.job.Room.Rack.Get()
	if !ok || a.Sides >= 2 || !d.railShort() {
		return nil
	}
	factors := make([]float64, 0, d.pieces())
	for _, w := range d.job.Wearers {
		factors = append(factors, w.Factor)
	}
	slices.Sort(factors)
	var ways []laid
	flat := 0.0
	for i, f := range factors {
		flat += f * float64(a.Cloth) / 2
		if flat > float64(rack)+enough || a.Cloth <= 0 {
			break
		}
		ways = append(ways, laid{
			pieces: i + 1,
			rail:   int(math.Round(float64(a.Rail) * 100 * float64(d.pieces()-i-1))),
			rack:   int(math.Ceil(flat*1e4 - 1e-6)),
		})
	}
	return ways
}

// railShort reports whether all hung pieces together are longer than the rail.
func (d *draft) railShort() bool {
	rail, ok := d.job.Room.Rail.Get()
	sum := 0.0
	for _, a := range d.areas {
		if len(coatLayers(a)) > 0 {
			sum += float64(a.Rail) * float64(d.pieces())
		}
	}
	return ok && sum > float64(rail)+enough
}

// placeFor returns where an area's pieces dry and how much of it they take:
// the rail where they hang, else the rack. A piece without extent takes none.
func (d *draft) placeFor(a areaWork) (Place, int) {
	if a.Rail > 0 {
		return OnRail, int(math.Round(float64(a.Rail) * 100 * float64(d.pieces())))
	}
	flat := max(float64(a.Cloth), float64(a.Painted)/float64(max(1, a.Sides)))
	if flat <= 0 {
		return Nowhere, 0
	}
	return OnRack, int(math.Ceil(flat*d.factor*1e4 - 1e-6))
}

// coatWaits ties the chain: each coat waits for the one before it.
func (d *draft) coatWaits(chain []coatWork) {
	for i := 1; i < len(chain); i++ {
		d.waits = append(d.waits, d.recoatWait(chain, i))
	}
}

// recoatWait is the wait between a coat and the next: the recoat window; the
// cure where the window never opens in this room, has closed by now, or where
// solvent would lift a water-borne coat; the time to turn the piece between
// its sides.
func (d *draft) recoatWait(chain []coatWork, i int) wait {
	prev, next := chain[i-1], chain[i]
	w := wait{from: prev.ID, to: next.ID, min: prev.dries.recoat, max: prev.dries.until}
	w.why = fmt.Sprintf("%s may be recoated after %s (%s)", prev.Code, unit.FormatSpan(prev.dries.recoat), prev.dries.basis)
	sameCoat := prev.Code == next.Code && prev.Coat == next.Coat
	if sameCoat {
		w.min, w.max = prev.dries.handle, unit.Stated[time.Duration]{}
		w.why = fmt.Sprintf("%s may be turned after %s", prev.Code, unit.FormatSpan(prev.dries.handle))
		return w
	}
	shut, known := w.max.Get()
	lifts := vehicleOf(next.paint) != WaterBorne && vehicleOf(prev.paint) == WaterBorne
	missed := known && d.isDone(prev.ID) && d.done[prev.ID].At.Add(shut).Before(d.now)
	if lifts || missed || known && shut < w.min {
		w.min, w.max = prev.dries.cure, unit.Stated[time.Duration]{}
		w.why = fmt.Sprintf("%s is cured after %s", prev.Code, unit.FormatSpan(prev.dries.cure))
		if lifts {
			w.why += ": solvent lifts a water-borne coat that is not"
		}
	}
	return w
}

// maskSteps masks what is painted in part and takes the mask off when the last
// coat is touch dry. Where the first coat is done unmasked, no mask is asked
// for.
func (d *draft) maskSteps(a areaWork, chain []coatWork) {
	faces := float64(a.Cloth) * float64(max(1, a.Sides))
	if faces <= 0 || float64(a.Painted) >= maskedBelow*faces {
		return
	}
	n := time.Duration(d.pieces())
	mask := work{Step: Step{ID: stepID(a.Code, VerbMask), Area: a.Code, Piece: a.Piece, Verb: VerbMask, Hands: maskHands * n}}
	if d.isDone(chain[0].ID) && !d.isDone(mask.ID) {
		return
	}
	d.add(mask)
	d.after(mask.ID, chain[0].ID, 0, "mask first")
	for _, s := range d.sewing(a.Code, VerbCut) {
		d.after(s.Code, mask.ID, 0, "cut first")
	}
	last := chain[len(chain)-1]
	off := work{Step: Step{ID: stepID(a.Code, VerbUnmask), Area: a.Code, Piece: a.Piece, Verb: VerbUnmask, Hands: unmaskHands * n}}
	d.add(off)
	d.after(last.ID, off.ID, last.dries.touch, fmt.Sprintf("%s is touch dry after %s", last.Code, unit.FormatSpan(last.dries.touch)))
}

// cureWaits ties every coat to the state cured: by its own cure, by heat, or
// by a rinse that starts it.
func (d *draft) cureWaits(a areaWork, chain []coatWork) {
	cured := curedID(a.Code)
	heat := d.heatStep(a, chain)
	rinse := d.rinseStep(a, chain)
	longest := map[string]time.Duration{} // the last coat of a product speaks for those before it
	for i := len(chain) - 1; i >= 0; i-- {
		c := chain[i]
		if _, later := longest[c.Code]; later {
			continue
		}
		longest[c.Code] = c.dries.cure
		switch {
		case heat != "" && isHeatSet(c.paint):
			d.after(heat, cured, coolDown, fmt.Sprintf("cool for %s after the heat", unit.FormatSpan(coolDown)))
		case rinse != "":
			d.after(rinse, cured, c.dries.cure, d.cureWhy(c))
		default:
			d.after(c.ID, cured, c.dries.cure, d.cureWhy(c))
		}
	}
}

func (d *draft) cureWhy(c coatWork) string {
	with := ""
	if c.Fixer != "" {
		with = " with " + c.Fixer
	}
	return fmt.Sprintf("%s%s is cured after %s", c.Code, with, unit.FormatSpan(c.dries.cure))
}

func isHeatSet(p inventory.Paint) bool { return p.HeatC.Known() && p.HeatTime.Known() }

// heatStep adds the heat set of an area that is set so; "" otherwise. The iron
// goes over every spot for the label's time.
func (d *draft) heatStep(a areaWork, chain []coatWork) string {
	if a.setting.Way != SetByHeat {
		return ""
	}
	spot := heatSpot
	if d.job.Room.Press {
		spot = pressSpot
	}
	spots := math.Ceil(float64(a.Painted)*d.factor/spot - 1e-9)
	w := work{Step: Step{
		ID: stepID(a.Code, VerbHeat), Area: a.Code, Piece: a.Piece, Verb: VerbHeat,
		Hands: time.Duration(spots) * a.setting.Heat,
		Needs: fmt.Sprintf("%.0f °C, %s on every spot, dry, through a press cloth", a.setting.HeatC, unit.FormatSpan(a.setting.Heat)),
	}}
	d.add(w)
	last := chain[len(chain)-1]
	through := last.dries.handle
	if !last.paint.Handle.Known() {
		through = max(through, d.inRoom(heatDries, "usual", vehicleOf(last.paint), Cured, 1).after)
	}
	d.after(last.ID, w.ID, through, fmt.Sprintf("%s is dry right through after %s", last.Code, unit.FormatSpan(through)))
	return w.ID
}

// rinseStep adds the rinse an ink's note asks for; "" otherwise.
func (d *draft) rinseStep(a areaWork, chain []coatWork) string {
	last := chain[len(chain)-1]
	if last.Verb != VerbDye || !hasWord(last.paint.Note, "rinse") {
		return ""
	}
	w := work{Step: Step{ID: stepID(a.Code, VerbRinse), Area: a.Code, Piece: a.Piece, Verb: VerbRinse, Hands: rinseHands, Code: last.Code}}
	d.add(w)
	d.after(last.ID, w.ID, last.dries.recoat, fmt.Sprintf("%s sets for %s", last.Code, unit.FormatSpan(last.dries.recoat)))
	return w.ID
}

// inferDone takes every coat under a finished one as finished before it: the
// maker forgot to note it. When is not known; the latest that can have been.
func (d *draft) inferDone() {
	for _, a := range d.areas {
		ids := a.coatIDs()
		for i := len(ids) - 2; i >= 0; i-- {
			next, done := d.done[ids[i+1]]
			if done && !d.isDone(ids[i]) {
				hands := d.coatHands(a) / time.Duration(len(a.sides()))
				d.done[ids[i]] = garment.Done{Step: ids[i], At: next.At.Add(-wholeMinutes(hands))}
			}
		}
	}
}

// coatIDs lists the ids of an area's coats in the order they are laid.
func (a areaWork) coatIDs() []string {
	var ids []string
	for _, l := range coatLayers(a) {
		for n := 1; n <= l.Coats; n++ {
			for _, side := range a.sides() {
				ids = append(ids, coatID(a.Code, l.Code, n, side))
			}
		}
	}
	return ids
}

// coatLayers returns an area's layers that are laid in coats.
func coatLayers(a areaWork) []layerWork {
	return slices.DeleteFunc(slices.Clone(a.layers), func(l layerWork) bool { return !l.coats() && l.Role != RoleInk })
}
