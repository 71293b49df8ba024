package inventory

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"slices"
	"strings"

	"undercoat/inventory/unit"
)

// storeStock brings the shelf up to date with the folder's stock lines and
// their measures.
func (m *importer) storeStock(ctx context.Context) error {
	if m.in.stock.found {
		if err := m.storeLines(ctx, &m.in.stock, &m.report); err != nil {
			return err
		}
		if _, err := m.ExecContext(ctx, `DELETE FROM job_stock WHERE job = ?`, m.id); err != nil {
			return err
		}
		if err := m.noteLines(ctx); err != nil {
			return err
		}
	}
	if m.in.measures.found {
		return m.storeMeasures(ctx, &m.in.measures, sql.NullInt64{Int64: m.id, Valid: true})
	}
	return nil
}

// noteLines keeps which lines came with the job, in the order of its table.
func (m *importer) noteLines(ctx context.Context) error {
	for i := range m.in.stock.rows {
		err := m.exec(ctx, `INSERT INTO job_stock(job, seq, code) VALUES(?,?,?)`, m.id, i+1, m.in.stock.rows[i].Code)
		if err != nil {
			return err
		}
	}
	return nil
}

// storeLines adds stock lines and changes those that say something else now.
func (t *tx) storeLines(ctx context.Context, in *rowsOf[StockFact], report *Report) error {
	for i := range in.rows {
		r := &in.rows[i]
		known, err := t.known(ctx, r.Code)
		switch {
		case err != nil:
		case known:
			err = t.storeLine(ctx, r, report)
		default:
			err = t.insertLine(ctx, r)
		}
		if err != nil {
			return fmt.Errorf("stock line %s: %w", r.Code, err)
		}
	}
	return nil
}

// storeLine changes a line that is there.
func (t *tx) storeLine(ctx context.Context, r *StockFact, report *Report) error {
	old, err := t.line(ctx, r.Code)
	if err != nil {
		return err
	}
	if columns := changedColumns(&t.env, stockTable(), &old.StockFact, r, "on_hand"); columns != nil {
		if err := t.updateLine(ctx, r); err != nil {
			return err
		}
		report.Changed = append(report.Changed, "stock.csv: "+r.Code+": "+strings.Join(columns, ", "))
	}
	return t.recount(ctx, r, report)
}

// recount takes an on_hand figure as a new count, unless the line has passed
// through that figure already: then the table is older than the movements.
func (t *tx) recount(ctx context.Context, r *StockFact, report *Report) error {
	v, ok := r.OnHand.Get()
	if !ok {
		return nil
	}
	past, err := t.movements(ctx, `WHERE m.code = ? ORDER BY m.id`, r.Code)
	if err != nil {
		return err
	}
	if len(past) == 0 {
		return t.firstCount(ctx, r)
	}
	now := past[len(past)-1].OnHand
	if settle(now-v) == 0 {
		return nil
	}
	was, is := unit.Quantity{Amount: now, Unit: r.Unit}, unit.Quantity{Amount: v, Unit: r.Unit}
	for _, p := range past {
		if settle(p.OnHand-v) == 0 {
			report.Kept = append(report.Kept, fmt.Sprintf("stock.csv: %s: on_hand %v is an older figure; movements since leave %v", r.Code, is, was))
			return nil
		}
	}
	report.Changed = append(report.Changed, fmt.Sprintf("stock.csv: %s: counted %v, was %v", r.Code, is, was))
	return t.addMovement(ctx, r.Code, Counted, settle(v-now), 0, sql.NullInt64{}, Because{Note: "stock table"})
}

// firstCount records what a new line says to be on hand.
func (t *tx) firstCount(ctx context.Context, r *StockFact) error {
	v, ok := r.OnHand.Get()
	if !ok {
		return nil
	}
	return t.addMovement(ctx, r.Code, Counted, settle(v), 0, sql.NullInt64{}, Because{})
}

// storeMeasures replaces the measures that tables gave for the codes named
// here; those of other codes and those that commands recorded stay. A code that
// is no stock line is the job's own sample.
func (t *tx) storeMeasures(ctx context.Context, in *rowsOf[Measure], job sql.NullInt64) error {
	mt := measureTable()
	owners, recorded := map[string]sql.NullInt64{}, map[string][]Measure{}
	for i := range in.rows {
		code := in.rows[i].Code
		if _, ok := owners[code]; ok {
			continue
		}
		owner := job
		err := t.stockExists(ctx, code)
		if err == nil {
			owner = sql.NullInt64{}
		} else if !errors.Is(err, ErrNotFound) {
			return err
		}
		owners[code] = owner
		if _, err := t.ExecContext(ctx, `DELETE FROM measure WHERE code = ? AND job IS ? AND origin = 'table'`, code, owner); err != nil {
			return err
		}
		recorded[code], err = rowsWhere(ctx, t, mt, "WHERE code = ? AND job IS ?", code, owner)
		if err != nil {
			return err
		}
	}
	fresh := make([]Measure, 0, len(in.rows))
	for i := range in.rows {
		same := func(m Measure) bool { return sameRow(&t.env, mt, &m, &in.rows[i]) }
		if !slices.ContainsFunc(recorded[in.rows[i].Code], same) {
			fresh = append(fresh, in.rows[i])
		}
	}
	return insertRows(ctx, t, mt, fresh, []string{"job", "origin"}, func(i int) []any { return []any{owners[fresh[i].Code], "table"} })
}
