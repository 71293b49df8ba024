package palette

import (
	"encoding/json"
	"image"
	"image/png"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"sync"
	"testing"

	"undercoat/palette/colour"
)

// referenceFolder finds ../shared/reference beside the repository by walking up
// from the test's folder; the test is skipped where it is absent.
func referenceFolder(t testing.TB, parts ...string) string {
	t.Helper()
	dir, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	for {
		try := filepath.Join(append([]string{filepath.Dir(dir), "shared", "reference"}, parts...)...)
		if _, err := os.Stat(try); err == nil {
			return try
		}
		if filepath.Dir(dir) == dir {
			t.Skip("the reference data is not beside the repository")
		}
		dir = filepath.Dir(dir)
	}
}

// truthMaterial is one material of a reference picture: its own colour, fully
// lit in neutral light, and the median of its pixels in the file.
type truthMaterial struct {
	Label    int        `json:"label"`
	Base     [3]float64 `json:"base_lab_d65"`
	Observed [3]float64 `json:"observed_median_lab_d65"`
}

func (m truthMaterial) base() colour.Lab { return colour.Lab{L: m.Base[0], A: m.Base[1], B: m.Base[2]} }

// truthCase is one reference picture.
type truthCase struct {
	File      string                   `json:"file"`
	Mask      string                   `json:"mask"`
	Materials map[string]truthMaterial `json:"materials"`
	Card      []int                    `json:"card_rect_xywh"`
	Gains     []float64                `json:"linear_gains"`

	ref  Reference
	mask [][]uint8
}

// names returns the materials in alphabetical order.
func (c *truthCase) names() []string {
	var all []string
	for n := range c.Materials {
		all = append(all, n)
	}
	slices.Sort(all)
	return all
}

var truthOnce sync.Once
var truthAll map[string]*truthCase

// truth loads the reference pictures once.
func truth(t testing.TB) map[string]*truthCase {
	folder := referenceFolder(t, "images")
	truthOnce.Do(func() { truthAll = truthIn(t, folder) })
	if truthAll == nil {
		t.Fatal("the reference pictures could not be read")
	}
	return truthAll
}

// truthIn loads the pictures of a folder in the form of the reference pictures.
func truthIn(t testing.TB, folder string) map[string]*truthCase {
	t.Helper()
	var doc struct {
		Cases map[string]*truthCase `json:"cases"`
	}
	b, err := os.ReadFile(filepath.Join(folder, "truth.json"))
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(b, &doc); err != nil {
		t.Fatal(err)
	}
	for _, c := range doc.Cases {
		c.ref = mustOpen(t, filepath.Join(folder, c.File))
		c.mask = readMask(t, filepath.Join(folder, c.Mask))
	}
	return doc.Cases
}

// mustOpen decodes a file or fails the test.
func mustOpen(t testing.TB, path string) Reference {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r, err := Decode(f, Options{})
	if err != nil {
		t.Fatalf("%s: %v", filepath.Base(path), err)
	}
	return r
}

// readMask reads the label of every pixel.
func readMask(t testing.TB, path string) [][]uint8 {
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	m, err := png.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	rows := make([][]uint8, m.Bounds().Dy())
	for y := range rows {
		rows[y] = make([]uint8, m.Bounds().Dx())
		for x := range rows[y] {
			switch m := m.(type) {
			case *image.Gray:
				rows[y][x] = m.GrayAt(x, y).Y
			case *image.Paletted:
				rows[y][x] = m.ColorIndexAt(x, y)
			default:
				t.Fatalf("mask of type %T", m)
			}
		}
	}
	return rows
}

// rects draws up to n rectangles of 6 to 29 pixels a side that lie wholly inside
// a material.
func (c *truthCase) rects(material string, n int, rng *rand.Rand) []Rect {
	label := uint8(c.Materials[material].Label)
	w, h := c.ref.Size()
	var found []Rect
	for range 20_000 {
		if len(found) == n {
			break
		}
		r := Rect{W: 6 + rng.IntN(24), H: 6 + rng.IntN(24)}
		r.X, r.Y = rng.IntN(w-r.W), rng.IntN(h-r.H)
		if c.within(r, label) {
			found = append(found, r)
		}
	}
	return found
}

// within says whether all pixels of a rectangle carry the label.
func (c *truthCase) within(r Rect, label uint8) bool {
	for y := r.Y; y < r.Y+r.H; y++ {
		for x := r.X; x < r.X+r.W; x++ {
			if c.mask[y][x] != label {
				return false
			}
		}
	}
	return true
}

// lit says whether a spot is at least as light as the middle of its material, as
// one a maker would mark.
func (c *truthCase) lit(material string, r Rect) bool {
	p, err := c.ref.Patch(r)
	return err == nil && p.Lab.L >= c.Materials[material].Observed[0]
}

// newRand gives the same numbers every time.
func newRand() *rand.Rand { return rand.New(rand.NewPCG(1, 2)) }

// litAnchor is a spot of a material that is lit, as an anchor; zero for none.
func (c *truthCase) litAnchor(material string, rng *rand.Rand) Anchor {
	for _, tries := range []int{20, 400} {
		for _, r := range c.rects(material, tries, rng) {
			if c.lit(material, r) {
				return Anchor{r, c.Materials[material].base()}
			}
		}
	}
	return Anchor{}
}

// litRect finds a spot of a material that is lit.
func (c *truthCase) litRect(t testing.TB, material string, rng *rand.Rand) Rect {
	t.Helper()
	a := c.litAnchor(material, rng)
	if a == (Anchor{}) {
		t.Fatalf("no lit spot of %s", material)
	}
	return a.Rect
}
