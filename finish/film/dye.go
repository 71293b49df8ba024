package film

import (
	_ "embed"
	"encoding/csv"
	"fmt"
	"math"
	"strconv"
	"strings"
	"sync"

	"undercoat/palette/colour"
)

//go:embed data/dyes.csv
var dyesCSV string

// DyeClass is a usual kind of fluorescent dye.
type DyeClass struct {
	Name string
	Glow Glow // one coat over the reference film
	// Peak is the emission peak in nm.
	Peak float64

	fwhm, skew float64
}

// DyeClasses returns the usual fluorescent dyes, in the order of the table:
// yellow, green, orange, orange-red, red, pink, blue.
func DyeClasses() []DyeClass { return append([]DyeClass(nil), dyeClasses()...) }

var dyeClasses = sync.OnceValue(func() []DyeClass {
	r := csv.NewReader(strings.NewReader(dyesCSV))
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		panic("film: dyes.csv: " + err.Error())
	}
	var out []DyeClass
	for _, row := range rows[1:] {
		d, err := readDye(row)
		if err != nil {
			panic("film: dyes.csv: " + err.Error())
		}
		out = append(out, d)
	}
	return out
})

// absorptionSkew leans an absorption band toward the blue.
const absorptionSkew = 0.85

func readDye(row []string) (DyeClass, error) {
	d := DyeClass{Name: row[0]}
	for _, band := range strings.Split(row[1], ";") {
		v, err := numbers(band)
		if err != nil {
			return d, err
		}
		for i := range d.Glow.Dye.Excitation {
			d.Glow.Dye.Excitation[i] += v[2] * logNormal(wavelength(i), v[0], v[1], absorptionSkew)
		}
	}
	e, err := numbers(row[2])
	if err != nil {
		return d, err
	}
	rest, err := numbers(strings.Join(row[3:], ":"))
	if err != nil {
		return d, err
	}
	d.Peak, d.fwhm, d.skew = e[0], e[1], e[2]
	d.Glow.Dye.Emission = emission(d.Peak, d.fwhm, d.skew)
	d.Glow.Dye.Yield, d.Glow.Strength = rest[0], rest[1]
	for i := range d.Glow.Host {
		d.Glow.Scatter[i], d.Glow.Host[i] = rest[2], rest[3]
	}
	return d, nil
}

func numbers(s string) ([]float64, error) {
	var out []float64
	for _, p := range strings.Split(s, ":") {
		v, err := strconv.ParseFloat(p, 64)
		if err != nil {
			return nil, fmt.Errorf("%q: %w", s, err)
		}
		out = append(out, v)
	}
	return out, nil
}

// logNormal returns a band shape of height 1 at peak nm, of the given width at
// half height, leaning by skew (below 1 toward short waves, above 1 toward
// long ones), log-normal in wavenumber.
//
// Source: form of Siano and Metzler (1969), recalled.
func logNormal(nm, peak, fwhm, skew float64) float64 {
	nu, nu0 := 1e7/nm, 1e7/peak
	h := 1e7 * fwhm / (peak * peak)
	a := nu0 + h*skew/(skew*skew-1)
	x := (a - nu) * (skew*skew - 1) / (h * skew)
	if x <= 0 {
		return 0
	}
	l := math.Log(skew)
	lx := math.Log(x)
	return math.Exp(-math.Ln2 / (l * l) * lx * lx)
}

// emission returns the photons a dye gives out by band, sum 1.
func emission(peak, fwhm, skew float64) (e colour.FluorescentSpectrum) {
	sum := 0.0
	for i := range e {
		e[i] = logNormal(wavelength(i), peak, fwhm, skew)
		sum += e[i]
	}
	for i := range e {
		e[i] /= sum
		if e[i] < 1e-12 {
			e[i] = 0 // nothing, and no arithmetic with it
		}
	}
	return e
}

// Shifted returns the dye with its emission peak moved by nm.
func (d DyeClass) Shifted(nm float64) DyeClass {
	d.Peak += nm
	d.Glow.Dye.Emission = emission(d.Peak, d.fwhm, d.skew)
	return d
}

// FluorescentWhite is the base fluorescent colours are meant for: a titanium
// white, absorbing ultraviolet.
func FluorescentWhite() (w colour.FluorescentSpectrum) {
	for i := range w {
		w[i] = titania(wavelength(i))
	}
	return w
}
