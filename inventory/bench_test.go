package inventory

import (
	"context"
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"testing"
	"testing/fstest"
	"time"

	"undercoat/palette/colour"
)

// clock is a fixed time for files of tests.
func clock() time.Time { return time.Date(2026, 10, 26, 9, 0, 0, 0, time.UTC) }

// manyLines is a stock table of n invented lines of every kind, each with its
// own colour.
func manyLines(n int) fstest.MapFS {
	r := rand.New(rand.NewPCG(1, 2))
	kinds := []string{"paint", "paint", "paint", "cloth", "cloth", "dye", "trim", "sealer"}
	b := []byte("code,name,kind,medium,colour,hiding_black,hiding_white,spread_ml_m2,touch_h,recoat_from_h,cure_h,suits,on_hand,unit,pack,price\r\n")
	for i := range n {
		b = fmt.Appendf(b, "L%06d,Line %d,%s,fabric paint,#%06x,0.6,0.9,110,0.75,2,72,cotton;canvas,%d,ml,100,6.20\r\n",
			i, i, kinds[i%len(kinds)], r.IntN(1<<24), r.IntN(500))
	}
	return fstest.MapFS{"stock.csv": {Data: b}}
}

// newFile opens a fresh file in a folder of the test.
func newFile(t testing.TB) *File {
	t.Helper()
	f, err := Open(context.Background(), filepath.Join(t.TempDir(), "room.undercoat"), clock)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { f.Close() })
	return f
}

func BenchmarkCreate(b *testing.B) {
	dir := b.TempDir()
	for i := 0; b.Loop(); i++ {
		f, err := Open(context.Background(), filepath.Join(dir, fmt.Sprint(i)), clock)
		if err != nil {
			b.Fatal(err)
		}
		f.Close()
	}
}

func BenchmarkOpen(b *testing.B) {
	for _, lines := range []int{0, 100_000} {
		b.Run(fmt.Sprint(lines), func(b *testing.B) {
			f := newFile(b)
			if lines > 0 {
				if _, err := f.ImportStock(context.Background(), manyLines(lines)); err != nil {
					b.Fatal(err)
				}
			}
			f.Close()
			for b.Loop() {
				f, err := Open(context.Background(), f.path, clock)
				if err != nil {
					b.Fatal(err)
				}
				f.Close()
			}
		})
	}
}

func BenchmarkImportStock(b *testing.B) {
	for _, n := range sizes() {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			in := manyLines(n)
			for b.Loop() {
				f := newFile(b)
				if _, err := f.ImportStock(context.Background(), in); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(n)*float64(b.N)/b.Elapsed().Seconds(), "lines/s")
		})
	}
}

func BenchmarkSnapshot(b *testing.B) {
	ctx := context.Background()
	for _, n := range sizes() {
		f := newFile(b)
		if _, err := f.ImportStock(ctx, manyLines(n)); err != nil {
			b.Fatal(err)
		}
		b.Run(fmt.Sprintf("fresh/%d", n), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				f.kept = keptStock{}
				s, err := f.Stock(ctx)
				if err != nil || s.Len() != n {
					b.Fatal(s.Len(), err)
				}
			}
		})
		b.Run(fmt.Sprintf("kept/%d", n), func(b *testing.B) {
			for b.Loop() {
				if _, err := f.Stock(ctx); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkNearest(b *testing.B) {
	ctx := context.Background()
	for _, n := range sizes() {
		f := newFile(b)
		if _, err := f.ImportStock(ctx, manyLines(n)); err != nil {
			b.Fatal(err)
		}
		s, err := f.Stock(ctx)
		if err != nil {
			b.Fatal(err)
		}
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			r := rand.New(rand.NewPCG(3, 4))
			s.Nearest(colour.Lab{L: 50}, 1)
			for b.Loop() {
				s.Nearest(colour.Lab{L: 100 * r.Float64(), A: 60*r.Float64() - 30, B: 60*r.Float64() - 30}, 10)
			}
		})
	}
}

// sizes are the shelf sizes of the benchmarks; -short leaves out the largest.
func sizes() []int {
	if testing.Short() {
		return []int{1000, 10_000}
	}
	return []int{1000, 10_000, 100_000}
}
