package film

import "undercoat/palette/colour"

// Trial is a film somebody laid and looked at: a drawdown, a brush-out or a
// strike-off. Over is what it lay on, Coats how many coats (or the film in
// coats), Seen the colour found, Error its standard deviation in ΔE00 (0:
// taken from the basis of Seen).
type Trial struct {
	Over  colour.Reflectance
	Coats float64
	Seen  colour.Colour
	Error float64
}

// spectral returns the trials that were measured as spectra, as readings of
// amounts in coats.
func spectral(trials []Trial) (out []Reading) {
	for _, t := range trials {
		if t.Seen.Basis() == colour.Spectral && t.Coats > 0 {
			out = append(out, Reading{Over: t.Over, Seen: t.Seen.Reflectance(), Amount: t.Coats})
		}
	}
	return out
}

// ofSpectra returns the film of one coat from measured spectra, where there
// are enough of them to tell K from S.
func ofSpectra(trials []Trial) (Film, bool) {
	rs := spectral(trials)
	f, err := OfSeries(rs, SurfaceOf(rs))
	return f, err == nil
}
