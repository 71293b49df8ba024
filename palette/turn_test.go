package palette

import (
	"bytes"
	"encoding/binary"
	"image"
	"image/color"
	"image/jpeg"
	"testing"

	"github.com/disintegration/imaging"

	"undercoat/palette/colour"
)

// withEXIF puts an EXIF segment with an orientation into a JPEG.
func withEXIF(file []byte, order binary.AppendByteOrder, mark string, orientation uint16) []byte {
	e := append([]byte("Exif\x00\x00"), mark...)
	e = order.AppendUint16(e, 42)
	e = order.AppendUint32(e, 8)
	e = order.AppendUint16(e, 1) // one entry
	e = order.AppendUint16(e, tagOrientation)
	e = order.AppendUint16(e, 3) // short
	e = order.AppendUint32(e, 1)
	e = order.AppendUint16(e, orientation)
	e = order.AppendUint16(e, 0)
	e = order.AppendUint32(e, 0)
	out := append([]byte(nil), file[:2]...)
	out = append(out, 0xff, 0xe1)
	out = binary.BigEndian.AppendUint16(out, uint16(2+len(e)))
	return append(append(out, e...), file[2:]...)
}

// All eight orientations in both byte orders, every pixel, also of an odd size.
// Outside: the AutoOrientation of the imaging library.
func TestOrientationAgreesWithImaging(t *testing.T) {
	m := image.NewNRGBA(image.Rect(0, 0, 21, 14))
	for y := range 14 {
		for x := range 21 {
			m.SetNRGBA(x, y, color.NRGBA{uint8(12 * x), uint8(18 * y), uint8(7 * (x + y)), 255})
		}
	}
	var plain bytes.Buffer
	if err := jpeg.Encode(&plain, m, &jpeg.Options{Quality: 95}); err != nil {
		t.Fatal(err)
	}
	for orientation := range uint16(10) {
		for mark, order := range map[string]binary.AppendByteOrder{"II": binary.LittleEndian, "MM": binary.BigEndian} {
			file := withEXIF(plain.Bytes(), order, mark, orientation)
			want, err := imaging.Decode(bytes.NewReader(file), imaging.AutoOrientation(true))
			if err != nil {
				t.Fatal(err)
			}
			got, err := Decode(bytes.NewReader(file), Options{})
			if err != nil {
				t.Fatal(err)
			}
			w, h := got.Size()
			if w != want.Bounds().Dx() || h != want.Bounds().Dy() {
				t.Fatalf("%s %d: size %d × %d, want %v", mark, orientation, w, h, want.Bounds())
			}
			row, opaque := make([]colour.LinearRGB, w), make([]bool, w)
			for y := range h {
				got.row(y, row, opaque)
				for x := range w {
					c := color.NRGBAModel.Convert(want.At(x, y)).(color.NRGBA)
					var g [3]uint8
					g[0], g[1], g[2] = colour.EncodeSRGB8(row[x])
					if g != [3]uint8{c.R, c.G, c.B} {
						t.Fatalf("%s %d: pixel %d,%d is %v, want %v", mark, orientation, x, y, g, c)
					}
					if at, ok := got.At(x, y); !ok || at != row[x] {
						t.Fatalf("%s %d: At and row differ at %d,%d", mark, orientation, x, y)
					}
				}
			}
		}
	}
}

// A step to the right in the upright picture is the same as asking anew.
func TestTurnStep(t *testing.T) {
	const w, h = 5, 3
	for o := turn(0); o <= 8; o++ {
		uw, uh := o.size(w, h)
		dx, dy := o.step()
		seen := map[[2]int]bool{}
		for y := range uh {
			for x := range uw {
				sx, sy := o.stored(x, y, w, h)
				if sx < 0 || sy < 0 || sx >= w || sy >= h || seen[[2]int{sx, sy}] {
					t.Fatalf("turn %d: %d,%d goes to %d,%d", o, x, y, sx, sy)
				}
				seen[[2]int{sx, sy}] = true
				if x > 0 {
					px, py := o.stored(x-1, y, w, h)
					if px+dx != sx || py+dy != sy {
						t.Fatalf("turn %d: a step gives another place at %d,%d", o, x, y)
					}
				}
			}
		}
	}
}

func FuzzReadEXIF(f *testing.F) {
	for _, order := range []string{"II*\x00\x08\x00\x00\x00", "MM\x00*\x00\x00\x00\x08"} {
		f.Add([]byte(order + "\x01\x00\x12\x01\x03\x00\x01\x00\x00\x00\x06\x00\x00\x00\x00\x00\x00\x00"))
	}
	for _, name := range []string{"quad_r03.jpg", "quad_exif8.jpg"} {
		b := mustRead(f, picture(name))
		if i := bytes.Index(b, []byte("Exif\x00\x00")); i > 0 {
			f.Add(b[i+6:])
		}
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		if e := readEXIF(b); e.turn > 8 {
			t.Fatalf("orientation %d", e.turn)
		}
		if x, ok := newIFD(b); ok {
			x.directories()
			x.bytes(x.first, tagProfile)
		}
	})
}
