package palette

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"fmt"
	"image"
	"image/png"
	"io"
)

const pngMagic = "\x89PNG\r\n\x1a\n"

func isPNG(data []byte) bool { return bytes.HasPrefix(data, []byte(pngMagic)) }

// pngHeader reads the chunks of a PNG: size, orientation and colour space.
// cICP goes before iCCP, iCCP before sRGB, sRGB before gAMA and cHRM.
//
// Source: W3C PNG Specification, third edition, sections 4.3, 11.3.
func pngHeader(data []byte) (header, error) {
	h := header{}
	gamma, prim := 0.0, primaries{}
	for at := len(pngMagic); at+12 <= len(data); {
		n := int64(binary.BigEndian.Uint32(data[at:]))
		kind := string(data[at+4 : at+8])
		if int64(at)+12+n > int64(len(data)) {
			break
		}
		body := data[at+8 : at+8+int(n)]
		at += 12 + int(n)
		switch {
		case kind == "IHDR" && n >= 13:
			h.width = int(binary.BigEndian.Uint32(body))
			h.height = int(binary.BigEndian.Uint32(body[4:]))
			h.leastBytes = pngLeast(h.width, h.height, body[8], body[9])
		case kind == "cICP" && n == 4:
			h.space.coded(int(body[0]), int(body[1]))
		case kind == "iCCP":
			icc, err := pngProfile(body)
			if err != nil {
				h.warnings = append(h.warnings, "embedded colour profile cannot be unpacked; read as sRGB")
			}
			h.icc = icc
		case kind == "sRGB":
			h.space.srgb = true
		case kind == "gAMA" && n == 4:
			gamma = float64(binary.BigEndian.Uint32(body)) / 100000
		case kind == "cHRM" && n == 32:
			prim = pngPrimaries(body)
		case kind == "eXIf":
			h.turn = readEXIF(body).turn
		case kind == "IEND":
			at = len(data)
		}
	}
	if h.width == 0 && h.height == 0 {
		return h, fmt.Errorf("%w: no image header", ErrDamaged)
	}
	if h.space.isCoded {
		h.icc = nil // cICP outranks iCCP
	}
	if !h.space.srgb && gamma > 0 {
		h.space.gamma, h.space.primaries = gamma, prim
	}
	return h, nil
}

// pngLeast returns how many bytes the pixels take when packed as tightly as
// deflate can: at most 258 bytes by two bits, 1032 to 1.
//
// Source: RFC 1951, section 3.2.5.
func pngLeast(w, h int, depth, colourType byte) uint64 {
	samples := map[byte]uint64{0: 1, 2: 3, 3: 1, 4: 2, 6: 4}[colourType]
	return uint64(h) * (uint64(w) * uint64(depth) * samples / 8) / 1032
}

// maxProfile bounds an unpacked colour profile; those of printing presses reach
// a few megabytes.
const maxProfile = 8 << 20

// pngProfile unpacks an iCCP chunk: a name, a zero, a method, zlib data.
func pngProfile(body []byte) ([]byte, error) {
	i := bytes.IndexByte(body, 0)
	if i < 0 || i+2 > len(body) || body[i+1] != 0 {
		return nil, fmt.Errorf("%w: colour profile chunk", ErrDamaged)
	}
	z, err := zlib.NewReader(bytes.NewReader(body[i+2:]))
	if err != nil {
		return nil, err
	}
	icc, err := io.ReadAll(io.LimitReader(z, maxProfile))
	if err != nil {
		return nil, err
	}
	return icc, nil
}

// pngPrimaries reads a cHRM chunk: white, red, green, blue as x and y in
// hundred-thousandths.
func pngPrimaries(body []byte) primaries {
	var v [8]float64
	for i := range v {
		v[i] = float64(binary.BigEndian.Uint32(body[4*i:])) / 100000
	}
	return primaries{
		white: [2]float64{v[0], v[1]}, red: [2]float64{v[2], v[3]},
		green: [2]float64{v[4], v[5]}, blue: [2]float64{v[6], v[7]},
	}
}

func pngPixels(data []byte, _ header) (image.Image, error) {
	return png.Decode(bytes.NewReader(data))
}
