package finish

import (
	"context"
	"fmt"
	"math"
	"strings"
	"time"

	"undercoat/finish/garment"
	"undercoat/finish/plan"
	"undercoat/inventory"
)

// Bench is an open workroom: the verbs of the job work on it. Close it when
// done. A Bench may be used by many goroutines.
type Bench struct {
	file *inventory.File
	now  func() time.Time
	job  string // the job the verbs work on; "" is the only one in the file
}

// Open opens the workroom file at path, making it where there is none. The
// clock is asked once per verb.
func Open(ctx context.Context, path string, now func() time.Time) (*Bench, error) {
	f, err := inventory.Open(ctx, path, now)
	if err != nil {
		return nil, err
	}
	return &Bench{file: f, now: now}, nil
}

// Close closes the workroom file.
func (b *Bench) Close() error { return b.file.Close() }

// ForJob returns the same bench, working on the job of that name; "" is the
// only job in the file.
func (b *Bench) ForJob(name string) *Bench {
	c := *b
	c.job = name
	return &c
}

// scene is what most verbs need, asked from the file once.
type scene struct {
	facts inventory.JobFacts
	job   garment.Job
	stock inventory.Stock
	// bought says when each tested stock line was last bought.
	bought map[string]time.Time
	// weighed is what earlier work tells of how far products go.
	weighed []plan.Observation
}

func (b *Bench) scene(ctx context.Context) (scene, error) {
	name, err := b.jobName(ctx)
	if err != nil {
		return scene{}, err
	}
	facts, err := b.file.Job(ctx, name)
	if err != nil {
		return scene{}, err
	}
	job, err := garment.NewJob(facts)
	if err != nil {
		return scene{}, err
	}
	stock, err := b.file.StockFor(ctx, name)
	if err != nil {
		return scene{}, err
	}
	sc := scene{facts: facts, job: job, stock: stock}
	if sc.bought, err = b.bought(ctx, facts.Tests); err != nil {
		return scene{}, err
	}
	sc.weighed, err = b.learned(ctx, sc)
	return sc, err
}

// jobName is the job asked for, or the only one there is.
func (b *Bench) jobName(ctx context.Context) (string, error) {
	if b.job != "" {
		return b.job, nil
	}
	names, err := b.file.Jobs(ctx)
	switch {
	case err != nil:
		return "", err
	case len(names) == 0:
		return "", &Hinted{Err: fmt.Errorf("open job: this workroom file holds no job"), Try: []string{"undercoat job new 'My costume' --hands-off '2026-11-11 21:00' --tables FOLDER", "undercoat job import FOLDER", "undercoat demo demo   (the worked example)"}}
	case len(names) > 1:
		return "", &Hinted{Err: fmt.Errorf("open job: this workroom file holds %d jobs: name one", len(names)), Try: []string{"--job \"" + strings.Join(names, "\", --job \"") + "\""}}
	}
	return names[0], nil
}

// area finds an area, or says which there are.
func (s scene) area(code string) (garment.Area, error) {
	if a, ok := s.job.Area(code); ok {
		return a, nil
	}
	var codes []string
	for _, a := range s.job.Areas {
		codes = append(codes, a.Code)
	}
	return garment.Area{}, &Hinted{Err: fmt.Errorf("find area: %s: no area of that code in %s", code, s.job.Name), Try: areasToTry(codes)}
}

// areasToTry says which areas there are, or how a job gets one.
func areasToTry(codes []string) []string {
	if len(codes) == 0 {
		return []string{"a row in areas.csv, then undercoat job import FOLDER", "undercoat serve"}
	}
	return []string{"one of " + strings.Join(codes, ", ")}
}

// article finds a stock line.
func (s scene) article(code string) (inventory.Article, error) {
	if a, ok := s.stock.Article(code); ok {
		return a, nil
	}
	return inventory.Article{}, &Hinted{Err: fmt.Errorf("find stock: %s: no line of that code on the shelf", code), Try: []string{"undercoat stock list", "undercoat stock add " + code + " NAME --colour '#6C7176' --on-hand '100 ml'"}}
}

// Hinted is an error with what the maker could try next.
type Hinted struct {
	Err error
	Try []string
}

func (h *Hinted) Error() string   { return h.Err.Error() }
func (h *Hinted) Unwrap() error   { return h.Err }
func (h *Hinted) Hints() []string { return h.Try }

// round rounds to a number of decimals, for answers people read; −0 becomes 0.
func round(v float64, decimals int) float64 {
	p := math.Pow10(decimals)
	return math.Round(v*p)/p + 0
}
