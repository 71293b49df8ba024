package film

import (
	"errors"
	"fmt"
	"math"

	"undercoat/palette/colour"
)

// CardBlack and CardWhite are the reflectance factors taken for the two halves
// of a hiding card where a maker's figure does not give its own. ISO 6504-3
// asks for a black of Y 5 or less and a white of Y 80 ± 2.
const (
	CardBlack = 0.04
	CardWhite = 0.80
)

// Even returns a grey of the same reflectance factor r (0…1) in every band.
func Even(r float64) colour.Reflectance {
	var e colour.Reflectance
	for i := range e {
		e[i] = r
	}
	return e
}

// ErrFigures says that the figures given for a paint contradict each other or
// what any film can do.
var ErrFigures = errors.New("no film has these figures")

// Figure is a number a maker may not have stated; the zero value is unknown.
type Figure struct {
	Value float64
	Known bool
}

// Know returns a stated figure.
func Know(v float64) Figure { return Figure{v, true} }

// ScatterOfContrast returns SX of a film whose masstone is r and which shows
// the contrast ratio c = Y over dark / Y over light (D65), scattering alike in
// every band. dark and light are grey backings, 0 ≤ dark < light ≤ 1.
//
// C rises strictly with SX. A ratio below that of no film at all (dark/light)
// or 1 and above has no answer: the error wraps [ErrFigures]; 1 says that only
// K/S is known.
func ScatterOfContrast(r colour.Reflectance, c, dark, light float64) (float64, error) {
	if !(dark >= 0 && dark < light && light <= 1) {
		return 0, fmt.Errorf("contrast ratio: backings %g and %g: expected 0 ≤ dark < light ≤ 1: %w", dark, light, ErrFigures)
	}
	if !(c > dark/light && c < 1) {
		return 0, fmt.Errorf("contrast ratio: %g: expected more than %.3g (the bare card) and less than 1: %w", c, dark/light, ErrFigures)
	}
	var q colour.Spectrum
	for i := range q {
		q[i] = KOverS(math.Max(r[i], 1e-9))
	}
	light65 := colour.D65()
	contrast := func(sx float64) float64 {
		f := scattered(q, sx, 0)
		return light65.XYZ(f.Over(Even(dark))).Y / light65.XYZ(f.Over(Even(light))).Y
	}
	lo, hi := math.Log(1e-4), math.Log(1e4)
	if contrast(math.Exp(hi)) < c {
		return math.Exp(hi), nil
	}
	for hi-lo > 1e-11 {
		mid := (lo + hi) / 2
		if contrast(math.Exp(mid)) < c {
			lo = mid
		} else {
			hi = mid
		}
	}
	return math.Exp((lo + hi) / 2), nil
}

// ratios returns K/S per band of a masstone, held to what paint can be.
func ratios(masstone colour.Reflectance) (q colour.Spectrum) {
	for i, r := range masstone {
		q[i] = KOverS(clampMasstone(r))
	}
	return q
}

// tiltFloor keeps the scattering of pale paints even, whose K/S is tiny
// everywhere and varies tenfold without meaning anything.
const tiltFloor = 0.03

// scattered returns a film of X = 1 with K/S = q and a scattering of mean
// (geometric over the bands) s that falls with absorption as (q + 0.03)^−tilt.
// Tilt 0 scatters alike in every band; tilt 1 absorbs nearly alike.
func scattered(q colour.Spectrum, s, tilt float64) Film {
	f := Film{X: 1}
	if tilt == 0 {
		for i := range q {
			f.S[i], f.K[i] = s, q[i]*s
		}
		return f
	}
	var logs colour.Spectrum
	mean := 0.0
	for i := range q {
		logs[i] = math.Log(q[i] + tiltFloor)
		mean += logs[i] / colour.Bands
	}
	for i := range q {
		f.S[i] = s * math.Exp(-tilt*(logs[i]-mean))
		f.K[i] = q[i] * f.S[i]
	}
	return f
}

// Hiding returns the share of the ground hidden by a film: 0 where the ground
// is seen unchanged, 1 where the film looks like its masstone. The share is
// taken in linear light, as the distance in tristimulus values (D65) gone from
// the ground toward the masstone. A masstone of the ground's own colour gives
// 1.
func Hiding(f Film, ground colour.Reflectance) float64 {
	return 1 - showThrough(f, ground, colour.D65().XYZ(f.Masstone()))
}

func showThrough(f Film, ground colour.Reflectance, full colour.XYZ) float64 {
	d65 := colour.D65()
	all := apart(d65.XYZ(ground), full)
	if all == 0 {
		return 0
	}
	return apart(d65.XYZ(f.Over(ground)), full) / all
}

func apart(a, b colour.XYZ) float64 {
	return math.Sqrt((a.X-b.X)*(a.X-b.X) + (a.Y-b.Y)*(a.Y-b.Y) + (a.Z-b.Z)*(a.Z-b.Z))
}

// smallestShow is the least show-through a maker's figure is taken to mean:
// two decimals cannot tell 0.996 from 1.
const smallestShow = 0.004

// tiltDoubt is the standard deviation the tilt of the scattering is given
// before the figures speak: it stays near 0 unless they ask for one.
const tiltDoubt = 1.0

// shareDoubt returns the standard deviation of a stated share: 0.03 as makers
// write it, and the 0.01 of a reading over the way from ground to masstone,
// so that a white paint's hiding of white, or a dark one's of black, counts
// for little.
func shareDoubt(way float64) float64 { return math.Hypot(0.03, 0.01/max(way, 1e-3)) }

// OfHiding returns the film of one coat, X = 1, whose masstone is given and
// which hides the stated shares (0…1) of the black and of the white half of a
// card. One figure fixes the scattering, taken alike in every band; two also
// say how it leans with absorption. Figures outside 0…1, or none, wrap
// [ErrFigures].
//
// The form of the lean is ours: on 19 published pigments it brings the mean
// error of one to four coats over six grounds from ΔE00 1.9 to 1.65 where only
// masstone colour and the two shares, to two decimals, are known.
func OfHiding(masstone colour.Reflectance, black, white Figure) (Film, error) {
	f, _, _, err := ofHiding(masstone, black, white)
	return f, err
}

// sides holds by how many nepers the scattering of a film has to move for it
// to hide exactly the stated share of the dark and of the light half of a
// card. Figures of one film need none; labels often contradict each other.
type sides struct{ dark, light float64 }

// farSide is the most a figure may move the scattering by itself.
const farSide = 1.5

// ofHiding is [OfHiding] with what each half of the card asks beyond the film,
// and the standard deviation of ln S the figures leave.
func ofHiding(masstone colour.Reflectance, black, white Figure) (Film, sides, float64, error) {
	for _, f := range []Figure{black, white} {
		if f.Known && !(f.Value > 0 && f.Value <= 1) {
			return Film{}, sides{}, 0, fmt.Errorf("hiding figure: %g: expected a share above 0 and up to 1: %w", f.Value, ErrFigures)
		}
	}
	if !black.Known && !white.Known {
		return Film{}, sides{}, 0, fmt.Errorf("hiding figure: none stated: %w", ErrFigures)
	}
	q := ratios(masstone)
	fit := hidingFit{q: q, full: colour.D65().XYZ(masstoneOf(q))}
	if black.Known {
		fit.add(CardBlack, black.Value)
	}
	if white.Known {
		fit.add(CardWhite, white.Value)
	}
	if len(fit.grounds) == 1 {
		x := fit.level(0, 0, 1e-9)
		return scattered(q, math.Exp(x), 0), sides{}, fit.spread(x, 0), nil
	}
	x, tilt := fit.lean(fit.level(0, 0, 1e-2))
	return scattered(q, math.Exp(x), tilt), sides{dark: fit.only(0).shift(x, tilt), light: fit.only(1).shift(x, tilt)}, fit.spread(x, tilt), nil
}

// spread returns the standard deviation of ln S the figures leave at the
// answer, at least 0.05.
func (h *hidingFit) spread(x, tilt float64) float64 {
	const step = 1e-3
	a, b := h.misses(x-step, tilt), h.misses(x+step, tilt)
	slope := math.Hypot((b[0]-a[0])/(2*step), (b[1]-a[1])/(2*step))
	return min(max(1/max(slope, 0.1), 0.05), guessScatter)
}

// shift returns by how much the logarithm of the scattering has to move for
// the one figure to come out, less what the figure's own error explains.
func (h *hidingFit) shift(x, tilt float64) float64 {
	missed := abs(math.Exp(h.misses(x, tilt)[0]/h.sure[0]+h.logShow[0]) - math.Exp(h.logShow[0]))
	if missed <= figureDoubt {
		return 0
	}
	far := min(max(h.level(x, tilt, 1e-4)-x, -farSide), farSide)
	return far * (1 - figureDoubt/missed)
}

// only returns the fit of one of the figures.
func (h *hidingFit) only(i int) *hidingFit {
	return &hidingFit{q: h.q, full: h.full, grounds: h.grounds[i : i+1], logShow: h.logShow[i : i+1], sure: h.sure[i : i+1]}
}

func masstoneOf(q colour.Spectrum) (r colour.Reflectance) {
	for i := range r {
		r[i] = Infinite(q[i])
	}
	return r
}

// hidingFit holds what the scattering has to explain: the logarithm of the
// share of each ground still showing.
type hidingFit struct {
	q       colour.Spectrum
	full    colour.XYZ
	grounds []colour.Reflectance
	logShow []float64
	sure    []float64 // 1 / standard deviation of logShow
}

func (h *hidingFit) add(ground, hidden float64) {
	g := Even(ground)
	show := max(1-hidden, smallestShow)
	h.grounds = append(h.grounds, g)
	h.logShow = append(h.logShow, math.Log(show))
	h.sure = append(h.sure, show/shareDoubt(apart(colour.D65().XYZ(g), h.full)))
}

// misses returns how far each figure is missed, in its standard deviations.
func (h *hidingFit) misses(logS, tilt float64) (m [2]float64) {
	f := scattered(h.q, math.Exp(logS), tilt)
	for i, g := range h.grounds {
		m[i] = (math.Log(max(showThrough(f, g, h.full), smallestShow)) - h.logShow[i]) * h.sure[i]
	}
	return m
}

// level returns the logarithm of the scattering that explains the figures on
// average at a given tilt, to tol, from a first guess. Show-through falls with scattering, so the sum of the
// misses changes sign once; it is bracketed and closed by the Illinois form of
// the rule of false position.
func (h *hidingFit) level(guess, tilt, tol float64) float64 {
	sum := func(x float64) float64 { m := h.misses(x, tilt); return m[0] + m[1] }
	lo, hi := guess, guess
	flo := sum(lo)
	fhi := flo
	for step := 0.5; flo < 0 && lo > -12; step *= 2 {
		hi, fhi = lo, flo
		lo -= step
		flo = sum(lo)
	}
	for step := 0.5; fhi > 0 && hi < 12; step *= 2 {
		lo, flo = hi, fhi
		hi += step
		fhi = sum(hi)
	}
	if flo <= 0 || fhi >= 0 {
		return (lo + hi) / 2 // beyond what any paint does, or met exactly
	}
	for side, last := 0, math.Inf(1); hi-lo > tol; {
		x := (lo*fhi - hi*flo) / (fhi - flo)
		if abs(x-last) < tol/2 {
			return x
		}
		last = x
		f := sum(x)
		switch {
		case f > 0:
			lo, flo = x, f
			if side > 0 {
				fhi /= 2
			}
			side = 1
		case f < 0:
			hi, fhi = x, f
			if side < 0 {
				flo /= 2
			}
			side = -1
		default:
			return x
		}
		if abs(f) < 1e-9 {
			return x
		}
	}
	return (lo + hi) / 2
}

// lean refines scattering and tilt together by damped Gauss–Newton steps on
// the two misses and the doubt about the tilt.
func (h *hidingFit) lean(x float64) (logS, tilt float64) {
	const step, tiltMin, tiltMax = 1e-4, -0.3, 1.0
	t := 0.0
	cost := func(m [2]float64, t float64) float64 {
		return m[0]*m[0] + m[1]*m[1] + t*t/(tiltDoubt*tiltDoubt)
	}
	m := h.misses(x, t)
	best := cost(m, t)
	for damp, i := 1e-3, 0; i < 30 && damp < 1e4; i++ {
		mx, mt := h.misses(x+step, t), h.misses(x, t+step)
		var a, b, c, g0, g1 float64
		for j := range m {
			dx, dt := (mx[j]-m[j])/step, (mt[j]-m[j])/step
			a += dx * dx
			b += dx * dt
			c += dt * dt
			g0 += dx * m[j]
			g1 += dt * m[j]
		}
		c += 1 / (tiltDoubt * tiltDoubt)
		g1 += t / (tiltDoubt * tiltDoubt)
		a, c = a*(1+damp)+1e-12, c*(1+damp)
		det := a*c - b*b
		nx := x - (c*g0-b*g1)/det
		nt := min(max(t-(a*g1-b*g0)/det, tiltMin), tiltMax)
		nm := h.misses(nx, nt)
		if nc := cost(nm, nt); nc < best {
			done := best-nc < 1e-9
			x, t, m, best, damp = nx, nt, nm, nc, damp/4
			if done {
				break
			}
		} else {
			damp *= 8
		}
	}
	return x, t
}
