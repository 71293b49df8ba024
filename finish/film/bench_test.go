package film

import "testing"

func BenchmarkGlowCoats(b *testing.B) {
	g := DyeClasses()[4].Glow
	for b.Loop() {
		g.Coats(3)
	}
}

func BenchmarkGlowOver(b *testing.B) {
	p := DyeClasses()[4].Glow.Coats(3)
	w := FluorescentWhite()
	for b.Loop() {
		p.Over(w)
	}
}

func BenchmarkFilmOver(b *testing.B) {
	f := scattered(ratios(Even(0.3)), 2, 0.2)
	g := Even(0.1)
	for b.Loop() {
		g = f.Over(g)
	}
}

func BenchmarkOfHiding(b *testing.B) {
	r := Even(0.3)
	for b.Loop() {
		if _, err := OfHiding(r, Know(0.6), Know(0.8)); err != nil {
			b.Fatal(err)
		}
	}
}
