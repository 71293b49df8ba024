package colour

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// mixedLab draws from the three parts of the stress set: a third within the
// screen's gamut, a third blue to violet where the rotation term acts, a third
// far outside everything.
func mixedLab(r *rand.Rand) Lab {
	switch r.IntN(3) {
	case 0:
		return DecodeSRGB8(uint8(r.UintN(256)), uint8(r.UintN(256)), uint8(r.UintN(256))).Lab()
	case 1:
		return LCh{100 * r.Float64(), 120 * r.Float64(), 230 + 100*r.Float64()}.Lab()
	default:
		return Lab{-10 + 130*r.Float64(), -180 + 360*r.Float64(), -180 + 360*r.Float64()}
	}
}

func mixedLabs(n int, seed uint64) []Lab {
	r := rand.New(rand.NewPCG(seed, 7))
	labs := make([]Lab, n)
	for i := range labs {
		labs[i] = mixedLab(r)
	}
	return labs
}

// bruteNearest is the second method: every difference, sorted.
func bruteNearest(labs []Lab, target Lab, k int) []Hit {
	var hits []Hit
	for i, l := range labs {
		hits = append(hits, Hit{i, Difference(target, l)})
	}
	slices.SortFunc(hits, compareHits)
	return hits[:min(k, len(hits))]
}

// Performance paper, goal N1: no wrong answer in 10,000 mixed queries at 1,000
// colours and 5,000 at 10,000.
func TestNearestEqualsBruteForce(t *testing.T) {
	for _, c := range []struct{ n, queries int }{{1, 50}, {2, 50}, {9, 200}, {100, 1000}, {1000, 10002}, {10000, 5000}} {
		if testing.Short() && c.n > 1000 {
			continue
		}
		labs := mixedLabs(c.n, uint64(c.n))
		x := NewIndex(labs)
		r := rand.New(rand.NewPCG(uint64(c.n), 99))
		for q := range c.queries {
			target := mixedLab(r)
			got := x.Nearest(target, 1)[0]
			best := Hit{0, math.Inf(1)}
			for i, l := range labs {
				// S_L is below 2.1 for L* −10…120: what lightness alone puts
				// farther off need not be computed. Nothing else is left out.
				if math.Abs(l.L-target.L) > 2.1*best.Diff {
					continue
				}
				if d := Difference(target, l); d < best.Diff {
					best = Hit{i, d}
				}
			}
			if got != best {
				t.Fatalf("%d colours, query %d, %v: found %+v, every one compared gives %+v", c.n, q, target, got, best)
			}
		}
	}
}

func TestNearestSeveral(t *testing.T) {
	labs := mixedLabs(500, 3)
	labs = append(labs, labs[:40]...) // ties
	x := NewIndex(labs)
	r := rand.New(rand.NewPCG(5, 5))
	for range 300 {
		target := mixedLab(r)
		for _, k := range []int{1, 3, 17, len(labs), len(labs) + 9} {
			if got, want := x.Nearest(target, k), bruteNearest(labs, target, k); !slices.Equal(got, want) {
				t.Fatalf("%d nearest of %v: found %v, every one compared gives %v", k, target, got, want)
			}
		}
	}
}

func TestNearestEdges(t *testing.T) {
	nan := math.NaN()
	if got := NewIndex(nil).Nearest(Lab{}, 3); got != nil {
		t.Errorf("empty index: found %v", got)
	}
	if got := new(Index).Nearest(Lab{}, 3); got != nil {
		t.Errorf("zero index: found %v", got)
	}
	x := NewIndex([]Lab{{nan, 0, 0}, {50, 0, 0}, {50, math.Inf(1), 0}, {50, 0, 0}})
	if got, want := x.Nearest(Lab{50, 0, 0}, 4), []Hit{{1, 0}, {3, 0}}; !slices.Equal(got, want) {
		t.Errorf("colours that are no numbers: found %v, expected %v", got, want)
	}
	if x.Len() != 2 {
		t.Errorf("length %d, expected 2", x.Len())
	}
	if got := x.Nearest(Lab{nan, 0, 0}, 1); got != nil {
		t.Errorf("target that is no number: found %v", got)
	}
	if got := x.Nearest(Lab{}, 0); got != nil {
		t.Errorf("none asked: found %v", got)
	}
	same := make([]Lab, 1000)
	for i := range same {
		same[i] = Lab{40, 1, 2}
	}
	if got := NewIndex(same).Nearest(Lab{41, 1, 2}, 2); got[0].Index != 0 || got[1].Index != 1 {
		t.Errorf("a thousand equal colours: found %v, expected the first two", got)
	}
}

// The bound itself, on boxes of every size, against the colours inside.
func TestBoundHolds(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 13))
	for range 20000 {
		centre := mixedLab(r)
		size := math.Pow(10, -3+5*r.Float64())
		labs := make([]Lab, 6)
		for i := range labs {
			labs[i] = Lab{centre.L + size*(r.Float64()-0.5), centre.A + size*(r.Float64()-0.5), centre.B + size*(r.Float64()-0.5)}
		}
		if r.IntN(20) == 0 {
			labs[0].A, labs[0].B = 0, 0
		}
		target := mixedLab(r)
		if r.IntN(20) == 0 { // opposite hues
			target = Lab{target.L, -2 * labs[1].A, -2 * labs[1].B}
		}
		e, v := extentOf(labs), viewFrom(target)
		bound := v.bound(&e)
		for _, l := range labs {
			if d := Difference(target, l); bound > d {
				t.Fatalf("from %v to %v: bound %v above ΔE00 %v (box %+v)", target, l, bound, d, e)
			}
		}
	}
}

func BenchmarkNearest(b *testing.B) {
	for _, n := range []int{1000, 100000} {
		labs := mixedLabs(n, 1)
		for i := range labs {
			r := rand.New(rand.NewPCG(uint64(i), 2))
			labs[i] = DecodeSRGB8(uint8(r.UintN(256)), uint8(r.UintN(256)), uint8(r.UintN(256))).Lab()
		}
		x := NewIndex(labs)
		inGamut, mixed := make([]Lab, 1024), mixedLabs(1024, 4)
		for i := range inGamut {
			r := rand.New(rand.NewPCG(uint64(i), 3))
			inGamut[i] = DecodeSRGB8(uint8(r.UintN(256)), uint8(r.UintN(256)), uint8(r.UintN(256))).Lab()
		}
		for _, q := range []struct {
			name string
			labs []Lab
		}{{"in gamut", inGamut}, {"mixed", mixed}} {
			b.Run(fmt.Sprintf("%d %s", n, q.name), func(b *testing.B) {
				i := 0
				for b.Loop() {
					x.Nearest(q.labs[i&1023], 1)
					i++
				}
			})
		}
	}
}

func BenchmarkNewIndex100k(b *testing.B) {
	labs := mixedLabs(100000, 1)
	for b.Loop() {
		NewIndex(labs)
	}
}
