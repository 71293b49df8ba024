package match

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"undercoat/finish/film"
	"undercoat/inventory"
	"undercoat/palette/colour"
)

// House rule of the workroom for the number of coats. Judgements.
const (
	brushLeast    = 2   // a brush never covers evenly in one coat
	underGlowNear = 0.8 // ΔE00 a white under a fluorescent may stay short of its full colour
	sealCoats     = 3   // on raw foam
)

// DefaultTolerance is the ΔE00 accepted where none is stated.
const DefaultTolerance = 3.0

// HouseQuestion asks for the coats of a chosen recipe. Layers lie from the
// ground up; where Coats is 0 the number is found by the house rule.
type HouseQuestion struct {
	Ground    Ground
	Layers    []Layer
	Tolerance float64 // ΔE00 of the area; 0 takes [DefaultTolerance]
	Seed      uint64
}

// Built is one layer of a recipe with its coats found and the colour after
// them.
type Built struct {
	Layer
	Name      string
	Role      Role
	Count     Count
	Predicted Prediction
}

// HouseCoats returns the coats of each layer by the house rule: the fewest whose
// result is within half the area's tolerance of the fully covered colour; a
// white under a fluorescent within ΔE00 0.8; never fewer than two by brush,
// but one for a block base, a glaze and a clear coat, three for the sealer of
// raw foam. It fails where a code is not on the shelf, a product has no colour
// to count by, or the ground has none.
func HouseCoats(q HouseQuestion, stock inventory.Stock) ([]Built, error) {
	at, err := groundLook(q.Ground, stock)
	if err != nil {
		return nil, fmt.Errorf("count coats: %w", err)
	}
	pots, err := potsOf(q.Layers, stock)
	if err != nil {
		return nil, fmt.Errorf("count coats: %w", err)
	}
	tolerance := q.Tolerance
	if tolerance <= 0 {
		tolerance = DefaultTolerance
	}
	var out []Built
	for i, p := range pots {
		var over *pot
		if i+1 < len(pots) {
			over = &pots[i+1]
		}
		count := houseCount(p, at, tolerance, over, q.Seed)
		n := q.Layers[i].Coats
		if n == 0 {
			n = count.N
		}
		at = at.coated(p, float64(n))
		out = append(out, Built{Layer: Layer{p.paint.Code, n}, Name: p.paint.Name, Role: p.role, Count: count, Predicted: at.prediction()})
	}
	return out, nil
}

// ErrNotOnShelf says that a code names nothing the stock knows as a paint or a
// ground.
var ErrNotOnShelf = errors.New("not on the shelf")

func potsOf(layers []Layer, stock inventory.Stock) ([]pot, error) {
	var out []pot
	for _, l := range layers {
		p, ok := stock.Paint(l.Code)
		if !ok {
			return nil, fmt.Errorf("layer %s: %w", l.Code, ErrNotOnShelf)
		}
		out = append(out, potOf(p, stock))
	}
	return out, nil
}

// groundLook returns the ground as the first coat meets it, with what already
// lies on it.
func groundLook(g Ground, stock inventory.Stock) (look, error) {
	c := g.Colour
	if g.Code != "" {
		a, ok := stock.Article(g.Code)
		if !ok {
			return look{}, fmt.Errorf("ground %s: %w", g.Code, ErrNotOnShelf)
		}
		c = a.Colour.Or(c)
	}
	if !c.Valid() {
		return look{}, fmt.Errorf("ground %s: %w", g.Code, film.ErrNoColour)
	}
	l := plain(c.Reflectance())
	if cloth, ok := stock.Cloth(g.Code); ok {
		l.cloth, l.dry = weaveOf(cloth)
	}
	pots, err := potsOf(g.Under, stock)
	if err != nil {
		return look{}, err
	}
	for i, p := range pots {
		l = l.coated(p, float64(g.Under[i].Coats))
	}
	return l, nil
}

// houseCount returns the coats of one product over what lies below it, by the
// house rule. over is the product above, nil for the last.
func houseCount(p pot, at look, tolerance float64, over *pot, seed uint64) Count {
	n, ruled := ruledCoats(p)
	switch {
	case ruled:
		return fixed(n)
	case p.role == Glow:
		return glowCount(p, at, tolerance/2, seed)
	default:
		return Coats(houseQuestion(p, at, tolerance, over, seed))
	}
}

// houseNumber is the number of [houseCount] without its interval.
func houseNumber(p pot, at look, tolerance float64, over *pot) int {
	n, ruled := ruledCoats(p)
	switch {
	case ruled:
		return n
	case p.role == Glow:
		n, _ := newGlowCurve(p, at).enough(1, tolerance/2)
		return n
	default:
		q := houseQuestion(p, at, tolerance, over, 0)
		n, _ := q.fewest(q.curve(q.Paint))
		return n
	}
}

// ruledCoats returns the coats of products that are not counted.
func ruledCoats(p pot) (n int, ruled bool) {
	switch {
	case p.role == Seal:
		return sealCoats, true
	case p.role == Block || p.role == Glaze || p.role == Clear || p.role == Rub:
		return 1, true
	case !p.known:
		return brushLeast, true
	}
	return 0, false
}

func houseQuestion(p pot, at look, tolerance float64, over *pot, seed uint64) CoatsQuestion {
	near := tolerance / 2
	if over != nil && over.role == Glow {
		near = underGlowNear
	}
	return CoatsQuestion{
		Paint: p.film, Bed: Bed{Reflectance: at.base()}, Cloth: at.cloth, Wet: p.wet, Full: true,
		Tolerance: near, Least: brushLeast, Seed: seed,
	}
}

func fixed(n int) Count {
	return Count{N: n, Low: n, High: n, Reached: true, Driver: "house rule"}
}

// glowCurve is ΔE00 of a fluorescent to its full colour on a base, both
// predicted, at quarters of a coat from none on. No swatch can say what full
// is. Coats past the full colour are not asked about, they only absorb their
// own light.
type glowCurve struct {
	diff []float64
	last int // coats that surely are enough
}

const quarters = 4

func newGlowCurve(p pot, at look) glowCurve {
	base := film.Ultraviolet(at.base())
	d65 := colour.D65()
	lab := func(n float64) colour.Lab { return p.glow.Coats(n).Over(base).Under(d65).Lab(d65.White()) }
	full := lab(p.glow.Full)
	c := glowCurve{last: max(brushLeast, int(math.Ceil(p.glow.Full)))}
	for i := range quarters*c.last + 1 {
		c.diff = append(c.diff, colour.Difference(lab(float64(i)/quarters), full))
	}
	return c
}

// enough returns the fewest coats, each build times as thick as usual, that
// are near and stay so.
func (c glowCurve) enough(build, near float64) (n int, reached bool) {
	n = c.last
	for n > brushLeast && c.at(float64(n-1)*build) <= near {
		n--
	}
	return n, c.at(float64(n)*build) <= near
}

// at reads the curve between its entries; past the end it is the last one.
func (c glowCurve) at(coats float64) float64 {
	x := coats * quarters
	i := int(x)
	if i >= len(c.diff)-1 {
		return c.diff[len(c.diff)-1]
	}
	f := x - float64(i)
	return (1-f)*c.diff[i] + f*c.diff[i+1]
}

// glowCount returns the fewest coats of a fluorescent whose colour on its base
// is near its full one.
func glowCount(p pot, at look, near float64, seed uint64) Count {
	curve := newGlowCurve(p, at)
	c := Count{Driver: film.DoubtBuild.String()}
	c.N, c.Reached = curve.enough(1, near)
	for n := range curve.last + 1 {
		c.Differences = append(c.Differences, curve.at(float64(n)))
	}
	rng := rand.New(rand.NewPCG(seed, 0x676c6f77))
	var seen []int
	for range draws {
		n, _ := curve.enough(math.Exp(handBuild*rng.NormFloat64()), near)
		seen = append(seen, n)
	}
	slices.Sort(seen)
	c.Low, c.High = min(c.N, seen[draws/10]), max(c.N, seen[draws-1-draws/10])
	return c
}

// handBuild is how much a hand's coats of a fluorescent differ, in nepers; as
// of other paints.
const handBuild = 0.3
