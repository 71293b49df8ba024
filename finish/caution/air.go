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
	Changes float64              // air changes an hour, from outdoors; above or equal 0
	Mixing  float64              // mixing factor K, 1 even mixing … 10 a dead corner
	Warmth  unit.Stated[float64] // °C; unknown takes [UsualRoomC]
}

// UsualRoomC is a room whose temperature is not stated, °C; common practice, no
// source.
const UsualRoomC = 20

// C is the room's temperature in °C, stated or taken.
func (r Room) C() float64 { return r.Warmth.Or(UsualRoomC) }

// Work is what is released, and in what time.
type Work struct {
	Released []Released
	Over     time.Duration // evenly over this time; 0 is all at once
	// Lump is a water-borne product's volatile part, of which only the mass is
	// known: it is judged by the limit of a common glycol ether, or by LumpLimit
	// (ppm, above 0) where the maker entered one.
	Lump      unit.Mass
	LumpLimit float64
}

// LumpName is what the volatile part of a water-borne product is called.
const LumpName = "volatile part"

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

// The lines for the peak beside the work, where the painter breathes. Against the
// short-term limits and ceilings of the table the lines are those of the index.
// Against the limits for 8 hours, which a peak may pass for a while, it warns at
// once them and refuses from three times, of which the hygienists' rule for
// excursions allows a quarter of an hour; that rule is from memory.
const warnExcursion, refuseExcursion = 1.0, 3.0

// Vapour is one substance's share of an estimate.
type Vapour struct {
	Name        string
	PeakPPM     float64 // room mean at its highest
	MeanPPM     float64 // over 8 h from the start of work, decay included
	NearPPM     float64 // beside the wet cloth, at its highest
	LimitPPM    float64 // 0 none in the table
	LimitSource string
	ShortPPM    float64 // short-term limit or ceiling; 0 none in the table
	ShortKind   string  // "15 min" or "ceiling"; "" none
	FireSpace   float64 // m³ of air that its vapour fills to a tenth of the lower explosive limit; 0 where that is not known
}

// Estimate is a warning light, not a permit.
type Estimate struct {
	VolumeM3, Changes, Mixing float64
	Vapours                   []Vapour
	Index                     float64       // Σ C/L over all vapours, 8 h mean
	Excursion                 float64       // Σ C/L over all vapours at the peak beside the work, L for 8 h
	Short                     float64       // Σ C/S at the same peak, S the short-term limits and ceilings the table has
	LELShare                  float64       // Σ peak / lower explosive limit
	AirNeeded                 float64       // m³/h of outdoor air that would hold every vapour together at its limits while it is laid
	Airing                    time.Duration // after the work, until the room mean is below a tenth of the limits; below 0 never, no air moves
	Ignition                  string        // what is released with a flash point below the room's temperature; "" nothing known
	Verdict                   AirVerdict
	Why                       string // what the verdict rests on
	Text                      string // the same, with what an estimate is worth
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
		released = append(released, Released{lump(work), work.Lump})
	}
	if len(released) == 0 {
		return Estimate{}, fmt.Errorf("estimate air: what evaporates is not known: expected VOC in g/L for a water-borne product, or the shares from section 3 of the safety data sheet")
	}
	e := Estimate{VolumeM3: float64(room.Volume), Changes: room.Changes, Mixing: room.Mixing}
	peak := 0.0 // mixture index at its highest
	for _, r := range released {
		v := vapour(room, r, work.Over)
		e.Vapours = append(e.Vapours, v)
		if v.LimitPPM > 0 {
			e.Index += v.MeanPPM / v.LimitPPM
			e.Excursion += v.NearPPM / v.LimitPPM
			peak += v.PeakPPM / v.LimitPPM
			e.AirNeeded += airNeeded(r, v.LimitPPM, room.Mixing, work.Over)
		}
		if v.ShortPPM > 0 {
			e.Short += v.NearPPM / v.ShortPPM
		}
		if r.Solvent.LEL > 0 {
			e.LELShare += v.PeakPPM / (r.Solvent.LEL * 1e4)
		}
	}
	e.Airing, e.Ignition = airing(room, peak/warnIndex), ignitionOf(room, released)
	e.judge()
	return e, nil
}

// Slight reports whether room mean, peak beside the work and fire share all stay
// below the lines from which this program warns, and a limit is known of all that
// is released; a flash point may still speak against it.
func (e Estimate) Slight() bool {
	return e.Index < warnIndex && e.Excursion < warnExcursion && e.Short < warnIndex && e.LELShare < warnLEL && len(e.unjudged()) == 0
}

// worse reports whether an estimate weighs more than another: by its verdict,
// then by its 8-hour mean.
func (e Estimate) worse(than Estimate) bool {
	if (e.Verdict == AirRefuse) != (than.Verdict == AirRefuse) {
		return e.Verdict == AirRefuse
	}
	return e.Index >= than.Index
}

// unjudged names what is released without any limit in the table.
func (e Estimate) unjudged() []string {
	var names []string
	for _, v := range e.Vapours {
		if v.LimitPPM <= 0 {
			names = append(names, v.Name)
		}
	}
	return names
}

// ignitionOf names what can catch fire at the room's temperature: around wet
// work the air is then taken to be above the lower explosive limit, whatever the
// room mean.
func ignitionOf(room Room, released []Released) string {
	var low []string
	for _, r := range released {
		if f, ok := r.Solvent.FlashC.Get(); ok && f < room.C() {
			low = append(low, fmt.Sprintf("%s (flash point %.0f °C)", r.Solvent.Name, f))
		}
	}
	if len(low) == 0 {
		return ""
	}
	return fmt.Sprintf("%s can catch fire at this room's %.0f °C: take the air around the wet work as ready to burn; no flame, spark, iron, heat gun or cigarette until it is dry", strings.Join(low, ", "), room.C())
}

// lump is the substance that stands for a water-borne product's volatile part.
func lump(w Work) Solvent {
	s := Solvent{Name: LumpName + ", as a glycol ether", MolarG: lumpMolarG, LimitPPM: lumpLimitPPM}
	if w.LumpLimit > 0 {
		s.LimitPPM, s.LimitFrom = w.LumpLimit, LimitEntered
	}
	return s
}

// LimitEntered is the source of a limit the maker entered.
const LimitEntered = "entered by the maker"

// airNeeded is the dilution flow in m³/h, Q = V̇ K 10⁶ / L with the vapour's own
// volume flow V̇: the same as the hygienists' 24 SG ER K 10⁶/(M L) for a
// liquid of density SG that evaporates at ER litres an hour, at 25 °C instead of
// 20 °C. Work done all at once is taken over an hour.
func airNeeded(r Released, limitPPM, mixing float64, over time.Duration) float64 {
	if over <= 0 {
		over = time.Hour
	}
	perHour := float64(r.Mass) / over.Hours() / r.Solvent.MolarG * molarVolume / 1000 // m³/h of vapour
	return perHour * mixing * 1e6 / limitPPM
}

// fireSpace is the air in m³ that a mass of vapour fills to a tenth of its lower
// explosive limit; 0 where that is not known.
func fireSpace(r Released) float64 {
	if r.Solvent.LEL <= 0 {
		return 0
	}
	return 1000 * float64(r.Mass) * molarVolume / (r.Solvent.MolarG * r.Solvent.LEL * 1e4 * refuseLEL)
}

// airing is how long air must move after the work until a concentration has
// fallen to 1/times: t = ln(times) V/Qe. A negative time is never.
func airing(room Room, times float64) time.Duration {
	switch {
	case times <= 1:
		return 0
	case room.Changes <= 0:
		return -1
	}
	return time.Duration(math.Log(times) * room.Mixing / room.Changes * float64(time.Hour))
}

func vapour(room Room, r Released, over time.Duration) Vapour {
	box := box{v: float64(room.Volume), q: room.Changes * float64(room.Volume) / room.Mixing, m: 1000 * float64(r.Mass), t: over.Hours()}
	limit := r.Solvent.saturation()
	if limit == 0 {
		limit = math.Inf(1)
	}
	v := Vapour{Name: r.Solvent.Name, LimitPPM: r.Solvent.LimitPPM, LimitSource: LimitsAsOf, ShortPPM: r.Solvent.ShortPPM, ShortKind: r.Solvent.ShortKind}
	if r.Solvent.LimitFrom != "" {
		v.LimitSource = r.Solvent.LimitFrom
	}
	v.PeakPPM = min(limit, ppmOf(box.peak(), r.Solvent.MolarG))
	v.MeanPPM = min(limit, ppmOf(box.mean(8), r.Solvent.MolarG))
	v.NearPPM = min(limit, v.PeakPPM+ppmOf(box.m/max(1, box.t*60)/nearExchange, r.Solvent.MolarG)) // all at once is taken over a minute
	v.FireSpace = fireSpace(r)
	return v
}

// box is the well-mixed room: volume m³, effective flow m³/h, mass mg released
// evenly over t hours.
type box struct{ v, q, m, t float64 }

// peak is the concentration when the release ends, mg/m³.
func (b box) peak() float64 {
	if b.t == 0 {
		return b.m / b.v
	}
	return b.during(b.t)
}

// during is the concentration after so many hours of release, mg/m³; with time
// it nears G/Qe.
func (b box) during(hours float64) float64 {
	if b.q == 0 {
		return b.m / b.v * hours / b.t
	}
	return b.m / b.t / b.q * (1 - math.Exp(-b.q*hours/b.v))
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

// judge puts the figures into words.
func (e *Estimate) judge() {
	e.Verdict = AirLow
	var why []string
	warn := func(format string, args ...any) {
		e.Verdict = AirWarn
		why = append(why, fmt.Sprintf(format, args...))
	}
	if e.Index >= warnIndex {
		warn("the 8-hour mean at %.0f %% of what occupational limits allow for the mixture", 100*e.Index)
	}
	if e.Short >= warnIndex {
		warn("beside the work the peak at %.0f %% of the short-term limits and ceilings", 100*e.Short)
	}
	if e.Excursion >= warnExcursion {
		warn("beside the work the peak at %.1f times the 8-hour limits (they are for a mean over 8 hours; a peak of 3 times and more is too much even for a quarter of an hour)", e.Excursion)
	}
	if e.LELShare >= warnLEL {
		warn("the peak at %.0f %% of the lower explosive limit", 100*e.LELShare)
	}
	if none := e.unjudged(); len(none) > 0 {
		warn("no limit is listed for %s, which is not harmless for that and is not judged here: section 8 of the safety data sheet, or enter a local limit", strings.Join(none, ", "))
	}
	if e.Slight() {
		why = append(why, fmt.Sprintf("the 8-hour mean at %.0f %% of the limits, the peak beside the work at %.0f %% of them", 100*e.Index, 100*e.Excursion))
	}
	if e.Ignition != "" {
		warn("its vapour can catch fire at this temperature")
	}
	if e.Index >= refuseIndex || e.Short >= refuseIndex || e.Excursion >= refuseExcursion || e.LELShare >= refuseLEL {
		e.Verdict = AirRefuse
	}
	e.Why = strings.Join(why, "; ")
	e.Text = e.Why + ". Beside the wet work there is more than the room mean. An estimate is a warning light, not a permit: the safety data sheet, local codes and licensed practice decide; a dust mask does not stop vapour."
}
