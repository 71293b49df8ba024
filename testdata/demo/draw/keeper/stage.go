package keeper

import "image"

// actor is a figure placed in a scene, ready to be lit.
type actor struct {
	m     affine
	skin  *surface
	marks []Patch
	evens []field
}

// enter builds the figure's surface on a canvas and finds its patches.
func enter(picture string, w wardrobe, p pose, m affine, r image.Rectangle, lampX, lampY float64) actor {
	s := newSurface(r)
	for _, q := range keeperFigure(w, p) {
		s.add(q, m, lampX, lampY)
	}
	s.rounded(105*m.size(), 0.62)
	a := actor{m: m, skin: s, marks: patches(picture, spots(p), m)}
	for _, mark := range a.marks {
		a.evens = append(a.evens, even(mark.Rect.Inset(-32).Intersect(r), mark, s.area, r.Dx(), 28))
	}
	return a
}

// kept joins the evens of all patches.
func (a actor) kept() field {
	all := newField(a.skin.r)
	for _, e := range a.evens {
		eachPixel(e.r, func(x, y, i int) {
			row := all.row(y)
			row[x-all.r.Min.X] = max(row[x-all.r.Min.X], e.v[i])
		})
	}
	return all
}

// tint casts the figure: it is lit in its own colours, then all of it goes one
// way in linear light, as under a coloured lamp.
func (a actor) tint(s *sheet, cast rgb) {
	for i := range s.pix {
		if c := float64(a.skin.cover[i]); c > 0 {
			s.pix[i] = blend(s.pix[i], s.pix[i].times(cast), c)
		}
	}
}

// rounded swells the whole figure, so that its far side turns from the lamp.
func (s *surface) rounded(round, bulge float64) {
	cover := field{s.r, s.cover}
	h := newField(s.r)
	for i, d := range depth(cover).v {
		t := 1 - min(float64(d)/round, 1)
		h.v[i] = float32(round * bulge * (1 - t*t))
	}
	h = h.blurred(round*0.22, false)
	eachPixel(s.r.Inset(1), func(x, y, _ int) {
		i := s.index(x, y)
		s.nx[i] -= (h.at(x+1, y) - h.at(x-1, y)) / 2
		s.ny[i] -= (h.at(x, y+1) - h.at(x, y-1)) / 2
		if n := s.nx[i]*s.nx[i] + s.ny[i]*s.ny[i]; n > 0.96 {
			k := float32(0.98) / sqrt32(n)
			s.nx[i] *= k
			s.ny[i] *= k
		}
	})
}
