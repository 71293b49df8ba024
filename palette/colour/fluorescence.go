package colour

// The wavelength grid of fluorescent work: 44 bands, 300…730 nm by 10 nm;
// the last 36 are those of Spectrum.
const (
	FluorescentBands   = 44
	FluorescentFirstNM = 300
)

// FluorescentSpectrum holds one number per band of the fluorescent grid.
type FluorescentSpectrum [FluorescentBands]float64

// Fluorescence describes a fluorescent dye: what it absorbs to glow, what it
// gives out, and the share of absorbed photons given out again. The zero
// value does not fluoresce.
type Fluorescence struct {
	Excitation FluorescentSpectrum // relative absorption, 0…1
	Emission   FluorescentSpectrum // photons per band, sum 1
	Yield      float64             // photons out per photon absorbed, 0…1
}

// Peak returns the wavelength of strongest emission in nm, 0 where there is none.
func (f Fluorescence) Peak() int {
	best, at := 0.0, -1
	for i, v := range f.Emission {
		if v > best {
			best, at = v, i
		}
	}
	if at < 0 {
		return 0
	}
	return FluorescentFirstNM + at*StepNM
}
