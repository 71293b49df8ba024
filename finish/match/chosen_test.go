package match

import (
	"testing"

	"undercoat/inventory"
	"undercoat/inventory/unit"
)

// The interval of a chosen number holds it and is the same every time.
func TestChosenCoatsHoldTheNumber(t *testing.T) {
	count := func(edit func(*inventory.Paint), ground string, n int) Count {
		t.Helper()
		s := paintWith(t, edit)
		q := HouseQuestion{Ground: Ground{Code: ground}, Layers: []Layer{{"P", n}}}
		a, err := ChosenCoats(q, s)
		if err != nil {
			t.Fatal(err)
		}
		b, _ := ChosenCoats(q, s)
		if a[0].N != n || a[0].Low > n || a[0].High < n || !a[0].Reached || a[0].Driver == "" || b[0].Low != a[0].Low || b[0].High != a[0].High {
			t.Errorf("%d coats on %s: %+v, then %+v", n, ground, a[0], b[0])
		}
		return a[0]
	}
	thin := func(p *inventory.Paint) { p.HidingBlack, p.HidingWhite = unit.State(0.35), unit.State(0.35) }
	word := func(p *inventory.Paint) {
		p.HidingBlack, p.HidingWhite = unit.Stated[float64]{}, unit.Stated[float64]{}
		p.Note = "semi-opaque"
	}
	stated, guessed := count(thin, "K", 3), count(word, "K", 3)
	if stated.High == stated.Low || guessed.High == guessed.Low {
		t.Errorf("no doubt at all: %+v, %+v", stated, guessed)
	}
	// One coat in 35 % of the way: 1 − 0.65³ = 0.73 of it after three, so that at
	// half its strength it takes about six, and never one.
	if stated.Low < 2 || stated.High > 6 {
		t.Errorf("three thin coats may be %d–%d", stated.Low, stated.High)
	}
	if _, err := ChosenCoats(HouseQuestion{Ground: Ground{Code: "none"}}, inventory.Stock{}); err == nil {
		t.Error("a ground that is not there is answered")
	}
}
