package inventory

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"sync"
	"testing"
	"time"

	"undercoat/inventory/unit"
	"undercoat/palette/colour"
)

func trimLine(code string, k Kind) Trim { return Trim{Article: Article{Code: code, Kind: k}} }

func TestNewStock(t *testing.T) {
	trims := []Trim{trimLine("T2", KindTrim), trimLine("T10", KindTrim), trimLine("T1", KindTrim)}
	paints := []Paint{{Article: Article{Code: "S1", Kind: KindSealer}}, {Article: Article{Code: "P1", Kind: KindPaint}, Base: "water"}}
	s, err := NewStock(paints, nil, nil, trims)
	if err != nil {
		t.Fatal(err)
	}
	var codes []string
	for a := range s.All() {
		codes = append(codes, a.Code)
	}
	if fmt.Sprint(codes) != "[P1 S1 T1 T10 T2]" || s.Len() != 5 {
		t.Errorf("by code: %v", codes)
	}
	if trims[0].Code != "T2" || paints[0].Code != "S1" {
		t.Error("the caller's lists were sorted")
	}
	trims[0].Code = "changed"
	s.Trims()[0].Code = "changed"
	if x, ok := s.Trim("T2"); !ok || x.Code != "T2" {
		t.Error("a snapshot changed with a list")
	}
	if p, ok := s.Paint("P1"); !ok || p.Base != "water" {
		t.Errorf("paint %+v", p)
	}
	if _, ok := s.Paint("T1"); ok {
		t.Error("a trim was found as a paint")
	}
	if _, ok := s.Article("Q"); ok {
		t.Error("an article that is not there was found")
	}
	for name, list := range map[string][]Trim{"no code": {trimLine("", KindTrim)}, "a code twice": {trimLine("A", KindTrim), trimLine("A", KindTrim)}, "another kind": {trimLine("A", KindDye)}} {
		if _, err := NewStock(nil, nil, nil, list); err == nil {
			t.Errorf("%s: taken", name)
		}
	}
	if _, err := NewStock([]Paint{{Article: Article{Code: "A", Kind: KindPaint}}}, nil, nil, []Trim{trimLine("A", KindTrim)}); err == nil {
		t.Error("a code in two lists: taken")
	}
	var empty Stock
	if empty.Len() != 0 || empty.Articles() == nil && len(empty.Articles()) != 0 || empty.Nearest(colour.Lab{}, 3) != nil || empty.Paints() != nil {
		t.Error("the zero value is not an empty shelf")
	}
	if _, ok := empty.Article("A"); ok {
		t.Error("an empty shelf holds A")
	}
}

func TestExpired(t *testing.T) {
	day := func(s string) unit.Stated[time.Time] { d, _ := unit.ParseDate(s); return unit.State(d) }
	a, b, c := trimLine("A", KindTrim), trimLine("B", KindTrim), trimLine("C", KindTrim)
	a.Expires, b.Expires = day("2026-10-26"), day("2026-10-27")
	s, err := NewStock(nil, nil, nil, []Trim{a, b, c})
	if err != nil {
		t.Fatal(err)
	}
	berlin, err := time.LoadLocation("Europe/Berlin")
	if err != nil {
		t.Fatal(err)
	}
	for at, want := range map[time.Time]string{
		time.Date(2026, 10, 26, 23, 59, 0, 0, berlin): "[]",
		time.Date(2026, 10, 27, 0, 0, 0, 0, berlin):   "[A]", // still the 26th in UTC: the wearer's day counts
		time.Date(2026, 10, 28, 12, 0, 0, 0, berlin):  "[A B]",
	} {
		var got []string
		for _, x := range s.Expired(at) {
			got = append(got, x.Code)
		}
		if fmt.Sprint(got) != want {
			t.Errorf("on %v: %v, want %v", at, got, want)
		}
	}
}

// Nearest gives what comparing every article gives, in the same order.
func TestNearestIsExact(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	kinds := Kinds()
	var paints []Paint
	var dyes []Dye
	var cloths []Cloth
	var trims []Trim
	for i := range 600 {
		a := Article{Code: fmt.Sprintf("X%03d", i), Kind: kinds[r.IntN(len(kinds))]}
		if r.IntN(10) > 0 {
			c, err := colour.FromHex(fmt.Sprintf("#%02x%02x%02x", r.IntN(16)*16, r.IntN(16)*16, r.IntN(16)*16)) // many equal ones
			if err != nil {
				t.Fatal(err)
			}
			a.Colour = unit.State(c)
		}
		switch listOf(a.Kind) {
		case 'p':
			paints = append(paints, Paint{Article: a})
		case 'd':
			dyes = append(dyes, Dye{Article: a})
		case 'c':
			cloths = append(cloths, Cloth{Article: a})
		default:
			trims = append(trims, Trim{Article: a})
		}
	}
	s, err := NewStock(paints, dyes, cloths, trims)
	if err != nil {
		t.Fatal(err)
	}
	for range 300 {
		target := colour.Lab{L: 100 * r.Float64(), A: 120*r.Float64() - 60, B: 120*r.Float64() - 60}
		var some []Kind
		for _, k := range kinds {
			if r.IntN(2) == 0 {
				some = append(some, k)
			}
		}
		n := 1 + r.IntN(20)
		got := s.Nearest(target, n, some...)
		want := slow(s, target, n, some)
		if len(got) != len(want) {
			t.Fatalf("%v of %v: %d found, want %d", n, some, len(got), len(want))
		}
		for i := range got {
			if got[i].Article.Code != want[i].Article.Code || got[i].Difference != want[i].Difference {
				t.Fatalf("place %d: %s %v, want %s %v", i, got[i].Article.Code, got[i].Difference, want[i].Article.Code, want[i].Difference)
			}
		}
	}
	if s.Nearest(colour.Lab{L: 50}, 0) != nil || len(s.Nearest(colour.Lab{L: 50}, 10_000)) < 400 {
		t.Error("none, or more than there are")
	}
}

// slow compares every article.
func slow(s Stock, target colour.Lab, n int, kinds []Kind) []Near {
	var all []Near
	for a := range s.All() {
		if c, ok := a.Colour.Get(); ok && (len(kinds) == 0 || slices.Contains(kinds, a.Kind)) {
			all = append(all, Near{Article: a, Difference: colour.Difference(target, c.Lab())})
		}
	}
	slices.SortStableFunc(all, func(a, b Near) int {
		switch {
		case a.Difference < b.Difference:
			return -1
		case a.Difference > b.Difference:
			return 1
		}
		return 0
	})
	return all[:min(n, len(all))]
}

// The same snapshot is handed out while nothing changes, to any number of
// readers, and a new one after a change by another program.
func TestSnapshotIsKept(t *testing.T) {
	f := newFile(t)
	mustImport(t, f, small())
	other, err := Open(ctx, f.Path(), clock)
	if err != nil {
		t.Fatal(err)
	}
	defer other.Close()
	first, err := f.Stock(ctx)
	if err != nil {
		t.Fatal(err)
	}
	var readers sync.WaitGroup
	for range 8 {
		readers.Go(func() {
			s, err := f.Stock(ctx)
			if err != nil || s.in != first.in || len(s.Nearest(colour.Lab{L: 50}, 2)) != 2 {
				t.Errorf("another snapshot, %v", err)
			}
		})
	}
	readers.Wait()
	if err := other.Count(ctx, "T3", ml(7), Because{}); err != nil {
		t.Fatal(err)
	}
	s, err := f.Stock(ctx)
	if a, _ := s.Article("T3"); err != nil || a.OnHand.Or(ml(0)) != ml(7) {
		t.Errorf("after a count elsewhere: %v, %v", a.OnHand, err)
	}
	if a, _ := first.Article("T3"); a.OnHand.Or(ml(0)) != ml(45) {
		t.Errorf("an old snapshot changed: %v", a.OnHand)
	}
}

// A row that does not load stops the reading with its place, whatever batch it
// stands in.
func TestLoadingNamesTheRow(t *testing.T) {
	f := newFile(t)
	if _, err := f.ImportStock(ctx, manyLines(1500)); err != nil {
		t.Fatal(err)
	}
	s, err := f.Stock(ctx)
	if err != nil || s.Len() != 1500 {
		t.Fatal(s.Len(), err)
	}
	for _, row := range []int{0, 255, 256, 1499} {
		mustExec(t, f, `UPDATE stock SET colour = 'no' WHERE code = ?`, fmt.Sprintf("L%06d", row))
		f.kept = keptStock{}
		want := fmt.Sprintf("read stock: table stock: row %d: column colour: found \"no\", expected a colour such as #6c7176 or lab(47.4 -0.8 -3.4)", row+1)
		if _, err := f.Stock(ctx); fmt.Sprint(err) != want {
			t.Errorf("got %v, want %s", err, want)
		}
		mustExec(t, f, `UPDATE stock SET colour = '#fff' WHERE code = ?`, fmt.Sprintf("L%06d", row))
	}
}

func ExampleStock_Nearest() {
	grey, _ := colour.FromLab(colour.Lab{L: 48.2, A: -0.9, B: -2.2}, colour.Measured)
	brown, _ := colour.FromHex("#6e5134")
	stock, _ := NewStock(nil, nil, []Cloth{
		{Article: Article{Code: "C1", Name: "Slate suiting", Kind: KindCloth, Colour: unit.State(grey)}},
		{Article: Article{Code: "C9", Name: "Brown felt", Kind: KindCloth, Colour: unit.State(brown)}},
	}, nil)
	for _, near := range stock.Nearest(colour.Lab{L: 47.4, A: -0.8, B: -3.4}, 1) {
		fmt.Printf("%s ΔE00 %.1f\n", near.Article.Name, near.Difference)
	}
	// Output:
	// Slate suiting ΔE00 1.3
}
