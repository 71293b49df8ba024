package colour

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"
)

// row is one line of a table of check values, by column name.
type row map[string]string

// figure returns the number in a column.
func (r row) figure(t testing.TB, column string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(r[column], 64)
	if err != nil {
		t.Fatalf("column %q: %v", column, err)
	}
	return v
}

// lab returns the colour in three columns.
func (r row) lab(t testing.TB, l, a, b string) Lab {
	t.Helper()
	return Lab{r.figure(t, l), r.figure(t, a), r.figure(t, b)}
}

// oracle reads a table of the repository's testdata/oracle.
func oracle(t testing.TB, name string) []row {
	t.Helper()
	return readRows(t, filepath.Join(repository(t), "testdata", "oracle", name), '#')
}

// reference reads a table of ../shared/reference, the check values that lie
// beside the repository; the test is skipped where they are absent. The name
// may be a pattern.
func reference(t testing.TB, name string) []row {
	t.Helper()
	found, err := filepath.Glob(filepath.Join(repository(t), "..", "shared", "reference", filepath.FromSlash(name)))
	if err != nil {
		t.Fatal(err)
	}
	if len(found) == 0 {
		t.Skipf("skipped: no ../shared/reference/%s beside the repository", name)
	}
	return readRows(t, found[0], '#')
}

func readRows(t testing.TB, path string, remark rune) []row {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = remark
	lines, err := r.ReadAll()
	if err != nil || len(lines) < 2 {
		t.Fatalf("%s: %d lines: %v", filepath.Base(path), len(lines), err)
	}
	rows := make([]row, 0, len(lines)-1)
	for _, line := range lines[1:] {
		m := row{}
		for i, v := range line {
			m[lines[0][i]] = v
		}
		rows = append(rows, m)
	}
	return rows
}

// repository walks up to the folder of go.mod.
func repository(t testing.TB) string {
	t.Helper()
	dir, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	for {
		if _, err := os.Stat(filepath.Join(dir, "go.mod")); err == nil {
			return dir
		}
		up := filepath.Dir(dir)
		if up == dir {
			t.Fatal("no go.mod above the test")
		}
		dir = up
	}
}

// near fails unless got is within tolerance of want; NaN never is.
func near(t testing.TB, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: found %v, expected %v ± %v", what, got, want, tolerance)
	}
}

// nearLab fails unless each coordinate is within tolerance.
func nearLab(t testing.TB, what string, got, want Lab, tolerance float64) {
	t.Helper()
	near(t, what+" L*", got.L, want.L, tolerance)
	near(t, what+" a*", got.A, want.A, tolerance)
	near(t, what+" b*", got.B, want.B, tolerance)
}

// nearXYZ fails unless each component is within tolerance.
func nearXYZ(t testing.TB, what string, got, want XYZ, tolerance float64) {
	t.Helper()
	near(t, what+" X", got.X, want.X, tolerance)
	near(t, what+" Y", got.Y, want.Y, tolerance)
	near(t, what+" Z", got.Z, want.Z, tolerance)
}
