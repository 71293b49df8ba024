package inventory

import (
	"errors"
	"fmt"
	"math"
	"os"
	"strings"
	"testing"
	"time"

	"undercoat/inventory/unit"
	"undercoat/palette/colour"
)

func written(t testing.TB, text string) unit.Stated[Written] {
	t.Helper()
	w, err := Write(text)
	if err != nil {
		t.Fatal(err)
	}
	return unit.State(w)
}

func TestApproveKeepsEveryApproval(t *testing.T) {
	f := newFile(t)
	mustImport(t, f, small())
	at := At{Job: "Harvest play"}
	for i, text := range []string{"#2c7c82", "lab(48 -22 -10)"} {
		v, err := f.Approve(ctx, at, TargetFact{Area: "A2", Colour: written(t, text), Radius: unit.State(1.5), Note: "seen in the hall\r\nand outside"})
		if err != nil || v != int64(i+2) {
			t.Fatalf("version %d, %v", v, err)
		}
	}
	j, err := f.Job(ctx, at.Job)
	if err != nil || len(j.Targets) != 2 || j.Targets[0].Colour.String() != "#2c7c82" || j.Targets[1].Colour.String() != "lab(48 -22 -10)" {
		t.Fatalf("targets %v, %v", j.Targets, err)
	}
	if r := j.Targets[1]; !r.At.Or(time.Time{}).Equal(clock()) || r.Radius.Or(0) != 1.5 || r.Note != "seen in the hall\nand outside" {
		t.Errorf("approval %+v", r)
	}
	for name, r := range map[string]TargetFact{"no area": {Colour: written(t, "#123")}, "unknown area": {Area: "A9", Colour: written(t, "#123")}, "no colour": {Area: "A2"},
		"a wrong word": {Area: "A2", Colour: written(t, "#123"), Basis: "guessed"}} {
		var bad *BadCells
		if _, err := f.Approve(ctx, at, r); !errors.As(err, &bad) || len(bad.Cells) != 1 {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := f.Approve(ctx, At{Job: "Nothing"}, TargetFact{}); !errors.Is(err, ErrNotFound) {
		t.Errorf("unknown job: %v", err)
	}
	if v, _ := f.JobVersion(ctx, at.Job); v != 3 {
		t.Errorf("a refused approval counted the version up to %d", v)
	}
}

func TestDoneAndUndo(t *testing.T) {
	f := newFile(t)
	mustImport(t, f, small())
	at := At{Job: "Harvest play"}
	if err := f.Reserve(ctx, "T3", ml(30), Because{Job: at.Job}); err != nil {
		t.Fatal(err)
	}
	step := DoneFact{Step: "A2.T3.1", Code: "T3", Used: unit.State(ml(20))}
	state := func() string {
		l, err := f.Line(ctx, "T3")
		if err != nil {
			t.Fatal(err)
		}
		s, _ := f.Stock(ctx)
		a, _ := s.Article("T3")
		return fmt.Sprintf("%v on hand, %v held", l.OnHand, a.Reserved)
	}
	before := state()
	for range 3 { // done, taken back, and done again
		if _, err := f.Done(ctx, at, step); err != nil {
			t.Fatal(err)
		}
		if s := state(); s != "25 on hand, 10 ml held" {
			t.Errorf("done: %s", s)
		}
		if _, err := f.Done(ctx, at, step); !errors.Is(err, ErrExists) || !strings.Contains(err.Error(), "done at 2026-10-26T09:00:00Z") {
			t.Errorf("done twice: %v", err)
		}
		if _, err := f.Undo(ctx, at, step.Step); err != nil {
			t.Fatal(err)
		}
		if s := state(); s != before {
			t.Errorf("taken back: %s, was %s", s, before)
		}
	}
	if _, err := f.Undo(ctx, at, step.Step); !errors.Is(err, ErrNotFound) {
		t.Errorf("taken back twice: %v", err)
	}
	j, err := f.Job(ctx, at.Job)
	if err != nil || len(j.Done) != 1 || j.Done[0].Step != "A2-cut" {
		t.Errorf("steps %v, %v", j.Done, err)
	}
	for name, r := range map[string]DoneFact{"no step": {}, "an amount of nothing": {Step: "x", Used: unit.State(ml(1))}, "unknown line": {Step: "x", Code: "X9"}} {
		var bad *BadCells
		if _, err := f.Done(ctx, at, r); !errors.As(err, &bad) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := f.Done(ctx, at, DoneFact{Step: "x", Code: "D1", Used: unit.State(ml(1))}); err == nil {
		t.Error("millilitres of a powder were taken")
	}
	if j, _ := f.Job(ctx, at.Job); len(j.Done) != 1 {
		t.Error("a step whose amount was refused is there")
	}
}

func TestAddTestNumbersItself(t *testing.T) {
	f := newFile(t)
	mustImport(t, f, small())
	at := At{Job: "Harvest play"}
	for range 2 {
		if _, err := f.AddTest(ctx, at, TestFact{Subject: "A2", Against: "C6", How: "press", Clean: written(t, "lab(95 0 2)")}); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := f.AddTest(ctx, at, TestFact{Code: "RT1", Subject: "A2"}); !errors.Is(err, ErrExists) {
		t.Errorf("a code twice: %v", err)
	}
	j, _ := f.Job(ctx, at.Job)
	if len(j.Tests) != 3 || j.Tests[1].Code != "RT2" || j.Tests[2].Code != "RT3" || !j.Tests[1].When.Known() {
		t.Errorf("tests %+v", j.Tests)
	}
}

// The best colour of an article is the one that was measured best; a drawdown
// over black is not its own colour.
func TestMeasuresGiveTheColour(t *testing.T) {
	f := newFile(t)
	mustImport(t, f, small())
	colourOf := func() colour.Colour {
		s, err := f.Stock(ctx)
		if err != nil {
			t.Fatal(err)
		}
		a, _ := s.Article("C6")
		c, _ := a.Colour.Get()
		return c
	}
	if c := colourOf(); c.Basis() != colour.Declared || c.Hex() != "#efe8da" {
		t.Errorf("declared %v %v", c.Basis(), c.Hex())
	}
	lab := func(l float64) unit.Stated[colour.Lab] { return unit.State(colour.Lab{L: l, A: 0, B: 8}) }
	grey := colour.Reflectance{}
	for i := range grey {
		grey[i] = 0.5
	}
	for _, c := range []struct {
		m     Measure
		basis colour.Basis
		l     float64
	}{
		{Measure{Code: "C6", Lab: lab(20), Over: "black", Kind: "drawdown"}, colour.Declared, 92.2},
		{Measure{Code: "C6", Lab: lab(40), Over: "itself", Light: "2900 K"}, colour.Declared, 92.2},
		{Measure{Code: "C6", Lab: lab(91), Over: "itself", Light: "D65"}, colour.Measured, 91},
		{Measure{Code: "C6", Lab: lab(90), Kind: "swatch"}, colour.Measured, 90},
		{Measure{Code: "C6", Spectrum: unit.State(grey), Over: "itself"}, colour.Spectral, 76.07}, // L* of Y = 0.5: 116 (0.5)^(1/3) - 16
		{Measure{Code: "C6", Lab: lab(89), Kind: "swatch"}, colour.Spectral, 76.07},
	} {
		if _, err := f.AddMeasure(ctx, At{}, c.m); err != nil {
			t.Fatal(err)
		}
		if got := colourOf(); got.Basis() != c.basis || math.Abs(got.Lab().L-c.l) > 0.05 {
			t.Errorf("after %+v: %v, L* %.2f; want %v, %.2f", c.m.Lab, got.Basis(), got.Lab().L, c.basis, c.l)
		}
	}
	if list, err := f.Measures(ctx, "C6"); err != nil || len(list) != 6 || list[4].Spectrum.Or(colour.Reflectance{}) != grey {
		t.Errorf("%d measures, %v", len(list), err)
	}
	if v, err := f.AddMeasure(ctx, At{Job: "Harvest play"}, Measure{Code: "A2", Light: "hall", Lab: lab(50)}); err != nil || v != 2 {
		t.Errorf("the job's own sample: version %d, %v", v, err)
	}
	for name, m := range map[string]Measure{"an area without a job": {Code: "A2", Lab: lab(50)}, "nothing measured": {Code: "C6"}, "unknown light": {Code: "C6", Lab: lab(50), Light: "dusk"}} {
		var bad *BadCells
		if _, err := f.AddMeasure(ctx, At{}, m); !errors.As(err, &bad) || len(bad.Cells) != 1 {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// A tint is kept with its share and goes out and in by the tables; one that
// names no white, or a share of another kind, is refused with the cell named.
func TestTints(t *testing.T) {
	f := newFile(t)
	mustImport(t, f, small())
	tint := Measure{Code: "T3", Kind: Tint, Over: "W1", Share: unit.State(0.05), Lab: unit.State(colour.Lab{L: 78, A: -15, B: -7})}
	if err := f.Add(ctx, StockFact{Code: "W1", Name: "White", Kind: KindPaint}); err != nil {
		t.Fatal(err)
	}
	if _, err := f.AddMeasure(ctx, At{}, tint); err != nil {
		t.Fatal(err)
	}
	list, err := f.Measures(ctx, "T3")
	if err != nil || list[len(list)-1].Share.Or(0) != 0.05 || list[len(list)-1].Over != "W1" {
		t.Fatalf("measures %+v, %v", list, err)
	}
	dir := t.TempDir()
	if err := f.ExportStock(ctx, dir); err != nil {
		t.Fatal(err)
	}
	g := newFile(t)
	if _, err := g.ImportStock(ctx, os.DirFS(dir)); err != nil {
		t.Fatal(err)
	}
	if back, err := g.Measures(ctx, "T3"); err != nil || len(back) != len(list) || back[len(back)-1].Share.Or(0) != 0.05 {
		t.Errorf("out and in again: %+v, %v", back, err)
	}
	for name, c := range map[string]struct {
		change func(*Measure)
		column string
	}{
		"in itself":        {func(m *Measure) { m.Over = "itself" }, "over"},
		"in its own paint": {func(m *Measure) { m.Over = "T3" }, "over"},
		"in nothing":       {func(m *Measure) { m.Over = "" }, "over"},
		"no share of it":   {func(m *Measure) { m.Share = unit.State(0.0) }, "share_pct"},
		"all of it":        {func(m *Measure) { m.Share = unit.State(1.0) }, "share_pct"},
		"a strike-off":     {func(m *Measure) { m.Kind = "strike-off" }, "share_pct"},
	} {
		m := tint
		c.change(&m)
		var bad *BadCells
		if _, err := f.AddMeasure(ctx, At{}, m); !errors.As(err, &bad) || len(bad.Cells) != 1 || bad.Cells[0].Column != c.column {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestAddAndChangeLines(t *testing.T) {
	f := newFile(t)
	w, err := ParseStockColumns(map[string]string{"code": "W1", "name": "Chalk white", "Kind": "Paint", "colour": "#f4f3ef", "on_hand": "0.12", "unit": "l", "pack": "0.15", "price": "7,50", "shelf": "top"})
	if err != nil {
		t.Fatal(err)
	}
	if err := f.Add(ctx, w); err != nil {
		t.Fatal(err)
	}
	if err := f.Add(ctx, w); !errors.Is(err, ErrExists) {
		t.Errorf("added twice: %v", err)
	}
	l, err := f.Line(ctx, "W1")
	if err != nil || l.OnHand.Or(0) != 120 || l.Unit != "ml" || l.Pack.Or(0) != 150 || l.Price.Or(0) != 750 || l.Extra["shelf"] != "top" || l.Version != 1 {
		t.Fatalf("line %+v, %v", l, err)
	}
	if got := StockColumns(l.StockFact); got["price"] != "7.50" || got["on_hand"] != "120" || got["shelf"] != "top" || len(got) != 9 {
		t.Errorf("columns %v", got)
	}
	changed := l.StockFact
	changed.Name, changed.OnHand = "Chalk white, opaque", unit.State(999.0)
	if err := f.Change(ctx, changed, l.Version); err != nil {
		t.Fatal(err)
	}
	if err := f.Change(ctx, changed, l.Version); !errors.Is(err, ErrChanged) {
		t.Errorf("over a version that is gone: %v", err)
	}
	if l, _ = f.Line(ctx, "W1"); l.Name != changed.Name || l.OnHand.Or(0) != 120 || l.Version != 2 {
		t.Errorf("changed line %+v", l)
	}
	changed.Unit = "g"
	if err := f.Change(ctx, changed, 0); err == nil || !strings.Contains(err.Error(), `expected "ml"`) {
		t.Errorf("another unit under its movements: %v", err)
	}
	changed.Code = "X9"
	if err := f.Change(ctx, changed, 0); !errors.Is(err, ErrNotFound) {
		t.Errorf("a line that is not there: %v", err)
	}
	_, err = ParseStockColumns(map[string]string{"code": "no good", "name": "", "kind": "pant", "on_hand": "3"})
	var bad *BadCells
	if !errors.As(err, &bad) || len(bad.Cells) != 3 {
		t.Errorf("bad columns: %v", err)
	}
}

func TestRecipesAndBatches(t *testing.T) {
	f := newFile(t)
	mustImport(t, f, small())
	n, err := f.SaveRecipe(ctx, RecipeFact{Name: "Teal, a little greener", Parts: []Part{{"T3", 12.5}, {"D1", 0.5}}, Target: written(t, "#2c7c82"), Job: "Harvest play", Area: "A2"})
	if err != nil || n != 1 {
		t.Fatalf("recipe %d, %v", n, err)
	}
	n, err = f.SaveRecipe(ctx, RecipeFact{Name: "Teal, corrected", Parent: unit.State(int64(1)), Parts: []Part{{"T3", 12}, {"D1", 1}}, Layers: []RecipeLayer{{"T3", 2}}, Ground: "C6"})
	if err != nil || n != 2 {
		t.Fatalf("recipe %d, %v", n, err)
	}
	b, err := f.SaveBatch(ctx, BatchFact{Recipe: 1, Made: 130, Place: "jar 4"}, []Taken{{"T3", ml(30)}, {"D1", unit.Quantity{Amount: 5, Unit: "g"}}})
	if err != nil || b != 1 {
		t.Fatalf("batch %d, %v", b, err)
	}
	if left, err := f.UseBatch(ctx, 1, 50.1, Because{Job: "Harvest play", Step: "A2.1"}); err != nil || left != 79.9 {
		t.Errorf("left %v, %v", left, err)
	}
	r, batches, err := f.Recipe(ctx, 1)
	if err != nil || r.Name != "Teal, a little greener" || r.Total() != 13 || !r.At.Equal(clock()) || len(batches) != 1 || batches[0].Left != 79.9 || batches[0].Place != "jar 4" {
		t.Errorf("recipe %+v, batches %+v, %v", r, batches, err)
	}
	if p := r.For(130); p[0].Mass != 125 || p[1].Mass != 5 || r.Parts[0].Mass != 12.5 {
		t.Errorf("scaled to 130 g: %v", p)
	}
	if l, _ := f.Line(ctx, "T3"); l.OnHand.Or(0) != 15 {
		t.Errorf("on hand %v", l.OnHand)
	}
	if list, err := f.Recipes(ctx); err != nil || len(list) != 2 || list[1].Parent.Or(0) != 1 || list[1].Layers[0].Coats != 2 {
		t.Errorf("recipes %+v, %v", list, err)
	}
	for name, err := range map[string]error{
		"nothing in it":    second(f.SaveRecipe(ctx, RecipeFact{Name: "empty"})),
		"no name":          second(f.SaveRecipe(ctx, RecipeFact{Parts: []Part{{"T3", 1}}})),
		"unknown line":     second(f.SaveRecipe(ctx, RecipeFact{Name: "x", Parts: []Part{{"X9", 1}}})),
		"a line twice":     second(f.SaveRecipe(ctx, RecipeFact{Name: "x", Parts: []Part{{"T3", 1}, {"T3", 2}}})),
		"a part of 0 g":    second(f.SaveRecipe(ctx, RecipeFact{Name: "x", Parts: []Part{{"T3", 0}}})),
		"a part of NaN g":  second(f.SaveRecipe(ctx, RecipeFact{Name: "x", Parts: []Part{{"T3", unit.Mass(math.NaN())}}})),
		"unknown parent":   second(f.SaveRecipe(ctx, RecipeFact{Name: "x", Parent: unit.State(int64(9)), Parts: []Part{{"T3", 1}}})),
		"unknown recipe":   second(f.SaveBatch(ctx, BatchFact{Recipe: 9, Made: 1}, nil)),
		"a batch of 0 g":   second(f.SaveBatch(ctx, BatchFact{Recipe: 1}, nil)),
		"from another pot": second(f.SaveBatch(ctx, BatchFact{Recipe: 1, Made: 1}, []Taken{{"T3", unit.Quantity{Amount: 1, Unit: "g"}}})),
		"unknown batch":    func() error { _, err := f.UseBatch(ctx, 9, 1, Because{}); return err }(),
		"no mass":          func() error { _, err := f.UseBatch(ctx, 1, unit.Mass(math.NaN()), Because{}); return err }(),
	} {
		if err == nil {
			t.Errorf("%s: taken", name)
		}
	}
	if list, err := f.Batches(ctx); err != nil || len(list) != 1 {
		t.Errorf("a refused batch is there: %+v, %v", list, err)
	}
}

func second(_ int64, err error) error { return err }

func TestWeighings(t *testing.T) {
	f := newFile(t)
	mustImport(t, f, small())
	// 6.16 g over 0.28 m² in 2 coats are 11 g/m² a coat, at 1.1 g/mL 10 mL/m².
	w := WeighingFact{Code: "T3", Before: 150, After: 143.84, Painted: 0.28, Coats: 2, Density: unit.State(1.1), Area: "A2"}
	if err := f.AddWeighing(ctx, w); err != nil {
		t.Fatal(err)
	}
	list, err := f.Weighings(ctx, "T3")
	if err != nil || len(list) != 1 {
		t.Fatal(list, err)
	}
	if s, ok := list[0].Spread().Get(); !ok || math.Abs(float64(s)-10) > 1e-9 || math.Abs(list[0].PerCoat()-11) > 1e-9 {
		t.Errorf("spread %v, %v g/m2", s, list[0].PerCoat())
	}
	w.Density = unit.Stated[float64]{}
	if w.Spread().Known() {
		t.Error("a volume without a density")
	}
	for name, change := range map[string]func(*WeighingFact){"gained": func(w *WeighingFact) { w.After = 151 }, "no extent": func(w *WeighingFact) { w.Painted = 0 },
		"no coats": func(w *WeighingFact) { w.Coats = 0 }, "unknown line": func(w *WeighingFact) { w.Code = "X9" }} {
		bad := w
		change(&bad)
		if f.AddWeighing(ctx, bad) == nil {
			t.Errorf("%s: taken", name)
		}
	}
	if list, _ := f.Weighings(ctx, ""); len(list) != 1 {
		t.Errorf("weighings %v", list)
	}
}

func TestSettings(t *testing.T) {
	f := newFile(t)
	if _, ok, err := f.Setting(ctx, "paper"); ok || err != nil {
		t.Errorf("a setting nobody set: %v, %v", ok, err)
	}
	for _, v := range []string{"A4", "Letter"} {
		if err := f.SetSetting(ctx, "paper", v); err != nil {
			t.Fatal(err)
		}
	}
	if v, ok, err := f.Setting(ctx, "paper"); v != "Letter" || !ok || err != nil {
		t.Errorf("%q, %v, %v", v, ok, err)
	}
	if all, err := f.Settings(ctx); err != nil || len(all) != 1 {
		t.Errorf("settings %v, %v", all, err)
	}
	if f.SetSetting(ctx, "", "x") == nil || f.SetSetting(ctx, "x", "\x00") == nil {
		t.Error("a setting without a name, or with a control character, was taken")
	}
}

// Rows that no door of this program lets in are explained by the check.
func TestCheckExplains(t *testing.T) {
	f := newFile(t)
	mustImport(t, f, small())
	for _, c := range []struct{ statement, want string }{
		{`UPDATE area SET cloth_m2 = -3 WHERE code = 'A1'`, `job Harvest play: area: row 1 (A1): cloth_m2: found "-3", expected a number of 0 or more`},
		{`UPDATE stock SET colour = 'greenish' WHERE code = 'T3'`, `stock: row 5 (T3): column colour: found "greenish", expected a colour`},
		{`UPDATE job SET hands_off = 'soon'`, `job Harvest play: job: row 1 (Harvest play): column hands_off: found "soon"`},
		{`UPDATE hours SET day = 'someday'`, `job Harvest play: hours: row 1 (someday): day: found "someday"`},
		{`PRAGMA foreign_keys = 0; INSERT INTO movement(code, at, what, amount) VALUES ('X9', 'noon', 'used', -3)`, `movement: row 5: points to a stock that is not there`},
		{`INSERT INTO movement(code, at, what, amount) VALUES ('T3', '2026-01-01T00:00:00Z', 'used', -300)`, `stock: T3: on_hand: 2 movements leave -255`},
	} {
		g, err := Open(ctx, filepathCopy(t, f), clock)
		if err != nil {
			t.Fatal(err)
		}
		g.db.SetMaxOpenConns(1)
		mustExec(t, g, c.statement)
		found, err := g.Check(ctx)
		if err != nil {
			t.Fatal(err)
		}
		var lines []string
		for _, x := range found {
			lines = append(lines, x.String())
		}
		if !strings.Contains(strings.Join(lines, "\n"), c.want) {
			t.Errorf("%s\nfound %s\nwant %s", c.statement, strings.Join(lines, "\n"), c.want)
		}
		g.Close()
	}
}

// filepathCopy backs a file up and returns the copy's path.
func filepathCopy(t testing.TB, f *File) string {
	path := pathOf(t)
	if err := f.Backup(ctx, path); err != nil {
		t.Fatal(err)
	}
	return path
}

// A card shows what the whole job shows.
func TestJobCards(t *testing.T) {
	f := newFile(t)
	if cards, err := f.JobCards(ctx); err != nil || len(cards) != 0 {
		t.Errorf("an empty file: %v, %v", cards, err)
	}
	mustImport(t, f, small())
	mustImport(t, f, with(t, small(), "job.csv", "Harvest play", "A second job"))
	cards, err := f.JobCards(ctx)
	if err != nil || len(cards) != 2 || cards[0].Name != "A second job" {
		t.Fatalf("%v, %v", cards, err)
	}
	j, err := f.Job(ctx, "Harvest play")
	if err != nil {
		t.Fatal(err)
	}
	c := cards[1]
	if c.Areas != len(j.Areas) || c.Wearers != len(j.Wearers) || !c.HandsOff.Or(time.Time{}).Equal(j.Job.HandsOff.Or(time.Time{})) || c.Zone.String() != j.Job.Timezone {
		t.Errorf("the card says %+v", c)
	}
}
