package inventory

import (
	"math"
	"slices"

	"undercoat/inventory/unit"
	"undercoat/palette/colour"
)

// balance is what the movements of one line add up to.
type balance struct {
	known  bool    // there was a movement
	amount float64 // on hand, reservations not taken off
	held   float64 // reserved by jobs
}

// article turns a row of the stock table into what every kind has.
func article(r *StockFact, b balance, m []Measure) Article {
	a := Article{Code: r.Code, Name: r.Name, Kind: r.Kind, Medium: r.Medium, Suits: r.Suits, Hazards: r.Hazards, Contains: r.Contains,
		Unit: r.Unit, Price: r.Price, Opened: r.Opened, Expires: r.Expires, Note: r.Note, Measures: m, Extra: r.Extra,
		Colour: bestColour(r.Colour, m), Reserved: unit.Quantity{Amount: b.held, Unit: r.Unit}}
	if b.known {
		a.OnHand = unit.State(unit.Quantity{Amount: settle(b.amount - b.held), Unit: r.Unit})
	}
	if v, ok := r.Pack.Get(); ok {
		a.Pack = unit.State(unit.Quantity{Amount: v, Unit: r.Unit})
	}
	return a
}

// grain is how finely amounts are kept: to a millionth of their unit.
const grain = 1e6

// settle brings an amount to its grain, and takes away the dust that adding
// decimals leaves: 0.1 + 0.2 - 0.3 is nothing left, not 5.6e-17. Sums of some
// thousand amounts below 10⁹ stay exact to the grain.
func settle(v float64) float64 {
	r := math.Round(v*grain) / grain
	if r == 0 {
		return 0 // not -0
	}
	return r
}

// Read says how the colour of a measure was read: a spectrum, CIELAB by an
// instrument, or from a photograph.
func (m Measure) Read() colour.Basis {
	switch {
	case m.Basis == colour.Photographed.String():
		return colour.Photographed
	case m.Spectrum.Known():
		return colour.Spectral
	}
	return colour.Measured
}

// bestColour is the most trustworthy colour of the full product: a spectrum,
// else CIELAB in daylight, each of the sample over itself, the last one where
// there are several; else the declared colour.
func bestColour(declared unit.Stated[Written], measures []Measure) unit.Stated[colour.Colour] {
	for _, m := range slices.Backward(measures) {
		if r, ok := m.Spectrum.Get(); ok && m.OfItself() {
			return unit.State(colour.FromReflectance(r, colour.Spectral))
		}
	}
	for _, m := range slices.Backward(measures) {
		if l, ok := m.Lab.Get(); ok && m.OfItself() && m.Daylight() {
			c, _ := colour.FromLab(l, min(m.Read(), colour.Measured))
			return unit.State(c)
		}
	}
	if w, ok := declared.Get(); ok {
		return unit.State(w.Colour)
	}
	return unit.Stated[colour.Colour]{}
}

// OfItself says whether nothing shows through the sample: it lies over more of
// itself, or is a swatch of which nothing else is said.
func (m Measure) OfItself() bool {
	return m.Over == "itself" || m.Over == "" && m.Kind == "swatch"
}

// Daylight says whether the measure holds for CIE D65; an unnamed light is it.
func (m Measure) Daylight() bool { return m.Light == "" || m.Light == "D65" }

// Tells says whether the colour in daylight is known from the measure: it is a
// spectrum, or a colour read in daylight.
func (m Measure) Tells() bool { return m.Spectrum.Known() || m.Lab.Known() && m.Daylight() }

func paint(r *StockFact, a Article) Paint {
	return Paint{Article: a, HidingBlack: r.HidingBlack, HidingWhite: r.HidingWhite, WetFilm: r.WetFilm, Spread: r.Spread,
		VolumeSolids: r.VolumeSolids, Touch: r.Touch, RecoatFrom: r.RecoatFrom, RecoatUntil: r.RecoatUntil, Handle: r.Handle, Cure: r.Cure,
		HeatC: r.HeatC, HeatTime: r.HeatTime, LowC: r.LowC, Elongation: r.Elongation, Base: r.Base, Fluorescent: r.Fluorescent, VOC: r.VOC}
}

func dye(r *StockFact, a Article) Dye {
	return Dye{Article: a, Class: r.DyeClass, Touch: r.Touch, RecoatFrom: r.RecoatFrom, Cure: r.Cure, HeatC: r.HeatC, HeatTime: r.HeatTime,
		LowC: r.LowC, Base: r.Base, VOC: r.VOC, Fluorescent: r.Fluorescent}
}

func cloth(r *StockFact, a Article) Cloth {
	return Cloth{Article: a, Fibre: r.Fibre, DyeClass: r.DyeClass, Width: r.Width, Shrinkage: r.Shrinkage, Stretch: r.Stretch, IronMax: r.IronMax}
}

func trim(r *StockFact, a Article) Trim {
	return Trim{Article: a, Fibre: r.Fibre, Width: r.Width, IronMax: r.IronMax}
}
