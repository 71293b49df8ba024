package palette

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"hash/crc32"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"testing"

	"undercoat/palette/colour"
)

// The four quadrants of the pictures in testdata/picture, as their make.sh
// states them: left top, right top, left bottom, right bottom.
var quad = [4][3]uint8{{200, 60, 40}, {40, 140, 70}, {30, 60, 160}, {230, 220, 200}}

func picture(name string) string { return filepath.Join("..", "testdata", "picture", name) }

// has says whether this build holds the decoder a file needs.
func has(name string) bool {
	switch filepath.Ext(name) {
	case ".avif":
		return decodeAVIF != nil
	case ".heic":
		return decodeHEIC != nil
	}
	return true
}

// corners reads the middle of each quadrant as 8-bit sRGB; ok is false where it
// is transparent.
func corners(r Reference) (c [4][3]uint8, ok [4]bool) {
	w, h := r.Size()
	for i := range c {
		v, opaque := r.At(w/4+i%2*w/2, h/4+i/2*h/2)
		ok[i] = opaque
		c[i][0], c[i][1], c[i][2] = colour.EncodeSRGB8(v)
	}
	return c, ok
}

// near says whether every channel of two colours agrees within a tolerance.
func near(a, b [3]uint8, tolerance int) bool {
	for i := range a {
		if d := int(a[i]) - int(b[i]); d > tolerance || -d > tolerance {
			return false
		}
	}
	return true
}

// Truth: the colours that make.sh drew. Tolerance 0 for exact formats, 1 of 255
// for JPEG, HEIC at quality 95, and 2 for lossy WebP.
func TestOpenEveryFormat(t *testing.T) {
	upright := [4]int{0, 1, 2, 3}
	for _, row := range []struct {
		file, format string
		tolerance    int
		order        [4]int // which quadrant stands where
		half         bool   // the right half is transparent
		warning      string
	}{
		{"quad.png", "PNG", 0, upright, false, ""},
		{"quad_16.png", "PNG", 0, upright, false, ""},
		{"quad_palette.png", "PNG", 0, upright, false, ""},
		{"quad_interlaced.png", "PNG", 0, upright, false, ""},
		{"quad_alpha.png", "PNG", 0, upright, true, ""},
		{"quad.jpg", "JPEG", 1, upright, false, ""},
		{"quad_420.jpg", "JPEG", 1, upright, false, ""},
		{"quad_progressive.jpg", "JPEG", 1, upright, false, ""},
		{"quad_cmyk.jpg", "JPEG", 1, upright, false, "printing inks"},
		{"quad_lossless.webp", "WebP", 0, upright, false, ""},
		{"quad_lossy.webp", "WebP", 2, upright, false, ""},
		{"quad_lossy_alpha.webp", "WebP", 2, upright, true, ""},
		{"quad_animated.webp", "WebP", 2, upright, false, "holds 2 pictures"},
		{"quad_animated_lossless.webp", "WebP", 0, upright, false, "holds 2 pictures"},
		{"quad.avif", "AVIF", 0, upright, false, ""},
		{"quad_10.avif", "AVIF", 1, upright, false, ""},
		{"quad_alpha.avif", "AVIF", 0, upright, true, ""},
		{"quad.heic", "HEIC", 1, upright, false, ""},
		{"quad_10.heic", "HEIC", 2, upright, false, ""}, // the decoder cuts 10 bits to 8 without rounding
		{"quad_420.heic", "HEIC", 1, upright, false, ""},
		{"quad.gif", "GIF", 0, upright, false, ""},
		{"quad_animated.gif", "GIF", 0, upright, false, "holds 2 pictures"},
		{"quad.tif", "TIFF", 0, upright, false, ""},
		{"quad_lzw.tif", "TIFF", 0, upright, false, ""},
		{"quad_16.tif", "TIFF", 0, upright, false, ""},
		{"quad_msb.tif", "TIFF", 0, upright, false, ""},
		{"quad_tiled.tif", "TIFF", 0, upright, false, ""},
		{"quad_alpha.tif", "TIFF", 0, upright, true, ""},
		{"quad_pages.tif", "TIFF", 0, upright, false, "holds 2 pictures"},
		{"quad.bmp", "BMP", 0, upright, false, ""},
		{"quad_8.bmp", "BMP", 0, upright, false, ""},
		{"quad_32.bmp", "BMP", 0, upright, true, ""},
		// Orientation, by the meaning of Exif tag 0112 and of irot and imir;
		// libheif's heif-convert shows the AVIF files the same way round.
		{"quad_exif3.png", "PNG", 0, [4]int{3, 2, 1, 0}, false, ""},
		{"quad_exif5.webp", "WebP", 0, [4]int{0, 2, 1, 3}, false, ""},
		{"quad_exif6.jpg", "JPEG", 1, [4]int{2, 0, 3, 1}, false, ""},
		{"quad_exif8.jpg", "JPEG", 1, [4]int{1, 3, 0, 2}, false, ""},
		{"quad_orient6.tif", "TIFF", 0, [4]int{2, 0, 3, 1}, false, ""},
		{"quad_irot.avif", "AVIF", 0, [4]int{1, 3, 0, 2}, false, ""},
		{"quad_imir0.avif", "AVIF", 0, [4]int{2, 3, 0, 1}, false, ""},
		{"quad_imir1.avif", "AVIF", 0, [4]int{1, 0, 3, 2}, false, ""},
		{"quad_irot_imir.avif", "AVIF", 0, [4]int{0, 2, 1, 3}, false, ""},
		{"quad_exif6.heic", "HEIC", 1, upright, false, ""}, // EXIF has no say beside the container
	} {
		if !has(row.file) {
			continue
		}
		r := mustOpen(t, picture(row.file))
		if r.Format() != row.format {
			t.Errorf("%s: format %s", row.file, r.Format())
		}
		got, opaque := corners(r)
		for i := range got {
			if want := !(row.half && i%2 == 1); opaque[i] != want {
				t.Errorf("%s: quadrant %d opaque: %v", row.file, i, opaque[i])
			} else if want && !near(got[i], quad[row.order[i]], row.tolerance) {
				t.Errorf("%s: quadrant %d reads %v, want %v", row.file, i, got[i], quad[row.order[i]])
			}
		}
		if w := strings.Join(r.Warnings(), "; "); row.warning == "" && w != "" || !strings.Contains(w, row.warning) {
			t.Errorf("%s: warnings %q, want %q", row.file, w, row.warning)
		}
		if turned := row.order != upright; r.Upright() != turned {
			t.Errorf("%s: said to be turned: %v", row.file, r.Upright())
		}
	}
}

// Grey formats: luma of the quadrants by ImageMagick, which wrote the files.
func TestOpenGrey(t *testing.T) {
	for name, tolerance := range map[string]int{"quad_grey.png": 0, "quad_grey.jpg": 1} {
		m, err := png.Decode(bytes.NewReader(mustRead(t, picture("quad_grey.png"))))
		if err != nil {
			t.Fatal(err)
		}
		got, _ := corners(mustOpen(t, picture(name)))
		for i, c := range got {
			want := color.GrayModel.Convert(m.At(16+i%2*32, 12+i/2*24)).(color.Gray).Y
			if !near(c, [3]uint8{want, want, want}, tolerance) {
				t.Errorf("%s: quadrant %d reads %v, want %d", name, i, c, want)
			}
		}
	}
}

// Outside: dwebp of libwebp, which knows that VP8 is coded in limited range; the
// decoder alone is off by up to 10 of 255 here (golang/go issue 40173).
func TestLossyWebPAgreesWithLibwebp(t *testing.T) {
	ours, theirs := mustOpen(t, picture("quad_lossy.webp")), mustOpen(t, picture("quad_lossy.webp.png"))
	a, _ := corners(ours)
	b, _ := corners(theirs)
	for i := range a {
		if !near(a[i], b[i], 1) {
			t.Errorf("quadrant %d: %v, libwebp %v", i, a[i], b[i])
		}
	}
}

func mustRead(t testing.TB, path string) []byte {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// A file is told by what it holds, whatever it is called.
func TestFormatByContent(t *testing.T) {
	for name, row := range map[string]struct {
		data []byte
		want string
	}{
		"text":        {[]byte("A list of paints\nand prices"), "it looks like text"},
		"drawing":     {[]byte("<?xml version='1.0'?>\n<svg xmlns='http://www.w3.org/2000/svg'/>"), "an SVG drawing"},
		"web page":    {[]byte("<!DOCTYPE html><title>x</title>"), "a web page"},
		"PDF":         {[]byte("%PDF-1.7\n%\xe2\xe3"), "a PDF"},
		"archive":     {[]byte("PK\x03\x04\x14\x00"), "an archive or office document"},
		"film":        {[]byte("\x00\x00\x00\x18ftypmp42\x00\x00\x00\x00mp42isom"), "a film"},
		"raw":         {[]byte("IIU\x00\x08\x00\x00\x00"), "a camera raw file"},
		"layers":      {[]byte("8BPS\x00\x01"), "a layered painting file"},
		"BM as text":  {[]byte("BM is how many a list begins, but not a picture"), "text"},
		"random":      {[]byte{0x81, 0x02, 0xfe, 0x99, 0x00, 0x31}, "wanted JPEG, PNG"},
		"one byte":    {[]byte{0xff}, "wanted JPEG, PNG"},
		"RIFF, sound": {[]byte("RIFF\x24\x00\x00\x00WAVEfmt "), "a sound file"},
	} {
		_, err := Decode(bytes.NewReader(row.data), Options{})
		if !errors.Is(err, ErrNotPicture) || !strings.Contains(err.Error(), row.want) {
			t.Errorf("%s: %v, want %q", name, err, row.want)
		}
	}
}

func TestEmptyAndUnreadable(t *testing.T) {
	if _, err := Decode(strings.NewReader(""), Options{}); !errors.Is(err, ErrEmpty) {
		t.Errorf("empty: %v", err)
	}
	broken := errors.New("the stick was pulled out")
	if _, err := Decode(io.MultiReader(bytes.NewReader([]byte("\x89PNG")), badReader{broken}), Options{}); !errors.Is(err, broken) {
		t.Errorf("a reader's own error is lost: %v", err)
	}
	if _, err := Decode(bytes.NewReader(make([]byte, 2000)), Options{MaxBytes: 1000}); !errors.Is(err, ErrTooLarge) {
		t.Errorf("too many bytes: %v", err)
	}
}

type badReader struct{ err error }

func (b badReader) Read([]byte) (int, error) { return 0, b.err }

// chunk writes a PNG chunk.
func chunk(kind string, body []byte) []byte {
	b := binary.BigEndian.AppendUint32(nil, uint32(len(body)))
	b = append(append(b, kind...), body...)
	return binary.BigEndian.AppendUint32(b, crc32.ChecksumIEEE(b[4:]))
}

// pngClaiming is a PNG header that claims a size, with hardly any data.
func pngClaiming(w, h uint32) []byte {
	ihdr := binary.BigEndian.AppendUint32(binary.BigEndian.AppendUint32(nil, w), h)
	return append([]byte(pngMagic), chunk("IHDR", append(ihdr, 8, 6, 0, 0, 0))...)
}

// Files that claim an enormous size are refused before any pixel is decoded:
// the 59-byte PNG below took 14.6 GB in a decoder without a guard.
func TestEnormousIsRefusedAtOnce(t *testing.T) {
	var gifHead, tiff, bmp, webp bytes.Buffer
	gifHead.WriteString("GIF89a\xff\xff\xff\xff\x00\x00\x00")
	tiff.WriteString("II*\x00\x08\x00\x00\x00\x02\x00")
	for _, e := range [][2]uint32{{tagWidth, 1 << 20}, {tagHeight, 1 << 20}} {
		_ = binary.Write(&tiff, binary.LittleEndian, []uint16{uint16(e[0]), 4})
		_ = binary.Write(&tiff, binary.LittleEndian, []uint32{1, e[1]})
	}
	tiff.Write(make([]byte, 4))
	bmp.WriteString("BM\x00\x00\x00\x00\x00\x00\x00\x00\x36\x00\x00\x00\x28\x00\x00\x00\x60\xea\x00\x00\x60\xea\x00\x00\x01\x00\x18\x00")
	bmp.Write(make([]byte, 24))
	webp.WriteString("RIFF\xff\xff\x00\x00WEBPVP8X\x0a\x00\x00\x00\x00\x00\x00\x00\xff\xff\xff\xff\xff\xff")
	jpg := []byte("\xff\xd8\xff\xc0\x00\x11\x08\xff\xff\xff\xff\x03\x01\x11\x00\x02\x11\x01\x03\x11\x01\xff\xd9")
	for name, data := range map[string][]byte{
		"PNG": pngClaiming(60000, 60000), "PNG line": pngClaiming(1<<30, 1), "GIF": gifHead.Bytes(),
		"TIFF": tiff.Bytes(), "BMP": bmp.Bytes(), "WebP": webp.Bytes(), "JPEG": jpg,
		"HEIF": withBoxSize(t, "quad.avif", 40000, 40000),
		"HEIC": withBoxSize(t, "quad.heic", 40000, 40000),
	} {
		_, err := Decode(bytes.NewReader(data), Options{})
		if !errors.Is(err, ErrTooLarge) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := Decode(bytes.NewReader(mustRead(t, picture("quad.png"))), Options{MaxPixels: 1000}); !errors.Is(err, ErrTooLarge) {
		t.Errorf("own limit: %v", err)
	}
}

// A few bytes that claim a picture within the limits are refused before the
// decoder makes room for 400 MB.
func TestTooFewBytesForThePixels(t *testing.T) {
	bmp := append([]byte("BM\x00\x00\x00\x00\x00\x00\x00\x00\x36\x00\x00\x00\x28\x00\x00\x00\x10\x27\x00\x00\x10\x27\x00\x00\x01\x00\x18\x00"), make([]byte, 24)...)
	for name, data := range map[string][]byte{"PNG": pngClaiming(10000, 10000), "BMP": bmp} {
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		_, err := Decode(bytes.NewReader(data), Options{})
		runtime.ReadMemStats(&after)
		if !errors.Is(err, ErrDamaged) {
			t.Errorf("%s: %v", name, err)
		}
		if grown := after.TotalAlloc - before.TotalAlloc; grown > 50<<20 {
			t.Errorf("%s: took %d MB", name, grown>>20)
		}
	}
}

// withBoxSize changes the size that an HEIF file states.
func withBoxSize(t *testing.T, name string, w, h uint32) []byte {
	b := mustRead(t, picture(name))
	i := bytes.Index(b, []byte("ispe"))
	binary.BigEndian.PutUint32(b[i+8:], w)
	binary.BigEndian.PutUint32(b[i+12:], h)
	return b
}

// Every file of the folder, cut short anywhere and with any byte changed, gives
// a picture or one line of error, never a panic.
func TestDamagedFiles(t *testing.T) {
	files, err := filepath.Glob(picture("quad*"))
	if err != nil || len(files) < 30 {
		t.Fatalf("%d files, %v", len(files), err)
	}
	for _, path := range files {
		whole := mustRead(t, path)
		// The virtual machines of AVIF and HEIC start slowly: fewer cases.
		cases := 60
		if ext := filepath.Ext(path); ext == ".avif" || ext == ".heic" {
			cases = 4
		}
		for i := range cases {
			cut := whole[:len(whole)*i/cases]
			tryDecode(t, path, cut)
			bent := bytes.Clone(whole)
			at := (i*7919 + 13) % len(bent)
			bent[at] ^= byte(1 + i*37)
			tryDecode(t, path, bent)
		}
	}
}

// tryDecode decodes and checks the form of the answer.
func tryDecode(t *testing.T, name string, data []byte) {
	t.Helper()
	r, err := Decode(bytes.NewReader(data), Options{MaxPixels: 1 << 20})
	if err == nil {
		w, h := r.Size()
		r.At(w-1, h-1)
		return
	}
	if strings.ContainsAny(err.Error(), "\n\r\x00") || len(err.Error()) > 400 {
		t.Errorf("%s: error is not one line: %q", name, err)
	}
	for _, known := range []error{ErrEmpty, ErrNotPicture, ErrTooLarge, ErrDamaged, ErrUnsupported, ErrLeftOut} {
		if errors.Is(err, known) {
			return
		}
	}
	t.Errorf("%s: error without a reason: %v", name, err)
}

// A file that is cut short is damage, not a smaller picture.
func TestCutShortSaysSo(t *testing.T) {
	for _, name := range []string{"quad.png", "quad.jpg", "quad_lossless.webp", "quad.gif", "quad_lzw.tif", "quad.bmp", "quad.avif", "quad.heic"} {
		if !has(name) {
			continue
		}
		whole := mustRead(t, picture(name))
		_, err := Decode(bytes.NewReader(whole[:len(whole)*3/4]), Options{})
		if !errors.Is(err, ErrDamaged) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// One panic in a decoder is an error, and the program goes on.
func TestPanicBecomesError(t *testing.T) {
	f := format{
		name:   "test",
		header: func([]byte) (header, error) { return header{width: 1, height: 1}, nil },
		pixels: func([]byte, header) (image.Image, error) { panic("index out of range") },
	}
	if _, err := f.open(nil, Options{}.withDefaults()); !errors.Is(err, ErrDamaged) {
		t.Errorf("panic gave %v", err)
	}
	// CVE-2023-36308: a palette index past the palette.
	m := image.NewPaletted(image.Rect(0, 0, 8, 8), color.Palette{color.White})
	m.Pix[5] = 9
	if _, _, err := concrete(m); !errors.Is(err, ErrDamaged) {
		t.Errorf("index past the palette gave %v", err)
	}
}

func TestUnsupportedKinds(t *testing.T) {
	for name, want := range map[string]string{
		"quad_cmyk.tif": "printing inks (CMYK); save it as PNG",
		"quad_jpeg.tif": "save it as PNG",
	} {
		_, err := Decode(bytes.NewReader(mustRead(t, picture(name))), Options{})
		if !errors.Is(err, ErrUnsupported) || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v", name, err)
		}
	}
	// A JPEG with more scans than any encoder writes would not end.
	many := mustRead(t, picture("quad_progressive.jpg"))
	many = append(many[:len(many)-2], bytes.Repeat([]byte{0xff, 0xda, 0, 8, 1, 1, 0, 0, 0x3f, 0}, 500)...)
	if _, err := Decode(bytes.NewReader(many), Options{}); !errors.Is(err, ErrUnsupported) {
		t.Errorf("500 scans: %v", err)
	}
}

// A build without a codec says what it leaves out and how to get it.
func TestLeftOutFormatsSaySo(t *testing.T) {
	avif, heic := decodeAVIF, decodeHEIC
	decodeAVIF, decodeHEIC = nil, nil
	defer func() { decodeAVIF, decodeHEIC = avif, heic }()
	for _, name := range []string{"quad.avif", "quad.heic"} {
		_, err := Decode(bytes.NewReader(mustRead(t, picture(name))), Options{})
		if !errors.Is(err, ErrLeftOut) || !strings.Contains(err.Error(), "make build") {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// A picture of one pixel opens; it is only too small for a patch.
func TestOnePixel(t *testing.T) {
	m := image.NewNRGBA(image.Rect(0, 0, 1, 1))
	m.SetNRGBA(0, 0, color.NRGBA{10, 20, 30, 255})
	r := encodePNG(t, m)
	if w, h := r.Size(); w != 1 || h != 1 {
		t.Fatalf("size %d × %d", w, h)
	}
	if c, ok := r.At(0, 0); !ok || c.Hex() != "#0a141e" {
		t.Errorf("reads %v, %v", c.Hex(), ok)
	}
	if _, err := r.Patch(Rect{0, 0, 1, 1}); !errors.Is(err, ErrPatch) || !strings.Contains(err.Error(), "at least 4 × 4") {
		t.Errorf("patch of one pixel: %v", err)
	}
	if c := r.GuessCast(); c.Words != "" {
		t.Errorf("a cast was guessed from one pixel: %+v", c)
	}
}

// encodePNG takes a picture through a PNG file.
func encodePNG(t testing.TB, m image.Image) Reference {
	t.Helper()
	var b bytes.Buffer
	if err := png.Encode(&b, m); err != nil {
		t.Fatal(err)
	}
	r, err := Decode(&b, Options{})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// The same file gives the same picture from several goroutines at once.
func TestDecodeAtOnce(t *testing.T) {
	var group sync.WaitGroup
	for _, name := range []string{"quad.png", "quad.jpg", "quad.avif", "quad.heic"} {
		if !has(name) {
			continue
		}
		data := mustRead(t, picture(name))
		for range 3 {
			group.Add(1)
			go func() {
				defer group.Done()
				r, err := Decode(bytes.NewReader(data), Options{})
				if err != nil {
					t.Errorf("%s: %v", name, err)
					return
				}
				if c, _ := corners(r); !near(c[0], quad[0], 1) {
					t.Errorf("%s: reads %v", name, c[0])
				}
			}()
		}
	}
	group.Wait()
}

// Colour spaces that are named without a profile. Outside: for Display P3 the
// sRGB 217.5, 41.6, 22.7 that LittleCMS gives for 200, 60, 40 (through Display
// P3 to sRGB, relative colorimetric); for opRGB the Lab of testdata/oracle.
func TestNamedSpaces(t *testing.T) {
	if has("quad_p3.avif") {
		r := mustOpen(t, picture("quad_p3.avif"))
		if c, _ := corners(r); r.Profile() != "Display P3" || !near(c[0], [3]uint8{217, 42, 23}, 1) {
			t.Errorf("P3 by code points: %s, %v", r.Profile(), c[0])
		}
	}
	r := mustOpen(t, picture("quad_r03.jpg"))
	c, _ := r.At(10, 10)
	if d := colour.Difference(labD50(c), colour.Lab{L: 52.88, A: 65.92, B: 55.10}); r.Profile() != "opRGB" || d > 0.7 {
		// 0.7 is one step of 255 in red, by which the JPEG is off.
		t.Errorf("camera in its wide setting: %s, ΔE00 %.2f", r.Profile(), d)
	}
	for name, row := range map[string]struct {
		chunks  []byte
		profile string
		linear  float64 // what grey 128 reads, W3C PNG 3rd edition, 13.13: value^(1/gamma)
	}{
		"gAMA 1/2.2":  {chunk("gAMA", []byte{0, 0, 0xb1, 0x8f}), "sRGB", 0.21586},
		"gAMA linear": {chunk("gAMA", []byte{0, 1, 0x86, 0xa0}), "gamma 1", 128.0 / 255},
		"gAMA 1/1.8":  {chunk("gAMA", []byte{0, 0, 0xd9, 0x04}), "gamma 1.8", 0.28906},
		"gAMA absurd": {chunk("gAMA", []byte{0, 0, 0, 1}), "sRGB", 0.21586},
		"sRGB first":  {append(chunk("sRGB", []byte{0}), chunk("gAMA", []byte{0, 1, 0x86, 0xa0})...), "sRGB", 0.21586},
		"cICP P3":     {chunk("cICP", []byte{12, 13, 0, 1}), "Display P3", 0.21586},
		"cICP linear": {chunk("cICP", []byte{1, 8, 0, 1}), "sRGB", 128.0 / 255},
		"cICP PQ":     {chunk("cICP", []byte{9, 16, 0, 1}), "BT.2020", 0.21586},
	} {
		m := image.NewGray(image.Rect(0, 0, 8, 8))
		for i := range m.Pix {
			m.Pix[i] = 128
		}
		var b bytes.Buffer
		_ = png.Encode(&b, m)
		r, err := Decode(bytes.NewReader(insertPNG(b.Bytes(), row.chunks)), Options{})
		if err != nil {
			t.Fatal(name, err)
		}
		c, _ := r.At(3, 3)
		if r.Profile() != row.profile || c.G < row.linear-2e-4 || c.G > row.linear+2e-4 {
			t.Errorf("%s: profile %s, reads %.5f, want %.5f", name, r.Profile(), c.G, row.linear)
		}
		if warned := len(r.Warnings()) > 0; warned != (name == "gAMA absurd" || name == "cICP PQ") {
			t.Errorf("%s: warnings %v", name, r.Warnings())
		}
	}
}

// insertPNG puts chunks behind the header of a PNG.
func insertPNG(file, chunks []byte) []byte {
	const head = 8 + 12 + 13
	return append(append(append([]byte(nil), file[:head]...), chunks...), file[head:]...)
}

// An embedded profile is applied whatever the container. Outside: LittleCMS, as
// in TestProfilesAgreeWithLittleCMS.
func TestEmbeddedProfileInEveryContainer(t *testing.T) {
	icc := testProfiles()["p3-parametric"]
	want := colour.Lab{L: 48.5117, A: 65.9513, B: 55.4185} // 200,60,40; testdata/oracle/icc_transicc.csv
	files := map[string][]byte{
		"PNG":  insertPNG(mustRead(t, picture("quad.png")), chunk("iCCP", append([]byte("p3\x00\x00"), deflated(icc)...))),
		"JPEG": jpegWithProfile(mustRead(t, picture("quad.jpg")), icc, 300),
		"WebP": webpWithProfile(mustRead(t, picture("quad_lossless.webp")), icc),
	}
	if decodeAVIF != nil {
		files["AVIF"] = withProperty(t, mustRead(t, picture("quad.avif")), "colr", append([]byte("prof"), icc...))
	}
	if decodeHEIC != nil {
		files["HEIC"] = withProperty(t, mustRead(t, picture("quad.heic")), "colr", append([]byte("prof"), icc...))
	}
	for name, data := range files {
		r, err := Decode(bytes.NewReader(data), Options{})
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		c, _ := r.At(10, 10)
		tolerance := 0.01
		if name == "JPEG" || name == "HEIC" {
			tolerance = 0.7 // one step of 255 in red
		}
		if d := colour.Difference(labD50(c), want); d > tolerance || r.Profile() != "P3 parametric" {
			t.Errorf("%s: ΔE00 %.3f by profile %q, warnings %v", name, d, r.Profile(), r.Warnings())
		}
		w, _ := r.Size()
		if green, _ := r.At(w-10, 10); green.InScreen() {
			t.Errorf("%s: a green of P3 was squeezed into sRGB: %v", name, green)
		}
	}
	broken := jpegWithProfile(mustRead(t, picture("quad.jpg")), icc[:200], 300)
	r, err := Decode(bytes.NewReader(broken), Options{})
	if err != nil || len(r.Warnings()) != 1 || !strings.Contains(r.Warnings()[0], "read as sRGB") || r.Profile() != "sRGB" {
		t.Errorf("broken profile: %v, %v", err, r.Warnings())
	}
}

// Film coding: HEIC whose colr box states BT.709 and limited range is read so.
func TestFilmCoding(t *testing.T) {
	// ITU-R BT.709-6, section 3: luma of R'G'B' 200, 60, 40 and its chroma,
	// quantised to 8 bits in limited range.
	r, g, b := 200.0/255, 60.0/255, 40.0/255
	y := 0.2126*r + 0.7152*g + 0.0722*b
	luma := uint8(219*y + 16.5)
	cb, cr := uint8(224*(b-y)/1.8556+128.5), uint8(224*(r-y)/1.5748+128.5)
	m := image.NewYCbCr(image.Rect(0, 0, 2, 2), image.YCbCrSubsampleRatio444)
	for i := range m.Y {
		m.Y[i], m.Cb[i], m.Cr[i] = luma, cb, cr
	}
	f := heif{coded: true, matrix: 1}
	got := f.coding().plain(m).(*image.NRGBA).NRGBAAt(1, 1)
	if !near([3]uint8{got.R, got.G, got.B}, quad[0], 2) {
		t.Errorf("reads %v, want %v", got, quad[0])
	}
	if decodeHEIC == nil {
		return
	}
	// The file is full range in truth; said to be limited, its luma is widened.
	nclx := []byte("nclx\x00\x01\x00\x0d\x00\x06\x00")
	ref, err := Decode(bytes.NewReader(withProperty(t, mustRead(t, picture("quad.heic")), "colr", nclx)), Options{})
	if err != nil {
		t.Fatal(err)
	}
	plain, _ := corners(mustOpen(t, picture("quad.heic")))
	wide, _ := corners(ref)
	for ch, v := range plain[0] {
		want := clamp8((float64(v) - 16) * 255 / 219) // chroma widens alike to within 2 %
		if d := int(wide[0][ch]) - int(want); d > 4 || d < -4 {
			t.Errorf("channel %d: %d, want about %d", ch, wide[0][ch], want)
		}
	}
}

// HEIC is turned by its container, once. Truth: irot 1 is a quarter turn
// anticlockwise (ISO/IEC 23008-12, 6.5.10).
func TestHEICTurnsOnce(t *testing.T) {
	if decodeHEIC == nil {
		t.Skip("built without HEIC")
	}
	for quarters, order := range [4][4]int{{0, 1, 2, 3}, {1, 3, 0, 2}, {3, 2, 1, 0}, {2, 0, 3, 1}} {
		r, err := Decode(bytes.NewReader(withProperty(t, mustRead(t, picture("quad.heic")), "irot", []byte{byte(quarters)})), Options{})
		if err != nil {
			t.Fatal(err)
		}
		got, _ := corners(r)
		for i := range got {
			if !near(got[i], quad[order[i]], 1) {
				t.Errorf("irot %d: quadrant %d reads %v, want %v", quarters, i, got[i], quad[order[i]])
			}
		}
		if r.Upright() != (quarters > 0) {
			t.Errorf("irot %d: said to be turned: %v", quarters, r.Upright())
		}
		if w, h := r.Size(); (w == 144 && h == 192) != (quarters%2 == 1) {
			t.Errorf("irot %d: size %d × %d", quarters, w, h)
		}
	}
}

// A container that states another size than the picture has gives the stated
// size, to which the codec scales, or an error; never a third size.
func TestContainerThatLies(t *testing.T) {
	if decodeAVIF == nil {
		t.Skip("built without AVIF")
	}
	r, err := Decode(bytes.NewReader(withBoxSize(t, "quad.avif", 640, 480)), Options{})
	if err != nil {
		if !errors.Is(err, ErrDamaged) {
			t.Errorf("stated 640 × 480: %v", err)
		}
		return
	}
	if w, h := r.Size(); w != 640 || h != 480 {
		t.Errorf("stated 640 × 480, opened as %d × %d", w, h)
	}
}

// A phone may append a film to its JPEG; what looks like scans in there is none.
func TestTrailingDataIsNoScan(t *testing.T) {
	data := append(mustRead(t, picture("quad.jpg")), bytes.Repeat([]byte{0, 1, 0xff, 0xda, 0, 8, 1, 2}, 1000)...)
	if _, err := Decode(bytes.NewReader(data), Options{}); err != nil {
		t.Error(err)
	}
	first := 4 + int(binary.BigEndian.Uint16(data[4:])) // behind the first segment
	stray := append(append([]byte(nil), data[:first]...), append([]byte{0, 7, 0}, data[first:]...)...)
	if _, err := Decode(bytes.NewReader(stray), Options{}); err != nil {
		t.Errorf("stray bytes before a marker: %v", err)
	}
}

// The quality estimate gives back what the encoder was told, to 2 of 100.
// Outside: image/jpeg scales the same tables of ITU-T T.81, annex K.
func TestQualityEstimate(t *testing.T) {
	m := image.NewGray(image.Rect(0, 0, 16, 16))
	for _, want := range []int{25, 40, 50, 60, 75, 85, 92, 95} {
		var b bytes.Buffer
		if err := jpeg.Encode(&b, m, &jpeg.Options{Quality: want}); err != nil {
			t.Fatal(err)
		}
		r, err := Decode(&b, Options{})
		if err != nil {
			t.Fatal(err)
		}
		if got, ok := r.Quality(); !ok || got < want-2 || got > want+2 {
			t.Errorf("quality %d read as %d, %v", want, got, ok)
		}
	}
	if _, ok := mustOpen(t, picture("quad.png")).Quality(); ok {
		t.Error("a PNG has a JPEG quality")
	}
}

func FuzzDecode(f *testing.F) {
	files, _ := filepath.Glob(picture("quad*"))
	for _, path := range files {
		// Codecs that run in a virtual machine are slow to fuzz and not ours;
		// their box reader has a target of its own.
		if ext := filepath.Ext(path); ext != ".avif" && ext != ".heic" {
			f.Add(mustRead(f, path))
		}
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		if isAVIF(data) || isHEIC(data) {
			return
		}
		tryDecode(t, "fuzz", data)
	})
}

func BenchmarkDecodeAndPatch12MP(b *testing.B) {
	data := bigJPEG(b)
	b.SetBytes(int64(len(data)))
	b.ReportAllocs()
	for b.Loop() {
		r, err := Decode(bytes.NewReader(data), Options{})
		if err != nil {
			b.Fatal(err)
		}
		if _, err := r.Patch(Rect{1000, 1000, 200, 200}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkRows12MP(b *testing.B) {
	r, err := Decode(bytes.NewReader(bigJPEG(b)), Options{})
	if err != nil {
		b.Fatal(err)
	}
	w, h := r.Size()
	row, opaque := make([]colour.LinearRGB, w), make([]bool, w)
	for b.Loop() {
		for y := range h {
			r.row(y, row, opaque)
		}
	}
}

// bigJPEG is a 12-megapixel JPEG with shade and a little texture.
func bigJPEG(b *testing.B) []byte {
	m := image.NewYCbCr(image.Rect(0, 0, 4000, 3000), image.YCbCrSubsampleRatio420)
	seed := uint32(1)
	for y := range 3000 {
		for x := range 4000 {
			seed = seed*1664525 + 1013904223
			m.Y[m.YOffset(x, y)] = uint8(60 + x/40 + y/60 + int(seed>>29))
		}
	}
	for i := range m.Cb {
		m.Cb[i], m.Cr[i] = uint8(110+i%7), uint8(140+i%5)
	}
	var buf bytes.Buffer
	if err := jpeg.Encode(&buf, m, &jpeg.Options{Quality: 90}); err != nil {
		b.Fatal(err)
	}
	return buf.Bytes()
}

func ExampleDecode() {
	f, err := os.Open(filepath.Join("..", "testdata", "picture", "quad_exif6.jpg"))
	if err != nil {
		fmt.Println(err)
		return
	}
	defer f.Close()
	ref, err := Decode(f, Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	w, h := ref.Size()
	fmt.Println(ref.Format(), w, h, ref.Profile(), ref.Upright())
	patch, err := ref.Patch(Rect{4, 4, 16, 16})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(patch.RGB.Hex())
	// Output:
	// JPEG 48 64 sRGB true
	// #1d3b9f
}
