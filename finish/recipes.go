package finish

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"undercoat/finish/garment"
	"undercoat/finish/match"
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
	Parent  *int64        `json:"corrects"` // the recipe it is a correction of
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

// ScaledPart is a part of a recipe, weighed or counted out for an amount.
// Millilitres and drops rest on the density, which is assumed where the stock
// line states none.
type ScaledPart struct {
	Code    string  `json:"code"`
	Name    string  `json:"name"`
	Grams   float64 `json:"grams"`
	ML      float64 `json:"ml"`
	Drops   int     `json:"drops"`
	Assumed bool    `json:"density_assumed"`
}

// BatchAnswer is one mixing with what is left of it.
type BatchAnswer struct {
	Number int64   `json:"number"`
	Made   float64 `json:"made_g"`
	Left   float64 `json:"left_g"`
	At     string  `json:"at"`
	Place  string  `json:"place"`
	Note   string  `json:"note"`
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

// Recipe shows one recipe with its batches, scaled to an amount ("120 g" or
// "100 ml") where one is given.
func (b *Bench) Recipe(ctx context.Context, number int64, amount string) (RecipeAnswer, error) {
	f, batches, err := b.file.Recipe(ctx, number)
	if err != nil {
		return RecipeAnswer{}, err
	}
	a := recipeAnswer(f, batches)
	if amount == "" {
		return a, nil
	}
	stock, err := b.file.Stock(ctx)
	if err != nil {
		return RecipeAnswer{}, err
	}
	portions, err := portionsOf(f, amount, stock)
	if err != nil {
		return RecipeAnswer{}, err
	}
	a.Scaled = scaledParts(portions, stock)
	return a, nil
}

// portionsOf weighs a recipe's parts out for an amount by mass or by volume.
func portionsOf(f inventory.RecipeFact, amount string, stock inventory.Stock) ([]match.Portion, error) {
	if len(f.Parts) == 0 {
		return nil, fmt.Errorf("scale recipe %d: it is coats over a ground, not a mixture", f.Number)
	}
	parts := matchParts(f.Parts)
	mass, notMass := unit.ParseMass(amount)
	if notMass == nil {
		portions, err := match.ScaleMass(parts, mass, stock)
		if errors.Is(err, match.ErrNotOnShelf) {
			return weighed(f, mass, stock)
		}
		return portions, err
	}
	volume, err := unit.ParseVolume(amount)
	if err != nil {
		return nil, fmt.Errorf("scale recipe %d: %q: expected a mass such as 120 g or a volume such as 100 ml", f.Number, amount)
	}
	return match.Scale(parts, volume, stock)
}

// weighed weighs out a recipe with parts that are no paints, such as a dye:
// their volume is not known.
func weighed(f inventory.RecipeFact, mass unit.Mass, stock inventory.Stock) (out []match.Portion, err error) {
	for _, p := range f.For(mass) {
		if _, err := (scene{stock: stock}).article(p.Code); err != nil {
			return nil, err
		}
		out = append(out, match.Portion{Code: p.Code, Mass: p.Mass})
	}
	return out, nil
}

// matchParts returns parts by mass as shares of one.
func matchParts(parts []inventory.Part) []match.Part {
	total := unit.Mass(0)
	for _, p := range parts {
		total += p.Mass
	}
	var out []match.Part
	for _, p := range parts {
		out = append(out, match.Part{Code: p.Code, Share: float64(p.Mass / total)})
	}
	return out
}

func scaledParts(portions []match.Portion, stock inventory.Stock) []ScaledPart {
	out := []ScaledPart{}
	for _, p := range portions {
		art, _ := stock.Article(p.Code)
		out = append(out, ScaledPart{
			Code: p.Code, Name: art.Name, Grams: round(float64(p.Mass), 2), ML: round(float64(p.Volume), 2), Drops: p.Drops, Assumed: p.Assumed,
		})
	}
	return out
}

// takenFor returns what portions take off the shelf, in the unit each line is
// counted in; lines counted otherwise, or not at all, stay as they are.
func takenFor(portions []match.Portion, stock inventory.Stock) []inventory.Taken {
	var taken []inventory.Taken
	for _, p := range portions {
		art, ok := stock.Article(p.Code)
		switch {
		case !ok || !art.OnHand.Known():
		case art.Unit == "g":
			taken = append(taken, inventory.Taken{Code: p.Code, Quantity: unit.Quantity{Amount: float64(p.Mass), Unit: "g"}})
		case art.Unit == "ml" && p.Volume > 0:
			taken = append(taken, inventory.Taken{Code: p.Code, Quantity: unit.Quantity{Amount: float64(p.Volume), Unit: "ml"}})
		}
	}
	return taken
}

// massOf sums portions.
func massOf(portions []match.Portion) (total unit.Mass) {
	for _, p := range portions {
		total += p.Mass
	}
	return total
}

// MixBatch records one mixing of a recipe of an amount by mass or volume, and
// takes its parts off the shelf where they are counted.
func (b *Bench) MixBatch(ctx context.Context, number int64, amount, place, note string) (RecipeAnswer, error) {
	f, _, err := b.file.Recipe(ctx, number)
	if err != nil {
		return RecipeAnswer{}, err
	}
	stock, err := b.file.Stock(ctx)
	if err != nil {
		return RecipeAnswer{}, err
	}
	portions, err := portionsOf(f, amount, stock)
	if err != nil {
		return RecipeAnswer{}, err
	}
	made := inventory.BatchFact{Recipe: number, Made: massOf(portions), Place: place, Note: note}
	if _, err := b.file.SaveBatch(ctx, made, takenFor(portions, stock)); err != nil {
		return RecipeAnswer{}, err
	}
	return b.Recipe(ctx, number, amount)
}

// UseBatch records that a mass, or a volume by the densities of the parts, was
// taken from a batch and shows its recipe with what is left. More than is left is taken too: then the pot wants
// weighing.
func (b *Bench) UseBatch(ctx context.Context, batch int64, amount, step, note string) (RecipeAnswer, error) {
	m, err := b.batch(ctx, batch)
	if err != nil {
		return RecipeAnswer{}, err
	}
	f, _, err := b.file.Recipe(ctx, m.Recipe)
	if err != nil {
		return RecipeAnswer{}, err
	}
	used, by, err := b.massOf(ctx, f, amount)
	if err != nil {
		return RecipeAnswer{}, fmt.Errorf("use batch %d: %w", batch, err)
	}
	if _, err := b.file.UseBatch(ctx, batch, used, inventory.Because{Job: b.job, Step: step, Note: joined(note, by)}); err != nil {
		return RecipeAnswer{}, err
	}
	return b.Recipe(ctx, m.Recipe, "")
}

// massOf reads an amount of a recipe's mixture: a mass, or a volume by the
// densities of its parts; then by says so, to be kept beside the mass.
func (b *Bench) massOf(ctx context.Context, f inventory.RecipeFact, amount string) (mass unit.Mass, by string, err error) {
	if mass, err = unit.ParseMass(amount); err == nil {
		return mass, "", nil
	}
	volume, notVolume := unit.ParseVolume(amount)
	if notVolume != nil || len(f.Parts) == 0 {
		return 0, "", err
	}
	stock, err := b.file.Stock(ctx)
	if err != nil {
		return 0, "", err
	}
	portions, err := portionsOf(f, amount, stock)
	if err != nil {
		return 0, "", err
	}
	by = volume.String() + " by density"
	if slices.ContainsFunc(portions, func(p match.Portion) bool { return p.Assumed }) {
		by = volume.String() + " by an assumed density"
	}
	return massOf(portions), by, nil
}

// batch finds a batch by its number.
func (b *Bench) batch(ctx context.Context, number int64) (inventory.BatchFact, error) {
	all, err := b.file.Batches(ctx)
	if err != nil {
		return inventory.BatchFact{}, err
	}
	for _, m := range all {
		if m.Number == number {
			return m, nil
		}
	}
	return inventory.BatchFact{}, fmt.Errorf("batch %d: %w", number, inventory.ErrNotFound)
}

func recipeAnswer(f inventory.RecipeFact, batches []inventory.BatchFact) RecipeAnswer {
	a := RecipeAnswer{
		Number: f.Number, Name: f.Name, At: f.At.Format(time.RFC3339), Coats: LayersText(f.Layers), Ground: f.Ground, Area: f.Area, Note: f.Note,
		Parts: []PartAnswer{}, Batches: []BatchAnswer{},
	}
	if p, ok := f.Parent.Get(); ok {
		a.Parent = &p
	}
	if w, ok := f.Target.Get(); ok {
		a.Target = w.Text
	}
	total := float64(f.Total())
	for _, p := range f.Parts {
		a.Parts = append(a.Parts, PartAnswer{Code: p.Code, Share: round(float64(p.Mass)/total, 4)})
	}
	for _, m := range batches {
		a.Batches = append(a.Batches, BatchAnswer{
			Number: m.Number, Made: round(float64(m.Made), 1), Left: round(float64(m.Left), 1), At: m.At.Format(time.RFC3339), Place: m.Place, Note: m.Note,
		})
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
