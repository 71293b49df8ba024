package palette

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"image"

	"golang.org/x/image/webp"
)

func isWebP(data []byte) bool {
	return len(data) >= 12 && string(data[:4]) == "RIFF" && string(data[8:12]) == "WEBP"
}

// riffChunks calls do for every whole chunk of a RIFF body, until do says stop.
func riffChunks(body []byte, do func(kind string, chunk []byte) (more bool)) {
	for len(body) >= 8 {
		n := int64(binary.LittleEndian.Uint32(body[4:]))
		if 8+n > int64(len(body)) {
			return
		}
		if !do(string(body[:4]), body[8:8+n]) {
			return
		}
		body = body[min(int64(len(body)), 8+n+n&1):]
	}
}

// webpHeader reads the chunks of a WebP: size, EXIF, colour profile, frames.
//
// Source: RFC 9649, section 2.
func webpHeader(data []byte) (header, error) {
	h := header{}
	canvas := false
	riffChunks(data[12:], func(kind string, chunk []byte) bool {
		switch {
		case kind == "VP8X" && len(chunk) >= 10:
			h.width, h.height, canvas = 1+uint24(chunk[4:]), 1+uint24(chunk[7:]), true
		case kind == "ICCP":
			h.icc = chunk[:min(len(chunk), maxProfile)]
		case kind == "EXIF":
			h.turn = readEXIF(bytes.TrimPrefix(chunk, []byte("Exif\x00\x00"))).turn
		case kind == "ANMF":
			h.frames++
		case !canvas && h.width == 0:
			h.width, h.height = webpFrameSize(kind, chunk)
		}
		return true
	})
	if h.width == 0 {
		return h, fmt.Errorf("%w: no picture in the container", ErrDamaged)
	}
	return h, nil
}

// webpFrameSize reads the size from the first bytes of a frame: RFC 6386,
// section 9.1 for lossy, RFC 9649, section 3.4 for lossless. Others give 0, 0.
func webpFrameSize(kind string, chunk []byte) (w, h int) {
	switch {
	case kind == "VP8 " && len(chunk) >= 10 && string(chunk[3:6]) == "\x9d\x01\x2a":
		return int(binary.LittleEndian.Uint16(chunk[6:]) & 0x3fff), int(binary.LittleEndian.Uint16(chunk[8:]) & 0x3fff)
	case kind == "VP8L" && len(chunk) >= 5 && chunk[0] == 0x2f:
		v := binary.LittleEndian.Uint32(chunk[1:])
		return int(v&0x3fff) + 1, int(v>>14&0x3fff) + 1
	}
	return 0, 0
}

// webpPixels decodes a still picture, or the first frame of an animation, and
// widens lossy frames, whose levels are those of film.
func webpPixels(data []byte, h header) (image.Image, error) {
	if h.frames > 0 {
		still, err := webpFirstFrame(data, h)
		if err != nil {
			return nil, err
		}
		data = still
	}
	m, err := webp.Decode(bytes.NewReader(data))
	if err != nil {
		return nil, err
	}
	switch m := m.(type) {
	case *image.YCbCr:
		widen(m.Y, m.Cb, m.Cr)
	case *image.NYCbCrA:
		widen(m.Y, m.Cb, m.Cr)
	}
	return m, nil
}

// webpFirstFrame builds a still WebP file from the first frame of an animation:
// a canvas of the frame's size, its alpha where it has one, its picture.
func webpFirstFrame(data []byte, h header) ([]byte, error) {
	var alpha, picture []byte
	var kind string
	var w, high int
	riffChunks(data[12:], func(k string, frame []byte) bool {
		if k != "ANMF" || len(frame) < 16 {
			return true
		}
		w, high = 1+uint24(frame[6:]), 1+uint24(frame[9:])
		riffChunks(frame[16:], func(k string, chunk []byte) bool {
			switch k {
			case "ALPH":
				alpha = chunk
			case "VP8 ", "VP8L":
				kind, picture = k, chunk
				return false
			}
			return true
		})
		return false
	})
	if picture == nil {
		return nil, fmt.Errorf("%w: the first frame is missing", ErrDamaged)
	}
	if w > h.width || high > h.height {
		return nil, fmt.Errorf("%w: the first frame is larger than the picture", ErrDamaged)
	}
	if fw, fh := webpFrameSize(kind, picture); fw != w || fh != high {
		return nil, fmt.Errorf("%w: the first frame states two sizes", ErrDamaged)
	}
	var body []byte
	if alpha != nil && kind == "VP8 " {
		canvas := make([]byte, 10)
		canvas[0] = 0x10 // has alpha
		putUint24(canvas[4:], w-1)
		putUint24(canvas[7:], high-1)
		body = riffChunk(body, "VP8X", canvas)
		body = riffChunk(body, "ALPH", alpha)
	}
	body = riffChunk(body, kind, picture)
	still := append([]byte("RIFF"), 0, 0, 0, 0)
	binary.LittleEndian.PutUint32(still[4:], uint32(4+len(body)))
	return append(append(still, "WEBP"...), body...), nil
}

// riffChunk appends one chunk, padded to an even length.
func riffChunk(to []byte, kind string, chunk []byte) []byte {
	to = append(to, kind...)
	to = binary.LittleEndian.AppendUint32(to, uint32(len(chunk)))
	to = append(to, chunk...)
	if len(chunk)%2 == 1 {
		to = append(to, 0)
	}
	return to
}

// uint24 reads three bytes, the lowest first.
func uint24(b []byte) int { return int(b[0]) | int(b[1])<<8 | int(b[2])<<16 }

// putUint24 writes three bytes, the lowest first.
func putUint24(b []byte, v int) { b[0], b[1], b[2] = byte(v), byte(v>>8), byte(v>>16) }
