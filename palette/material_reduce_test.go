package palette

import (
	"errors"
	"image/color"
	"math"
	"reflect"
	"runtime"
	"testing"

	"undercoat/palette/colour"
)

// A picture of a few flat colours is reduced to just those.
func TestReduceFlatColours(t *testing.T) {
	want := []color.NRGBA{{200, 40, 30, 255}, {30, 90, 160, 255}, {240, 230, 200, 255}, {20, 20, 22, 255}}
	r := painted(400, 300, func(x, y int) color.NRGBA { return want[x/100] })
	for _, n := range []int{4, 9} {
		got, err := r.Reduce(n)
		if err != nil {
			t.Fatal(err)
		}
		if len(got.Colours) != len(want) || got.Mean > 0.01 {
			t.Fatalf("%d wanted: %d colours, mean ΔE00 %.3f", n, len(got.Colours), got.Mean)
		}
		for _, w := range want {
			d := math.Inf(1)
			for _, c := range got.Colours {
				d = min(d, colour.Difference(c.Lab, colour.DecodeSRGB8(w.R, w.G, w.B).Lab()))
			}
			if d > 0.01 {
				t.Errorf("%v comes back ΔE00 %.3f off", w, d)
			}
		}
	}
}

// The mean that is reported is that of the pixels, more colours are never worse,
// more care is never worse, and the number of cores does not matter.
func TestReduceReferencePictures(t *testing.T) {
	for _, name := range []string{"trim", "grain", "alpha"} {
		r := truth(t)[name].ref
		last := math.Inf(1)
		for _, n := range []int{1, 4, 12, 24} {
			quick, err := r.Reduce(n)
			if err != nil {
				t.Fatal(err)
			}
			careful, err := r.ReduceCarefully(n)
			if err != nil {
				t.Fatal(err)
			}
			if careful.Mean > quick.Mean*1.01 || quick.Mean > last*1.01 {
				t.Errorf("%s, %d colours: quick %.3f, careful %.3f, fewer colours %.3f", name, n, quick.Mean, careful.Mean, last)
			}
			last = quick.Mean
			share := 0.0
			for _, c := range careful.Colours {
				share += c.Share
			}
			if math.Abs(share-1) > 1e-9 || len(careful.Colours) > n {
				t.Errorf("%s: %d colours with shares summing to %v", name, len(careful.Colours), share)
			}
			if n == 12 {
				t.Logf("%s: mean ΔE00 %.3f quick, %.3f careful at 12 colours", name, quick.Mean, careful.Mean)
				if d := meanOfPixels(r, careful); math.Abs(d-careful.Mean) > 0.05 {
					t.Errorf("%s: mean ΔE00 %.3f reported, %.3f over every fifth pixel", name, careful.Mean, d)
				}
				old := runtime.GOMAXPROCS(1)
				again, err := r.ReduceCarefully(n)
				runtime.GOMAXPROCS(old)
				if err != nil || !reflect.DeepEqual(again, careful) {
					t.Errorf("%s: one core gives another reduction (%v)", name, err)
				}
			}
		}
	}
}

// meanOfPixels is the mean difference by the plain definition.
func meanOfPixels(r Reference, p Reduction) float64 {
	w, h := r.Size()
	sum, n := 0.0, 0.0
	for y := range h {
		for x := y % 5; x < w; x += 5 {
			v, ok := r.At(x, y)
			if !ok {
				continue
			}
			d, lab := math.Inf(1), v.Lab()
			for _, c := range p.Colours {
				d = min(d, colour.Difference(lab, c.Lab))
			}
			sum, n = sum+d, n+1
		}
	}
	return sum / n
}

func TestReduceRefuses(t *testing.T) {
	clear := painted(50, 50, func(x, y int) color.NRGBA { return color.NRGBA{} })
	if _, err := clear.Reduce(4); !errors.Is(err, ErrNoPixels) {
		t.Errorf("wholly clear: %v", err)
	}
	if _, err := (Reference{}).Reduce(4); !errors.Is(err, ErrNoPixels) {
		t.Errorf("empty: %v", err)
	}
	if _, err := clear.Reduce(0); err == nil {
		t.Error("no colours: no error")
	}
}
