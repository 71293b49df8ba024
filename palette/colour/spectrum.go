package colour

import (
	"fmt"
	"math"
)

// The wavelength grid of the house: 36 bands, 380…730 nm by 10 nm.
const (
	Bands   = 36
	FirstNM = 380
	StepNM  = 10
	LastNM  = FirstNM + (Bands-1)*StepNM
)

// Spectrum holds one number per band of the grid (380…730 nm by 10 nm), of
// whatever the owner says: power, K, S, a weight. The zero value is all zeros.
type Spectrum [Bands]float64

// Reflectance is a reflectance factor per band, every one finite and within
// 0…1. The zero value is a perfect black.
type Reflectance [Bands]float64

// NewReflectance checks a spectrum and returns it as a reflectance. It fails
// on the first band that is not a number within 0…1 and names its wavelength.
func NewReflectance(s Spectrum) (Reflectance, error) {
	for i, v := range s {
		if math.IsNaN(v) || v < 0 || v > 1 {
			return Reflectance{}, fmt.Errorf("read reflectance: %d nm: %v is not within 0…1", Wavelength(i), v)
		}
	}
	return Reflectance(s), nil
}

// Wavelength returns the wavelength of a band in nanometres: 380 for band 0.
func Wavelength(band int) int { return FirstNM + band*StepNM }
