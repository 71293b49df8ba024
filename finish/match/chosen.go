package match

import (
	"math"
	"math/rand/v2"
	"slices"

	"undercoat/finish/film"
	"undercoat/inventory"
)

// hidesAll is the hiding beyond which more coats are not told apart. Common
// practice: a film hides at a contrast ratio of 0.98.
const hidesAll = 0.98

// ChosenCoats returns the interval of every layer of a stack whose numbers were
// chosen, as by the search, and not counted by the house rule: N is the number
// chosen; Low and High (10th to 90th percentile) are the coats of the paint as
// it may be that come nearest to hiding as much of what lies below as the chosen
// number was foreseen to. Where that cannot be said (a fluorescent, a product
// outside the model) Reached is false.
//
// It fails as [HouseCoats] does. The same question gives the same answer.
func ChosenCoats(q HouseQuestion, stock inventory.Stock) ([]Count, error) {
	at, err := groundLook(q.Ground, stock)
	if err != nil {
		return nil, err
	}
	pots, err := potsOf(q.Layers, stock)
	if err != nil {
		return nil, err
	}
	var out []Count
	for i, p := range pots {
		n := q.Layers[i].Coats
		if _, ruled := ruledCoats(p); n < 1 || p.role == Glow || !p.known || ruled && p.role != Glaze {
			out = append(out, Count{N: n})
		} else {
			ask := CoatsQuestion{Paint: p.film, Bed: Bed{Reflectance: at.base()}, Cloth: at.cloth, Wet: p.wet, Seed: q.Seed}
			out = append(out, ask.asHiding(n))
		}
		at = at.coated(p, float64(n))
	}
	return out, nil
}

// asHiding is the interval of coats that hide as n of the paint as stated.
func (q CoatsQuestion) asHiding(n int) Count {
	goal := q.hides(q.Paint, float64(n))
	number := func(p film.Paint, b Bed) int {
		on := q
		on.Bed = b
		best, off := 1, math.Inf(1)
		for m := 1; m <= MostCoats; m++ {
			if d := math.Abs(on.hides(p, float64(m)) - goal); d < off {
				best, off = m, d
			}
		}
		return best
	}
	rng, sampler := rand.New(rand.NewPCG(q.Seed, 0x63686f73656e)), q.Paint.Sampler()
	var seen []int
	for range draws {
		bed := q.woven(rng.Float64(), rng.Float64())
		seen = append(seen, number(sampler.Draw(rng), bed))
	}
	slices.Sort(seen)
	c := Count{N: n, Low: min(n, seen[draws/10]), High: max(n, seen[draws-1-draws/10]), Reached: true}
	widest := 0
	for _, d := range sampler.Doubts() {
		a, b := number(sampler.Moved(d, -1), q.Bed), number(sampler.Moved(d, 1), q.Bed)
		if w := max(a, b) - min(a, b); w > widest {
			widest, c.Driver = w, d.String()
		}
	}
	if q.Cloth != (Weave{}) {
		a, b := number(q.Paint, q.Bed), number(q.Paint, q.woven(0.5, 0.5))
		if w := max(a, b) - min(a, b); w > widest {
			widest, c.Driver = w, clothDriver
		}
	}
	if c.Driver == "" {
		c.Driver = "several doubts together"
	}
	return c
}

// hides is the hiding of coats on the bed, as far as it is told apart.
func (q CoatsQuestion) hides(p film.Paint, n float64) float64 {
	amount := n
	if q.Wet > 0 {
		amount = q.Bed.Absorbs.PickUp(n*q.Wet) / q.Wet
	}
	f := p.On(film.SideOf(q.Bed.Reflectance))
	return min(film.Hiding(f.Coats(amount), q.Bed.Reflectance), hidesAll)
}
