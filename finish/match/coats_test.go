package match

import (
	"testing"

	"undercoat/finish/film"
	"undercoat/palette/colour"
)

// Prototype values from published K and S, X = 16 a coat, toward the paint's
// own thick colour: ΔE00 after 0…6 coats to 1e-3 under the weights of the
// check values, coats exact. The house's D65 differs from those by 2e-4 of the
// white, hence 4e-3 for what the program itself says.
func TestCoatsToMatch(t *testing.T) {
	paints := map[string]film.Film{}
	for _, r := range reference(t, "paint/acrylic_ks_10nm.csv") {
		f := paints[r.cell["paint"]]
		f.X = 1
		if r.cell["quantity"] == "K" {
			f.K = r.spectrum()
		} else {
			f.S = r.spectrum()
		}
		paints[r.cell["paint"]] = f
	}
	for _, r := range reference(t, "optics/coats_to_match.csv") {
		name := r.cell["pigment"] + " on " + r.cell["substrate"] + " " + r.cell["interface"]
		f, ok := paints[r.cell["pigment"]]
		if !ok {
			t.Fatalf("no pigment %s", r.cell["pigment"])
		}
		s := film.Surface{}
		if r.cell["interface"] != "none" {
			s = film.Surface{K1: 0.03, K2: 0.65}
		}
		f.X, f.Surface = r.num("X_per_coat"), s
		ground := s.Seen(film.Even(r.num("Rg"))) // the file's grounds are those inside the film
		q := CoatsQuestion{
			Paint: film.Paint{Coat: f, Swatch: colour.FromReflectance(f.Masstone(), colour.Spectral)},
			Bed:   Bed{Reflectance: ground}, Full: true,
		}
		g := plainDaylight(t, colour.Lab{})
		g = plainDaylight(t, g.seen(f.Masstone()).Lab(g.white))
		for n := range 7 {
			after := q.Bed.after(f, float64(n), 0)
			near(t, name+" by the file's weights", g.difference(g.seen(after)), r.num("dE00_n"+string(rune('0'+n))), 1e-3)
		}
		for tol, col := range map[float64]string{1: "coats_dE00<=1", 2: "coats<=2", 3: "coats<=3", 5: "coats<=5"} {
			q.Tolerance = tol
			c := Coats(q)
			want := r.num(col)
			if got := float64(c.N); c.Reached != (want >= 0) || c.Reached && got != want {
				t.Errorf("%s within %g: %v coats (reached %v), want %v", name, tol, c.N, c.Reached, want)
			}
			for n, d := range c.Differences[:7] {
				near(t, name, d, r.num("dE00_n"+string(rune('0'+n))), 4e-3)
			}
		}
	}
}

// seen returns the tristimulus values of a reflectance by the goal's weights.
func (g *goal) seen(r colour.Reflectance) (x colour.XYZ) {
	for i, v := range r {
		x.X += v * g.x[i]
		x.Y += v * g.y[i]
		x.Z += v * g.z[i]
	}
	return x
}
