package inventory

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strings"

	"undercoat/inventory/unit"
)

// Report says what an import took, kept and passed over. The lists are for
// people; each line names its table.
type Report struct {
	Job      string
	Version  int64
	Rows     []Count  // rows read, per table
	Unknown  []string // columns and tables that are not known here and were kept
	Left     []string // files of the folder that are no part of the job
	Changed  []string // stock lines that say something else now
	Kept     []string // facts recorded here that the folder does not have or says otherwise
	Warnings []string
}

// Count is a number of rows of one table.
type Count struct {
	File string
	Rows int
}

// ImportJob reads a job's folder of tables and pictures into the file: all of
// it in one transaction, or nothing. Tables are recognised by name; job.csv
// must be there. What is wrong comes back as [*BadCells], every cell at once.
//
// A job of that name that is in the file already is brought up to date as a
// whole: the rows of each table in the folder replace those of the last
// import, a table that is not in the folder stays as it is. Facts that
// commands recorded since (approvals, choices, tests, finished steps, counts of
// stock) are never taken away or changed by a table, only added to; where a
// table says otherwise the recorded fact stays and the report says so:
//
//   - tests.csv, done.csv: a recorded row keeps its words, and a step that was
//     taken back stays taken back;
//   - targets.csv, choices.csv: rows are taken when they carry on from what the
//     file holds for the area, else what the file holds stays;
//   - stock.csv on_hand: a figure the line has already passed through changes
//     nothing; any other is a new count, recorded as a movement.
//
// Stock lines are shared by all jobs of the file: a line with another name or
// kind than the one that is there, when another job uses it, is a bad cell.
func (f *File) ImportJob(ctx context.Context, from fs.FS) (Report, error) {
	return f.ImportJobOver(ctx, from, 0)
}

// ImportJobOver is [File.ImportJob] onto a version of the job that the caller
// has seen; when it has changed meanwhile the error is [ErrChanged].
func (f *File) ImportJobOver(ctx context.Context, from fs.FS, version int64) (Report, error) {
	var c complaints
	in, err := readFolder(from, &c)
	if err != nil {
		return Report{}, explain("import job", "", err)
	}
	err = f.write(ctx, "import job", func(t *tx) error {
		t.zone = in.zone
		imp := &importer{tx: t, in: in, c: &c, report: in.report}
		if err := imp.run(ctx, version); err != nil {
			return err
		}
		in.report = imp.report
		return nil
	})
	if err != nil {
		return Report{}, err
	}
	return in.report, nil
}

// importer holds one import together.
type importer struct {
	*tx
	in     *folder
	c      *complaints
	report Report
	id     int64
	known  bool // the job was in the file before
	now    JobFacts

	trouble error // of a look-up that could not be made
}

func (m *importer) run(ctx context.Context, version int64) error {
	if len(m.in.job.rows) == 1 && m.in.job.rows[0].Name != "" {
		if err := m.findJob(ctx, m.in.job.rows[0].Name, version); err != nil {
			return err
		}
	}
	if err := m.checkFolder(ctx); err != nil {
		return err
	}
	if err := m.c.err(); err != nil {
		return err
	}
	if err := m.storeJob(ctx); err != nil {
		return err
	}
	if err := m.storeStock(ctx); err != nil {
		return err
	}
	if err := m.storeTables(ctx); err != nil {
		return err
	}
	if err := m.storeFiles(ctx); err != nil {
		return err
	}
	return m.shelfChanged(ctx)
}

// findJob looks for the job and loads what the file holds of it.
func (m *importer) findJob(ctx context.Context, name string, version int64) error {
	id, have, err := m.jobID(ctx, name)
	if errors.Is(err, ErrNotFound) {
		if version != 0 {
			return err
		}
		return nil
	}
	if err != nil {
		return err
	}
	if version != 0 && version != have {
		return &ChangedError{What: "job " + name, Have: have, Want: version}
	}
	m.id, m.known = id, true
	zone := m.zone
	m.now, err = m.loadTables(ctx, id)
	m.now.Version, m.zone = have, zone
	return err
}

func (m *importer) storeJob(ctx context.Context) error {
	job := &m.in.job.rows[0]
	m.report.Job = job.Name
	if m.known {
		m.report.Version = m.now.Version + 1
		_, err := m.ExecContext(ctx, jobTable().updateSQL("version = version + 1", "id = ?"), append(jobTable().values(job, nil), m.id)...)
		return err
	}
	m.report.Version = 1
	got, err := m.ExecContext(ctx, jobTable().insertSQL("version"), jobTable().values(job, []any{int64(1)})...)
	if err != nil {
		return err
	}
	m.id, err = got.LastInsertId()
	return err
}

// storeTables stores the job's own tables.
func (m *importer) storeTables(ctx context.Context) error {
	in := m.in
	for _, act := range []func() error{
		func() error { return replace(ctx, m, wearerTable(), in.wearers) },
		func() error { return replace(ctx, m, areaTable(), in.areas) },
		func() error { return replace(ctx, m, contactTable(), in.contacts) },
		func() error { return replace(ctx, m, referenceTable(), in.references) },
		func() error { return replace(ctx, m, patchTable(), in.patches) },
		func() error { return replace(ctx, m, lightTable(), in.lights) },
		func() error { return replace(ctx, m, hoursTable(), in.hours) },
		func() error { return replace(ctx, m, roomTable(), in.room) },
		func() error { return replace(ctx, m, sewingTable(), in.sewing) },
		func() error {
			return renew(ctx, m, testTable(), in.tests, m.now.Tests, func(r *TestFact) string { return r.Code })
		},
		func() error {
			return renew(ctx, m, doneTable(), in.done, m.now.Done, func(r *DoneFact) string { return r.Step })
		},
		func() error {
			return extend(ctx, m, targetTable(), in.targets, m.now.Targets, func(r *TargetFact) string { return r.Area })
		},
		func() error {
			return extend(ctx, m, choiceTable(), in.choices, m.now.Choices, func(r *ChoiceFact) string { return r.Area })
		},
	} {
		if err := act(); err != nil {
			return err
		}
	}
	return nil
}

// replace puts a table's rows in the place of those of the last import.
func replace[T any](ctx context.Context, m *importer, tab *table[T], in rowsOf[T]) error {
	if !in.found {
		return nil
	}
	if _, err := m.ExecContext(ctx, `DELETE FROM `+tab.name+` WHERE job = ?`, m.id); err != nil {
		return err
	}
	return insertRows(ctx, m.tx, tab, in.rows, []string{"job", "seq"}, func(i int) []any { return []any{m.id, int64(i + 1)} })
}

// renew replaces the rows that came from a table and keeps those that commands
// recorded, in the order of the new table and after it.
func renew[T any](ctx context.Context, m *importer, tab *table[T], in rowsOf[T], now []T, key func(*T) string) error {
	if !in.found {
		return nil
	}
	live := ""
	if tab.name == "done" {
		live = " AND withdrawn IS NULL"
	}
	kept, err := m.recordedKeys(ctx, tab.name, tab.columns[0].sql[0], live)
	if err != nil {
		return err
	}
	if _, err := m.ExecContext(ctx, `DELETE FROM `+tab.name+` WHERE job = ? AND origin = 'table'`+live, m.id); err != nil {
		return err
	}
	have := map[string]*T{}
	for i := range now {
		have[key(&now[i])] = &now[i]
	}
	move := func(code string, seq int) error {
		_, err := m.ExecContext(ctx, `UPDATE `+tab.name+` SET seq = ? WHERE job = ? AND "`+tab.columns[0].sql[0]+`" = ?`+live, seq, m.id, code)
		return err
	}
	gone, err := withdrawn(ctx, m, tab)
	if err != nil {
		return err
	}
	stmt, err := m.PrepareContext(ctx, tab.insertSQL(factHead...))
	if err != nil {
		return err
	}
	defer stmt.Close()
	for i := range in.rows {
		r := &in.rows[i]
		code := key(r)
		switch {
		case kept[code]:
			delete(kept, code)
			if !sameRow(&m.env, tab, r, have[code]) {
				m.report.Kept = append(m.report.Kept, tab.file+": "+code+": recorded here with other words; it stays as recorded")
			}
			err = move(code, i+1)
		case slices.ContainsFunc(gone, func(old T) bool { return sameRow(&m.env, tab, &old, r) }):
			m.report.Kept = append(m.report.Kept, tab.file+": "+code+": taken back here; it stays taken back")
		default:
			_, err = stmt.ExecContext(ctx, tab.values(r, []any{m.id, int64(i + 1), "table"})...)
		}
		if err != nil {
			return err
		}
	}
	return keepRest(m, tab.file, now, key, kept, len(in.rows), move)
}

// withdrawn are the rows that a command has taken back.
func withdrawn[T any](ctx context.Context, m *importer, tab *table[T]) ([]T, error) {
	if tab.name != "done" {
		return nil, nil
	}
	return rowsWhere(ctx, m.tx, tab, "WHERE job = ? AND withdrawn IS NOT NULL", m.id)
}

// keepRest moves recorded facts that the folder does not have behind its rows.
func keepRest[T any](m *importer, file string, now []T, key func(*T) string, kept map[string]bool, seq int, move func(string, int) error) error {
	for i := range now {
		code := key(&now[i])
		if !kept[code] {
			continue
		}
		seq++
		if err := move(code, seq); err != nil {
			return err
		}
		m.report.Kept = append(m.report.Kept, file+": "+code+": recorded here and not in the folder; it is kept")
	}
	return nil
}

// recordedKeys are the keys of rows that commands recorded.
func (m *importer) recordedKeys(ctx context.Context, name, column, live string) (map[string]bool, error) {
	list, err := m.texts(ctx, `SELECT "`+column+`" FROM `+name+` WHERE job = ? AND origin = 'command'`+live, m.id)
	keys := map[string]bool{}
	for _, k := range list {
		keys[k] = true
	}
	return keys, err
}

// extend appends the rows of a history (approvals, choices) that carry on from
// what the file holds for their area.
func extend[T any](ctx context.Context, m *importer, tab *table[T], in rowsOf[T], now []T, area func(*T) string) error {
	if !in.found {
		return nil
	}
	passed, bad := map[string]int{}, map[string]bool{}
	held := map[string][]*T{}
	for i := range now {
		held[area(&now[i])] = append(held[area(&now[i])], &now[i])
	}
	var fresh []T
	for i := range in.rows {
		r := &in.rows[i]
		a := area(r)
		if n := passed[a]; n < len(held[a]) {
			bad[a] = bad[a] || !sameRow(&m.env, tab, r, held[a][n])
		} else if !bad[a] {
			fresh = append(fresh, *r)
		}
		passed[a]++
	}
	reportHistories(m, tab.file, now, area, passed, bad, held)
	return insertRows(ctx, m.tx, tab, fresh, factHead, func(i int) []any { return []any{m.id, int64(len(now) + i + 1), "table"} })
}

func reportHistories[T any](m *importer, file string, now []T, area func(*T) string, passed map[string]int, bad map[string]bool, held map[string][]*T) {
	said := map[string]bool{}
	for i := range now {
		a := area(&now[i])
		switch {
		case said[a]:
		case bad[a]:
			m.report.Kept = append(m.report.Kept, file+": "+a+": recorded here otherwise; what is recorded stays")
		case passed[a] < len(held[a]):
			m.report.Kept = append(m.report.Kept, file+": "+a+": recorded here and not in the folder; it is kept")
		}
		said[a] = true
	}
}

// storeFiles stores pictures with their references, and unknown tables.
func (m *importer) storeFiles(ctx context.Context) error {
	if m.in.references.found {
		if _, err := m.ExecContext(ctx, `DELETE FROM picture WHERE job = ? AND paper = 0`, m.id); err != nil {
			return err
		}
	}
	for i, list := range [2][]PictureFact{m.in.pictures, m.in.papers} {
		for _, p := range list {
			_, err := m.ExecContext(ctx, `INSERT INTO picture(job, name, paper, bytes) VALUES(?1, ?2, ?3, ?4)
				ON CONFLICT (job, name) DO UPDATE SET paper = ?3, bytes = ?4`, m.id, p.Name, i, p.Bytes)
			if err != nil {
				return fmt.Errorf("%s: %w", p.Name, err)
			}
		}
	}
	return nil
}

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
		for i := range m.in.stock.rows {
			_, err := m.ExecContext(ctx, `INSERT INTO job_stock(job, seq, code) VALUES(?,?,?)`, m.id, i+1, m.in.stock.rows[i].Code)
			if err != nil {
				return err
			}
		}
	}
	if m.in.measures.found {
		return m.storeMeasures(ctx, &m.in.measures, sql.NullInt64{Int64: m.id, Valid: true})
	}
	return nil
}

// storeLines adds stock lines and changes those that say something else now.
func (t *tx) storeLines(ctx context.Context, in *rowsOf[StockFact], report *Report) error {
	st := stockTable()
	there, err := t.PrepareContext(ctx, `SELECT 1 FROM stock WHERE code = ?`)
	if err != nil {
		return err
	}
	defer there.Close()
	insert, err := t.PrepareContext(ctx, st.insertSQL())
	if err != nil {
		return err
	}
	defer insert.Close()
	for i := range in.rows {
		r := &in.rows[i]
		var one int
		err := there.QueryRowContext(ctx, r.Code).Scan(&one)
		switch {
		case errors.Is(err, sql.ErrNoRows):
			if _, err = insert.ExecContext(ctx, st.values(r, nil)...); err == nil {
				err = t.firstCount(ctx, r)
			}
		case err == nil:
			err = t.storeLine(ctx, r, report)
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
