package match

import (
	"math"
	"math/rand/v2"
	"slices"

	"undercoat/finish/film"
	"undercoat/palette/colour"
)

// MostCoats is the largest number of coats anything here counts to.
const MostCoats = 12

// draws is the number of sampled films behind every range.
const draws = 100

// Bed is a ground as coats meet it: its reflectance (wetted where it is dry
// and absorbent, see [film.Wetted]), what it swallows and how uneven a film
// lies on it. The zero value is a black plate.
type Bed struct {
	Reflectance colour.Reflectance
	Absorbs     film.Absorbency
	Uneven      film.Unevenness
}

// after returns the reflectance of n coats of a film that lays wet µm a coat.
func (b Bed) after(f film.Film, n, wet float64) colour.Reflectance {
	if n <= 0 {
		return b.Reflectance
	}
	amount := n
	if wet > 0 {
		amount = b.Absorbs.PickUp(amount*wet) / wet
	}
	return film.Uneven(film.Stack{Ground: f.Surface.Within(b.Reflectance), Films: []film.Film{f.Coats(amount)}}, b.Uneven)
}

// Weave is the most an open cloth may spoil a film: how uneven it may lie and
// how much it may swallow. The zero value is a closed, smooth ground.
type Weave struct {
	Uneven film.Unevenness
	Thirst film.Absorbency
}

// CoatsQuestion asks how many coats of one paint it takes. Target is the
// colour to reach in daylight; Full asks for the paint's own fully covered
// colour instead.
type CoatsQuestion struct {
	Paint     film.Paint
	Bed       Bed
	Cloth     Weave   // widens the range: drawn from nothing up to this
	Wet       float64 // µm of one wet coat, for what a ground swallows; 0 ignores it
	Target    colour.Lab
	Full      bool
	Tolerance float64 // ΔE00
	Least     int     // never fewer coats than this
	Seed      uint64
}

// Coats returns the fewest coats that are within tolerance and stay there for
// every larger number up to [MostCoats], as an interval. Where no number is,
// Reached is false and N is the number that comes closest.
//
// The most likely number is that of the paint and bed as stated: makers' hiding
// figures are of a hand's coats on a card. The interval (10th to 90th
// percentile) holds their doubts and what an open cloth may do. The same
// question gives the same answer: the sampled films come from Seed.
func Coats(q CoatsQuestion) Count {
	c := Count{Differences: q.curve(q.Paint)}
	c.N, c.Reached = q.fewest(c.Differences)
	rng := rand.New(rand.NewPCG(q.Seed, 0x636f617473))
	var seen []int
	sampler := q.Paint.Sampler()
	for range draws {
		on := q
		on.Bed = q.woven(rng.Float64(), rng.Float64())
		seen = append(seen, on.number(sampler.Draw(rng)))
	}
	slices.Sort(seen)
	c.Low = min(c.N, seen[draws/10])
	c.High = max(c.N, seen[draws-1-draws/10])
	c.Driver = q.driver(sampler)
	return c
}

// number is the number of coats alone. Toward its own full colour a paint's
// difference falls with every coat (in all 456 cases tested for the design
// papers), so the number is found by halving; toward another target every
// number is looked at.
func (q CoatsQuestion) number(p film.Paint) int {
	if !q.Full {
		n, _ := q.fewest(q.curve(p))
		return n
	}
	f := p.On(film.SideOf(q.Bed.Reflectance))
	goal := colour.D65().Lab(f.Masstone())
	within := func(n int) bool {
		return colour.Difference(goal, colour.D65().Lab(q.Bed.after(f, float64(n), q.Wet))) <= q.Tolerance
	}
	lo, hi := min(max(q.Least, 0), MostCoats), MostCoats
	for lo < hi {
		if mid := (lo + hi) / 2; within(mid) {
			hi = mid
		} else {
			lo = mid + 1
		}
	}
	return lo
}

// woven returns the bed with shares of the cloth's unevenness and thirst, the
// first in steps of a tenth.
func (q CoatsQuestion) woven(uneven, thirst float64) Bed {
	b, w := q.Bed, q.Cloth.some(uneven, thirst)
	b.Uneven += w.Uneven
	if w.Thirst.Volume > 0 {
		b.Absorbs = w.Thirst
	}
	return b
}

// some returns shares of the weave's unevenness and thirst, the first in steps
// of a tenth so that its tables are few.
func (w Weave) some(uneven, thirst float64) Weave {
	w.Uneven = film.Unevenness(math.Round(10*float64(w.Uneven)*uneven) / 10)
	w.Thirst.Volume *= thirst
	return w
}

// curve returns ΔE00 to the goal after 0, 1, … MostCoats coats.
func (q CoatsQuestion) curve(p film.Paint) []float64 {
	f := p.On(film.SideOf(q.Bed.Reflectance))
	goal := q.Target
	if q.Full {
		goal = colour.D65().Lab(f.Masstone())
	}
	out := make([]float64, MostCoats+1)
	for n := range out {
		out[n] = colour.Difference(goal, colour.D65().Lab(q.Bed.after(f, float64(n), q.Wet)))
	}
	return out
}

// fewest returns the first number of coats from which on every difference is
// within tolerance, and whether there is one; without, the closest number.
func (q CoatsQuestion) fewest(diff []float64) (n int, reached bool) {
	least := min(max(q.Least, 0), len(diff)-1)
	n = len(diff)
	for n > least && diff[n-1] <= q.Tolerance {
		n--
	}
	if n < len(diff) {
		return n, true
	}
	n = least
	for i := least; i < len(diff); i++ {
		if diff[i] < diff[n] {
			n = i
		}
	}
	return n, false
}

// clothDriver names the cloth as what moves the number most.
const clothDriver = "how evenly the cloth takes it"

// driver says which doubt moves the number most: each is moved one standard
// deviation down and up by itself, the cloth from nothing to its middle.
func (q CoatsQuestion) driver(s film.Sampler) string {
	best, word := 0, "nothing: every guess gives the same number"
	widen := func(a, b int, name string) {
		if w := max(a, b) - min(a, b); w > best {
			best, word = w, name
		}
	}
	for _, d := range s.Doubts() {
		widen(q.number(s.Moved(d, -1)), q.number(s.Moved(d, 1)), d.String())
	}
	if q.Cloth != (Weave{}) {
		on := q
		on.Bed = q.woven(0.5, 0.5)
		widen(q.number(q.Paint), on.number(q.Paint), clothDriver)
	}
	return word
}
