package colour

import (
	"fmt"
	"math"
)

// The grid of the house: 36 bands, 380…730 nm by 10 nm. Everything spectral
// is on it; other spacings are brought to it at the door, by [Resample].
const (
	Bands   = 36  // number of bands
	FirstNM = 380 // wavelength of band 0, nm
	StepNM  = 10  // distance of two bands, nm
	LastNM  = FirstNM + (Bands-1)*StepNM
)

// Spectrum holds one number per band of the grid: power, K, S or a weight,
// whichever its owner says. Comparable. The zero value is all zeros.
type Spectrum [Bands]float64

// Reflectance is the reflectance factor of a surface in each band, finite and
// within 0…1; between the bands it runs straight, beyond the ends it stays
// level. The zero value is a perfect black.
type Reflectance [Bands]float64

// NewReflectance returns s as a reflectance. It fails at the first band that
// is not a number within 0…1 and names its wavelength.
func NewReflectance(s Spectrum) (Reflectance, error) {
	for i, v := range s {
		if !(v >= 0 && v <= 1) {
			return Reflectance{}, fmt.Errorf("read reflectance: %d nm: found %v, expected a number within 0…1", Wavelength(i), v)
		}
	}
	return Reflectance(s), nil
}

// Wavelength returns the wavelength of a band in nm: 380 for band 0, 730 for
// band 35.
func Wavelength(band int) int { return FirstNM + band*StepNM }

// Resample brings measured values to the grid. nm must rise strictly and have
// one value each; between them the values run straight, beyond the ends they
// stay level (so a spectrum of 400…700 nm is accepted, as instruments give).
// It fails when fewer than two values are given, when they reach less than
// 400…700 nm, when two neighbours are more than 20 nm apart, or at a value
// that is no number.
func Resample(nm, values []float64) (Spectrum, error) {
	if len(nm) != len(values) || len(nm) < 2 {
		return Spectrum{}, fmt.Errorf("resample spectrum: found %d wavelengths and %d values, expected as many of one as of the other and at least 2", len(nm), len(values))
	}
	for i, v := range values {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return Spectrum{}, fmt.Errorf("resample spectrum: %g nm: found %v, expected a number", nm[i], v)
		}
		if i > 0 && !(nm[i] > nm[i-1] && nm[i]-nm[i-1] <= 20) {
			return Spectrum{}, fmt.Errorf("resample spectrum: %g nm after %g nm: expected a rise of at most 20 nm", nm[i], nm[i-1])
		}
	}
	if nm[0] > 400 || nm[len(nm)-1] < 700 {
		return Spectrum{}, fmt.Errorf("resample spectrum: found %g…%g nm, expected at least 400…700 nm", nm[0], nm[len(nm)-1])
	}
	var s Spectrum
	for i := range s {
		s[i] = straight(nm, values, float64(Wavelength(i)))
	}
	return s, nil
}

// straight returns the value at x of the broken line through (xs, ys), level
// beyond its ends. xs rises strictly and has at least one entry.
func straight(xs, ys []float64, x float64) float64 {
	last := len(xs) - 1
	if x <= xs[0] {
		return ys[0]
	}
	if x >= xs[last] {
		return ys[last]
	}
	i := 1
	for xs[i] < x {
		i++
	}
	t := (x - xs[i-1]) / (xs[i] - xs[i-1])
	return ys[i-1] + t*(ys[i]-ys[i-1])
}
