package finish

import (
	"context"
	"errors"
	"math"
	"path/filepath"
	"strings"
	"testing"

	"undercoat/inventory"
	"undercoat/palette/colour"
)

// paintBench is a workroom with three counted paints; the white states its
// density, the others do not.
func paintBench(t *testing.T) *Bench {
	t.Helper()
	b, err := Open(t.Context(), filepath.Join(t.TempDir(), "w.db"), demoClock)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { b.Close() })
	for _, c := range []map[string]string{
		{"code": "W1", "name": "White", "kind": "paint", "colour": "#f4f3ef", "hiding_black": "0.72", "wet_film_um": "110", "on_hand": "200", "unit": "ml", "density_g_ml": "1.5", "expires": "2027-03-01", "hazards": "H317"},
		{"code": "T1", "name": "Teal", "kind": "paint", "colour": "#16697a", "hiding_black": "0.8", "wet_film_um": "100", "on_hand": "100", "unit": "ml", "heat_c": "150"},
		{"code": "K1", "name": "Black", "kind": "paint", "colour": "#202124", "hiding_black": "0.9", "wet_film_um": "100", "on_hand": "90", "unit": "g"},
	} {
		if err := b.AddStock(t.Context(), c); err != nil {
			t.Fatal(err)
		}
	}
	return b
}

func onHand(t *testing.T, b *Bench, code string) float64 {
	t.Helper()
	s, err := b.file.Stock(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	a, _ := s.Article(code)
	q, _ := a.OnHand.Get()
	return q.Amount
}

// Arithmetic of the bench: five parts of 1.2 g/ml and one of 1.5 g/ml by mass
// in 100 ml; a drop is 0.05 ml; a batch takes what it is made of off the
// shelf, each in the unit it is counted in.
func TestRecipeAmounts(t *testing.T) {
	b, ctx := paintBench(t), context.Background()
	r, err := b.SaveRecipe(ctx, RecipeEntry{Name: "teal", Parts: "T1:5,W1:1", Target: "#2c7c82"})
	if err != nil {
		t.Fatal(err)
	}
	r, err = b.Recipe(ctx, r.Number, "100 ml")
	if err != nil || len(r.Scaled) != 2 {
		t.Fatalf("%+v, %v", r, err)
	}
	// x g in all: 5x/6/1.2 + x/6/1.5 = 100
	x := 100 / (5.0/6/1.2 + 1.0/6/1.5)
	for i, want := range []ScaledPart{
		{Code: "T1", Grams: 5 * x / 6, ML: 5 * x / 6 / 1.2, Drops: int(math.Round(5 * x / 6 / 1.2 / 0.05)), Assumed: true},
		{Code: "W1", Grams: x / 6, ML: x / 6 / 1.5, Drops: int(math.Round(x / 6 / 1.5 / 0.05))},
	} {
		got := r.Scaled[i]
		if got.Code != want.Code || math.Abs(got.Grams-want.Grams) > 0.01 || math.Abs(got.ML-want.ML) > 0.01 || got.Drops != want.Drops || got.Assumed != want.Assumed {
			t.Errorf("part %d: %+v, want %+v", i, got, want)
		}
	}
	if _, err := b.MixBatch(ctx, r.Number, "60 g", "shelf 2", ""); err != nil {
		t.Fatal(err)
	}
	if got := onHand(t, b, "T1"); math.Abs(got-(100-50/1.2)) > 1e-3 {
		t.Errorf("teal on hand %g ml", got)
	}
	if got := onHand(t, b, "W1"); math.Abs(got-(200-10/1.5)) > 1e-3 {
		t.Errorf("white on hand %g ml", got)
	}
	r, err = b.UseBatch(ctx, 1, "12.5 g", "", "a sample")
	if err != nil || r.Batches[0].Left != 47.5 {
		t.Errorf("left %+v, %v", r.Batches, err)
	}
	l, err := b.Label(ctx, 0, 1)
	if err != nil || l.Recipe != r.Number || l.Left != 47.5 || l.UseBy != "2027-03-01" || len(l.Hazards) != 1 || len(l.Set) != 1 || len(l.Parts) != 2 || l.Parts[0].Grams != 50 {
		t.Errorf("label %+v, %v", l, err)
	}
	// 10 ml weigh 10·6/(5/1.2 + 1/1.5) = 12.41 g: densities as above.
	if used, err := b.UseBatch(ctx, 1, "10 ml", "", ""); err != nil || used.Batches[0].Left != 35.1 {
		t.Errorf("left after 10 ml %+v, %v", used.Batches, err)
	}
	if _, err := b.UseBatch(ctx, 1, "10 cm", "", ""); err == nil || !strings.Contains(err.Error(), "that is a length: expected a mass") {
		t.Errorf("10 cm of paint: %v", err)
	}
	for name, err := range map[string]error{
		"no amount":     second(b.Recipe(ctx, r.Number, "a bit")),
		"no recipe":     second(b.Recipe(ctx, 9, "")),
		"no batch":      second(b.UseBatch(ctx, 9, "1 g", "", "")),
		"another label": second(b.Label(ctx, 9, 1)),
	} {
		if err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}

// A batch that came out too light is brought nearer by additions only, which
// come off the shelf; the corrected recipe names its parent and holds the masses
// of the pot, and the old batch is used up in the new one.
func TestCorrectionIsKept(t *testing.T) {
	b, ctx := paintBench(t), context.Background()
	if _, err := b.SaveRecipe(ctx, RecipeEntry{Name: "teal", Parts: "T1:5,W1:1", Target: "#2c7c82"}); err != nil {
		t.Fatal(err)
	}
	if _, err := b.MixBatch(ctx, 1, "60 g", "shelf 2", ""); err != nil {
		t.Fatal(err)
	}
	seen, _ := colour.FromHex("#5a9ca2")
	before := map[string]float64{"T1": onHand(t, b, "T1"), "W1": onHand(t, b, "W1"), "K1": onHand(t, b, "K1")}
	ask := CorrectRequest{Batch: 1, Seen: seen, Add: []string{"T1", "K1", "W1"}}
	plain, err := b.Correct(ctx, ask)
	if err != nil || plain.Kept != nil || len(plain.Add) == 0 {
		t.Fatalf("%+v, %v", plain, err)
	}
	if all, _ := b.Recipes(ctx); len(all) != 1 {
		t.Fatalf("asking kept something: %d recipes", len(all))
	}
	ask.Keep = true
	a, err := b.Correct(ctx, ask)
	if err != nil || a.Kept == nil {
		t.Fatalf("%+v, %v", a, err)
	}
	if a.After >= a.Before || a.AfterRange[0] > a.After || a.AfterRange[1] < a.After || a.Mass != 60 {
		t.Errorf("%+v", a)
	}
	added := 0.0
	for _, p := range a.Add {
		if p.Grams <= 0 {
			t.Errorf("takes away %+v", p)
		}
		added += p.Grams
		gone := before[p.Code] - onHand(t, b, p.Code)
		want := p.ML
		if p.Code == "K1" {
			want = p.Grams
		}
		if math.Abs(gone-want) > 0.02 {
			t.Errorf("%s: %g gone from the shelf, want %g", p.Code, gone, want)
		}
	}
	if math.Abs(a.MassAfter-60-added) > 0.1 {
		t.Errorf("mass after %g, want %g", a.MassAfter, 60+added)
	}
	if k := a.Kept; *k.Parent != 1 || len(k.Batches) != 1 || math.Abs(k.Batches[0].Made-a.MassAfter) > 0.1 || k.Batches[0].Place != "shelf 2" {
		t.Errorf("kept %+v", k)
	}
	if r, _ := b.Recipe(ctx, 1, ""); r.Batches[0].Left != 0 {
		t.Errorf("old batch %+v", r.Batches[0])
	}
	if _, err := b.Correct(ctx, ask); err == nil || !strings.Contains(err.Error(), "nothing is left") {
		t.Errorf("an empty batch corrected again: %v", err)
	}
	if _, err := b.Correct(ctx, CorrectRequest{Batch: 7, Seen: seen}); !errors.Is(err, inventory.ErrNotFound) {
		t.Errorf("unknown batch: %v", err)
	}
}
