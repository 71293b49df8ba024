package inventory

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"math"
	"time"

	"undercoat/inventory/unit"
)

// Movement is one change of a stock line, and why. What is on hand is the sum
// of the amounts, so every figure can be explained line by line. Amounts are
// kept to a millionth of their unit.
type Movement struct {
	ID     int64     `col:"id"` // in order of recording
	Code   string    `col:"code" as:"code" need:"yes"`
	At     time.Time `col:"at" as:"moment"`
	What   Moved     `col:"what" oneof:"bought|used|reserved|released|thrown away|counted"`
	Amount float64   `col:"amount" range:"-1e9..1e9"` // change of what is on hand, in Unit
	Held   float64   `col:"held" range:"-1e9..1e9"`   // change of what the job has reserved
	Unit   string    `col:"unit" as:"unit"`
	Job    string    `col:"job"`
	Step   string    `col:"step"`
	Note   string    `col:"note"`
	OnHand float64   `col:"on_hand" range:"-1e9..1e9"` // after this movement
}

// Moved says what happened to a stock line.
type Moved string

// What may happen to a stock line. A count sets what is on hand; its amount is
// the difference it made.
const (
	Bought     Moved = "bought"
	Used       Moved = "used"
	Reserved   Moved = "reserved"
	Released   Moved = "released"
	ThrownAway Moved = "thrown away"
	Counted    Moved = "counted"
)

// Because says which job and step a movement belongs to, and a word on it. All
// of it may be empty.
type Because struct{ Job, Step, Note string }

// Buy adds an amount to a line.
func (f *File) Buy(ctx context.Context, code string, q unit.Quantity, why Because) error {
	return f.move(ctx, "buy", code, Bought, q, why)
}

// Use takes an amount off a line. With a job it first uses up what that job has
// reserved. More may be used than was counted: the figure then is negative and
// asks for a count.
func (f *File) Use(ctx context.Context, code string, q unit.Quantity, why Because) error {
	return f.move(ctx, "use", code, Used, q, why)
}

// ThrowAway takes an amount off a line that went to waste.
func (f *File) ThrowAway(ctx context.Context, code string, q unit.Quantity, why Because) error {
	return f.move(ctx, "throw away", code, ThrownAway, q, why)
}

// Count states what is on hand now; the movement is the difference.
func (f *File) Count(ctx context.Context, code string, q unit.Quantity, why Because) error {
	return f.move(ctx, "count", code, Counted, q, why)
}

// Reserve keeps an amount for a job. It adds to what the job holds already, and
// may exceed what is on hand: the shopping list then shows the gap.
func (f *File) Reserve(ctx context.Context, code string, q unit.Quantity, why Because) error {
	return f.move(ctx, "reserve", code, Reserved, q, why)
}

// Release gives back what a job has reserved, at most what it holds.
func (f *File) Release(ctx context.Context, code string, q unit.Quantity, why Because) error {
	return f.move(ctx, "release", code, Released, q, why)
}

func (f *File) move(ctx context.Context, verb, code string, what Moved, q unit.Quantity, why Because) error {
	return f.write(ctx, verb+" "+code, func(t *tx) error {
		if err := t.move(ctx, code, what, q, why); err != nil {
			return err
		}
		return t.shelfChanged(ctx)
	})
}

var errAmount = errors.New("expected a finite amount of 0 or more")

// move records a movement of a line; q is never negative.
func (t *tx) move(ctx context.Context, code string, what Moved, q unit.Quantity, why Because) error {
	if !(q.Amount >= 0 && q.Amount <= unit.Most) {
		return fmt.Errorf("%v: %w", q, errAmount)
	}
	q.Amount = settle(q.Amount)
	job, err := t.jobOf(ctx, why.Job, what)
	if err != nil {
		return err
	}
	if err := t.agreeUnit(ctx, code, q.Unit); err != nil {
		return err
	}
	b, held, err := t.balanceOf(ctx, code, job)
	if err != nil {
		return err
	}
	amount, hold, err := changes(what, q, b, held)
	if err != nil {
		return err
	}
	return t.addMovement(ctx, code, what, amount, hold, job, why)
}

// changes gives the change of what is on hand and of what the job holds.
func changes(what Moved, q unit.Quantity, b balance, held float64) (amount, hold float64, err error) {
	switch what {
	case Bought:
		return q.Amount, 0, nil
	case Used:
		return -q.Amount, -math.Min(q.Amount, math.Max(settle(held), 0)), nil
	case ThrownAway:
		return -q.Amount, 0, nil
	case Counted:
		return settle(q.Amount - b.amount), 0, nil
	case Reserved:
		return 0, q.Amount, nil
	case Released:
		if q.Amount > settle(held) {
			return 0, 0, fmt.Errorf("%v: the job holds %v", q, unit.Quantity{Amount: settle(held), Unit: q.Unit})
		}
		return 0, -q.Amount, nil
	}
	return 0, 0, fmt.Errorf("%q: expected a kind of movement", what)
}

func (t *tx) addMovement(ctx context.Context, code string, what Moved, amount, hold float64, job sql.NullInt64, why Because) error {
	return t.exec(ctx, `INSERT INTO movement(code, at, what, amount, held, job, step, note) VALUES(?,?,?,?,?,?,?,?)`,
		code, t.now, string(what), amount, hold, job, nullText(tidyCell(why.Step)), nullText(tidyCell(why.Note)))
}

// jobOf finds the job of a movement; reserving needs one.
func (t *tx) jobOf(ctx context.Context, name string, what Moved) (sql.NullInt64, error) {
	if name == "" {
		if what == Reserved || what == Released {
			return sql.NullInt64{}, errors.New("expected the job it is for")
		}
		return sql.NullInt64{}, nil
	}
	id, _, err := t.jobID(ctx, name)
	return sql.NullInt64{Int64: id, Valid: true}, err
}

// agreeUnit holds a quantity against the unit of its line; a line that has none
// yet takes it.
func (t *tx) agreeUnit(ctx context.Context, code, word string) error {
	if _, err := unit.NewQuantity(0, word); err != nil {
		return err
	}
	var has sql.NullString
	err := t.QueryRowContext(ctx, `SELECT unit FROM stock WHERE code = ?`, code).Scan(&has)
	switch {
	case errors.Is(err, sql.ErrNoRows):
		return fmt.Errorf("stock line %s: %w", code, ErrNotFound)
	case err != nil:
		return err
	case !has.Valid:
		_, err = t.ExecContext(ctx, `UPDATE stock SET unit = ?, version = version + 1 WHERE code = ?`, word, code)
		return err
	case has.String != word:
		return fmt.Errorf("stock line %s: found the unit %q, expected %q", code, word, has.String)
	}
	return nil
}

// balanceOf adds up a line, and what one job holds of it.
func (t *tx) balanceOf(ctx context.Context, code string, job sql.NullInt64) (b balance, held float64, err error) {
	err = t.QueryRowContext(ctx, `SELECT count(*) > 0, coalesce(sum(amount), 0.0), coalesce(sum(held), 0.0),
		coalesce(sum(CASE WHEN job = ?2 THEN held ELSE 0.0 END), 0.0) FROM movement WHERE code = ?1`, code, job).
		Scan(&b.known, &b.amount, &b.held, &held)
	return b, held, err
}

// Movements returns everything that happened to a line, oldest first, each with
// what was on hand after it.
func (f *File) Movements(ctx context.Context, code string) ([]Movement, error) {
	var list []Movement
	err := f.read(ctx, "read movements of "+code, func(t *tx) (err error) {
		if err := t.stockExists(ctx, code); err != nil {
			return err
		}
		list, err = t.movements(ctx, `WHERE m.code = ? ORDER BY m.id`, code)
		return err
	})
	return list, err
}

// stockExists gives [ErrNotFound] for a code that is not on the shelf.
func (t *tx) stockExists(ctx context.Context, code string) error {
	known, err := t.known(ctx, code)
	if err == nil && !known {
		err = fmt.Errorf("stock line %s: %w", code, ErrNotFound)
	}
	return err
}

func (t *tx) known(ctx context.Context, code string) (bool, error) {
	s, err := t.prepared(ctx, `SELECT count(*) FROM stock WHERE code = ?`)
	if err != nil {
		return false, err
	}
	var known bool
	err = s.QueryRowContext(ctx, code).Scan(&known)
	return known, err
}

// movements loads movements; rows of one code come together and in order.
func (t *tx) movements(ctx context.Context, rest string, args ...any) ([]Movement, error) {
	rows, err := t.QueryContext(ctx, `SELECT m.id, m.code, m.at, m.what, m.amount, m.held, coalesce(s.unit, ''), coalesce(j.name, ''),
		coalesce(m.step, ''), coalesce(m.note, '') FROM movement m JOIN stock s ON s.code = m.code LEFT JOIN job j ON j.id = m.job `+rest, args...)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var list []Movement
	for rows.Next() {
		var m Movement
		var at string
		if err := rows.Scan(&m.ID, &m.Code, &at, &m.What, &m.Amount, &m.Held, &m.Unit, &m.Job, &m.Step, &m.Note); err != nil {
			return nil, err
		}
		if m.At, err = time.Parse(time.RFC3339, at); err != nil {
			return nil, fmt.Errorf("movement %d: %w", m.ID, err)
		}
		m.OnHand = m.Amount
		if n := len(list); n > 0 && list[n-1].Code == m.Code {
			m.OnHand = settle(m.OnHand + list[n-1].OnHand)
		}
		list = append(list, m)
	}
	return list, rows.Err()
}
