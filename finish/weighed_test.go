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

// A pot weighed before and after a coat: the density is asked for once, the use
// follows from it, the spread learns, and taking the step back takes all back.
// By hand: 108 g at 1.2 g/mL are 90 mL, which are the 139.4 mL/m² of
// [TestWeighedCoatTeachesLaterJobs].
func TestPotWeighedBeforeAndAfter(t *testing.T) {
	b, ctx := contactBench(t)
	if err := b.Choose(ctx, "A4", []inventory.RecipeLayer{{Code: "T3", Coats: 2}}); err != nil {
		t.Fatal(err)
	}
	for want, bad := range map[string]Weighed{
		"not known": {Before: "400 g", After: "292 g"},
		"less than": {Before: "292 g", After: "400 g", Density: "1.2"},
		"from 0.1":  {Before: "400 g", After: "292 g", Density: "1200"},
		"before":    {Before: "400 ml", After: "292 g", Density: "1.2"},
	} {
		if _, err := b.DoneWeighed(ctx, "A4-T3-1", "2026-10-27 20:00", bad); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%+v: %v, want %q", bad, err, want)
		}
	}
	a, err := b.DoneWeighed(ctx, "A4-T3-1", "2026-10-27 20:00", Weighed{Before: "400 g", After: "292 g", Density: "1.2"})
	if err != nil {
		t.Fatal(err)
	}
	if !strings.HasSuffix(a.Effect, "weighed: 90 ml at 1.2 g/ml") {
		t.Error(a.Effect)
	}
	first, later, basis := spreadOf(t, b, "A4", "T3")
	if math.Abs(first-139.4) > 0.05 || later != 95 || basis != "weighed" {
		t.Errorf("first %g, later %g, %s", first, later, basis)
	}
	if a, err = b.DoneWeighed(ctx, "A4-T3-2", "2026-10-28 20:00", Weighed{Before: "292 g", After: "220 g"}); err != nil || !strings.HasSuffix(a.Effect, "weighed: 60 ml at 1.2 g/ml") {
		t.Errorf("the density of the last weighing: %q, %v", a.Effect, err)
	}
	for _, step := range []string{"A4-T3-2", "A4-T3-1"} {
		if _, err := b.Undo(ctx, step); err != nil {
			t.Fatal(err)
		}
	}
	if _, later, basis := spreadOf(t, b, "A4", "T3"); basis != "stated" || later != 95 {
		t.Errorf("taken back: %g, %s", later, basis)
	}
}
