package inventory

import (
	"database/sql"
	"os"
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// A file that the first schema wrote (testdata/first-schema.sql, printed from
// such a file) comes up to date with every row: its tables are those of the
// demo, and what commands recorded is there. A copy of the old file stays.
func TestUpgradeFromTheFirstSchema(t *testing.T) {
	script, err := os.ReadFile(filepath.Join("testdata", "first-schema.sql"))
	if err != nil {
		t.Fatal(err)
	}
	path := pathOf(t)
	db, err := sql.Open("sqlite", path)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := db.Exec(string(script)); err != nil {
		t.Fatal(err)
	}
	db.Close()
	f, err := Open(ctx, path, clock)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if found, err := f.Check(ctx); err != nil || len(found) != 0 {
		t.Errorf("after the upgrade: %v, %v", found, err)
	}
	upgraded := folderOf(t, f, "Low Water Night")
	g := newFile(t)
	mustImport(t, g, demo(t))
	fresh := folderOf(t, g, "Low Water Night")
	for _, name := range []string{"job.csv", "wearers.csv", "areas.csv", "contacts.csv", "references.csv", "patches.csv", "lights.csv", "hours.csv", "room.csv", "sewing.csv", "measures.csv"} {
		if d := cmp.Diff(fresh[name], upgraded[name]); d != "" {
			t.Errorf("%s:\n%s", name, d)
		}
	}
	holdsWhatCommandsRecorded(t, f)
	copies, err := filepath.Glob(path + ".before-*")
	if err != nil || len(copies) != 1 {
		t.Errorf("copies of the old file: %v, %v", copies, err)
	}
}

func holdsWhatCommandsRecorded(t *testing.T, f *File) {
	t.Helper()
	j, err := f.Job(ctx, "Low Water Night")
	if err != nil {
		t.Fatal(err)
	}
	if len(j.Done) != 1 || j.Done[0].Step != "A9-D2-1" || len(j.Choices) != 1 || len(j.Targets) != 1 || len(j.Tests) != 13 {
		t.Errorf("done %v, choices %v, %d approvals, %d tests", j.Done, j.Choices, len(j.Targets), len(j.Tests))
	}
	moves, err := f.Movements(ctx, "F1")
	if err != nil || len(moves) != 2 || moves[1].Note != "spilt" || moves[1].Amount != -5 {
		t.Errorf("movements %v, %v", moves, err)
	}
	recipes, err := f.Recipes(ctx)
	if err != nil || len(recipes) != 2 || recipes[1].Name != "Tunic teal" {
		t.Errorf("recipes %v, %v", recipes, err)
	}
}
