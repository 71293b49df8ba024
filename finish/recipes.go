package finish

import (
	"context"
	"fmt"
	"strings"
	"time"

	"undercoat/finish/garment"
	"undercoat/inventory"
	"undercoat/inventory/unit"
)

// RecipeEntry is a recipe as a maker types it: parts of one pot by mass, or
// coats from the ground up, or both.
type RecipeEntry struct {
	Name, Parts, Coats, Target, Ground, Area, Note string // Parts "T1:5,W1:3"; Coats "W3:1,W1:3"
}

// RecipeAnswer is a numbered recipe.
type RecipeAnswer struct {
	Number  int64         `json:"number"`
	Name    string        `json:"name"`
	At      string        `json:"at"`
	Parts   []PartAnswer  `json:"parts"`
	Coats   string        `json:"coats"`
	Target  string        `json:"target"`
	Ground  string        `json:"ground"`
	Area    string        `json:"area"`
	Note    string        `json:"note"`
	Batches []BatchAnswer `json:"batches"`
	Scaled  []ScaledPart  `json:"scaled,omitempty"`
}

// ScaledPart is a part of a recipe, weighed for an amount.
type ScaledPart struct {
	Code  string  `json:"code"`
	Grams float64 `json:"grams"`
}

// BatchAnswer is one mixing with what is left of it.
type BatchAnswer struct {
	Number int64   `json:"number"`
	Made   float64 `json:"made_g"`
	Left   float64 `json:"left_g"`
	At     string  `json:"at"`
	Place  string  `json:"place"`
}

// SaveRecipe keeps a mixture or a stack as a numbered recipe; it is never
// changed, a correction is a new recipe.
func (b *Bench) SaveRecipe(ctx context.Context, e RecipeEntry) (RecipeAnswer, error) {
	stock, err := b.file.Stock(ctx)
	if err != nil {
		return RecipeAnswer{}, err
	}
	f := inventory.RecipeFact{Name: e.Name, Ground: e.Ground, Area: e.Area, Note: e.Note, Job: b.job}
	if f.Parts, err = parseParts(e.Parts); err != nil {
		return RecipeAnswer{}, err
	}
	if f.Layers, err = garment.ParseLayers(e.Coats, ","); err != nil {
		return RecipeAnswer{}, err
	}
	s := scene{stock: stock}
	for _, code := range append(partCodes(f.Parts), codesOf(f.Layers)...) {
		if _, err := s.article(code); err != nil {
			return RecipeAnswer{}, err
		}
	}
	if e.Target != "" {
		w, err := inventory.Write(e.Target)
		if err != nil {
			return RecipeAnswer{}, err
		}
		f.Target = unit.State(w)
	}
	n, err := b.file.SaveRecipe(ctx, f)
	if err != nil {
		return RecipeAnswer{}, err
	}
	return b.Recipe(ctx, n, "")
}

// Recipes lists all recipes by number.
func (b *Bench) Recipes(ctx context.Context) ([]RecipeAnswer, error) {
	facts, err := b.file.Recipes(ctx)
	if err != nil {
		return nil, err
	}
	out := []RecipeAnswer{}
	for _, f := range facts {
		out = append(out, recipeAnswer(f, nil))
	}
	return out, nil
}

// Recipe shows one recipe with its batches, scaled to an amount ("120 g")
// where one is given.
func (b *Bench) Recipe(ctx context.Context, number int64, amount string) (RecipeAnswer, error) {
	f, batches, err := b.file.Recipe(ctx, number)
	if err != nil {
		return RecipeAnswer{}, err
	}
	a := recipeAnswer(f, batches)
	if amount == "" {
		return a, nil
	}
	total, err := unit.ParseMass(amount)
	if err != nil {
		return a, err
	}
	for _, p := range f.For(total) {
		a.Scaled = append(a.Scaled, ScaledPart{Code: p.Code, Grams: round(float64(p.Mass), 1)})
	}
	return a, nil
}

// MixBatch records one mixing of a recipe and takes its parts off the shelf
// where their amounts are counted by mass.
func (b *Bench) MixBatch(ctx context.Context, number int64, amount, place, note string) (RecipeAnswer, error) {
	f, _, err := b.file.Recipe(ctx, number)
	if err != nil {
		return RecipeAnswer{}, err
	}
	total, err := unit.ParseMass(amount)
	if err != nil {
		return RecipeAnswer{}, err
	}
	stock, err := b.file.Stock(ctx)
	if err != nil {
		return RecipeAnswer{}, err
	}
	var taken []inventory.Taken
	for _, p := range f.For(total) {
		if art, ok := stock.Article(p.Code); ok && art.Unit == "g" {
			taken = append(taken, inventory.Taken{Code: p.Code, Quantity: unit.Quantity{Amount: float64(p.Mass), Unit: "g"}})
		}
	}
	if _, err := b.file.SaveBatch(ctx, inventory.BatchFact{Recipe: number, Made: total, Place: place, Note: note}, taken); err != nil {
		return RecipeAnswer{}, err
	}
	return b.Recipe(ctx, number, amount)
}

func recipeAnswer(f inventory.RecipeFact, batches []inventory.BatchFact) RecipeAnswer {
	a := RecipeAnswer{
		Number: f.Number, Name: f.Name, At: f.At.Format(time.RFC3339), Coats: LayersText(f.Layers), Ground: f.Ground, Area: f.Area, Note: f.Note,
		Parts: []PartAnswer{}, Batches: []BatchAnswer{},
	}
	if w, ok := f.Target.Get(); ok {
		a.Target = w.Text
	}
	total := float64(f.Total())
	for _, p := range f.Parts {
		a.Parts = append(a.Parts, PartAnswer{Code: p.Code, Share: round(float64(p.Mass)/total, 4)})
	}
	for _, m := range batches {
		a.Batches = append(a.Batches, BatchAnswer{Number: m.Number, Made: round(float64(m.Made), 1), Left: round(float64(m.Left), 1), At: m.At.Format(time.RFC3339), Place: m.Place})
	}
	return a
}

// parseParts reads "T1:5,W1:3": parts by mass.
func parseParts(s string) ([]inventory.Part, error) {
	var parts []inventory.Part
	if strings.TrimSpace(s) == "" {
		return nil, nil
	}
	for _, p := range strings.Split(s, ",") {
		code, n, ok := strings.Cut(p, ":")
		v, err := unit.ParseNumber(n)
		if !ok || err != nil || v <= 0 {
			return nil, fmt.Errorf("read parts: %q: expected parts by mass, like T1:5,W1:3", p)
		}
		parts = append(parts, inventory.Part{Code: strings.TrimSpace(code), Mass: unit.Mass(v)})
	}
	return parts, nil
}

func partCodes(parts []inventory.Part) []string {
	var codes []string
	for _, p := range parts {
		codes = append(codes, p.Code)
	}
	return codes
}
