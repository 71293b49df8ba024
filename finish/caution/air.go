package caution

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"undercoat/inventory/unit"
)

// Released is a mass of one substance that leaves the work.
type Released struct {
	Solvent Solvent
	Mass    unit.Mass
}

// Room is the air the vapour goes into.
type Room struct {
	Volume  unit.Space
	Changes float64 // air changes an hour, from outdoors; above or equal 0
	Mixing  float64 // mixing factor K, 1 even mixing … 10 a dead corner
}

// Work is what is released, and in what time.
type Work struct {
	Released []Released
	Over     time.Duration // evenly over this time; 0 is all at once
	// Lump is a water-borne product's volatile part, of which only the mass is
	// known: it is judged by the limit of a common glycol ether.
	Lump unit.Mass
}

// Verdict of the air estimate: the words of the `air` contract.
type AirVerdict string

// The verdicts. None of them clears a hazard.
const (
	AirLow    AirVerdict = "no objection found"
	AirWarn   AirVerdict = "ventilate"
	AirRefuse AirVerdict = "do not do this here"
)

// The planner's lines: occupational limits are for healthy adults at work, not
// for homes, so it warns at a tenth of the mixture index and refuses at half;
// for fire it warns at 5 % and refuses at 10 % of the lower explosive limit as
// room mean. Judgement, stricter than any code asks; see the sources of
// [Air].
const (
	warnIndex, refuseIndex = 0.1, 0.5
	warnLEL, refuseLEL     = 0.05, 0.10
)

// Vapour is one substance's share of an estimate.
type Vapour struct {
	Name        string
	PeakPPM     float64 // room mean at its highest
	MeanPPM     float64 // over 8 h from the start of work, decay included
	NearPPM     float64 // beside the wet cloth, at its highest
	LimitPPM    float64 // 0 none in the table
	LimitSource string
}

// Estimate is a warning light, not a permit.
type Estimate struct {
	VolumeM3, Changes, Mixing float64
	Vapours                   []Vapour
	Index                     float64 // Σ C/L over all vapours, 8 h mean
	LELShare                  float64 // Σ peak / lower explosive limit
	Verdict                   AirVerdict
	Text                      string
}

// Molar volume of a gas at 25 °C and 760 mmHg, L/mol, and the near field's
// exchange with the room, m³/min (half a sphere of 0.8 m, random air speed
// 3.6 m/min), and the limit taken for a water-borne product's unnamed
// volatiles: that of 2-butoxyethanol.
const (
	molarVolume  = 24.45
	nearExchange = 7.2
	lumpLimitPPM = 5
	lumpMolarG   = 118.2
)

// ppmOf turns mg/m³ into ppm: C × 24.45 / M.
func ppmOf(mgPerM3, molarG float64) float64 { return mgPerM3 * molarVolume / molarG }

// Air estimates the vapour in a room by the well-mixed box with a mixing
// factor, the near field of the two-zone model, and a cap at saturation:
//
//	C(t) = (G/Qe)(1 − e^(−Qe t/V)),  Qe = Q/K
//
// It refuses a room without volume and work without any known volatile part.
// The safety data sheet, local codes and licensed practice decide.
//
// Sources: the box and the mixing factor, standard industrial hygiene; the
// mixture index, 29 CFR 1910.1000(d)(2); the near-field exchange from the
// two-zone model of the AIHA's modelling book, from memory; limits, see
// [LimitsAsOf].
func Air(room Room, work Work) (Estimate, error) {
	if room.Volume <= 0 {
		return Estimate{}, fmt.Errorf("estimate air: the room's volume is not known: expected something like 26 m3")
	}
	if room.Mixing < 1 || room.Changes < 0 {
		return Estimate{}, fmt.Errorf("estimate air: expected a mixing factor of 1 to 10 and air changes of 0 or more")
	}
	released := slices.Clone(work.Released)
	if work.Lump > 0 {
		released = append(released, Released{Solvent{Name: "volatile part, as a glycol ether", MolarG: lumpMolarG, LimitPPM: lumpLimitPPM}, work.Lump})
	}
	if len(released) == 0 {
		return Estimate{}, fmt.Errorf("estimate air: what evaporates is not known: expected VOC in g/L for a water-borne product, or the shares from section 3 of the safety data sheet")
	}
	e := Estimate{VolumeM3: float64(room.Volume), Changes: room.Changes, Mixing: room.Mixing}
	for _, r := range released {
		v := vapour(room, r, work.Over)
		e.Vapours = append(e.Vapours, v)
		if v.LimitPPM > 0 {
			e.Index += v.MeanPPM / v.LimitPPM
		}
		if r.Solvent.LEL > 0 {
			e.LELShare += v.PeakPPM / (r.Solvent.LEL * 1e4)
		}
	}
	e.judge()
	return e, nil
}

func vapour(room Room, r Released, over time.Duration) Vapour {
	box := box{v: float64(room.Volume), q: room.Changes * float64(room.Volume) / room.Mixing, m: 1000 * float64(r.Mass), t: over.Hours()}
	limit := r.Solvent.saturation()
	if limit == 0 {
		limit = math.Inf(1)
	}
	v := Vapour{Name: r.Solvent.Name, LimitPPM: r.Solvent.LimitPPM, LimitSource: LimitsAsOf}
	if r.Solvent.LimitFrom != "" {
		v.LimitSource = r.Solvent.LimitFrom
	}
	v.PeakPPM = min(limit, ppmOf(box.peak(), r.Solvent.MolarG))
	v.MeanPPM = min(limit, ppmOf(box.mean(8), r.Solvent.MolarG))
	v.NearPPM = v.PeakPPM
	if box.t > 0 {
		v.NearPPM = min(limit, v.PeakPPM+ppmOf(box.m/(box.t*60)/nearExchange, r.Solvent.MolarG))
	}
	return v
}

// box is the well-mixed room: volume m³, effective flow m³/h, mass mg released
// evenly over t hours.
type box struct{ v, q, m, t float64 }

// peak is the concentration when the release ends, mg/m³.
func (b box) peak() float64 {
	switch {
	case b.t == 0, b.q == 0:
		return b.m / b.v
	}
	return b.m / b.t / b.q * (1 - math.Exp(-b.q*b.t/b.v))
}

// mean is the average over the first hours, decay included, mg/m³.
func (b box) mean(hours float64) float64 {
	t := min(b.t, hours)
	if b.q == 0 {
		return b.m / b.v * (1 - t/2/hours)
	}
	k := b.q / b.v
	rising := 0.0 // integral of the rise, mg h/m³
	c := b.m / b.v
	if t > 0 {
		g := b.m / b.t / b.q
		rising = g * (t - (1-math.Exp(-k*t))/k)
		c = g * (1 - math.Exp(-k*t))
	}
	return (rising + c/k*(1-math.Exp(-k*(hours-t)))) / hours
}

func (e *Estimate) judge() {
	e.Verdict = AirLow
	var why []string
	if e.Index >= warnIndex {
		e.Verdict = AirWarn
		why = append(why, fmt.Sprintf("the 8-hour mean at %.0f %% of what occupational limits allow for the mixture", 100*e.Index))
	}
	if e.LELShare >= warnLEL {
		e.Verdict = AirWarn
		why = append(why, fmt.Sprintf("the peak at %.0f %% of the lower explosive limit", 100*e.LELShare))
	}
	if e.Index >= refuseIndex || e.LELShare >= refuseLEL {
		e.Verdict = AirRefuse
	}
	if len(why) == 0 {
		why = append(why, fmt.Sprintf("the room mean below a tenth of the limits (%.0f %%)", 100*e.Index))
	}
	e.Text = strings.Join(why, "; ") + ". Beside the wet work there is more than the room mean. An estimate is a warning light, not a permit: the safety data sheet, local codes and licensed practice decide; a dust mask does not stop vapour."
}
