package film

import (
	"bytes"
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

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

// list reads numbers separated by semicolons.
func (r row) list(col string) []float64 {
	r.t.Helper()
	var out []float64
	for _, s := range strings.Split(r.cell[col], ";") {
		v, err := strconv.ParseFloat(s, 64)
		if err != nil {
			r.t.Fatalf("column %q: %v", col, err)
		}
		out = append(out, v)
	}
	return out
}

// spectrum reads the 36 bands of the house from columns named by wavelength.
func (r row) spectrum() (s colour.Spectrum) {
	r.t.Helper()
	for i := range s {
		s[i] = r.num(strconv.Itoa(colour.Wavelength(i)))
	}
	return s
}

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if math.IsNaN(want) && math.IsNaN(got) {
		return
	}
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: got %.12g, want %.12g ± %g", what, got, want, tol)
	}
}

// Exact arithmetic: 80-digit matrix exponentials. Tolerance 1e-10.
func TestFilmExact(t *testing.T) {
	for _, r := range reference(t, "optics/km_film.csv") {
		k, s, x, g := r.num("K"), r.num("S"), r.num("X"), r.num("Rg")
		r0, tr := pane(k*x, s*x)
		name := r.cell["case"]
		near(t, name+" R", over(k*x, s*x, g), r.num("R"), 1e-10)
		near(t, name+" R0", r0, r.num("R0_black"), 1e-10)
		near(t, name+" T", tr, r.num("T"), 1e-10)
	}
}

// Second set of vectors of the same theory, confirmed by Runge–Kutta
// integration; rows 1 and 2 equal a published unit test. Tolerance 1e-6 (the
// printed digits give 1e-8).
func TestFilmTheoryVectors(t *testing.T) {
	for _, r := range reference(t, "paint/km_theory_vectors.csv") {
		k, s, x, g := r.num("K"), r.num("S"), r.num("X"), r.num("Rg")
		near(t, r.cell["id"]+" R", over(k*x, s*x, g), r.num("R"), 1e-7)
		if s > 0 {
			near(t, r.cell["id"]+" Rinf", Infinite(k/s), r.num("Rinf"), 1e-7)
		}
	}
}

// Exact arithmetic, tolerance 1e-10.
func TestStackExact(t *testing.T) {
	for _, r := range reference(t, "optics/km_stack.csv") {
		layers := strings.Split(r.cell["layers_top_to_bottom_K:S:X"], ";")
		st := Stack{Ground: Even(r.num("Rg"))}
		top := Nothing()
		for i := range layers {
			st.Films = append(st.Films, evenFilm(t, layers[len(layers)-1-i]))
			top = top.Beneath(evenFilm(t, layers[i]).Pane())
		}
		near(t, r.cell["case"], st.Reflectance()[7], r.num("R"), 1e-10)
		near(t, r.cell["case"]+" from the top", top.Over(st.Ground)[7], r.num("R"), 1e-10)
	}
}

func evenFilm(t *testing.T, s string) Film {
	t.Helper()
	var v [3]float64
	for i, p := range strings.Split(s, ":") {
		x, err := strconv.ParseFloat(p, 64)
		if err != nil {
			t.Fatal(err)
		}
		v[i] = x
	}
	return Film{K: colour.Spectrum(Even(v[0])), S: colour.Spectrum(Even(v[1])), X: v[2]}
}

// Analytic, tolerance 1e-12 relative.
func TestRatioOfMasstone(t *testing.T) {
	for _, r := range reference(t, "optics/km_function.csv") {
		want := r.num("K_over_S")
		near(t, r.cell["R_inf"], KOverS(r.num("R_inf"))/want, 1, 1e-12)
		near(t, r.cell["R_inf"]+" back", Infinite(want), r.num("R_inf"), 1e-12)
	}
}

// Analytic, tolerance 1e-12 both ways.
func TestSurface(t *testing.T) {
	for _, r := range reference(t, "optics/saunderson.csv") {
		s := Surface{r.num("k1"), r.num("k2")}
		near(t, "outside", s.Outside(r.num("R_internal")), r.num("R_measured"), 1e-12)
		near(t, "inside", s.Inside(r.num("R_measured")), r.num("R_internal"), 1e-12)
	}
}

// Fresnel integrals, 25 digits: [Resin] must lie at its index of 1.5, between
// the neighbours of the table; its two digits are within 0.005 of that index.
func TestResinIsFresnelOf1Point5(t *testing.T) {
	rows := reference(t, "optics/fresnel_k1_k2.csv")
	resin := Resin()
	for _, r := range rows {
		if n := r.num("n"); math.Abs(n-1.5) < 1e-3 {
			near(t, "k1", resin.K1, r.num("k1_normal_incidence"), 5e-3)
			near(t, "k2", resin.K2, r.num("k2_diffuse_internal"), 5e-3)
		} else if (n < 1.5) != (r.num("k1_normal_incidence") < resin.K1) || (n < 1.5) != (r.num("k2_diffuse_internal") < resin.K2) {
			t.Errorf("n = %g: %v %v does not bracket %+v", n, r.cell["k1_normal_incidence"], r.cell["k2_diffuse_internal"], resin)
		}
	}
}

// Exact arithmetic, 60 digits; tolerance 1e-8 relative, status exact.
func TestBlackWhite(t *testing.T) {
	for _, r := range reference(t, "optics/black_white_to_KS.csv") {
		k, s, status := OfBlackWhite(r.num("R_over_black"), r.num("R_over_white"), r.num("Rg_black"), r.num("Rg_white"))
		name := r.cell["case"]
		if status.String() != r.cell["status"] {
			t.Errorf("%s: status %v, want %s", name, status, r.cell["status"])
		}
		near(t, name+" KX", k, r.num("KX"), 1e-8*math.Max(1, math.Abs(r.num("KX"))))
		near(t, name+" SX", s, r.num("SX"), 1e-8*math.Abs(r.num("SX")))
	}
}

// Films of published three-band K and S over ideal black and white: forward
// 1e-10, the inverse returns K and S to 1e-6. Sources in the file's rows:
// Curtis et al. (1997), Lindemeier et al.
func TestPublishedThreeBandFilms(t *testing.T) {
	type key struct{ source, paint string }
	ks := map[key]row{}
	for _, r := range reference(t, "optics/pigment_KS_rgb_published.csv") {
		ks[key{r.cell["source"], r.cell["paint"]}] = r
	}
	looks := map[string]map[key]row{}
	for _, r := range reference(t, "optics/film_rgb_from_published_KS.csv") {
		id := r.cell["X"] + r.cell["backing"]
		if looks[id] == nil {
			looks[id] = map[key]row{}
		}
		looks[id][key{r.cell["source"], r.cell["paint"]}] = r
	}
	checked := 0
	for _, x := range []string{"0.5", "1.0", "2.0"} {
		amount, _ := strconv.ParseFloat(x, 64)
		for id, over0 := range looks[x+"black"] {
			over1, ok := looks[x+"white"][id]
			paint, known := ks[id]
			if !ok || !known {
				continue
			}
			for _, c := range []string{"r", "g", "b"} {
				k, s := paint.num("K_"+c), paint.num("S_"+c)
				b, w := over0.num("R_"+c), over1.num("R_"+c)
				near(t, id.paint+" over black", over(k*amount, s*amount, 0), b, 1e-10)
				near(t, id.paint+" over white", over(k*amount, s*amount, 1), w, 1e-10)
				if w-b < 1e-3 {
					continue // twelve printed decimals no longer tell the film from an opaque one
				}
				kx, sx, status := OfBlackWhite(b, w, 0, 1)
				if status != Good {
					t.Errorf("%s %s: status %v", id.paint, c, status)
				}
				near(t, id.paint+" K", kx/amount, k, 1e-6*math.Max(1, k))
				near(t, id.paint+" S", sx/amount, s, 1e-6*math.Max(1, s))
				checked++
			}
		}
	}
	if checked == 0 {
		t.Error("no film was inverted")
	}
}

// Analytic bisection, tolerance 1e-7 relative.
func TestContrastRatio(t *testing.T) {
	for _, r := range reference(t, "optics/contrast_ratio_to_SX.csv") {
		mass := r.num("R_inf")
		s, err := ScatterOfContrast(Even(mass), r.num("contrast_ratio"), r.num("Rg_black"), r.num("Rg_white"))
		if err != nil {
			t.Errorf("%v: %v", r.cell, err)
			continue
		}
		near(t, "SX", s/r.num("SX"), 1, 1e-7)
		q := KOverS(mass)
		near(t, "over black", over(q*s, s, r.num("Rg_black")), r.num("R_over_black"), 1e-9)
		near(t, "over white", over(q*s, s, r.num("Rg_white")), r.num("R_over_white"), 1e-9)
	}
}

// The pick-up law is a judgement; the arithmetic is checked to the printed
// 1e-5.
func TestFilmBuild(t *testing.T) {
	for _, r := range reference(t, "optics/film_build.csv") {
		wet := WetFilm(r.num("volume_mL_per_coat"), r.num("area_cm2")/1e4)
		a := Absorbency{Volume: r.num("V_abs_mL_per_m2"), Slope: r.num("eta")}
		near(t, "wet", wet, r.num("wet_um_per_coat"), 1e-5)
		near(t, "spread", 1000/wet, r.num("spread_m2_per_L"), 1e-5)
		total := a.PickUp(wet * r.num("coats"))
		near(t, "effective", total, r.num("effective_wet_um_total"), 1e-5)
		near(t, "dry", total*r.num("volume_solids"), r.num("effective_dry_um_total"), 1e-5)
	}
}

// Films of the 19 published pigments over black and white, and their masstones:
// CIELAB and contrast ratio computed by another program from K and S up to
// 750 nm with 5 nm weights, specular included. Bands that end at 730 nm and
// the house's white point move reds and violets by up to 0.2.
func TestPublishedPigmentFilms(t *testing.T) {
	const tol = 0.25
	s := Surface{K1: 0.03, K2: 0.65}
	paints := map[string]*Film{}
	for _, r := range reference(t, "paint/acrylic_ks_10nm.csv") {
		setBand(paints, r.cell["paint"], r.cell["quantity"], r.spectrum())
	}
	for _, f := range paints {
		f.Surface = s
	}
	d65 := colour.D65()
	check := func(name string, got colour.Lab, l, a, b float64) {
		t.Helper()
		near(t, name+" L", got.L, l, tol)
		near(t, name+" a", got.A, a, tol)
		near(t, name+" b", got.B, b, tol)
	}
	for _, r := range reference(t, "paint/acrylic_film_lab.csv") {
		f := paints[r.cell["paint"]]
		name := r.cell["paint"] + " X " + r.cell["X"]
		var y [2]float64
		for i, g := range []float64{0.04, 0.85} {
			seen := Stack{Ground: Even(g), Films: []Film{f.Coats(r.num("X"))}}.Reflectance()
			side := []string{"b", "w"}[i]
			check(name+" over "+side, d65.Lab(seen), r.num("L"+side), r.num("a"+side), r.num("b"+side))
			y[i] = d65.XYZ(seen).Y
		}
		near(t, name+" contrast", y[0]/y[1], r.num("contrast"), 1e-3)
	}
	for _, r := range reference(t, "paint/acrylic_masstone_lab.csv") {
		f := paints[r.cell["paint"]]
		check(r.cell["paint"]+" masstone", d65.Lab(f.Masstone()), r.num("L_sci"), r.num("a_sci"), r.num("b_sci"))
	}
}

// Law: mixing is linear in K and S. The mixtures of the published sheet
// are linear blends of its paints with the shares in their names, exact to the
// six printed digits.
func TestMixturesAreLinear(t *testing.T) {
	rows := reference(t, "paint/acrylic_mixture_ks.csv")
	table := map[string]*Film{}
	for _, r := range reference(t, "paint/acrylic_ks_10nm.csv") {
		setBand(table, r.cell["paint"], r.cell["quantity"], r.spectrum())
	}
	mixed := map[string]*Film{}
	for _, r := range rows {
		setBand(mixed, r.cell["mixture"], r.cell["quantity"], r.spectrum())
	}
	checked := 0
	for name, want := range mixed {
		var paints []Film
		var parts []float64
		for _, part := range strings.Split(name, " + ") {
			i := strings.LastIndex(part, " ")
			share, err := strconv.ParseFloat(part[i+1:], 64)
			f, ok := table[part[:i]]
			if err != nil || !ok {
				t.Fatalf("%q: paint or share not understood", part)
			}
			paints, parts = append(paints, *f), append(parts, share)
		}
		got := Mix(paints, parts)
		for i := range got.K {
			near(t, name+" K", got.K[i]/want.K[i], 1, 2e-4)
			near(t, name+" S", got.S[i]/want.S[i], 1, 2e-4)
		}
		checked++
	}
	if checked == 0 {
		t.Error("no mixture was checked")
	}
}

func setBand(m map[string]*Film, name, quantity string, s colour.Spectrum) {
	if m[name] == nil {
		m[name] = &Film{X: 1}
	}
	if quantity == "K" {
		m[name].K = s
	} else {
		m[name].S = s
	}
}
