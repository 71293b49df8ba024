package palette

import (
	"bytes"
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
	return header{width: c.Width, height: c.Height}, nil
}

func bmpPixels(data []byte, _ header) (image.Image, error) {
	return bmp.Decode(bytes.NewReader(data))
}
