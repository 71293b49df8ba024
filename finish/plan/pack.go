package plan

import (
	"math"
	"slices"

	"undercoat/inventory/unit"
)

// Offer is one size a product is sold in.
type Offer struct {
	Size  float64 // in the unit the product is counted in, above 0
	Price unit.Money
}

// Basket is a set of packs.
type Basket struct {
	Packs []Packs // largest size first
	Size  float64
	Cost  unit.Money
}

// Packs is a number of packs of one offer.
type Packs struct {
	Offer
	Count int
}

// Count returns how many packs the basket holds.
func (b Basket) Count() int {
	n := 0
	for _, p := range b.Packs {
		n += p.Count
	}
	return n
}

// enough forgives the noise of floating sums, in the unit of the product.
const enough = 1e-6

// Cheapest returns the packs that hold at least need for the least money; of
// equal cost the one that holds less, then the one with fewer packs, then the
// larger sizes. Nothing needed gives an empty basket; no usable offer (a size
// of 0 or less, a price below 0) gives ok false.
func Cheapest(need float64, offers []Offer) (b Basket, ok bool) {
	if need <= enough {
		return Basket{}, true
	}
	var usable []Offer
	for _, o := range offers {
		if o.Size > 0 && !math.IsInf(o.Size, 0) && o.Price >= 0 {
			usable = append(usable, o)
		}
	}
	if len(usable) == 0 {
		return Basket{}, false
	}
	slices.SortStableFunc(usable, func(a, b Offer) int {
		return cmpFloat(b.Size, a.Size)
	})
	s := basketSearch{offers: usable, counts: make([]int, len(usable)), rate: cheapestRates(usable)}
	s.try(0, need, 0, 0)
	return s.basket(), true
}

// cheapestRates returns, from each offer on, the least money per unit.
func cheapestRates(offers []Offer) []float64 {
	rate := make([]float64, len(offers)+1)
	rate[len(offers)] = math.Inf(1)
	for i := len(offers) - 1; i >= 0; i-- {
		rate[i] = min(rate[i+1], float64(offers[i].Price)/offers[i].Size)
	}
	return rate
}

// basketSearch walks the counts of each offer, cutting branches whose cost at
// the best rate left is above the best basket.
type basketSearch struct {
	offers []Offer
	rate   []float64
	counts []int
	best   []int
	cost   unit.Money
	size   float64
}

func (s *basketSearch) try(i int, left float64, cost unit.Money, size float64) {
	if left <= enough {
		s.keep(cost, size)
		return
	}
	if i == len(s.offers) {
		return
	}
	o := s.offers[i]
	most := int(math.Ceil((left - enough) / o.Size))
	for n := most; n >= 0; n-- {
		c := cost + o.Price*unit.Money(n)
		rest := left - float64(n)*o.Size
		if s.best != nil && float64(c)+max(0, rest-enough)*s.rateAfter(i+1, rest) > float64(s.cost) {
			continue
		}
		s.counts[i] = n
		s.try(i+1, rest, c, size+float64(n)*o.Size)
	}
	s.counts[i] = 0
}

// rateAfter is the least money per unit of the offers from i on; 0 where
// nothing is left to buy.
func (s *basketSearch) rateAfter(i int, rest float64) float64 {
	if rest <= enough {
		return 0
	}
	return s.rate[i]
}

func (s *basketSearch) keep(cost unit.Money, size float64) {
	if s.best != nil && !s.better(cost, size) {
		return
	}
	s.best, s.cost, s.size = slices.Clone(s.counts), cost, size
}

func (s *basketSearch) better(cost unit.Money, size float64) bool {
	if cost != s.cost {
		return cost < s.cost
	}
	if math.Abs(size-s.size) > enough {
		return size < s.size
	}
	return sum(s.counts) < sum(s.best)
}

func (s *basketSearch) basket() Basket {
	b := Basket{Size: s.size, Cost: s.cost}
	for i, n := range s.best {
		if n > 0 {
			b.Packs = append(b.Packs, Packs{Offer: s.offers[i], Count: n})
		}
	}
	return b
}

func sum(n []int) int {
	t := 0
	for _, v := range n {
		t += v
	}
	return t
}

func cmpFloat(a, b float64) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}
