package inventory

import (
	"context"
	"fmt"
	"time"

	"undercoat/inventory/unit"
)

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
		number, err = t.saveBatch(ctx, b, taken)
		return err
	})
	if err != nil {
		return 0, err
	}
	return number, nil
}

func (t *tx) saveBatch(ctx context.Context, b BatchFact, taken []Taken) (number int64, err error) {
	var c complaints
	b.At = t.timeOr(b.At)
	b = batchTable().check(&t.env, b, 0, &c)
	if b.Made < unit.Least {
		c.add("batches.csv", 0, "made_g", unit.FormatNumber(float64(b.Made)), "the mass that was made, more than 0")
	}
	if err := c.err(); err != nil {
		return 0, err
	}
	if err := t.recipeExists(ctx, b.Recipe); err != nil {
		return 0, err
	}
	if number, err = t.insertNumbered(ctx, batchTable().insertSQL(), batchTable().values(&b, nil)); err != nil {
		return 0, err
	}
	for _, k := range taken {
		if err := t.move(ctx, k.Code, Used, k.Quantity, Because{Note: fmt.Sprintf("batch %d of recipe %d", number, b.Recipe)}); err != nil {
			return 0, err
		}
	}
	return number, t.shelfChanged(ctx)
}

// CorrectBatch records that a batch was corrected, in one transaction: the
// corrected recipe under a new number, the corrected batch of it with what was
// added taken off the shelf, and the old batch used up in it. old is 0 where
// the old batch was not on record. It returns the two new numbers.
func (f *File) CorrectBatch(ctx context.Context, r RecipeFact, b BatchFact, added []Taken, old int64) (recipe, batch int64, err error) {
	err = f.write(ctx, "correct a batch: "+r.Name, func(t *tx) error {
		if recipe, err = t.saveRecipe(ctx, r); err != nil {
			return err
		}
		b.Recipe = recipe
		if batch, err = t.saveBatch(ctx, b, added); err != nil || old == 0 {
			return err
		}
		list, err := t.batches(ctx, "WHERE number = ?", old)
		if err != nil || len(list) == 1 && list[0].Left < unit.Least {
			return err // nothing is left of it on record
		}
		_, err = t.useBatch(ctx, old, func(left unit.Mass) unit.Mass { return left }, Because{Note: fmt.Sprintf("went into batch %d", batch)})
		return err
	})
	if err != nil {
		return 0, 0, err
	}
	return recipe, batch, nil
}

// UseBatch takes a mass from a batch and returns what is left, which is
// negative when more was taken than was made: then the batch wants weighing.
func (f *File) UseBatch(ctx context.Context, number int64, used unit.Mass, why Because) (left unit.Mass, err error) {
	err = f.write(ctx, fmt.Sprintf("use batch %d", number), func(t *tx) error {
		left, err = t.useBatch(ctx, number, func(unit.Mass) unit.Mass { return used }, why)
		return err
	})
	return left, err
}

// useBatch takes from a batch what of says of what is left.
func (t *tx) useBatch(ctx context.Context, number int64, of func(left unit.Mass) unit.Mass, why Because) (left unit.Mass, err error) {
	list, err := t.batches(ctx, "WHERE number = ?", number)
	if err != nil {
		return 0, err
	}
	if len(list) == 0 {
		return 0, fmt.Errorf("batch %d: %w", number, ErrNotFound)
	}
	used := of(list[0].Left)
	if !(used >= unit.Least && used <= unit.Most) {
		return 0, fmt.Errorf("%v: expected a mass of more than 0 g", used)
	}
	left = unit.Mass(settle(float64(list[0].Left - used)))
	_, err = t.ExecContext(ctx, `INSERT INTO batch_use(batch, at, used_g, job, step, note) VALUES (?,?,?,?,?,?)`,
		number, t.now, float64(used), nullText(why.Job), nullText(tidyCell(why.Step)), nullText(tidyCell(why.Note)))
	return left, err
}
