package palette

import (
	"fmt"
	"image"
	"image/color"
)

// heicBrands are the brands of pictures coded by HEVC.
//
// Source: ISO/IEC 23008-12, annex B.4; mif1 alone does not say the coding.
var heicBrands = []string{"heic", "heix", "heim", "heis", "hevc", "hevx"}

func isHEIC(data []byte) bool {
	brands := heifBrands(data)
	return hasBrand(brands, heicBrands...) || hasBrand(brands, "mif1", "msf1")
}

// heicHeader reads the container. The decoder itself applies irot and imir, and
// EXIF inside the file has no say, so that no turn is left.
func heicHeader(data []byte) (header, error) {
	f, err := readHEIF(data)
	if err != nil {
		return header{}, err
	}
	h := f.header()
	if w, _ := f.turn().size(f.width, f.height); w < heicMinWidth {
		return header{}, fmt.Errorf("%w: under %d pixels wide; save it as PNG", ErrUnsupported, heicMinWidth)
	}
	h.maxPixels = heicMaxPixels
	h.coding, h.turned = f.coding(), f.turn().turns()
	return h, nil
}

// heicMinWidth is the width below which the decoder mistakes where its rows
// begin: it lays planes under 64 samples out as if they had 64, and chroma may
// have half the width of luma.
const heicMinWidth = 128

// heicPixels decodes the primary picture.
func heicPixels(data []byte, h header) (image.Image, error) {
	if decodeHEIC == nil {
		return nil, leftOut("HEIC")
	}
	heifGate.Lock()
	defer heifGate.Unlock()
	m, err := decodeHEIC(data)
	if err != nil {
		return nil, fmt.Errorf("%w, or of a kind that is not read, such as 10 bits with chroma in full", ErrDamaged)
	}
	switch m := m.(type) {
	case *image.YCbCr:
		return h.coding.plain(m), nil
	case *image.Gray:
		return ownGray(m, h.coding), nil
	}
	return m, nil
}

// coding says how the luma and chroma planes of a film-like picture are to be
// read. The zero value is that of JPEG: BT.601, full range.
type coding struct {
	limited bool    // luma 16…235, chroma 16…240
	kr, kb  float64 // weights of red and blue in luma; 0, 0 for BT.601
}

// coding reads the code points of ITU-T H.273, table 4 (matrix coefficients).
func (f heif) coding() coding {
	if !f.coded {
		return coding{}
	}
	c := coding{limited: !f.full}
	switch f.matrix {
	case 1:
		c.kr, c.kb = 0.2126, 0.0722 // BT.709
	case 9:
		c.kr, c.kb = 0.2627, 0.0593 // BT.2020, non-constant luminance
	}
	return c
}

// plain returns the picture in memory of its own (the decoder's planes lie in
// the memory of its virtual machine), with the coding that [image.YCbCr] stands
// for, or as RGB where the matrix is another.
func (c coding) plain(m *image.YCbCr) image.Image {
	own := *m
	own.Y = append([]uint8(nil), m.Y...)
	own.Cb = append([]uint8(nil), m.Cb...)
	own.Cr = append([]uint8(nil), m.Cr...)
	if c.limited {
		widen(own.Y, own.Cb, own.Cr)
	}
	if c.kr == 0 {
		return &own
	}
	n := image.NewNRGBA(own.Rect)
	for y := range own.Rect.Dy() {
		for x := range own.Rect.Dx() {
			ci := own.COffset(x, y)
			n.SetNRGBA(x, y, c.rgb(own.Y[own.YOffset(x, y)], own.Cb[ci], own.Cr[ci]))
		}
	}
	return n
}

// rgb turns full-range luma and chroma into RGB: ITU-T H.273, equations 38 to 43
// solved for red, green and blue.
func (c coding) rgb(luma, cb, cr uint8) color.NRGBA {
	y, b, r := float64(luma), float64(cb)-128, float64(cr)-128
	red := y + 2*(1-c.kr)*r
	blue := y + 2*(1-c.kb)*b
	green := (y - c.kr*red - c.kb*blue) / (1 - c.kr - c.kb)
	return color.NRGBA{clamp8(red), clamp8(green), clamp8(blue), 255}
}

// ownGray copies a grey picture out of the decoder's memory.
func ownGray(m *image.Gray, c coding) *image.Gray {
	own := &image.Gray{Pix: append([]uint8(nil), m.Pix...), Stride: m.Stride, Rect: m.Rect}
	if c.limited {
		widen(own.Pix)
	}
	return own
}
