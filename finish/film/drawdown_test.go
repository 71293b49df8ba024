package film

import (
	"math"
	"math/rand/v2"
	"testing"

	"undercoat/palette/colour"
)

// Law: a drawdown read over black and white gives back the film, through an
// outer surface or without; bands that hide keep their look and borrow the
// scattering of their neighbours.
func TestDrawdownGivesBackTheFilm(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 3))
	for _, s := range []Surface{{}, Resin()} {
		truth := Film{X: 1, Surface: s}
		for i := range truth.K {
			truth.K[i], truth.S[i] = 0.05+rng.Float64(), 0.3+2*rng.Float64()
		}
		truth.K[10], truth.S[10] = 400, 40 // hides: only K/S can be told
		black, white := s.Seen(Even(0.04)), s.Seen(Even(0.85))
		seen := func(g colour.Reflectance) colour.Reflectance {
			return Stack{Ground: s.Within(g), Films: []Film{truth}}.Reflectance()
		}
		d, ok := OfDrawdown(seen(black), seen(white), black, white, s)
		if !ok {
			t.Fatal("no band told K and S")
		}
		for i := range truth.K {
			if i == 10 {
				continue
			}
			if d.Status[i] != Good {
				t.Errorf("band %d: %v", i, d.Status[i])
			}
			near(t, "K", d.Film.K[i]/truth.K[i], 1, 1e-6)
			near(t, "S", d.Film.S[i]/truth.S[i], 1, 1e-6)
		}
		near(t, "look of the hiding band", Infinite(d.Film.K[10]/d.Film.S[10]), Infinite(10), 1e-3)
		near(t, "its borrowed S", d.Film.S[10], (d.Film.S[9]+d.Film.S[11])/2, 1e-9)
	}
	if _, ok := OfDrawdown(Even(0.3), Even(0.3), Even(0.04), Even(0.8), Surface{}); ok {
		t.Error("a film that hides all told its scattering")
	}
}

// Law: the bare likeness of a film with a surface looks like it over the card
// it was made for.
func TestBareLooksAlike(t *testing.T) {
	f := Film{X: 2, Surface: Surface{K1: 0.03, K2: 0.65}}
	for i := range f.K {
		f.K[i], f.S[i] = 0.02+0.03*float64(i%7), 0.4+0.1*float64(i%5)
	}
	bare := f.Bare()
	for _, g := range []float64{0, 0.8} {
		a := Stack{Ground: f.Surface.Within(Even(g)), Films: []Film{f}}.Reflectance()
		b := bare.Over(Even(g))
		for i := range a {
			if g == 0 && a[i] <= f.Surface.K1 {
				continue
			}
			near(t, "bare", b[i], a[i], 1e-9)
		}
	}
}

func TestStretchedOpensTheFilm(t *testing.T) {
	r := Stretched(Even(0.2), Even(0.8), 0.75)
	near(t, "three quarters covered", r[0], 0.35, 1e-12)
	if Stretched(Even(0.2), Even(0.8), 1) != Even(0.2) || Stretched(Even(0.2), Even(0.8), -1) != Even(0.8) {
		t.Error("full and no cover are not paint and ground")
	}
}

func FuzzParseOpacity(f *testing.F) {
	for _, s := range []string{"opaque", "Semi Opaque", "semi-transparent", "glaze", "", "solid"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		o, err := ParseOpacity(s)
		if err != nil {
			return
		}
		if back, err := ParseOpacity(o.String()); err != nil || back != o {
			t.Errorf("%q: %v, back %v, %v", s, o, back, err)
		}
	})
}

func TestFiguresNoFilmHas(t *testing.T) {
	grey := Even(0.4)
	for name, err := range map[string]error{
		"bare card":       second(ScatterOfContrast(grey, 0.04, 0.04, 0.8)),
		"full contrast":   second(ScatterOfContrast(grey, 1, 0.04, 0.8)),
		"backings turned": second(ScatterOfContrast(grey, 0.5, 0.8, 0.04)),
		"hides nothing":   second(OfHiding(grey, Know(0), Figure{})),
		"hides too much":  second(OfHiding(grey, Know(1.2), Figure{})),
		"not a number":    second(OfHiding(grey, Figure{}, Know(math.NaN()))),
		"no figure":       second(OfHiding(grey, Figure{}, Figure{})),
		"no swatch":       second(OfPaint(Known{})),
		"one film":        second(OfSeries([]Reading{{Amount: 1}}, Surface{})),
		"one amount":      second(OfSeries([]Reading{{Amount: 1}, {Amount: 1}}, Surface{})),
	} {
		if err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}

func second[T any](_ T, err error) error { return err }
