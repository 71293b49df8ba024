package plan

import (
	"fmt"
	"math"

	"undercoat/inventory/unit"
)

// RoundVolume is the one rounding rule of a plan: an area's layer, a repair
// pot or a session's mix is rounded to the nearest whole millilitre, halves
// up, where it is computed; totals add rounded volumes and are never rounded
// again.
func RoundVolume(v unit.Volume) unit.Volume {
	return unit.Volume(math.Floor(float64(v) + 0.5 + 1e-9))
}

// DryFilm returns the dry thickness in µm of a wet film of wet µm and volume
// solids 0…1.
func DryFilm(wet, solids float64) float64 { return wet * solids }

// TheoreticalSpread returns how many square metres a litre covers with a dry
// film of dry µm (above 0) at volume solids 0…1.
//
// Source: 10 × solids in per cent / dry µm, printed in coating notes.
func TheoreticalSpread(solids, dry float64) float64 { return 1000 * solids / dry }

// PracticalSpread is a theoretical spread less the share loss (0…1) that does
// not stay on the work.
func PracticalSpread(theoretical, loss float64) float64 { return theoretical * (1 - loss) }

// Thinned returns the volume solids after thinning by share of the paint's own
// volume: 0.10 adds a tenth.
func Thinned(solids, share float64) float64 { return solids / (1 + share) }

// Tool is what lays a coat. The zero value is a brush.
type Tool int

// The tools whose loss is known.
const (
	Brush Tool = iota
	Roller
	Sponge
	Stencil
	Airbrush
	AirbrushFine
	SprayGun
	Aerosol
)

// Shares of the paint that end on the work (transfer efficiency), the low end
// for planning a volume. Brush and roller: loss 10–15 % printed in a coating
// note; low-pressure gun: 50–65 % printed in a finishing text and a
// regulation; the rest common practice, no source.
var onTheWork = [...]float64{
	Brush: 0.85, Roller: 0.85, Sponge: 0.75, Stencil: 0.70, Airbrush: 0.40, AirbrushFine: 0.25, SprayGun: 0.50, Aerosol: 0.40,
}

func (t Tool) String() string {
	return [...]string{"brush", "roller", "sponge", "stencil", "airbrush", "airbrush, fine line", "spray gun", "aerosol"}[t]
}

// Sprays reports whether the tool throws paint into the air.
func (t Tool) Sprays() bool { return t >= Airbrush }

// OnTheWork returns the share of the paint that ends on the work.
func (t Tool) OnTheWork() float64 { return onTheWork[t] }

// WithLoss returns what must be at hand so that v ends on the work: by brush
// and roller v × (1 + reserve), the job's own working loss; by every other
// tool v over its transfer efficiency, where that is more.
func WithLoss(v unit.Volume, t Tool, reserve float64) unit.Volume {
	by := 1 + reserve
	if t != Brush && t != Roller {
		by = max(by, 1/t.OnTheWork())
	}
	return unit.Volume(float64(v) * by)
}

// Soaking is how many times the film's volume the first coat takes on cloth or
// foam that is not primed: the middle of 1.5–3; common practice, no source.
// A spread rate stated for the cloth holds it already.
const Soaking = 2.0

// usualFilm is one wet coat by brush in µm where nothing is stated: the middle
// of 60–120; a judgement, no source.
const usualFilm = 80.0

// Spreading is how much of a product one coat takes on one square metre, and
// what that rests on.
type Spreading struct {
	First, Later unit.SpreadRate // the coat that meets the ground; each one after it
	Basis        SpreadBasis
}

// SpreadBasis says what a spread rate rests on; a higher one is trusted more.
type SpreadBasis int

// From a guess to the maker's own scale.
const (
	SpreadGuessed  SpreadBasis = iota // nothing stated: one usual coat by brush
	SpreadOfFilm                      // the label's wet film, with soaking on bare cloth
	SpreadStated                      // the label's or the maker's mL/m²
	SpreadObserved                    // weighed before and after
)

func (b SpreadBasis) String() string {
	return [...]string{"common practice", "wet film", "stated", "weighed"}[b]
}

// spreading takes the best that is known: the stated rate, else the film with
// soaking on an absorbent ground, else a usual coat.
func spreading(stated unit.Stated[unit.SpreadRate], film unit.Stated[float64], absorbent bool) Spreading {
	if r, ok := stated.Get(); ok {
		return Spreading{First: r, Later: r, Basis: SpreadStated}
	}
	um, ok := film.Get()
	s := Spreading{Basis: SpreadOfFilm}
	if !ok {
		um, s.Basis = usualFilm, SpreadGuessed
	}
	s.First, s.Later = unit.SpreadRate(um), unit.SpreadRate(um) // 1 µm of wet film is 1 mL/m²
	if absorbent {
		s.First *= Soaking
	}
	return s
}

// Observation is what one coat of a product was seen to use.
type Observation struct {
	Code, Under string      // the product and what lay directly under it (itself for a later coat)
	Used        unit.Volume // weighed before and after, losses included
	Extent      unit.Extent // painted surface of every wearer's piece, share of a glaze included
	Loss        float64     // what multiplies the volume on the work: see [WithLoss]
}

// observedRate returns the mean spread of a product on a ground from what was
// weighed: the rate that, put through the plan's own amounts, gives what was
// used.
func observedRate(seen []Observation, code, under string) (unit.SpreadRate, bool) {
	var used, spread float64
	for _, o := range seen {
		if o.Code == code && o.Under == under {
			used += float64(o.Used)
			spread += float64(o.Extent) * o.Loss
		}
	}
	if used <= 0 || spread <= 0 {
		return 0, false
	}
	return unit.SpreadRate(used / spread), true
}

// corrected replaces the rates by what was weighed. A first coat on paint
// speaks for the later ones until one of them was weighed; a first coat on
// bare cloth or foam does not, it soaks.
func (s Spreading) corrected(seen []Observation, code, under string, bare bool) Spreading {
	first, ok1 := observedRate(seen, code, under)
	later, ok2 := observedRate(seen, code, code)
	if ok1 {
		s.First, s.Basis = first, SpreadObserved
	}
	switch {
	case ok2:
		s.Later, s.Basis = later, SpreadObserved
	case ok1 && !bare:
		s.Later = first
	}
	return s
}

// Coverage is the surface one layer must cover and how it is laid.
type Coverage struct {
	Painted unit.Extent // lead wearer, all sides, share of a glaze included
	Factor  float64     // sum of the wearers' area factors
	Reserve float64     // working loss, 0.15 = 15 %
	Tool    Tool
	Thin    float64 // thinning as a share of the paint's volume
}

// Coat returns the unrounded volume of product one coat at rate needs for
// every wearer's piece:
//
//	painted × spread × loss × sum of factors, over (1 + thinning)
func (c Coverage) Coat(rate unit.SpreadRate) unit.Volume {
	on := unit.Volume(float64(rate.Over(c.Painted)) * c.Factor / (1 + c.Thin))
	return WithLoss(on, c.Tool, c.Reserve)
}

// Coats returns the rounded volume of n coats and its split into whole
// millilitres per coat, which add up to it. n below 1 gives none.
func (c Coverage) Coats(s Spreading, n int) (whole unit.Volume, each []unit.Volume) {
	if n < 1 {
		return 0, nil
	}
	exact := make([]unit.Volume, n)
	var sum unit.Volume
	for i := range exact {
		exact[i] = c.Coat(s.Later)
		if i == 0 {
			exact[i] = c.Coat(s.First)
		}
		sum += exact[i]
	}
	whole = RoundVolume(sum)
	return whole, split(whole, exact)
}

// split deals whole millilitres out in the proportion of the exact volumes so
// that they add up to whole: each running total is rounded.
func split(whole unit.Volume, exact []unit.Volume) []unit.Volume {
	each := make([]unit.Volume, len(exact))
	var run, dealt unit.Volume
	for i, v := range exact {
		run += v
		upTo := RoundVolume(run)
		if i == len(exact)-1 {
			upTo = whole
		}
		each[i], dealt = upTo-dealt, upTo
	}
	return each
}

// repairPot returns what is sealed away of one colour for repairs: the job's
// repair volume, but no more than a third of a pack, so that a small pot does
// not double the purchase. Common practice, no source.
func repairPot(job unit.Volume, pack unit.Stated[unit.Quantity]) unit.Volume {
	if q, ok := pack.Get(); ok {
		if v, ok := q.Volume(); ok {
			return RoundVolume(min(job, v/3))
		}
	}
	return RoundVolume(job)
}

// millilitres prints a whole volume for a sentence.
func millilitres(v unit.Volume) string { return fmt.Sprintf("%.0f mL", float64(v)) }
