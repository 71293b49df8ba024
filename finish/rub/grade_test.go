package rub

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"undercoat/palette/colour"
)

// reference opens a table of the shared reference figures, which lie beside
// the repository; it skips where they are absent.
func reference(t *testing.T, name string) []map[string]string {
	t.Helper()
	b, err := os.ReadFile(filepath.Join("..", "..", "..", "shared", "reference", name))
	if err != nil {
		t.Skipf("reference figures are not beside the repository: %v", err)
	}
	r := csv.NewReader(strings.NewReader(string(b)))
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var out []map[string]string
	for _, row := range rows[1:] {
		m := map[string]string{}
		for i, h := range rows[0] {
			m[h] = row[i]
		}
		out = append(out, m)
	}
	return out
}

func num(t *testing.T, m map[string]string, key string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(m[key], 64)
	if err != nil {
		t.Fatalf("%s %s: %v", m["id"], key, err)
	}
	return v
}

func pair(t *testing.T, m map[string]string) (o, s colour.Lab) {
	return colour.Lab{L: num(t, m, "L_O"), A: num(t, m, "a_O"), B: num(t, m, "b_O")}, colour.Lab{L: num(t, m, "L_T"), A: num(t, m, "a_T"), B: num(t, m, "b_T")}
}

func near(t *testing.T, id, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("row %s: %s = %.5f, want %.5f", id, what, got, want)
	}
}

// Vectors computed from the published equations of ISO 105-A04 by a separate
// program; they are printed to five decimals (difference) and four (rating),
// hence the tolerances.
func TestStainingVectors(t *testing.T) {
	for _, m := range reference(t, "iso105_a04_vectors.csv") {
		o, s := pair(t, m)
		got := Staining(o, s)
		near(t, m["id"], "dE_GS", got.GS, num(t, m, "dE_GS"), 1e-5)
		near(t, m["id"], "SSR", got.Rating, num(t, m, "SSR"), 1e-4)
		if got.Grade.String() != m["grade"] {
			t.Errorf("row %s: grade %s, want %s", m["id"], got.Grade, m["grade"])
		}
	}
}

// Vectors computed from the published equations of ISO 105-A05 by a separate
// program that takes the hue difference by two routes.
func TestChangeVectors(t *testing.T) {
	for _, m := range reference(t, "iso105_a05_vectors.csv") {
		o, s := pair(t, m)
		got := Change(o, s)
		near(t, m["id"], "dE_F", got.GS, num(t, m, "dEF"), 2e-5)
		near(t, m["id"], "GSc", got.Rating, num(t, m, "GSc"), 1e-4)
		if got.Grade.String() != m["grade"] {
			t.Errorf("row %s: grade %s, want %s", m["id"], got.Grade, m["grade"])
		}
	}
}

// The published pairs of the two grey scales must come back as their own
// grades (ISO 105-A02 and A03; grade 5 is no difference at all).
func TestGreyScalePairs(t *testing.T) {
	for _, m := range reference(t, "grey_scales_iso105.csv") {
		white, d := colour.Lab{L: 94}, num(t, m, "de_ab")
		dull := colour.Lab{L: 94 - d}
		got := Staining(white, dull)
		if m["scale"] == "A02_change" {
			got = Change(white, dull)
		}
		if got.Grade.String() != m["grade"] {
			t.Errorf("%s pair %s: graded %s", m["scale"], m["grade"], got.Grade)
		}
		near(t, m["grade"], "rating", got.Rating, num(t, m, "instrumental"), 1e-3)
	}
}

func TestGradeWords(t *testing.T) {
	for g := Worst; g <= Best; g++ {
		back, err := ParseGrade(g.String())
		if err != nil || back != g {
			t.Errorf("%d prints %q, reads back as %d, %v", g, g, back, err)
		}
	}
	for _, s := range []string{"", "0", "6", "3.5", "5-6"} {
		if _, err := ParseGrade(s); err == nil {
			t.Errorf("ParseGrade(%q) took it", s)
		}
	}
}
