package film

import (
	"math"

	"undercoat/palette/colour"
)

// Status says what a film over black and over white told in one band.
type Status uint8

const (
	// Good: K and S both found.
	Good Status = iota
	// OnlyRatio: the backing does not show, so only K/S is known.
	OnlyRatio
	// NoScatter: nothing comes back over black; K found, S is 0.
	NoScatter
	// KHeld: more light came out than went in by noise; K was held at 0.
	KHeld
)

// String returns "ok", "opaque_only_K_over_S", "no_scatter" or "K_clamped_to_0".
func (s Status) String() string {
	switch s {
	case Good:
		return "ok"
	case OnlyRatio:
		return "opaque_only_K_over_S"
	case NoScatter:
		return "no_scatter"
	default:
		return "K_clamped_to_0"
	}
}

// OfBlackWhite returns the absorption KX and scattering SX of a film from its
// reflectance factors over a dark and over a light backing, one band; dark and
// light are the backings' own reflectance factors, all four inside the film's
// surface. Where the status is [OnlyRatio] both are NaN. The reading is best
// on a film of contrast ratio 0.3…0.95; on a hiding film noise of 0.001
// already moves S by several per cent.
//
// Source: Kubelka (1948), inverted.
func OfBlackWhite(overBlack, overWhite, dark, light float64) (kx, sx float64, s Status) {
	// (1) R0 and (2) T² of the free film from its two looks.
	den := light - dark - light*dark*(overWhite-overBlack)
	r0 := (light*overBlack - dark*overWhite) / den
	if math.Abs(r0*den) <= rounding*light*overBlack {
		r0 = 0 // the two products differ by no more than their rounding
	}
	t2 := (overWhite - overBlack) * (1 - r0*light) * (1 - r0*dark) / (light - dark)
	if !(t2 > 0) || !(light > dark) {
		return math.NaN(), math.NaN(), OnlyRatio
	}
	t := math.Sqrt(t2)
	if r0 <= 0 {
		return math.Max(-math.Log(t), 0), 0, NoScatter
	}
	if r0+t >= 1-1e-12 {
		status := Good
		if r0+t > 1+1e-9 {
			status = KHeld
		}
		return 0, r0 / (1 - r0), status
	}
	// (3) a = 1 + K/S, b = √(a²−1); a−1 written without cancellation.
	am1 := ((1-r0)*(1-r0) - t2) / (2 * r0)
	a := 1 + am1
	b := math.Sqrt(am1 * (am1 + 2))
	r := 1 / (a + b)
	p := -math.Log(t / (1 - r0*r))
	sx = p / b
	return sx * am1, sx, Good
}

// rounding is what two products of doubles that ought to be equal may differ
// by, relative to them.
const rounding = 8 * 0x1p-52

// Drawdown is a film read over a dark and over a light backing, with what is
// known of each band. KX and SX belong to the film as drawn; a band whose
// status is [OnlyRatio] holds the S of its neighbours and the K that keeps the
// measured look.
type Drawdown struct {
	Film   Film
	Status [colour.Bands]Status
}

// OfDrawdown returns the film of X = 1 behind readings over a dark and a light
// backing, all four as read from outside under the given surface convention.
// It is ok when at least one band told both K and S.
func OfDrawdown(overBlack, overWhite, dark, light colour.Reflectance, s Surface) (d Drawdown, ok bool) {
	rb, rw := s.Within(overBlack), s.Within(overWhite)
	gb, gw := s.Within(dark), s.Within(light)
	d.Film = Film{X: 1, Surface: s}
	for i := range rb {
		d.Film.K[i], d.Film.S[i], d.Status[i] = OfBlackWhite(rb[i], rw[i], gb[i], gw[i])
		ok = ok || d.Status[i] != OnlyRatio
	}
	if !ok {
		return Drawdown{}, false
	}
	d.fillScattering(rw)
	return d, true
}

// fillScattering gives the bands that told only K/S the scattering of their
// neighbours, by interpolation in wavelength.
func (d *Drawdown) fillScattering(look colour.Reflectance) {
	known := func(i int) bool { return d.Status[i] != OnlyRatio }
	for i := range d.Status {
		if known(i) {
			continue
		}
		lo, hi := i-1, i+1
		for lo >= 0 && !known(lo) {
			lo--
		}
		for hi < colour.Bands && !known(hi) {
			hi++
		}
		switch {
		case lo < 0:
			d.Film.S[i] = d.Film.S[hi]
		case hi == colour.Bands:
			d.Film.S[i] = d.Film.S[lo]
		default:
			w := float64(i-lo) / float64(hi-lo)
			d.Film.S[i] = (1-w)*d.Film.S[lo] + w*d.Film.S[hi]
		}
		d.Film.K[i] = d.Film.S[i] * KOverS(clampMasstone(look[i]))
	}
}
