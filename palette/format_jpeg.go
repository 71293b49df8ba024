package palette

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"image"
	"image/jpeg"
)

// maxScans is the largest number of scans a progressive JPEG may have. Encoders
// write about ten; each one costs a walk over the whole picture, however short
// its data is, so that a small file with thousands of them would not end.
const maxScans = 64

func isJPEG(data []byte) bool { return bytes.HasPrefix(data, []byte("\xff\xd8\xff")) }

// jpegHeader reads the marker segments of a JPEG: size, EXIF, colour profile,
// quantisation, and the number of scans.
//
// Source: ITU-T T.81, annex B; ICC.1:2022, annex B.4 (APP2 segments).
func jpegHeader(data []byte) (header, error) {
	h := header{}
	var icc iccSegments
	components := 0
	at := 2
	for {
		marker, body, next, ok := jpegSegment(data, at)
		if !ok {
			at = next
			break
		}
		switch {
		case marker >= 0xc0 && marker <= 0xcf && marker != 0xc4 && marker != 0xc8 && marker != 0xcc: // SOF
			if marker > 0xc2 {
				return h, fmt.Errorf("%w: lossless or arithmetic-coded JPEG; save it as a plain JPEG or PNG", ErrUnsupported)
			}
			if len(body) < 6 {
				return h, fmt.Errorf("%w: short frame header", ErrDamaged)
			}
			if body[0] != 8 {
				return h, fmt.Errorf("%w: %d-bit JPEG; save it as PNG", ErrUnsupported, body[0])
			}
			h.height = int(binary.BigEndian.Uint16(body[1:]))
			h.width = int(binary.BigEndian.Uint16(body[3:]))
			components = int(body[5])
		case marker == 0xdb && h.quality == 0:
			h.quality = jpegQuality(body)
		case marker == 0xe1 && bytes.HasPrefix(body, []byte("Exif\x00\x00")):
			e := readEXIF(body[6:])
			h.turn, h.space = e.turn, e.space
		case marker == 0xe2 && bytes.HasPrefix(body, []byte(iccMark)):
			icc.add(body[len(iccMark):])
		}
		at = next
	}
	if h.width == 0 && h.height == 0 {
		return h, fmt.Errorf("%w: no frame header", ErrDamaged)
	}
	if n := jpegScans(data, at); n > maxScans {
		return h, fmt.Errorf("%w: more than %d scans", ErrUnsupported, maxScans)
	}
	var err error
	if h.icc, err = icc.join(); err != nil {
		h.warnings = append(h.warnings, err.Error()+"; read as sRGB")
	}
	if components == 4 && len(h.icc) == 0 {
		h.warnings = append(h.warnings, "printing inks (CMYK) without a profile: the colours are a rough guess")
	}
	return h, nil
}

// jpegSegment returns the marker segment at or after offset at: its marker, its
// body and where the next one starts. ok is false at the first scan, at which
// next points, and at the end. Stray bytes before a marker are passed over, as
// decoders do.
func jpegSegment(data []byte, at int) (marker byte, body []byte, next int, ok bool) {
	for at+4 <= len(data) {
		marker = data[at+1]
		switch {
		case data[at] != 0xff || marker == 0xff || marker == 0: // stray or fill byte
			at++
			continue
		case marker == 0x01 || marker >= 0xd0 && marker <= 0xd8: // no body
			at += 2
			continue
		case marker == 0xd9 || marker == 0xda: // end, or a scan
			return 0, nil, at, false
		}
		n := int(binary.BigEndian.Uint16(data[at+2:]))
		if n < 2 || at+2+n > len(data) {
			return 0, nil, len(data), false
		}
		return marker, data[at+4 : at+2+n], at + 2 + n, true
	}
	return 0, nil, len(data), false
}

// jpegScans counts the scans from offset at to the end of the picture, as far as
// one beyond maxScans. What a phone appends behind the end, such as a film, does
// not count.
func jpegScans(data []byte, at int) int {
	n := 0
	for n <= maxScans && at+4 <= len(data) {
		i := bytes.IndexByte(data[at:], 0xff)
		if i < 0 || at+i+4 > len(data) {
			break
		}
		at += i
		switch marker := data[at+1]; {
		case marker == 0xff:
			at++
		case marker == 0xd9:
			return n
		case marker < 0xc0 || marker >= 0xd0 && marker <= 0xd8: // entropy-coded byte, restart, no body
			at += 2
		default:
			if marker == 0xda {
				n++
			}
			at += 2 + int(binary.BigEndian.Uint16(data[at+2:]))
		}
	}
	return n
}

// jpegPixels decodes the pixels.
func jpegPixels(data []byte, _ header) (image.Image, error) {
	return jpeg.Decode(bytes.NewReader(data))
}

// jpegLuma is the luminance quantisation table of ITU-T T.81, table K.1; its
// order does not matter here, only its sum.
var jpegLuma = [64]int{
	16, 11, 10, 16, 24, 40, 51, 61,
	12, 12, 14, 19, 26, 58, 60, 55,
	14, 13, 16, 24, 40, 57, 69, 56,
	14, 17, 22, 29, 51, 87, 80, 62,
	18, 22, 37, 56, 68, 109, 103, 77,
	24, 35, 55, 64, 81, 104, 113, 92,
	49, 64, 78, 87, 103, 121, 120, 101,
	72, 92, 95, 98, 112, 100, 103, 99,
}

// jpegQuality estimates, from a DQT segment, the quality 1…100 at which the
// scale of the Independent JPEG Group would have given a table of that size:
// its tables are table K.1 times s/100, with s = 5000/q below 50 and 200 - 2q
// above. 0 means the segment holds no first table.
func jpegQuality(dqt []byte) int {
	if len(dqt) < 65 || dqt[0]&0x0f != 0 {
		return 0
	}
	sum, want := 0, 0
	for i, v := range jpegLuma {
		want += v
		if dqt[0]>>4 == 0 {
			sum += int(dqt[1+i])
		} else if len(dqt) >= 129 {
			sum += int(binary.BigEndian.Uint16(dqt[1+2*i:]))
		}
	}
	scale := 100 * float64(sum) / float64(want)
	quality := (200 - scale) / 2
	if scale > 100 {
		quality = 5000 / scale
	}
	return int(min(max(quality+0.5, 1), 100))
}
