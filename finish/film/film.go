package film

import (
	"math"

	"undercoat/palette/colour"
)

// Film is one layer of dried paint: absorption K and scattering S per unit
// amount in every band of [colour.Spectrum] (36 bands, 380…730 nm), and the
// amount X. The unit of the amount is whatever K and S were found in; for a
// paint made by [OfPaint] it is one coat at the maker's spread rate.
//
// K, S and X are finite and 0 or more. Surface says under which convention of
// the outer boundary K and S hold. The zero value is a film that is not there.
type Film struct {
	K, S    colour.Spectrum
	X       float64
	Surface Surface
}

// Coats returns the film n times as thick: n coats of the same paint are one
// film. n may be a fraction; below 0 counts as 0.
func (f Film) Coats(n float64) Film {
	f.X *= max(n, 0)
	return f
}

// Over returns the reflectance factor of the film on a ground, inside the
// film's surface: the ground of [Stack] plus one film, without the outer
// boundary.
func (f Film) Over(ground colour.Reflectance) colour.Reflectance {
	if f.X == 0 {
		return ground
	}
	for i := range ground {
		ground[i] = over(f.K[i]*f.X, f.S[i]*f.X, ground[i])
	}
	return ground
}

// Masstone returns the reflectance factor of the paint at a thickness that
// hides everything, as seen from outside. A band with neither K nor S has no
// masstone and gives 0.
func (f Film) Masstone() colour.Reflectance {
	var r colour.Reflectance
	for i := range r {
		if f.S[i] > 0 {
			r[i] = Infinite(f.K[i] / f.S[i])
		}
	}
	return f.Surface.Seen(r)
}

// Pane is a film as the adding method sees it: reflectance over ideal black
// and transmittance in each band.
type Pane struct{ R, T colour.Spectrum }

// Pane returns the film's reflectance over ideal black and its transmittance,
// inside its surface.
func (f Film) Pane() Pane {
	var p Pane
	for i := range p.R {
		p.R[i], p.T[i] = pane(f.K[i]*f.X, f.S[i]*f.X)
	}
	return p
}

// Bare returns a film without an outer boundary that looks like f over an
// ideal black and over a white card of reflectance 0.8, both read from
// outside. It is how films of different conventions come into one stack: the
// look over the card is kept, what lies between is a fit, and a band whose
// backing no longer shows keeps its K/S with the S of the same look.
func (f Film) Bare() Film {
	if f.Surface == (Surface{}) || f.X == 0 {
		f.Surface = Surface{}
		return f
	}
	const black, white = 0.0, 0.8
	out := Film{X: f.X}
	for i := range f.K {
		k, v := f.K[i]*f.X, f.S[i]*f.X
		in := f.Surface
		rb := clamp01(in.Outside(over(k, v, clamp01(in.Inside(black)))))
		rw := clamp01(in.Outside(over(k, v, clamp01(in.Inside(white)))))
		kx, sx, status := OfBlackWhite(rb, rw, black, white)
		if status == OnlyRatio {
			q := KOverS(max(clampMasstone(rw), 1e-6))
			sx = v
			kx = q * sx
		}
		out.K[i], out.S[i] = kx/f.X, sx/f.X
	}
	return out
}

// Darkest and lightest reflectance a declared masstone may have before K/S is
// taken from it: no paint is a perfect white, and R = 1 would never hide.
const (
	masstoneMin = 0.002
	masstoneMax = 0.97
)

func clampMasstone(r float64) float64 { return math.Min(math.Max(r, masstoneMin), masstoneMax) }
