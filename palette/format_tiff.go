package palette

import (
	"bytes"
	"errors"
	"fmt"
	"image"

	"golang.org/x/image/tiff"
)

func isTIFF(data []byte) bool {
	return bytes.HasPrefix(data, []byte("II*\x00")) || bytes.HasPrefix(data, []byte("MM\x00*"))
}

// tiffHeader reads the first directory: size, orientation, colour profile. It
// refuses camera raw files, whose first directory is only a preview.
//
// Source: TIFF 6.0, sections 2 and 8; ICC.1:2022, annex B.3.
func tiffHeader(data []byte) (header, error) {
	f, ok := newIFD(data)
	if !ok {
		return header{}, fmt.Errorf("%w: the data ends too early", ErrDamaged)
	}
	h := header{turn: f.turn(f.first), icc: f.bytes(f.first, tagProfile)}
	var okW, okH bool
	h.width, okW = f.number(f.first, tagWidth)
	h.height, okH = f.number(f.first, tagHeight)
	if !okW || !okH {
		return header{}, fmt.Errorf("%w: no picture directory", ErrDamaged)
	}
	_, _, _, raw := f.entry(f.first, tagRawVersion)
	if raw || len(data) > 10 && string(data[8:10]) == "CR" {
		return header{}, fmt.Errorf("%w: a camera raw file; export it as JPEG or TIFF", ErrUnsupported)
	}
	if kind, ok := f.number(f.first, tagSubfile); ok && kind&1 == 1 {
		return header{}, fmt.Errorf("%w: its first picture is only a preview (camera raw?); export it as JPEG or TIFF", ErrUnsupported)
	}
	if h.turn > 8 {
		h.turn = 0
	}
	if v, ok := f.number(f.first, tagPhotometric); ok {
		if name := tiffForeign(v); name != "" {
			return header{}, fmt.Errorf("%w: %s; save it as PNG", ErrUnsupported, name)
		}
	}
	h.frames = f.directories()
	return h, nil
}

// tiffForeign names the colour models that are not read.
func tiffForeign(photometric int) string {
	switch photometric {
	case 5:
		return "printing inks (CMYK)"
	case 6:
		return "film-like luma and chroma (YCbCr)"
	case 8, 9, 10:
		return "L*a*b* samples"
	}
	return ""
}

// directories counts the chain of directories; a loop ends it.
func (f ifd) directories() int {
	n, seen := 0, map[int]bool{}
	for at := f.first; at >= 8 && at <= len(f.data)-2 && !seen[at] && n < 1000; n++ {
		seen[at] = true
		next := at + 2 + 12*int(f.order.Uint16(f.data[at:]))
		if next > len(f.data)-4 {
			return n + 1
		}
		at = int(f.order.Uint32(f.data[next:]))
	}
	return n
}

func tiffPixels(data []byte, _ header) (image.Image, error) {
	m, err := tiff.Decode(bytes.NewReader(data))
	var unsupported tiff.UnsupportedError
	if errors.As(err, &unsupported) {
		return nil, fmt.Errorf("%w: %s; save it as PNG", ErrUnsupported, oneLine(string(unsupported)))
	}
	return m, err
}
