package finish

import (
	"bufio"
	"cmp"
	"fmt"
	"slices"
	"strings"

	"undercoat/inventory/unit"
	"undercoat/palette/colour"
)

// Ends a measured spectrum has to reach, in nm: what lies outside counts as at
// its ends, which the eye hardly sees.
const (
	spectrumFrom = 400
	spectrumTo   = 700
)

// ParseSpectrum reads a measured reflectance, 0…1: either 36 numbers from 380
// to 730 nm at every 10 nm, or a line "nm reflectance" for every wavelength
// read, from 400 nm or less to 700 or more, not more than 20 nm apart. Numbers
// are parted by commas, semicolons or blanks; a first line without numbers is a
// heading. Between the wavelengths it is taken as straight.
func ParseSpectrum(text string) (colour.Reflectance, error) {
	lines, err := spectrumLines(text)
	if err != nil {
		return colour.Reflectance{}, fmt.Errorf("read spectrum: %w", err)
	}
	var s colour.Spectrum
	all := slices.Concat(lines...)
	if n := len(all); n != colour.Bands && !paired(lines) {
		return colour.Reflectance{}, fmt.Errorf("read spectrum: %d numbers: expected %d, the reflectances 0 to 1 from 380 to 730 nm at every 10 nm, or lines of a wavelength and a reflectance", n, colour.Bands)
	}
	switch {
	case len(all) == colour.Bands && !slices.ContainsFunc(all, func(v float64) bool { return v > spectrumFrom/2 }):
		copy(s[:], all)
	default:
		if s, err = interpolated(lines); err != nil {
			return colour.Reflectance{}, fmt.Errorf("read spectrum: %w", err)
		}
	}
	for i, v := range s {
		if !(v >= 0 && v <= 1) {
			return colour.Reflectance{}, fmt.Errorf("read spectrum: %g at %d nm: expected a reflectance from 0 to 1 (a percentage divided by 100)", v, colour.Wavelength(i))
		}
	}
	return colour.NewReflectance(s)
}

// spectrumLines returns the numbers of every line that has any.
func spectrumLines(text string) (lines [][]float64, err error) {
	sc := bufio.NewScanner(strings.NewReader(text))
	for n := 1; sc.Scan(); n++ {
		words := strings.FieldsFunc(sc.Text(), func(r rune) bool { return strings.ContainsRune(",;\t \r", r) })
		var line []float64
		for _, w := range words {
			v, err := unit.ParseNumber(w)
			if err != nil {
				if len(lines) == 0 && len(line) == 0 {
					break // a heading
				}
				return nil, fmt.Errorf("line %d: %q: expected a number", n, w)
			}
			line = append(line, v)
		}
		if len(line) > 0 {
			lines = append(lines, line)
		}
	}
	return lines, sc.Err()
}

// paired says whether the lines can be meant as pairs of wavelength and
// reflectance.
func paired(lines [][]float64) bool {
	return len(lines) > 0 && !slices.ContainsFunc(lines, func(l []float64) bool { return len(l) != 2 || l[0] < spectrumFrom/2 })
}

// interpolated reads pairs of wavelength and reflectance.
func interpolated(lines [][]float64) (s colour.Spectrum, err error) {
	for i, l := range lines {
		if len(l) != 2 {
			return s, fmt.Errorf("line %d: %d numbers: expected 36 in all from 380 to 730 nm, or a wavelength and a reflectance a line", i+1, len(l))
		}
	}
	slices.SortStableFunc(lines, func(a, b []float64) int { return cmp.Compare(a[0], b[0]) })
	n := len(lines)
	if n == 0 || lines[0][0] > spectrumFrom || lines[n-1][0] < spectrumTo {
		return s, fmt.Errorf("%d wavelengths: expected them from %d nm or less to %d or more", n, spectrumFrom, spectrumTo)
	}
	for i := 1; i < n; i++ {
		if d := lines[i][0] - lines[i-1][0]; d <= 0 || d > 20 {
			return s, fmt.Errorf("%g and %g nm: expected wavelengths once each and at most 20 nm apart", lines[i-1][0], lines[i][0])
		}
	}
	for b := range s {
		nm := min(max(float64(colour.Wavelength(b)), lines[0][0]), lines[n-1][0])
		i := 1
		for i < n-1 && lines[i][0] < nm {
			i++
		}
		w := (nm - lines[i-1][0]) / (lines[i][0] - lines[i-1][0])
		s[b] = lines[i-1][1] + w*(lines[i][1]-lines[i-1][1])
	}
	return s, nil
}
