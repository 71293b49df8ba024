package palette

import (
	"fmt"
	"image"
	"image/color"
)

// concrete returns a decoded picture as one of the four types that a source
// holds, with bounds from 0,0, and whether any pixel may be clear. It takes the
// picture over and may change it in place. 8-bit pictures stay 8-bit, deeper
// ones become 16-bit; nothing is premultiplied by alpha.
func concrete(m image.Image) (image.Image, bool, error) {
	switch m := m.(type) {
	case *image.YCbCr:
		return rebaseYCbCr(m), false, nil
	case *image.Gray:
		return &image.Gray{Pix: m.Pix[m.PixOffset(m.Rect.Min.X, m.Rect.Min.Y):], Stride: m.Stride, Rect: rebase(m.Rect)}, false, nil
	case *image.NRGBA:
		n := &image.NRGBA{Pix: m.Pix[m.PixOffset(m.Rect.Min.X, m.Rect.Min.Y):], Stride: m.Stride, Rect: rebase(m.Rect)}
		return n, !opaque8(n.Pix, n.Stride, n.Rect), nil
	case *image.RGBA:
		n := &image.NRGBA{Pix: m.Pix[m.PixOffset(m.Rect.Min.X, m.Rect.Min.Y):], Stride: m.Stride, Rect: rebase(m.Rect)}
		clear := !opaque8(n.Pix, n.Stride, n.Rect)
		if clear {
			unmultiply8(n)
		}
		return n, clear, nil
	case *image.NRGBA64:
		n := &image.NRGBA64{Pix: m.Pix[m.PixOffset(m.Rect.Min.X, m.Rect.Min.Y):], Stride: m.Stride, Rect: rebase(m.Rect)}
		return n, !opaque16(n.Pix, n.Stride, n.Rect), nil
	case *image.RGBA64:
		n := &image.NRGBA64{Pix: m.Pix[m.PixOffset(m.Rect.Min.X, m.Rect.Min.Y):], Stride: m.Stride, Rect: rebase(m.Rect)}
		clear := !opaque16(n.Pix, n.Stride, n.Rect)
		if clear {
			unmultiply16(n)
		}
		return n, clear, nil
	case *image.Gray16:
		return deepGrey(m), false, nil
	case *image.Paletted:
		return unpalette(m)
	case *image.NYCbCrA:
		n := plainAlpha(m)
		return n, !opaque8(n.Pix, n.Stride, n.Rect), nil
	case *image.CMYK:
		return plainInk(m), false, nil
	}
	return nil, false, fmt.Errorf("%w: pixels of type %T", ErrUnsupported, m)
}

// rebase moves a rectangle to 0,0.
func rebase(r image.Rectangle) image.Rectangle { return image.Rect(0, 0, r.Dx(), r.Dy()) }

// rebaseYCbCr moves a Y′CbCr picture to 0,0. Decoders give such pictures at 0,0;
// anything else would shift the chroma grid and is copied pixel by pixel.
func rebaseYCbCr(m *image.YCbCr) image.Image {
	if m.Rect.Min == (image.Point{}) {
		return m
	}
	n := image.NewNRGBA(rebase(m.Rect))
	for y := range n.Rect.Dy() {
		for x := range n.Rect.Dx() {
			c := m.YCbCrAt(x+m.Rect.Min.X, y+m.Rect.Min.Y)
			red, green, blue := color.YCbCrToRGB(c.Y, c.Cb, c.Cr)
			n.SetNRGBA(x, y, color.NRGBA{red, green, blue, 255})
		}
	}
	return n
}

// opaque8 says whether every pixel of an 8-bit picture counts as opaque.
func opaque8(pix []uint8, stride int, r image.Rectangle) bool {
	for y := range r.Dy() {
		row := pix[y*stride : y*stride+4*r.Dx()]
		for i := 3; i < len(row); i += 4 {
			if row[i] < opaqueFrom {
				return false
			}
		}
	}
	return true
}

// opaque16 is opaque8 for 16 bits a channel.
func opaque16(pix []uint8, stride int, r image.Rectangle) bool {
	for y := range r.Dy() {
		row := pix[y*stride : y*stride+8*r.Dx()]
		for i := 6; i < len(row); i += 8 {
			if row[i] < opaqueFrom {
				return false
			}
		}
	}
	return true
}

// unmultiply8 divides the colours by their alpha, in place.
func unmultiply8(n *image.NRGBA) {
	for y := range n.Rect.Dy() {
		row := n.Pix[y*n.Stride : y*n.Stride+4*n.Rect.Dx()]
		for i := 0; i < len(row); i += 4 {
			a := uint32(row[i+3])
			if a == 0 || a == 255 {
				continue
			}
			for k := i; k < i+3; k++ {
				row[k] = uint8(min(255, (uint32(row[k])*255+a/2)/a))
			}
		}
	}
}

// unmultiply16 is unmultiply8 for 16 bits a channel.
func unmultiply16(n *image.NRGBA64) {
	for y := range n.Rect.Dy() {
		row := n.Pix[y*n.Stride : y*n.Stride+8*n.Rect.Dx()]
		for i := 0; i < len(row); i += 8 {
			a := uint32(word(row, i+6))
			if a == 0 || a == 65535 {
				continue
			}
			for k := i; k < i+6; k += 2 {
				v := min(65535, (uint64(word(row, k))*65535+uint64(a)/2)/uint64(a))
				row[k], row[k+1] = uint8(v>>8), uint8(v)
			}
		}
	}
}

// deepGrey spreads a 16-bit grey picture over three channels.
func deepGrey(m *image.Gray16) *image.NRGBA64 {
	n := image.NewNRGBA64(rebase(m.Rect))
	for y := range n.Rect.Dy() {
		from := m.Pix[m.PixOffset(m.Rect.Min.X, m.Rect.Min.Y+y):]
		to := n.Pix[y*n.Stride:]
		for x := range n.Rect.Dx() {
			hi, lo := from[2*x], from[2*x+1]
			copy(to[8*x:8*x+8], []uint8{hi, lo, hi, lo, hi, lo, 255, 255})
		}
	}
	return n
}

// unpalette looks every index up; an index beyond the palette is damage.
func unpalette(m *image.Paletted) (image.Image, bool, error) {
	var table [256]color.NRGBA
	for i, c := range m.Palette {
		if i < len(table) {
			table[i] = color.NRGBAModel.Convert(c).(color.NRGBA)
		}
	}
	n := image.NewNRGBA(rebase(m.Rect))
	for y := range n.Rect.Dy() {
		from := m.Pix[m.PixOffset(m.Rect.Min.X, m.Rect.Min.Y+y):]
		to := n.Pix[y*n.Stride:]
		for x := range n.Rect.Dx() {
			if int(from[x]) >= len(m.Palette) {
				return nil, false, fmt.Errorf("%w: a pixel points past the palette", ErrDamaged)
			}
			c := table[from[x]]
			to[4*x], to[4*x+1], to[4*x+2], to[4*x+3] = c.R, c.G, c.B, c.A
		}
	}
	return n, !opaque8(n.Pix, n.Stride, n.Rect), nil
}

// plainAlpha turns Y′CbCr with alpha into RGB with alpha.
func plainAlpha(m *image.NYCbCrA) *image.NRGBA {
	n := image.NewNRGBA(rebase(m.Rect))
	for y := range n.Rect.Dy() {
		to := n.Pix[y*n.Stride:]
		for x := range n.Rect.Dx() {
			sx, sy := x+m.Rect.Min.X, y+m.Rect.Min.Y
			ci := m.COffset(sx, sy)
			red, green, blue := color.YCbCrToRGB(m.Y[m.YOffset(sx, sy)], m.Cb[ci], m.Cr[ci])
			to[4*x], to[4*x+1], to[4*x+2] = red, green, blue
			to[4*x+3] = m.A[m.AOffset(sx, sy)]
		}
	}
	return n
}

// plainInk turns CMYK into RGB by the plain product rule, without a profile;
// the caller warns.
func plainInk(m *image.CMYK) *image.NRGBA {
	n := image.NewNRGBA(rebase(m.Rect))
	for y := range n.Rect.Dy() {
		from := m.Pix[m.PixOffset(m.Rect.Min.X, m.Rect.Min.Y+y):]
		to := n.Pix[y*n.Stride:]
		for x := range n.Rect.Dx() {
			p := from[4*x : 4*x+4]
			to[4*x], to[4*x+1], to[4*x+2] = color.CMYKToRGB(p[0], p[1], p[2], p[3])
			to[4*x+3] = 255
		}
	}
	return n
}

// widen stretches the limited-range planes of a picture coded for film (luma
// 16…235, chroma 16…240) to the full range that [image.YCbCr] stands for, in
// place.
//
// Source: ITU-R BT.601-7, section 2.5.3 (quantization levels); the VP8 format
// uses these levels (RFC 6386, section 9.2), Go's image type those of JPEG.
func widen(luma []uint8, chroma ...[]uint8) {
	var wideY, wideC [256]uint8
	for i := range wideY {
		wideY[i] = clamp8(float64(i-16) * 255 / 219)
		wideC[i] = clamp8(float64(i-128)*255/224 + 128)
	}
	for i, v := range luma {
		luma[i] = wideY[v]
	}
	for _, plane := range chroma {
		for i, v := range plane {
			plane[i] = wideC[v]
		}
	}
}

// clamp8 rounds to the nearest of 0…255.
func clamp8(v float64) uint8 {
	return uint8(min(max(v+0.5, 0), 255))
}
