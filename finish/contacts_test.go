package finish

import (
	"context"
	"strings"
	"testing"
	"time"

	"undercoat/inventory"
	"undercoat/inventory/unit"
	"undercoat/testdata/demo"
)

// contactBench is a workroom with the demo's tables, nothing chosen and nothing
// planned yet.
func contactBench(t *testing.T) (*Bench, context.Context) {
	t.Helper()
	ctx := context.Background()
	b, err := Open(ctx, t.TempDir()+"/w.db", demoClock)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { b.Close() })
	if _, err := b.ImportJob(ctx, demo.Files()); err != nil {
		t.Fatal(err)
	}
	return b, ctx
}

func contactOf(t *testing.T, b *Bench, code string) ContactAnswer {
	t.Helper()
	a, err := b.Contacts(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range a.Contacts {
		if c.Code == code {
			return c
		}
	}
	t.Fatalf("no contact %s", code)
	return ContactAnswer{}
}

// A new batch bought after a test makes it stale; a count does not.
func TestNewBatchMakesATestStale(t *testing.T) {
	b, ctx := contactBench(t)
	if err := b.Choose(ctx, "A1", []inventory.RecipeLayer{{Code: "C1"}}); err != nil {
		t.Fatal(err)
	}
	if c := contactOf(t, b, "N3"); c.Verdict != "no objection found" || c.Test != "RT5" {
		t.Fatalf("%s on %s: %s", c.Verdict, c.Test, c.Because)
	}
	if err := b.file.Count(ctx, "C1", unit.Quantity{Amount: 7, Unit: "m"}, inventory.Because{}); err != nil {
		t.Fatal(err)
	}
	if c := contactOf(t, b, "N3"); c.Stale != "" {
		t.Errorf("a count makes it stale: %s", c.Stale)
	}
	if err := b.file.Buy(ctx, "C1", unit.Quantity{Amount: 2, Unit: "m"}, inventory.Because{}); err != nil {
		t.Fatal(err)
	}
	c := contactOf(t, b, "N3")
	if c.Verdict != "not tested" || !strings.Contains(c.Stale, "another batch") || c.ToDo == "" || c.TestOrder == 0 || c.TestBy == "" {
		t.Errorf("after a new batch: %+v", c)
	}
	if _, err := b.AddTest(ctx, TestEntry{Subject: "C1", Against: "white cloth", How: "damp rub", Grade: "4-5", When: "2026-10-27"}); err != nil {
		t.Fatal(err)
	}
	if c = contactOf(t, b, "N3"); c.Verdict != "no objection found" || c.Test != "RT13" {
		t.Errorf("after its retest: %s on %s: %s", c.Verdict, c.Test, c.Because)
	}
}

// The retest of the treated velveteen is a step of the plan between the bath and
// the scissors, and the contact says by when.
func TestRetestOfTheBathIsPlanned(t *testing.T) {
	b := demoBench(t)
	c := contactOf(t, b, "N1")
	by, err := unit.ParseMoment(c.TestBy, time.UTC)
	if err != nil || c.ToDo == "" || c.TestOrder != 1 {
		t.Fatalf("%+v: %v", c, err)
	}
	at := map[string]time.Time{}
	for _, s := range theDemo(t).Plan.Steps {
		when, err := time.Parse(time.RFC3339, s.Start)
		if err != nil {
			t.Fatal(err)
		}
		at[s.ID] = when
	}
	bath, test, cut := at["A3-Z1"], at["C5-damp-rub"], at["A3-cut"]
	if bath.IsZero() || test.IsZero() || !test.After(bath) || !cut.After(test) {
		t.Errorf("bath %s, test %s, cut %s", bath, test, cut)
	}
	if by.Before(test) {
		t.Errorf("to be done by %s, planned for %s", by, test)
	}
}

// What the bag asks for beyond the stated contacts: the demo's trap 10 wants the
// vinyl apart from A2, A4 and A5 (A2 and A4 are stated contacts), trap 21 the sash
// off A2 and A4.
func TestDemoPacking(t *testing.T) {
	a, err := demoBench(t).Contacts(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	from := map[string]string{}
	for _, p := range a.Packing {
		from[p.Area] = " " + strings.Join(p.From, " ") + " "
	}
	for _, w := range [][2]string{{"A6", "A5"}, {"A5", "A2"}, {"A5", "A4"}} {
		if !strings.Contains(from[w[0]], " "+w[1]+" ") {
			t.Errorf("%s is not kept off %s: %q", w[0], w[1], from[w[0]])
		}
	}
	if strings.Contains(from["A1"], " A2 ") {
		t.Error("the collar is sewn to the coat and cannot be packed apart from it")
	}
}

// Air says what it took, asks for what it lacks, and takes a local limit for
// anything that is released.
func TestAirAnswers(t *testing.T) {
	b, ctx := contactBench(t)
	a, err := b.Air(ctx, AirRequest{Product: "W1", Amount: "150 ml", Changes: -1})
	if err != nil {
		t.Fatal(err)
	}
	// 300 m³/h in 26 m³ are 11.5 changes an hour (the demo's trap 19).
	if a.Changes < 11.4 || a.Changes > 11.6 || len(a.Assumed) < 3 || a.Airing == nil || a.AirNeeded <= 0 {
		t.Errorf("%+v", a)
	}
	strict := a.Index
	if a, err = b.Air(ctx, AirRequest{Product: "W1", Amount: "150 ml", Changes: -1, Limits: []string{"volatile part=50"}}); err != nil || a.Index > strict/9 || a.Substances[0].LimitSource != "entered by the maker" {
		t.Errorf("with a local limit: %+v, %v", a, err)
	}
	if a, err = b.Air(ctx, AirRequest{Product: "D2", Amount: "18 ml", Changes: -1}); err != nil || a.Ignition == "" || a.Verdict == "no objection found" {
		t.Errorf("ethanol at 18 °C: %+v, %v", a, err)
	}
	for name, q := range map[string]AirRequest{
		"unknown composition": {Product: "C1", Amount: "10 ml", Changes: -1},
		"limit of nothing":    {Product: "W1", Amount: "10 ml", Changes: -1, Limits: []string{"acetone=100"}},
		"limit of nought":     {Product: "W1", Amount: "10 ml", Changes: -1, Limits: []string{"volatile part=0"}},
		"over a hundred":      {Product: "W1", Amount: "10 ml", Changes: -1, Contains: []string{"acetone=60", "toluene=50"}},
		"unknown substance":   {Product: "W1", Amount: "10 ml", Changes: -1, Contains: []string{"phlogiston=60"}},
		"no amount":           {Product: "W1", Amount: "some", Changes: -1},
	} {
		if a, err := b.Air(ctx, q); err == nil {
			t.Errorf("%s: estimated as %s", name, a.Verdict)
		}
	}
}
