package plan

import (
	"strings"

	"undercoat/finish/garment"
	"undercoat/inventory"
	"undercoat/inventory/unit"
)

// Observations returns what the finished coats of a job were weighed to use:
// what another job learns from it. Only areas with a recorded choice of layers
// speak, because only there is it known what lay under a coat. The error is
// that of [Make] about facts that make no sense.
func Observations(in Input) ([]Observation, error) {
	in.Weighed = nil
	d, err := newDraft(in)
	if err != nil {
		return nil, err
	}
	if err := d.loadAreas(); err != nil {
		return nil, err
	}
	return d.observe(), nil
}

// WeighedPot turns a pot weighed before and after coats into an observation.
// What lay under them is the ground of the area where the first coat of a
// known area was weighed alone, and else the product itself. It is not ok
// where the density is unknown: a mass alone does not tell a volume.
func WeighedPot(w inventory.WeighingFact, j garment.Job) (Observation, bool) {
	density, ok := w.Density.Get()
	if !ok || density <= 0 || w.Painted <= 0 || w.Coats < 1 {
		return Observation{}, false
	}
	o := Observation{
		Code: w.Code, Under: w.Code, Used: unit.Volume(float64(w.Before-w.After) / density),
		Extent: unit.Extent(float64(w.Painted) * float64(w.Coats)), Loss: float64(WithLoss(1, Brush, j.Reserve)),
	}
	if a, known := j.Area(w.Area); known && w.Job == j.Name && w.Coats == 1 && strings.HasSuffix(w.Step, "-"+w.Code+"-1") {
		o.Under = underFirst(j, a, w.Code)
	}
	return o, true
}

// underFirst is what the first coat of a product meets on an area.
func underFirst(j garment.Job, a garment.Area, code string) string {
	under := a.Ground
	layers, _ := j.ChoiceFor(a.Code)
	for _, l := range layers {
		if l.Code == code {
			return under
		}
		under = l.Code
	}
	return a.Ground
}
