package inventory

import (
	"bytes"
	"context"
	"database/sql"
	"embed"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"syscall"
	"time"

	"modernc.org/sqlite"
	sqlitecode "modernc.org/sqlite/lib"
)

// What a caller can act on. Every error of a [File] wraps at most one of them.
var (
	ErrForeign  = errors.New("not a workroom file")
	ErrNewer    = errors.New("made by a newer version of this program")
	ErrDamaged  = errors.New("the file is damaged: restore a backup")
	ErrReadOnly = errors.New("the file or its folder cannot be written")
	ErrBusy     = errors.New("another program is writing the file: try again")
	ErrFull     = errors.New("the disk is full")
	ErrNotFound = errors.New("not found")
	ErrExists   = errors.New("already there")
	ErrChanged  = errors.New("changed meanwhile")
)

// applicationID marks a SQLite file as a workroom file: "Ucot".
const applicationID = 0x55636F74

// How long a writer waits for writers of other programs. House limit.
const busyWait = 10 * time.Second

//go:embed schema/*.sql
var schemaScripts embed.FS

// File is one workroom's facts in one SQLite file. Its methods may be called
// from many goroutines, and several programs may hold the same file open.
// A File is made by [Open]; the zero value is not valid.
type File struct {
	db      *sql.DB
	path    string
	now     func() time.Time
	writing chan struct{} // one writer of this program at a time, in order of asking
	loading chan struct{} // one loader of the shelf at a time

	mu   sync.Mutex
	kept keptStock // the last snapshot of the shelf

	files map[int64]keptFiles // of the jobs read last, by id; guarded by mu
}

// Open opens the workroom file at path and makes it where there is none (its
// folder must exist). A file of an older version is copied beside itself, as
// path.before-NNNN, and then brought up to date. now gives the time that new
// facts are stamped with.
//
// Errors: [ErrForeign], [ErrNewer], [ErrDamaged], [ErrReadOnly], [ErrBusy],
// [ErrFull], or the system's own (a folder that does not exist). None of them
// changes the file.
func Open(ctx context.Context, path string, now func() time.Time) (*File, error) {
	scripts, err := loadScripts(schemaScripts)
	if err != nil {
		return nil, err
	}
	return open(ctx, path, now, scripts)
}

func open(ctx context.Context, path string, now func() time.Time, scripts []string) (*File, error) {
	f := &File{path: path, now: now, writing: make(chan struct{}, 1), loading: make(chan struct{}, 1)}
	if err := f.open(ctx, scripts); err != nil {
		if f.db != nil {
			f.db.Close()
		}
		return nil, explain("open workroom file", path, err)
	}
	return f, nil
}

func (f *File) open(ctx context.Context, scripts []string) error {
	fresh, err := look(f.path, len(scripts))
	if err != nil {
		return err
	}
	if fresh {
		if err := mark(ctx, f.path); err != nil {
			return err
		}
	}
	f.db, err = sql.Open("sqlite", dsn(f.path, "foreign_keys(1)", "journal_mode(WAL)", "synchronous(FULL)", "trusted_schema(0)"))
	if err != nil {
		return err
	}
	f.db.SetMaxOpenConns(8)
	f.db.SetMaxIdleConns(8)
	if err := f.assertPragmas(ctx); err != nil {
		return err
	}
	return f.bringUp(ctx, scripts)
}

// dsn names the file and the pragmas of every connection. The driver applies
// busy_timeout first.
func dsn(path string, pragmas ...string) string {
	if abs, err := filepath.Abs(path); err == nil {
		path = abs
	}
	path = filepath.ToSlash(path)
	if !strings.HasPrefix(path, "/") {
		path = "/" + path // C:/shelf
	}
	q := url.Values{"_txlock": {"immediate"}}
	for _, p := range append([]string{fmt.Sprintf("busy_timeout(%d)", busyWait.Milliseconds())}, pragmas...) {
		q.Add("_pragma", p)
	}
	return (&url.URL{Scheme: "file", Path: path, RawQuery: q.Encode()}).String()
}

// look reads the head of the file without SQLite, so that a foreign file is
// never touched. fresh means that there is nothing yet, or an empty file.
//
// Offsets: SQLite file format, section 1.3 "The Database Header": 0 magic, 16
// page size, 24 change counter, 28 pages, 60 user version, 68 application id,
// 92 the change counter for which the page count holds.
func look(path string, newest int) (fresh bool, err error) {
	in, err := os.Open(path)
	if errors.Is(err, fs.ErrNotExist) {
		return true, create(path)
	}
	if err != nil {
		return false, err
	}
	defer in.Close()
	info, err := in.Stat()
	if err != nil {
		return false, err
	}
	if !info.Mode().IsRegular() {
		return false, ErrForeign
	}
	if info.Size() == 0 {
		return true, nil
	}
	var head [100]byte
	if n, err := io.ReadFull(in, head[:]); err != nil {
		if bytes.HasPrefix([]byte(sqliteMagic), head[:min(n, len(sqliteMagic))]) {
			return false, ErrDamaged
		}
		return false, ErrForeign
	}
	return false, judge(head[:], info.Size(), path, newest)
}

const sqliteMagic = "SQLite format 3\x00"

func judge(head []byte, size int64, path string, newest int) error {
	number := func(at int) int64 { return int64(binary.BigEndian.Uint32(head[at:])) }
	if string(head[:16]) != sqliteMagic || number(68) != applicationID {
		return ErrForeign
	}
	if number(60) > int64(newest) {
		return ErrNewer
	}
	page := int64(binary.BigEndian.Uint16(head[16:]))
	if page == 1 {
		page = 65536
	}
	logged := false // pages may still be in the write-ahead log
	if info, err := os.Stat(path + "-wal"); err == nil {
		logged = info.Size() > 0
	}
	if !logged && number(24) == number(92) && size < page*number(28) {
		return ErrDamaged
	}
	return nil
}

// create makes an empty file that only its owner reads: it will hold people's
// sensitivities. One that another program made meanwhile is fine.
func create(path string) error {
	f, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
	if errors.Is(err, fs.ErrExist) {
		return nil
	}
	if err != nil {
		return err
	}
	return f.Close()
}

// mark writes the application id into an empty file before it is given a
// write-ahead log, so that the id always stands in the file itself.
func mark(ctx context.Context, path string) error {
	db, err := sql.Open("sqlite", dsn(path, "synchronous(FULL)"))
	if err != nil {
		return err
	}
	defer db.Close()
	db.SetMaxOpenConns(1)
	return patiently(ctx, func() error {
		_, err := db.ExecContext(ctx, fmt.Sprintf("PRAGMA application_id = %d", applicationID))
		return err
	})
}

// patiently repeats what a change of journal mode by another program refuses
// without waiting.
func patiently(ctx context.Context, act func() error) error {
	for wait := time.Millisecond; ; wait *= 2 {
		err := act()
		if code(err) != sqlitecode.SQLITE_BUSY || wait > busyWait {
			return err
		}
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-time.After(wait):
		}
	}
}

// assertPragmas proves that the settings of the connection hold: a driver that
// spells them otherwise would ignore them without a word.
func (f *File) assertPragmas(ctx context.Context) error {
	return patiently(ctx, func() error {
		conn, err := f.db.Conn(ctx)
		if err != nil {
			return err
		}
		defer conn.Close()
		for _, p := range [...][2]string{{"foreign_keys", "1"}, {"journal_mode", "wal"}, {"synchronous", "2"}, {"trusted_schema", "0"},
			{"busy_timeout", fmt.Sprint(busyWait.Milliseconds())}} {
			var got string
			if err := conn.QueryRowContext(ctx, "PRAGMA "+p[0]).Scan(&got); err != nil {
				return err
			}
			if got != p[1] {
				return fmt.Errorf("setting %s is %s, expected %s", p[0], got, p[1])
			}
		}
		return nil
	})
}

// loadScripts reads the numbered scripts 0001.sql, 0002.sql, …
func loadScripts(from fs.FS) ([]string, error) {
	names, err := fs.Glob(from, "schema/*.sql")
	if err != nil {
		return nil, err
	}
	slices.Sort(names)
	scripts := make([]string, len(names))
	for i, name := range names {
		if name != fmt.Sprintf("schema/%04d.sql", i+1) {
			return nil, fmt.Errorf("read schema scripts: %s: expected number %d", name, i+1)
		}
		b, err := fs.ReadFile(from, name)
		if err != nil {
			return nil, err
		}
		scripts[i] = string(b)
	}
	return scripts, nil
}

// bringUp runs the scripts the file has not seen, each in its own transaction.
func (f *File) bringUp(ctx context.Context, scripts []string) error {
	version, err := f.schemaVersion(ctx, f.db)
	if err != nil {
		return err
	}
	if version > len(scripts) {
		return ErrNewer
	}
	if version > 0 && version < len(scripts) {
		if err := f.copyBefore(ctx, len(scripts)); err != nil {
			return fmt.Errorf("copy the file before its form changes: %w", err)
		}
	}
	for n := version; n < len(scripts); n++ {
		if err := f.runScript(ctx, n, scripts[n]); err != nil {
			return fmt.Errorf("schema script %04d: %w", n+1, err)
		}
	}
	return nil
}

type querier interface {
	QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
}

func (f *File) schemaVersion(ctx context.Context, q querier) (int, error) {
	var version int
	err := q.QueryRowContext(ctx, "PRAGMA user_version").Scan(&version)
	return version, err
}

// runScript takes the file from version n to n+1, unless another program has
// done so meanwhile. Foreign keys are checked at the end, not on the way, so
// that a script may rebuild a table.
func (f *File) runScript(ctx context.Context, n int, script string) error {
	conn, err := f.db.Conn(ctx)
	if err != nil {
		return err
	}
	defer conn.Close()
	if _, err := conn.ExecContext(ctx, "PRAGMA foreign_keys = 0"); err != nil {
		return err
	}
	defer conn.ExecContext(context.WithoutCancel(ctx), "PRAGMA foreign_keys = 1")
	tx, err := conn.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer tx.Rollback()
	if v, err := f.schemaVersion(ctx, tx); err != nil || v > n {
		return err
	}
	if _, err := tx.ExecContext(ctx, script); err != nil {
		return err
	}
	if err := danglingKeys(ctx, tx); err != nil {
		return err
	}
	if _, err := tx.ExecContext(ctx, fmt.Sprintf("PRAGMA user_version = %d", n+1)); err != nil {
		return err
	}
	return tx.Commit()
}

func danglingKeys(ctx context.Context, q querier) error {
	rows, err := q.QueryContext(ctx, "PRAGMA foreign_key_check")
	if err != nil {
		return err
	}
	defer rows.Close()
	if rows.Next() {
		return errors.New("rows would point to nothing")
	}
	return rows.Err()
}

// copyBefore keeps the file as it is, under a name that is not taken.
func (f *File) copyBefore(ctx context.Context, version int) error {
	for try := 1; try < 100; try++ {
		path := fmt.Sprintf("%s.before-%04d", f.path, version)
		if try > 1 {
			path += fmt.Sprintf("-%d", try)
		}
		if err := f.copyTo(ctx, path); !errors.Is(err, ErrExists) {
			return err
		}
	}
	return ErrExists
}

// copyTo writes a consistent copy to a path that is free: under a temporary
// name first, read through, then renamed.
func (f *File) copyTo(ctx context.Context, path string) error {
	if _, err := os.Lstat(path); err == nil {
		return fmt.Errorf("%s: %w", path, ErrExists)
	}
	part, err := os.CreateTemp(filepath.Dir(path), filepath.Base(path)+".part-*")
	if err != nil {
		return err
	}
	temp := part.Name()
	defer os.Remove(temp)
	if err := part.Close(); err != nil {
		return err
	}
	// VACUUM INTO takes an empty file and, like every transaction, a state that
	// writers cannot change under it.
	if _, err := f.db.ExecContext(ctx, "VACUUM INTO ?", temp); err != nil {
		return err
	}
	if err := readThrough(ctx, temp); err != nil {
		return err
	}
	if err := syncFile(temp); err != nil {
		return err
	}
	return publish(temp, path)
}

// readThrough has SQLite read every page of a copy.
func readThrough(ctx context.Context, path string) error {
	db, err := sql.Open("sqlite", dsn(path, "query_only(1)"))
	if err != nil {
		return err
	}
	defer db.Close()
	var word string
	if err := db.QueryRowContext(ctx, "PRAGMA integrity_check(1)").Scan(&word); err != nil {
		return err
	}
	if word != "ok" {
		return fmt.Errorf("%w: %s", ErrDamaged, word)
	}
	return nil
}

func syncFile(path string) error {
	f, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}

// publish gives a finished file its name without ever replacing another one.
func publish(temp, path string) error {
	err := os.Link(temp, path)
	switch {
	case err == nil:
	case errors.Is(err, fs.ErrExist):
		return fmt.Errorf("%s: %w", path, ErrExists)
	default: // a file system without links
		if _, err := os.Lstat(path); err == nil {
			return fmt.Errorf("%s: %w", path, ErrExists)
		}
		if err := os.Rename(temp, path); err != nil {
			return err
		}
	}
	syncFolder(filepath.Dir(path))
	return nil
}

// syncFolder makes a new name survive a power cut where the system offers it;
// the content is safe already.
func syncFolder(dir string) {
	if d, err := os.Open(dir); err == nil {
		d.Sync()
		d.Close()
	}
}

// Close closes the file; work that is under way ends first.
func (f *File) Close() error {
	return explain("close workroom file", f.path, f.db.Close())
}

// Path returns the path the file was opened with.
func (f *File) Path() string { return f.path }

// tx is one transaction with what its statements need.
type tx struct {
	*sql.Tx
	env
	now   string               // RFC 3339, UTC
	stmts map[string]*sql.Stmt // prepared so far; the transaction closes them
}

// prepared returns a statement that runs again and again in this transaction.
func (t *tx) prepared(ctx context.Context, query string) (*sql.Stmt, error) {
	if s, ok := t.stmts[query]; ok {
		return s, nil
	}
	s, err := t.PrepareContext(ctx, query)
	if err != nil {
		return nil, err
	}
	if t.stmts == nil {
		t.stmts = map[string]*sql.Stmt{}
	}
	t.stmts[query] = s
	return s, nil
}

// exec runs a prepared statement.
func (t *tx) exec(ctx context.Context, query string, args ...any) error {
	s, err := t.prepared(ctx, query)
	if err != nil {
		return err
	}
	_, err = s.ExecContext(ctx, args...)
	return err
}

// write runs act in one transaction that is alone in writing; nothing of it
// stays when it fails.
func (f *File) write(ctx context.Context, what string, act func(*tx) error) error {
	select {
	case f.writing <- struct{}{}:
	case <-ctx.Done():
		return explain(what, "", ctx.Err())
	}
	defer func() { <-f.writing }()
	return explain(what, "", f.inTx(ctx, nil, act))
}

// read runs act in one transaction that sees one state of the file.
func (f *File) read(ctx context.Context, what string, act func(*tx) error) error {
	return explain(what, "", f.inTx(ctx, &sql.TxOptions{ReadOnly: true}, act))
}

func (f *File) inTx(ctx context.Context, opt *sql.TxOptions, act func(*tx) error) error {
	t, err := f.db.BeginTx(ctx, opt)
	if err != nil {
		return err
	}
	defer t.Rollback()
	if err := act(&tx{Tx: t, now: f.stamp()}); err != nil {
		return err
	}
	return t.Commit()
}

// stamp is the clock's time as the file keeps times.
func (f *File) stamp() string { return f.now().UTC().Truncate(time.Second).Format(time.RFC3339) }

// explain says act, thing and cause, and wraps the sentinel a caller can act on.
func explain(act, thing string, err error) error {
	if err == nil {
		return nil
	}
	if s := sentinel(err); s != nil && !errors.Is(err, s) {
		err = fmt.Errorf("%w (%w)", s, err)
	}
	if thing != "" {
		act += ": " + thing
	}
	return fmt.Errorf("%s: %w", act, err)
}

// sentinel finds what kind of trouble a SQLite or system error is.
func sentinel(err error) error {
	switch code(err) {
	case sqlitecode.SQLITE_BUSY, sqlitecode.SQLITE_LOCKED:
		return ErrBusy
	case sqlitecode.SQLITE_FULL:
		return ErrFull
	case sqlitecode.SQLITE_READONLY, sqlitecode.SQLITE_CANTOPEN, sqlitecode.SQLITE_PERM:
		return ErrReadOnly
	case sqlitecode.SQLITE_NOTADB:
		return ErrDamaged // look has seen the magic of a database
	case sqlitecode.SQLITE_CORRUPT:
		return ErrDamaged
	}
	switch {
	case errors.Is(err, syscall.ENOSPC):
		return ErrFull
	case errors.Is(err, fs.ErrPermission), errors.Is(err, syscall.EROFS):
		return ErrReadOnly
	}
	return nil
}

// code returns the primary result code of a SQLite error, 0 for any other.
func code(err error) int {
	var s *sqlite.Error
	if errors.As(err, &s) {
		return s.Code() & 0xff
	}
	return 0
}
