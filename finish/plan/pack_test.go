package plan

import (
	"math/rand/v2"
	"testing"

	"undercoat/inventory/unit"
)

func TestCheapestPacksOfTheDemo(t *testing.T) {
	check := func(name string, need, size float64, price unit.Money, packs int, cost unit.Money) {
		t.Helper()
		b, ok := Cheapest(need, []Offer{{Size: size, Price: price}})
		if !ok || b.Count() != packs || b.Cost != cost {
			t.Errorf("%s: %d packs for %v, want %d for %v", name, b.Count(), b.Cost, packs, cost)
		}
	}
	check("W3", 151, 150, 1100, 2, 2200)
	check("W3 with 14 % loss", 150, 150, 1100, 1, 1100)
	check("W1", 497+20-120, 150, 750, 3, 2250)
	check("F1", 407+20-75, 75, 690, 5, 3450)
	check("O1", 138+10-60, 30, 490, 3, 1470)
	check("nothing", 0, 30, 490, 0, 0)
	check("less than nothing", -5, 30, 490, 0, 0)
}

func TestCheapestCombinesSizes(t *testing.T) {
	offers := []Offer{{Size: 30, Price: 490}, {Size: 100, Price: 900}}
	b, ok := Cheapest(120, offers)
	if !ok || b.Cost != 1390 || b.Size != 130 {
		t.Errorf("120: %+v", b)
	}
	if b, _ := Cheapest(55, offers); b.Cost != 900 || b.Size != 100 {
		t.Errorf("55: one large pot is cheaper than two small: %+v", b)
	}
	if b, _ := Cheapest(10, []Offer{{Size: 50, Price: 500}, {Size: 20, Price: 500}}); b.Size != 20 {
		t.Errorf("of equal cost the smaller: %+v", b)
	}
	if _, ok := Cheapest(10, nil); ok {
		t.Error("no offer filled a need")
	}
	if _, ok := Cheapest(10, []Offer{{Size: 0, Price: 1}}); ok {
		t.Error("an empty pack filled a need")
	}
}

// Second method: a table of least costs for every whole need.
func TestCheapestAgainstTableOfLeastCosts(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 7))
	for range 300 {
		var offers []Offer
		for range 1 + r.IntN(4) {
			offers = append(offers, Offer{Size: float64(1 + r.IntN(40)), Price: unit.Money(r.IntN(900))})
		}
		need := 1 + r.IntN(200)
		least := make([]unit.Money, need+1)
		for n := 1; n <= need; n++ {
			least[n] = 1 << 40
			for _, o := range offers {
				least[n] = min(least[n], o.Price+least[max(0, n-int(o.Size))])
			}
		}
		b, ok := Cheapest(float64(need), offers)
		if !ok || b.Cost != least[need] || b.Size < float64(need) {
			t.Fatalf("need %d of %v: %+v, least cost %v", need, offers, b, least[need])
		}
		var cost unit.Money
		size := 0.0
		for _, p := range b.Packs {
			cost += p.Price * unit.Money(p.Count)
			size += p.Size * float64(p.Count)
		}
		if cost != b.Cost || size != b.Size {
			t.Fatalf("packs of %+v do not add up", b)
		}
	}
}
