package film

import "undercoat/palette/colour"

// Surface is the optical boundary between a film and the air: K1 is the share
// of the incoming light mirrored at the outer face and seen by the instrument
// (0 where the specular part is excluded), K2 the share of the diffuse light
// inside that is thrown back into the film. Both 0…1.
//
// The zero value is no boundary at all, the convention of colours declared by
// a swatch. K and S found under one convention mean nothing under another
// (a light film needs about 2.7 times the S with a boundary), so every [Film]
// carries the surface its numbers belong to.
//
// Source: Saunderson (1942), J. Opt. Soc. Am. 32.
type Surface struct{ K1, K2 float64 }

// Resin is the boundary of a smooth film of refractive index 1.5 read with the
// specular part included: normal-incidence Fresnel reflection outside, its
// diffuse average inside.
func Resin() Surface { return Surface{K1: 0.04, K2: 0.60} }

// Outside returns the reflectance factor the eye meets where the light inside
// the film meets r.
func (s Surface) Outside(r float64) float64 {
	return s.K1 + (1-s.K1)*(1-s.K2)*r/(1-s.K2*r)
}

// Inside returns the reflectance factor inside the film of a measured one: the
// inverse of [Surface.Outside]. A reading below K1 gives a negative number,
// which no film has; callers clamp.
func (s Surface) Inside(m float64) float64 {
	return (m - s.K1) / (1 - s.K1 - s.K2 + s.K2*m)
}

// Seen returns the whole reflectance as the eye meets it; see [Surface.Outside].
func (s Surface) Seen(r colour.Reflectance) colour.Reflectance {
	if s == (Surface{}) {
		return r
	}
	for i := range r {
		r[i] = clamp01(s.Outside(r[i]))
	}
	return r
}

// Within returns the whole reflectance as the film meets it, held to 0…1; see
// [Surface.Inside].
func (s Surface) Within(r colour.Reflectance) colour.Reflectance {
	if s == (Surface{}) {
		return r
	}
	for i := range r {
		r[i] = clamp01(s.Inside(r[i]))
	}
	return r
}

// wetting holds the constants of an absorbent surface soaked with a liquid of
// refractive index about 1.5.
var wetting = Surface{K1: 0.04, K2: 0.60}

// Wetted returns a dry absorbent ground as the first coat meets it. The binder
// fills the pores, light escapes less easily, and the cloth darkens: a
// reflectance of 0.50 becomes 0.314, 0.20 becomes 0.127. Sealed, painted and
// plastic grounds do not soak and are used as read.
//
// Source: Ångström; Lekner and Dorf (1988), the same algebra as the outer
// surface of a film.
func Wetted(ground colour.Reflectance) colour.Reflectance { return wetting.Seen(ground) }

func clamp01(x float64) float64 { return min(max(x, 0), 1) }
