package finish

import (
	"io/fs"
	"math"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"undercoat/finish/plan"
	"undercoat/inventory"
	"undercoat/inventory/unit"
	"undercoat/testdata/demo"
)

// renamed is the demo's folder as a job of another name.
func renamed(t *testing.T, name string) fs.FS {
	t.Helper()
	all := fstest.MapFS{}
	err := fs.WalkDir(demo.Files(), ".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		b, err := fs.ReadFile(demo.Files(), path)
		if path == "job.csv" {
			b = []byte(strings.Replace(string(b), "Low Water Night", name, 1))
		}
		all[path] = &fstest.MapFile{Data: b}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// spreadOf is what the plan takes for a product on an area: mL/m² of the coat
// on the ground and of a later one.
func spreadOf(t *testing.T, b *Bench, area, code string) (first, later float64, basis string) {
	t.Helper()
	a, err := b.PlanAt(t.Context(), demoClock(), plan.FanAsRoom)
	if err != nil {
		t.Fatal(err)
	}
	for _, l := range a.ForArea(area).Areas[0].Layers {
		if l.Code == code {
			return l.FirstML, l.SpreadML, l.SpreadFrom
		}
	}
	t.Fatalf("%s has no %s", area, code)
	return 0, 0, ""
}

// What a finished coat was weighed to use corrects the spread of that product
// on that ground: in this job, and in every job after it. By hand: 90 mL on
// 0.18 m² × 3.12 with 15 % working loss are 139.4 mL/m²; T3's label says 95.
func TestWeighedCoatTeachesLaterJobs(t *testing.T) {
	b, ctx := contactBench(t)
	choose := func(b *Bench, area string, layers ...inventory.RecipeLayer) {
		if err := b.Choose(ctx, area, layers); err != nil {
			t.Fatal(err)
		}
	}
	choose(b, "A4", inventory.RecipeLayer{Code: "T3", Coats: 2})
	if _, later, basis := spreadOf(t, b, "A4", "T3"); basis != "stated" || later != 95 {
		t.Fatalf("before anything is weighed: %g, %s", later, basis)
	}
	if _, err := b.Done(ctx, "A4-T3-1", "2026-10-27 20:00", "90 ml"); err != nil {
		t.Fatal(err)
	}
	check := func(b *Bench, name string, wantFirst, wantLater float64) {
		t.Helper()
		first, later, basis := spreadOf(t, b, "A4", "T3")
		if math.Abs(first-wantFirst) > 0.05 || math.Abs(later-wantLater) > 0.05 || basis != "weighed" {
			t.Errorf("%s: first %g, later %g, %s; want %g, %g", name, first, later, basis, wantFirst, wantLater)
		}
	}
	check(b, "this job", 139.4, 95)

	if _, err := b.ImportJob(ctx, renamed(t, "Second Night")); err != nil {
		t.Fatal(err)
	}
	next := b.ForJob("Second Night")
	choose(next, "A4", inventory.RecipeLayer{Code: "T3", Coats: 2})
	choose(next, "A8", inventory.RecipeLayer{Code: "T3", Coats: 2})
	check(next, "the next job", 139.4, 95)
	if _, _, basis := spreadOf(t, next, "A8", "T3"); basis != "stated" {
		t.Errorf("another ground: %s", basis)
	}

	// A pot weighed before and after two coats, 1.2 g/mL: 120 g are 100 mL on
	// 2 × 0.5 m², with the working loss 87.0 mL/m² for the coats on the paint.
	if err := b.file.AddWeighing(ctx, inventory.WeighingFact{Code: "T3", At: time.Date(2026, 10, 20, 12, 0, 0, 0, time.UTC), Before: 400, After: 280, Painted: 0.5, Coats: 2, Density: unit.State(1.2)}); err != nil {
		t.Fatal(err)
	}
	check(next, "with a weighed pot", 139.4, 87)
}
