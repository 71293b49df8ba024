package film

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"undercoat/palette/colour"
)

// series is a measured pigment: films of growing amount on one white paper.
type series struct {
	name  string
	films []Reading
	labs  []colour.Lab
}

// watercolours reads films of 13 hand-laid watercolours on paper, 11 amounts
// each: Chen et al. (2019), arXiv 1904.00275. Measured; noisy below 400 nm.
func watercolours(t testing.TB) (paper colour.Reflectance, out []series) {
	t.Helper()
	for _, r := range reference(t, "paint/watercolour_primaries_10nm.csv") {
		s := colour.Reflectance(r.spectrum())
		if r.cell["name"] == "paper" {
			paper = s
			continue
		}
		if len(out) == 0 || out[len(out)-1].name != r.cell["name"] {
			out = append(out, series{name: r.cell["name"]})
		}
		p := &out[len(out)-1]
		p.films = append(p.films, Reading{Over: paper, Amount: r.num("quantity_ml"), Seen: s})
		p.labs = append(p.labs, colour.D65().Lab(s))
	}
	return paper, out
}

// sharedSeries reads the part of the same films that is stored with its
// CIELAB values.
func sharedSeries(t testing.TB) (paper colour.Reflectance, out []series) {
	t.Helper()
	for _, r := range reference(t, "optics/measured_film_series.csv") {
		s := colour.Reflectance(r.spectrum())
		name := r.cell["pigment"]
		if name == "bare paper" {
			paper = s
			continue
		}
		i := slices.IndexFunc(out, func(p series) bool { return p.name == name })
		if i < 0 {
			out = append(out, series{name: name})
			i = len(out) - 1
		}
		out[i].films = append(out[i].films, Reading{Over: paper, Amount: r.num("amount_mL"), Seen: s})
		out[i].labs = append(out[i].labs, colour.Lab{L: r.num("L"), A: r.num("a"), B: r.num("b")})
	}
	return paper, out
}

// threeOf picks the thinnest, the middle and the thickest film.
func threeOf(f []Reading) []int { return []int{0, len(f) / 2, len(f) - 1} }

// heldOut fits each pigment on three films and returns ΔE00 of the others.
func heldOut(t testing.TB, paper colour.Reflectance, all []series, s Surface) (diff []float64) {
	t.Helper()
	for _, p := range all {
		used := threeOf(p.films)
		var fit []Reading
		for _, i := range used {
			fit = append(fit, p.films[i])
		}
		f, err := OfSeries(fit, s)
		if err != nil {
			t.Fatal(err)
		}
		for i, r := range p.films {
			if slices.Contains(used, i) {
				continue
			}
			seen := Stack{Ground: s.Within(paper), Films: []Film{f.Coats(r.Amount)}}.Reflectance()
			diff = append(diff, colour.Difference(p.labs[i], colour.D65().Lab(seen)))
		}
	}
	return diff
}

type spreadOf struct{ mean, median, p90 float64 }

func (s spreadOf) String() string {
	return fmt.Sprintf("mean %.2f, median %.2f, p90 %.2f", s.mean, s.median, s.p90)
}

func spreadOfAll(v []float64) (s spreadOf) {
	slices.Sort(v)
	for _, x := range v {
		s.mean += x / float64(len(v))
	}
	s.median, s.p90 = v[len(v)/2], v[len(v)*9/10]
	return s
}

func filmsOf(all []series) (out [][]Reading) {
	for _, p := range all {
		out = append(out, p.films)
	}
	return out
}

// Three-film fit predicting the other films; asserted on the shared file at
// mean ≤ 2.0 and p90 ≤ 4.5 (design papers; the prototype had 1.38 and 3.2).
func TestMeasuredFilmSeries(t *testing.T) {
	paper, all := sharedSeries(t)
	for _, c := range []struct {
		name string
		s    Surface
	}{{"bare", Surface{}}, {"surface", SurfaceOf(filmsOf(all)...)}} {
		got := spreadOfAll(heldOut(t, paper, all, c.s))
		t.Logf("shared file, %s %+v: %v", c.name, c.s, got)
		if got.mean > 2.0 || got.p90 > 4.5 {
			t.Errorf("%s: %v, want mean ≤ 2.0 and p90 ≤ 4.5", c.name, got)
		}
	}
	paper, all = watercolours(t)
	for _, s := range []Surface{{}, SurfaceOf(filmsOf(all)...)} {
		got := spreadOfAll(heldOut(t, paper, all, s))
		t.Logf("all 13 pigments, %+v: %v", s, got)
		if got.mean > 2.0 || got.p90 > 4.5 {
			t.Errorf("%v, want mean ≤ 2.0 and p90 ≤ 4.5", got)
		}
	}
}

// mixture is a measured film of two pigments together.
type mixture struct {
	a, b   string
	xa, xb float64
	lab    colour.Lab
}

// pairMixtures reads the measured pair mixtures of both files, each once.
func pairMixtures(t testing.TB) (out []mixture) {
	t.Helper()
	name := map[string]string{}
	for _, r := range reference(t, "paint/watercolour_primaries_10nm.csv") {
		name[r.cell["pigment"]] = plainName(r.cell["name"])
	}
	type key struct {
		a, b   string
		xa, xb float64
	}
	seen := map[key]bool{}
	add := func(m mixture) {
		k := key{m.a, m.b, m.xa, m.xb}
		if m.b < m.a {
			k = key{m.b, m.a, m.xb, m.xa}
		}
		if !seen[k] {
			seen[k] = true
			out = append(out, m)
		}
	}
	for _, r := range reference(t, "optics/measured_mixtures_lab.csv") {
		add(mixture{r.cell["pigment_A"], r.cell["pigment_B"], r.num("mL_A"), r.num("mL_B"), colour.Lab{L: r.num("L"), A: r.num("a"), B: r.num("b")}})
	}
	for _, r := range reference(t, "paint/watercolour_mixtures_10nm.csv") {
		add(mixture{name[r.cell["pigment_A"]], name[r.cell["pigment_B"]], r.num("quantity_A_ml"), r.num("quantity_B_ml"), colour.D65().Lab(colour.Reflectance(r.spectrum()))})
	}
	return out
}

// plainName makes the two files agree.
func plainName(s string) string {
	if s == "zinc (chinese) white" {
		return "chinese white"
	}
	return s
}

// Measured pair mixtures predicted from films of the single pigments only:
// median ≤ 5.5 and mean ≤ 7.5, beside the baselines on the same rows. Nothing
// here was fitted to a mixture.
func TestMeasuredMixtures(t *testing.T) {
	paper, all := watercolours(t)
	s := SurfaceOf(filmsOf(all)...)
	films, single := map[string]Film{}, map[string]series{}
	for _, p := range all {
		name := plainName(p.name)
		f, err := OfSeries(p.films, s)
		if err != nil {
			t.Fatal(err)
		}
		films[name], single[name] = f, p
	}
	base := s.Within(paper)
	d65 := colour.D65()
	var model, average, glaze, constant []float64
	for _, m := range pairMixtures(t) {
		fa, fb := films[m.a], films[m.b]
		if fa.X == 0 || fb.X == 0 {
			t.Fatalf("no film of %s or %s", m.a, m.b)
		}
		mixed := Stack{Ground: base, Films: []Film{Mix([]Film{fa, fb}, []float64{m.xa, m.xb})}}.Reflectance()
		model = append(model, colour.Difference(m.lab, d65.Lab(mixed)))
		a, b := seenAt(single[m.a], m.xa), seenAt(single[m.b], m.xb)
		var av, gl, sc colour.Reflectance
		for i := range av {
			av[i] = (a[i] + b[i]) / 2
			gl[i] = min(a[i]*b[i]/paper[i], 1)
			sc[i] = Infinite((KOverS(math.Max(a[i], 1e-4))*m.xa + KOverS(math.Max(b[i], 1e-4))*m.xb) / (m.xa + m.xb))
		}
		average = append(average, colour.Difference(m.lab, d65.Lab(av)))
		glaze = append(glaze, colour.Difference(m.lab, d65.Lab(gl)))
		constant = append(constant, colour.Difference(m.lab, d65.Lab(sc)))
	}
	got, av, gl, sc := spreadOfAll(model), spreadOfAll(average), spreadOfAll(glaze), spreadOfAll(constant)
	t.Logf("%d mixtures: two-constant %v", len(model), got)
	t.Logf("average of films %v", av)
	t.Logf("glaze %v", gl)
	t.Logf("single-constant %v", sc)
	if got.median > 5.5 || got.mean > 7.5 {
		t.Errorf("%v, want median ≤ 5.5 and mean ≤ 7.5", got)
	}
	for _, b := range []spreadOf{av, gl, sc} {
		if got.median >= b.median {
			t.Errorf("median %.2f does not beat a baseline's %.2f", got.median, b.median)
		}
	}
}

// seenAt returns the measured film of an amount.
func seenAt(p series, amount float64) colour.Reflectance {
	best := 0
	for i, f := range p.films {
		if math.Abs(f.Amount-amount) < math.Abs(p.films[best].Amount-amount) {
			best = i
		}
	}
	return p.films[best].Seen
}
