package colour

import "math"

// Difference76 returns ΔE*ab, the distance of two colours in CIELAB.
func Difference76(a, b Lab) float64 {
	return math.Sqrt((a.L-b.L)*(a.L-b.L) + (a.A-b.A)*(a.A-b.A) + (a.B-b.B)*(a.B-b.B))
}

// Difference returns the CIEDE2000 difference ΔE00 with kL = kC = kH = 1.
func Difference(a, b Lab) float64 {
	const rad = math.Pi / 180
	c1, c2 := math.Hypot(a.A, a.B), math.Hypot(b.A, b.B)
	cm := (c1 + c2) / 2
	c7 := math.Pow(cm, 7)
	g := 0.5 * (1 - math.Sqrt(c7/(c7+6103515625)))
	a1, a2 := (1+g)*a.A, (1+g)*b.A
	c1, c2 = math.Hypot(a1, a.B), math.Hypot(a2, b.B)
	hue := func(x, y float64) float64 {
		if x == 0 && y == 0 {
			return 0
		}
		h := math.Atan2(y, x) / rad
		if h < 0 {
			h += 360
		}
		return h
	}
	h1, h2 := hue(a1, a.B), hue(a2, b.B)
	dl, dc := b.L-a.L, c2-c1
	dh := h2 - h1
	hm := h1 + h2
	switch {
	case c1*c2 == 0:
		dh = 0
	case math.Abs(dh) <= 180:
		hm /= 2
	default:
		if hm < 360 {
			hm = (hm + 360) / 2
		} else {
			hm = (hm - 360) / 2
		}
		if dh > 180 {
			dh -= 360
		} else {
			dh += 360
		}
	}
	dH := 2 * math.Sqrt(c1*c2) * math.Sin(dh/2*rad)
	lm := (a.L + b.L) / 2
	cm = (c1 + c2) / 2
	t := 1 - 0.17*math.Cos((hm-30)*rad) + 0.24*math.Cos(2*hm*rad) + 0.32*math.Cos((3*hm+6)*rad) - 0.20*math.Cos((4*hm-63)*rad)
	l50 := (lm - 50) * (lm - 50)
	sl := 1 + 0.015*l50/math.Sqrt(20+l50)
	sc := 1 + 0.045*cm
	sh := 1 + 0.015*cm*t
	c7 = math.Pow(cm, 7)
	rt := -2 * math.Sqrt(c7/(c7+6103515625)) * math.Sin(60*rad*math.Exp(-((hm-275)/25)*((hm-275)/25)))
	return math.Sqrt(dl*dl/sl/sl + dc*dc/sc/sc + dH*dH/sh/sh + rt*dc/sc*dH/sh)
}
