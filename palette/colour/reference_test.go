package colour

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"strconv"
	"testing"
)

// referenceTable reads a table of ../shared/reference, the check values that
// lie beside the repository, or of testdata/oracle in it, and skips the test
// where the former are absent. Rows are maps by column name.
func referenceTable(t testing.TB, name string) []map[string]string {
	t.Helper()
	f, err := os.Open(besideRepository(t, name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	if name != "optics/recovery_lhtss.csv" { // its rows begin with a hex
		r.Comment = '#'
	}
	rows, err := r.ReadAll()
	if err != nil || len(rows) < 2 {
		t.Fatalf("%s: %d rows: %v", name, len(rows), err)
	}
	out := make([]map[string]string, 0, len(rows)-1)
	for _, row := range rows[1:] {
		m := map[string]string{}
		for i, v := range row {
			m[rows[0][i]] = v
		}
		out = append(out, m)
	}
	return out
}

// besideRepository walks up from the test's folder to ../shared/reference.
func besideRepository(t testing.TB, name string) string {
	t.Helper()
	dir, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	for {
		if _, err := os.Stat(filepath.Join(dir, "go.mod")); err == nil {
			path := filepath.Join(dir, "..", "shared", "reference", name)
			if _, err := os.Stat(path); err != nil {
				t.Skipf("skipped: ../shared/reference/%s is not beside the repository", name)
			}
			return path
		}
		up := filepath.Dir(dir)
		if up == dir {
			t.Skip("skipped: no go.mod above the test")
		}
		dir = up
	}
}

func figure(t testing.TB, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}
