package palette

import (
	"encoding/csv"
	"errors"
	"image"
	"image/color"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"undercoat/palette/colour"
)

// correctionRow is a row of the published example: a patch as captured, as it
// should be, and after each correction.
type correctionRow struct{ seen, wanted, plain, root colour.LinearRGB }

func correctionExample(t *testing.T) []correctionRow {
	f, err := os.Open(referenceFolder(t, "colour_correction_24.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var all []correctionRow
	for _, row := range rows[1:] {
		v := make([]float64, len(row))
		for i := 2; i < len(row); i++ {
			if v[i], err = strconv.ParseFloat(row[i], 64); err != nil {
				t.Fatal(err)
			}
		}
		at := func(i int) colour.LinearRGB { return colour.LinearRGB{R: v[i], G: v[i+1], B: v[i+2]} }
		all = append(all, correctionRow{at(2), at(5), at(8), at(14)})
	}
	return all
}

// Source: ../shared/reference/colour_correction_24.csv (patch data and methods
// as its header says); tolerance 1e-6 as stated there.
func TestFitCorrectionAgainstPublishedExample(t *testing.T) {
	rows := correctionExample(t)
	var seen, wanted []colour.LinearRGB
	for _, r := range rows {
		seen, wanted = append(seen, r.seen), append(wanted, r.wanted)
	}
	for _, e := range []expansion{plainTerms, rootTerms} {
		c, ok := fitCorrection(e, seen, wanted, nil)
		if !ok {
			t.Fatalf("%s: no fit", e)
		}
		for i, r := range rows {
			want := r.plain
			if e == rootTerms {
				want = r.root
			}
			got := c.apply(r.seen)
			if d := max(math.Abs(got.R-want.R), math.Abs(got.G-want.G), math.Abs(got.B-want.B)); d > 1e-6 {
				t.Errorf("%s, patch %d: %v, published %v", e, i+1, got, want)
			}
		}
	}
}

// A root-polynomial correction scales with the light (Finlayson et al. 2015,
// section III): twice the light, twice the colour.
func TestRootPolynomialScalesWithLight(t *testing.T) {
	rows := correctionExample(t)
	var seen, wanted []colour.LinearRGB
	for _, r := range rows {
		seen, wanted = append(seen, r.seen), append(wanted, r.wanted)
	}
	c, _ := fitCorrection(rootTerms, seen, wanted, nil)
	for _, v := range seen {
		a, b := c.apply(v), c.apply(colour.LinearRGB{R: 2 * v.R, G: 2 * v.G, B: 2 * v.B})
		if math.Abs(b.R-2*a.R)+math.Abs(b.G-2*a.G)+math.Abs(b.B-2*a.B) > 1e-12 {
			t.Errorf("%v gives %v, doubled %v", v, a, b)
		}
	}
}

// paintChart draws a picture of 24 patches on a grey frame on a backdrop: turned
// clockwise, then mirrored. The rectangle is that of the frame.
func paintChart(patches [chartPatches]colour.LinearRGB, turned int, mirrored bool, rng *rand.Rand) (Reference, Rect) {
	const pitch, gap, frame = 50, 8, 14
	columns, rows := chartColumns, chartRows
	if turned%180 != 0 {
		columns, rows = rows, columns
	}
	w, h := columns*pitch+2*frame, rows*pitch+2*frame
	at := Rect{70, 40, w, h}
	m := image.NewNRGBA(image.Rect(0, 0, w+150, h+90))
	set := func(x, y int, c colour.LinearRGB) {
		n := 1 + 0.01*rng.NormFloat64()
		r, g, b := colour.EncodeSRGB8(colour.LinearRGB{R: c.R * n, G: c.G * n, B: c.B * n})
		m.SetNRGBA(x, y, color.NRGBA{r, g, b, 255})
	}
	for y := range m.Rect.Dy() {
		for x := range m.Rect.Dx() {
			c := colour.LinearRGB{R: 0.2, G: 0.25, B: 0.15}
			if x >= at.X && y >= at.Y && x < at.X+w && y < at.Y+h {
				c = colour.LinearRGB{R: 0.02, G: 0.02, B: 0.02}
			}
			set(x, y, c)
		}
	}
	g := chartGrid{columns: columns, rows: rows}
	for k, c := range patches {
		p := g.place(k, turned, mirrored)
		x0, y0 := at.X+frame+p%columns*pitch, at.Y+frame+p/columns*pitch
		for y := y0 + gap/2; y < y0+pitch-gap/2; y++ {
			for x := x0 + gap/2; x < x0+pitch-gap/2; x++ {
				set(x, y, c)
			}
		}
	}
	return Reference{src: &source{img: m, lens: sRGBLens(), format: "PNG"}}, at
}

// captured is the published chart through a camera of our own: channels that
// overlap, warm light, under-exposed.
func captured() (p [chartPatches]colour.LinearRGB) {
	for k, c := range chartEditions()[0].rgb {
		r, g, b := max(c.R, 0), max(c.G, 0), max(c.B, 0)
		p[k] = colour.LinearRGB{R: 0.75 * (0.80*r + 0.15*g + 0.05*b), G: 0.6 * (0.1*r + 0.8*g + 0.1*b), B: 0.4 * (0.02*r + 0.18*g + 0.8*b)}
	}
	return p
}

func TestChartIsFoundHoweverItLies(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	for _, turned := range []int{0, 90, 180, 270} {
		for _, mirrored := range []bool{false, true} {
			r, at := paintChart(captured(), turned, mirrored, rng)
			got, err := r.Chart(at)
			if err != nil {
				t.Fatalf("turned %d, mirrored %v: %v", turned, mirrored, err)
			}
			if got.Turned != turned || got.Mirrored != mirrored {
				t.Errorf("turned %d, mirrored %v read as %d, %v", turned, mirrored, got.Turned, got.Mirrored)
			}
			// The camera is linear, so a 3 × 3 matrix undoes it up to noise and 8 bits.
			if got.Mean > 1 {
				t.Errorf("turned %d, mirrored %v: mean ΔE00 %.2f after the fit", turned, mirrored, got.Mean)
			}
			if mirrored != slices.ContainsFunc(got.Warnings, func(s string) bool { return strings.Contains(s, "mirror") }) {
				t.Errorf("turned %d, mirrored %v: warnings %q", turned, mirrored, got.Warnings)
			}
		}
	}
}

// The example's captured values are a real camera's, so this is how the whole
// reading does on one: the published fit to the example's own reference leaves
// 2.17 (root-polynomial) and 3.70 (3 × 3); ours is fitted to the printed values.
func TestChartOfARealCamera(t *testing.T) {
	var p [chartPatches]colour.LinearRGB
	for k, r := range correctionExample(t) {
		p[k] = r.seen
	}
	r, at := paintChart(p, 0, false, rand.New(rand.NewPCG(5, 6)))
	got, err := r.Chart(at)
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("%s, %s: ΔE00 %.2f before, %.2f after, worst %.2f", got.Method, got.Edition, got.Before, got.Mean, got.Worst)
	if got.Mean > 2.17 || got.Mean > got.Before {
		t.Errorf("mean ΔE00 %.2f after, %.2f before", got.Mean, got.Before)
	}
	fixed, _, err := r.ByChart(at)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range got.Patches {
		p, err := fixed.Patch(c.At)
		if err != nil {
			t.Fatal(err)
		}
		if d := colour.Difference(p.Lab, c.Corrected); d > 1.5 {
			t.Errorf("%s: the corrected picture reads %.1f, the report says %.1f (ΔE00 %.1f)", c.Name, p.Lab, c.Corrected, d)
		}
	}
	if !fixed.Anchored() {
		t.Error("the picture corrected by a chart does not count as anchored")
	}
}

func TestChartWithBurntPatchesWarns(t *testing.T) {
	p := captured()
	for k := range p {
		p[k] = colour.LinearRGB{R: 2.2 * p[k].R, G: 2.2 * p[k].G, B: 2.2 * p[k].B}
	}
	r, at := paintChart(p, 0, false, rand.New(rand.NewPCG(7, 8)))
	got, err := r.Chart(at)
	if err != nil {
		t.Fatal(err)
	}
	if !got.Patches[18].Clipped || !slices.ContainsFunc(got.Warnings, func(s string) bool { return strings.Contains(s, "burnt out") && strings.Contains(s, "white") }) {
		t.Errorf("white clips but the warnings are %q", got.Warnings)
	}
	if got.Mean > 1 {
		t.Errorf("mean ΔE00 %.2f of the patches that do not clip", got.Mean)
	}
}

func TestNoChart(t *testing.T) {
	r, at := paintChart(captured(), 0, false, rand.New(rand.NewPCG(9, 9)))
	for name, rect := range map[string]Rect{
		"backdrop":      {0, 0, 60, 60},
		"half a chart":  {at.X, at.Y, at.W / 2, at.H / 2},
		"too small":     {at.X, at.Y, 30, 20},
		"outside":       {at.X, at.Y, 5000, 20},
		"empty":         {},
		"chart, shaken": {at.X + at.W/3, at.Y + at.H/3, at.W * 2 / 3, at.H * 2 / 3},
	} {
		if _, _, err := r.ByChart(rect); !errors.Is(err, ErrChart) {
			t.Errorf("%s: error %v", name, err)
		}
	}
	if _, _, err := (Reference{}).ByChart(Rect{0, 0, 100, 100}); !errors.Is(err, ErrChart) {
		t.Errorf("empty picture: %v", err)
	}
}
