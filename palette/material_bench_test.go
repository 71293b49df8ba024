//go:build unix

package palette

import (
	"bytes"
	"fmt"
	"image"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"sync"
	"syscall"
	"testing"
	"time"

	"undercoat/palette/colour"
)

// benchPicture draws a 12-megapixel figure of shaded balls on a graded backdrop,
// with grain, as Y′CbCr 4:2:0, as a JPEG decoder gives it.
func benchPicture(w, h int) Reference {
	m := image.NewYCbCr(image.Rect(0, 0, w, h), image.YCbCrSubsampleRatio420)
	rng := rand.New(rand.NewPCG(1, 2))
	var noise [4096]float64
	for i := range noise {
		noise[i] = rng.NormFloat64()
	}
	balls := make([]struct {
		x, y, r float64
		c       colour.LinearRGB
	}, 14)
	for i := range balls {
		b := &balls[i]
		b.x, b.y, b.r = rng.Float64(), rng.Float64()*float64(h)/float64(w), 0.03+0.1*rng.Float64()
		b.c = colour.LinearRGB{R: rng.Float64(), G: rng.Float64(), B: rng.Float64()}
	}
	at := func(px, py int) (r, g, b uint8) {
		x, y := float64(px)/float64(w), float64(py)/float64(w)
		c := colour.LinearRGB{R: 0.3 + 0.2*y, G: 0.35 + 0.1*y, B: 0.4}
		for _, k := range balls {
			dx, dy := (x-k.x)/k.r, (y-k.y)/k.r
			if d := dx*dx + dy*dy; d < 1 {
				s := 0.2 + 0.8*max(0, 0.5*dx-0.5*dy+0.7*math.Sqrt(1-d))
				c = colour.LinearRGB{R: k.c.R * s, G: k.c.G * s, B: k.c.B * s}
			}
		}
		n := 0.02 * noise[(px*7919+py*104729)&4095]
		return colour.EncodeSRGB8(colour.LinearRGB{R: c.R * (1 + n), G: c.G * (1 + n), B: c.B * (1 + n)})
	}
	for y := 0; y < h; y += 2 {
		for x := 0; x < w; x += 2 {
			r, g, b := at(x, y)
			yy, cb, cr := ycc(r, g, b)
			for k := range 4 {
				i := (y+k/2)*m.YStride + x + k%2
				m.Y[i] = uint8(min(255, max(0, float64(yy)+2*noise[(i*31)&4095])))
			}
			ci := m.COffset(x, y)
			m.Cb[ci], m.Cr[ci] = cb, cr
		}
	}
	return Reference{src: &source{img: m, lens: sRGBLens(), format: "JPEG"}}
}

func ycc(r, g, b uint8) (y, cb, cr uint8) {
	rf, gf, bf := float64(r), float64(g), float64(b)
	return clamp8(0.299*rf + 0.587*gf + 0.114*bf), clamp8(128 - 0.168736*rf - 0.331264*gf + 0.5*bf), clamp8(128 + 0.5*rf - 0.418688*gf - 0.081312*bf)
}

// benchOnce draws it once for all benchmarks.
var benchOnce = sync.OnceValue(func() Reference { return benchPicture(4000, 3000) })

// BenchmarkMaterials reads 12 megapixels, decoding excluded (performance.md, P2,
// against BenchmarkCountEveryPixel).
func BenchmarkMaterials(b *testing.B) {
	onCores(b, func(r Reference) error { _, err := r.Materials(MaterialOptions{}); return err })
}

// BenchmarkReduce finds 12 colours of 12 megapixels, decoding excluded (P1, P2).
func BenchmarkReduce(b *testing.B) {
	onCores(b, func(r Reference) error { _, err := r.Reduce(12); return err })
}

// BenchmarkReduceCarefully is the same with care (P3).
func BenchmarkReduceCarefully(b *testing.B) {
	onCores(b, func(r Reference) error { _, err := r.ReduceCarefully(12); return err })
}

// BenchmarkFile goes from the bytes of a JPEG file to materials, as the command
// does (performance.md, E1): on the pictures that setup.sh of ../shared/perf has
// made in the folder that PERF_IMAGES names.
func BenchmarkFile(b *testing.B) {
	for _, name := range perfImages {
		data := perfImage(b, name)
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			busy := cpuTime()
			for b.Loop() {
				r, err := Decode(bytes.NewReader(data), Options{})
				if err != nil {
					b.Fatal(err)
				}
				r.GuessCast()
				if _, err := r.Materials(MaterialOptions{Colours: 12}); err != nil {
					b.Fatal(err)
				}
			}
			reportCPU(b, busy)
		})
	}
}

// BenchmarkReduceFile reduces the pictures of the comparison to 8, 12 and 16
// colours, quickly and carefully, decoding excluded, and tells the mean ΔE00 of
// their pixels to the nearest (P1, P3): the peers' figures stand in the table
// that run_all.sh prints.
func BenchmarkReduceFile(b *testing.B) {
	for _, name := range perfImages {
		r, err := Decode(bytes.NewReader(perfImage(b, name)), Options{})
		if err != nil {
			b.Fatal(err)
		}
		for _, n := range []int{8, 12, 16} {
			for way, reduce := range map[string]func(int) (Reduction, error){"quick": r.Reduce, "careful": r.ReduceCarefully} {
				b.Run(fmt.Sprintf("%s/%d/%s", name, n, way), func(b *testing.B) {
					busy := cpuTime()
					var got Reduction
					for b.Loop() {
						if got, err = reduce(n); err != nil {
							b.Fatal(err)
						}
					}
					reportCPU(b, busy)
					b.ReportMetric(got.Mean, "ΔE00")
				})
			}
		}
	}
}

// perfImages are the pictures of the comparison with peers.
var perfImages = []string{"photoA_12mp.jpg", "artB_12mp.jpg", "synC_12mp_combo.jpg", "synD_8mp_trim.png"}

// perfImage reads one of them, or skips.
func perfImage(b *testing.B, name string) []byte {
	b.Helper()
	folder := os.Getenv("PERF_IMAGES")
	if folder == "" {
		b.Skip("PERF_IMAGES names no folder")
	}
	data, err := os.ReadFile(filepath.Join(folder, name))
	if err != nil {
		b.Fatal(err)
	}
	return data
}

// BenchmarkCountEveryPixel is a plain 64³ histogram of all pixels from the Y′CbCr
// planes on one core: the yardstick for the others (performance.md, P2), because
// absolute times depend on the machine and on what else it does.
func BenchmarkCountEveryPixel(b *testing.B) {
	m := benchOnce().src.img.(*image.YCbCr)
	bins := make([]uint32, tallySteps*tallySteps*tallySteps)
	busy := cpuTime()
	for b.Loop() {
		for y := range 3000 {
			row, at := m.Y[y*m.YStride:], m.COffset(0, y)
			for x, v := range row[:4000] {
				bins[int(v>>2)<<12|int(m.Cb[at+x/2]>>2)<<6|int(m.Cr[at+x/2]>>2)]++
			}
		}
	}
	reportCPU(b, busy)
}

// onCores runs the work on one core and on two.
func onCores(b *testing.B, work func(Reference) error) {
	r := benchOnce()
	for _, cores := range []int{1, 2} {
		b.Run(fmt.Sprintf("cores=%d", cores), func(b *testing.B) {
			defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(cores))
			b.ReportAllocs()
			busy := cpuTime()
			for b.Loop() {
				if err := work(r); err != nil {
					b.Fatal(err)
				}
			}
			reportCPU(b, busy)
		})
	}
}

// cpuTime is the time that this process has kept processors busy. On a machine
// that does other things too it says more than the clock.
func cpuTime() time.Duration {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		return 0
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// reportCPU adds the processor time of one operation to the figures.
func reportCPU(b *testing.B, since time.Duration) {
	b.ReportMetric(float64((cpuTime()-since).Microseconds())/1000/float64(b.N), "cpu-ms/op")
}
