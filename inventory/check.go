package inventory

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"strings"
	"time"
)

// Finding is one thing that a check found wrong, and where.
type Finding struct {
	Table, Row, Column string // "" where it does not apply
	What               string
}

// String prints the finding in one line.
func (f Finding) String() string {
	var s strings.Builder
	for _, part := range []string{f.Table, f.Row, f.Column} {
		if part != "" {
			s.WriteString(part + ": ")
		}
	}
	return s.String() + f.What
}

// Backup writes a consistent copy of the file to a path that is free
// ([ErrExists] otherwise), while others read and write. The copy is written
// under a temporary name beside it, read through, and only then named: a copy
// of that name is whole.
func (f *File) Backup(ctx context.Context, path string) error {
	return explain("backup", path, f.copyTo(ctx, path))
}

// Check reads every page and every row of the file and says what is wrong with
// it; none means nothing was found. It changes nothing.
func (f *File) Check(ctx context.Context) ([]Finding, error) {
	k := &checker{}
	err := f.read(ctx, "check", func(t *tx) error {
		k.tx = t
		return k.run(ctx)
	})
	return k.found, err
}

type checker struct {
	*tx
	found []Finding
}

func (k *checker) add(table, row, column, what string) {
	k.found = append(k.found, Finding{table, row, column, what})
}

func (k *checker) run(ctx context.Context) error {
	for _, step := range []func(context.Context) error{k.pages, k.keys, k.jobs, k.shelf, k.amounts} {
		if err := step(ctx); err != nil {
			return err
		}
	}
	return nil
}

// pages has SQLite hold tables against their indexes, page by page.
func (k *checker) pages(ctx context.Context) error {
	lines, err := k.texts(ctx, "PRAGMA integrity_check")
	for _, l := range lines {
		if l != "ok" {
			k.add("", "", "", "the file is damaged: "+l)
		}
	}
	return err
}

// keys finds rows that point to nothing.
func (k *checker) keys(ctx context.Context) error {
	rows, err := k.QueryContext(ctx, "PRAGMA foreign_key_check")
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		var table, parent string
		var row sql.NullInt64
		var n int
		if err := rows.Scan(&table, &row, &parent, &n); err != nil {
			return err
		}
		k.add(table, fmt.Sprintf("row %d", row.Int64), "", "points to a "+parent+" that is not there")
	}
	return rows.Err()
}

// jobs reads every row of every job as its table would read it.
func (k *checker) jobs(ctx context.Context) error {
	rows, err := k.QueryContext(ctx, `SELECT id, name, coalesce(timezone, '') FROM job ORDER BY name`)
	if err != nil {
		return err
	}
	defer rows.Close()
	type job struct {
		id         int64
		name, zone string
	}
	var jobs []job
	for rows.Next() {
		var j job
		if err := rows.Scan(&j.id, &j.name, &j.zone); err != nil {
			return err
		}
		jobs = append(jobs, j)
	}
	if err := rows.Err(); err != nil {
		return err
	}
	for _, j := range jobs {
		if k.zone, err = loadZone(j.zone); err != nil {
			k.add("job "+j.name, "", "timezone", fmt.Sprintf("found %q, expected a time zone", j.zone))
		}
		if err := k.job(ctx, j.id, "job "+j.name+": "); err != nil {
			return err
		}
	}
	k.zone = nil
	return nil
}

func (k *checker) job(ctx context.Context, id int64, lead string) error {
	return errors.Join(
		checkRows(ctx, k, jobTable(), lead, "WHERE id = ?", id),
		checkRows(ctx, k, wearerTable(), lead, ofJob, id), checkRows(ctx, k, areaTable(), lead, ofJob, id),
		checkRows(ctx, k, contactTable(), lead, ofJob, id), checkRows(ctx, k, referenceTable(), lead, ofJob, id),
		checkRows(ctx, k, patchTable(), lead, ofJob, id), checkRows(ctx, k, lightTable(), lead, ofJob, id),
		checkRows(ctx, k, testTable(), lead, ofJob, id), checkRows(ctx, k, hoursTable(), lead, ofJob, id),
		checkRows(ctx, k, roomTable(), lead, ofJob, id), checkRows(ctx, k, sewingTable(), lead, ofJob, id),
		checkRows(ctx, k, doneTable(), lead, ofJob, id), checkRows(ctx, k, targetTable(), lead, ofJob, id),
		checkRows(ctx, k, choiceTable(), lead, ofJob, id), checkRows(ctx, k, measureTable(), lead, "WHERE job = ? ORDER BY id", id))
}

func (k *checker) shelf(ctx context.Context) error {
	return errors.Join(
		checkRows(ctx, k, stockTable(), "", "ORDER BY code"), checkRows(ctx, k, measureTable(), "", "WHERE job IS NULL ORDER BY id"),
		checkRows(ctx, k, recipeTable(), "", "ORDER BY number"), checkRows(ctx, k, batchTable(), "", "ORDER BY number"),
		checkRows(ctx, k, weighingTable(), "", "ORDER BY id"))
}

// checkRows loads rows one by one and reads each again as its table would.
func checkRows[T any](ctx context.Context, k *checker, tab *table[T], lead, where string, args ...any) error {
	rows, err := k.QueryContext(ctx, tab.selectSQL(where), args...)
	if err != nil {
		return err
	}
	defer rows.Close()
	values := make([]any, tab.width())
	into := make([]any, len(values))
	for i := range values {
		into[i] = &values[i]
	}
	for n := 1; rows.Next(); n++ {
		if err := rows.Scan(into...); err != nil {
			return err
		}
		name := fmt.Sprintf("row %d (%v)", n, values[0])
		var r T
		if err := tab.load(&k.env, values, &r); err != nil {
			k.add(lead+tab.name, name, "", err.Error())
			continue
		}
		var c complaints
		tab.check(&k.env, r, 0, &c)
		for _, b := range c.cells {
			k.add(lead+tab.name, name, b.Column, fmt.Sprintf("found %q, expected %s", b.Found, b.Expected))
		}
	}
	return rows.Err()
}

// amounts explains figures that cannot be: less than nothing on hand, more
// released than reserved, a time that does not read.
func (k *checker) amounts(ctx context.Context) error {
	rows, err := k.QueryContext(ctx, `SELECT code, sum(amount), sum(held), count(*) FROM movement GROUP BY code ORDER BY code`)
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		var code string
		var amount, held float64
		var n int
		if err := rows.Scan(&code, &amount, &held, &n); err != nil {
			return err
		}
		if settle(amount) < 0 {
			k.add("stock", code, "on_hand", fmt.Sprintf("%d movements leave %v: more was used than was counted or bought; count it", n, settle(amount)))
		}
		if settle(held) < 0 {
			k.add("stock", code, "reserved", fmt.Sprintf("%v: more was released than reserved", settle(held)))
		}
	}
	if err := rows.Err(); err != nil {
		return err
	}
	return k.times(ctx)
}

func (k *checker) times(ctx context.Context) error {
	for _, table := range [...]string{"movement", "batch_use"} {
		times, err := k.texts(ctx, `SELECT DISTINCT at FROM `+table)
		if err != nil {
			return err
		}
		for _, at := range times {
			if _, err := time.Parse(time.RFC3339, at); err != nil {
				k.add(table, "", "at", fmt.Sprintf("found %q, expected a time in RFC 3339", at))
			}
		}
	}
	return nil
}
