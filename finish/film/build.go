package film

import (
	"math"

	"undercoat/palette/colour"
)

// ReferenceWet is the film the opacity words and the comparison of paints are
// stated in: µm wet, about the film at which a good titanium white reaches a
// contrast ratio of 0.98. A judgement on the spread rates of EN 13300.
const ReferenceWet = 150.0

// WetFilm returns the wet thickness in µm of volume millilitres laid on extent
// square metres: 1 mL/m² is 1 µm. An extent of 0 or less gives 0.
func WetFilm(volumeML, extentM2 float64) float64 {
	if extentM2 <= 0 {
		return 0
	}
	return volumeML / extentM2
}

// Absorbency says how much paint a ground swallows before it carries a film:
// Volume in mL/m² (0: nothing soaks in) and Slope, the share of swallowed
// paint that still colours the surface (0…1).
type Absorbency struct{ Volume, Slope float64 }

// PickUp returns the amount of paint that works as a film, in mL/m² (µm wet),
// of an amount laid on in all: the first of it sinks with slope Slope, the
// last stays on top. It rises with laid and never exceeds it.
//
// The law is a judgement (common practice, no published number was found for
// paint by hand on costume cloth).
func (a Absorbency) PickUp(laid float64) float64 {
	if a.Volume <= 0 {
		return laid
	}
	return laid - (1-a.Slope)*a.Volume*(1-math.Exp(-laid/a.Volume))
}

// Unevenness is the coefficient of variation of the film's thickness over a
// surface: 0.15 sprayed smooth, 0.3 brushed smooth, 0.5 canvas, 0.8 knit or
// pile. Judgements, no source.
type Unevenness float64

// Usual unevenness by how the ground is made.
const (
	Sprayed Unevenness = 0.15
	Brushed Unevenness = 0.3
	Canvas  Unevenness = 0.5
	Pile    Unevenness = 0.8
)

// Uneven returns the reflectance factor of a stack whose films vary together
// in thickness with the given unevenness: the mean over a gamma distribution
// of the thickness, taken at eight equally likely slices. Reflectance bends
// with thickness, so this is never lighter than [Stack.Reflectance] for light
// over dark.
func Uneven(s Stack, cv Unevenness) colour.Reflectance {
	if cv <= 0 || len(s.Films) == 0 {
		return s.Reflectance()
	}
	var sum colour.Reflectance
	films := make([]Film, len(s.Films))
	parts := gammaSlices(float64(cv))
	for _, x := range parts {
		for i, f := range s.Films {
			films[i] = f.Coats(x)
		}
		r := Stack{Ground: s.Ground, Films: films}.Reflectance()
		for i := range sum {
			sum[i] += r[i]
		}
	}
	for i := range sum {
		sum[i] /= float64(len(parts))
	}
	return sum
}

// Stretched returns the reflectance factor of a painted surface whose film has
// opened over a stretched ground: cover (0…1) of it still shows paint, the
// rest the bare ground. A film that stretches with its cloth keeps cover 1.
//
// A judgement: an area-weighted mean, no source. [GlowLook.Stretched] is the
// same of a fluorescent.
func Stretched(painted, bare colour.Reflectance, cover float64) colour.Reflectance {
	c := clamp01(cover)
	for i := range painted {
		painted[i] = c*painted[i] + (1-c)*bare[i]
	}
	return painted
}
