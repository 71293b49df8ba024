package match

import (
	"bytes"
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"undercoat/finish/film"
	"undercoat/palette/colour"
)

// reference returns the rows of a file of check values, header first; the
// folder stands beside the repository and the test is skipped without it.
func reference(t testing.TB, name string) []row {
	t.Helper()
	dir, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	for {
		path := filepath.Join(filepath.Dir(dir), "shared", "reference", name)
		if data, err := os.ReadFile(path); err == nil {
			return parse(t, data)
		}
		if dir == filepath.Dir(dir) {
			t.Skipf("check values %s not found beside the repository", name)
		}
		dir = filepath.Dir(dir)
	}
}

type row struct {
	t    testing.TB
	cell map[string]string
}

func parse(t testing.TB, data []byte) []row {
	t.Helper()
	r := csv.NewReader(bytes.NewReader(data))
	r.Comment = '#'
	all, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var rows []row
	for _, line := range all[1:] {
		m := map[string]string{}
		for i, c := range line {
			m[all[0][i]] = c
		}
		rows = append(rows, row{t, m})
	}
	return rows
}

func (r row) num(col string) float64 {
	r.t.Helper()
	v, err := strconv.ParseFloat(r.cell[col], 64)
	if err != nil {
		r.t.Fatalf("column %q: %v", col, err)
	}
	return v
}

func (r row) spectrum() (s colour.Spectrum) {
	r.t.Helper()
	for i := range s {
		s[i] = r.num(strconv.Itoa(colour.Wavelength(i)))
	}
	return s
}

type pigment struct {
	Index, Name string
	Film        film.Film
}

// pigments reads the 19 published artists' acrylics (Berns, 2016), X = 1,
// internal.
func pigments(t testing.TB) []pigment {
	t.Helper()
	var out []pigment
	for _, r := range reference(t, "optics/pigment_KS_spectral_19.csv") {
		if len(out) == 0 || out[len(out)-1].Index != r.cell["colour_index"] || out[len(out)-1].Name != r.cell["pigment"] {
			out = append(out, pigment{Index: r.cell["colour_index"], Name: r.cell["pigment"], Film: film.Film{X: 1}})
		}
		p := &out[len(out)-1]
		if r.cell["coef"] == "K" {
			p.Film.K = r.spectrum()
		} else {
			p.Film.S = r.spectrum()
		}
	}
	return out
}

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: got %.6g, want %.6g ± %g", what, got, want, tol)
	}
}
