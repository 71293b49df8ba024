package keeper

import "math"

// pose is how the figure stands. Joints are in figure units: x 0 is the
// middle of the body, y 0 the tip of the hood, 1500 the soles; left and right
// are the looker's.
type pose struct {
	leftElbow, leftWrist, leftHand    point
	rightElbow, rightWrist, rightHand point
	hoodLow                           bool // pulled down over the forelock
	left, right                       held
	bellTurn                          float64
}

// held is what a hand carries.
type held int

const (
	nothing held = iota
	handBell
	staff
	lantern
)

// keeperFigure gives the parts of the figure, back to front. Arms and hood
// follow the pose; neck to foot, the body does not move.
func keeperFigure(w wardrobe, p pose) []part {
	var parts []part
	parts = append(parts, behind(w)...)
	parts = append(parts, legs(w)...)
	parts = append(parts, tunic(w)...)
	parts = append(parts, coat(w)...)
	parts = append(parts, arm(w, point{-190, 392}, p.leftElbow, p.leftWrist)...)
	parts = append(parts, arm(w, point{190, 392}, p.rightElbow, p.rightWrist)...)
	parts = append(parts, sash(w)...)
	parts = append(parts, capeFronts(w)...)
	parts = append(parts, yoke(w)...)
	parts = append(parts, head(w, p)...)
	parts = append(parts, handAndTool(w, p.left, p.leftElbow, p.leftWrist, p.leftHand, p.bellTurn)...)
	parts = append(parts, handAndTool(w, p.right, p.rightElbow, p.rightWrist, p.rightHand, p.bellTurn)...)
	return parts
}

// behind is what hangs behind the body: the cape's back and the coat's lining.
func behind(w wardrobe) []part {
	back := part{name: "cape back", area: "A3", stuff: w.velveteen(),
		shape: trace("M -100 240 L 100 240 R 215 330 268 470 286 600 278 705 R 200 735 90 722 0 738 -90 722 -200 735 -278 705 R -286 600 -268 470 -215 330 -100 240"),
		folds: []fold{
			{line: trace("M -225 420 R -250 540 -240 720"), width: 16, height: 9},
			{line: trace("M 225 420 R 250 540 240 720"), width: 16, height: 9},
			{line: trace("M 262 520 R 268 600 262 715"), width: 10, height: -7},
			{line: trace("M -262 520 R -268 600 -262 715"), width: 10, height: -7},
		}}
	lining := w.suiting()
	lining.colour = lining.colour.scale(0.34)
	coatBack := part{name: "coat back", stuff: lining, lift: 4,
		shape: trace("M -140 600 L 140 600 L 240 1120 R 250 1150 236 1168 R 120 1186 0 1176 -120 1186 -236 1168 R -250 1150 -240 1120 L -140 600"),
		folds: []fold{{line: trace("M -60 900 R -72 1050 -80 1175"), width: 18, height: 10}, {line: trace("M 60 900 R 72 1050 80 1175"), width: 18, height: 10}, {line: trace("M 0 950 R 2 1060 0 1175"), width: 18, height: -10}}}
	return []part{back, coatBack}
}

// legs are trousers, boots and gaiters.
func legs(w wardrobe) []part {
	var out []part
	for _, leg := range []struct {
		hip, knee, ankle point
		toe              float64
	}{{point{-62, 900}, point{-82, 1120}, point{-80, 1440}, -1}, {point{68, 900}, point{92, 1120}, point{98, 1440}, 1}} {
		out = append(out,
			part{name: "trouser", shape: limb(leg.hip, leg.knee, 70, 52), stuff: plain(trouser, 0.8, 40, 0.01, 6), lift: 4},
			part{name: "boot", shape: boot(leg.ankle, leg.toe), stuff: plain(bootHide, 0.9, 26, 0.16, 18), lift: 3,
				folds: []fold{{line: outline{{leg.ankle.add(point{-34 * leg.toe, 46}), leg.ankle.add(point{30 * leg.toe, 52}), leg.ankle.add(point{86 * leg.toe, 46})}}, width: 4, height: -3}}},
		)
		out = append(out, gaiter(w, leg.knee, leg.ankle, leg.toe)...)
	}
	return out
}

// boot is a boot from in front, its toe turned out to one side.
func boot(a point, toe float64) outline {
	out := func(v float64) float64 { return a.X + toe*v }
	l := through([]point{
		{out(-34), a.Y - 40}, {out(-38), a.Y + 6}, {out(-40), a.Y + 40}, {out(-34), a.Y + 58}, {out(16), a.Y + 64},
		{out(66), a.Y + 62}, {out(88), a.Y + 54}, {out(86), a.Y + 36}, {out(60), a.Y + 12}, {out(40), a.Y - 8}, {out(34), a.Y - 40},
	})
	return outline{append([]point{{out(-34), a.Y - 40}}, l...)}
}

// gaiter is a boot gaiter with its top rim, strap and side buttons.
func gaiter(w wardrobe, k, a point, toe float64) []part {
	at := func(u, v float64) point { return along(k, a, u, v) } // u 0 knee … 1 ankle, v left of the way down
	l := through([]point{
		at(0.02, 54), at(0.16, 60), at(0.42, 55), at(0.72, 41), at(0.93, 38), at(1.03, 47),
		at(1.075, 0), at(1.03, -47), at(0.93, -38), at(0.72, -41), at(0.42, -55), at(0.16, -60), at(0.02, -54), at(0.0, 0), at(0.02, 54),
	})
	body := part{name: "gaiter", area: "A8", shape: outline{l}, stuff: w.leather(), lift: 6,
		folds: []fold{
			{line: outline{through([]point{at(0.80, 34), at(0.83, 0), at(0.80, -34)})}, width: 6, height: -4},
			{line: outline{through([]point{at(0.87, 34), at(0.90, 4), at(0.86, -34)})}, width: 6, height: -4},
			{line: outline{through([]point{at(0.73, 34), at(0.75, 10), at(0.73, -14)})}, width: 6, height: -3},
			{line: outline{through([]point{at(0.1, 46*toe), at(0.5, 44*toe), at(0.95, 30*toe)})}, width: 4, height: -3},
		}}
	strap := func(u, half float64) part {
		mid := through([]point{at(u, 62-26*u), at(u+0.015, 0), at(u, -62+26*u)})
		m := w.leather()
		m.colour, m.weave, m.round = m.colour.scale(0.55), nil, 8
		return part{name: "strap", shape: ribbon(mid, wide(2*half)), stuff: m, lift: 3}
	}
	out := []part{body, strap(0.07, 8), strap(0.66, 6)}
	for _, u := range []float64{0.07, 0.66} {
		out = append(out, buckle(at(u+0.012, 14*toe)))
	}
	return out
}

func buckle(c point) part {
	return part{name: "buckle", shape: ellipse(c, 10, 8, 0), stuff: plain(studBrass, 1, 6, 0.6, 14), lift: 2}
}

// tunic is the cream under-tunic with its wave band.
func tunic(w wardrobe) []part {
	skirt := part{name: "tunic", stuff: w.knit(), lift: 3,
		shape: trace("M -110 500 L 120 500 R 142 700 180 880 198 1010 R 120 1034 60 1020 0 1036 -60 1020 -120 1034 -188 1010 R -170 880 -138 700 -110 500"),
		folds: []fold{
			{line: trace("M 62 640 R 78 820 96 1020"), width: 13, height: 7}, {line: trace("M -30 660 R -44 840 -62 1020"), width: 12, height: 6},
			{line: trace("M 26 850 R 22 940 18 1030"), width: 13, height: -8}, {line: trace("M 120 760 R 132 900 140 1020"), width: 10, height: -7},
			{line: trace("M -88 800 R -98 900 -108 1020"), width: 12, height: -8},
		}}
	band := part{name: "wave band", area: "A4", stuff: w.band(), free: true,
		shape: trace("M -132 640 R -96 664 -58 642 -20 664 18 642 56 664 94 642 132 664 L 150 836 R 134 836 96 812 58 836 20 812 -18 836 -56 812 -94 836 -132 812 L -150 820 L -132 640")}
	crest := func(y float64) part {
		mid := through([]point{{-132, y - 10}, {-96, y + 10}, {-58, y - 10}, {-20, y + 10}, {18, y - 10}, {56, y + 10}, {94, y - 10}, {132, y + 10}})
		m := w.knit()
		m.bulge = 0
		return part{name: "crest", stuff: m, shape: ribbon(mid, wide(7)), free: true}
	}
	return []part{skirt, band, crest(688), crest(786)}
}

// coat is the two fronts of the coat and the white placket.
func coat(w wardrobe) []part {
	right := part{name: "coat right", area: "A1", stuff: w.suiting(), lift: 9,
		shape: trace("M 0 320 L 150 330 R 186 372 180 440 156 530 146 600 R 168 710 210 880 266 1088 296 1186 R 232 1214 164 1214 R 146 1060 116 890 74 730 38 610 16 552 L 0 400"),
		folds: []fold{
			{line: trace("M 128 640 R 160 820 206 1000 236 1205"), width: 30, height: 21.75}, {line: trace("M 96 760 R 128 930 162 1090 186 1210"), width: 21, height: 14.5},
			{line: trace("M 150 700 R 184 860 232 1040 268 1195"), width: 20, height: -17.4}, {line: trace("M 108 880 R 142 1010 196 1205 200 1212"), width: 16, height: -13.05},
			{line: trace("M 150 470 R 110 520 70 545"), width: 18, height: -8.7}, {line: trace("M 152 560 R 120 585 92 590"), width: 14, height: -7.25},
		}}
	left := part{name: "coat left", area: "A1", stuff: w.suiting(), lift: 9,
		shape: trace("M 20 320 L -150 330 R -186 372 -180 440 -156 530 -146 600 R -168 710 -210 880 -268 1096 -292 1192 R -222 1218 -152 1216 R -122 1056 -84 886 -42 734 -8 606 10 556 L 20 400"),
		folds: []fold{
			{line: trace("M -140 640 R -188 850 -232 1030 -262 1205"), width: 24, height: 17.4}, {line: trace("M -166 800 R -200 960 -232 1100 -246 1205"), width: 16, height: -14.5},
			{line: trace("M -96 950 R -118 1060 -150 1150 -178 1215"), width: 20, height: 13.05}, {line: trace("M -112 1010 R -142 1100 -190 1190 -204 1215"), width: 15, height: -13.05},
			{line: trace("M -150 480 R -110 530 -70 556"), width: 18, height: -8.7}, {line: trace("M -152 566 R -120 590 -96 592"), width: 14, height: -7.25},
		}}
	facing := part{name: "placket", area: "A2", stuff: w.drill(), lift: 3,
		shape: ribbon(append([]point{{2, 326}}, through([]point{{2, 326}, {2, 440}, {-4, 560}, {-24, 625}, {-60, 745}, {-100, 890}, {-138, 1056}, {-168, 1216}})...),
			func(t float64) float64 { return 36 - 4*t })}
	seam := part{name: "stitching", shape: ribbon(through([]point{{-18, 450}, {-24, 560}, {-44, 628}, {-80, 748}, {-119, 893}, {-157, 1058}, {-186, 1214}}), wide(1.6)),
		stuff: plain("#4A4E53", 0, 0, 0, 0), free: true}
	out := []part{right, left, seam, facing}
	for _, y := range []point{{-2, 470}, {-60, 745}, {-99, 885}, {-132, 1030}} {
		out = append(out, part{name: "button", shape: ellipse(y, 7, 7, 0), stuff: plain("#3A3E46", 1, 5, 0.4, 16), lift: 2})
	}
	return out
}

// limb is a tapered limb with round ends.
func limb(a, b point, ra, rb float64) outline {
	d := b.sub(a).unit()
	var l []point
	start := math.Atan2(d.X, -d.Y) // the left side, looking from a to b
	for i := 0; i <= 16; i++ {
		s, c := math.Sincos(start + math.Pi*float64(i)/16)
		l = append(l, a.add(point{c * ra, s * ra}))
	}
	for i := 0; i <= 16; i++ {
		s, c := math.Sincos(start + math.Pi + math.Pi*float64(i)/16)
		l = append(l, b.add(point{c * rb, s * rb}))
	}
	return outline{l}
}

// arm is the cream sleeve of the under-tunic.
func arm(w wardrobe, shoulder, elbow, wrist point) []part {
	side := 1.0
	if elbow.X < 0 {
		side = -1
	}
	at := func(u, v float64) point { return along(shoulder, elbow, u, v) }
	upper := part{name: "sleeve", stuff: w.knit(), shape: limb(shoulder, elbow, 50, 46), lift: 6,
		folds: []fold{
			{line: outline{through([]point{at(0.7, -44), at(0.8, 0), at(0.84, 40)})}, width: 9, height: -6},
			{line: outline{through([]point{at(0.86, -44), at(0.93, 0), at(0.95, 40)})}, width: 9, height: -6},
			{line: outline{through([]point{at(0.55, 40*side), at(0.72, 20*side), at(0.8, -20*side)})}, width: 8, height: 5},
		}}
	below := func(u, v float64) point { return along(elbow, wrist, u, v) }
	lower := part{name: "sleeve end", stuff: w.knit(), shape: limb(elbow, wrist, 48, 34), lift: 4,
		folds: []fold{
			{line: outline{through([]point{below(0.06, -40), below(0.14, 0), below(0.1, 42)})}, width: 9, height: -6},
			{line: outline{through([]point{below(0.24, -40), below(0.3, 0), below(0.26, 40)})}, width: 8, height: -5},
		}}
	return []part{upper, lower}
}

// sash runs from the left shoulder to a knot at the right hip, two tails.
func sash(w wardrobe) []part {
	m := w.fluorescent()
	across := ribbon(through([]point{{-136, 392}, {-66, 470}, {16, 556}, {92, 632}, {150, 688}}), func(t float64) float64 { return 92 - 24*t*t })
	back := part{name: "sash tail behind", area: "A5", stuff: m, lift: 7,
		shape: trace("M 150 676 R 196 760 226 850 240 948 L 266 908 L 300 930 R 276 826 232 740 184 668"),
		folds: []fold{{line: trace("M 172 690 R 226 800 262 920"), width: 9, height: -6}, {line: trace("M 180 690 R 240 800 284 915"), width: 7, height: 4}}}
	front := part{name: "sash tail", area: "A5", stuff: m, lift: 8,
		shape: trace("M 124 690 R 112 790 100 900 100 1008 L 146 974 L 192 1012 R 200 900 190 790 176 686"),
		folds: []fold{{line: trace("M 134 700 R 118 800 112 930 112 1000"), width: 7, height: 5}, {line: trace("M 174 700 R 186 800 186 900 182 995"), width: 8, height: -6}}}
	over := part{name: "sash", area: "A5", stuff: m, shape: across, lift: 8,
		folds: []fold{
			{line: trace("M -120 424 R -60 506 20 588 120 684"), width: 6, height: 4}, {line: trace("M -30 478 R 40 546 90 594 150 660"), width: 6, height: -4},
			{line: trace("M 60 560 R 100 600 130 640 150 680"), width: 6, height: 4},
		}}
	knot := part{name: "knot", area: "A5", stuff: m, lift: 6, shape: trace("O 118 672 142 652 174 660 186 690 168 718 132 716"),
		folds: []fold{{line: trace("M 128 668 R 150 690 160 712"), width: 6, height: -5}, {line: trace("M 166 664 R 158 690 140 708"), width: 6, height: -4}}}
	out := []part{back, front, over, knot}
	for _, c := range []point{{112, 1006}, {146, 985}, {181, 1008}, {244, 936}, {290, 930}} {
		out = append(out, littleBell(c, 1)...)
	}
	return out
}

// littleBell is a small round bell hung by its loop.
func littleBell(c point, k float64) []part {
	brass := plain(bellBrass, 1, 9*k, 0.9, 18)
	return []part{
		{name: "little bell", shape: ellipse(c.add(point{0, 12 * k}), 10*k, 11*k, 0), stuff: brass, lift: 3},
		{name: "slot", shape: ribbon([]point{c.add(point{-5 * k, 17 * k}), c.add(point{0, 18.5 * k}), c.add(point{5 * k, 17 * k})}, wide(2.4*k)), stuff: plain("#2A2214", 0, 0, 0, 0), free: true},
	}
}

// capeFronts are the cape over the shoulders.
func capeFronts(w wardrobe) []part {
	m := w.velveteen()
	left := part{name: "cape left", area: "A3", stuff: m, lift: 12,
		shape: trace("M -64 286 R -138 296 -208 326 -246 392 -276 480 -292 572 R -246 604 -196 584 -146 590 -122 566 R -118 500 -112 440 -120 384 R -104 330 -64 286"),
		folds: []fold{
			{line: trace("M -150 350 R -186 440 -200 520 -206 592"), width: 15, height: 11}, {line: trace("M -222 380 R -250 460 -262 530 -268 592"), width: 12, height: 9},
			{line: trace("M -200 370 R -226 460 -236 530 -240 592"), width: 11, height: -10}, {line: trace("M -128 420 R -150 500 -162 560 -164 590"), width: 11, height: -9},
		}}
	right := part{name: "cape right", area: "A3", stuff: m, lift: 12,
		shape: trace("M 64 286 R 138 296 208 324 252 384 288 468 306 552 R 256 592 200 580 150 592 122 566 R 118 500 112 440 120 384 R 104 330 64 286"),
		folds: []fold{
			{line: trace("M 150 350 R 190 440 208 520 214 586"), width: 15, height: 11}, {line: trace("M 226 376 R 258 452 274 520 280 572"), width: 12, height: 9},
			{line: trace("M 204 366 R 232 456 244 530 248 588"), width: 11, height: -10}, {line: trace("M 128 420 R 150 500 160 560 162 590"), width: 11, height: -9},
		}}
	return []part{left, right}
}

// yoke is the bell yoke: bronze gone green, hinged twice, with studs.
func yoke(w wardrobe) []part {
	m := w.bronze()
	plate := part{name: "yoke", area: "A7", stuff: m, lift: 12,
		shape: trace("M -214 330 R -168 300 -112 296 -74 312 -40 340 0 350 40 340 74 312 112 296 168 300 214 330 R 226 356 216 382 R 168 420 96 446 0 456 -96 446 -168 420 -216 382 R -226 356 -214 330"),
		folds: []fold{
			{line: trace("M -108 300 L -112 440"), width: 4, height: -5}, {line: trace("M 108 300 L 112 440"), width: 4, height: -5},
			{line: trace("M -196 346 R -150 322 -104 320 -66 338 -30 364 0 370 30 364 66 338 104 320 150 322 196 346"), width: 4, height: 2.4},
			{line: trace("M -200 378 R -150 406 -90 428 0 436 90 428 150 406 200 378"), width: 4, height: -2},
		}}
	out := []part{plate}
	for _, x := range []float64{-110, 110} {
		for _, y := range []float64{328, 372, 416} {
			out = append(out, part{name: "hinge", shape: ribbon([]point{{x - 1, y - 13}, {x, y}, {x + 1, y + 13}}, wide(13)), stuff: plain("#5A4630", 1, 6, 0.5, 16), lift: 3})
		}
	}
	for i := 0; i < 18; i++ {
		t := float64(i)/17*2 - 1
		x := 196 * t
		y := 446 - 62*math.Pow(math.Abs(t), 2.1) - 4
		if math.Abs(math.Abs(x)-110) < 12 {
			continue
		}
		out = append(out, stud(point{x, y}))
	}
	for _, x := range []float64{-62, 0, 62} {
		out = append(out, littleBell(point{x, 452 - 14*math.Abs(x)/62}, 1.25)...)
	}
	return out
}

func stud(c point) part {
	return part{name: "stud", shape: ellipse(c, 6.4, 6.4, 0), stuff: plain(studBrass, 1, 5.5, 0.9, 16), lift: 2.2}
}
