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

// BatchFact is one mixing of a recipe. Left is what was made less what was
// taken since; it is computed, never stated.
type BatchFact struct {
	Number int64     `col:"number" range:"0..1e9"` // given when it is saved
	Recipe int64     `col:"recipe" range:"1..1e9"`
	At     time.Time `col:"at" as:"moment"` // zero = when it is saved
	Made   unit.Mass `col:"made_g"`
	Left   unit.Mass `col:"left_g" range:"-1e9..1e9" sql:"-"`
	Place  string    `col:"place"`
	Note   string    `col:"note"`
}

// Taken is an amount of a stock line that went into a batch.
type Taken struct {
	Code     string
	Quantity unit.Quantity
}

// WeighingFact is a pot weighed before and after coats over a known extent: a
// learned correction of the spread rate on the label.
type WeighingFact struct {
	Code    string               `col:"code" as:"code" need:"yes"`
	At      time.Time            `col:"at" as:"moment"` // zero = when it is recorded
	Before  unit.Mass            `col:"before_g"`
	After   unit.Mass            `col:"after_g"`
	Painted unit.Extent          `col:"painted_m2"`
	Coats   int                  `col:"coats" range:"1..100"`
	Density unit.Stated[float64] `col:"density_g_ml" range:"0.1..25"` // g/mL of the wet product
	Job     string               `col:"job"`
	Area    string               `col:"area"`
	Step    string               `col:"step"`
	Note    string               `col:"note"`
}

// PerCoat is the mass that one coat took per area, in g/m².
func (w WeighingFact) PerCoat() float64 {
	return float64(w.Before-w.After) / (float64(w.Painted) * float64(w.Coats))
}

// Spread is the volume that one coat took per area. It is unknown without the
// density: a mass alone does not tell a volume.
func (w WeighingFact) Spread() unit.Stated[unit.SpreadRate] {
	d, ok := w.Density.Get()
	if !ok {
		return unit.Stated[unit.SpreadRate]{}
	}
	return unit.State(unit.SpreadRate(w.PerCoat() / d))
}

// SaveRecipe stores a recipe under a new number, which it returns. Every
// product must be on the shelf.
func (f *File) SaveRecipe(ctx context.Context, r RecipeFact) (number int64, err error) {
	err = f.write(ctx, "save recipe "+r.Name, func(t *tx) error {
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
				return err
			}
		}
		if err := c.err(); err != nil {
			return err
		}
		number, err = t.insertNumbered(ctx, recipeTable().insertSQL(), recipeTable().values(&r, nil))
		return err
	})
	return number, err
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

// Batches lists every batch by number.
func (f *File) Batches(ctx context.Context) ([]BatchFact, error) {
	var list []BatchFact
	err := f.read(ctx, "list batches", func(t *tx) (err error) {
		list, err = t.batches(ctx, "ORDER BY number")
		return err
	})
	return list, err
}

// batches loads batches with what is left of each.
func (t *tx) batches(ctx context.Context, where string, args ...any) ([]BatchFact, error) {
	list, err := rowsWhere(ctx, t, batchTable(), where, args...)
	for i := range list {
		if err != nil {
			break
		}
		var used float64
		err = t.QueryRowContext(ctx, `SELECT coalesce(sum(used_g), 0.0) FROM batch_use WHERE batch = ?`, list[i].Number).Scan(&used)
		list[i].Left = unit.Mass(settle(float64(list[i].Made) - used))
	}
	return list, err
}

// SaveBatch records a mixing of a recipe and takes what went into it off the
// shelf, in one transaction; it returns the batch's number. What was taken is
// stated in the unit of each stock line, since a mass of paint does not tell
// its volume; it may be left out.
func (f *File) SaveBatch(ctx context.Context, b BatchFact, taken []Taken) (number int64, err error) {
	err = f.write(ctx, fmt.Sprintf("save a batch of recipe %d", b.Recipe), func(t *tx) error {
		var c complaints
		b.At = t.timeOr(b.At)
		b = batchTable().check(&t.env, b, 0, &c)
		if b.Made < unit.Least {
			c.add("batches.csv", 0, "made_g", unit.FormatNumber(float64(b.Made)), "the mass that was made, more than 0")
		}
		if err := c.err(); err != nil {
			return err
		}
		if err := t.recipeExists(ctx, b.Recipe); err != nil {
			return err
		}
		number, err = t.insertNumbered(ctx, batchTable().insertSQL(), batchTable().values(&b, nil))
		if err != nil {
			return err
		}
		for _, k := range taken {
			if err := t.move(ctx, k.Code, Used, k.Quantity, Because{Note: fmt.Sprintf("batch %d of recipe %d", number, b.Recipe)}); err != nil {
				return err
			}
		}
		return t.shelfChanged(ctx)
	})
	return number, err
}

// UseBatch takes a mass from a batch and returns what is left, which is
// negative when more was taken than was made: then the batch wants weighing.
func (f *File) UseBatch(ctx context.Context, number int64, used unit.Mass, why Because) (left unit.Mass, err error) {
	err = f.write(ctx, fmt.Sprintf("use batch %d", number), func(t *tx) error {
		if !(used >= unit.Least && used <= unit.Most) {
			return fmt.Errorf("%v: expected a mass of more than 0 g", used)
		}
		list, err := t.batches(ctx, "WHERE number = ?", number)
		if err != nil {
			return err
		}
		if len(list) == 0 {
			return ErrNotFound
		}
		left = unit.Mass(settle(float64(list[0].Left - used)))
		_, err = t.ExecContext(ctx, `INSERT INTO batch_use(batch, at, used_g, job, step, note) VALUES (?,?,?,?,?,?)`,
			number, t.now, float64(used), nullText(why.Job), nullText(tidyCell(why.Step)), nullText(tidyCell(why.Note)))
		return err
	})
	return left, err
}

// AddWeighing records a pot weighed before and after coats.
func (f *File) AddWeighing(ctx context.Context, w WeighingFact) error {
	return f.write(ctx, "add weighing of "+w.Code, func(t *tx) error {
		var c complaints
		w.At = t.timeOr(w.At)
		w = weighingTable().check(&t.env, w, 0, &c)
		if w.After >= w.Before {
			c.add("weighings.csv", 0, "after_g", unit.FormatNumber(float64(w.After)), "less than before_g")
		}
		if w.Painted < unit.Least {
			c.add("weighings.csv", 0, "painted_m2", unit.FormatNumber(float64(w.Painted)), "the extent that was painted, more than 0")
		}
		if w.Coats < 1 {
			c.add("weighings.csv", 0, "coats", "", "the number of coats, 1 or more")
		}
		t.needStock(ctx, "weighings.csv", "code", []RecipeLayer{{Code: w.Code}}, &c)
		if err := c.err(); err != nil {
			return err
		}
		return insertRow(ctx, t, weighingTable(), &w, nil)
	})
}

// Weighings lists the weighings of a stock line, oldest first; "" lists all.
func (f *File) Weighings(ctx context.Context, code string) ([]WeighingFact, error) {
	var list []WeighingFact
	err := f.read(ctx, "read weighings of "+code, func(t *tx) (err error) {
		list, err = rowsWhere(ctx, t, weighingTable(), "WHERE ?1 = '' OR code = ?1 ORDER BY code, id", code)
		return err
	})
	return list, err
}

// printBench prints recipes, batches and weighings as tables.
func (t *tx) printBench(ctx context.Context, files *[]PictureFact) error {
	recipes, err := rowsWhere(ctx, t, recipeTable(), "ORDER BY number")
	if err != nil {
		return err
	}
	batches, err := t.batches(ctx, "ORDER BY number")
	if err != nil {
		return err
	}
	weighings, err := rowsWhere(ctx, t, weighingTable(), "ORDER BY code, id")
	if err != nil {
		return err
	}
	return errors.Join(printTable(files, recipeTable(), &t.env, recipes), printTable(files, batchTable(), &t.env, batches),
		printTable(files, weighingTable(), &t.env, weighings))
}

// Setting returns a setting of the workroom; ok says whether it was ever set.
func (f *File) Setting(ctx context.Context, name string) (value string, ok bool, err error) {
	err = f.read(ctx, "read setting "+name, func(t *tx) error {
		err := t.QueryRowContext(ctx, `SELECT value FROM setting WHERE name = ?`, name).Scan(&value)
		if errors.Is(err, sql.ErrNoRows) {
			return nil
		}
		ok = err == nil
		return err
	})
	return value, ok, err
}

// Settings returns every setting by name.
func (f *File) Settings(ctx context.Context) (map[string]string, error) {
	all := map[string]string{}
	err := f.read(ctx, "read settings", func(t *tx) error {
		rows, err := t.QueryContext(ctx, `SELECT name, value FROM setting`)
		if err != nil {
			return err
		}
		defer rows.Close()
		for rows.Next() {
			var name, value string
			if err := rows.Scan(&name, &value); err != nil {
				return err
			}
			all[name] = value
		}
		return rows.Err()
	})
	return all, err
}

// SetSetting sets a setting of the workroom.
func (f *File) SetSetting(ctx context.Context, name, value string) error {
	return f.write(ctx, "set "+name, func(t *tx) error {
		if name == "" || !isText(mostName)(name) || !isText(mostText)(value) {
			return fmt.Errorf("%q: expected a name and text without control characters", name)
		}
		_, err := t.ExecContext(ctx, `INSERT INTO setting VALUES (?1, ?2) ON CONFLICT (name) DO UPDATE SET value = ?2`, name, value)
		return err
	})
}
