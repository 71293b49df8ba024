package match

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync"

	"undercoat/inventory"
	"undercoat/palette/colour"
)

// ErrNoTarget says that a request has no colour to look for.
var ErrNoTarget = errors.New("no target colour")

// Find returns what the shelf can do for a target: single articles, mixtures
// and stacks in one ranked answer, with what speaks against each. Matches are
// sorted by what is allowed first, then difference (hue difference for
// fluorescents), cost, code; the prediction of each comes from the forward
// model, whatever found it.
//
// Stacks and two-part mixtures are exact: no better one was left out. Of more
// than 60 paints stacks are looked for among the 60 that promise most, and
// three-part mixtures among the most promising pairs.
//
// A fluorescent that is refused for its ground brings the nearest allowed way
// to use it along, whatever kinds were asked for.
//
// It fails where the target has no colour or the ground's code or colour is
// not known; an empty shelf gives an empty result. The same request and stock
// give the same bytes.
func Find(q Request, stock inventory.Stock) (Result, error) {
	if !q.Target.Colour.Valid() {
		return Result{}, fmt.Errorf("find match: %w", ErrNoTarget)
	}
	ground, err := readGround(q.Ground, stock)
	if err != nil {
		return Result{}, fmt.Errorf("find match: %w", err)
	}
	f := newFinder(q.withDefaults(), ground, stock)
	f.items()
	f.glows()
	f.stacks()
	f.mixtures()
	return f.result(), nil
}

func (q Request) withDefaults() Request {
	if q.Tolerance <= 0 {
		q.Tolerance = DefaultTolerance
	}
	if q.Parts == 0 {
		q.Parts = 2
	}
	if q.MaxCoats == 0 {
		q.MaxCoats = 4
	}
	if q.MaxLayers == 0 {
		q.MaxLayers = 3
	}
	if q.Top == 0 {
		q.Top = 20
	}
	if q.Ranged == 0 {
		q.Ranged = q.Top
	}
	return q
}

// wants says whether a kind of match was asked for.
func (q Request) wants(k Kind) bool { return len(q.Kinds) == 0 || slices.Contains(q.Kinds, k) }

// finder gathers candidates for one request.
type finder struct {
	judge
	target   side
	pots     []pot // every paint and sealer of the shelf, by code
	verdicts []verdict
	prepared []Layer // what has to lie on the ground before anything else
	base     look    // the ground with that on it
	found    []candidate
	searched int
}

func newFinder(q Request, ground groundFacts, stock inventory.Stock) *finder {
	f := &finder{judge: judge{q, ground, stock}}
	f.target = side{look: plain(q.Target.Colour.Reflectance()), readings: q.Target.Readings, basis: q.Target.Colour.Basis()}
	raw := f.judge
	f.prepare()
	paints := stock.Paints()
	pots := make([]pot, len(paints))
	forEach(len(paints), func(i int) {
		pots[i] = potOf(paints[i], stock)
		pots[i].draws = sync.OnceValue(pots[i].film.Sampler)
	})
	for i, p := range paints {
		t := pots[i]
		if t.role == "" {
			continue
		}
		f.pots = append(f.pots, t)
		v := f.paint(p)
		if t.role == Seal {
			v = raw.paint(p) // it lies on the open ground
		}
		if t.doubt != "" {
			v.note(RuleRange, "%s: %s; taken without them", p.Code, t.doubt)
		}
		leftOut(p, &v)
		f.verdicts = append(f.verdicts, v)
	}
	return f
}

// goal returns the target's daylight colour: as measured where it was.
func (f *finder) goal() colour.Lab {
	lab, _ := f.target.under(colour.D65())
	return lab
}

// prepare closes raw foam and keeps the dye of disperse-dyed cloth down, with
// the first fitting product of the shelf.
func (f *finder) prepare() {
	if !f.ground.there {
		return
	}
	f.base = f.ground.look
	lay := func(role Role) bool {
		for _, p := range f.stock.Paints() {
			if RoleOf(p) != role || len(f.paint(p).against) > 0 {
				continue
			}
			t := potOf(p, f.stock)
			n := houseNumber(t, f.base, f.q.Tolerance, nil)
			f.prepared = append(f.prepared, Layer{p.Code, n})
			f.base = f.base.coated(t, float64(n))
			return true
		}
		return false
	}
	if f.ground.raw && lay(Seal) {
		f.ground = f.ground.sealed()
	}
	if f.migrates() {
		lay(Block)
	}
}

// migrates says whether the ground's dye climbs into coats.
func (f *finder) migrates() bool {
	return strings.EqualFold(f.ground.dye, "disperse") && !slices.ContainsFunc(f.q.Ground.Under, func(l Layer) bool {
		p, ok := f.stock.Paint(l.Code)
		return ok && RoleOf(p) == Block
	})
}

// blocked says whether layers keep the ground's dye down, or need not.
func (f *finder) blocked(layers []Layer) bool {
	if !f.migrates() {
		return true
	}
	for _, l := range layers {
		if p, ok := f.stock.Paint(l.Code); ok && RoleOf(p) == Block {
			return true
		}
	}
	return false
}
