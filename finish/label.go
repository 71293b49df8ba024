package finish

import (
	"context"
	"fmt"
	"slices"
	"time"

	"undercoat/inventory"
	"undercoat/inventory/unit"
)

// LabelAnswer is what stands on a pot: enough to know, find and make it again.
type LabelAnswer struct {
	Recipe  int64        `json:"recipe"`
	Batch   int64        `json:"batch,omitempty"`
	Name    string       `json:"name"`
	For     string       `json:"for"` // area and colour it was made for
	Mixed   string       `json:"mixed,omitempty"`
	Made    float64      `json:"made_g,omitempty"`
	Left    float64      `json:"left_g,omitempty"`
	Place   string       `json:"place,omitempty"`
	Parts   []ScaledPart `json:"parts"`  // of 100 g, or of the batch
	Coats   string       `json:"coats"`  // where it is a stack
	Over    string       `json:"over"`   // the ground
	UseBy   string       `json:"use_by"` // the first of its parts to expire; "" where none states a day
	Hazards []string     `json:"hazards"`
	Set     []string     `json:"set"` // how each part sets
}

// Label returns what to write on the pot of a recipe, or of one batch of it
// (0: of a hundred grams).
func (b *Bench) Label(ctx context.Context, recipe, batch int64) (LabelAnswer, error) {
	var m inventory.BatchFact
	var err error
	if batch > 0 {
		if m, err = b.batch(ctx, batch); err != nil {
			return LabelAnswer{}, err
		}
		if recipe > 0 && recipe != m.Recipe {
			return LabelAnswer{}, fmt.Errorf("label batch %d: it is of recipe %d, not %d", batch, m.Recipe, recipe)
		}
		recipe = m.Recipe
	}
	f, _, err := b.file.Recipe(ctx, recipe)
	if err != nil {
		return LabelAnswer{}, err
	}
	stock, err := b.file.Stock(ctx)
	if err != nil {
		return LabelAnswer{}, err
	}
	r := recipeAnswer(f, nil)
	a := LabelAnswer{Recipe: f.Number, Batch: m.Number, Name: f.Name, For: joined(r.Area, r.Target), Parts: []ScaledPart{}, Coats: r.Coats, Over: f.Ground, Hazards: []string{}, Set: []string{}}
	amount := "100 g"
	if batch > 0 {
		a.Mixed, a.Made, a.Left, a.Place = m.At.Format(time.RFC3339), round(float64(m.Made), 1), round(float64(m.Left), 1), m.Place
		amount = m.Made.String()
	}
	if len(f.Parts) > 0 {
		portions, err := portionsOf(f, amount, stock)
		if err != nil {
			return LabelAnswer{}, err
		}
		a.Parts = scaledParts(portions, stock)
	}
	a.facts(append(partCodes(f.Parts), codesOf(f.Layers)...), stock)
	return a, nil
}

// facts gathers what the labels of the products in a pot state.
func (a *LabelAnswer) facts(codes []string, stock inventory.Stock) {
	var first time.Time
	for i, code := range codes {
		art, ok := stock.Article(code)
		if !ok || slices.Contains(codes[:i], code) {
			continue
		}
		for _, h := range art.Hazards {
			if !slices.Contains(a.Hazards, h) {
				a.Hazards = append(a.Hazards, h)
			}
		}
		if day, ok := art.Expires.Get(); ok && (first.IsZero() || day.Before(first)) {
			first = day
		}
		if p, ok := stock.Paint(code); ok {
			if c, ok := p.HeatC.Get(); ok {
				a.Set = append(a.Set, fmt.Sprintf("%s: heat, %.0f °C", code, c))
			}
		}
	}
	slices.Sort(a.Hazards)
	if !first.IsZero() {
		a.UseBy = unit.FormatDate(first)
	}
}

// joined puts two words together where both are there.
func joined(a, b string) string {
	if a == "" || b == "" {
		return a + b
	}
	return a + " " + b
}
