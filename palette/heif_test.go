package palette

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"testing"
)

// withProperty adds a property to the primary picture of an HEIF file: a box in
// ipco, its number in ipma, and every offset behind it moved.
func withProperty(t testing.TB, file []byte, kind string, body []byte) []byte {
	t.Helper()
	box := binary.BigEndian.AppendUint32(nil, uint32(8+len(body)))
	box = append(append(box, kind...), body...)
	out := bytes.Clone(file)
	at := func(kind string) int {
		i := bytes.Index(out, []byte(kind))
		if i < 0 {
			t.Fatalf("no %s box", kind)
		}
		return i - 4
	}
	grow := func(kind string, by int) {
		i := at(kind)
		binary.BigEndian.PutUint32(out[i:], binary.BigEndian.Uint32(out[i:])+uint32(by))
	}
	insert := func(i int, b []byte) { out = append(out[:i:i], append(bytes.Clone(b), out[i:]...)...) }

	// The number of properties before, and the place behind the last one.
	ipco := at("ipco")
	count := 0
	boxes(out[ipco+8:ipco+int(binary.BigEndian.Uint32(out[ipco:]))], func(string, []byte) bool { count++; return true })
	insert(ipco+int(binary.BigEndian.Uint32(out[ipco:])), box)
	grow("ipco", len(box))

	// The primary picture's list in ipma grows by one byte.
	primary, _ := primaryItem(out[at("pitm")+8:])
	ipma := at("ipma")
	p := ipma + 16
	for {
		id, n := int(binary.BigEndian.Uint16(out[p:])), int(out[p+2])
		if id == primary {
			out[p+2]++
			insert(p+3+n, []byte{byte(count+1) | 0x80})
			break
		}
		p += 3 + n
	}
	grow("ipma", 1)
	grow("iprp", len(box)+1)
	grow("meta", len(box)+1)
	moveData(t, out, len(box)+1)
	return out
}

// moveData adds to the base or extent offsets of iloc (construction method 0).
func moveData(t testing.TB, out []byte, by int) {
	i := bytes.Index(out, []byte("iloc"))
	b := out[i+4:]
	version := b[0]
	offsetSize, lengthSize, baseSize := int(b[4]>>4), int(b[4]&15), int(b[5]>>4)
	n, p := int(binary.BigEndian.Uint16(b[6:])), 8
	add := func(p, size int) {
		switch size {
		case 4:
			binary.BigEndian.PutUint32(b[p:], binary.BigEndian.Uint32(b[p:])+uint32(by))
		case 8:
			binary.BigEndian.PutUint64(b[p:], binary.BigEndian.Uint64(b[p:])+uint64(by))
		default:
			t.Fatalf("iloc field of %d bytes", size)
		}
	}
	for range n {
		p += 2
		method := 0
		if version >= 1 {
			method = int(b[p+1] & 15)
			p += 2
		}
		p += 2
		if method == 0 && baseSize > 0 {
			add(p, baseSize)
		}
		p += baseSize
		extents := int(binary.BigEndian.Uint16(b[p:]))
		p += 2
		for range extents {
			if method == 0 && baseSize == 0 {
				add(p, offsetSize)
			}
			p += offsetSize + lengthSize
		}
	}
}

// deflated packs data as a PNG chunk wants it.
func deflated(b []byte) []byte {
	var out bytes.Buffer
	z := zlib.NewWriter(&out)
	_, _ = z.Write(b)
	_ = z.Close()
	return out.Bytes()
}

// jpegWithProfile puts a profile into APP2 segments of at most size bytes, the
// last piece first.
func jpegWithProfile(file, icc []byte, size int) []byte {
	var pieces [][]byte
	for i := 0; i < len(icc); i += size {
		pieces = append(pieces, icc[i:min(i+size, len(icc))])
	}
	var segments []byte
	for i := len(pieces) - 1; i >= 0; i-- {
		body := append(append([]byte(iccMark), byte(i+1), byte(len(pieces))), pieces[i]...)
		segments = append(segments, 0xff, 0xe2)
		segments = binary.BigEndian.AppendUint16(segments, uint16(2+len(body)))
		segments = append(segments, body...)
	}
	return append(append(append([]byte(nil), file[:2]...), segments...), file[2:]...)
}

// webpWithProfile wraps a plain lossless WebP of 64 × 48 into the extended form
// with a profile.
func webpWithProfile(file, icc []byte) []byte {
	canvas := make([]byte, 10)
	canvas[0] = 0x20
	putUint24(canvas[4:], 63)
	putUint24(canvas[7:], 47)
	body := riffChunk(riffChunk(nil, "VP8X", canvas), "ICCP", icc)
	body = append(body, file[12:]...)
	out := append([]byte("RIFF"), 0, 0, 0, 0)
	binary.LittleEndian.PutUint32(out[4:], uint32(4+len(body)))
	return append(append(out, "WEBP"...), body...)
}

// The boxes of the test files, as heif-info of libheif prints them.
func TestReadHEIF(t *testing.T) {
	f, err := readHEIF(mustRead(t, picture("quad.heic")))
	if err != nil || f.width != 192 || f.height != 144 || f.pictures != 1 || f.coded || f.icc != nil || f.turn() != 1 {
		t.Errorf("quad.heic: %+v, %v", f, err)
	}
	f, err = readHEIF(mustRead(t, picture("quad_p3.avif")))
	if err != nil || !f.coded || f.primaries != 12 || f.transfer != 13 || f.matrix != 0 || !f.full {
		t.Errorf("quad_p3.avif: %+v, %v", f, err)
	}
	f, err = readHEIF(mustRead(t, picture("quad_irot_imir.avif")))
	if err != nil || f.quarters != 3 || f.mirror != 1 {
		t.Errorf("quad_irot_imir.avif: %+v, %v", f, err)
	}
	f, err = readHEIF(mustRead(t, picture("quad_alpha.avif")))
	if err != nil || f.pictures != 1 {
		t.Errorf("quad_alpha.avif: its alpha counts as a picture: %+v, %v", f, err)
	}
}

func FuzzReadHEIF(f *testing.F) {
	for _, name := range []string{"quad.heic", "quad_exif6.heic", "quad_alpha.avif", "quad_irot_imir.avif", "quad_p3.avif"} {
		f.Add(mustRead(f, picture(name)))
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		h, err := readHEIF(b)
		if err == nil && (h.width < 1 || h.height < 1 || h.turn() < 1 || h.turn() > 8) {
			t.Fatalf("%+v", h)
		}
	})
}
