package plan

import (
	"context"
	"os"
	"path/filepath"
	"slices"
	"sync"
	"testing"
	"time"

	"undercoat/finish/garment"
	"undercoat/finish/match"
	"undercoat/inventory"
	"undercoat/palette/colour"
)

// demoFacts imports the demo's tables into a workroom file of its own and
// reads job and shelf back, as the program does. Once for all tests.
var demoFacts = sync.OnceValues(func() (facts demo, err error) {
	dir, err := os.MkdirTemp("", "plan-demo")
	if err != nil {
		return demo{}, err
	}
	defer os.RemoveAll(dir)
	clock := func() time.Time { return time.Date(2026, 10, 24, 12, 0, 0, 0, time.UTC) }
	f, err := inventory.Open(ctx, filepath.Join(dir, "demo.db"), clock)
	if err != nil {
		return demo{}, err
	}
	defer f.Close()
	if _, err = f.ImportJob(ctx, os.DirFS(filepath.Join("..", "..", "testdata", "demo"))); err != nil {
		return demo{}, err
	}
	jobs, err := f.Jobs(ctx)
	if err != nil {
		return demo{}, err
	}
	if facts.job, err = f.Job(ctx, jobs[0]); err != nil {
		return demo{}, err
	}
	facts.stock, err = f.Stock(ctx)
	return facts, err
})

var ctx = context.Background()

type demo struct {
	job   inventory.JobFacts
	stock inventory.Stock
}

// inputOf is the demo as a plan's input after edits of its facts, with the bath
// that the rub tests on record ask for (trap 7 of the answer key) and the
// approved strip of A1 as it was measured.
func inputOf(edit ...func(*inventory.JobFacts)) (Input, error) {
	f, err := demoFacts()
	if err != nil {
		return Input{}, err
	}
	facts := f.job
	for _, e := range edit {
		e(&facts)
	}
	job, err := garment.NewJob(facts)
	return Input{
		Job: job, Stock: f.stock, Treatments: []Treatment{{Area: "A3", Code: "Z1", Because: "RT4"}},
		Readings: map[string][]match.Reading{"A1": {
			{Light: "D65", Lab: colour.Lab{L: 47.4, A: -0.8, B: -3.4}}, {Light: "2900 K", Lab: colour.Lab{L: 47.6, A: 0.4, B: -1.9}},
		}},
	}, err
}

func demoInput(t testing.TB, edit ...func(*inventory.JobFacts)) Input {
	t.Helper()
	in, err := inputOf(edit...)
	if err != nil {
		t.Fatal(err)
	}
	return in
}

// recipes gives areas the layers of the answer key.
func recipes(byArea map[string]string) func(*inventory.JobFacts) {
	return func(f *inventory.JobFacts) {
		for area, text := range byArea {
			layers, err := garment.ParseLayers(text, ";")
			if err != nil {
				panic(err)
			}
			f.Choices = append(slices.Clip(f.Choices), inventory.ChoiceFact{Area: area, Layers: layers})
		}
	}
}

// keyRecipes are the coats of the answer key, section 7.
var keyRecipes = map[string]string{
	"A1": "C1", "A4": "T3:2", "A5": "W3:1;W1:3;F1:3", "A6": "G2:3", "A7": "S1:3;B1:2;V1:1;S2:1", "A8": "O1:2",
}
