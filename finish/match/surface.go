package match

import (
	"undercoat/finish/film"
	"undercoat/palette/colour"
)

// look is the face of a pile of coats while it is built from the ground up: a
// reflectance, and once a fluorescent lies on it also what glows.
type look struct {
	dry   bool  // open cloth nothing lies on yet: the first coat wets it
	cloth Weave // the most it may do to a film; zero once something lies on it
	takes Weave // what it does do, in a sampled stack
	r     colour.Reflectance
	glows bool
	glow  film.GlowLook
	day   colour.XYZ // under D65
}

func plain(r colour.Reflectance) look { return look{r: r, day: colour.D65().XYZ(r)} }

func glowing(g film.GlowLook) look { return look{glows: true, glow: g, day: g.Under(colour.D65())} }

// lab returns the daylight colour of the look.
func (l look) lab() colour.Lab { return l.day.Lab(colour.D65().White()) }

// under returns the look's CIELAB under a light.
func (l look) under(light colour.Light) colour.Lab {
	if l.glows {
		return l.glow.Under(light).Lab(light.White())
	}
	return light.Lab(l.r)
}

// coated returns the look with n coats of a product on it; n may be a
// fraction. A clear or unknown product leaves the look as it is. A film over
// something that glows is laid on what is seen in daylight: it dims the glow
// as it dims the rest, an approximation.
func (l look) coated(p pot, n float64) look {
	switch {
	case n <= 0 || !p.known:
		return l
	case p.role == Glow:
		if p.thick > 0 {
			n *= p.thick
		}
		return glowing(p.glow.Coats(n).Over(film.Ultraviolet(l.base())))
	default:
		g := l.base()
		coat := p.film.On(film.SideOf(g))
		bed := Bed{Reflectance: g, Absorbs: l.takes.Thirst, Uneven: l.takes.Uneven}
		return plain(bed.after(coat, n, p.wet))
	}
}

// base returns the reflectance the next coat meets: wetted where it is dry
// cloth; of something that glows, the nearest a reflecting surface can come to
// its daylight colour.
func (l look) base() colour.Reflectance {
	if l.dry {
		return film.Wetted(l.r)
	}
	if !l.glows {
		return l.r
	}
	r, _ := colour.Recover(l.day)
	return r
}

func (l look) prediction() Prediction {
	p := predictionOf(l.lab())
	p.Reflectance = l.r
	return p
}
