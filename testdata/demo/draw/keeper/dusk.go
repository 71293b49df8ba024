package keeper

import (
	"image"
	"math"
)

// Dusk draws R1: the keeper on the flats after sunset, dim and blue.
func Dusk() Picture {
	const w, h = 1240, 1760
	cast := hex(readings["R1"]["A2"]).over(hex(target["A2"]))
	p := pose{leftElbow: point{-280, 596}, leftWrist: point{-330, 776}, leftHand: point{-340, 826},
		rightElbow: point{328, 566}, rightWrist: point{384, 384}, rightHand: point{393, 334},
		left: staff, right: handBell, bellTurn: 0.34}
	m := place(0.985, 604, 172)
	a := enter("R1", wardrobe(target), p, m, image.Rect(0, 0, w, h), -0.62, -0.6)

	lamp := m.at(point{-398, 132})
	s := newSheet(w, h)
	flats(s, 0.49*h)
	path(s, 0.49*h)
	mirror(s, a)
	a.skin.render(s, duskLight(lamp), a.kept())
	a.tint(s, cast)
	headLantern(s, lamp, m.size())
	groundMist(s, a, 0.86*h)
	s.grain(0.05, 71)
	file := calibrated(s, a.marks, a.evens, still{93, 1.6, 9})
	return Picture{Name: "R1", File: "R1.jpg", Bytes: file, W: w, H: h, Patches: a.marks}
}

func duskLight(lamp point) lighting {
	return lighting{
		key: [3]float64{-0.50, -0.52, 0.78}, ambient: 0.20, lift: 0.25,
		shadow: rgb{0.74, 0.88, 1.12}, sheen: rgb{0.75, 0.85, 1},
		lamps: []lampLight{{at: lamp, near: 560, colour: rgb{6.4, 2.6, 0.55}, strength: 0.55},
			{toward: unit3([3]float64{0.85, -0.1, 0.35}), colour: rgb{0.55, 0.36, 0.26}, strength: 0.35}},
	}
}

// flats paints sky and mud flats in the colours of dusk, horizon at y.
func flats(s *sheet, horizon float64) {
	zenith, mid, low, ember := rgb{0.020, 0.034, 0.070}, rgb{0.070, 0.100, 0.165}, rgb{0.185, 0.205, 0.250}, rgb{0.46, 0.235, 0.125}
	sky := func(x, y float64) rgb {
		t := math.Max(0, y/horizon)
		c := blend(zenith, mid, smooth(0, 0.72, t))
		c = blend(c, low, smooth(0.55, 1.02, t))
		sun := math.Exp(-math.Pow((x-0.80*float64(s.W))/(0.50*float64(s.W)), 2)) * smooth(0.62, 1.03, t)
		c = blend(c, ember, 0.62*sun)
		bank := cloud(x/420+0.0011*y, y/56, 4, 301)*0.5 + 0.5
		return blend(c, c.times(rgb{0.62, 0.64, 0.72}), smooth(0.45, 0.75, bank)*smooth(0.05, 0.5, t)).scale(1 + 0.05*cloud(x/200, y/30, 3, 305))
	}
	s.each(func(x, y int, _ rgb) rgb {
		px, py := float64(x)+0.5, float64(y)+0.5
		if py < horizon {
			return farShore(px, py, horizon, sky(px, py))
		}
		return mud(px, py, horizon, float64(s.W), float64(s.H), sky)
	})
}

func farShore(x, y, horizon float64, sky rgb) rgb {
	top := horizon - 15 - 11*cloud(x/150, 4, 3, 311) - 8*smooth(900, 200, x)
	return blend(sky, rgb{0.055, 0.066, 0.092}, 0.82*smooth(top-1.2, top+1.2, y)*smooth(horizon+40, horizon-20, y))
}

// mud is wet ground: dark silt with pools and a tide channel that mirror the
// sky, drawn smaller with distance.
func mud(x, y, horizon, w, h float64, sky func(x, y float64) rgb) rgb {
	depth := (y - horizon) / (h - horizon) // 0 far … 1 near
	z := 1 / (depth + 0.035)
	u, v := (x-w/2)*z/170, 26*z
	ripple := cloud(u*1.2, v*0.55, 3, 331)
	pool := cloud(u*0.42+3, v*0.16, 4, 337)
	channel := math.Abs(u*0.9 - 2.3 - 1.1*math.Sin(v*0.14) - 0.5*cloud(v*0.1, 2, 2, 341))
	wet := math.Max(smooth(0.02, 0.34, pool), smooth(1.15, 0.55, channel))
	image := sky(x+6*ripple*(1+3*depth), horizon-(y-horizon)*0.86-4)
	silt := rgb{0.030, 0.036, 0.050}.scale(1 + 0.35*ripple)
	c := blend(silt, image.times(rgb{0.80, 0.84, 0.90}), (0.16+0.74*wet)*(1-0.30*depth))
	return blend(rgb{0.20, 0.195, 0.215}, c, smooth(-0.012, 0.10, depth))
}

// path sets pairs of marker posts and their small lanterns towards the
// horizon, and lantern carriers among them.
func path(s *sheet, horizon float64) {
	for i := 9; i >= 1; i-- {
		z := 0.55 + float64(i)*float64(i)*0.16 // distance
		for _, side := range []float64{-1, 1} {
			foot := point{0.66*float64(s.W) + side*250/z + 40*math.Sin(z*0.9)/z - 60/z, horizon + 560/z*0.62}
			post(s, foot, 400/z, i%2 == 0 == (side > 0), z)
		}
	}
	for i, c := range []point{{0.845, 30}, {0.905, 27}, {0.945, 24}, {0.20, 20}, {0.155, 22}} {
		carrier(s, point{c.X * float64(s.W), horizon + c.Y}, 46+3*float64(i%3), i%2 == 0)
	}
	// Mist lies along the horizon.
	s.each(func(x, y int, c rgb) rgb {
		d := (float64(y) - horizon - 12) / 74
		m := math.Exp(-d*d) * (0.50 + 0.45*cloud(float64(x)/210, float64(y)/38, 3, 351))
		return blend(c, rgb{0.235, 0.225, 0.245}, math.Max(0, 0.72*m))
	})
}

func post(s *sheet, foot point, height float64, lit bool, z float64) {
	dark := blend(rgb{0.018, 0.020, 0.028}, rgb{0.17, 0.175, 0.20}, math.Min(0.9, z/14))
	lean := 0.03 * height * noise(foot.X, 1, 5)
	top := point{foot.X + lean, foot.Y - height}
	s.lay(fill(ribbon([]point{top, foot}, func(t float64) float64 { return (5 + 3*t) / z * 1.25 }), 1), 1, flatInk(dark))
	for i, up := range []float64{0.96, 0.90, 0.93, 0.85, 0.80} { // a brush of twigs at the head
		from := mix(foot, top, up)
		to := from.add(point{(float64(i%2)*2 - 1) * (20 + 6*float64(i)) / z, -(34 - 3*float64(i)) / z})
		s.lay(fill(ribbon([]point{from, to}, func(t float64) float64 { return (4 - 3*t) / z }), 1), 1, flatInk(dark))
	}
	below := point{foot.X - lean*0.6, foot.Y + height*0.7}
	s.lay(fill(ribbon([]point{foot, below}, func(t float64) float64 { return (7 - 3*t) / z * 1.25 }), 1), 0.35, flatInk(dark))
	if lit {
		c := point{top.X, top.Y + 12/z}
		s.glow(c, 34/math.Sqrt(z), rgb{1.0, 0.50, 0.15}.scale(0.75))
		s.glow(c, 6/math.Sqrt(z), rgb{2.6, 1.7, 0.8})
		s.glow(point{foot.X, foot.Y + height*0.82}, 20/math.Sqrt(z), rgb{0.5, 0.25, 0.08}.scale(0.28))
	}
}

// carrier is a small far figure with a lantern.
func carrier(s *sheet, foot point, height float64, right bool) {
	k := height / 100
	m := affine{XX: k, YY: k, DX: foot.X, DY: foot.Y}
	if right {
		m = m.mirrored()
	}
	body := trace("M -19 0 R -17 -34 -13 -62 -11 -78 -9 -92 1 -101 9 -91 11 -78 13 -62 17 -34 19 0")
	s.lay(fill(body.placed(m), 1), 0.85, flatInk(rgb{0.030, 0.034, 0.046}))
	s.lay(fill(ribbon([]point{m.at(point{8, -62}), m.at(point{30, -52})}, wide(5*k+1)), 1), 0.85, flatInk(rgb{0.030, 0.034, 0.046}))
	c := m.at(point{32, -42})
	s.glow(c, 20, rgb{0.9, 0.42, 0.12}.scale(0.8))
	s.glow(c, 4.5, rgb{2.2, 1.5, 0.7})
	s.glow(c.add(point{0, height * 0.9}), 13, rgb{0.35, 0.17, 0.06})
}

// mirror lays the figure's dim image in the wet ground below its feet.
func mirror(s *sheet, a actor) {
	foot := int(a.m.at(point{0, 1496}).Y)
	for y := foot - 4; y < s.H; y++ {
		fadeOut := 0.5 * smooth(float64(s.H-foot)*1.5, 0, float64(y-foot))
		for x := 0; x < s.W; x++ {
			sx := min(max(x+int(3*noise(float64(x)/26, float64(y)/4, 361)), 0), s.W-1)
			src := 2*foot - y + int(2*noise(float64(x)/40, float64(y)/5, 363))
			if src < 0 || src >= s.H {
				continue
			}
			i := a.skin.index(sx, src)
			if c := float64(a.skin.cover[i]); c > 0 {
				p := s.at(x, y)
				*p = blend(*p, a.skin.colour[i].times(rgb{0.10, 0.14, 0.22}).scale(0.7), c*fadeOut)
			}
		}
	}
}

// headLantern is the storm lantern at the head of the staff.
func headLantern(s *sheet, c point, k float64) {
	iron := flatInk(rgb{0.020, 0.018, 0.018})
	at := func(d string) outline { return trace(d).placed(place(k*0.9, c.X, c.Y)) }
	s.lay(fill(ribbon(trace("M 52 -96 R 30 -108 6 -96 0 -70").placed(place(k*0.9, c.X, c.Y))[0], wide(6*k)), 1), 1, iron)
	s.glow(c, 150*k, rgb{0.85, 0.40, 0.11}.scale(0.55))
	s.lay(fill(at("M -24 -34 R -33 0 -24 34 L 24 34 R 33 0 24 -34"), 1), 1, func(x, y int) rgb {
		d := math.Hypot(float64(x)-c.X, (float64(y)-c.Y)*0.8) / (30 * k)
		return blend(rgb{1.5, 1.15, 0.62}, rgb{0.95, 0.42, 0.10}, smooth(0.1, 1.1, d))
	})
	s.lay(fill(at("M -10 -58 L 10 -58 R 16 -46 30 -38 L 30 -32 L -30 -32 L -30 -38 R -16 -46 -10 -58 M -30 32 L 30 32 L 33 46 L -33 46"), 1), 1, iron)
	for _, x := range []float64{-29, 29} {
		s.lay(fill(ribbon([]point{{c.X + 0.9*k*x, c.Y - 30*k}, {c.X + 1.08*k*x, c.Y}, {c.X + 0.9*k*x, c.Y + 30*k}}, wide(4*k)), 1), 1, iron)
	}
	s.glow(c, 26*k, rgb{1.2, 0.8, 0.35}.scale(0.5))
}

// groundMist drifts over the ground in front of the feet, off the patches.
func groundMist(s *sheet, a actor, top float64) {
	keep := a.kept()
	s.each(func(x, y int, c rgb) rgb {
		t := smooth(top, float64(s.H)*1.02, float64(y))
		m := t * (0.42 + 0.38*cloud(float64(x)/230, float64(y)/44, 4, 371))
		return blend(c, rgb{0.150, 0.165, 0.205}, math.Max(0, m)*(1-float64(keep.at(x, y))))
	})
}
