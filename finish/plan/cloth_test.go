package plan

import (
	"math"
	"testing"

	"undercoat/inventory"
	"undercoat/inventory/unit"
)

// Source: the demo's answer key, cloth table; to the printed hundredth.
func TestClothLengthsOfTheDemo(t *testing.T) {
	check := func(code string, area, width, shrink, have, need, with float64, note string) ClothNeed {
		t.Helper()
		c := inventory.Cloth{
			Article:   inventory.Article{Code: code, Unit: "m", Note: note, OnHand: unit.State(unit.Quantity{Amount: have, Unit: "m"})},
			Width:     unit.State(unit.Length(width)),
			Shrinkage: unit.State(shrink),
		}
		n := clothNeed(c, nil, unit.Extent(area*3.12))
		got, _ := n.Need.Get()
		if math.Abs(got.Amount-need) > 0.005 {
			t.Errorf("%s: %.3f m after shrinkage, want %.2f", code, got.Amount, need)
		}
		if r, _ := n.WithReserve.Get(); math.Abs(r.Amount-with) > 0.005 {
			t.Errorf("%s: %.3f m with reserve, want %.2f", code, r.Amount, with)
		}
		return n
	}
	c1 := check("C1", 2.60, 1.5, 0.015, 7.4, 6.86, 7.55, "one roll")
	if math.Round(100*c1.Reserve) != 8 || c1.Short.Amount <= 0 || c1.Prewash {
		t.Errorf("C1: reserve %.3f, short %v, prewash %v: want a reserve of only 8 %%", c1.Reserve, c1.Short, c1.Prewash)
	}
	check("C4", 0.35, 1.5, 0.04, 2.5, 0.95, 1.04, "")
	c5 := check("C5", 1.10, 1.1, 0.04, 5.0, 4.33, 4.98, "steam only; nap")
	check("C6", 1.30, 1.6, 0.05, 5.0, 3.34, 3.67, "")
	c7 := check("C7", 0.24, 1.5, 0, 2.2, 0.62, 0.69, "")
	if c5.Short.Amount != 0 || !c5.Prewash || c7.Short.Amount != 0 || c7.Prewash {
		t.Errorf("C5 %+v, C7 %+v", c5, c7)
	}
}

func TestClothOfUnknownWidthStaysUnknown(t *testing.T) {
	n := clothNeed(inventory.Cloth{Article: inventory.Article{Code: "C8", Unit: "m"}}, []string{"A6"}, 0.5)
	if n.Need.Known() || n.WithReserve.Known() || n.Short.Amount != 0 {
		t.Errorf("a length was made up: %+v", n)
	}
}

func TestSheetCountsSquareMetres(t *testing.T) {
	n := clothNeed(inventory.Cloth{Article: inventory.Article{Code: "C9", Unit: "m2"}}, nil, 0.8)
	if q, _ := n.Need.Get(); math.Abs(q.Amount-1) > 1e-12 || q.Unit != "m2" {
		t.Errorf("%v", q)
	}
}
