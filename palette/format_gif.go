package palette

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"image"
	"image/gif"
)

func isGIF(data []byte) bool {
	return bytes.HasPrefix(data, []byte("GIF87a")) || bytes.HasPrefix(data, []byte("GIF89a"))
}

// gifHeader reads the screen size and counts the frames.
//
// Source: GIF89a specification (1990), sections 18 to 24.
func gifHeader(data []byte) (header, error) {
	if len(data) < 13 {
		return header{}, fmt.Errorf("%w: the data ends too early", ErrDamaged)
	}
	return header{
		width:  int(binary.LittleEndian.Uint16(data[6:])),
		height: int(binary.LittleEndian.Uint16(data[8:])),
		frames: gifFrames(data),
	}, nil
}

// gifFrames counts the image blocks that can be reached.
func gifFrames(data []byte) int {
	table := func(flags byte) int {
		if flags&0x80 == 0 {
			return 0
		}
		return 3 << (flags&7 + 1)
	}
	skip := func(at int) int { // past a chain of sub-blocks
		for at < len(data) && data[at] != 0 {
			at += 1 + int(data[at])
		}
		return at + 1
	}
	frames := 0
	for at := 13 + table(data[10]); at < len(data); {
		switch data[at] {
		case 0x21: // extension: label, sub-blocks
			at = skip(at + 2)
		case 0x2c: // image: descriptor, local table, code size, sub-blocks
			if at+10 > len(data) {
				return frames
			}
			frames++
			at = skip(at + 11 + table(data[at+9]))
		default:
			return frames
		}
	}
	return frames
}

// gifPixels decodes the first frame.
func gifPixels(data []byte, _ header) (image.Image, error) {
	return gif.Decode(bytes.NewReader(data))
}
