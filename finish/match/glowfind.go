package match

import (
	"fmt"
	"strings"

	"undercoat/finish/film"
	"undercoat/palette/colour"
)

// glowLeast is the share of its luminance over white a fluorescent has to keep
// on its base. Judgement: below it the loss is plain to see side by side.
const glowLeast = 0.85

// glowShare returns the luminance of coats of a fluorescent on what lies below
// over that on a white base.
func glowShare(p pot, at look, coats float64) float64 {
	d65 := colour.D65()
	pane := p.glow.Coats(coats)
	best := pane.Over(film.FluorescentWhite()).Under(d65).Y
	return pane.Over(film.Ultraviolet(at.base())).Under(d65).Y / best
}

// whiteLeast is the lightness of a paint that can serve as a white base.
const whiteLeast = 85.0

// glows adds, for every fluorescent, the ways over a base that lets it glow: a
// white in as many coats as the house rule says, on the prepared ground. They
// are looked for where layers are wanted or where the target glows.
func (f *finder) glows() {
	if !f.ground.there || !f.q.wants(Layers) && !f.q.Target.Fluorescent {
		return
	}
	for _, p := range f.pots {
		if p.role != Glow || !p.known {
			continue
		}
		for _, w := range f.pots {
			if w.role == Cover && w.known && w.paint.Colour.Or(colour.Colour{}).Lab().L >= whiteLeast {
				f.add(f.glowOver(p, w))
			}
		}
	}
	f.pointToBases()
}

func (f *finder) glowOver(p, white pot) candidate {
	layers, at := f.prepared[:len(f.prepared):len(f.prepared)], f.base
	n := houseNumber(white, at, f.q.Tolerance, &p)
	layers = append(layers, Layer{white.paint.Code, n})
	at = at.coated(white, float64(n))
	m := houseNumber(p, at, f.q.Tolerance, nil)
	layers = append(layers, Layer{p.paint.Code, m})
	c := f.coated(Layers, recipe(layers), layers)
	f.needsBase(&c, p, at, float64(m))
	return c
}

// recipe spells layers as the tables do: "W3:1 W1:4 F1:3".
func recipe(layers []Layer) string {
	var out []string
	for _, l := range layers {
		out = append(out, fmt.Sprintf("%s:%d", l.Code, l.Coats))
	}
	return strings.Join(out, " ")
}

// pointToBases tells a refused fluorescent its nearest allowed way.
func (f *finder) pointToBases() {
	for i := range f.found {
		c := &f.found[i]
		for j, r := range c.Against {
			if r.Rule != RuleBase || c.Kind != Item {
				continue
			}
			if way := f.nearestWay(c.Code); way != "" {
				c.Against[j].Text += "; instead: " + way
			}
		}
	}
}

func (f *finder) nearestWay(code string) string {
	var best *candidate
	for i := range f.found {
		c := &f.found[i]
		if c.Kind != Layers || !c.Allowed() || len(c.Coats) == 0 || c.Coats[len(c.Coats)-1].Code != code {
			continue
		}
		if best == nil || better(*c, *best) < 0 {
			best = c
		}
	}
	if best == nil {
		return ""
	}
	return best.Code
}
