package film

import "undercoat/palette/colour"

// Stack is films on a ground. Films[0] lies on the ground, the last is on top.
// Ground is the reflectance factor the lowest film meets; for dry absorbent
// cloth that is [Wetted] of what one measures. No films, or films of no
// thickness, give the ground itself.
type Stack struct {
	Ground colour.Reflectance
	Films  []Film
}

// Reflectance returns the reflectance factor of the stack seen from above, one
// value per band. Films of one [Surface] convention are laid under that
// surface once; where conventions differ each film is first brought to the
// bare one ([Film.Bare]).
//
// Holds for matt, even, non-fluorescent films; see [Uneven] for weave and pile
// and [Glow] for fluorescent ones.
//
// Source: Kubelka (1948), J. Opt. Soc. Am. 38; outer surface: Saunderson (1942).
func (s Stack) Reflectance() colour.Reflectance {
	surface, same, any := s.surface()
	if !any {
		return s.Ground
	}
	r := s.Ground
	for _, f := range s.Films {
		if !same {
			f = f.Bare()
		}
		r = f.Over(r)
	}
	if !same {
		return r
	}
	return surface.Seen(r)
}

// surface returns the convention of the films that are there, whether they all
// share it, and whether there are any.
func (s Stack) surface() (first Surface, same, any bool) {
	same = true
	for _, f := range s.Films {
		if f.X == 0 {
			continue
		}
		if !any {
			first, any = f.Surface, true
		} else if f.Surface != first {
			same = false
		}
	}
	return first, same, any
}

// Top is a growing pile of films seen from above with nothing below it yet:
// what it reflects by itself (R), the share of light that passes it both ways
// (T2) and what it reflects from below (Under). The zero value is not useful;
// start with [Nothing].
type Top struct{ R, T2, Under colour.Spectrum }

// Nothing returns the pile of no films.
func Nothing() Top {
	var t Top
	for i := range t.T2 {
		t.T2[i] = 1
	}
	return t
}

// Beneath returns the pile with one more film slid under it.
//
// Source: the adding formula, Kubelka (1954), J. Opt. Soc. Am. 44.
func (t Top) Beneath(p Pane) Top {
	for i := range t.R {
		r0, t0 := p.R[i], p.T[i]
		d := 1 - t.Under[i]*r0
		tt := t0 * t0
		t.R[i] += t.T2[i] * r0 / d
		t.T2[i] *= tt / (d * d)
		t.Under[i] = r0 + tt*t.Under[i]/d
	}
	return t
}

// Over returns the reflectance factor of the pile on a ground.
func (t Top) Over(ground colour.Reflectance) colour.Reflectance {
	for i, g := range ground {
		ground[i] = t.R[i] + t.T2[i]*g/(1-t.Under[i]*g)
	}
	return ground
}
