package match

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"undercoat/finish/film"
	"undercoat/palette/colour"
)

var smallSearch = []string{"PW6", "PY74", "PR108", "PR122", "PB29", "PG7", "PB36", "PBk9"}

func smallPots(t testing.TB) (names []string, pots []searchPot) {
	all := pigments(t)
	for _, ci := range smallSearch {
		i := slices.IndexFunc(all, func(p pigment) bool { return p.Index == ci })
		if i < 0 {
			t.Fatalf("no pigment %s", ci)
		}
		names = append(names, ci)
		pots = append(pots, newSearchPot(film.Paint{Coat: all[i].Film.Coats(6)}, 4))
	}
	return names, pots
}

// written spells a stack coat by coat, first applied first.
func written(p pile, names []string) string {
	var out []string
	for _, r := range p.runs[:p.n] {
		for range r.coats {
			out = append(out, names[r.pot])
		}
	}
	return strings.Join(out, ">")
}

// Brute force of a prototype over 8 pigments and up to 4 coats, each free; ΔE
// 1e-3, counts exact. Stacks of equal ΔE may be another.
func TestSearchSmall(t *testing.T) {
	names, pots := smallPots(t)
	for _, r := range reference(t, "optics/search_small.csv") {
		name := r.cell["substrate"] + " " + r.cell["target_L"] + " " + r.cell["target_a"] + " " + r.cell["target_b"]
		target := colour.Lab{L: r.num("target_L"), A: r.num("target_a"), B: r.num("target_b")}
		var best [5]found
		for n := 1; n <= 4; n++ {
			s := stackSearch{pots: pots, ground: film.Even(r.num("Rg")), to: plainDaylight(t, target), maxCoats: n, maxLayers: 4, keep: 1}
			best[n] = s.search().nearest[0]
		}
		overall := math.Inf(1)
		for n, col := range []string{"best_dE00_1_coat", "best_dE00_2_coats", "best_dE00_3_coats", "best_dE00_4_coats"} {
			// The file gives the best of exactly n coats; the search of up to n.
			overall = math.Min(overall, r.num(col))
			near(t, name+" "+col, best[n+1].diff, overall, 1e-3)
		}
		for _, tol := range []struct {
			limit         float64
			count, column string
		}{{1.5, "min_coats_tol1.5", "dE00"}, {3, "min_coats_tol3", "dE00_3"}} {
			n := 1
			for n <= 4 && best[n].diff > tol.limit {
				n++
			}
			if r.cell[tol.count] == "none" {
				if n != 5 {
					t.Errorf("%s: %d coats reach %g, want none", name, n, tol.limit)
				}
				continue
			}
			if float64(n) != r.num(tol.count) {
				t.Errorf("%s: %d coats reach %g, want %s", name, n, tol.limit, r.cell[tol.count])
				continue
			}
			near(t, name+" at depth", best[n].diff, r.num(tol.column), 1e-3)
		}
		if got := written(best[4].pile, names); got != r.cell["overall_best_stack"] && math.Abs(best[4].diff-overall) > 1e-3 {
			t.Errorf("%s: best stack %s, want %s", name, got, r.cell["overall_best_stack"])
		}
	}
}

// plainDaylight is a goal under the D65 weights the check values were computed
// with; the house's own are turned to the white of screens and differ by 2e-4.
func plainDaylight(t testing.TB, lab colour.Lab) goal {
	g := newGoal(lab)
	g.white = colour.XYZ{}
	for i, r := range reference(t, "optics/weights_36band.csv")[:colour.Bands] {
		g.x[i], g.y[i], g.z[i] = r.num("D65_X"), r.num("D65_Y"), r.num("D65_Z")
		g.white.X += g.x[i]
		g.white.Y += g.y[i]
		g.white.Z += g.z[i]
	}
	return g
}

// everyStack is the search without any pruning, written the plain way.
func everyStack(s *stackSearch) []found {
	var out []found
	var grow func(st state)
	grow = func(st state) {
		for i := range s.pots {
			p := &s.pots[i]
			if !s.fits(&st.pile, i) || int(st.n) >= s.maxLayers {
				continue
			}
			for n := p.least; n <= p.most && int(st.coats)+n <= s.maxCoats; n++ {
				next := s.laid(&st, i, n)
				if n >= p.leastTop {
					lab := colour.D65().Lab(next.face)
					out = append(out, found{pile: next.pile, diff: colour.Difference(s.to.lab, lab), cost: next.cost, dry: next.dry})
				}
				grow(next)
			}
		}
	}
	grow(state{face: s.ground, side: film.SideOf(s.ground)})
	slices.SortFunc(out, found.before)
	return out
}

// paintsAtRandom makes paints from colours and hiding figures, as a shelf of
// labels has them.
func paintsAtRandom(t testing.TB, n int, seed uint64) []film.Paint {
	t.Helper()
	rng := rand.New(rand.NewPCG(seed, 1))
	var out []film.Paint
	for len(out) < n {
		lab := colour.LCh{L: 10 + 85*rng.Float64(), C: 60 * rng.Float64(), H: 360 * rng.Float64()}.Lab()
		c, lost := colour.FromLab(lab, colour.Measured)
		if lost > 0 {
			continue
		}
		p, err := film.OfPaint(film.Known{Swatch: c, HidingBlack: film.Know(0.1 + 0.85*rng.Float64()), HidingWhite: film.Know(0.2 + 0.75*rng.Float64())})
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, p)
	}
	return out
}

func randomPots(t testing.TB, n, most int, seed uint64) []searchPot {
	rng := rand.New(rand.NewPCG(seed, 2))
	var out []searchPot
	for i, p := range paintsAtRandom(t, n, seed) {
		s := newSearchPot(p, most)
		s.cost, s.dry = 1+rng.Float64(), 20+30*rng.Float64()
		if i%3 == 0 {
			s.leastTop = 2
		}
		out = append(out, s)
	}
	return out
}

// Law: the pruned search equals a look at every stack, in order, cost and
// choices, whether the target can be met or not, on one worker or several.
func TestSearchEqualsEveryStack(t *testing.T) {
	pots := randomPots(t, 7, 4, 3)
	rng := rand.New(rand.NewPCG(9, 9))
	for round := range 12 {
		target := colour.LCh{L: 10 + 85*rng.Float64(), C: 80 * rng.Float64(), H: 360 * rng.Float64()}.Lab()
		s := stackSearch{pots: pots, ground: film.Even(0.03 + 0.9*rng.Float64()), to: newGoal(target), maxCoats: 4, maxLayers: 3, keep: 15, within: 6, workers: 1 + round%3}
		got, want := s.search(), everyStack(&s)
		if got.seen != len(want) {
			t.Errorf("round %d: answered for %d stacks, want %d", round, got.seen, len(want))
		}
		for i, f := range got.nearest {
			if f.pile != want[i].pile || math.Abs(f.diff-want[i].diff) > 1e-9 || math.Abs(f.cost-want[i].cost) > 1e-9 {
				t.Fatalf("round %d: place %d: %+v, want %+v", round, i, f, want[i])
			}
		}
		checkChoices(t, got, want, s.within)
	}
}

func checkChoices(t *testing.T, got stackAnswer, want []found, within float64) {
	t.Helper()
	var near []found
	for _, f := range want {
		if f.diff <= within {
			near = append(near, f)
		}
	}
	if got.any != (len(near) > 0) {
		t.Fatalf("choices %v, want %v", got.any, len(near) > 0)
	}
	if len(near) == 0 {
		return
	}
	least := func(of func(found) float64) found {
		return slices.MinFunc(near, func(a, b found) int {
			if x, y := of(a), of(b); x != y {
				return int(math.Copysign(1, x-y))
			}
			return a.before(b)
		})
	}
	for _, c := range []struct {
		name      string
		got, want found
	}{
		{"fewest", got.fewest, least(func(f found) float64 { return float64(f.coats) })},
		{"cheapest", got.cheapest, least(func(f found) float64 { return f.cost })},
		{"softest", got.softest, least(func(f found) float64 { return f.dry })},
	} {
		if c.got.pile != c.want.pile {
			t.Errorf("%s: %+v, want %+v", c.name, c.got, c.want)
		}
	}
}

// Law: the bound of a box never exceeds the difference of a colour inside it.
func TestBoundHolds(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 4))
	white := colour.D65().White()
	for range 20000 {
		target := colour.LCh{L: 100 * rng.Float64(), C: 100 * rng.Float64(), H: 360 * rng.Float64()}.Lab()
		g := newGoal(target)
		at := colour.LCh{L: 100 * rng.Float64(), C: 100 * rng.Float64(), H: 360 * rng.Float64()}.Lab().XYZ(white)
		at = colour.XYZ{X: math.Max(at.X, 0), Y: math.Max(at.Y, 0), Z: math.Max(at.Z, 0)}
		size := 0.2 * rng.Float64() * rng.Float64()
		low := colour.XYZ{X: math.Max(at.X-size*rng.Float64(), 0), Y: math.Max(at.Y-size*rng.Float64(), 0), Z: math.Max(at.Z-size*rng.Float64(), 0)}
		high := colour.XYZ{X: at.X + size*rng.Float64(), Y: at.Y + size*rng.Float64(), Z: at.Z + size*rng.Float64()}
		if b, d := g.nearest(low, high), g.difference(at); b > d+1e-9 {
			t.Fatalf("target %+v: bound %g above %g", target, b, d)
		}
	}
}

func BenchmarkStacks40(b *testing.B) {
	pots := randomPots(b, 40, 4, 1)
	for _, c := range []struct {
		name string
		lab  colour.Lab
		tol  float64
	}{
		{"attainable", colour.Lab{L: 47.7, A: -15, B: -5}, 3},
		{"never", colour.Lab{L: 55, A: 85, B: 65}, 3},
	} {
		b.Run(c.name, func(b *testing.B) {
			for b.Loop() {
				s := stackSearch{pots: pots, ground: film.Even(0.05), to: newGoal(c.lab), maxCoats: 4, maxLayers: 3, keep: 24, within: c.tol, workers: 2}
				a := s.search()
				b.ReportMetric(a.nearest[0].diff, "ΔE00")
				b.ReportMetric(float64(a.seen), "stacks")
			}
		})
	}
}
