package inventory

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"undercoat/inventory/unit"

	"pgregory.net/rapid"
)

func ml(v float64) unit.Quantity { return unit.Quantity{Amount: v, Unit: "ml"} }

func TestMovementsExplainAnAmount(t *testing.T) {
	f := newFile(t)
	mustImport(t, f, small())
	why := Because{Job: "Harvest play"}
	for _, err := range []error{
		f.Buy(ctx, "T3", ml(100), Because{Note: "two shops"}),
		f.Reserve(ctx, "T3", ml(60), why),
		f.Use(ctx, "T3", ml(20), Because{Job: "Harvest play", Step: "A2.T3.1"}),
		f.Use(ctx, "T3", ml(5), Because{}),
		f.ThrowAway(ctx, "T3", ml(10), Because{Note: "dried up"}),
		f.Count(ctx, "T3", ml(108), Because{}),
		f.Release(ctx, "T3", ml(15), why),
	} {
		if err != nil {
			t.Fatal(err)
		}
	}
	list, err := f.Movements(ctx, "T3")
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, m := range list {
		got = append(got, strings.TrimSpace(fmt.Sprintf("%s %+g %+g =%g %s %s%s", m.What, m.Amount, m.Held, m.OnHand, m.Job, m.Step, m.Note)))
		if m.At != clock() || m.Unit != "ml" {
			t.Errorf("movement %+v", m)
		}
	}
	want := []string{"counted +45 +0 =45", "bought +100 +0 =145  two shops", "reserved +0 +60 =145 Harvest play", "used -20 -20 =125 Harvest play A2.T3.1",
		"used -5 +0 =120", "thrown away -10 +0 =110  dried up", "counted -2 +0 =108", "released +0 -15 =108 Harvest play"}
	if strings.Join(got, "\n") != strings.Join(want, "\n") {
		t.Errorf("movements\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
	// On the shelf 108, of which the job still holds 60 - 20 - 15 = 25.
	s, _ := f.Stock(ctx)
	if a, _ := s.Article("T3"); a.OnHand.Or(ml(-1)) != ml(83) || a.Reserved != ml(25) {
		t.Errorf("for anyone: %v, reserved %v", a.OnHand, a.Reserved)
	}
	s, err = f.StockFor(ctx, "Harvest play")
	if a, _ := s.Article("T3"); err != nil || a.OnHand.Or(ml(-1)) != ml(108) || a.Reserved != ml(0) {
		t.Errorf("for the job: %v, reserved %v, %v", a.OnHand, a.Reserved, err)
	}
	if held, err := f.Reserved(ctx, "Harvest play"); err != nil || fmt.Sprint(held) != "[{T3 25 ml}]" {
		t.Errorf("held %v, %v", held, err)
	}
	if p, ok := s.Paint("T3"); !ok || p.Pack.Or(ml(0)) != ml(100) || p.Price.Or(0) != 980 || p.Cure.Or(0) != 96*time.Hour || p.Elongation.Or(0) != 1.1 {
		t.Errorf("paint %+v", p)
	}
}

func TestMovementsRefuse(t *testing.T) {
	f := newFile(t)
	mustImport(t, f, small())
	job := Because{Job: "Harvest play"}
	for name, c := range map[string]struct {
		err  error
		want string
	}{
		"unknown line":     {f.Use(ctx, "X9", ml(1), Because{}), "stock line X9: not found"},
		"another unit":     {f.Use(ctx, "D1", ml(1), Because{}), `found the unit "ml", expected "g"`},
		"no unit":          {f.Use(ctx, "D1", unit.Quantity{Amount: 1}, Because{}), "unit"},
		"negative":         {f.Use(ctx, "T3", ml(-1), Because{}), "0 or more"},
		"not a number":     {f.Use(ctx, "T3", ml(math.NaN()), Because{}), "0 or more"},
		"infinite":         {f.Count(ctx, "T3", ml(math.Inf(1)), Because{}), "0 or more"},
		"nobody's reserve": {f.Reserve(ctx, "T3", ml(1), Because{}), "the job it is for"},
		"unknown job":      {f.Reserve(ctx, "T3", ml(1), Because{Job: "Nothing"}), `job "Nothing": not found`},
		"more than held":   {f.Release(ctx, "T3", ml(1), job), "the job holds 0 ml"},
	} {
		if c.err == nil || !strings.Contains(c.err.Error(), c.want) {
			t.Errorf("%s: got %v, want %q", name, c.err, c.want)
		}
	}
	if list, err := f.Movements(ctx, "T3"); err != nil || len(list) != 1 {
		t.Errorf("a refused movement is there: %v, %v", list, err)
	}
	if _, err := f.Movements(ctx, "X9"); !errors.Is(err, ErrNotFound) {
		t.Errorf("movements of nothing: %v", err)
	}
	// S1 was never counted: unknown, not zero; its unit comes with the first
	// movement.
	if s, _ := f.Stock(ctx); true {
		if a, _ := s.Article("S1"); a.OnHand.Known() {
			t.Errorf("on hand %v of a line nobody counted", a.OnHand)
		}
	}
	if err := f.Buy(ctx, "S1", ml(500), Because{}); err != nil {
		t.Fatal(err)
	}
	if l, err := f.Line(ctx, "S1"); err != nil || l.Unit != "ml" || l.OnHand.Or(0) != 500 {
		t.Errorf("line %+v, %v", l, err)
	}
}

// The law of the shelf: what is on hand is the sum of the movements, whatever
// happened, and a count sets it.
func TestOnHandIsTheSum(t *testing.T) {
	f := newFile(t)
	mustImport(t, f, small())
	rapid.Check(t, func(t *rapid.T) {
		for range rapid.IntRange(1, 8).Draw(t, "movements") {
			q := ml(float64(rapid.IntRange(0, 5000).Draw(t, "tenths")) / 10)
			why := Because{Job: rapid.SampledFrom([]string{"", "Harvest play"}).Draw(t, "job")}
			var err error
			switch rapid.IntRange(0, 4).Draw(t, "what") {
			case 0:
				err = f.Buy(ctx, "T3", q, why)
			case 1:
				err = f.Use(ctx, "T3", q, why)
			case 2:
				err = f.ThrowAway(ctx, "T3", q, why)
			case 3:
				err = f.Reserve(ctx, "T3", q, Because{Job: "Harvest play"})
			case 4:
				err = f.Count(ctx, "T3", q, why)
				if l, _ := f.Line(ctx, "T3"); l.OnHand.Or(-1) != q.Amount {
					t.Fatalf("counted %v, on hand %v", q, l.OnHand)
				}
			}
			if err != nil {
				t.Fatal(err)
			}
		}
		list, err := f.Movements(ctx, "T3")
		if err != nil {
			t.Fatal(err)
		}
		amount, held := 0.0, 0.0
		for _, m := range list {
			amount, held = amount+m.Amount, held+m.Held
		}
		s, err := f.Stock(ctx)
		a, _ := s.Article("T3")
		if err != nil || math.Abs(a.OnHand.Or(ml(-1)).Amount-(amount-held)) > 1e-6 || math.Abs(list[len(list)-1].OnHand-amount) > 1e-6 || held < -1e-9 {
			t.Fatalf("on hand %v, sum of movements %v, held %v, last %v", a.OnHand, amount, held, list[len(list)-1].OnHand)
		}
	})
}

// A count of 0.1 after large amounts once left 0.0999999999999 on hand.
func TestCountAfterLargeAmounts(t *testing.T) {
	f := newFile(t)
	mustImport(t, f, small())
	for _, v := range []float64{499.7, 0.1, 123456.7, 0.3, 1e8 + 0.123457, 0.7} {
		if err := f.Buy(ctx, "T3", ml(33.3), Because{}); err != nil {
			t.Fatal(err)
		}
		if err := f.Count(ctx, "T3", ml(v), Because{}); err != nil {
			t.Fatal(err)
		}
		if l, err := f.Line(ctx, "T3"); err != nil || l.OnHand.Or(-1) != v {
			t.Errorf("counted %v, on hand %v, %v", v, l.OnHand, err)
		}
	}
}
