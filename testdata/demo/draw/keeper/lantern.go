package keeper

import (
	"image"
	"math"
)

// Lantern draws R2: the keeper at night by the light of a hand lantern, all
// orange.
func Lantern() Picture {
	const w, h = 1240, 1720
	cast := hex(readings["R2"]["A2"]).over(hex(target["A2"]))
	p := pose{leftElbow: point{-318, 556}, leftWrist: point{-424, 424}, leftHand: point{-458, 382},
		rightElbow: point{284, 600}, rightWrist: point{322, 784}, rightHand: point{330, 834},
		left: lantern, right: handBell, bellTurn: math.Pi - 0.08, hoodLow: true}
	m := place(0.99, 556, 130).mirrored()
	a := enter("R2", wardrobe(target), p, m, image.Rect(0, 0, w, h), 0.66, -0.34)

	flame := m.at(p.leftHand.add(point{0, 122}))
	s := newSheet(w, h)
	fog(s, 0.50*h)
	crowd(s, 0.50*h)
	wetGround(s, 0.50*h, flame, m.at(point{0, 1500}))
	s.glow(flame, 250, rgb{1.0, 0.44, 0.11}.scale(0.42))
	a.skin.render(s, lanternLight(flame), a.kept())
	a.tint(s, cast)
	flare(s, a, flame)
	drift(s, a)
	s.grain(0.05, 72)
	file := calibrated(s, a.marks, a.evens, still{92, 1.6, 9})
	return Picture{Name: "R2", File: "R2.jpg", Bytes: file, W: w, H: h, Patches: a.marks}
}

func lanternLight(flame point) lighting {
	return lighting{
		key: [3]float64{0.56, -0.26, 0.76}, ambient: 0.16, lift: 0.22,
		shadow: rgb{0.62, 0.82, 1.25}, sheen: rgb{0.9, 0.9, 0.9},
		lamps: []lampLight{{at: flame, near: 640, colour: rgb{2.6, 2.0, 1.3}, strength: 0.55},
			{toward: unit3([3]float64{-0.9, -0.15, 0.25}), colour: rgb{0.30, 0.34, 0.45}, strength: 0.5}},
	}
}

// fog is the lit mist of the night.
func fog(s *sheet, horizon float64) {
	s.each(func(x, y int, _ rgb) rgb {
		px, py := float64(x)/float64(s.W), float64(y)
		band := math.Exp(-math.Pow((py-horizon*0.98)/(0.46*horizon), 2))
		wisps := 0.5 + 0.5*cloud(float64(x)/260, py/95, 4, 401)
		c := blend(rgb{0.0065, 0.0075, 0.0115}, rgb{0.150, 0.066, 0.0185}, band*(0.35+0.65*wisps)*(0.55+0.45*math.Exp(-math.Pow((px-0.72)/0.5, 2))))
		return c
	})
}

// crowd is lantern carriers far off: discs of light out of focus, posts and
// hooded shapes before them.
func crowd(s *sheet, horizon float64) {
	at := func(i int32, seed uint32) float64 { return 0.5 + 0.5*speck(i, 7, seed) }
	for i := int32(0); i < 52; i++ {
		far := at(i, 411)
		r := 7 + 27*(1-far)*(1-far)
		c := point{at(i, 412) * float64(s.W), horizon - 34 + 96*math.Pow(1-far, 1.5) - 52*at(i, 413)}
		light := blend(rgb{0.95, 0.36, 0.07}, rgb{1.0, 0.62, 0.22}, at(i, 414)).scale(0.20 + 0.42*at(i, 415))
		disc(s, c, r, light)
		long := 60 + 240*(1-far)
		streak(s, point{c.X, horizon + (horizon-c.Y)*0.4 + 80 + 120*(1-far)}, r*0.8, long, light.scale(0.22))
	}
	for i, x := range []float64{0.07, 0.16, 0.27, 0.80, 0.90, 0.965} {
		foot := point{x * float64(s.W), horizon + 56 + 70*float64(i%3)}
		high := 250 + 90*float64(i%3)
		top := point{foot.X + 12*float64(i%2) - 6, foot.Y - high}
		s.lay(fill(ribbon([]point{top, foot}, wide(7+2*float64(i%3))), 1).grownBlur(2.2), 0.9, flatInk(rgb{0.016, 0.0105, 0.0075}))
		for j, up := range []float64{0.95, 0.88, 0.91, 0.82} {
			from := mix(foot, top, up)
			to := from.add(point{(float64(j%2)*2 - 1) * (22 + 5*float64(j)), -30})
			s.lay(fill(ribbon([]point{from, to}, wide(3.4)), 1).grownBlur(1.8), 0.85, flatInk(rgb{0.016, 0.0105, 0.0075}))
		}
	}
	for i, c := range []point{{0.115, 36}, {0.215, 20}, {0.845, 30}, {0.925, 52}} {
		k := 1.15 + 0.35*float64(i%2)
		body := trace("M -19 0 R -17 -34 -13 -62 -11 -78 -9 -92 1 -101 9 -91 11 -78 13 -62 17 -34 19 0").placed(place(k, c.X*float64(s.W), horizon+c.Y+24))
		s.lay(fill(body, 1).grownBlur(2.4), 0.9, flatInk(rgb{0.020, 0.0125, 0.008}))
	}
}

func (f field) grownBlur(sigma float64) field {
	return f.grown(f.r.Inset(-int(sigma*3)-1)).blurred(sigma, true)
}

// disc is a lantern out of focus: even, a little brighter at its rim.
func disc(s *sheet, c point, r float64, light rgb) {
	f := fill(ellipse(c, r, r, 0), 2).grownBlur(math.Max(0.8, r*0.06))
	s.within(f.r, func(x, y int, p rgb) rgb {
		d := math.Hypot(float64(x)+0.5-c.X, float64(y)+0.5-c.Y) / r
		return p.plus(light.scale(float64(f.at(x, y)) * (0.62 + 0.38*smooth(0.5, 0.95, d))))
	})
	s.glow(c, r*1.6, light.scale(0.22))
}

// within sets the pixels of a rectangle, row by row.
func (s *sheet) within(r image.Rectangle, f func(x, y int, c rgb) rgb) {
	b := r.Intersect(s.bounds())
	for y := b.Min.Y; y < b.Max.Y; y++ {
		for x := b.Min.X; x < b.Max.X; x++ {
			p := s.at(x, y)
			*p = f(x, y, *p)
		}
	}
}

// streak is a light's reflection drawn long on wet ground.
func streak(s *sheet, c point, r, long float64, light rgb) {
	b := image.Rect(int(c.X-4*r), int(c.Y-long), int(c.X+4*r)+1, int(c.Y+long)+1)
	s.within(b, func(x, y int, p rgb) rgb {
		dy := (float64(y) - c.Y) / long
		dx := (float64(x) - c.X + 5*noise(float64(y)/7, c.X, 421)) / r
		return p.plus(light.scale(math.Exp(-dx*dx) * math.Max(0, 1-dy*dy) * (0.6 + 0.4*noise(float64(y)/9, c.X, 422))))
	})
}

// wetGround is the marked path: ribbed mud that catches the lantern.
func wetGround(s *sheet, horizon float64, flame, feet point) {
	s.each(func(x, y int, c rgb) rgb {
		if float64(y) < horizon {
			return c
		}
		depth := (float64(y) - horizon) / (float64(s.H) - horizon)
		z := 1 / (depth + 0.05)
		u, v := (float64(x)-flame.X)*z/150, 30*z
		rib := cloud(u*1.1, v*0.6, 3, 431)
		wet := smooth(-0.1, 0.5, cloud(u*0.4, v*0.2, 3, 433))
		dx, dy := (float64(x)-flame.X)/420, (float64(y)-feet.Y+60)/330
		pool := math.Exp(-dx*dx - dy*dy)
		gleam := math.Exp(-math.Pow((float64(x)-flame.X+26*rib)/64, 2)) * smooth(0, 0.3, depth)
		lit := rgb{0.34, 0.150, 0.040}.scale(pool*(0.30+0.45*math.Max(0, rib)) + gleam*(0.20+0.8*wet*math.Max(0, rib+0.25)))
		ground := blend(c.scale(0.42), rgb{0.012, 0.008, 0.006}, smooth(0, 0.8, depth))
		return blend(c, ground.scale(1+0.3*rib).plus(lit), smooth(-0.01, 0.14, depth))
	})
	// The keeper's own shadow falls away from the flame.
	shadow := ellipse(point{feet.X - 130, feet.Y - 4}, 230, 20, 0.05)
	s.lay(fill(shadow, 1).grownBlur(14), 0.75, flatInk(rgb{0.010, 0.006, 0.005}))
}

// flare is the glow around the flame, before everything but the patches.
func flare(s *sheet, a actor, c point) {
	before := append([]rgb(nil), s.pix...)
	s.glow(c, 70, rgb{1.1, 0.62, 0.22}.scale(0.42))
	s.glow(c, 24, rgb{1.6, 1.2, 0.7}.scale(0.55))
	keep := a.kept()
	s.each(func(x, y int, p rgb) rgb { return blend(p, before[y*s.W+x], float64(keep.at(x, y))) })
}

// drift is mist about the feet, lit from the side.
func drift(s *sheet, a actor) {
	keep := a.kept()
	s.each(func(x, y int, c rgb) rgb {
		t := smooth(0.80*float64(s.H), float64(s.H), float64(y))
		m := t * (0.36 + 0.44*cloud(float64(x)/240, float64(y)/48, 4, 441))
		warm := rgb{0.125, 0.056, 0.018}.scale(0.45 + 0.75*smooth(0.2, 0.8, float64(x)/float64(s.W)))
		return blend(c, warm, math.Max(0, m)*(1-float64(keep.at(x, y))))
	})
}
