package inventory

import (
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"syscall"
	"testing"
	"testing/fstest"
	"time"

	"undercoat/inventory/unit"

	"github.com/google/go-cmp/cmp"
)

// pathOf returns a path for a file in a folder of the test.
func pathOf(t testing.TB) string { return filepath.Join(t.TempDir(), "room.undercoat") }

// closed makes a file with the small job in it and closes it.
func closed(t testing.TB) string {
	f, err := Open(ctx, pathOf(t), clock)
	if err != nil {
		t.Fatal(err)
	}
	mustImport(t, f, small())
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	return f.Path()
}

func TestOpenMakesAndFinds(t *testing.T) {
	for _, name := range []string{"plain.undercoat", "no suffix", "a b?c#d%20e&f=g.undercoat", "ünï ✂.undercoat", "it's"} {
		path := filepath.Join(t.TempDir(), name)
		f, err := Open(ctx, path, clock)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		mustImport(t, f, small())
		f.Close()
		if f, err = Open(ctx, path, clock); err != nil {
			t.Fatalf("%s again: %v", name, err)
		}
		if jobs, err := f.Jobs(ctx); err != nil || len(jobs) != 1 {
			t.Errorf("%s: jobs %v, %v", name, jobs, err)
		}
		f.Close()
		entries, _ := os.ReadDir(filepath.Dir(path))
		if len(entries) != 1 {
			t.Errorf("%s: the folder holds %v", name, entries)
		}
		if info, err := os.Stat(path); err != nil || info.Mode().Perm() != 0o600 && runtime.GOOS != "windows" {
			t.Errorf("%s: others may read it: %v, %v", name, info.Mode(), err)
		}
	}
	if _, err := Open(ctx, filepath.Join(t.TempDir(), "missing", "room"), clock); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("a folder that is not there: %v", err)
	}
}

// Files that are not ours are told apart and never touched.
func TestOpenRefuses(t *testing.T) {
	good, err := os.ReadFile(closed(t))
	if err != nil {
		t.Fatal(err)
	}
	foreign := filepath.Join(t.TempDir(), "foreign.db")
	db, err := sql.Open("sqlite", foreign)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := db.Exec(`CREATE TABLE note(text); PRAGMA user_version = 7`); err != nil {
		t.Fatal(err)
	}
	db.Close()
	other, err := os.ReadFile(foreign)
	if err != nil {
		t.Fatal(err)
	}
	newer := append([]byte(nil), good...)
	newer[63] = 200 // user version, offset 60, big-endian
	torn := append([]byte(nil), good...)
	for i := 4096; i < 8*4096; i++ {
		torn[i] = byte(i * 7)
	}
	for _, c := range []struct {
		name string
		data []byte
		want error
	}{
		{"a letter", []byte(strings.Repeat("dear all, ", 100)), ErrForeign},
		{"a short letter", []byte("hello"), ErrForeign},
		{"another program's database", other, ErrForeign},
		{"a newer version's", newer, ErrNewer},
		{"cut short", good[:len(good)/2], ErrDamaged},
		{"cut to its head", good[:100], ErrDamaged},
		{"cut within its head", good[:50], ErrDamaged},
		{"cut by one byte", good[:len(good)-1], ErrDamaged},
	} {
		path := pathOf(t)
		if err := os.WriteFile(path, c.data, 0o600); err != nil {
			t.Fatal(err)
		}
		f, err := Open(ctx, path, clock)
		if err == nil {
			f.Close()
		}
		if !errors.Is(err, c.want) || !strings.HasPrefix(fmt.Sprint(err), "open workroom file: "+path+": ") {
			t.Errorf("%s: got %v, want %v", c.name, err, c.want)
		}
		if after, err := os.ReadFile(path); err != nil || string(after) != string(c.data) {
			t.Errorf("%s: the file was changed", c.name)
		}
		if entries, _ := os.ReadDir(filepath.Dir(path)); len(entries) != 1 {
			t.Errorf("%s: something was left in the folder: %v", c.name, entries)
		}
	}
	if _, err := Open(ctx, t.TempDir(), clock); !errors.Is(err, ErrForeign) {
		t.Errorf("a folder: %v", err)
	}
	// Pages overwritten inside: the file opens, and check finds it out.
	path := pathOf(t)
	if err := os.WriteFile(path, torn, 0o600); err != nil {
		t.Fatal(err)
	}
	f, err := Open(ctx, path, clock)
	if err != nil {
		if !errors.Is(err, ErrDamaged) {
			t.Errorf("torn pages: %v", err)
		}
		return
	}
	defer f.Close()
	if found, err := f.Check(ctx); len(found) == 0 && !errors.Is(err, ErrDamaged) {
		t.Errorf("torn pages: check says %v, %v", found, err)
	}
}

// The second form of the file gives grades and retests columns of their own:
// what stood among the unknown columns moves over, what cannot be read stays.
func TestGradesMoveIntoTheirColumns(t *testing.T) {
	scripts, err := loadScripts(schemaScripts)
	if err != nil {
		t.Fatal(err)
	}
	path := pathOf(t)
	f, err := open(ctx, path, clock, scripts[:1])
	if err != nil {
		t.Fatal(err)
	}
	mustExec(t, f, `INSERT INTO job (id, version, name) VALUES (1, 1, 'old')`)
	for i, extra := range []string{`{"grade":"4-5","shoe":"38"}`, `{"grade_low":"3","retests":"RT0"}`, `{"grade":"rather good"}`} {
		mustExec(t, f, `INSERT INTO test (job, seq, origin, code, subject, extra) VALUES (1, ?, 'command', ?, 'T', ?)`, i, fmt.Sprintf("RT%d", i), extra)
	}
	f.Close()
	if f, err = Open(ctx, path, clock); err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	j, err := f.Job(ctx, "old")
	if err != nil {
		t.Fatal(err)
	}
	want := []TestFact{
		{Code: "RT0", Subject: "T", Grade: "4-5", Extra: map[string]string{"shoe": "38"}},
		{Code: "RT1", Subject: "T", GradeLow: "3", Retests: "RT0"},
		{Code: "RT2", Subject: "T", Extra: map[string]string{"grade": "rather good"}},
	}
	for i, w := range want {
		if g := j.Tests[i]; g.Code != w.Code || g.Grade != w.Grade || g.GradeLow != w.GradeLow || g.Retests != w.Retests || !maps.Equal(g.Extra, w.Extra) {
			t.Errorf("%+v, want %+v", g, w)
		}
	}
}

// A file of an older form is copied, then brought up to date; what it held is
// there afterwards. A script that fails leaves it as it was.
func TestSchemaScripts(t *testing.T) {
	scripts, err := loadScripts(schemaScripts)
	if err != nil {
		t.Fatal(err)
	}
	path := closed(t)
	before := func() map[string]string {
		f, err := Open(ctx, path, clock)
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		return folderOf(t, f, "Harvest play")
	}()

	bad := append(scripts[:len(scripts):len(scripts)], `CREATE TABLE later(x) STRICT; INSERT INTO job(id) VALUES ('none')`)
	if f, err := open(ctx, path, clock, bad); err == nil {
		f.Close()
		t.Fatal("a failing script passed")
	}
	dangling := append(scripts[:len(scripts):len(scripts)], `DELETE FROM job`)
	if _, err := open(ctx, path, clock, dangling); err == nil || !strings.Contains(err.Error(), "point to nothing") {
		t.Fatalf("a script that leaves rows pointing to nothing: %v", err)
	}
	f, err := open(ctx, path, clock, scripts)
	if err != nil {
		t.Fatalf("after failed scripts: %v", err)
	}
	if d := cmp.Diff(before, folderOf(t, f, "Harvest play")); d != "" {
		t.Errorf("a failing script changed rows:\n%s", d)
	}
	f.Close()

	// Rebuilding a table that others point to, as scripts of later versions will.
	good := append(scripts[:len(scripts):len(scripts)], `ALTER TABLE area ADD COLUMN lining TEXT`,
		`CREATE TABLE stock2 AS SELECT * FROM stock; DROP TABLE stock; ALTER TABLE stock2 RENAME TO stock; CREATE UNIQUE INDEX stock_code ON stock(code)`)
	f, err = open(ctx, path, clock, good)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(before, folderOf(t, f, "Harvest play")); d != "" {
		t.Errorf("the new form lost rows:\n%s", d)
	}
	var on int
	if err := f.db.QueryRow("PRAGMA foreign_keys").Scan(&on); err != nil || on != 1 {
		t.Errorf("foreign keys stay off after a script: %d, %v", on, err)
	}
	f.Close()
	if _, err := Open(ctx, path, clock); !errors.Is(err, ErrNewer) {
		t.Errorf("the older program opens the newer file: %v", err)
	}
	copies, _ := filepath.Glob(path + ".before-*")
	if len(copies) < 3 { // one for each attempt that got as far
		t.Fatalf("copies %v", copies)
	}
	for _, c := range copies {
		old, err := Open(ctx, c, clock)
		if err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(before, folderOf(t, old, "Harvest play")); d != "" {
			t.Errorf("%s differs:\n%s", c, d)
		}
		old.Close()
	}
	if _, err := loadScripts(fstest.MapFS{"schema/0002.sql": {}}); err == nil {
		t.Error("scripts without a first one were taken")
	}
}

// Several programs may make and open one file at the same moment.
func TestOpenTogether(t *testing.T) {
	path := pathOf(t)
	var all sync.WaitGroup
	errs := make(chan error, 8)
	for range cap(errs) {
		all.Go(func() {
			f, err := Open(ctx, path, clock)
			if err == nil {
				err = f.Add(ctx, StockFact{Code: fmt.Sprintf("L%d", rand.Uint64()), Name: "line", Kind: KindTrim})
				err = errors.Join(err, f.Close())
			}
			errs <- err
		})
	}
	all.Wait()
	close(errs)
	for err := range errs {
		if err != nil {
			t.Error(err)
		}
	}
	f, err := Open(ctx, path, clock)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if s, err := f.Stock(ctx); err != nil || s.Len() != cap(errs) {
		t.Errorf("%d lines, %v", s.Len(), err)
	}
}

// Two programs write at once, from many windows each: every write is there
// afterwards, and readers always see whole transactions.
func TestTwoFilesWriteAtOnce(t *testing.T) {
	path := closed(t)
	const windows, each = 10, 5
	var files [2]*File
	for i := range files {
		f, err := Open(ctx, path, clock)
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		files[i] = f
	}
	var all sync.WaitGroup
	for _, f := range files {
		for w := range windows {
			all.Go(func() {
				for i := range each {
					step := fmt.Sprintf("%p-%d-%d", f, w, i)
					_, err := f.Done(ctx, At{Job: "Harvest play"}, DoneFact{Step: step, Code: "D1", Used: unit.State(unit.Quantity{Amount: 0.1, Unit: "g"})})
					if err != nil {
						t.Errorf("write: %v", err)
					}
				}
			})
		}
	}
	stop := make(chan struct{})
	var readers sync.WaitGroup
	for _, f := range files {
		readers.Go(func() {
			for {
				select {
				case <-stop:
					return
				default:
				}
				j, err := f.Job(ctx, "Harvest play")
				if err != nil {
					t.Errorf("read: %v", err)
					return
				}
				if n := int(j.Version) - 1; len(j.Done) != n+1 { // one came with the table
					t.Errorf("version %d shows %d steps", j.Version, len(j.Done))
				}
			}
		})
	}
	all.Wait()
	close(stop)
	readers.Wait()
	j, err := files[0].Job(ctx, "Harvest play")
	if err != nil || len(j.Done) != 2*windows*each+1 {
		t.Errorf("%d steps, %v", len(j.Done), err)
	}
	for i, f := range files {
		if l, err := f.Line(ctx, "D1"); err != nil || l.OnHand.Or(-1) != 30 {
			t.Errorf("file %d: %v g left of 40 after %d uses of 0.1, %v", i, l.OnHand, 2*windows*each, err)
		}
		s, err := f.Stock(ctx)
		if a, _ := s.Article("D1"); err != nil || a.OnHand.Or(unit.Quantity{}).Amount != 30 {
			t.Errorf("file %d: the snapshot is old: %v, %v", i, a.OnHand, err)
		}
	}
}

// Of two windows that looked at one version, the second to write is told.
func TestTwoWindowsNeverOverwrite(t *testing.T) {
	f := newFile(t)
	mustImport(t, f, small())
	job, err := f.Job(ctx, "Harvest play")
	if err != nil {
		t.Fatal(err)
	}
	at := At{job.Name, job.Version}
	v, err := f.Choose(ctx, at, ChoiceFact{Area: "A2", Layers: []RecipeLayer{{"T3", 2}}})
	if err != nil || v != job.Version+1 {
		t.Fatalf("first window: version %d, %v", v, err)
	}
	_, err = f.Choose(ctx, at, ChoiceFact{Area: "A2", Layers: []RecipeLayer{{"T3", 9}}})
	if !errors.Is(err, ErrChanged) || !strings.Contains(err.Error(), "version 2, you were looking at 1") {
		t.Errorf("second window: %v", err)
	}
	if _, err := f.Choose(ctx, At{job.Name, v}, ChoiceFact{Area: "A2", Layers: []RecipeLayer{{"T3", 3}}}); err != nil {
		t.Errorf("after looking again: %v", err)
	}
	if job, _ = f.Job(ctx, job.Name); len(job.Choices) != 2 || job.Version != 3 {
		t.Errorf("choices %v at version %d", job.Choices, job.Version)
	}
}

func TestBackupWhileWriting(t *testing.T) {
	f := newFile(t)
	mustImport(t, f, small())
	dir := t.TempDir()
	stop := make(chan struct{})
	var writer sync.WaitGroup
	writer.Go(func() {
		for i := 0; ; i++ {
			select {
			case <-stop:
				return
			default:
			}
			if _, err := f.Done(ctx, At{Job: "Harvest play"}, DoneFact{Step: fmt.Sprint("step ", i)}); err != nil {
				t.Errorf("write: %v", err)
				return
			}
		}
	})
	for i := range 5 {
		path := filepath.Join(dir, fmt.Sprint(i))
		if err := f.Backup(ctx, path); err != nil {
			t.Fatal(err)
		}
		b, err := Open(ctx, path, clock)
		if err != nil {
			t.Fatal(err)
		}
		if found, err := b.Check(ctx); err != nil || len(found) != 0 {
			t.Errorf("backup %d: %v, %v", i, found, err)
		}
		if j, err := b.Job(ctx, "Harvest play"); err != nil || len(j.Done) != int(j.Version) {
			t.Errorf("backup %d: version %d with %d steps, %v", i, j.Version, len(j.Done), err)
		}
		b.Close()
	}
	close(stop)
	writer.Wait()
	if err := f.Backup(ctx, filepath.Join(dir, "0")); !errors.Is(err, ErrExists) {
		t.Errorf("over an older backup: %v", err)
	}
	if err := f.Backup(ctx, filepath.Join(dir, "no", "where")); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("into a folder that is not there: %v", err)
	}
	if entries, _ := os.ReadDir(dir); len(entries) != 5 {
		t.Errorf("left behind: %v", entries)
	}
}

// A full disk, as SQLite reports it: the file may not grow any more. The
// import fails whole, and there is room again afterwards.
func TestFullDisk(t *testing.T) {
	f := newFile(t)
	f.db.SetMaxOpenConns(1)
	mustImport(t, f, small())
	before := folderOf(t, f, "Harvest play")
	var pages int
	if err := f.db.QueryRow("PRAGMA page_count").Scan(&pages); err != nil {
		t.Fatal(err)
	}
	mustExec(t, f, fmt.Sprintf("PRAGMA max_page_count = %d", pages+4))
	in := withFile(small(), "pictures/R1.png", strings.Repeat("x", 1<<20))
	if _, err := f.ImportJob(ctx, in); !errors.Is(err, ErrFull) {
		t.Errorf("got %v, want %v", err, ErrFull)
	}
	if d := cmp.Diff(before, folderOf(t, f, "Harvest play")); d != "" {
		t.Errorf("a full disk changed something:\n%s", d)
	}
	mustExec(t, f, "PRAGMA max_page_count = 1073741823")
	mustImport(t, f, in)
}

// child runs one test of this binary in a process of its own.
func child(t *testing.T, name string, env ...string) *exec.Cmd {
	cmd := exec.Command(os.Args[0], "-test.run=^"+name+"$")
	cmd.Env = append(os.Environ(), env...)
	return cmd
}

// A folder and a file that may not be written give one clear error. Root may
// write everywhere, so the test then runs again as nobody.
func TestReadOnly(t *testing.T) {
	if dir := os.Getenv("UNDERCOAT_TEST_READ_ONLY"); dir != "" {
		readOnly(t, dir)
		return
	}
	dir, err := os.MkdirTemp("", "read-only-*")
	if err != nil {
		t.Fatal(err)
	}
	defer os.RemoveAll(dir)
	f, err := Open(ctx, filepath.Join(dir, "room.undercoat"), clock)
	if err != nil {
		t.Fatal(err)
	}
	mustImport(t, f, small())
	f.Close()
	os.Chmod(filepath.Join(dir, "room.undercoat"), 0o444)
	os.Chmod(dir, 0o555)
	defer os.Chmod(dir, 0o755)
	if os.Getuid() != 0 {
		readOnly(t, dir)
		return
	}
	program := filepath.Join(os.TempDir(), fmt.Sprintf("inventory-%d.test", os.Getpid()))
	data, err := os.ReadFile(os.Args[0])
	if err == nil {
		err = os.WriteFile(program, data, 0o755)
	}
	if err != nil {
		t.Skip("cannot copy the test program for another user:", err)
	}
	defer os.Remove(program)
	cmd := child(t, "TestReadOnly", "UNDERCOAT_TEST_READ_ONLY="+dir)
	cmd.Path, cmd.Dir = program, os.TempDir()
	asNobody(cmd)
	out, err := cmd.CombinedOutput()
	if errors.Is(err, syscall.EPERM) {
		t.Skip("cannot become another user here")
	}
	if err != nil || !strings.Contains(string(out), "PASS") {
		t.Errorf("as nobody: %v\n%s", err, out)
	}
}

func readOnly(t *testing.T, dir string) {
	for _, name := range []string{"room.undercoat", "new.undercoat"} {
		f, err := Open(ctx, filepath.Join(dir, name), clock)
		if err == nil {
			f.Close()
		}
		if !errors.Is(err, ErrReadOnly) {
			t.Errorf("%s: got %v, want %v", name, err, ErrReadOnly)
		}
	}
	if entries, _ := os.ReadDir(dir); len(entries) != 1 {
		t.Errorf("left behind: %v", entries)
	}
}

// Killed at any moment, the file holds the job as it was before an import or as
// it is after, and every step that was reported done. More rounds:
// UNDERCOAT_TEST_KILLS.
func TestKilled(t *testing.T) {
	if path := os.Getenv("UNDERCOAT_TEST_KILLED"); path != "" {
		writeUntilKilled(t, path)
		return
	}
	rounds := 6
	if s := os.Getenv("UNDERCOAT_TEST_KILLS"); s != "" {
		fmt.Sscan(s, &rounds)
	}
	path := closed(t)
	log := path + ".log"
	r := rand.New(rand.NewPCG(uint64(time.Now().UnixNano()), 1))
	for range rounds {
		cmd := child(t, "TestKilled", "UNDERCOAT_TEST_KILLED="+path)
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		time.Sleep(time.Duration(50+r.IntN(400)) * time.Millisecond)
		cmd.Process.Kill()
		cmd.Wait()
		survived(t, path, log)
	}
	if answered, err := os.ReadFile(log); err == nil {
		t.Logf("%d kills, %d answered writes kept", rounds, strings.Count(string(answered), "\n"))
	}
}

// writeUntilKilled imports and marks steps in turn; what was answered is noted
// in a log before the next write begins.
func writeUntilKilled(t *testing.T, path string) {
	f, err := Open(ctx, path, time.Now)
	if err != nil {
		t.Fatal(err)
	}
	log, err := os.OpenFile(path+".log", os.O_APPEND|os.O_CREATE|os.O_WRONLY, 0o600)
	if err != nil {
		t.Fatal(err)
	}
	for i := 0; ; i++ {
		name := []string{"Ana", "Anna"}[i%2]
		in := with(t, small(), "wearers.csv", "Ana", name)
		in = with(t, in, "areas.csv", "Coat", "Coat of "+name)
		mustImport(t, f, withFile(in, "pictures/R1.png", strings.Repeat(name, 100_000)))
		step := fmt.Sprintf("%d-%d", os.Getpid(), i)
		if _, err := f.Done(ctx, At{Job: "Harvest play"}, DoneFact{Step: step}); err != nil {
			t.Fatal(err)
		}
		fmt.Fprintln(log, step)
	}
}

func survived(t *testing.T, path, log string) {
	t.Helper()
	f, err := Open(ctx, path, time.Now)
	if err != nil {
		t.Fatalf("after a kill: %v", err)
	}
	defer f.Close()
	if found, err := f.Check(ctx); err != nil || len(found) != 0 {
		t.Errorf("after a kill: %v, %v", found, err)
	}
	j, err := f.Job(ctx, "Harvest play")
	if err != nil {
		t.Fatal(err)
	}
	name, piece, picture := j.Wearers[0].Name, j.Areas[0].Piece, string(j.Pictures[0].Bytes)
	if piece != "Coat" && (piece != "Coat of "+name || !strings.HasPrefix(picture, name+name[:1])) {
		t.Errorf("after a kill: half an import: %q, %q, %.10q", name, piece, picture)
	}
	done := map[string]bool{}
	for _, d := range j.Done {
		done[d.Step] = true
	}
	answered, err := os.ReadFile(log)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		t.Fatal(err)
	}
	for step := range strings.FieldsSeq(string(answered)) {
		if !done[step] {
			t.Errorf("after a kill: step %s was answered and is lost", step)
		}
	}
}
