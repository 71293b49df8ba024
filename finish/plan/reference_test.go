package plan

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"strconv"
	"testing"
)

// reference reads a table of check values that lies beside the repository, by
// walking up from the test's folder; the test is skipped where it is absent.
// Rows are maps of column to text.
func reference(t *testing.T, path ...string) []map[string]string {
	t.Helper()
	dir, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	for {
		f, err := os.Open(filepath.Join(append([]string{dir, "..", "shared", "reference"}, path...)...))
		if err == nil {
			defer f.Close()
			return table(t, f)
		}
		parent := filepath.Dir(dir)
		if parent == dir {
			t.Skipf("reference table %s is not beside this repository", filepath.Join(path...))
		}
		dir = parent
	}
}

func table(t *testing.T, f *os.File) []map[string]string {
	t.Helper()
	r := csv.NewReader(f)
	r.Comment = '#'
	all, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(all) < 2 {
		t.Fatalf("%s has no rows", f.Name())
	}
	var rows []map[string]string
	for _, cells := range all[1:] {
		row := map[string]string{}
		for i, c := range cells {
			row[all[0][i]] = c
		}
		rows = append(rows, row)
	}
	return rows
}

func number(t *testing.T, s string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return x
}
