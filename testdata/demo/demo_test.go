package demo

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"encoding/csv"
	"fmt"
	"image"
	"image/jpeg"
	"image/png"
	"io"
	"io/fs"
	"math"
	"runtime"
	"strings"
	"testing"

	"undercoat/palette/colour"
	"undercoat/testdata/demo/draw/keeper"
)

// How near a patch's mean must come to its reading, ΔE00: a rounding step or
// two for the clean pictures; R4 is compressed on purpose.
var nearness = [4]float64{0.5, 0.5, 0.5, 1.5}

func TestPatchesAreTheTable(t *testing.T) {
	rects := patchRects(t)
	for i, name := range []string{"R1", "R2", "R3", "R4"} {
		pic := open(t, name)
		if pic.h < 1600 {
			t.Errorf("%s: %d pixels tall, want 1600 or more", name, pic.h)
		}
		for _, r := range key(t).Readings {
			want := [4]string{r.R1, r.R2, r.R3, r.R4}[i]
			rect, seen := rects[name][r.Area]
			if seen != (want != "") {
				t.Errorf("%s %s: in patches.csv %v, in the table %q", name, r.Area, seen, want)
			}
			if !seen || want == "" {
				continue
			}
			got := pic.mean(rect)
			d := colour.Difference(got.Lab(), parsed(t, want).Lab())
			t.Logf("%s %s: %s for %s, ΔE00 %.2f", name, r.Area, got.Hex(), want, d)
			if d > nearness[i] {
				t.Errorf("%s %s: mean %s, want %s: ΔE00 %.2f over %.1f", name, r.Area, got.Hex(), want, d, nearness[i])
			}
		}
	}
}

func TestAnchors(t *testing.T) {
	rects := patchRects(t)
	for _, row := range table(t, "references.csv") {
		name := row["code"]
		switch name {
		case "R1", "R2":
			if got := parseRect(t, row["anchor"]); got != rects[name]["A2"] || row["anchor_colour"] != "#F3F1EC" {
				t.Errorf("%s: anchor %v of %s, want the collar %v of its target", name, got, row["anchor_colour"], rects[name]["A2"])
			}
		case "R3":
			pic := open(t, name)
			got := pic.mean(parseRect(t, row["anchor"]))
			if d := colour.Difference(got.Lab(), parsed(t, row["anchor_colour"]).Lab()); d > 0.3 {
				t.Errorf("R3: paper is %s, stated %s", got.Hex(), row["anchor_colour"])
			}
		case "R4":
			if row["anchor"] != "" || row["anchor_colour"] != "" {
				t.Errorf("R4: anchor %q, want none", row["anchor"])
			}
		}
		if f, err := fs.Stat(Files(), row["picture"]); err != nil {
			t.Errorf("%s: %v", name, err)
		} else if f.Size() > 1_500_000 {
			t.Errorf("%s: %d bytes, want under 1.5 MB", name, f.Size())
		}
	}
}

// TestDrawnAgain draws the pictures and tables again and sees no difference.
// Other processors may fuse multiplications and other releases of Go write
// other JPEGs, so bytes are compared where the files were made.
func TestDrawnAgain(t *testing.T) {
	if testing.Short() {
		t.Skip("draws four pictures, some seconds")
	}
	if runtime.GOARCH != "amd64" || !strings.HasPrefix(runtime.Version(), "go1.26") {
		t.Skipf("the files were drawn on amd64 by go1.26, this is %s by %s", runtime.GOARCH, runtime.Version())
	}
	pictures := keeper.Pictures()
	same := func(name string, want []byte) {
		if got, err := fs.ReadFile(Files(), name); err != nil || !bytes.Equal(got, want) {
			t.Errorf("%s is not what the program draws; run: go run ./testdata/demo/draw (%v)", name, err)
		}
	}
	for _, p := range pictures {
		same(p.File, p.Bytes)
	}
	same("patches.csv", []byte(keeper.PatchTable(pictures)))
	same("references.csv", []byte(keeper.ReferenceTable(pictures)))
}

// picture is a decoded file: upright, in linear sRGB.
type picture struct {
	w, h int
	at   func(x, y int) colour.LinearRGB
}

// open reads a picture by the plainest means, apart from the rooms that read
// pictures for a living: R4 is turned by its tag, R3 by its profile.
func open(t *testing.T, name string) picture {
	t.Helper()
	file := name + ".jpg"
	if name == "R3" {
		file = name + ".png"
	}
	data, err := fs.ReadFile(Files(), file)
	if err != nil {
		t.Fatal(err)
	}
	if name == "R3" {
		return wide(t, data)
	}
	img, err := jpeg.Decode(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	b := img.Bounds()
	if orientation(data) != 6 {
		return picture{b.Dx(), b.Dy(), func(x, y int) colour.LinearRGB { return srgb(img, x, y) }}
	}
	return picture{b.Dy(), b.Dx(), func(x, y int) colour.LinearRGB { return srgb(img, y, b.Dy()-1-x) }}
}

func (p picture) mean(r image.Rectangle) colour.LinearRGB {
	var sum colour.LinearRGB
	for y := r.Min.Y; y < r.Max.Y; y++ {
		for x := r.Min.X; x < r.Max.X; x++ {
			c := p.at(x, y)
			sum.R, sum.G, sum.B = sum.R+c.R, sum.G+c.G, sum.B+c.B
		}
	}
	n := float64(r.Dx() * r.Dy())
	return colour.LinearRGB{R: sum.R / n, G: sum.G / n, B: sum.B / n}
}

func srgb(img image.Image, x, y int) colour.LinearRGB {
	r, g, b, _ := img.At(x, y).RGBA()
	return colour.DecodeSRGB8(uint8(r>>8), uint8(g>>8), uint8(b>>8))
}

// orientation is the Exif tag 0x0112 of a JPEG whose first segment is Exif in
// big-endian order; 1 where there is none.
func orientation(data []byte) uint16 {
	if len(data) < 40 || data[2] != 0xFF || data[3] != 0xE1 || string(data[6:12]) != "Exif\x00\x00" || string(data[12:14]) != "MM" {
		return 1
	}
	ifd := data[12+binary.BigEndian.Uint32(data[16:]):]
	for i := range int(binary.BigEndian.Uint16(ifd)) {
		if e := ifd[2+12*i:]; binary.BigEndian.Uint16(e) == 0x0112 {
			return binary.BigEndian.Uint16(e[8:])
		}
	}
	return 1
}

// wide reads a PNG by its own matrix/curve profile, over the D50 connection
// space to sRGB with the matrix of the sRGB profile's colourants (ICC sRGB
// v4 appearance: IEC 61966-2-1 primaries adapted by Bradford).
func wide(t *testing.T, data []byte) picture {
	t.Helper()
	img, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	icc := profile(t, data)
	var toPCS [3][3]float64
	for j, tag := range []string{"rXYZ", "gXYZ", "bXYZ"} {
		for i := range 3 {
			toPCS[i][j] = fixed(icc[tag][8+4*i:])
		}
	}
	// XYZ D50 to linear sRGB, published inverse of the Bradford-adapted matrix.
	toSRGB := [3][3]float64{{3.1338561, -1.6168667, -0.4906146}, {-0.9787684, 1.9161415, 0.0334540}, {0.0719453, -0.2289914, 1.4052427}}
	curve := icc["rTRC"]
	if kind := string(curve[:4]); kind != "para" || curve[9] != 3 {
		t.Fatalf("R3: curve %q, want a parametric one of type 3", kind)
	}
	g, a, b, c, d := fixed(curve[12:]), fixed(curve[16:]), fixed(curve[20:]), fixed(curve[24:]), fixed(curve[28:])
	linear := func(v uint32) float64 {
		x := float64(v>>8) / 255
		if x >= d {
			return math.Pow(a*x+b, g)
		}
		return c * x
	}
	size := img.Bounds()
	return picture{size.Dx(), size.Dy(), func(x, y int) colour.LinearRGB {
		r, gr, bl, _ := img.At(x, y).RGBA()
		v := apply(toSRGB, apply(toPCS, [3]float64{linear(r), linear(gr), linear(bl)}))
		return colour.LinearRGB{R: v[0], G: v[1], B: v[2]}
	}}
}

func apply(m [3][3]float64, v [3]float64) (out [3]float64) {
	for i := range m {
		out[i] = m[i][0]*v[0] + m[i][1]*v[1] + m[i][2]*v[2]
	}
	return out
}

func fixed(b []byte) float64 { return float64(int32(binary.BigEndian.Uint32(b))) / 65536 }

// profile gives the tags of a PNG's embedded profile.
func profile(t *testing.T, data []byte) map[string][]byte {
	t.Helper()
	for p := data[8:]; len(p) > 12; p = p[12+binary.BigEndian.Uint32(p):] {
		if string(p[4:8]) != "iCCP" {
			continue
		}
		body := p[8 : 8+binary.BigEndian.Uint32(p)]
		name := bytes.IndexByte(body, 0)
		z, err := zlib.NewReader(bytes.NewReader(body[name+2:]))
		if err != nil {
			t.Fatal(err)
		}
		icc, err := io.ReadAll(z)
		if err != nil {
			t.Fatal(err)
		}
		tags := map[string][]byte{}
		for i := range int(binary.BigEndian.Uint32(icc[128:])) {
			e := icc[132+12*i:]
			at, n := binary.BigEndian.Uint32(e[4:]), binary.BigEndian.Uint32(e[8:])
			tags[string(e[:4])] = icc[at : at+n]
		}
		return tags
	}
	t.Fatal("R3: no embedded profile")
	return nil
}

// table reads one of the demo's tables.
func table(t *testing.T, name string) []map[string]string {
	t.Helper()
	f, err := Files().Open(name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	var out []map[string]string
	for _, r := range rows[1:] {
		m := map[string]string{}
		for i, head := range rows[0] {
			m[head] = r[i]
		}
		out = append(out, m)
	}
	return out
}

func patchRects(t *testing.T) map[string]map[string]image.Rectangle {
	t.Helper()
	out := map[string]map[string]image.Rectangle{}
	for _, row := range table(t, "patches.csv") {
		if out[row["reference"]] == nil {
			out[row["reference"]] = map[string]image.Rectangle{}
		}
		out[row["reference"]][row["area"]] = parseRect(t, row["rectangle"])
	}
	return out
}

func parseRect(t *testing.T, s string) image.Rectangle {
	t.Helper()
	var x, y, w, h int
	if _, err := fmt.Sscanf(s, "%d,%d,%d,%d", &x, &y, &w, &h); err != nil {
		t.Fatalf("rectangle %q: %v", s, err)
	}
	return image.Rect(x, y, x+w, y+h)
}

func parsed(t *testing.T, hex string) colour.Colour {
	t.Helper()
	c, err := colour.FromHex(hex)
	if err != nil {
		t.Fatal(err)
	}
	return c
}
