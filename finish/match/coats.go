package match

import (
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
func (b Bed) after(f film.Film, n int, wet float64) colour.Reflectance {
	if n <= 0 {
		return b.Reflectance
	}
	amount := float64(n)
	if wet > 0 {
		amount = b.Absorbs.PickUp(amount*wet) / wet
	}
	return film.Uneven(film.Stack{Ground: f.Surface.Within(b.Reflectance), Films: []film.Film{f.Coats(amount)}}, b.Uneven)
}

// CoatsQuestion asks how many coats of one paint it takes. Target is the
// colour to reach in daylight; Full asks for the paint's own fully covered
// colour instead.
type CoatsQuestion struct {
	Paint     film.Paint
	Bed       Bed
	Wet       float64 // µm of one wet coat, for what the bed swallows; 0 ignores it
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
// The same question gives the same answer: the sampled films come from Seed.
func Coats(q CoatsQuestion) Count {
	c := Count{Differences: q.curve(q.Paint)}
	c.N, c.Reached = q.fewest(c.Differences)
	rng := rand.New(rand.NewPCG(q.Seed, 0x636f617473))
	var seen []int
	sampler := q.Paint.Sampler()
	for range draws {
		n, _ := q.fewest(q.curve(sampler.Draw(rng)))
		seen = append(seen, n)
	}
	slices.Sort(seen)
	c.Low = min(c.N, seen[draws/10])
	c.High = max(c.N, seen[draws-1-draws/10])
	c.Driver = q.driver(sampler)
	return c
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
		out[n] = colour.Difference(goal, colour.D65().Lab(q.Bed.after(f, n, q.Wet)))
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

// driver says which doubt moves the number most: each is moved one standard
// deviation down and up by itself.
func (q CoatsQuestion) driver(s film.Sampler) string {
	best, word := 0.0, "nothing: every guess gives the same number"
	for _, d := range s.Doubts() {
		low, _ := q.fewest(q.curve(s.Moved(d, -1)))
		high, _ := q.fewest(q.curve(s.Moved(d, 1)))
		if w := max(low, high) - min(low, high); float64(w) > best {
			best, word = float64(w), d.String()
		}
	}
	return word
}
