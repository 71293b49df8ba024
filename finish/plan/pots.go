package plan

import (
	"math"
	"slices"
	"time"

	"undercoat/inventory/unit"
)

// batches lists the colours that are poured together, by code: all that is
// still to be laid, on whatever area. Sealers need no batch.
func (d *draft) batches() []Batch {
	var all []Batch
	for _, a := range d.areas {
		for _, l := range a.layers {
			if !l.coats() || l.Role == RoleSealer || l.Left+l.Repair <= 0 {
				continue
			}
			i := slices.IndexFunc(all, func(b Batch) bool { return b.Code == l.Code })
			if i < 0 {
				i, all = len(all), append(all, Batch{Code: l.Code, Name: l.paint.Name, Fixer: l.Fixer})
			}
			all[i].Paint += l.Left
			all[i].Repair += l.Repair
			all[i].Areas = append(all[i].Areas, a.Code)
		}
	}
	slices.SortFunc(all, func(a, b Batch) int { return compareCodes(a.Code, b.Code) })
	return all
}

// mixPots groups the coats that take a fixer into pots: what is mixed when the
// first of them starts lasts for every later coat of the same paint that is
// finished within the pot life. The fixer of all pots adds up to what the
// shopping list counts, in tenths of a millilitre. Steps carry their share.
func (d *draft) mixPots(steps []Step) []Pot {
	var pots []Pot
	open := map[string]int{} // by paint and fixer: index of its last pot
	for i := range steps {
		s := &steps[i]
		if s.Fixer == "" || s.Done || s.Start.IsZero() {
			continue
		}
		key := s.Code + " " + s.Fixer
		k, ok := open[key]
		if !ok || s.End.After(pots[k].UseBy) {
			k = len(pots)
			open[key] = k
			pots = append(pots, Pot{Code: s.Code, Fixer: s.Fixer, Mixed: s.Start, UseBy: s.Start.Add(d.potLife(s.Area))})
		}
		pots[k].Paint += s.Volume
		pots[k].Steps = append(pots[k].Steps, s.ID)
	}
	d.shareFixer(pots, steps)
	return pots
}

func (d *draft) potLife(area string) (life time.Duration) {
	for _, a := range d.areas {
		if a.Code == area {
			life = a.setting.Pot
		}
	}
	return life
}

// shareFixer deals each fixer's need out to the pots by their paint, and each
// pot's to its steps.
func (d *draft) shareFixer(pots []Pot, steps []Step) {
	for _, fixer := range fixersOf(pots) {
		var need unit.Volume
		for _, n := range d.fixerNeeds() {
			if n.code == fixer {
				need += n.volume
			}
		}
		var paint []unit.Volume
		var at []int
		for i, p := range pots {
			if p.Fixer == fixer {
				paint, at = append(paint, p.Paint), append(at, i)
			}
		}
		for k, v := range tenths(need, paint) {
			pots[at[k]].FixerVolume = v
		}
	}
	for _, p := range pots {
		var paint []unit.Volume
		var at []int
		for i, s := range steps {
			if slices.Contains(p.Steps, s.ID) {
				paint, at = append(paint, s.Volume), append(at, i)
			}
		}
		for k, v := range tenths(p.FixerVolume, paint) {
			steps[at[k]].FixerVolume = v
		}
	}
}

func fixersOf(pots []Pot) []string {
	var codes []string
	for _, p := range pots {
		if !slices.Contains(codes, p.Fixer) {
			codes = append(codes, p.Fixer)
		}
	}
	return codes
}

// tenths deals whole out in the proportion of the parts, in tenths of a
// millilitre that add up to it: each running total is rounded.
func tenths(whole unit.Volume, parts []unit.Volume) []unit.Volume {
	var sum, run, dealt unit.Volume
	for _, p := range parts {
		sum += p
	}
	out := make([]unit.Volume, len(parts))
	if sum <= 0 {
		return out
	}
	for i, p := range parts {
		run += p
		upTo := unit.Volume(math.Round(float64(whole*run/sum)*10) / 10)
		out[i] = unit.Volume(math.Round(float64(upTo-dealt)*10) / 10)
		dealt = upTo
	}
	return out
}
