package film

import (
	"math"

	"undercoat/palette/colour"
)

// Glow is one coat of a fluorescent paint on the 44 bands of
// [colour.FluorescentSpectrum] (300…730 nm): what the dye absorbs and gives
// out, and what its carrier absorbs and scatters. K and S are of one coat,
// without an outer surface. The zero value is a coat that is not there.
type Glow struct {
	Dye      colour.Fluorescence
	Strength float64 // absorption of the dye where its Excitation is 1
	Host     colour.FluorescentSpectrum
	Scatter  colour.FluorescentSpectrum
}

// GlowPane is a fluorescent film as the adding method sees it: what it sends
// back and what it lets through, photons of one band in to photons of every
// band out.
type GlowPane struct{ r, t *matrix }

// slabDepth is the greatest optical depth of the slab that is doubled into a
// film; it leaves an error of 1e-8.
const slabDepth = 2e-3

// Coats returns n coats of the paint as one film; n may be a fraction.
//
// The film is solved as a thin slab, doubled until it has its thickness: the
// two-flux equations in photon units with a rank-one dye, half of what it
// gives out going up and half down, and any absorbed photon, its own included,
// able to excite it again.
//
// Source: Kubelka–Munk with fluorescence after Fukshansky and Kazarinova
// (1980), Bonham (1986) and Shakespeare and Shakespeare (2003), recalled;
// derivation and tables in the design papers, checked against 60-digit matrix
// exponentials.
func (g Glow) Coats(n float64) GlowPane {
	if !(n > 0) {
		return GlowPane{r: new(matrix), t: identity()}
	}
	a, b, deepest := g.flows()
	doublings, h := 0, n
	for deepest*h > slabDepth {
		h /= 2
		doublings++
	}
	p := slab(a, b, h)
	for range doublings {
		p = p.On(p)
	}
	return p
}

// flows returns the matrices of the down flux, dI/dx = −A·I + B·J, with
// A = K + S − F/2 and B = S + F/2, F = e·(φKf)ᵀ; and the greatest K + S.
func (g Glow) flows() (a, b *matrix, deepest float64) {
	a, b = new(matrix), new(matrix)
	for j := range bands {
		kf := g.Strength * g.Dye.Excitation[j]
		for i := range bands {
			f := g.Dye.Emission[i] * g.Dye.Yield * kf / 2
			a[i][j], b[i][j] = -f, f
		}
		total := kf + g.Host[j] + g.Scatter[j]
		a[j][j] += total
		b[j][j] += g.Scatter[j]
		deepest = math.Max(deepest, total)
	}
	return a, b, deepest
}

// slab returns a film of thickness h to second order:
// R = Bh − (AB+BA)h²/2, T = 1 − Ah + (A²+B²)h²/2.
func slab(a, b *matrix, h float64) GlowPane {
	ab := a.times(b).plus(b.times(a))
	aabb := a.times(a).plus(b.times(b))
	r, t := new(matrix), identity()
	for i := range r {
		for j := range r[i] {
			r[i][j] = b[i][j]*h - ab[i][j]*h*h/2
			t[i][j] += aabb[i][j]*h*h/2 - a[i][j]*h
		}
	}
	return GlowPane{r, t}
}

// On returns the pane lying on another one of the same paint or of any other
// that looks alike from both sides.
func (p GlowPane) On(under GlowPane) GlowPane {
	down := p.r.times(under.r).fromOne().solve(p.t) // what reaches the lower pane
	return GlowPane{
		r: p.t.times(under.r.times(down)).plus(p.r),
		t: under.t.times(down),
	}
}

// GlowLook is a fluorescent surface: photons out by band for photons in by
// band. It has no colour until a light falls on it, see [GlowLook.Under].
type GlowLook struct{ r *matrix }

// Over returns the look of the pane on a base.
func (p GlowPane) Over(base colour.FluorescentSpectrum) GlowLook {
	// R + T·Rg·(1 − R·Rg)⁻¹·T
	down := p.r.scaled(&base).fromOne().solve(p.t)
	return GlowLook{p.t.scaled(&base).times(down).plus(p.r)}
}

// Beneath returns the look seen through an outer surface; see [Surface].
func (l GlowLook) Beneath(s Surface) GlowLook {
	// k1 + (1−k1)(1−k2)·R·(1 − k2·R)⁻¹; R commutes with the inverse.
	den := *l.r
	for i := range den {
		for j := range den[i] {
			den[i][j] *= s.K2
		}
	}
	out := den.fromOne().solve(l.r)
	for i := range out {
		for j := range out[i] {
			out[i][j] *= (1 - s.K1) * (1 - s.K2)
		}
		out[i][i] += s.K1
	}
	return GlowLook{out}
}

// Stretched returns the look of a film opened over a bare base, as [Stretched]
// does: cover (0…1) of it still shows the film.
func (l GlowLook) Stretched(bare colour.FluorescentSpectrum, cover float64) GlowLook {
	c := clamp01(cover)
	out := *l.r
	for i := range out {
		for j := range out[i] {
			out[i][j] *= c
		}
		out[i][i] += (1 - c) * bare[i]
	}
	return GlowLook{&out}
}

// Radiance returns the light's power leaving the surface in each band, in the
// unit of [colour.Light.Power], reflected and given out together.
func (l GlowLook) Radiance(light colour.Light) colour.FluorescentSpectrum {
	return l.radiance(light.Power())
}

func (l GlowLook) radiance(power colour.FluorescentSpectrum) (out colour.FluorescentSpectrum) {
	for j, p := range power {
		photons := p * wavelength(j)
		if photons == 0 {
			continue
		}
		for i := range out {
			out[i] += l.r[i][j] * photons
		}
	}
	for i := range out {
		out[i] /= wavelength(i)
	}
	return out
}

// Under returns the tristimulus values of the surface under a light, scaled so
// that the perfect non-fluorescent white has Y = 1; a fluorescent may have
// more.
func (l GlowLook) Under(light colour.Light) colour.XYZ { return light.Seen(l.Radiance(light)) }

// Peak returns the greatest total radiance factor in the visible bands where
// the light has power: reflected and given out together over what falls on it.
// A surface that only reflects has at most 1.
func (l GlowLook) Peak(light colour.Light) float64 {
	power, out := light.Power(), l.Radiance(light)
	most := 0.0
	for i := bands - colour.Bands; i < bands; i++ {
		if power[i] > 0 {
			most = math.Max(most, out[i]/power[i])
		}
	}
	return most
}

// wavelength returns the wavelength of a fluorescent band in nm.
func wavelength(band int) float64 {
	return float64(colour.FluorescentFirstNM + band*colour.StepNM)
}

// titania is the reflectance of a surface whitened with titanium dioxide: it
// absorbs ultraviolet whatever it does in the visible. Judgement.
func titania(nm float64) float64 { return 0.06 + 0.84/(1+math.Exp(-(nm-400)/6)) }

// Ultraviolet returns a reflectance of the visible bands carried on to the
// fluorescent grid. Nothing was measured below 380 nm; paint and its binder
// absorb there as titanium white does, and so does what is recovered from a
// colour up to 420 nm, where the eye says nothing.
func Ultraviolet(r colour.Reflectance) (out colour.FluorescentSpectrum) {
	const first = bands - colour.Bands
	white := titania(420)
	for i := range out {
		nm := wavelength(i)
		visible := r[max(i-first, 0)]
		if nm < 420 {
			visible = min(visible, r[4]) * titania(nm) / white
		}
		out[i] = visible
	}
	return out
}
