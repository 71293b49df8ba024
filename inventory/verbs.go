package inventory

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"time"

	"undercoat/inventory/unit"
)

// Approve freezes an area's target. A second approval of the same area is kept
// beside the first and then holds; none is ever changed. An unstated At becomes
// the clock's time. It returns the job's new version.
//
// Errors: [ErrNotFound] for an unknown job, [ErrChanged] for an old version,
// [*BadCells] for what is not understood or an unknown area.
func (f *File) Approve(ctx context.Context, at At, r TargetFact) (version int64, err error) {
	return f.record(ctx, "approve the target of "+r.Area, at, func(t *tx, job int64, c *complaints) (func() error, error) {
		r.At = stampedAt(t, r.At)
		r = targetTable().check(&t.env, r, 0, c)
		t.needArea(ctx, "targets.csv", job, r.Area, c)
		return func() error { return insertFact(ctx, t, targetTable(), job, &r) }, nil
	})
}

// Choose records the maker's choice of layers for an area; the last one holds.
// It returns the job's new version; errors as with [File.Approve].
func (f *File) Choose(ctx context.Context, at At, r ChoiceFact) (version int64, err error) {
	return f.record(ctx, "choose for "+r.Area, at, func(t *tx, job int64, c *complaints) (func() error, error) {
		r.At = stampedAt(t, r.At)
		r = choiceTable().check(&t.env, r, 0, c)
		t.needArea(ctx, "choices.csv", job, r.Area, c)
		t.needStock(ctx, "choices.csv", "recipe", r.Layers, c)
		return func() error { return insertFact(ctx, t, choiceTable(), job, &r) }, nil
	})
}

// AddTest records a test. Its code must be new to the job; an empty one becomes
// the next free RTn. It returns the job's new version; errors as with
// [File.Approve].
func (f *File) AddTest(ctx context.Context, at At, r TestFact) (version int64, err error) {
	return f.record(ctx, "add test "+r.Code, at, func(t *tx, job int64, c *complaints) (func() error, error) {
		if r.Code == "" {
			var err error
			if r.Code, err = t.nextTest(ctx, job); err != nil {
				return nil, err
			}
		}
		r.When = stampedAt(t, r.When)
		r = testTable().check(&t.env, r, 0, c)
		if t.stockExists(ctx, r.Subject) != nil && !t.areaExists(ctx, job, r.Subject) {
			c.add("tests.csv", 0, "subject", r.Subject, "the code of a stock line or an area")
		}
		var one int
		if t.QueryRowContext(ctx, `SELECT 1 FROM test WHERE job = ? AND code = ?`, job, r.Code).Scan(&one) == nil {
			return nil, fmt.Errorf("test %s: %w", r.Code, ErrExists)
		}
		return func() error { return insertFact(ctx, t, testTable(), job, &r) }, nil
	})
}

// nextTest is the first RTn that the job does not use.
func (t *tx) nextTest(ctx context.Context, job int64) (string, error) {
	for n := 1; ; n++ {
		code := fmt.Sprintf("RT%d", n)
		var one int
		err := t.QueryRowContext(ctx, `SELECT 1 FROM test WHERE job = ? AND code = ?`, job, code).Scan(&one)
		if errors.Is(err, sql.ErrNoRows) {
			return code, nil
		}
		if err != nil {
			return "", err
		}
	}
}

// Done records a finished step. With an amount used and the stock line it came
// from, that much leaves the shelf in the same transaction, first out of what
// the job has reserved. An unstated At becomes the clock's time.
//
// It returns the job's new version; errors as with [File.Approve], and
// [ErrExists] when the step is done already (see [File.Undo]).
func (f *File) Done(ctx context.Context, at At, r DoneFact) (version int64, err error) {
	return f.record(ctx, "mark step "+r.Step+" done", at, func(t *tx, job int64, c *complaints) (func() error, error) {
		r.At = stampedAt(t, r.At)
		r = doneTable().check(&t.env, r, 0, c)
		used, ok := r.Used.Get()
		if ok && r.Code == "" {
			c.add("done.csv", 0, "code", "", "the code of the stock line it was taken from, because an amount is given")
		}
		if r.Code != "" && t.stockExists(ctx, r.Code) != nil {
			c.add("done.csv", 0, "code", r.Code, "the code of a stock line")
		}
		var when sql.NullString
		if t.QueryRowContext(ctx, `SELECT at FROM done WHERE job = ? AND step = ? AND withdrawn IS NULL`, job, r.Step).Scan(&when) == nil {
			return nil, fmt.Errorf("step %s: %w: done at %s", r.Step, ErrExists, when.String)
		}
		return func() error {
			if err := insertFact(ctx, t, doneTable(), job, &r); err != nil || !ok {
				return err
			}
			return t.moveForJob(ctx, r.Code, Used, used, Because{Job: at.Job, Step: r.Step})
		}, nil
	})
}

// Undo takes back that a step is done, and puts on hand again what the step
// took. The fact stays in the file as withdrawn. It returns the job's new
// version.
func (f *File) Undo(ctx context.Context, at At, step string) (version int64, err error) {
	return f.record(ctx, "take back step "+step, at, func(t *tx, job int64, c *complaints) (func() error, error) {
		done, err := rowsWhere(ctx, t, doneTable(), "WHERE job = ? AND step = ? AND withdrawn IS NULL", job, step)
		if err != nil {
			return nil, err
		}
		if len(done) == 0 {
			return nil, fmt.Errorf("step %s: %w", step, ErrNotFound)
		}
		return func() error {
			_, err := t.ExecContext(ctx, `UPDATE done SET withdrawn = ? WHERE job = ? AND step = ? AND withdrawn IS NULL`, t.now, job, step)
			if err != nil {
				return err
			}
			return t.giveBack(ctx, job, at.Job, step)
		}, nil
	})
}

// giveBack reverses what a step has moved so far.
func (t *tx) giveBack(ctx context.Context, job int64, name, step string) error {
	type sum struct {
		code         string
		amount, held float64
	}
	rows, err := t.QueryContext(ctx, `SELECT code, sum(amount), sum(held) FROM movement WHERE job = ? AND step = ? GROUP BY code`, job, step)
	if err != nil {
		return err
	}
	defer rows.Close()
	var sums []sum
	for rows.Next() {
		var s sum
		if err := rows.Scan(&s.code, &s.amount, &s.held); err != nil {
			return err
		}
		sums = append(sums, s)
	}
	if err := rows.Err(); err != nil {
		return err
	}
	for _, s := range sums {
		if settle(s.amount) == 0 && settle(s.held) == 0 {
			continue
		}
		why := Because{Job: name, Step: step, Note: "step taken back"}
		if err := t.addMovement(ctx, s.code, Used, -s.amount, -s.held, sql.NullInt64{Int64: job, Valid: true}, why); err != nil {
			return err
		}
	}
	return t.shelfChanged(ctx)
}

func (t *tx) moveForJob(ctx context.Context, code string, what Moved, q unit.Quantity, why Because) error {
	if err := t.move(ctx, code, what, q, why); err != nil {
		return err
	}
	return t.shelfChanged(ctx)
}

// record runs one command on a job: prepare checks and gives the act that
// stores, which only runs when there was nothing to complain about.
func (f *File) record(ctx context.Context, what string, at At, prepare func(t *tx, job int64, c *complaints) (func() error, error)) (version int64, err error) {
	err = f.write(ctx, what, func(t *tx) error {
		var job int64
		job, version, err = t.changeJob(ctx, at)
		if err != nil {
			return err
		}
		var c complaints
		act, err := prepare(t, job, &c)
		if err != nil {
			return err
		}
		if err := c.err(); err != nil {
			return err
		}
		return act()
	})
	if err != nil {
		return 0, err
	}
	return version, nil
}

// stampedAt gives an unstated time the clock's.
func stampedAt(t *tx, at unit.Stated[time.Time]) unit.Stated[time.Time] {
	if at.Known() {
		return at
	}
	now, err := time.Parse(time.RFC3339, t.now)
	if err != nil {
		panic("inventory: our own stamp does not read: " + err.Error())
	}
	return unit.State(now)
}

// insertFact appends a fact that a command recorded.
func insertFact[T any](ctx context.Context, t *tx, tab *table[T], job int64, r *T) error {
	var last int64
	if err := t.QueryRowContext(ctx, `SELECT coalesce(max(seq), 0) FROM `+tab.name+` WHERE job = ?`, job).Scan(&last); err != nil {
		return err
	}
	return insertRow(ctx, t, tab, r, factHead, job, last+1, "command")
}

// factHead are the head columns of tables that commands write to.
var factHead = []string{"job", "seq", "origin"}

func (t *tx) needArea(ctx context.Context, file string, job int64, code string, c *complaints) {
	if code != "" && !t.areaExists(ctx, job, code) {
		c.add(file, 0, "area", code, "the code of an area of the job")
	}
}

func (t *tx) needStock(ctx context.Context, file, column string, layers []RecipeLayer, c *complaints) {
	for _, l := range layers {
		if t.stockExists(ctx, l.Code) != nil {
			c.add(file, 0, column, l.Code, "the code of a stock line")
		}
	}
}
