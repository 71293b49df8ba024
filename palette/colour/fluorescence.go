package colour

import "fmt"

// The grid of fluorescent work: 44 bands, 300…730 nm by 10 nm, eight in the
// ultraviolet before the 36 of [Spectrum].
const (
	FluorescentBands   = 44
	FluorescentFirstNM = 300
)

// FluorescentSpectrum holds one number per band of the fluorescent grid. The
// zero value is all zeros.
type FluorescentSpectrum [FluorescentBands]float64

// FluorescentWavelength returns the wavelength of a band of the fluorescent
// grid in nm: 300 for band 0, 730 for band 43.
func FluorescentWavelength(band int) int { return FluorescentFirstNM + band*StepNM }

// Visible returns the 36 bands from 380 nm on.
func (f FluorescentSpectrum) Visible() Spectrum {
	return Spectrum(f[FluorescentBands-Bands:])
}

// Fluorescence says how a dye glows: the light it takes up to do so, the light
// it gives, and how much of the one becomes the other. How it looks follows
// only under a named light and is never squeezed into a reflectance or a hex.
// Comparable. The zero value does not glow. [NewFluorescence] checks and
// scales; who fills the fields by hand keeps to what they say.
type Fluorescence struct {
	Excitation FluorescentSpectrum // relative absorption that leads to emission, greatest 1
	Emission   FluorescentSpectrum // share of the emitted photons per band, sum 1
	Yield      float64             // photons given per photon taken up, 0…1
}

// NewFluorescence takes the relative absorption that leads to emission (0 or
// more, greatest 1 after scaling), the shape of the emission in photons per
// band (0 or more, sum 1 after scaling), and the yield: photons given per
// photon taken up, 0…1. It fails when a number is negative or none, when
// either spectrum is nought throughout, or when the yield is outside 0…1.
func NewFluorescence(excitation, emission FluorescentSpectrum, yield float64) (Fluorescence, error) {
	if !(yield >= 0 && yield <= 1) {
		return Fluorescence{}, fmt.Errorf("describe fluorescence: found a yield of %v, expected 0…1", yield)
	}
	greatest, sum := 0.0, 0.0
	for i := range FluorescentBands {
		for _, v := range [2]float64{excitation[i], emission[i]} {
			if !(v >= 0 && v-v == 0) {
				return Fluorescence{}, fmt.Errorf("describe fluorescence: %d nm: found %v, expected 0 or more", FluorescentWavelength(i), v)
			}
		}
		greatest = max(greatest, excitation[i])
		sum += emission[i]
	}
	if greatest == 0 || sum == 0 {
		return Fluorescence{}, fmt.Errorf("describe fluorescence: found nothing but noughts, expected light taken up and light given")
	}
	for i := range FluorescentBands {
		excitation[i] /= greatest
		emission[i] /= sum
	}
	return Fluorescence{excitation, emission, yield}, nil
}

// Peak returns the wavelength of the strongest emission in nm, the shortest of
// equals; 0 for the zero value.
func (f Fluorescence) Peak() int {
	best := 0
	for i, v := range f.Emission {
		if v > f.Emission[best] {
			best = i
		}
	}
	if f.Emission[best] == 0 {
		return 0
	}
	return FluorescentWavelength(best)
}
