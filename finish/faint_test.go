package finish

import (
	"math"
	"strings"
	"testing"

	"undercoat/finish/rub"
	"undercoat/palette"
	"undercoat/palette/colour"
)

// Clean rectangles that hold faint stain read the stain too light: where one lamp
// does not explain them the range reaches down to the truth, and it is said; clean
// cloth under the same lamps is not suspected. Known stain, made pictures.
func TestFaintStainOnTheCleanPart(t *testing.T) {
	halo := func(x, y int) float64 {
		d := math.Hypot(float64(x-200), float64(y-132)) - 64
		if d < 0 {
			return 0 // the stain itself is as it is known
		}
		return 0.12 * math.Exp(-d/60)
	}
	left := func(x, _ int) float64 {
		if x < 130 {
			return 0.08
		}
		return 0
	}
	s := shot{clean: colour.Lab{L: 95, A: 0, B: 2}, stain: colour.Lab{L: 84, A: 2, B: -6}, thread: 7, relief: 0.15, noise: 3, quality: 88, seed: 11}
	truth := rub.Staining(s.clean, s.stain).Rating
	for _, c := range []struct {
		name, lamp string
		dirt       func(x, y int) float64
		says       string
	}{
		{"clean", "even", nil, ""}, {"clean", "from left", nil, ""}, {"clean", "lamp above", nil, ""},
		{"a halo", "even", halo, "darken towards the stain"}, {"one side", "even", left, "two clean sides differ"}, {"one side", "from left", left, "two clean sides differ"},
	} {
		s.light, s.dirt = lamps[c.lamp], c.dirt
		g, err := gradePhoto(PhotoGrade{Picture: s.picture(t), Clean: []palette.Rect{leftAt, rightAt}, Stained: []palette.Rect{stainAt}})
		if err != nil {
			t.Errorf("%s, %s: %v", c.name, c.lamp, err)
			continue
		}
		said := strings.Join(g.Doubts, "; ")
		if suspected := strings.Contains(said, "faint stain"); suspected != (c.says != "") || !strings.Contains(said, c.says) {
			t.Errorf("%s, %s: %s", c.name, c.lamp, said)
		}
		if g.RatingLow > truth+0.02 {
			t.Errorf("%s, %s: %.2f to %.2f leaves %.2f out", c.name, c.lamp, g.RatingLow, g.RatingHigh, truth)
		}
	}
}
