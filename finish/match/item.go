package match

import (
	"fmt"
	"math"
	"strings"

	"undercoat/finish/film"
	"undercoat/inventory"
	"undercoat/inventory/unit"
	"undercoat/palette/colour"
)

// items adds every single article that could be meant: paints over the ground
// by the house rule, or where they hide all when there is none; cloths, dyes
// and trims as they are.
func (f *finder) items() {
	if !f.q.wants(Item) {
		return
	}
	for i, p := range f.pots {
		if !p.known || p.role == Seal || p.role == Clear || p.role == Block && f.ground.there {
			continue
		}
		switch {
		case f.ground.there:
			f.add(f.alone(p))
		case p.role == Glow:
			f.add(f.atItsBest(p, f.verdicts[i]))
		default:
			f.add(f.asItIs(p.paint.Article, f.verdicts[i]))
		}
	}
	f.cloths()
	f.dyes()
	f.trims()
}

func (f *finder) add(c candidate) { f.found = append(f.found, c) }

// alone returns one paint over the prepared ground, in as many coats as the
// house rule says. A fluorescent is shown straight on the ground: whether it
// may lie there is the question.
func (f *finder) alone(p pot) candidate {
	layers, at := f.prepared, f.base
	if p.role == Glow {
		layers, at = f.sealedOnly()
	}
	n := houseNumber(p, at, f.q.Tolerance, nil)
	c := f.coated(Item, p.paint.Code, append(layers[:len(layers):len(layers)], Layer{p.paint.Code, n}))
	if p.role == Glow {
		f.needsBase(&c, p, at, float64(n))
	}
	return c
}

// sealedOnly returns the preparation without a block base.
func (f *finder) sealedOnly() ([]Layer, look) {
	at := f.ground.look
	var out []Layer
	for _, l := range f.prepared {
		if p := f.pot(l.Code); p.role == Seal {
			out = append(out, l)
			at = at.coated(p, float64(l.Coats))
		}
	}
	return out, at
}

// asItIs returns an article in its own colour.
func (f *finder) asItIs(a inventory.Article, v verdict) candidate {
	col, _ := a.Colour.Get()
	c := candidate{Match: Match{Kind: Item, Code: a.Code}}
	c.sample = side{look: plain(col.Reflectance()), readings: readingsOf(a), basis: col.Basis()}
	c.Basis = col.Basis().String() + " colour"
	if len(c.sample.readings) > 0 {
		c.Basis = "measured colour"
	}
	f.score(&c, v)
	return c
}

// atItsBest returns a fluorescent in its full colour over a white base: its
// swatch shows no more than a hue.
func (f *finder) atItsBest(p pot, v verdict) candidate {
	c := candidate{Match: Match{Kind: Item, Code: p.paint.Code}}
	look := p.glow.Coats(p.glow.Full).Over(film.FluorescentWhite())
	c.sample = side{look: glowing(look)}
	c.Basis = stackBasis([]pot{p}) + ", over white"
	f.score(&c, v)
	return c
}

// meant says whether an area's method asks for articles of a kind.
func (f *finder) meant(m Method) bool { return f.q.Method == AnyMethod || f.q.Method == m }

func (f *finder) cloths() {
	if !f.meant(ByCloth) || f.ground.there && f.q.Method == AnyMethod {
		return
	}
	for _, a := range f.stock.Cloths() {
		if !a.Colour.Known() {
			continue
		}
		v := f.article(a.Article)
		f.ultraviolet(a.Article, &v)
		c := f.asItIs(a.Article, v)
		f.clothCost(&c, a)
		f.add(c)
	}
}

// clothCost fills in the price of the cloth for the extent, without waste.
func (f *finder) clothCost(c *candidate, a inventory.Cloth) {
	if each, ok := perUnit(a.Article, "m2"); ok {
		c.Cost = unit.State(unit.Money(math.Round(each * f.q.extent())))
		return
	}
	width, ok := a.Width.Get()
	each, priced := perUnit(a.Article, "m")
	if ok && priced && width > 0 {
		c.Cost = unit.State(unit.Money(math.Round(each * f.q.extent() / float64(width))))
	}
}

// ultraviolet notes what answers ultraviolet light among the job's lights.
func (f *finder) ultraviolet(a inventory.Article, v *verdict) {
	for _, c := range a.Contains {
		if strings.Contains(strings.ToLower(c), "brightener") {
			for _, l := range f.q.Lights {
				if l.UV && l.Light != colour.D65() {
					v.note(RuleUV, "%s holds optical brightener and glows blue-white under %s", a.Code, l.Name)
					return
				}
			}
			v.note(RuleUV, "%s holds optical brightener and glows blue-white under ultraviolet", a.Code)
			return
		}
	}
}

func (f *finder) dyes() {
	if !f.meant(ByDye) {
		return
	}
	for _, a := range f.stock.Dyes() {
		col, ok := a.Colour.Get()
		if !ok {
			continue
		}
		v := f.article(a.Article)
		if f.ground.there {
			v.join(f.dyeOn(a, col.Lab()))
		}
		f.add(f.asItIs(a.Article, v))
	}
}

// dyeOn judges a dye for the fibre it would enter.
func (f *finder) dyeOn(a inventory.Dye, lab colour.Lab) (v verdict) {
	if !fitsAny(a.Suits, f.ground.materials) && len(f.ground.materials) > 0 {
		if len(a.Suits) > 0 {
			v.refuse(RuleMaterial, "%s is for %s, not for %s", a.Code, strings.Join(a.Suits, ", "), f.ground.made())
		} else {
			v.note(RuleMaterial, "the label of %s names no fibre: dye a scrap of %s first", a.Code, f.ground)
		}
	}
	if under := f.ground.look.lab(); lab.L > under.L+1 {
		v.refuse(RuleDarkens, "dye only darkens: %s is lighter (L* %.0f) than %s (L* %.0f)", a.Code, lab.L, f.ground, under.L)
	}
	if hot, ok := a.HeatC.Get(); ok {
		if most, ok := f.ground.iron.Get(); ok && hot > most {
			v.refuse(RuleHeat, "%s is set at %s and %s %s", a.Code, celsius(hot), f.ground, stands(most))
		}
	}
	return v
}

func fitsAny(suits, materials []string) bool {
	for _, s := range suits {
		if has(materials, strings.ToLower(s)) {
			return true
		}
	}
	return false
}

func (f *finder) trims() {
	if f.q.Method != ByTrim {
		return
	}
	for _, a := range f.stock.Trims() {
		if a.Colour.Known() {
			f.add(f.asItIs(a.Article, f.article(a.Article)))
		}
	}
}

// needsBase holds a ground too dark for a fluorescent against it.
func (f *finder) needsBase(c *candidate, p pot, at look, coats float64) {
	if share := glowShare(p, at, coats); share < glowLeast {
		c.Against = append(c.Against, Reason{RuleBase, fmt.Sprintf(
			"over %s %s gives %.0f %% of the light it gives over white: it needs a white base", f.ground, p.paint.Code, 100*share)})
	}
}
