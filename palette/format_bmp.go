package palette

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"image"

	"golang.org/x/image/bmp"
)

func isBMP(data []byte) bool {
	// "BM" alone begins many a text; the reserved words must be zero.
	return len(data) >= 26 && string(data[:2]) == "BM" && string(data[6:10]) == "\x00\x00\x00\x00"
}

// bmpHeader reads the size.
func bmpHeader(data []byte) (header, error) {
	c, err := bmp.DecodeConfig(bytes.NewReader(data))
	if err == bmp.ErrUnsupported {
		return header{}, fmt.Errorf("%w: save it as PNG", ErrUnsupported)
	}
	if err != nil {
		return header{}, damaged(err)
	}
	h := header{width: c.Width, height: c.Height}
	if len(data) >= 30 && c.Width > 0 && c.Height > 0 { // kept as they are, rows of whole 4 bytes
		bits := uint64(binary.LittleEndian.Uint16(data[28:]))
		h.leastBytes = uint64(c.Height) * ((uint64(c.Width)*bits + 31) / 32 * 4)
	}
	return h, nil
}

func bmpPixels(data []byte, _ header) (image.Image, error) {
	return bmp.Decode(bytes.NewReader(data))
}
