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

// keptStock is the last snapshot and the version of the shelf it shows.
type keptStock struct {
	version int64
	stock   Stock
}

// Stock returns a snapshot of the shelf, every job's reservations taken off.
// While nothing changes, the same snapshot is handed out again at the cost of
// one small query.
func (f *File) Stock(ctx context.Context) (Stock, error) {
	var s Stock
	err := f.read(ctx, "read stock", func(t *tx) (err error) {
		s, err = f.snapshot(ctx, t)
		return err
	})
	return s, err
}

// snapshot returns the shelf as this transaction sees it. One reader at a time
// loads it; those who waited for the same version share what it loaded.
func (f *File) snapshot(ctx context.Context, t *tx) (Stock, error) {
	var version int64
	if err := t.QueryRowContext(ctx, `SELECT version FROM shelf`).Scan(&version); err != nil {
		return Stock{}, err
	}
	if s, ok := f.keptAt(version); ok {
		return s, nil
	}
	select {
	case f.loading <- struct{}{}:
	case <-ctx.Done():
		return Stock{}, ctx.Err()
	}
	defer func() { <-f.loading }()
	if s, ok := f.keptAt(version); ok {
		return s, nil
	}
	s, err := t.loadShelf(ctx)
	if err != nil {
		return Stock{}, err
	}
	f.mu.Lock()
	defer f.mu.Unlock()
	if version > f.kept.version {
		f.kept = keptStock{version, s}
	}
	return s, nil
}

func (f *File) keptAt(version int64) (Stock, bool) {
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.kept.stock, f.kept.version == version
}

// StockFor is [File.Stock] as one job sees it: what the job itself has reserved
// counts as on hand.
func (f *File) StockFor(ctx context.Context, job string) (Stock, error) {
	var s Stock
	err := f.read(ctx, "read stock for "+job, func(t *tx) error {
		id, _, err := t.jobID(ctx, job)
		if err != nil {
			return err
		}
		held, err := t.heldBy(ctx, id)
		if err != nil {
			return err
		}
		s, err = f.snapshot(ctx, t)
		if err == nil && len(held) > 0 {
			s, err = s.withHeld(held)
		}
		return err
	})
	return s, err
}

// Holding is what a job has reserved of one line.
type Holding struct {
	Code string
	Held unit.Quantity
}

// Reserved lists what a job holds, by code.
func (f *File) Reserved(ctx context.Context, job string) ([]Holding, error) {
	var list []Holding
	err := f.read(ctx, "read reservations of "+job, func(t *tx) error {
		id, _, err := t.jobID(ctx, job)
		if err != nil {
			return err
		}
		held, err := t.heldBy(ctx, id)
		if err != nil {
			return err
		}
		for code, amount := range held {
			var word string
			if err := t.QueryRowContext(ctx, `SELECT coalesce(unit, '') FROM stock WHERE code = ?`, code).Scan(&word); err != nil {
				return err
			}
			list = append(list, Holding{code, unit.Quantity{Amount: amount, Unit: word}})
		}
		slices.SortFunc(list, func(a, b Holding) int { return strings.Compare(a.Code, b.Code) })
		return nil
	})
	return list, err
}

// heldBy returns what a job holds, by code.
func (t *tx) heldBy(ctx context.Context, job int64) (map[string]float64, error) {
	rows, err := t.QueryContext(ctx, `SELECT code, sum(held) FROM movement WHERE job = ? GROUP BY code HAVING abs(sum(held)) > 5e-7`, job)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	held := map[string]float64{}
	for rows.Next() {
		var code string
		var amount float64
		if err := rows.Scan(&code, &amount); err != nil {
			return nil, err
		}
		held[code] = settle(amount)
	}
	return held, rows.Err()
}

// withHeld returns the snapshot with some amounts put back on hand.
func (s Stock) withHeld(held map[string]float64) (Stock, error) {
	put := func(a *Article) {
		if h, ok := held[a.Code]; ok {
			if q, known := a.OnHand.Get(); known {
				q.Amount = settle(q.Amount + h)
				a.OnHand = unit.State(q)
			}
			a.Reserved.Amount = settle(a.Reserved.Amount - h)
		}
	}
	paints, dyes, cloths, trims := s.Paints(), s.Dyes(), s.Cloths(), s.Trims()
	for i := range paints {
		put(&paints[i].Article)
	}
	for i := range dyes {
		put(&dyes[i].Article)
	}
	for i := range cloths {
		put(&cloths[i].Article)
	}
	for i := range trims {
		put(&trims[i].Article)
	}
	return newStock(paints, dyes, cloths, trims)
}

// loadShelf reads the whole shelf, by code.
func (t *tx) loadShelf(ctx context.Context) (Stock, error) {
	balances, err := t.balances(ctx)
	if err != nil {
		return Stock{}, err
	}
	measures, err := t.stockMeasures(ctx)
	if err != nil {
		return Stock{}, err
	}
	n, err := t.countLists(ctx)
	if err != nil {
		return Stock{}, err
	}
	paints, dyes, cloths, trims := make([]Paint, 0, n['p']), make([]Dye, 0, n['d']), make([]Cloth, 0, n['c']), make([]Trim, 0, n['t'])
	st := stockTable()
	err = eachWide(ctx, t, st, st.selectSQL("ORDER BY code"), func(r *StockFact) error {
		a := article(r, balances[r.Code], measures[r.Code])
		switch listOf(r.Kind) {
		case 'p':
			paints = append(paints, paint(r, a))
		case 'd':
			dyes = append(dyes, dye(r, a))
		case 'c':
			cloths = append(cloths, cloth(r, a))
		default:
			trims = append(trims, trim(r, a))
		}
		return nil
	})
	if err != nil {
		return Stock{}, err
	}
	return newStock(paints, dyes, cloths, trims)
}

// countLists counts the lines that go into each list of a snapshot.
func (t *tx) countLists(ctx context.Context) (map[byte]int, error) {
	rows, err := t.QueryContext(ctx, `SELECT kind, count(*) FROM stock GROUP BY kind`)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	counts := map[byte]int{}
	for rows.Next() {
		var k Kind
		var n int
		if err := rows.Scan(&k, &n); err != nil {
			return nil, err
		}
		counts[listOf(k)] += n
	}
	return counts, rows.Err()
}

func (t *tx) balances(ctx context.Context) (map[string]balance, error) {
	rows, err := t.QueryContext(ctx, `SELECT code, sum(amount), sum(held) FROM movement GROUP BY code`)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	sums := map[string]balance{}
	for rows.Next() {
		b := balance{known: true}
		var code string
		if err := rows.Scan(&code, &b.amount, &b.held); err != nil {
			return nil, err
		}
		sums[code] = b
	}
	return sums, rows.Err()
}

// stockMeasures loads the measures of stock lines, by code, oldest first.
func (t *tx) stockMeasures(ctx context.Context) (map[string][]Measure, error) {
	byCode := map[string][]Measure{}
	mt := measureTable()
	err := each(ctx, t, mt, mt.selectSQL("WHERE job IS NULL ORDER BY code, id"), nil, func(m *Measure) error {
		byCode[m.Code] = append(byCode[m.Code], *m)
		return nil
	})
	return byCode, err
}

// shelfChanged lets every snapshot taken before this transaction lapse.
func (t *tx) shelfChanged(ctx context.Context) error {
	_, err := t.ExecContext(ctx, `UPDATE shelf SET version = version + 1`)
	return err
}

// Line is a row of the stock table with its version, for a form that changes it.
type Line struct {
	StockFact
	Version int64
}

// Line returns a row of the stock table; OnHand is the sum of its movements,
// reservations not taken off.
func (f *File) Line(ctx context.Context, code string) (Line, error) {
	var l Line
	err := f.read(ctx, "read stock line "+code, func(t *tx) (err error) {
		l, err = t.line(ctx, code)
		return err
	})
	return l, err
}

func (t *tx) line(ctx context.Context, code string) (Line, error) {
	st := stockTable()
	list, err := rowsWhere(ctx, t, st, "WHERE code = ?", code)
	if err != nil {
		return Line{}, err
	}
	if len(list) == 0 {
		return Line{}, fmt.Errorf("stock line %s: %w", code, ErrNotFound)
	}
	l := Line{StockFact: list[0]}
	if err := t.QueryRowContext(ctx, `SELECT version FROM stock WHERE code = ?`, code).Scan(&l.Version); err != nil {
		return Line{}, err
	}
	b, _, err := t.balanceOf(ctx, code, sql.NullInt64{})
	l.OnHand = onHand(b)
	return l, err
}

func onHand(b balance) unit.Stated[float64] {
	if !b.known {
		return unit.Stated[float64]{}
	}
	return unit.State(settle(b.amount))
}

// Add puts a new line on the shelf; what it says to be on hand is counted.
// [ErrExists] when the code is taken; a [*BadCells] names what is not
// understood.
func (f *File) Add(ctx context.Context, r StockFact) error {
	return f.write(ctx, "add stock line "+r.Code, func(t *tx) error {
		r, err := t.checkLine(r)
		if err != nil {
			return err
		}
		err = t.stockExists(ctx, r.Code)
		if err == nil {
			return fmt.Errorf("stock line %s: %w", r.Code, ErrExists)
		}
		if !errors.Is(err, ErrNotFound) {
			return err
		}
		if err := t.insertLine(ctx, &r); err != nil {
			return err
		}
		return t.shelfChanged(ctx)
	})
}

// Change replaces what a line says, except what is on hand, which only
// movements change. A version other than 0 must be the line's, else
// [ErrChanged]: two windows never overwrite each other unseen.
func (f *File) Change(ctx context.Context, r StockFact, version int64) error {
	return f.write(ctx, "change stock line "+r.Code, func(t *tx) error {
		r, err := t.checkLine(r)
		if err != nil {
			return err
		}
		old, err := t.line(ctx, r.Code)
		if err != nil {
			return err
		}
		if version != 0 && version != old.Version {
			return &ChangedError{What: "stock line " + r.Code, Have: old.Version, Want: version}
		}
		if old.Unit != r.Unit && old.OnHand.Known() {
			return fmt.Errorf("found the unit %q, expected %q: its movements are counted in that", r.Unit, old.Unit)
		}
		if err := t.updateLine(ctx, &r); err != nil {
			return err
		}
		return t.shelfChanged(ctx)
	})
}

// checkLine holds a line from a command against the rules of its table.
func (t *tx) checkLine(r StockFact) (StockFact, error) {
	var c complaints
	r = stockTable().check(&t.env, r, 0, &c)
	checkStockRow(&r, 0, &c)
	return r, c.err()
}

func (t *tx) insertLine(ctx context.Context, r *StockFact) error {
	if err := insertRow(ctx, t, stockTable(), r, nil); err != nil {
		return err
	}
	return t.firstCount(ctx, r)
}

func (t *tx) updateLine(ctx context.Context, r *StockFact) error {
	st := stockTable()
	_, err := t.ExecContext(ctx, st.updateSQL("version = version + 1", "code = ?"), append(st.values(r, nil), r.Code)...)
	return err
}

// AddMeasure records a measure of a stock line, or of a job's own sample: then
// at names the job and code is one of its areas.
func (f *File) AddMeasure(ctx context.Context, at At, m Measure) (version int64, err error) {
	err = f.write(ctx, "add measure of "+m.Code, func(t *tx) error {
		var c complaints
		m = measureTable().check(&t.env, m, 0, &c)
		job := sql.NullInt64{}
		stock := func(code string) bool { return t.stockExists(ctx, code) == nil }
		owner := stock
		if at.Job != "" {
			if job.Int64, version, err = t.changeJob(ctx, at); err != nil {
				return err
			}
			job.Valid = true
			owner = func(code string) bool { return t.areaExists(ctx, job.Int64, code) }
		}
		checkMeasureRow(&m, 0, owner, stock, t.lightNames(ctx, job.Int64), &c)
		if err := c.err(); err != nil {
			return err
		}
		if err := insertRow(ctx, t, measureTable(), &m, []string{"job", "origin"}, job, "command"); err != nil {
			return err
		}
		return t.shelfChanged(ctx)
	})
	return version, err
}

// Measures returns the measures of a stock line, oldest first.
func (f *File) Measures(ctx context.Context, code string) ([]Measure, error) {
	var list []Measure
	err := f.read(ctx, "read measures of "+code, func(t *tx) (err error) {
		list, err = rowsWhere(ctx, t, measureTable(), "WHERE job IS NULL AND code = ? ORDER BY id", code)
		return err
	})
	return list, err
}
