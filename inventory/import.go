package inventory

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
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
// kind than the one that is there, when another job uses it, is a bad cell. A
// line that is not in the table stays on the shelf.
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
