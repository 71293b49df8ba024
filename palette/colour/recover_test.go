package colour

import (
	"fmt"
	"math"
	"math/rand/v2"
	"path/filepath"
	"strings"
	"testing"
)

// Optimal reflectances found by a separate program (Newton with a dense
// matrix, weights from the CIE's 1 nm tables): R to 1e-5, the sum of squared
// steps to 1e-4 of itself.
func TestRecoverPublishedMethod(t *testing.T) {
	reference(t, "optics/weights_36band.csv") // skips where the folder is absent
	rows := readRows(t, filepath.Join(repository(t), "..", "shared", "reference", "optics", "recovery_lhtss.csv"), 0)
	for _, r := range rows {
		c, err := ParseHex(r["hex"])
		if err != nil {
			t.Fatal(err)
		}
		got, givenUp := Recover(c.XYZ())
		near(t, r["hex"]+" given up", givenUp, 0, 0)
		for i := range got {
			near(t, fmt.Sprintf("%s at %d nm", r["hex"], Wavelength(i)), got[i], r.figure(t, fmt.Sprint(Wavelength(i))), 1e-5)
		}
		want := r.figure(t, "objective_sum_dz2")
		near(t, r["hex"]+" squared steps", roughness(got), want, 1e-4*want+1e-12)
		if hex := strings.ToUpper(FromReflectance(got, Spectral).Hex()); hex != r["hex"] {
			t.Errorf("%s: its reflectance looks %s", r["hex"], hex)
		}
	}
}

// roughness is the sum of squared steps of atanh(2R−1).
func roughness(r Reflectance) float64 {
	sum := 0.0
	for i := 1; i < Bands; i++ {
		d := math.Atanh(2*r[i]-1) - math.Atanh(2*r[i-1]-1)
		sum += d * d
	}
	return sum
}

// checkRecovered checks the promise on one screen colour.
func checkRecovered(t *testing.T, r, g, b int) {
	t.Helper()
	c := DecodeSRGB8(uint8(r), uint8(g), uint8(b))
	got, givenUp := Recover(c.XYZ())
	limit := 1e-5
	if r+g+b == 3*255 {
		limit = 0.0012 // white is not handed out whole
	}
	if d := Difference(D65().Lab(got), c.Lab()); !(d < limit) || givenUp != 0 {
		t.Fatalf("%d %d %d: round trip ΔE00 %v, given up %v", r, g, b, d, givenUp)
	}
	for i, v := range got {
		if !(v > 0 && v < 1) {
			t.Fatalf("%d %d %d: reflectance %v at %d nm", r, g, b, v, Wavelength(i))
		}
	}
}

// The whole sRGB cube by steps, its six faces finer, and both its corners
// colour by colour: round trip to ΔE00 1e-5 (0.01 is promised), always within 0…1.
func TestRecoverScreenCube(t *testing.T) {
	walk := func(from, to, step int) {
		for r := from; r <= to; r += step {
			for g := from; g <= to; g += step {
				for b := from; b <= to; b += step {
					checkRecovered(t, r, g, b)
				}
			}
		}
	}
	walk(0, 255, 15)
	walk(247, 255, 1)
	walk(0, 7, 1)
	for _, end := range []int{0, 255} {
		for p := 0; p <= 255; p += 5 {
			for q := 0; q <= 255; q += 5 {
				checkRecovered(t, end, p, q)
				checkRecovered(t, p, end, q)
				checkRecovered(t, p, q, end)
			}
		}
	}
}

// Stationarity, the second method: moving the result a little along any
// direction that keeps the colour makes it rougher.
func TestRecoverIsSmoothest(t *testing.T) {
	r := rand.New(rand.NewPCG(36, 1))
	w := screenWeights()
	for range 40 {
		c := DecodeSRGB8(uint8(10+r.IntN(236)), uint8(10+r.IntN(236)), uint8(10+r.IntN(236)))
		base, _ := Recover(c.XYZ())
		least := roughness(base)
		for range 20 {
			i := r.IntN(Bands - 9)
			// Four bands three apart: a combination without effect on the colour.
			pick := [4]int{i, i + 3, i + 6, i + 9}
			var m [4][5]float64
			for k := range 3 {
				for j, band := range pick {
					m[k][j] = w[band][k]
				}
			}
			m[3] = [5]float64{1, 1, 1, 1, 1}
			d, ok := solve4(&m)
			if !ok {
				continue
			}
			size := 0.0
			for _, v := range d {
				size = math.Max(size, math.Abs(v))
			}
			for _, by := range []float64{1e-4, -1e-4} {
				moved := base
				for j, band := range pick {
					moved[band] += by * d[j] / size
				}
				if _, err := NewReflectance(Spectrum(moved)); err != nil {
					continue
				}
				if rough := roughness(moved); rough < least-1e-9 {
					t.Fatalf("%v: moved by %v about band %d it is smoother: %v below %v", c, by, i, rough, least)
				}
			}
		}
	}
}

// Colours no surface can have keep lightness and hue, lose chroma, and say how
// much; nothing else is given up.
func TestRecoverBeyondSurfaces(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 1))
	beyond := 0
	for range 400 {
		l := LCh{100 * r.Float64(), 160 * r.Float64(), 360 * r.Float64()}
		got, givenUp := Recover(l.Lab().XYZ(screenWhite))
		if _, err := NewReflectance(Spectrum(got)); err != nil {
			t.Fatal(err)
		}
		back := D65().Lab(got)
		near(t, "given up", givenUp, Difference(l.Lab(), back), 1e-6)
		if givenUp == 0 {
			continue
		}
		beyond++
		near(t, "lightness kept", back.L, l.L, 0.01)
		if c := back.LCh(); c.C > l.C || c.C > 0.5 && math.Abs(turn(c.H-l.H)) > 0.05 {
			t.Fatalf("%v: became %v", l, c)
		}
	}
	if beyond < 100 {
		t.Fatalf("only %d colours were beyond surfaces", beyond)
	}
	for _, c := range []struct {
		name string
		lab  Lab
		high float64
	}{
		{"brighter than white", Lab{104, -40, 90}, 40},
		{"darker than black", Lab{-5, 0, 0}, 6},
		{"far out", Lab{50, 500, -800}, 200},
	} {
		got, givenUp := Recover(c.lab.XYZ(screenWhite))
		if !(givenUp > 0.5 && givenUp < c.high) {
			t.Errorf("%s: given up %v", c.name, givenUp)
		}
		if _, err := NewReflectance(Spectrum(got)); err != nil {
			t.Errorf("%s: %v", c.name, err)
		}
	}
	if got, givenUp := Recover(XYZ{math.NaN(), 0, 0}); got != (Reflectance{}) || !math.IsNaN(givenUp) {
		t.Errorf("NaN: found %v, %v", got, givenUp)
	}
	white, givenUp := Recover(screenWhite)
	near(t, "white given up", givenUp, 0, 0)
	near(t, "white at 550 nm", white[17], whitest, 0)
}

func BenchmarkRecover(b *testing.B) {
	i := uint32(0)
	for b.Loop() {
		i = i*1664525 + 1013904223
		Recover(DecodeSRGB8(uint8(i>>24), uint8(i>>16), uint8(i>>8)).XYZ())
	}
}

func BenchmarkRecoverBeyond(b *testing.B) {
	for b.Loop() {
		Recover(Lab{50, 100, 100}.XYZ(screenWhite))
	}
}
