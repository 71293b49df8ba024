package keeper

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"hash/crc32"
	"image"
	"image/jpeg"
	"image/png"
)

// asJPEG writes a picture with 4:2:0 colour, the standard encoder's own.
func asJPEG(img image.Image, quality int) []byte {
	var b bytes.Buffer
	must(jpeg.Encode(&b, img, &jpeg.Options{Quality: quality}))
	return b.Bytes()
}

func fromJPEG(file []byte) image.Image {
	img, err := jpeg.Decode(bytes.NewReader(file))
	must(err)
	return img
}

// must keeps promises of this package to itself: it encodes to memory and
// reads back what it has written.
func must(err error) {
	if err != nil {
		panic("keeper: " + err.Error())
	}
}

// withOrientation puts an Exif segment with only the orientation tag (0x0112)
// after a JPEG's start marker.
//
// Source: Exif 2.3 (CIPA DC-008), 4.5.4 and 4.6.2.
func withOrientation(file []byte, orientation uint16) []byte {
	tiff := []byte("MM\x00*\x00\x00\x00\x08\x00\x01")
	tiff = binary.BigEndian.AppendUint16(tiff, 0x0112)
	tiff = binary.BigEndian.AppendUint16(tiff, 3) // SHORT
	tiff = binary.BigEndian.AppendUint32(tiff, 1)
	tiff = binary.BigEndian.AppendUint16(tiff, orientation)
	tiff = append(tiff, 0, 0, 0, 0, 0, 0) // value's rest, no next directory
	body := append([]byte("Exif\x00\x00"), tiff...)
	out := append([]byte{}, file[:2]...)
	out = append(out, 0xFF, 0xE1)
	out = binary.BigEndian.AppendUint16(out, uint16(len(body)+2))
	out = append(out, body...)
	return append(out, file[2:]...)
}

// asPNG writes a picture with an embedded profile.
func asPNG(img image.Image, name string, profile []byte) []byte {
	var b bytes.Buffer
	enc := png.Encoder{CompressionLevel: png.BestCompression}
	must(enc.Encode(&b, img))
	file := b.Bytes()
	const header = 8 + 25 // signature and IHDR
	out := append([]byte{}, file[:header]...)
	out = append(out, chunk("iCCP", append([]byte(name+"\x00\x00"), deflated(profile)...))...)
	return append(out, file[header:]...)
}

func deflated(data []byte) []byte {
	var b bytes.Buffer
	w := zlib.NewWriter(&b)
	_, err := w.Write(data)
	must(err)
	must(w.Close())
	return b.Bytes()
}

func chunk(kind string, data []byte) []byte {
	out := binary.BigEndian.AppendUint32(nil, uint32(len(data)))
	out = append(out, kind...)
	out = append(out, data...)
	return binary.BigEndian.AppendUint32(out, crc32.ChecksumIEEE(out[4:]))
}
