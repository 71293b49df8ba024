package keeper

// head is collar, hood, face and forelock.
func head(w wardrobe, p pose) []part {
	opening := "O 0 70 54 90 78 150 72 218 46 270 -46 270 -72 218 -78 150 -54 90"
	if p.hoodLow {
		opening = "O 0 112 52 124 76 164 72 220 46 270 -46 270 -72 220 -76 164 -52 124"
	}
	inside := w.velveteen()
	inside.colour, inside.pile = inside.colour.scale(0.30), 0.02
	out := []part{{name: "hood inside", shape: trace("O 0 60 60 80 86 150 80 225 50 280 -50 280 -80 225 -86 150 -60 80"), stuff: inside}}
	out = append(out, face()...)
	out = append(out, hood(w, opening, p.hoodLow)...)
	out = append(out, collar(w)...)
	if !p.hoodLow {
		out = append(out, lock(w)...)
	}
	return out
}

func hood(w wardrobe, opening string, low bool) []part {
	rim := trace("O 0 -6 58 8 106 66 126 160 118 256 78 322 -78 322 -118 256 -126 160 -106 66 -58 8")
	hole := trace(opening)
	for i, j := 0, len(hole[0])-1; i < j; i, j = i+1, j-1 { // the other way round: a hole
		hole[0][i], hole[0][j] = hole[0][j], hole[0][i]
	}
	m := w.velveteen()
	m.round = 30
	shell := part{name: "hood", area: "A3", stuff: m, lift: 26, shape: append(rim, hole...),
		folds: []fold{
			{line: trace("M -60 30 R -100 110 -108 200 -92 290"), width: 9, height: 7}, {line: trace("M 60 30 R 100 110 108 200 92 290"), width: 9, height: 7},
			{line: trace("M 0 0 R 6 30 2 62"), width: 6, height: -4},
		}}
	out := []part{shell}
	top := 0.0
	if low {
		top = 38
	}
	for _, c := range []point{{-88, 214}, {-93, 186}, {-92, 158}, {-84, 131}, {-68, 107}, {-44, 91}} {
		y := c.Y + top*(1-smooth(100, 214, c.Y))
		out = append(out, stud(point{c.X, y}), stud(point{-c.X, y}))
	}
	return out
}

func face() []part {
	skin := plain(skinTone, 0.8, 50, 0.05, 10)
	shape := part{name: "face", stuff: skin, shape: trace("O 0 70 44 86 62 140 58 200 36 256 -36 256 -58 200 -62 140 -44 86"),
		folds: []fold{
			{line: trace("M 1 150 R 3 180 4 212"), width: 9, height: 5},
			{line: trace("M -46 150 R -28 142 -10 150"), width: 6, height: 2.5, quiet: true}, {line: trace("M 46 150 R 28 142 10 150"), width: 6, height: 2.5, quiet: true},
			{line: trace("M -44 172 R -28 182 -12 172"), width: 5, height: -2, quiet: true}, {line: trace("M 44 172 R 28 182 12 172"), width: 5, height: -2, quiet: true},
		}}
	out := []part{shape}
	for _, side := range []float64{-1, 1} {
		x := 26 * side
		out = append(out,
			part{name: "eye", shape: traceAt("M -13 1.5 R -6 -3.6 4 -4 13 0.5 R 6 4.2 -5 4.8 -13 1.5", x, 167, side), stuff: plain("#C4B8A8", 0.3, 4, 0.1, 20), free: true},
			part{name: "iris", shape: ellipse(point{x + 1, 166.6}, 4.6, 4.4, 0), stuff: plain("#2A2420", 0, 0, 0.3, 20), free: true},
			part{name: "lid", shape: ribbon(through([]point{{x - 15*side, 169}, {x - 6*side, 163}, {x + 5*side, 162}, {x + 16*side, 167.5}}), wide(3.4)), stuff: plain("#2A1C16", 0, 0, 0, 0), free: true},
			part{name: "brow", shape: ribbon(through([]point{{x - 16*side, 152}, {x - 2*side, 147}, {x + 18*side, 151}}), func(t float64) float64 { return 6.5 - 4*t }), stuff: plain("#2B4A4C", 0, 0, 0, 0), free: true},
		)
	}
	return out
}

// traceAt is trace moved to a place and flipped by side.
func traceAt(d string, x, y, side float64) outline {
	return trace(d).placed(affine{XX: side, YY: 1, DX: x, DY: y})
}

func collar(w wardrobe) []part {
	m := w.drill()
	m.round = 30
	under := part{name: "collar", area: "A2", stuff: m, lift: 9,
		shape: trace("M -94 316 R -106 268 -100 224 -84 198 R -44 214 0 222 44 214 86 192 R 104 224 108 268 96 316 R 50 348 0 358 -50 348 -94 316"),
		folds: []fold{{line: trace("M -96 300 R -60 330 -20 340 30 340"), width: 8, height: -4}}}
	flap := part{name: "collar flap", area: "A2", stuff: m, lift: 6,
		shape: trace("M -88 200 R -46 214 -4 221 40 214 L 58 226 R 62 270 56 318 46 352 R 20 358 -10 358 -50 348 R -82 334 -96 312 R -104 268 -100 226 -88 200"),
		folds: []fold{{line: trace("M -92 244 R -94 270 -90 300"), width: 8, height: 3}}}
	out := []part{under, flap}
	for _, c := range []point{{44, 244}, {48, 284}} {
		out = append(out, part{name: "button", shape: ellipse(c, 7, 7, 0), stuff: plain("#3A3E46", 1, 5, 0.4, 16), lift: 2})
	}
	return out
}

// lock is the forelock: over the brow, past the cheek, down the collar.
func lock(w wardrobe) []part {
	mid := through([]point{{-22, 76}, {14, 96}, {50, 128}, {70, 176}, {76, 236}, {80, 300}, {74, 352}, {84, 400}})
	width := func(t float64) float64 { return 8 + 36*smooth(0, 0.3, t)*smooth(1.05, 0.62, t) }
	m := w.forelock()
	out := []part{
		{name: "forelock behind", area: "A9", stuff: m, lift: 5,
			shape: ribbon(through([]point{{-34, 78}, {-50, 104}, {-58, 140}, {-56, 172}}), func(t float64) float64 { return 20*(1-t) + 2 }),
			folds: []fold{{line: trace("M -38 84 R -50 110 -56 150"), width: 3, height: -2}}},
		{name: "forelock", area: "A9", stuff: m, lift: 6, shape: ribbon(mid, width),
			folds: []fold{
				{line: trace("M -12 82 R 30 104 58 150 64 236 68 310 72 380"), width: 3.4, height: -2.6}, {line: trace("M 0 82 R 52 120 84 170 90 240 92 300 84 380"), width: 3.4, height: -2.6},
			}},
	}
	return out
}
