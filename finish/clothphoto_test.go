package finish

import (
	"bytes"
	"errors"
	"image"
	"image/color"
	"image/jpeg"
	"io"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"undercoat/finish/rub"
	"undercoat/inventory/unit"
	"undercoat/palette"
	"undercoat/palette/colour"
)

// shot is a photograph of a rub cloth, made from a known clean and a known
// stained colour. Everything is drawn in linear light; only the camera's noise
// and the encoding come after the sRGB curve (IEC 61966-2-1).
type shot struct {
	clean, stain colour.Lab
	thread       float64                        // pixels from thread to thread of a plain weave
	relief       float64                        // how much darker the gaps between threads are, 0…1
	light        func(x, y float64) float64     // amount of light, x and y as shares of the width
	cast         colour.LinearRGB               // colour of the light; zero is neutral
	exposure     float64                        // what a white reads where the light is 1; 0 takes 0.75
	noise        float64                        // standard deviation of a channel in 8-bit steps
	quality      int                            // of the JPEG
	dirt         func(x, y int) (share float64) // what else darkens the cloth; nil nothing
	seed         uint64
}

const shotW, shotH = 400, 264

// The stain is a disc as a 16 mm finger leaves it (ISO 105-X12), with a soft
// edge of its radius' tenth.
var (
	stainAt  = palette.Rect{X: 164, Y: 96, W: 72, H: 72}
	leftAt   = palette.Rect{X: 16, Y: 56, W: 96, H: 152}
	rightAt  = palette.Rect{X: 288, Y: 56, W: 96, H: 152}
	stainMid = image.Pt(200, 132)
)

const stainRadius = 64.0

func (s shot) picture(t testing.TB) PictureFile {
	t.Helper()
	m := image.NewNRGBA(image.Rect(0, 0, shotW, shotH))
	rng := rand.New(rand.NewPCG(s.seed, 17))
	clean, stain := s.clean.LinearRGB(), s.stain.LinearRGB()
	exposure, cast := s.exposure, s.cast
	if exposure == 0 {
		exposure = 0.75
	}
	if cast == (colour.LinearRGB{}) {
		cast = colour.LinearRGB{R: 1, G: 1, B: 1}
	}
	for y := range shotH {
		for x := range shotW {
			k := edge(math.Hypot(float64(x-stainMid.X), float64(y-stainMid.Y)))
			amount := exposure * s.light(float64(x)/shotW, float64(y)/shotW) * s.weave(x, y)
			if s.dirt != nil {
				amount *= 1 - s.dirt(x, y)
			}
			c := colour.LinearRGB{
				R: amount * cast.R * (clean.R + k*(stain.R-clean.R)),
				G: amount * cast.G * (clean.G + k*(stain.G-clean.G)),
				B: amount * cast.B * (clean.B + k*(stain.B-clean.B)),
			}
			r, g, b := colour.EncodeSRGB8(c)
			n := func(v uint8) uint8 { return uint8(min(255, max(0, math.Round(float64(v)+s.noise*rng.NormFloat64())))) }
			m.SetNRGBA(x, y, color.NRGBA{R: n(r), G: n(g), B: n(b), A: 255})
		}
	}
	var buf bytes.Buffer
	if err := jpeg.Encode(&buf, m, &jpeg.Options{Quality: s.quality}); err != nil {
		t.Fatal(err)
	}
	return PictureFile{Name: "cloth.jpg", Open: func() (io.ReadCloser, error) { return io.NopCloser(bytes.NewReader(buf.Bytes())), nil }}
}

// edge is 1 inside the stain and 0 outside.
func edge(d float64) float64 {
	return min(1, max(0, (1.05*stainRadius-d)/(0.1*stainRadius)))
}

// weave is a plain weave: gaps between threads both ways, its mean near 1.
func (s shot) weave(x, y int) float64 {
	p := 2 * math.Pi / s.thread
	return 1 + s.relief*(math.Cos(p*float64(x))*math.Cos(p*float64(y)))
}

// lamps are lights over a table: how much falls where.
var lamps = map[string]func(x, y float64) float64{
	"even":        func(_, _ float64) float64 { return 1 },
	"from left":   func(x, y float64) float64 { return math.Exp(-0.5 * (x - 0.3)) },
	"from corner": func(x, y float64) float64 { return math.Exp(-0.35*x - 0.3*y + 0.2) },
	"lamp above": func(x, y float64) float64 { // inverse square, 0.8 widths above a point left of the middle
		return 1.1 * 0.512 / math.Pow((x-0.35)*(x-0.35)+(y-0.2)*(y-0.2)+0.64, 1.5)
	},
}

// usualShots are the photographs the grades are judged by. Truth is the grade of
// the known colours by ISO 105-A04.
func usualShots() map[string]shot {
	return map[string]shot{
		"ink blue, lamp from the left": {
			clean: colour.Lab{L: 95.2, A: -0.3, B: 2.1}, stain: colour.Lab{L: 82.5, A: 0.4, B: -3.2},
			thread: 7, relief: 0.15, light: lamps["from left"], noise: 3, quality: 88, seed: 1,
		},
		"slight grey, lamp above, coarse weave": {
			clean: colour.Lab{L: 94, A: 0, B: 3}, stain: colour.Lab{L: 89.6, A: -0.4, B: 1.2},
			thread: 13, relief: 0.25, light: lamps["lamp above"], noise: 4, quality: 80, seed: 2,
		},
		"coral, warm light from a corner": {
			clean: colour.Lab{L: 95.2, A: -0.3, B: 2.1}, stain: colour.Lab{L: 84, A: 16, B: 12},
			thread: 5, relief: 0.1, light: lamps["from corner"], cast: colour.LinearRGB{R: 1.08, G: 1, B: 0.8}, noise: 3, quality: 90, seed: 3,
		},
		"heavy black, even light, strong compression": {
			clean: colour.Lab{L: 95, A: 0, B: 2}, stain: colour.Lab{L: 66, A: 0.5, B: 0},
			thread: 6, relief: 0.2, light: lamps["even"], noise: 5, quality: 55, seed: 4,
		},
		"no stain, lamp above": {
			clean: colour.Lab{L: 95, A: 0, B: 2}, stain: colour.Lab{L: 94.8, A: 0, B: 2},
			thread: 8, relief: 0.15, light: lamps["lamp above"], noise: 3, quality: 85, seed: 5,
		},
	}
}

func TestPhotographsWithinHalfAStep(t *testing.T) {
	for name, s := range usualShots() {
		truth := rub.Staining(s.clean, s.stain)
		pic := s.picture(t)
		for _, from := range []struct {
			where string
			clean []palette.Rect
		}{{"clean on both sides", []palette.Rect{leftAt, rightAt}}, {"clean on one side", []palette.Rect{leftAt}}} {
			g, err := gradePhoto(PhotoGrade{Picture: pic, Clean: from.clean, Stained: []palette.Rect{stainAt}})
			if err != nil {
				t.Errorf("%s, %s: %v", name, from.where, err)
				continue
			}
			t.Logf("%s, %s: true %s (%.2f), read %s (%.2f, %.2f to %.2f)", name, from.where, truth.Grade, truth.Rating, g.Grade, g.Rating.Rating, g.RatingLow, g.RatingHigh)
			if off := g.Grade - truth.Grade; off < -1 || off > 1 {
				t.Errorf("%s, %s: graded %s, true is %s", name, from.where, g.Grade, truth.Grade)
			}
			if truth.Rating < g.RatingLow || truth.Rating > g.RatingHigh {
				t.Errorf("%s, %s: the range %.2f to %.2f leaves %.2f out", name, from.where, g.RatingLow, g.RatingHigh, truth.Rating)
			}
		}
	}
}

// The range is meant to hold the truth nine times in ten. 60 photographs of
// random stains under random lamps: by chance alone fewer than 48 would be held
// once in two hundred tries at nine in ten.
func TestPhotographRangesHold(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 8))
	held, all := 0, 0
	var far float64
	for i := range 60 {
		s := shot{
			clean:  colour.Lab{L: 94 + 2*rng.Float64(), A: 0, B: 1 + 2*rng.Float64()},
			thread: 4 + 9*rng.Float64(), relief: 0.25 * rng.Float64(), noise: 2 + 3*rng.Float64(), quality: 60 + rng.IntN(35), seed: uint64(100 + i),
		}
		de, hue := math.Exp(3.4*rng.Float64()), 2*math.Pi*rng.Float64()
		tilt := rng.Float64() // how much of the difference is chroma
		s.stain = colour.Lab{L: s.clean.L - de*math.Sqrt(1-tilt*tilt), A: s.clean.A + de*tilt*math.Cos(hue), B: s.clean.B + de*tilt*math.Sin(hue)}
		ax, ay, bend := 0.8*(rng.Float64()-0.5), 0.8*(rng.Float64()-0.5), rng.Float64()
		s.light = func(x, y float64) float64 {
			return math.Exp(ax*(x-0.5) + ay*(y-0.33) - bend*((x-0.4)*(x-0.4)+(y-0.3)*(y-0.3)))
		}
		s.cast = colour.LinearRGB{R: 1 + 0.1*rng.Float64(), G: 1, B: 1 - 0.25*rng.Float64()}
		clean := []palette.Rect{leftAt, rightAt}
		if i%3 == 0 {
			clean = clean[:1]
		}
		s.exposure = 0.55
		g, err := gradePhoto(PhotoGrade{Picture: s.picture(t), Clean: clean, Stained: []palette.Rect{stainAt}})
		if err != nil {
			t.Errorf("photograph %d: %v", i, err)
			continue
		}
		all++
		truth := rub.Staining(s.clean, s.stain)
		if g.RatingLow <= truth.Rating && truth.Rating <= g.RatingHigh {
			held++
		}
		far = max(far, math.Abs(g.Rating.Rating-truth.Rating))
		if d := g.Grade - truth.Grade; d < -1 || d > 1 {
			t.Errorf("photograph %d (one side: %v): graded %s (%.2f), true is %s (%.2f)", i, i%3 == 0, g.Grade, g.Rating.Rating, truth.Grade, truth.Rating)
		}
	}
	t.Logf("%d of %d ranges hold the true rating; the farthest reading is off by %.2f", held, all, far)
	if held < 48 {
		t.Errorf("%d of %d ranges hold the true rating", held, all)
	}
}

// A change of a coloured piece is read the same way, once its own colour is
// known: the grade of the known pair by ISO 105-A05.
func TestPhotographOfChange(t *testing.T) {
	before, after := colour.Lab{L: 47.4, A: -0.8, B: -3.4}, colour.Lab{L: 51, A: -0.6, B: -2}
	s := shot{clean: before, stain: after, thread: 6, relief: 0.1, light: lamps["from left"], exposure: 1, noise: 2, quality: 90, seed: 9}
	q := PhotoGrade{Scale: "change", Picture: s.picture(t), Clean: []palette.Rect{leftAt, rightAt}, Stained: []palette.Rect{stainAt}}
	if _, err := gradePhoto(q); err == nil {
		t.Error("a change was graded without the colour of the untouched part")
	}
	q.Known = unit.State(before)
	g, err := gradePhoto(q)
	if err != nil {
		t.Fatal(err)
	}
	if truth := rub.Change(before, after); g.Grade < truth.Grade-1 || g.Grade > truth.Grade+1 {
		t.Errorf("graded %s (%.2f), true is %s (%.2f)", g.Grade, g.Rating.Rating, truth.Grade, truth.Rating)
	}
}

// What cannot carry a grade is refused, and the reason says what to do.
func TestPhotographsRefused(t *testing.T) {
	good := usualShots()["ink blue, lamp from the left"]
	good.light = lamps["even"]
	both, stain := []palette.Rect{leftAt, rightAt}, []palette.Rect{stainAt}
	for _, c := range []struct {
		name  string
		shot  func(*shot)
		clean []palette.Rect
		stain []palette.Rect
		says  string
	}{
		{"burnt out", func(s *shot) { s.exposure = 1.3 }, both, stain, "burnt out"},
		{"too dark", func(s *shot) { s.exposure = 0.05 }, both, stain, "too dark"},
		{"rectangles overlap", nil, []palette.Rect{{X: 60, Y: 60, W: 130, H: 130}}, stain, "overlap"},
		{"strong cast", func(s *shot) { s.cast = colour.LinearRGB{R: 1.1, G: 0.75, B: 0.3} }, both, stain, "cast"},
		{"too small", nil, []palette.Rect{{X: 30, Y: 100, W: 20, H: 20}}, stain, "too small"},
		{"exchanged", nil, []palette.Rect{stainAt}, []palette.Rect{leftAt}, "exchanged"},
		{"a shadow over the clean part", func(s *shot) {
			s.dirt = func(x, y int) float64 {
				if x > 60 && x < 80 {
					return 0.35
				}
				return 0
			}
		}, []palette.Rect{leftAt}, stain, "clean part varies"},
		{"outside the picture", nil, []palette.Rect{{X: 350, Y: 100, W: 100, H: 100}}, stain, "outside"},
	} {
		s := good
		if c.shot != nil {
			c.shot(&s)
		}
		g, err := gradePhoto(PhotoGrade{Picture: s.picture(t), Clean: c.clean, Stained: c.stain})
		switch {
		case err == nil:
			t.Errorf("%s: graded %s", c.name, g.Grade)
		case !strings.Contains(err.Error(), c.says):
			t.Errorf("%s: refused with %q, expected a word of %q", c.name, err, c.says)
		case c.name != "outside the picture" && !errors.Is(err, rub.ErrNoGrade):
			t.Errorf("%s: %v does not say that the photograph cannot carry a grade", c.name, err)
		}
	}
}
