package match

import (
	"fmt"
	"math/rand/v2"
	"slices"

	"undercoat/finish/film"
	"undercoat/inventory/unit"
	"undercoat/palette/colour"
)

// cover returns the share, 0…1, of a ground stretched by stretch (0.40 = 40 %)
// that a film laid on it at rest still covers: it gives as far as it stretches and then opens, so that what was one wide is
// 1 + stretch, of which paint 1 + its elongation. How far a film stretches
// that is not stated counts as not at all.
//
// A judgement (an area, no source).
func (p pot) cover(stretch float64) float64 {
	if stretch <= 0 || p.role == Clear && !p.known {
		return 1
	}
	return min(1, (1+max(p.paint.Elongation.Or(0), 0))/(1+stretch))
}

// stretched returns the looks of a walk as they are while the ground is
// stretched: from the lowest film that opens on, what lay under it shows in
// the gaps, as much as the film that gives least leaves open. Films over one
// that opens tear with it.
func stretched(walked []look, pots []pot, layers []Layer, stretch float64) []look {
	out := slices.Clone(walked)
	cover, at := 1.0, 0
	var bare look
	for i, p := range pots {
		if c := p.cover(stretch); c < cover {
			if cover == 1 {
				bare = walked[at]
			}
			cover = c
		}
		for range layers[i].Coats {
			at++
			out[at] = walked[at].opened(bare, cover)
		}
	}
	return out
}

// wearing draws how far a ground is stretched, as a share of the most: any is as
// likely. It is drawn by itself, so that films that hold are predicted as on a
// ground that does not stretch.
func wearing(seed uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, 0x73747265746368)) }

// opened returns the look of a film of which cover (0…1) is left closed, over
// what shows in its gaps.
func (l look) opened(bare look, cover float64) look {
	switch {
	case cover >= 1:
		return l
	case l.glows:
		return glowing(l.glow.Stretched(film.Ultraviolet(bare.seen()), cover))
	default:
		return plain(film.Stretched(l.r, bare.seen(), cover))
	}
}

// seen returns the reflectance of the look as it lies there, dry; of something
// that glows the nearest to it.
func (l look) seen() colour.Reflectance {
	l.dry = false
	return l.base()
}

// worn says what stretch does to a candidate that is shown where one of its
// films gives less than the area: beside the reason that refuses it for that,
// else as a note.
func (f *finder) worn(c *candidate) {
	if f.q.Stretch <= 0 || len(c.Coats) == 0 {
		return
	}
	cover, code := 1.0, ""
	for _, p := range c.pots {
		if x := p.cover(f.q.Stretch); x < cover {
			cover, code = x, p.paint.Code
		}
	}
	if cover == 1 {
		return
	}
	walked := walk(c.start, c.pots, c.Coats)
	at := stretched(walked, c.pots, c.Coats, f.q.Stretch)
	away := colour.Difference(c.Predicted.Lab, at[len(at)-1].lab())
	text := fmt.Sprintf("at %s it opens over about %s of the area and lies ΔE00 %.1f from its colour at rest (rough)", percent(f.q.Stretch), percent(1-cover), hundredths(away))
	for i, r := range c.Against {
		if r.Rule == RuleStretch {
			c.Against[i].Text += "; " + text
			return
		}
	}
	if code == "" {
		code = "the mixture"
	}
	c.Notes = append(c.Notes, Reason{RuleStretch, fmt.Sprintf("how far the film of %s stretches is not stated: %s", code, text)})
}

// leastElongation is what a film stirred of several stretches: no more than the
// stiffest, not stated where one is not. A judgement.
func leastElongation(pots []pot) (least unit.Stated[float64]) {
	for i, p := range pots {
		e, known := p.paint.Elongation.Get()
		if !known {
			return unit.Stated[float64]{}
		}
		if i == 0 || e < least.Or(0) {
			least = unit.State(e)
		}
	}
	return least
}
