package match

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"undercoat/finish/film"
	"undercoat/inventory"
	"undercoat/inventory/unit"
	"undercoat/palette/colour"
)

// usualDensity is the density of a water-borne paint in g/ml where none is
// stated. Judgement; thick whites weigh more, inks less.
const usualDensity = 1.2

// densityColumn is the name of the stock column a maker may state a density
// in.
const densityColumn = "density_g_ml"

// density returns a product's density in g/ml and whether the maker stated it.
func (p pot) density() (d float64, stated bool) { return densityOf(p.paint) }

// Density is what a paint's shelf entry states of its density, in g/ml of the
// wet product.
func Density(p inventory.Paint) unit.Stated[float64] {
	if d, stated := densityOf(p); stated {
		return unit.State(d)
	}
	return unit.Stated[float64]{}
}

func densityOf(p inventory.Paint) (d float64, stated bool) {
	if s, ok := p.Extra[densityColumn]; ok {
		if d, err := unit.ParseNumber(s); err == nil && d > 0 {
			return d, true
		}
	}
	return usualDensity, false
}

// shownMixtures is the number of mixtures, each of other paints, that are
// ranked with everything else.
const shownMixtures = 24

// exactTriples is the most paints whose three-part mixtures are all looked at;
// of more, the most promising pairs are extended.
const exactTriples = 60

// mixtures adds the nearest mixtures of the covering and glazing paints
// nothing speaks against, in two or three parts by mass: over the prepared
// ground in the number of coats that comes nearest, or where they hide all
// when there is no ground.
func (f *finder) mixtures() {
	if !f.q.wants(Mixture) || f.q.Target.Fluorescent || f.q.Parts < 2 {
		return
	}
	var pots []pot
	s := mixSearch{goals: []goal{newGoal(f.goal())}, keep: searchKeep, workers: workers()}
	under := middleSide
	if f.ground.there {
		under = film.SideOf(f.base.base())
		s.bed = &mixBed{ground: f.base.base(), least: brushLeast, most: max(brushLeast, f.q.MaxCoats)}
	}
	for i, p := range f.pots {
		if !p.known || len(f.verdicts[i].against) > 0 || p.role != Cover && p.role != Glaze {
			continue
		}
		d, _ := p.density()
		pots = append(pots, p)
		s.paints = append(s.paints, newColourant(p.film.On(under), p.wet, d))
		if s.bed != nil {
			s.bed.wet = append(s.bed.wet, p.wet)
			s.bed.volume = append(s.bed.volume, 1/d)
		}
	}
	if len(pots) < 2 {
		return
	}
	nearest := s.pairs()[0]
	f.searched += recipes(len(pots), 2)
	if f.q.Parts > 2 && len(pots) > 2 {
		if len(pots) <= exactTriples {
			nearest = append(nearest, s.triples(nil)[0]...)
			f.searched += recipes(len(pots), 3)
		} else {
			nearest = append(nearest, s.triplesByPairs(len(pots))[0]...)
		}
	}
	slices.SortFunc(nearest, mixed.before)
	var seen [][mostParts]int16
	for _, m := range nearest {
		if slices.Contains(seen, m.paint) {
			continue // the same paints in another ratio or number of coats
		}
		seen = append(seen, m.paint)
		f.add(f.mixture(m.blend, pots))
		if len(seen) == shownMixtures {
			return
		}
	}
}

// middleSide is for films that lie on nothing in particular.
const middleSide = film.Side((film.Sides - 1) / 2)

// mixture returns the candidate of a blend, predicted by the forward model.
func (f *finder) mixture(m blend, pots []pot) candidate {
	var parts []Part
	var stirred []pot
	var v verdict
	basis, assumed := colour.Spectral, false
	for i := range m.n {
		p := pots[m.paint[i]]
		parts = append(parts, Part{p.paint.Code, float64(m.part[i]) / eighths})
		stirred = append(stirred, p)
		v.join(f.verdict(p.paint.Code))
		c, _ := p.paint.Colour.Get()
		basis = min(basis, c.Basis())
		_, stated := p.density()
		assumed = assumed || !stated
	}
	c := candidate{Match: Match{Kind: Mixture, Code: mixtureCode(parts), Parts: largestFirst(parts)}, start: f.ground.look}
	if f.ground.there {
		f.layMixture(&c, stir(stirred, parts, film.SideOf(f.base.base())), int(m.coats), &v)
	} else {
		p := stir(stirred, parts, middleSide)
		c.pots = []pot{p}
		c.sample = side{look: plain(p.film.Coat.Masstone())}
	}
	c.sample.basis = min(basis, colour.Measured)
	c.Basis = stackBasis(stirred)
	c.doubt = mixtureDoubt(stirred, basis)
	if basis < colour.Spectral {
		v.note(RuleRange, "a mixture of colours that are not measured spectra shows the direction and a rough colour: paint a swatch")
	}
	if assumed {
		v.note(RuleDensity, "parts by mass; %g g/ml taken where no density is stated", usualDensity)
	}
	f.score(&c, v)
	return c
}

// layMixture lays coats of a mixture on the prepared ground.
func (f *finder) layMixture(c *candidate, p pot, coats int, v *verdict) {
	for _, l := range f.prepared {
		c.pots = append(c.pots, f.pot(l.Code))
		v.join(f.verdict(l.Code))
	}
	c.pots = append(c.pots, p)
	c.Coats = append(slices.Clone(f.prepared), Layer{c.Code, coats})
	for _, l := range c.Coats {
		c.CoatsTotal += l.Coats
	}
	c.sample = side{look: f.base.coated(p, float64(coats))}
	f.spend(c)
	if !f.blocked(c.Coats) {
		v.refuse(RuleBlock, "%s is dyed with disperse dye, which climbs into the coats: lay a dye-blocking base first", f.ground)
	}
}

// Doubt of the two-constant model in ΔE per axis of CIELAB: from the measured
// pair mixtures where all parts are measured spectra, from the tables of the
// design papers for colours only, worse with a white in the mixture.
const (
	doubtSpectral  = 2.5
	doubtDeclared  = 4.0
	doubtWithWhite = 6.0
)

func mixtureDoubt(pots []pot, basis colour.Basis) float64 {
	if basis == colour.Spectral {
		return doubtSpectral
	}
	for _, p := range pots {
		c, _ := p.paint.Colour.Get()
		if l := c.Lab(); l.L > whiteLeast && math.Hypot(l.A, l.B) < 15 {
			return doubtWithWhite
		}
	}
	return doubtDeclared
}

// largestFirst returns parts in falling order of share.
func largestFirst(parts []Part) []Part {
	p := slices.Clone(parts)
	slices.SortStableFunc(p, func(a, b Part) int { return cmp.Compare(b.Share, a.Share) })
	return p
}

// mixtureCode spells a mixture: "T1 5/8 + W1 3/8", largest part first.
func mixtureCode(parts []Part) string {
	var out []string
	for _, x := range largestFirst(parts) {
		out = append(out, x.Code+" "+strconv.Itoa(int(math.Round(x.Share*eighths)))+"/8")
	}
	return strings.Join(out, " + ")
}

// stir returns parts by mass of several paints as one product, laid as its
// parts are, for a ground of the given side. It waits as long as the slowest
// part.
func stir(pots []pot, parts []Part, on film.Side) pot {
	out := pot{role: Cover, known: true, sold: true}
	out.paint.Code, out.paint.Kind = mixtureCode(parts), inventory.KindPaint
	volume := 0.0
	for i, p := range pots {
		d, _ := p.density()
		v := parts[i].Share / d
		out.made = append(out.made, share{p.paint.Code, v})
		volume += v
	}
	for i := range out.made {
		out.made[i].volume /= volume
		out.wet += out.made[i].volume * pots[i].wet
	}
	out.paint.Elongation = leastElongation(pots)
	solids := 0.0
	var films []film.Film
	var shares []float64
	out.film = film.Paint{Evidence: film.BySpectra}
	for i, p := range pots {
		v := out.made[i].volume
		out.price, out.sold = out.price+v*p.price, out.sold && p.sold
		solids += v * p.paint.VolumeSolids.Or(usualSolids)
		out.paint.RecoatFrom = slower(out.paint.RecoatFrom, p.paint.RecoatFrom, i)
		out.paint.Handle = slower(out.paint.Handle, p.paint.Handle, i)
		out.paint.Touch = slower(out.paint.Touch, p.paint.Touch, i)
		// A coat of the mixture holds v·wet µm of the paint, of which its own
		// coat is p.wet.
		films = append(films, p.film.On(on))
		shares = append(shares, v*out.wet/p.wet)
		out.film.Evidence = min(out.film.Evidence, p.film.Evidence)
		out.film.Scatter = max(out.film.Scatter, p.film.Scatter)
		out.film.Build = max(out.film.Build, p.film.Build)
		out.film.Lab += v * p.film.Lab
	}
	out.paint.VolumeSolids = unit.State(solids)
	out.film.Coat = film.Mix(films, shares)
	out.film.Swatch = colour.FromReflectance(out.film.Coat.Masstone(), colour.Declared)
	return out
}

// slower returns the longer of two times, unknown where one of them is.
func slower(a, b unit.Stated[time.Duration], i int) unit.Stated[time.Duration] {
	if i == 0 {
		return b
	}
	x, ok := a.Get()
	y, known := b.Get()
	if !ok || !known {
		return unit.Stated[time.Duration]{}
	}
	return unit.State(max(x, y))
}
