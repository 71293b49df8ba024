package rub

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"testing"

	"undercoat/palette/colour"
)

// The standards grade under the 10° observer, the workroom reads with the 2° one.
// Stains of measured textiles (Vrhel, Gershon, Iwan 1994, textile_reflectance
// beside the repository) on the white cloth of the same set are graded with both:
// a stain of strength s is the white with s of the cloth's own absorption, K/S by
// Kubelka and Munk (1931). The package's comment promises that the two disagree by
// less than a quarter of a grade; the test prints by how much.
func TestTwoObserversGradeAlike(t *testing.T) {
	cloths := textiles(t)
	white, ok := cloths["fabric - white"]
	if !ok {
		t.Fatal("the table has no white cloth of that name")
	}
	two, ten := colour.D65(), colour.D65().WithObserver10()
	n, sum, most, apart := 0, 0.0, 0.0, 0
	worst := ""
	for name, c := range cloths {
		for _, s := range []float64{0.001, 0.003, 0.01, 0.03, 0.1} {
			stained := stain(white, c, s)
			a := Staining(two.Lab(white), two.Lab(stained))
			b := Staining(ten.Lab(white), ten.Lab(stained))
			d := math.Abs(a.Rating - b.Rating)
			n, sum = n+1, sum+d
			if d > most {
				most, worst = d, fmt.Sprintf("%s at %g", name, s)
			}
			if a.Grade != b.Grade {
				apart++
			}
		}
	}
	t.Logf("%d stains: mean %.3f, most %.3f (%s); %d fall into neighbouring grades", n, sum/float64(n), most, worst, apart)
	if most >= 0.25 {
		t.Errorf("%s: %.2f apart, a quarter of a grade was promised", worst, most)
	}
}

// stain is white with a share of a cloth's absorption.
func stain(white, cloth colour.Reflectance, share float64) colour.Reflectance {
	var out colour.Reflectance
	ks := func(r float64) float64 { r = max(r, 0.002); return (1 - r) * (1 - r) / (2 * r) }
	for i := range out {
		k := ks(white[i]) + share*ks(cloth[i])
		out[i] = 1 + k - math.Sqrt(k*k+2*k)
	}
	return out
}

// textiles reads the measured cloths by name; bands outside 390…730 nm take
// the nearest.
func textiles(t *testing.T) map[string]colour.Reflectance {
	t.Helper()
	if _, err := os.Stat(filepath.Join("..", "..", "..", "shared", "reference", "textile_reflectance_10nm.csv")); err != nil {
		t.Skipf("reference figures are not beside the repository: %v", err)
	}
	out := map[string]colour.Reflectance{}
	for _, m := range reference(t, "textile_reflectance_10nm.csv") {
		var r colour.Reflectance
		for i := range r {
			nm := min(730, max(390, colour.FirstNM+i*colour.StepNM))
			r[i] = min(1, num(t, m, fmt.Sprint(nm)))
		}
		out[m["name"]] = r
	}
	return out
}
