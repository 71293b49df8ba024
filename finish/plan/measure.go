package plan

import (
	"slices"

	"undercoat/finish/garment"
	"undercoat/inventory/unit"
)

// laying returns how a product is laid on an area: what the caller said for
// that area, then for every area, else an aerosol where it is sold in cans,
// else by brush.
func (d *draft) laying(area string, l layerWork) Laying {
	for _, want := range []string{area, ""} {
		for _, y := range d.in.Laying {
			if y.Code == l.Code && y.Area == want {
				return y
			}
		}
	}
	y := Laying{Area: area, Code: l.Code}
	if l.paint.Unit == "can" || hasWord(l.paint.Medium, "aerosol") {
		y.Tool = Aerosol
	}
	return y
}

// coverage is the surface a layer must cover. Only a glaze keeps to its share
// of the area.
func (d *draft) coverage(a garment.Area, l layerWork) Coverage {
	y := d.laying(a.Code, l)
	c := Coverage{Painted: a.Painted, Factor: d.factor, Reserve: d.job.Reserve, Tool: y.Tool, Thin: y.Thin}
	if loss, changed := d.loss[l.Code]; changed {
		c.Reserve = loss
	}
	if l.Role == RoleGlaze {
		c.Painted = unit.Extent(float64(a.Painted) * a.Share)
	}
	return c
}

// observe collects what finished coats were weighed to use and counts the
// coats that are done.
func (d *draft) observe() []Observation {
	seen := slices.Clone(d.in.Weighed)
	for i := range d.areas {
		a := &d.areas[i]
		for k := range a.layers {
			l := &a.layers[k]
			if !l.coats() && l.Role != RoleInk {
				continue
			}
			c := d.coverage(a.Area, *l)
			for n := 1; n <= l.Coats; n++ {
				used, done := d.coatDone(*a, *l, n)
				if !done {
					break
				}
				l.done = n
				if o, ok := used.Get(); ok && o > 0 {
					seen = append(seen, Observation{
						Code: l.Code, Under: underCoat(*l, n), Used: o,
						Extent: unit.Extent(float64(c.Painted) * c.Factor / (1 + c.Thin)),
						Loss:   float64(WithLoss(1, c.Tool, c.Reserve)),
					})
				}
			}
		}
	}
	return seen
}

// underCoat is what the n-th coat of a layer meets.
func underCoat(l layerWork, n int) string {
	if n > 1 {
		return l.Code
	}
	return l.under
}

// coatDone reports whether a coat is done, all sides of it, and what it used
// where every side was weighed.
func (d *draft) coatDone(a areaWork, l layerWork, coat int) (used unit.Stated[unit.Volume], done bool) {
	var sum unit.Volume
	weighed := true
	for _, side := range a.sides() {
		f, ok := d.done[coatID(a.Code, l.Code, coat, side)]
		if !ok {
			return used, false
		}
		v, ok := usedVolume(f)
		sum, weighed = sum+v, weighed && ok
	}
	if weighed {
		used = unit.State(sum)
	}
	return used, true
}

func usedVolume(f garment.Done) (unit.Volume, bool) {
	q, ok := f.Used.Get()
	if !ok {
		return 0, false
	}
	return q.Volume()
}

// sides returns the names of the sides that are coated apart: a piece with two
// painted faces that dries lying flat is turned in between; a hung one is
// coated on both faces at once.
func (a areaWork) sides() []string {
	if a.Sides >= 2 && a.Rail <= 0 {
		return []string{"face", "back"}
	}
	return []string{""}
}

// measure settles every layer's volume, per coat and in all, and the repair
// pots: one for each colour, on the first area that uses it.
func (d *draft) measure() {
	seen := d.observe()
	potted := map[string]bool{}
	for i := range d.areas {
		a := &d.areas[i]
		for k := range a.layers {
			l := &a.layers[k]
			if !l.coats() {
				continue
			}
			s := spreading(l.paint.Spread, l.paint.WetFilm, l.bare)
			l.Spreading = s.corrected(seen, l.Code, l.under, l.bare)
			l.Volume, l.each = d.coverage(a.Area, *l).Coats(l.Spreading, l.Coats)
			l.Left = 0
			for n := l.done; n < len(l.each); n++ {
				l.Left += l.each[n]
			}
			l.Each = append([]unit.Volume(nil), l.each...)
			if keepsRepair(l.Role) && !potted[l.Code] {
				l.Repair = repairPot(d.job.Repair, l.paint.Pack)
				potted[l.Code] = true
			}
		}
	}
}

// keepsRepair reports whether a colour of this role is kept for repairs: every
// one that can be seen or that carries one.
func keepsRepair(r Role) bool {
	return r == RoleUndercoat || r == RoleTop || r == RoleFluorescent || r == RoleGlaze
}
