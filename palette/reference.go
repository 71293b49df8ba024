package palette

import (
	"image"
	"image/color"
	"sync"

	"undercoat/palette/colour"
)

// Reference is a picture used as evidence of an intended look: decoded once,
// read upright and in linear light, never re-encoded. It is immutable; a
// correction gives a new Reference that shares the pixels. The zero value is
// an empty picture of size 0 × 0.
type Reference struct {
	src     *source
	correct correction // what anchors or a chart have shown; nil for none
	anchors []Anchor   // the anchors that were used, in the order given
	guessed bool       // the correction rests on a guess, see WithoutCast
}

// source holds the pixels as the decoder gave them, and how to read them.
type source struct {
	img      image.Image // *image.YCbCr, *image.Gray, *image.NRGBA or *image.NRGBA64; bounds start at 0,0
	turn     turn        // of img, still to be done when reading
	turned   bool        // the file asked for a turn, which was done here or by the decoder
	lens     lens
	format   string   // "JPEG", "PNG", …
	profile  string   // name of the colour profile that was applied, "sRGB" where none was found
	alpha    bool     // pixels may be clear
	quality  int      // JPEG quality 1…100 on the common scale, 0 where it does not apply
	warnings []string // what was left out or taken on trust

	cast  sync.Once // guards guess, made when first asked for
	guess Cast
	block sync.Once // the same for blocking
	blocking
}

// blocks says whether the picture is pixelated, and how.
func (s *source) blocks() blocking {
	s.block.Do(func() { s.blocking = blocksOf(s.img) })
	return s.blocking
}

// correction maps linear sRGB as photographed to linear sRGB without the cast.
type correction interface {
	apply(colour.LinearRGB) colour.LinearRGB
}

// opaqueFrom is the least alpha (of 255) that counts as opaque. A lossy alpha
// plane ripples by a few steps, and at 98 % the colour below has no say.
const opaqueFrom = 250

// Size returns the width and height of the upright picture in pixels.
func (r Reference) Size() (w, h int) {
	if r.src == nil {
		return 0, 0
	}
	b := r.src.img.Bounds()
	return r.src.turn.size(b.Dx(), b.Dy())
}

// At returns the colour at column x and row y of the upright picture, counted
// from 0 at the top left, in linear sRGB (D65). A wide-gamut picture may leave
// 0…1. ok is false for a transparent pixel and outside the picture.
func (r Reference) At(x, y int) (c colour.LinearRGB, ok bool) {
	w, h := r.Size()
	if x < 0 || y < 0 || x >= w || y >= h {
		return colour.LinearRGB{}, false
	}
	var px [1]colour.LinearRGB
	var opaque [1]bool
	r.span(x, y, px[:], opaque[:])
	return px[0], opaque[0]
}

// Format names the file format the picture was read from, such as "JPEG".
func (r Reference) Format() string {
	if r.src == nil {
		return ""
	}
	return r.src.format
}

// Profile names the colour profile by which the picture was read; "sRGB" where
// the file carries none.
func (r Reference) Profile() string {
	if r.src == nil {
		return ""
	}
	return r.src.profile
}

// Upright says whether the file asked for the picture to be turned or mirrored
// and this was done.
func (r Reference) Upright() bool { return r.src != nil && r.src.turned }

// Anchored says whether a cast has been removed by an anchor or a chart; a
// guess does not count.
func (r Reference) Anchored() bool { return r.correct != nil && !r.guessed }

// Anchors returns the anchors that were used, in the order given.
func (r Reference) Anchors() []Anchor { return append([]Anchor(nil), r.anchors...) }

// Quality returns the compression quality of a JPEG, 1…100 on the scale of the
// Independent JPEG Group, estimated from its quantisation table. ok is false
// for other formats.
func (r Reference) Quality() (q int, ok bool) {
	if r.src == nil || r.src.quality == 0 {
		return 0, false
	}
	return r.src.quality, true
}

// Warnings returns what was left out or taken on trust while reading the
// picture, one sentence each; nil for nothing.
func (r Reference) Warnings() []string {
	if r.src == nil {
		return nil
	}
	return append([]string(nil), r.src.warnings...)
}

// corrected returns the picture read through one more correction, applied after
// those it already has.
func (r Reference) corrected(c correction) Reference {
	if r.correct != nil {
		c = inTurn{r.correct, c}
	}
	r.correct = c
	return r
}

// inTurn applies two corrections one after the other.
type inTurn struct{ first, then correction }

func (c inTurn) apply(v colour.LinearRGB) colour.LinearRGB { return c.then.apply(c.first.apply(v)) }

// stored returns the place in the decoded image of the upright pixel x, y.
func (r Reference) stored(x, y int) (sx, sy int) {
	b := r.src.img.Bounds()
	return r.src.turn.stored(x, y, b.Dx(), b.Dy())
}

// row writes row y of the upright picture into dst, which must hold a row, and
// says in opaque which pixels count.
func (r Reference) row(y int, dst []colour.LinearRGB, opaque []bool) {
	w, _ := r.Size()
	r.span(0, y, dst[:w], opaque[:w])
}

// span writes len(dst) pixels of row y, starting at column x, into dst.
// The span must lie inside the picture.
func (r Reference) span(x, y int, dst []colour.LinearRGB, opaque []bool) {
	s := r.src
	sx, sy := r.stored(x, y)
	dx, dy := s.turn.step()
	l := &s.lens
	switch m := s.img.(type) {
	case *image.YCbCr:
		for i := range dst {
			ci := m.COffset(sx, sy)
			red, green, blue := color.YCbCrToRGB(m.Y[m.YOffset(sx, sy)], m.Cb[ci], m.Cr[ci])
			dst[i], opaque[i] = l.at8(red, green, blue), true
			sx, sy = sx+dx, sy+dy
		}
	case *image.Gray:
		for i := range dst {
			v := m.Pix[m.PixOffset(sx, sy)]
			dst[i], opaque[i] = l.at8(v, v, v), true
			sx, sy = sx+dx, sy+dy
		}
	case *image.NRGBA:
		for i := range dst {
			p := m.Pix[m.PixOffset(sx, sy):]
			dst[i], opaque[i] = l.at8(p[0], p[1], p[2]), p[3] >= opaqueFrom
			sx, sy = sx+dx, sy+dy
		}
	case *image.NRGBA64:
		for i := range dst {
			p := m.Pix[m.PixOffset(sx, sy):]
			dst[i] = l.at16(word(p, 0), word(p, 2), word(p, 4))
			opaque[i] = p[6] >= opaqueFrom
			sx, sy = sx+dx, sy+dy
		}
	default:
		panic("palette: a source holds an image type that no decoder door gives")
	}
	if r.correct != nil {
		for i := range dst {
			dst[i] = r.correct.apply(dst[i])
		}
	}
}

// word reads a big-endian 16-bit sample at offset i.
func word(p []uint8, i int) uint16 { return uint16(p[i])<<8 | uint16(p[i+1]) }

// encodedPixel is one pixel as the file holds it, in the picture's own RGB,
// 16 bits a channel (8-bit values times 257).
type encodedPixel struct {
	red, green, blue uint16
	opaque           bool
}

// clipped says whether a channel of a pixel stands at the top of its scale or at
// its bottom. Lossy formats ripple: two 8-bit steps are allowed them at the top.
func (r Reference) clipped(p encodedPixel) (high, low bool) {
	top := uint16(65535)
	if r.lossy() {
		top = 253 * 257
	}
	return max(p.red, p.green, p.blue) >= top, min(p.red, p.green, p.blue) == 0
}

// lossy says whether the format may alter single pixels.
func (r Reference) lossy() bool {
	switch r.src.format {
	case "JPEG", "WebP", "AVIF", "HEIC":
		return true
	}
	return false
}

// encodedAt returns the pixel at x, y of the upright picture, which must lie
// inside it.
func (r Reference) encodedAt(x, y int) encodedPixel {
	sx, sy := r.stored(x, y)
	switch m := r.src.img.(type) {
	case *image.YCbCr:
		ci := m.COffset(sx, sy)
		return pixel8(color.YCbCrToRGB(m.Y[m.YOffset(sx, sy)], m.Cb[ci], m.Cr[ci]))
	case *image.Gray:
		v := m.Pix[m.PixOffset(sx, sy)]
		return pixel8(v, v, v)
	case *image.NRGBA:
		p := m.Pix[m.PixOffset(sx, sy):]
		px := pixel8(p[0], p[1], p[2])
		px.opaque = p[3] >= opaqueFrom
		return px
	case *image.NRGBA64:
		p := m.Pix[m.PixOffset(sx, sy):]
		return encodedPixel{word(p, 0), word(p, 2), word(p, 4), p[6] >= opaqueFrom}
	}
	panic("palette: a source holds an image type that no decoder door gives")
}

// pixel8 widens an opaque 8-bit pixel.
func pixel8(red, green, blue uint8) encodedPixel {
	return encodedPixel{uint16(red) * 257, uint16(green) * 257, uint16(blue) * 257, true}
}

// linear returns the linear sRGB, corrected, of a pixel.
func (r Reference) linear(p encodedPixel) colour.LinearRGB {
	var c colour.LinearRGB
	if _, deep := r.src.img.(*image.NRGBA64); deep {
		c = r.src.lens.at16(p.red, p.green, p.blue)
	} else {
		c = r.src.lens.at8(uint8(p.red>>8), uint8(p.green>>8), uint8(p.blue>>8))
	}
	if r.correct != nil {
		c = r.correct.apply(c)
	}
	return c
}
