package keeper

import "math"

// handAndTool is a gauntlet, the hand in it and what the hand holds.
func handAndTool(w wardrobe, what held, elbow, wrist, hand point, turn float64) []part {
	var out []part
	switch what {
	case staff:
		out = append(out, staffParts(hand)...)
	case lantern:
		out = append(out, lanternParts(hand)...)
	case handBell:
		out = append(out, bell(hand, turn)...)
	}
	out = append(out, fist(wrist, hand)...)
	return append(out, gauntlet(w, elbow, wrist)...)
}

// gauntlet is a flared cuff of black vinyl with its line work and studs.
func gauntlet(w wardrobe, elbow, wrist point) []part {
	at := func(u, v float64) point { return along(wrist, elbow, u, v) } // u 0 wrist … 1 elbow
	half := func(u float64) float64 { return 33 + 10*u + 42*u*u }
	var l []point
	for u := -0.04; u <= 0.761; u += 0.05 {
		l = append(l, at(u, half(u)))
	}
	l = append(l, through([]point{at(0.76, half(0.76)), at(0.83, 34), at(0.86, 0), at(0.83, -34), at(0.76, -half(0.76))})...)
	for u := 0.76; u >= -0.05; u -= 0.05 {
		l = append(l, at(u, -half(u)))
	}
	l = append(l, at(-0.055, 0))
	out := []part{{name: "gauntlet", shape: outline{l}, stuff: w.vinyl(), lift: 9,
		folds: []fold{
			{line: outline{through([]point{at(0.16, -30), at(0.2, 0), at(0.17, 30)})}, width: 6, height: -4},
			{line: outline{through([]point{at(0.05, -30), at(0.08, 0), at(0.05, 30)})}, width: 6, height: -4},
		}}}
	ring := func(u, thick float64) part {
		var mid []point
		for i := 0; i <= 12; i++ {
			q := float64(i)/6 - 1
			mid = append(mid, at(u+0.045*(1-q*q), q*half(u)*0.985))
		}
		return part{name: "line work", area: "A6", stuff: w.stone(), shape: ribbon(mid, wide(thick)), free: true}
	}
	wave := func(u float64) part {
		var mid []point
		for i := 0; i <= 48; i++ {
			q := float64(i)/24 - 1
			mid = append(mid, at(u+0.045*(1-q*q)+0.032*math.Sin(q*3*math.Pi), q*half(u)*0.97))
		}
		return part{name: "line work", area: "A6", stuff: w.stone(), shape: ribbon(mid, wide(7)), free: true}
	}
	out = append(out, ring(0.70, 9), ring(0.52, 30), wave(0.355), ring(0.25, 7))
	for i := 0; i < 7; i++ {
		q := float64(i)/3*0.86 - 0.86
		out = append(out, stud(at(0.615+0.045*(1-q*q), q*half(0.62))))
	}
	return out
}

// fist is a closed hand seen from outside.
func fist(wrist, hand point) []part {
	skin := plain(skinTone, 0.9, 18, 0.06, 12)
	d := hand.sub(wrist).unit()
	at := func(u, v float64) point { return hand.add(d.scale(u)).add(d.turned().scale(v)) }
	out := []part{{name: "hand", stuff: skin, lift: 4, shape: outline{loop([]point{at(-44, 20), at(-16, 28), at(12, 28), at(26, 16), at(28, -10), at(14, -28), at(-14, -28), at(-44, -20)})}}}
	for i := range 4 {
		u := 20 - 13*float64(i)
		out = append(out, part{name: "finger", stuff: plain(skinTone, 1, 7, 0.06, 12), lift: 2,
			shape: limb(at(u, 20), at(u-2, -14), 7.4, 6.6)})
	}
	return append(out, part{name: "thumb", stuff: plain(skinTone, 1, 8, 0.06, 12), lift: 3, shape: limb(at(-22, -20), at(4, -23), 9, 7.5)})
}

// bell is a hand bell held by its grip, mouth away from the hand.
func bell(hand point, turn float64) []part {
	sin, cos := math.Sincos(turn)
	m := affine{XX: cos, XY: -sin, YX: sin, YY: cos, DX: hand.X, DY: hand.Y}
	brass := plain(bellBrass, 1, 30, 0.9, 22)
	grip := part{name: "grip", shape: trace("M -8 54 L 8 54 R 11 20 8 -20 8 -44 L -8 -44 R -8 -20 -11 20 -8 54").placed(m), stuff: plain(poleWood, 1, 8, 0.2, 14), lift: 3}
	body := part{name: "bell", stuff: brass, lift: 6,
		shape: trace("M -12 -40 R -34 -50 -42 -72 -46 -104 -56 -134 -74 -152 R 0 -164 74 -152 R 56 -134 46 -104 42 -72 34 -50 12 -40").placed(m),
		folds: []fold{{line: trace("M -54 -130 R 0 -140 54 -130").placed(m), width: 4, height: 2.4}, {line: trace("M -42 -74 R 0 -82 42 -74").placed(m), width: 3, height: 2}}}
	mouth := part{name: "bell mouth", shape: ellipse(m.at(point{0, -153}), 71, 13, turn), stuff: plain("#33260F", 0.2, 8, 0.1, 10), free: true}
	clapper := part{name: "clapper", shape: ellipse(m.at(point{10, -158}), 13, 12, turn), stuff: plain("#4A4238", 1, 9, 0.5, 18), lift: 2}
	return []part{grip, body, mouth, clapper}
}

// staffParts is the withy pole that marks the path, with a storm lantern at
// its head.
func staffParts(hand point) []part {
	top, foot := point{hand.X - 14, 30}, point{hand.X + 22, 1506}
	wood := plain(poleWood, 1, 7, 0.08, 10)
	pole := part{name: "staff", stuff: wood, lift: 5, shape: ribbon([]point{top, mix(top, foot, 0.25).add(point{2, 0}), mix(top, foot, 0.5), mix(top, foot, 0.75).add(point{-2, 0}), foot}, func(t float64) float64 { return 13 + 5*t })}
	out := []part{pole}
	for _, y := range []float64{0.07, 0.42, 0.66} {
		c := mix(top, foot, y)
		out = append(out, part{name: "binding", stuff: plain("#3B3329", 0.8, 5, 0.05, 8), shape: ribbon([]point{c.add(point{-0.5, -22}), c.add(point{0.5, 22})}, wide(22)), free: true})
	}
	return out
}

// lanternParts is a storm lantern hung from the hand by its ring.
func lanternParts(hand point) []part {
	c := hand.add(point{0, 122})
	iron := plain("#2E2A26", 1, 6, 0.5, 18)
	glass := material{colour: rgb{1.25, 1.15, 0.95}, glow: 1}
	at := func(d string) outline { return trace(d).placed(place(1, c.X, c.Y)) }
	return []part{
		{name: "lantern ring", stuff: iron, shape: ribbon(append(ellipse(c.add(point{0, -92}), 26, 30, 0)[0], ellipse(c.add(point{0, -92}), 26, 30, 0)[0][0]), wide(6)), free: true},
		{name: "lantern glass", stuff: glass, shape: at("M -34 -46 R -46 0 -34 46 L 34 46 R 46 0 34 -46"), free: true},
		{name: "lantern cap", stuff: iron, shape: at("M -14 -74 L 14 -74 R 22 -60 42 -50 L 42 -42 L -42 -42 L -42 -50 R -22 -60 -14 -74"), lift: 2},
		{name: "lantern foot", stuff: iron, shape: at("M -42 44 L 42 44 L 46 62 L -46 62"), lift: 2},
		{name: "lantern bar", stuff: iron, shape: ribbon([]point{c.add(point{-41, -44}), c.add(point{-48, 0}), c.add(point{-41, 46})}, wide(6)), free: true},
		{name: "lantern bar", stuff: iron, shape: ribbon([]point{c.add(point{41, -44}), c.add(point{48, 0}), c.add(point{41, 46})}, wide(6)), free: true},
		{name: "lantern bar", stuff: iron, shape: ribbon([]point{c.add(point{0, -44}), c.add(point{0, 46})}, wide(4)), free: true},
	}
}
