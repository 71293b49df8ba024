package match

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"undercoat/finish/film"
	"undercoat/inventory"
	"undercoat/inventory/unit"
	"undercoat/palette/colour"
)

// Batch is a mixture as it was made and came out: its parts by mass, how much
// of it there is, and its colour, dry and thick enough to hide.
type Batch struct {
	Parts []Part
	Mass  unit.Mass
	Seen  colour.Colour
}

// Correction is what to stir into a batch. Nothing is ever taken away; no
// additions means that none on offer brings it nearer.
type Correction struct {
	Add           []Portion
	Parts         []Part // of the corrected batch, in the batch's order, then what is new
	Mass          unit.Mass
	Before, After float64    // ΔE00 to the target in daylight
	AfterRange    [2]float64 // P10, P90
	Predicted     Prediction
	Rough         bool // whether the strength of an addition is not measured
}

// ErrOutside says that a paint is one the model does not hold for.
var ErrOutside = errors.New("outside the model")

// Correct returns the one or two additions, of at most as much as there is of
// the batch, that bring a batch that came out off nearest to the target. offer
// names the paints that may be added; none offers the parts of the batch.
//
// The batch itself is taken as it was seen, not as the recipe foresaw it: its
// K/S is that of the colour seen, its scattering that of its parts. A second
// paint is proposed only where it is plainly worth it.
func Correct(b Batch, target colour.Colour, offer []string, stock inventory.Stock) (Correction, error) {
	pots, err := potsOfParts(b.Parts, stock)
	if err != nil {
		return Correction{}, fmt.Errorf("correct batch: %w", err)
	}
	if !b.Seen.Valid() || !target.Valid() {
		return Correction{}, fmt.Errorf("correct batch: %w", film.ErrNoColour)
	}
	if !(b.Mass > 0) {
		return Correction{}, fmt.Errorf("correct batch: %s: expected an amount above 0", b.Mass)
	}
	for _, p := range pots {
		if p.role == Glow || p.role == Rub || !p.known {
			return Correction{}, fmt.Errorf("correct batch: %s: fluorescent, metallic or without a colour: %w", p.paint.Code, ErrOutside)
		}
	}
	adds, err := offered(b, offer, stock)
	if err != nil {
		return Correction{}, fmt.Errorf("correct batch: %w", err)
	}
	c := corrector{goal: newGoal(target.Lab()), batch: asSeen(b, pots), mass: float64(b.Mass), adds: adds, seen: film.SwatchDoubt(b.Seen.Basis())}
	return c.correction(b), nil
}

type addable struct {
	pot
	gram colourant
}

func offered(b Batch, offer []string, stock inventory.Stock) (out []addable, err error) {
	if len(offer) == 0 {
		for _, p := range b.Parts {
			offer = append(offer, p.Code)
		}
	}
	offer = slices.Clone(offer)
	slices.Sort(offer)
	for _, code := range slices.Compact(offer) {
		paint, ok := stock.Paint(code)
		if !ok {
			return nil, fmt.Errorf("offer %s: %w", code, ErrNotOnShelf)
		}
		p := potOf(paint, stock)
		if !p.known || p.role == Glow || p.role == Rub {
			continue
		}
		d, _ := p.density()
		out = append(out, addable{p, newColourant(p.film.On(middleSide), p.wet, d)})
	}
	return out, nil
}

// asSeen returns one gram of the batch: scattering of its parts, K/S of what
// was seen.
func asSeen(b Batch, pots []pot) (g colourant) {
	for i, p := range pots {
		if !p.known {
			continue
		}
		d, _ := p.density()
		c := newColourant(p.film.On(middleSide), p.wet, d)
		for j := range g.s {
			g.s[j] += b.Parts[i].Share * c.s[j]
		}
	}
	for j, r := range b.Seen.Reflectance() {
		g.k[j] = g.s[j] * film.KOverS(min(max(r, 0.002), 0.97))
	}
	return g
}

type corrector struct {
	goal  goal
	batch colourant
	mass  float64
	adds  []addable
	seen  float64 // doubt of what was seen, in ΔE
}

// colour returns the reflectance of the batch with grams of each addable.
func (c *corrector) colour(grams []float64) (r colour.Reflectance) {
	for b := range r {
		k, s := c.batch.k[b]*c.mass, c.batch.s[b]*c.mass
		for i, g := range grams {
			k += c.adds[i].gram.k[b] * g
			s += c.adds[i].gram.s[b] * g
		}
		if s > 0 {
			r[b] = film.Infinite(k / s)
		}
	}
	return r
}

func (c *corrector) diff(grams []float64) float64 {
	return colour.Difference(c.goal.lab, colour.D65().Lab(c.colour(grams)))
}

// best searches the grams of one addable, the others held, from none to most.
func (c *corrector) best(grams []float64, i int, most float64) float64 {
	at := func(g float64) float64 {
		was := grams[i]
		grams[i] = g
		d := c.diff(grams)
		grams[i] = was
		return d
	}
	// A coarse look first: the difference may have more than one valley.
	const looks = 24
	least, best := 0.0, at(0)
	for n := range looks {
		g := most * math.Pow(10, -3*(1-float64(n+1)/looks))
		if d := at(g); d < best {
			least, best = g, d
		}
	}
	const step = 1.34 // ratio of neighbours in the look, a little more
	lo, hi := least/step, min(least*step, most)
	for range 40 {
		a, b := lo+(hi-lo)*0.382, lo+(hi-lo)*0.618
		if at(a) <= at(b) {
			hi = b
		} else {
			lo = a
		}
	}
	if mid := (lo + hi) / 2; at(mid) < best {
		return mid
	}
	return least
}

// worthSecond is the gain in ΔE00 that makes a second addition worth stirring
// in. Judgement.
const worthSecond = 0.5

func (c *corrector) correction(b Batch) Correction {
	none := make([]float64, len(c.adds))
	out := Correction{Before: c.diff(none)}
	type trial struct {
		grams []float64
		diff  float64
	}
	var ones []trial
	for i := range c.adds {
		g := make([]float64, len(c.adds))
		g[i] = c.best(g, i, c.mass)
		ones = append(ones, trial{g, c.diff(g)})
	}
	best := trial{none, out.Before}
	for _, o := range ones {
		if o.diff < best.diff-1e-9 {
			best = o
		}
	}
	two := best
	for i := range ones {
		for j := range c.adds {
			if i == j {
				continue
			}
			g := slices.Clone(ones[i].grams)
			for range 6 {
				g[j] = c.best(g, j, c.mass-g[i])
				g[i] = c.best(g, i, c.mass-g[j])
			}
			if d := c.diff(g); d < two.diff-1e-9 {
				two = trial{g, d}
			}
		}
	}
	if two.diff < best.diff-worthSecond {
		best = two
	}
	return c.told(b, best.grams, out)
}

// ranges fills in how far the corrected batch may lie from where it is
// foreseen: each addition may be stronger or weaker than its film says, and
// what was seen is as sure as it was read.
func (c *corrector) ranges(grams []float64, out *Correction) {
	rng := rand.New(rand.NewPCG(0, 0x636f7272656374))
	labs, diffs := []colour.Lab{out.Predicted.Lab}, []float64{out.After}
	for range layerDraws {
		g := slices.Clone(grams)
		for i := range g {
			g[i] *= math.Exp(c.adds[i].film.Scatter * rng.NormFloat64())
		}
		l := colour.D65().Lab(c.colour(g))
		l = colour.Lab{L: l.L + c.seen*rng.NormFloat64(), A: l.A + c.seen*rng.NormFloat64(), B: l.B + c.seen*rng.NormFloat64()}
		labs, diffs = append(labs, l), append(diffs, colour.Difference(c.goal.lab, l))
	}
	out.Predicted.Low, out.Predicted.High = spread(labs)
	slices.Sort(diffs)
	n := len(diffs)
	out.AfterRange = [2]float64{min(diffs[n/10], out.After), max(diffs[n-1-n/10], out.After)}
	for i, g := range grams {
		out.Rough = out.Rough || g > 0 && c.adds[i].film.Evidence < film.ByTrial
	}
}

// told fills in the portions and parts of the corrected batch.
func (c *corrector) told(b Batch, grams []float64, out Correction) Correction {
	total := c.mass
	for _, g := range grams {
		total += g
	}
	out.Mass, out.After = unit.Mass(total), c.diff(grams)
	out.Predicted = predictionOf(colour.D65().Lab(c.colour(grams)))
	out.Predicted.Reflectance = c.colour(grams)
	c.ranges(grams, &out)
	for _, p := range b.Parts {
		out.Parts = append(out.Parts, Part{p.Code, p.Share * c.mass / total})
	}
	for i, g := range grams {
		if g <= 0 {
			continue
		}
		a := c.adds[i]
		d, stated := a.density()
		out.Add = append(out.Add, Portion{Code: a.paint.Code, Mass: unit.Mass(g), Volume: unit.Volume(g / d), Drops: int(math.Round(g / d / dropVolume)), Assumed: !stated})
		at := slices.IndexFunc(out.Parts, func(p Part) bool { return p.Code == a.paint.Code })
		if at < 0 {
			out.Parts = append(out.Parts, Part{Code: a.paint.Code})
			at = len(out.Parts) - 1
		}
		out.Parts[at].Share += g / total
	}
	slices.SortStableFunc(out.Add, func(x, y Portion) int { return cmp.Compare(y.Mass, x.Mass) })
	return out
}
