package rub

import (
	"math"

	"undercoat/palette/colour"
)

// Pair is one pair of a grey scale: two neutral colours that differ by the
// standard's step.
type Pair struct {
	Grade     Grade
	DE        float64    // ΔE*ab of the standard's pair
	Tolerance float64    // the standard's own, plus and minus
	Reference colour.Lab // the lighter one, the same for every pair
	Other     colour.Lab
}

// The pairs' differences and tolerances from grade 5 down to 1, in half steps.
//
// Source: ISO 105-A02:1993, clause 2.4 (change) and ISO 105-A03, clause 2
// (staining).
var (
	changePairs   = [...][2]float64{{0, 0.2}, {0.8, 0.2}, {1.7, 0.3}, {2.5, 0.35}, {3.4, 0.4}, {4.8, 0.5}, {6.8, 0.6}, {9.6, 0.7}, {13.6, 1}}
	stainingPairs = [...][2]float64{{0, 0.2}, {2.2, 0.3}, {4.3, 0.3}, {6, 0.4}, {8.5, 0.5}, {12, 0.7}, {16.9, 1}, {24, 1.5}, {34.1, 2}}
)

// The first member of every pair, L*; both from memory.
const (
	changeReference = 41.2 // luminance factor 12 %
	whiteReference  = 94.0 // luminance factor 85 %
)

// GreyScale returns the pairs of a grey scale from grade 5 down to 1. Each pair
// differs in lightness alone; the reference lightness is from memory of the
// standards, the differences are theirs.
func GreyScale(s Scale) []Pair {
	steps, l := stainingPairs, whiteReference
	if s == ChangeScale {
		steps, l = changePairs, changeReference
	}
	var pairs []Pair
	for i, step := range steps {
		// On grey the second member grows lighter, on white darker; from memory.
		other := colour.Lab{L: l - step[0]}
		if s == ChangeScale {
			other.L = l + step[0]
		}
		pairs = append(pairs, Pair{Grade: Best - Grade(i), DE: step[0], Tolerance: step[1], Reference: colour.Lab{L: l}, Other: other})
	}
	return pairs
}

// Shown is the pair as greys of 8 bits (sRGB) that come nearest to it, and the
// ΔE*ab those two differ by: the steps are kept rather than the lightness.
func (p Pair) Shown() (reference, other uint8, de float64) {
	reference = nearestGrey(p.Reference.L)
	other = nearestGrey(greyLightness(reference) + p.Other.L - p.Reference.L)
	return reference, other, math.Abs(greyLightness(other) - greyLightness(reference))
}

func greyLightness(v uint8) float64 { return colour.DecodeSRGB8(v, v, v).Lab().L }

// nearestGrey is the 8-bit grey of sRGB whose lightness is nearest.
func nearestGrey(l float64) uint8 {
	best := uint8(0)
	for v := range 256 {
		if math.Abs(greyLightness(uint8(v))-l) < math.Abs(greyLightness(best)-l) {
			best = uint8(v)
		}
	}
	return best
}
