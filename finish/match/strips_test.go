package match

import (
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"os"
	"path/filepath"
	"testing"

	"undercoat/palette/colour"
)

// stripsFolder is the environment variable naming the folder the pictures of
// [TestCoatStrips] are written to; without it nothing is drawn.
const stripsFolder = "UNDERCOAT_STRIPS"

// Pictures to look at: the demo's stacks coat by coat, one column a coat. The
// top half of a column is the predicted colour, the bottom its range: dark to
// light ends of the 10th to 90th percentile. A mark in the corner says that a
// screen cannot show the colour.
func TestCoatStrips(t *testing.T) {
	folder := os.Getenv(stripsFolder)
	if folder == "" {
		t.Skipf("%s names no folder", stripsFolder)
	}
	for _, s := range []struct {
		name, ground string
		layers       []Layer
	}{
		{"A4-teal-on-cream", "C6", []Layer{{"T3", 4}}},
		{"A5-coral-over-block-and-white", "C7", []Layer{{"W3", 1}, {"W1", 4}, {"F1", 4}}},
		{"A5-coral-straight-on-navy", "C7", []Layer{{"F1", 5}}},
		{"A6-stone-on-black", "C8", []Layer{{"G2", 5}}},
		{"A7-bronze-and-verdigris", "C9", []Layer{{"S1", 3}, {"B1", 2}, {"V1", 2}, {"S2", 1}}},
		{"A8-oxblood-on-brown", "C10", []Layer{{"O1", 3}}},
	} {
		steps, err := Build(Ground{Code: s.ground}, s.layers, Light{}, demoStock(t))
		if err != nil {
			t.Fatal(err)
		}
		writeStrip(t, filepath.Join(folder, s.name+".png"), steps)
	}
}

func writeStrip(t *testing.T, path string, steps []Step) {
	t.Helper()
	const w, h = 90, 160
	img := image.NewRGBA(image.Rect(0, 0, w*len(steps), h))
	fill := func(r image.Rectangle, lab colour.Lab) {
		shown, err := colour.FromHex(ScreenHex(lab))
		if err != nil {
			t.Fatal(err)
		}
		red, green, blue := colour.EncodeSRGB8(shown.Lab().LinearRGB())
		draw.Draw(img, r, image.NewUniform(color.RGBA{red, green, blue, 255}), image.Point{}, draw.Src)
	}
	for i, s := range steps {
		x := i * w
		fill(image.Rect(x, 0, x+w-4, h-50), s.Predicted.Lab)
		fill(image.Rect(x, h-46, x+(w-4)/2, h), s.Predicted.Low)
		fill(image.Rect(x+(w-4)/2, h-46, x+w-4, h), s.Predicted.High)
		if s.Predicted.OutOfScreen {
			fill(image.Rect(x+6, 6, x+14, 14), colour.Lab{L: 100})
		}
	}
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if err := png.Encode(f, img); err != nil {
		t.Fatal(err)
	}
}
