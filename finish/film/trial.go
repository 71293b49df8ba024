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

// Tint is paint stirred into a white and laid thick enough to hide: Paint and
// White are the amounts of each in coats (only their ratio counts), In the
// white's film of one coat (its X counts), Seen the colour found, Error its
// standard deviation in ΔE00 (0: taken from the basis of Seen).
type Tint struct {
	In           Film
	Paint, White float64
	Seen         colour.Colour
	Error        float64
}

// share returns the part of the paint by coats.
func (t Tint) share() float64 { return t.Paint / (t.Paint + t.White) }

// told returns the film a tint tells of a paint of this masstone, per coat.
// The last tint that tells one is taken, spectra before colours: white by
// white they differ by how well each white is known, not by how well the tint
// was read.
func told(masstone colour.Reflectance, tints []Tint) (f Film, ok bool) {
	best := colour.Declared
	for _, t := range tints {
		b := t.Seen.Basis()
		if ok && b < best {
			continue
		}
		if g, err := OfTint(masstone, t.Seen.Reflectance(), t.In, t.share()); err == nil {
			f, ok, best = g, true, b
		}
	}
	return f, ok
}

// thick is a number of coats at which a measured masstone counts as laid: it
// hides all.
const thick = 100

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
// are enough of them to tell K from S: films of two amounts or on two grounds,
// or one film and a measured masstone.
func ofSpectra(swatch colour.Colour, trials []Trial) (Film, bool) {
	rs := spectral(trials)
	if len(rs) > 0 && swatch.Basis() == colour.Spectral {
		most := 0.0
		for _, r := range rs {
			most = max(most, r.Amount)
		}
		rs = append(rs, Reading{Over: rs[0].Over, Seen: swatch.Reflectance(), Amount: thick * most})
	}
	f, err := OfSeries(rs, SurfaceOf(rs))
	return f, err == nil
}
