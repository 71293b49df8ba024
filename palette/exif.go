package palette

import "encoding/binary"

// ifd is a TIFF structure as EXIF uses it: directories of twelve-byte entries
// in either byte order. All reading is bounded by the data; a broken structure
// reads as absent.
//
// Source: TIFF 6.0, section 2; Exif 2.32 (CIPA DC-008-2019), section 4.6.
type ifd struct {
	data  []byte
	order binary.ByteOrder
	first int // offset of the first directory
}

// The few tags that are read.
const (
	tagSubfile     = 0x00fe
	tagWidth       = 0x0100
	tagHeight      = 0x0101
	tagPhotometric = 0x0106
	tagOrientation = 0x0112
	tagEXIF        = 0x8769
	tagProfile     = 0x8773
	tagColourSpace = 0xa001
	tagInterop     = 0xa005
	tagInteropRule = 0x0001
	tagRawVersion  = 0xc612
)

// newIFD checks the eight bytes at the start.
func newIFD(data []byte) (ifd, bool) {
	if len(data) < 8 {
		return ifd{}, false
	}
	var order binary.ByteOrder
	switch string(data[:4]) {
	case "II*\x00":
		order = binary.LittleEndian
	case "MM\x00*":
		order = binary.BigEndian
	default:
		return ifd{}, false
	}
	return ifd{data, order, int(order.Uint32(data[4:]))}, true
}

// entry finds a tag in the directory at offset dir: its type, count and the
// offset of its value. A value that does not lie in the data is not found.
func (f ifd) entry(dir int, tag uint16) (kind uint16, count, at int, ok bool) {
	if dir < 8 || dir > len(f.data)-2 {
		return 0, 0, 0, false
	}
	for i := range int(f.order.Uint16(f.data[dir:])) {
		e := dir + 2 + 12*i
		if e+12 > len(f.data) {
			return 0, 0, 0, false
		}
		if f.order.Uint16(f.data[e:]) != tag {
			continue
		}
		kind = f.order.Uint16(f.data[e+2:])
		n := int64(f.order.Uint32(f.data[e+4:]))
		at = e + 8
		size := n * sampleSize(kind)
		if size > 4 {
			at = int(f.order.Uint32(f.data[e+8:]))
		}
		if size < 1 || int64(at)+size > int64(len(f.data)) {
			return 0, 0, 0, false
		}
		return kind, int(n), at, true
	}
	return 0, 0, 0, false
}

// sampleSize gives the bytes of one value of a TIFF type, 0 for an unknown one.
func sampleSize(kind uint16) int64 {
	switch kind {
	case 1, 2, 6, 7: // byte, text, signed byte, undefined
		return 1
	case 3, 8: // short
		return 2
	case 4, 9, 11, 13: // long, float, directory
		return 4
	case 5, 10, 12: // rational, double
		return 8
	}
	return 0
}

// number reads the first value of a whole-number tag.
func (f ifd) number(dir int, tag uint16) (int, bool) {
	kind, _, at, ok := f.entry(dir, tag)
	if !ok {
		return 0, false
	}
	switch kind {
	case 1, 7:
		return int(f.data[at]), true
	case 3:
		return int(f.order.Uint16(f.data[at:])), true
	case 4, 13:
		return int(f.order.Uint32(f.data[at:])), true
	}
	return 0, false
}

// bytes returns the whole value of a tag of single bytes.
func (f ifd) bytes(dir int, tag uint16) []byte {
	kind, n, at, ok := f.entry(dir, tag)
	if !ok || sampleSize(kind) != 1 {
		return nil
	}
	return f.data[at : at+n]
}

// exif is what is wanted from an EXIF block.
type exif struct {
	turn  turn
	space space
}

// readEXIF reads orientation and colour space from an EXIF block, starting at
// its byte order mark. A broken block gives the zero value.
func readEXIF(block []byte) exif {
	f, ok := newIFD(block)
	if !ok {
		return exif{}
	}
	var e exif
	e.turn = f.turn(f.first)
	sub, ok := f.number(f.first, tagEXIF)
	if !ok {
		return e
	}
	if v, ok := f.number(sub, tagColourSpace); ok && v == 1 {
		e.space.srgb = true
	}
	// A camera set to the wide space of DCF 2.0 writes colour space 0xffff and
	// the interoperability rule "R03", and often no profile.
	if inter, ok := f.number(sub, tagInterop); ok && !e.space.srgb {
		if rule := f.bytes(inter, tagInteropRule); len(rule) >= 3 && string(rule[:3]) == "R03" {
			e.space.opRGB = true
		}
	}
	return e
}

// turn reads the orientation of a directory; 0 where it is absent or not 1…8.
func (f ifd) turn(dir int) turn {
	if v, ok := f.number(dir, tagOrientation); ok && v >= 1 && v <= 8 {
		return turn(v)
	}
	return 0
}
