package keeper

import (
	"image"
	"math"
)

// Poster draws R4: a phone photograph of a printed poster on a boarded wall,
// askew, soft, strongly compressed, stored on its side with an orientation
// tag.
func Poster() Picture {
	const w, h = 1264, 1680 // whole JPEG blocks either way up
	art, a := posterArt()
	lens := askew([4]point{{0, 0}, {float64(art.W), 0}, {float64(art.W), float64(art.H)}, {0, float64(art.H)}},
		[4]point{{150, 118}, {1096, 76}, {1140, 1592}, {118, 1566}})
	s := newSheet(w, h)
	boards(s)
	pinned(s, art, lens)
	s = s.softened(1.5)
	room(s)
	marks := photographed(a.marks, lens)
	evens := make([]field, len(marks))
	for i, mark := range marks {
		evens[i] = even(mark.Rect.Inset(-34).Intersect(s.bounds()), mark, nil, w, 30)
	}
	s.grain(0.10, 74)
	file := calibrated(s, marks, evens, sideways{still{26, 4, 21}})
	return Picture{Name: "R4", File: "R4.jpg", Bytes: file, W: w, H: h, Patches: marks}
}

// sideways is a printer of JPEG files whose rows run up the picture: a reader
// must turn them a quarter clockwise (orientation 6).
type sideways struct{ still }

func (p sideways) whole(s *sheet) []byte {
	return withOrientation(asJPEG(turned(p.image(s, s.bounds())), p.quality), 6)
}

func (p sideways) piece(s *sheet, r image.Rectangle) func(x, y int) rgb {
	stored := look(fromJPEG(asJPEG(turned(p.image(s, r)), p.quality)))
	return func(x, y int) rgb { return stored(y-r.Min.Y, r.Max.X-1-x) }
}

// turned lays a picture a quarter counter-clockwise.
func turned(up *image.RGBA) *image.RGBA {
	b := up.Bounds()
	out := image.NewRGBA(image.Rect(0, 0, b.Dy(), b.Dx()))
	sideBySide(out.Bounds(), func(x, y int) { out.SetRGBA(x, y, up.RGBAAt(b.Max.X-1-y, b.Min.Y+x)) })
	return out
}

// posterArt is the printed sheet, flat on: the keeper to the hips before the
// rings of a bell's sound.
func posterArt() (*sheet, actor) {
	const w, h = 1000, 1560
	shown := wardrobe{}
	for code, c := range target {
		shown[code] = c
	}
	for code, c := range readings["R4"] {
		shown[code] = c
	}
	p := pose{leftElbow: point{-292, 612}, leftWrist: point{-330, 800}, leftHand: point{-336, 850},
		rightElbow: point{292, 612}, rightWrist: point{330, 800}, rightHand: point{336, 850}}
	m := place(1.56, w/2, 176)
	panel := image.Rect(44, 44, w-44, 1166)
	a := enter("R4", shown, p, m, panel, -0.6, -0.6)
	s := newSheet(w, h)
	for i := range s.pix {
		s.pix[i] = hex("#B9A57C")
	}
	rings(s, panel, m.at(point{0, 150}))
	a.skin.render(s, lighting{key: [3]float64{-0.55, -0.5, 0.74}, ambient: 0.24, lift: 0.2,
		shadow: rgb{0.8, 0.9, 1.1}, sheen: rgb{0.8, 0.78, 0.7}}, a.kept())
	posterTitle(s, w)
	return s, a
}

// rings are the bell's sound over the flats, as a print of few inks.
func rings(s *sheet, panel image.Rectangle, c point) {
	inks := []rgb{hex("#C08A3E"), hex("#A8622F"), hex("#5B4A45"), hex("#2C4350"), hex("#1C2F3E"), hex("#16242F")}
	shore := float64(panel.Max.Y) - 250
	s.within(panel, func(x, y int, _ rgb) rgb {
		px, py := float64(x)+0.5, float64(y)+0.5
		d := math.Hypot(px-c.X, py-c.Y) + 3*noise(px/30, py/30, 601)
		k := (d - 210) / 118
		i := int(math.Min(math.Max(math.Floor(k), -1), float64(len(inks)-2)))
		col := blend(inks[max(i, 0)], inks[i+1], smooth(0.985, 1, k-math.Floor(k)))
		if i < 0 {
			col = inks[0]
		}
		if line := math.Abs(k - math.Round(k)); line < 0.025 && k > 0.5 && k < 5.5 {
			col = blend(col, inks[0], 0.5*smooth(0.025, 0.012, line))
		}
		if py > shore+7*noise(px/90, 2, 603) {
			band := math.Sin(py/7.5+2.2*noise(px/120, py/40, 605)) * smooth(0, 60, py-shore)
			col = blend(hex("#22323C"), hex("#86683B"), 0.55*smooth(0.35, 0.95, band))
		}
		return col
	})
	for i, x := range []float64{0.07, 0.13, 0.90, 0.95, 0.845} {
		lx, ly := float64(panel.Min.X)+x*float64(panel.Dx()), shore-14-9*float64(i%3)
		s.lay(fill(ribbon([]point{{lx, ly}, {lx, ly + 46}}, wide(3)), 1), 1, flatInk(hex("#14202A")))
		s.lay(fill(ellipse(point{lx, ly}, 6.5, 8, 0), 1), 1, flatInk(hex("#E3B45A")))
	}
}

func posterTitle(s *sheet, w float64) {
	ink := flatInk(hex("#2A2F36"))
	red := flatInk(hex("#8E3A2C"))
	s.lay(pen(centred("LOW WATER", point{w / 2, 1206}, 96), wide(8.5), s.bounds()), 1, ink)
	s.lay(pen(centred("NIGHT", point{w / 2, 1336}, 96), wide(8.5), s.bounds()), 1, ink)
	s.lay(pen(centred("FOLLOW THE FOG BELLS", point{w / 2, 1478}, 34), wide(3.4), s.bounds()), 1, red)
	for _, x := range []float64{120, w - 120} {
		m := place(0.62, x, 1440)
		for _, p := range []string{"M -12 -40 R -34 -50 -42 -72 -46 -104 -56 -134 -74 -152 L 74 -152 R 56 -134 46 -104 42 -72 34 -50 12 -40", "O -12 -158 0 -178 12 -158 0 -148"} {
			m2 := m
			m2.YY, m2.DY = -m.YY, m.DY-90
			s.lay(fill(trace(p).placed(m2), 1), 1, ink)
		}
	}
}

// projective maps the flat poster to the photograph.
type projective matrix

// askew is the projective map that takes four corners to four others.
func askew(from, to [4]point) projective {
	return projective(matrix(squareTo(to)).product(matrix(squareTo(from)).inverse()))
}

// squareTo maps the unit square's corners, clockwise from the origin, to q.
//
// Source: Heckbert (1989), Fundamentals of Texture Mapping and Image Warping,
// section 2.2.3; from memory.
func squareTo(q [4]point) projective {
	sum := point{q[0].X - q[1].X + q[2].X - q[3].X, q[0].Y - q[1].Y + q[2].Y - q[3].Y}
	a, b := q[1].sub(q[2]), q[3].sub(q[2])
	det := a.X*b.Y - b.X*a.Y
	g := (sum.X*b.Y - b.X*sum.Y) / det
	h := (a.X*sum.Y - sum.X*a.Y) / det
	return projective{
		{q[1].X - q[0].X + g*q[1].X, q[3].X - q[0].X + h*q[3].X, q[0].X},
		{q[1].Y - q[0].Y + g*q[1].Y, q[3].Y - q[0].Y + h*q[3].Y, q[0].Y},
		{g, h, 1},
	}
}

func (t projective) at(p point) point {
	v := matrix(t).times([3]float64{p.X, p.Y, 1})
	return point{v[0] / v[2], v[1] / v[2]}
}

// photographed finds where patches of the flat poster lie in the photograph:
// the upright rectangle inside each.
func photographed(flat []Patch, lens projective) []Patch {
	out := make([]Patch, len(flat))
	for i, m := range flat {
		r := m.Rect
		lt, rt := lens.at(point{float64(r.Min.X), float64(r.Min.Y)}), lens.at(point{float64(r.Max.X), float64(r.Min.Y)})
		rb, lb := lens.at(point{float64(r.Max.X), float64(r.Max.Y)}), lens.at(point{float64(r.Min.X), float64(r.Max.Y)})
		out[i] = Patch{m.Area, image.Rect(
			int(math.Ceil(math.Max(lt.X, lb.X)))+1, int(math.Ceil(math.Max(lt.Y, rt.Y)))+1,
			int(math.Floor(math.Min(rt.X, rb.X)))-1, int(math.Floor(math.Min(lb.Y, rb.Y)))-1), m.Hex}
	}
	return out
}

// boards is the wall: tarred planks with their nails.
func boards(s *sheet) {
	s.each(func(x, y int, _ rgb) rgb {
		px, py := float64(x)+0.5, float64(y)+0.5
		n := math.Floor((px + 60) / 178)
		in := (px + 60) - n*178
		tone := 0.75 + 0.35*noise(n*7.7, 3, 621)
		grain := cloud(px/7+3*noise(px/60, py/300, 623), py/210+n*13, 3, 625)
		c := rgb{0.060, 0.042, 0.030}.scale(tone * (1 + 0.42*grain))
		groove := smooth(5, 1.5, math.Min(in, 178-in))
		c = c.scale(1 - 0.85*groove)
		for _, ny := range []float64{150, 900, 1560} {
			for _, nx := range []float64{26, 152} {
				d := math.Hypot(in-nx, py-ny-20*noise(n, ny, 627))
				c = c.scale(1 - 0.75*smooth(6, 4, d)).plus(rgb{0.05, 0.045, 0.04}.scale(smooth(3, 0, math.Hypot(in-nx+1.5, py-ny-20*noise(n, ny, 627)+1.5))))
			}
		}
		return c
	})
}

// pinned lays the poster on the wall with its shadow, four pins and a fold
// across the middle.
func pinned(s *sheet, art *sheet, lens projective) {
	w, h := float64(art.W), float64(art.H)
	corners := outline{{lens.at(point{0, 0}), lens.at(point{w, 0}), lens.at(point{w, h}), lens.at(point{0, h})}}
	s.lay(fill(corners.placed(place(1, 9, 12)), 1).grownBlur(9), 0.7, flatInk(rgb{0.012, 0.010, 0.008}))
	back := projective(matrix(lens).inverse())
	s.lay(fill(corners, 1), 1, func(x, y int) rgb {
		p := back.at(point{float64(x) + 0.5, float64(y) + 0.5})
		c := art.between(p.X-0.5, p.Y-0.5)
		crease := p.Y - 0.502*h - 3*noise(p.X/140, 1, 631)
		return c.scale(1 + 0.10*math.Exp(-crease*crease/5) - 0.09*math.Exp(-math.Pow(crease-5, 2)/30))
	})
	for _, p := range []point{{20, 20}, {w - 20, 20}, {w - 20, h - 20}, {20, h - 20}} {
		c := lens.at(p)
		s.lay(fill(ellipse(c.add(point{3, 5}), 10, 9, 0), 1).grownBlur(2.5), 0.6, flatInk(rgb{0.02, 0.015, 0.01}))
		s.lay(fill(ellipse(c, 9, 9, 0), 1), 1, func(x, y int) rgb {
			d := math.Hypot(float64(x)-c.X+3, float64(y)-c.Y+3)
			return rgb{0.30, 0.20, 0.07}.scale(0.6 + 1.2*math.Exp(-d*d/14))
		})
	}
}

// between reads a colour between pixels.
func (s *sheet) between(x, y float64) rgb {
	fx, fy := math.Floor(x), math.Floor(y)
	at := func(i, j float64) rgb {
		return *s.at(min(max(int(i), 0), s.W-1), min(max(int(j), 0), s.H-1))
	}
	top := blend(at(fx, fy), at(fx+1, fy), x-fx)
	low := blend(at(fx, fy+1), at(fx+1, fy+1), x-fx)
	return blend(top, low, y-fy)
}

// room is the light of the room on the wall: uneven, with a dim reflection.
func room(s *sheet) {
	s.each(func(x, y int, c rgb) rgb {
		px, py := float64(x)/float64(s.W), float64(y)/float64(s.H)
		light := 1.0 - 0.36*math.Pow(math.Hypot(px-0.46, (py-0.40)*1.1), 2)
		shine := 0.010 * math.Exp(-math.Pow((px+0.35*py-0.95)/0.16, 2))
		return c.scale(light).plus(rgb{shine, shine, 0.9 * shine})
	})
}
