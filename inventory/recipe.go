package inventory

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"slices"
	"time"

	"undercoat/inventory/unit"
)

// Part is one product of a mixture, by mass.
type Part struct {
	Code string
	Mass unit.Mass
}

// RecipeFact is a numbered recipe: a mixture of parts by mass, a stack of
// layers, or both (a stack whose mixture is kept beside it). It is never
// changed; a correction is a new recipe that names its parent.
type RecipeFact struct {
	Number int64                `col:"number" range:"0..1e9"` // given when it is saved
	Parent unit.Stated[int64]   `col:"parent" range:"1..1e9"`
	Name   string               `col:"name" as:"name" need:"yes"`
	At     time.Time            `col:"at" as:"moment"` // zero = when it is saved
	Target unit.Stated[Written] `col:"target"`
	Ground string               `col:"ground" as:"code"`
	Parts  []Part               `col:"parts"`
	Layers []RecipeLayer        `col:"recipe" sql:"layers"`
	Job    string               `col:"job"`
	Area   string               `col:"area"`
	Note   string               `col:"note"`
}

// Total is the mass of the parts as they are written.
func (r RecipeFact) Total() unit.Mass {
	total := unit.Mass(0)
	for _, p := range r.Parts {
		total += p.Mass
	}
	return total
}

// For scales the parts to a total mass. No parts give none.
func (r RecipeFact) For(total unit.Mass) []Part {
	sum := r.Total()
	parts := slices.Clone(r.Parts)
	for i := range parts {
		parts[i].Mass *= total / sum
	}
	return parts
}

// SaveRecipe stores a recipe under a new number, which it returns. Every
// product must be on the shelf.
func (f *File) SaveRecipe(ctx context.Context, r RecipeFact) (number int64, err error) {
	err = f.write(ctx, "save recipe "+r.Name, func(t *tx) error {
		number, err = t.saveRecipe(ctx, r)
		return err
	})
	if err != nil {
		return 0, err
	}
	return number, nil
}

func (t *tx) saveRecipe(ctx context.Context, r RecipeFact) (number int64, err error) {
	var c complaints
	r.At = t.timeOr(r.At)
	r = recipeTable().check(&t.env, r, 0, &c)
	if r.Parts == nil && r.Layers == nil {
		c.add("recipes.csv", 0, "parts", "", partsExpected+", or "+layersExpected)
	}
	t.needStock(ctx, "recipes.csv", "recipe", r.Layers, &c)
	for _, p := range r.Parts {
		t.needStock(ctx, "recipes.csv", "parts", []RecipeLayer{{Code: p.Code}}, &c)
	}
	if r.Ground != "" {
		t.needStock(ctx, "recipes.csv", "ground", []RecipeLayer{{Code: r.Ground}}, &c)
	}
	if parent, ok := r.Parent.Get(); ok {
		if err := t.recipeExists(ctx, parent); err != nil {
			return 0, err
		}
	}
	if err := c.err(); err != nil {
		return 0, err
	}
	return t.insertNumbered(ctx, recipeTable().insertSQL(), recipeTable().values(&r, nil))
}

// insertNumbered stores a row whose first column is its number, leaving the
// number to the file.
func (t *tx) insertNumbered(ctx context.Context, insert string, values []any) (int64, error) {
	values[0] = nil
	got, err := t.ExecContext(ctx, insert, values...)
	if err != nil {
		return 0, err
	}
	return got.LastInsertId()
}

func (t *tx) recipeExists(ctx context.Context, number int64) error {
	var one int
	err := t.QueryRowContext(ctx, `SELECT 1 FROM recipe WHERE number = ?`, number).Scan(&one)
	if errors.Is(err, sql.ErrNoRows) {
		return fmt.Errorf("recipe %d: %w", number, ErrNotFound)
	}
	return err
}

// timeOr gives a zero time the clock's.
func (t *tx) timeOr(at time.Time) time.Time {
	if !at.IsZero() {
		return at
	}
	now, _ := stampedAt(t, unit.Stated[time.Time]{}).Get()
	return now
}

// Recipes lists every recipe by number.
func (f *File) Recipes(ctx context.Context) ([]RecipeFact, error) {
	var list []RecipeFact
	err := f.read(ctx, "list recipes", func(t *tx) (err error) {
		list, err = rowsWhere(ctx, t, recipeTable(), "ORDER BY number")
		return err
	})
	return list, err
}

// Recipe returns a recipe and its batches, oldest first.
func (f *File) Recipe(ctx context.Context, number int64) (RecipeFact, []BatchFact, error) {
	var r RecipeFact
	var batches []BatchFact
	err := f.read(ctx, fmt.Sprintf("read recipe %d", number), func(t *tx) error {
		list, err := rowsWhere(ctx, t, recipeTable(), "WHERE number = ?", number)
		if err != nil {
			return err
		}
		if len(list) == 0 {
			return ErrNotFound
		}
		r = list[0]
		batches, err = t.batches(ctx, "WHERE recipe = ? ORDER BY number", number)
		return err
	})
	return r, batches, err
}
