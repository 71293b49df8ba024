package match

import (
	"math"
	"math/rand/v2"
	"os"
	"runtime"
	"slices"
	"testing"

	"undercoat/finish/film"
	"undercoat/palette/colour"
)

// shelf makes colourants of invented paints; nothing is measured about them.
func shelf(t testing.TB, n int, seed uint64) (out []colourant) {
	for _, p := range paintsAtRandom(t, n, seed) {
		out = append(out, newColourant(p.Coat, 80, 1.2))
	}
	return out
}

func goalsAtRandom(n int, seed uint64) (out []goal) {
	rng := rand.New(rand.NewPCG(seed, 5))
	for range n {
		out = append(out, newGoal(colour.LCh{L: 20 + 65*rng.Float64(), C: 40 * rng.Float64(), H: 360 * rng.Float64()}.Lab()))
	}
	return out
}

// everyMixture evaluates every recipe by the film package, the plain way.
func everyMixture(paints []colourant, g goal, parts int) (out []mixed) {
	look := func(m blend) {
		var r colour.Reflectance
		for b := range r {
			var k, s float64
			for i := range m.n {
				k += paints[m.paint[i]].k[b] * float64(m.part[i])
				s += paints[m.paint[i]].s[b] * float64(m.part[i])
			}
			r[b] = film.Infinite(k / s)
		}
		out = append(out, mixed{m, colour.Difference(g.lab, colour.D65().Lab(r))})
	}
	for i := range paints {
		for j := i + 1; j < len(paints); j++ {
			if parts == 2 {
				for a := 1; a < 8; a++ {
					look(blend{paint: [3]int16{int16(i), int16(j)}, part: [3]int8{int8(a), int8(8 - a)}, n: 2})
				}
				continue
			}
			for k := j + 1; k < len(paints); k++ {
				for a := 1; a < 7; a++ {
					for b := 1; a+b < 8; b++ {
						look(blend{paint: [3]int16{int16(i), int16(j), int16(k)}, part: [3]int8{int8(a), int8(b), int8(8 - a - b)}, n: 3})
					}
				}
			}
		}
	}
	slices.SortFunc(out, mixed.before)
	return out
}

// Law: two- and three-part answers equal a look at every recipe, for several
// targets in one pass, on one worker or more.
func TestMixturesEqualEveryRecipe(t *testing.T) {
	paints := shelf(t, 14, 1)
	goals := goalsAtRandom(5, 2)
	for _, workers := range []int{1, 3} {
		s := mixSearch{paints: paints, goals: goals, keep: 10, workers: workers}
		two, three := s.pairs(), s.triples(nil)
		for i, g := range goals {
			check := func(name string, got, want []mixed) {
				for j, m := range got {
					if m.blend != want[j].blend || math.Abs(m.diff-want[j].diff) > 1e-9 {
						t.Fatalf("%s, target %d, place %d: %+v, want %+v", name, i, j, m, want[j])
					}
				}
			}
			w2, w3 := everyMixture(paints, g, 2), everyMixture(paints, g, 3)
			if len(w2) != recipes(14, 2) || len(w3) != recipes(14, 3) {
				t.Fatalf("%d and %d recipes, want %d and %d", len(w2), len(w3), recipes(14, 2), recipes(14, 3))
			}
			check("two parts", two[i], w2)
			check("three parts", three[i], w3)
		}
	}
}

// everyTriple is [everyMixture] for three parts and many goals at once, the
// nearest of each only.
func everyTriple(paints []colourant, goals []goal) []mixed {
	best := make([]mixed, len(goals))
	for i := range best {
		best[i].diff = math.Inf(1)
	}
	var r colour.Reflectance
	for i := range paints {
		for j := i + 1; j < len(paints); j++ {
			for k := j + 1; k < len(paints); k++ {
				for a := 1; a < 7; a++ {
					for b := 1; a+b < 8; b++ {
						m := blend{paint: [3]int16{int16(i), int16(j), int16(k)}, part: [3]int8{int8(a), int8(b), int8(8 - a - b)}, n: 3}
						for x := range r {
							kk := paints[i].k[x]*float64(a) + paints[j].k[x]*float64(b) + paints[k].k[x]*float64(8-a-b)
							ss := paints[i].s[x]*float64(a) + paints[j].s[x]*float64(b) + paints[k].s[x]*float64(8-a-b)
							r[x] = film.Infinite(kk / ss)
						}
						lab := colour.D65().Lab(r)
						for g := range goals {
							if d := colour.Difference(goals[g].lab, lab); (mixed{m, d}).before(best[g]) < 0 {
								best[g] = mixed{m, d}
							}
						}
					}
				}
			}
		}
	}
	return best
}

// Goal M2: exact three-part answers equal brute force for 24 targets on 40
// invented paints; on 120 where UNDERCOAT_LONG is set (half a minute).
func TestThreePartsEqualBruteForce(t *testing.T) {
	sizes := []int{40}
	if os.Getenv("UNDERCOAT_LONG") != "" {
		sizes = append(sizes, 120)
	}
	for _, n := range sizes {
		s := mixSearch{paints: shelf(t, n, 77), goals: goalsAtRandom(24, uint64(n)), keep: 1, workers: 2}
		want := everyTriple(s.paints, s.goals)
		for i, got := range s.triples(nil) {
			if got[0].blend != want[i].blend || math.Abs(got[0].diff-want[i].diff) > 1e-9 {
				t.Errorf("%d paints, target %d: %+v, want %+v", n, i, got[0], want[i])
			}
		}
	}
}

// Law: coats of a mixture over a ground are what the film package predicts.
func TestMixturesOverGround(t *testing.T) {
	paints := shelf(t, 8, 4)
	ground := film.Even(0.08)
	bed := &mixBed{ground: ground, least: 2, most: 4}
	for range paints {
		bed.wet = append(bed.wet, 90)
		bed.volume = append(bed.volume, 1/1.2)
	}
	g := goalsAtRandom(1, 7)
	s := mixSearch{paints: paints, goals: g, keep: 20, workers: 2, bed: bed}
	for _, m := range s.pairs()[0] {
		f := film.Film{X: 1}
		for b := range f.K {
			for i := range m.n {
				// a gram share of one eighth, 90 µm of a paint of 1.2 g/ml
				f.K[b] += paints[m.paint[i]].k[b] * float64(m.part[i]) / 8 * 90 * 1.2
				f.S[b] += paints[m.paint[i]].s[b] * float64(m.part[i]) / 8 * 90 * 1.2
			}
		}
		want := colour.Difference(g[0].lab, colour.D65().Lab(f.Coats(float64(m.coats)).Over(ground)))
		near(t, "coats", m.diff, want, 1e-7)
	}
}

// Law: over a ground too, two- and three-part answers equal a look at every
// recipe in every number of coats, by the film package: paints of different
// strength, density and coat over a dark ground.
func TestMixturesOverGroundEqualEveryRecipe(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 9))
	ground := film.Even(0.06)
	bed := &mixBed{ground: ground, least: 2, most: 4}
	var paints []colourant
	for _, p := range paintsAtRandom(t, 7, 12) {
		wet, density := 60+60*rng.Float64(), 1+0.5*rng.Float64()
		paints = append(paints, newColourant(p.Coat, wet, density))
		bed.wet, bed.volume = append(bed.wet, wet), append(bed.volume, 1/density)
	}
	goals := goalsAtRandom(4, 3)
	s := mixSearch{paints: paints, goals: goals, keep: 15, workers: 2, bed: bed}
	got := [][][]mixed{s.pairs(), s.triples(nil)}
	for i, g := range goals {
		for parts, answers := range got {
			var want []mixed
			for _, m := range everyMixture(paints, g, parts+2) {
				// One coat of the mixture: its volume lays the mean wet film.
				ml, lays := 0.0, 0.0
				for j := range m.n {
					v := float64(m.part[j]) * bed.volume[m.paint[j]]
					ml, lays = ml+v, lays+v*bed.wet[m.paint[j]]
				}
				f := film.Film{X: lays / ml / ml}
				for b := range f.K {
					for j := range m.n {
						f.K[b] += paints[m.paint[j]].k[b] * float64(m.part[j])
						f.S[b] += paints[m.paint[j]].s[b] * float64(m.part[j])
					}
				}
				for n := bed.least; n <= bed.most; n++ {
					m.coats = int8(n)
					m.diff = colour.Difference(g.lab, colour.D65().Lab(f.Coats(float64(n)).Over(ground)))
					want = append(want, m)
				}
			}
			slices.SortFunc(want, mixed.before)
			for j, m := range answers[i] {
				if m.blend != want[j].blend || math.Abs(m.diff-want[j].diff) > 1e-7 {
					t.Fatalf("%d parts, target %d, place %d: %+v, want %+v", parts+2, i, j, m, want[j])
				}
			}
		}
	}
}

// The pair-first search may miss the best recipe by little: on invented
// shelves its mean excess stays under ΔE00 0.02, its largest under 0.1.
func TestPairFirstExcess(t *testing.T) {
	var excess []float64
	for seed := range uint64(2) {
		s := mixSearch{paints: shelf(t, 40, 10+seed), goals: goalsAtRandom(12, seed), keep: 1, workers: 2}
		exact, quick := s.triples(nil), s.triplesByPairs(40)
		for i := range exact {
			excess = append(excess, quick[i][0].diff-exact[i][0].diff)
		}
	}
	mean := 0.0
	for _, e := range excess {
		mean += e / float64(len(excess))
	}
	if worst := slices.Max(excess); mean > 0.02 || worst > 0.1 {
		t.Errorf("excess mean %.3f, largest %.3f", mean, worst)
	}
}

func BenchmarkTwoParts200x12(b *testing.B) {
	s := mixSearch{paints: shelf(b, 200, 1), goals: goalsAtRandom(12, 1), keep: 1, workers: runtime.GOMAXPROCS(0)}
	for b.Loop() {
		s.pairs()
	}
}

func BenchmarkThreeParts200x12PairFirst(b *testing.B) {
	s := mixSearch{paints: shelf(b, 200, 1), goals: goalsAtRandom(12, 1), keep: 1, workers: runtime.GOMAXPROCS(0)}
	for b.Loop() {
		s.triplesByPairs(200)
	}
}

func BenchmarkThreeParts200x12Exact(b *testing.B) {
	s := mixSearch{paints: shelf(b, 200, 1), goals: goalsAtRandom(12, 1), keep: 1, workers: runtime.GOMAXPROCS(0)}
	for b.Loop() {
		s.triples(nil)
	}
}

func BenchmarkMixturesOverGround(b *testing.B) {
	bed := &mixBed{ground: film.Even(0.05), least: 2, most: 4}
	for range 200 {
		bed.wet = append(bed.wet, 90)
		bed.volume = append(bed.volume, 1/1.2)
	}
	paints := shelf(b, 200, 1)
	g := goalsAtRandom(1, 1)
	for b.Loop() {
		two := mixSearch{paints: paints, goals: g, keep: 24, workers: runtime.GOMAXPROCS(0), bed: bed}
		two.pairs()
		three := mixSearch{paints: paints[:40], goals: g, keep: 24, workers: runtime.GOMAXPROCS(0), bed: bed}
		three.triples(nil)
	}
}
