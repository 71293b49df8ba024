package keeper

import (
	"image"
	"math"
	"slices"
)

const (
	inkColour = "#1B1C22"
	// PaperHex is the blank paper of the drawing.
	PaperHex = "#FDFDFB"
)

// Drawing draws R3: the costume as a flat drawing in ink and even washes, in
// a wide colour space named by an embedded profile.
func Drawing() Picture {
	const w, h = 1360, 1860
	shown := readings["R3"]
	p := pose{leftElbow: point{-286, 588}, leftWrist: point{-318, 770}, leftHand: point{-322, 820},
		rightElbow: point{328, 566}, rightWrist: point{380, 386}, rightHand: point{388, 336},
		left: nothing, right: handBell, bellTurn: 0.34}
	m := place(0.985, 470, 290)
	s := newSheet(w, h)
	for i := range s.pix {
		s.pix[i] = hex(PaperHex)
	}
	ground(s, m)
	skin := newSurface(s.bounds())
	for _, q := range keeperFigure(shown, p) {
		skin.drawn(q, m, 3.4)
	}
	for _, d := range details(shown) {
		skin.drawn(d.part, d.m, 3.0)
	}
	marks := patches("R3", spots(p), m)
	evens := make([]field, len(marks))
	for i, mark := range marks {
		evens[i] = even(mark.Rect.Inset(-20).Intersect(s.bounds()), mark, skin.area, w, 14)
	}
	skin.wash(s, actor{skin: skin, evens: evens}.kept())
	lines(s, m)
	title(s)
	file := calibrated(s, marks, evens, packed{marks})
	return Picture{Name: "R3", File: "R3.png", Bytes: file, W: w, H: h, Patches: marks, Paper: image.Rect(60, 520, 120, 640)}
}

// drawn lays a part as a flat shape with an ink line around it and along its
// folds.
func (s *surface) drawn(p part, m affine, line float64) {
	o := p.shape.placed(m)
	mask := fill(o, 2)
	p.stuff.weave = nil
	s.take(p, mask, relief(p, mask, m), m)
	if p.free {
		return
	}
	ink := part{stuff: material{colour: hex(inkColour), glow: 1}}
	for _, f := range p.folds {
		if f.quiet {
			continue
		}
		l := pen(f.line.placed(m), tapered(line*0.42), mask.r)
		eachPixel(l.r, func(x, y, i int) { l.v[i] *= mask.at(x, y) * 0.8 })
		s.take(ink, l, field{}, m)
	}
	if d := bounds(o, 0); max(d.Dx(), d.Dy()) < 26 {
		line *= 0.55
	}
	s.take(ink, pen(closed(o), wide(line/2), s.r), field{}, m)
}

func closed(o outline) outline {
	out := make(outline, len(o))
	for i, l := range o {
		out[i] = append(append([]point{}, l...), l[0])
	}
	return out
}

// wash colours the drawing: each part even, one step darker where it turns
// away from the upper left.
func (s *surface) wash(on *sheet, keep field) {
	key := unit3([3]float64{-0.55, -0.5, 0.7})
	on.each(func(x, y int, c rgb) rgb {
		i := s.index(x, y)
		a := float64(s.cover[i])
		if a <= 0 {
			return c
		}
		turned := smooth(0.70, 0.60, dot(s.normal(i), key)/key[2])
		turned *= (1 - float64(keep.at(x, y))) * (1 - float64(s.glow[i]))
		return blend(c, s.colour[i].scale(1-0.26*turned), a)
	})
}

// ground is a few strokes of wash under the feet.
func ground(s *sheet, m affine) {
	f := fill(ellipse(m.at(point{10, 1498}), 330, 26, -0.01), 2).grownBlur(1)
	s.lay(f, 1, func(x, y int) rgb {
		return hex("#D9DDE0").scale(1 + 0.02*noise(float64(x)/60, float64(y)/4, 501))
	})
	for i := range 7 {
		y := 1506 + 9*float64(i)
		from, to := m.at(point{-330 + 46*float64(i), y}), m.at(point{300 - 38*float64(i), y + 3})
		s.lay(pen(outline{{from, mix(from, to, 0.5).add(point{0, -2}), to}}, tapered(1.1), s.bounds()), 0.55, flatInk(hex(inkColour)))
	}
}

type detail struct {
	part part
	m    affine
}

// details are enlarged pieces beside the figure: the cuff, a length of the
// wave band, the yoke's hinge side and a bell.
func details(w wardrobe) []detail {
	var out []detail
	put := func(m affine, parts ...part) {
		for _, p := range parts {
			out = append(out, detail{p, m})
		}
	}
	put(place(0.86, 1128, 250), bell(point{0, 0}, math.Pi)...)
	put(place(1.25, 1128, 790), gauntlet(w, point{0, -190}, point{0, 30})...)
	put(place(0.92, 1128, 346), strip(w)...)
	put(place(0.40, 1128, 1224), fromBehind(w)...)
	return out
}

// strip is a length of knit with the wave band, laid flat.
func strip(w wardrobe) []part {
	ground := part{name: "strip", stuff: w.knit(), shape: trace("M -150 600 L 150 600 L 150 872 R 90 866 20 876 -50 868 -150 874 L -150 600")}
	ground.stuff.bulge = 0
	crest := func(y, step float64) []point {
		var l []point
		for x := -150.0; x <= 150; x += 37.5 {
			step = -step
			l = append(l, point{x, y + step})
		}
		return append([]point{l[0]}, through(l)...)
	}
	low := crest(824, 12)
	slices.Reverse(low)
	band := part{name: "wave band", area: "A4", stuff: w.band(), free: true, shape: outline{append(crest(653, 12), low...)}}
	line := func(y float64) part {
		m := w.knit()
		m.bulge = 0
		return part{name: "crest", stuff: m, shape: ribbon(crest(y, 10), wide(7)), free: true}
	}
	edge := ground
	edge.shape = outline{closed(ground.shape)[0]}
	return []part{ground, band, line(688), line(786), rim(edge)}
}

// rim is a part's ink line alone, laid over what covers its sides.
func rim(p part) part {
	l := p.shape[0]
	return part{name: "rim", free: true, stuff: material{colour: hex(inkColour), glow: 1}, shape: ribbon(l, wide(2.6))}
}

// fromBehind is the look from the back: cape and hood down to the elbows,
// coat with its vent.
func fromBehind(w wardrobe) []part {
	var out []part
	out = append(out, legs(w)...)
	p := pose{leftElbow: point{-286, 588}, leftWrist: point{-318, 770}, leftHand: point{-322, 820}, rightElbow: point{286, 588}, rightWrist: point{318, 770}, rightHand: point{322, 820}}
	coat := part{name: "coat from behind", area: "A1", stuff: w.suiting(),
		shape: trace("M -150 330 R -186 372 -180 440 -156 530 -146 600 R -168 710 -210 880 -268 1096 -292 1192 R -150 1222 0 1210 150 1222 292 1192 R 268 1096 210 880 168 710 146 600 R 156 530 180 440 186 372 150 330 L -150 330"),
		folds: []fold{{line: trace("M 0 760 L 0 1210"), width: 9, height: -9}, {line: trace("M -60 700 R -110 900 -150 1205"), width: 14, height: 9}, {line: trace("M 60 700 R 110 900 150 1205"), width: 14, height: 9},
			{line: trace("M -120 720 R -190 950 -230 1200"), width: 14, height: -9}, {line: trace("M 120 720 R 190 950 230 1200"), width: 14, height: -9}}}
	out = append(out, coat)
	out = append(out, arm(w, point{-190, 392}, p.leftElbow, p.leftWrist)...)
	out = append(out, arm(w, point{190, 392}, p.rightElbow, p.rightWrist)...)
	belt := part{name: "sash from behind", area: "A5", stuff: w.fluorescent(), shape: ribbon(through([]point{{-158, 690}, {-60, 740}, {30, 752}, {150, 700}}), func(t float64) float64 { return 62 })}
	out = append(out, belt)
	cape := behind(w)[0]
	cape.folds = []fold{
		{line: trace("M -120 330 R -170 480 -190 730"), width: 16, height: 9}, {line: trace("M 120 330 R 170 480 190 730"), width: 16, height: 9}, {line: trace("M -40 360 R -50 520 -54 728"), width: 16, height: 9},
		{line: trace("M 40 360 R 50 520 54 728"), width: 16, height: 9}, {line: trace("M -84 340 R -110 520 -124 725"), width: 12, height: -8}, {line: trace("M 84 340 R 110 520 124 725"), width: 12, height: -8},
	}
	hood := part{name: "hood from behind", area: "A3", stuff: w.velveteen(), lift: 8, shape: trace("O 0 -6 58 8 106 66 126 160 118 256 78 330 0 344 -78 330 -118 256 -126 160 -106 66 -58 8"),
		folds: []fold{{line: trace("M 0 0 R 8 120 2 330"), width: 7, height: -5}, {line: trace("M -60 30 R -96 140 -80 310"), width: 9, height: 6}, {line: trace("M 60 30 R 96 140 80 310"), width: 9, height: 6}}}
	out = append(out, cape, hood)
	for _, side := range []float64{-1, 1} {
		out = append(out, fist(point{318 * side, 770}, point{322 * side, 820})...)
		out = append(out, gauntlet(w, point{286 * side, 588}, point{318 * side, 770})...)
	}
	return out
}

// lines lead from the details to where they belong.
func lines(s *sheet, m affine) {
	dots := func(from, to point) {
		n := int(to.sub(from).length() / 11)
		for i := 0; i <= n; i++ {
			c := mix(from, to, float64(i)/float64(n))
			s.lay(fill(ellipse(c, 1.9, 1.9, 0), 1), 0.8, flatInk(hex(inkColour)))
		}
	}
	dots(m.at(point{492, 218}), point{1040, 340})
	dots(m.at(point{424, 470}), point{1030, 700})
}

func title(s *sheet) {
	ink := flatInk(hex(inkColour))
	s.lay(pen(centred("FOG-BELL KEEPER", point{500, 82}, 58), wide(4.2), s.bounds()), 1, ink)
	s.lay(pen(centred("LOW WATER NIGHT", point{500, 168}, 26), wide(2.1), s.bounds()), 1, ink)
	s.lay(pen(outline{{{250, 220}, {430, 217}, {620, 219}, {752, 217}}}, tapered(1.8), s.bounds()), 1, ink)
}

// packed is a printer of PNG files in the wide space. Only the patches are
// dithered: their means may lie between two steps, while flat paper packs well.
type packed struct{ marks []Patch }

func (p packed) image(s *sheet, r image.Rectangle) *image.RGBA {
	dither := mottled(0, 1)
	return s.quantised(r, wideEncoder(), func(x, y, channel int) float64 {
		for _, m := range p.marks {
			if (image.Point{X: x, Y: y}).In(m.Rect.Inset(-3)) {
				return dither(x, y, channel)
			}
		}
		return 0
	})
}

func (p packed) whole(s *sheet) []byte {
	return asPNG(p.image(s, s.bounds()), "wide screen RGB", wideProfile())
}

func (p packed) piece(s *sheet, r image.Rectangle) func(x, y int) rgb {
	stored, back := look(p.image(s, r)), wideDecoder()
	return func(x, y int) rgb { return back(stored(x, y)) }
}
