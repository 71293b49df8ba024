package match

import (
	"fmt"
	"math/rand/v2"
	"testing"
	"time"

	"undercoat/inventory"
	"undercoat/inventory/unit"
	"undercoat/palette/colour"
)

// inventedStock is a shelf of n invented paints with the figures labels carry,
// and one dark canvas G to lay them on.
func inventedStock(t testing.TB, n int, seed uint64) inventory.Stock {
	t.Helper()
	rng := rand.New(rand.NewPCG(seed, 11))
	var paints []inventory.Paint
	for len(paints) < n {
		lab := colour.LCh{L: 10 + 85*rng.Float64(), C: 60 * rng.Float64(), H: 360 * rng.Float64()}.Lab()
		c, lost := colour.FromLab(lab, colour.Declared)
		if lost > 0 {
			continue
		}
		p := inventory.Paint{
			HidingBlack: unit.State(0.3 + 0.65*rng.Float64()), HidingWhite: unit.State(0.3 + 0.65*rng.Float64()),
			WetFilm: unit.State(60 + 60*rng.Float64()), VolumeSolids: unit.State(0.4), RecoatFrom: unit.State(2 * time.Hour), Touch: unit.State(time.Hour),
		}
		p.Code, p.Name, p.Kind, p.Medium = fmt.Sprintf("P%03d", len(paints)), "paint", inventory.KindPaint, "fabric paint"
		p.Colour, p.Suits = unit.State(c), []string{"cotton"}
		p.Price, p.Pack = unit.State(unit.Money(300+rng.IntN(900))), unit.State(unit.Quantity{Amount: 100, Unit: "ml"})
		paints = append(paints, p)
	}
	g := inventory.Cloth{Fibre: "cotton"}
	g.Code, g.Name, g.Kind, g.Medium, g.Colour = "G", "dark canvas", inventory.KindCloth, "canvas", unit.State(hex(t, "#2A2E38"))
	s, err := inventory.NewStock(paints, nil, []inventory.Cloth{g}, nil)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func BenchmarkFind(b *testing.B) {
	for _, c := range []struct {
		name   string
		paints int
		q      Request
	}{
		{"40 paints, items", 40, Request{Kinds: []Kind{Item}}},
		{"40 paints, stacks", 40, Request{Kinds: []Kind{Layers}}},
		{"40 paints, three parts and stacks", 40, Request{Parts: 3}},
		{"200 paints, two parts", 200, Request{Kinds: []Kind{Mixture}}},
		{"200 paints, everything", 200, Request{Parts: 2}},
	} {
		stock := inventedStock(b, c.paints, 1)
		for _, t := range []struct{ name, hex string }{{"attainable", "#5A7F86"}, {"never", "#FF1010"}} {
			b.Run(c.name+", "+t.name, func(b *testing.B) {
				q := c.q
				q.Target, q.Ground = Target{Colour: hex(b, t.hex)}, Ground{Code: "G"}
				b.ReportAllocs()
				for b.Loop() {
					r, err := Find(q, stock)
					if err != nil {
						b.Fatal(err)
					}
					b.ReportMetric(r.Matches[0].Difference.Or(-1), "ΔE00")
				}
			})
		}
	}
}
