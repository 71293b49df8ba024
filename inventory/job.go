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

// At names a job and the version of it that a write rests on: that of the
// [JobFacts] the maker was looking at. Version 0 writes over any version.
type At struct {
	Job     string
	Version int64
}

// ChangedError says that a thing was changed after the caller read it; it is
// [ErrChanged]. Nothing was written.
type ChangedError struct {
	What       string // "job Low Water Night"
	Have, Want int64  // the file's version and the caller's
}

// Error says which thing and which versions.
func (e *ChangedError) Error() string {
	return fmt.Sprintf("%s: %v: it is at version %d, you were looking at %d", e.What, ErrChanged, e.Have, e.Want)
}

// Is makes the error an [ErrChanged].
func (e *ChangedError) Is(target error) bool { return target == ErrChanged }

// Jobs lists the names of the jobs, sorted.
func (f *File) Jobs(ctx context.Context) ([]string, error) {
	var names []string
	err := f.read(ctx, "list jobs", func(t *tx) (err error) {
		names, err = t.texts(ctx, `SELECT name FROM job ORDER BY name`)
		return err
	})
	return names, err
}

// JobCard is a job as a list shows it.
type JobCard struct {
	Name           string
	Areas, Wearers int
	HandsOff       unit.Stated[time.Time]
	Zone           *time.Location // the job's own; times of its papers are in it
}

// JobCards lists the jobs by name. It reads no more of a job than it shows: a
// workroom may keep a thousand.
func (f *File) JobCards(ctx context.Context) ([]JobCard, error) {
	var cards []JobCard
	err := f.read(ctx, "list jobs", func(t *tx) error {
		rows, err := t.QueryContext(ctx, `SELECT name, hands_off, timezone,
			(SELECT COUNT(*) FROM area WHERE area.job = job.id), (SELECT COUNT(*) FROM wearer WHERE wearer.job = job.id) FROM job ORDER BY name`)
		if err != nil {
			return err
		}
		defer rows.Close()
		for rows.Next() {
			var c JobCard
			var ends, zone sql.NullString
			if err := rows.Scan(&c.Name, &ends, &zone, &c.Areas, &c.Wearers); err != nil {
				return err
			}
			if c.Zone, err = loadZone(zone.String); err != nil {
				return fmt.Errorf("job %s: column timezone: found %q: %w", c.Name, zone.String, err)
			}
			if ends.Valid {
				at, err := time.Parse(time.RFC3339, ends.String)
				if err != nil {
					return fmt.Errorf("job %s: column hands_off: found %q: %w", c.Name, ends.String, err)
				}
				c.HandsOff = unit.State(at)
			}
			cards = append(cards, c)
		}
		return rows.Err()
	})
	return cards, err
}

// JobsThatUsed lists the jobs with a finished step that says what it used, by
// name.
func (f *File) JobsThatUsed(ctx context.Context) ([]string, error) {
	var names []string
	err := f.read(ctx, "list jobs that used something", func(t *tx) (err error) {
		names, err = t.texts(ctx, `SELECT name FROM job WHERE EXISTS (SELECT 1 FROM done WHERE done.job = job.id AND used IS NOT NULL AND withdrawn IS NULL) ORDER BY name`)
		return err
	})
	return names, err
}

// texts loads a column of text.
func (t *tx) texts(ctx context.Context, query string, args ...any) ([]string, error) {
	rows, err := t.QueryContext(ctx, query, args...)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var list []string
	for rows.Next() {
		var s string
		if err := rows.Scan(&s); err != nil {
			return nil, err
		}
		list = append(list, s)
	}
	return list, rows.Err()
}

// JobVersion returns the version of a job without reading the rest of it.
func (f *File) JobVersion(ctx context.Context, name string) (int64, error) {
	var version int64
	err := f.read(ctx, "read job "+name, func(t *tx) (err error) {
		_, version, err = t.jobID(ctx, name)
		return err
	})
	return version, err
}

// Job returns everything a job states. [ErrNotFound] when there is none of that
// name.
func (f *File) Job(ctx context.Context, name string) (JobFacts, error) {
	var j JobFacts
	err := f.read(ctx, "read job "+name, func(t *tx) error {
		id, version, err := t.jobID(ctx, name)
		if err != nil {
			return err
		}
		if j, err = t.loadTables(ctx, id); err != nil {
			return err
		}
		j.Version = version
		j.Pictures, j.Papers, err = f.filesAt(ctx, t, id, version)
		return err
	})
	return j, err
}

// keptFiles are a job's pictures and papers at a version. Their bytes are
// handed out to every reader, who must not change them.
type keptFiles struct {
	version          int64
	pictures, papers []PictureFact
	size             int
}

// mostKeptFiles bounds the bytes of the pictures held in memory.
const mostKeptFiles = 192 << 20

// filesAt returns a job's pictures and papers from memory where its version is
// the one they were loaded at: a question about the job need not read them
// whole again.
func (f *File) filesAt(ctx context.Context, t *tx, id, version int64) (pictures, papers []PictureFact, err error) {
	f.mu.Lock()
	k, ok := f.files[id]
	f.mu.Unlock()
	if ok && k.version == version {
		return slices.Clone(k.pictures), slices.Clone(k.papers), nil
	}
	k = keptFiles{version: version}
	if k.pictures, err = t.files(ctx, id, false); err != nil {
		return nil, nil, err
	}
	if k.papers, err = t.files(ctx, id, true); err != nil {
		return nil, nil, err
	}
	for _, p := range slices.Concat(k.pictures, k.papers) {
		k.size += len(p.Bytes)
	}
	f.mu.Lock()
	defer f.mu.Unlock()
	held := k.size
	for other, o := range f.files {
		if other != id {
			held += o.size
		}
	}
	if f.files == nil || held > mostKeptFiles {
		f.files = map[int64]keptFiles{}
	}
	if k.size <= mostKeptFiles {
		f.files[id] = k
	}
	return slices.Clone(k.pictures), slices.Clone(k.papers), nil
}

// jobID finds a job by name.
func (t *tx) jobID(ctx context.Context, name string) (id, version int64, err error) {
	err = t.QueryRowContext(ctx, `SELECT id, version FROM job WHERE name = ?`, name).Scan(&id, &version)
	if errors.Is(err, sql.ErrNoRows) {
		err = fmt.Errorf("job %q: %w", name, ErrNotFound)
	}
	return id, version, err
}

// changeJob finds the job of a write, holds its version against the writer's
// and counts it up.
func (t *tx) changeJob(ctx context.Context, at At) (id, version int64, err error) {
	id, version, err = t.jobID(ctx, at.Job)
	if err != nil {
		return 0, 0, err
	}
	if at.Version != 0 && at.Version != version {
		return 0, 0, &ChangedError{What: "job " + at.Job, Have: version, Want: at.Version}
	}
	version++
	if _, err := t.ExecContext(ctx, `UPDATE job SET version = ? WHERE id = ?`, version, id); err != nil {
		return 0, 0, err
	}
	t.zone, err = t.zoneOf(ctx, id)
	return id, version, err
}

// zoneOf loads the time zone of a job.
func (t *tx) zoneOf(ctx context.Context, job int64) (*time.Location, error) {
	var name sql.NullString
	if err := t.QueryRowContext(ctx, `SELECT timezone FROM job WHERE id = ?`, job).Scan(&name); err != nil {
		return nil, err
	}
	return loadZone(name.String)
}

// ofJob picks a job's rows in the order of their table.
const ofJob = "WHERE job = ? ORDER BY seq"

// loadJob loads a job with its pictures.
func (t *tx) loadJob(ctx context.Context, id int64) (JobFacts, error) {
	j, err := t.loadTables(ctx, id)
	if err != nil {
		return JobFacts{}, err
	}
	j.Pictures, err = t.files(ctx, id, false)
	if err == nil {
		j.Papers, err = t.files(ctx, id, true)
	}
	return j, err
}

// loadTables loads the rows of a job.
func (t *tx) loadTables(ctx context.Context, id int64) (JobFacts, error) {
	var j JobFacts
	jobs, err := rowsWhere(ctx, t, jobTable(), "WHERE id = ?", id)
	if err != nil || len(jobs) != 1 {
		return j, errors.Join(err, missing(len(jobs)))
	}
	j.Job, j.Name = jobs[0], jobs[0].Name
	if t.zone, err = loadZone(j.Job.Timezone); err != nil {
		return j, err
	}
	rooms, err := rowsWhere(ctx, t, roomTable(), ofJob, id)
	if len(rooms) > 0 {
		j.Room = rooms[0]
	}
	const live = "WHERE job = ? AND withdrawn IS NULL ORDER BY seq"
	return j, errors.Join(err,
		loadInto(ctx, t, wearerTable(), &j.Wearers, ofJob, id),
		loadInto(ctx, t, areaTable(), &j.Areas, ofJob, id),
		loadInto(ctx, t, contactTable(), &j.Contacts, ofJob, id),
		loadInto(ctx, t, referenceTable(), &j.References, ofJob, id),
		loadInto(ctx, t, patchTable(), &j.Patches, ofJob, id),
		loadInto(ctx, t, lightTable(), &j.Lights, ofJob, id),
		loadInto(ctx, t, testTable(), &j.Tests, ofJob, id),
		loadInto(ctx, t, hoursTable(), &j.Hours, ofJob, id),
		loadInto(ctx, t, sewingTable(), &j.Sewing, ofJob, id),
		loadInto(ctx, t, doneTable(), &j.Done, live, id),
		loadInto(ctx, t, measureTable(), &j.Measures, "WHERE job = ? ORDER BY id", id),
		loadInto(ctx, t, targetTable(), &j.Targets, ofJob, id),
		loadInto(ctx, t, choiceTable(), &j.Choices, ofJob, id))
}

func missing(n int) error {
	if n == 1 {
		return nil
	}
	return ErrNotFound
}

func loadInto[T any](ctx context.Context, t *tx, tab *table[T], list *[]T, where string, args ...any) (err error) {
	*list, err = rowsWhere(ctx, t, tab, where, args...)
	return err
}

// files loads a job's pictures, or the tables not known here, by name.
func (t *tx) files(ctx context.Context, job int64, papers bool) ([]PictureFact, error) {
	rows, err := t.QueryContext(ctx, `SELECT name, bytes FROM picture WHERE job = ? AND paper = ? ORDER BY name`, job, papers)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var list []PictureFact
	for rows.Next() {
		var p PictureFact
		if err := rows.Scan(&p.Name, &p.Bytes); err != nil {
			return nil, err
		}
		list = append(list, p)
	}
	return list, rows.Err()
}

// Picture returns one picture of a job.
func (f *File) Picture(ctx context.Context, job, name string) ([]byte, error) {
	var b []byte
	err := f.read(ctx, "read picture "+name+" of "+job, func(t *tx) error {
		id, _, err := t.jobID(ctx, job)
		if err != nil {
			return err
		}
		err = t.QueryRowContext(ctx, `SELECT bytes FROM picture WHERE job = ? AND name = ? AND paper = 0`, id, name).Scan(&b)
		if errors.Is(err, sql.ErrNoRows) {
			return ErrNotFound
		}
		return err
	})
	return b, err
}

func (t *tx) areaExists(ctx context.Context, job int64, code string) bool {
	var one int
	return t.QueryRowContext(ctx, `SELECT 1 FROM area WHERE job = ? AND code = ?`, job, code).Scan(&one) == nil
}

// lightNames says which lights a job names; job 0 names none.
func (t *tx) lightNames(ctx context.Context, job int64) func(string) bool {
	names, err := t.texts(ctx, `SELECT name FROM light WHERE job = ?`, job)
	return func(s string) bool { return err == nil && slices.Contains(names, s) }
}
