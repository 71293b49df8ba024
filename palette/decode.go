package palette

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	"io"
	"io/fs"
	"math/bits"
	"strings"
)

// Limits that hold where [Options] states none. A picture of 120 million pixels
// takes at most 1 GB once decoded (16 bits, four channels); the decoders of
// AVIF and HEIC hold several copies of it (measured: 68 and 22 bytes a pixel at
// their peak), so their limits are lower.
const (
	DefaultMaxPixels = 120_000_000 // pixels, width × height
	DefaultMaxBytes  = 256 << 20   // bytes of the file
	avifMaxPixels    = 24_000_000  // pixels of an AVIF picture
	heicMaxPixels    = 50_000_000  // pixels of a HEIC picture, as the largest of phones
	maxSide          = 1 << 20     // pixels along one side
)

// Reasons why a picture cannot be opened; the error that [Decode] returns wraps
// one of them.
var (
	ErrEmpty       = errors.New("empty file")
	ErrNotPicture  = errors.New("not a picture this program reads")
	ErrTooLarge    = errors.New("picture too large")
	ErrDamaged     = errors.New("damaged or cut short")
	ErrUnsupported = errors.New("a kind of this format that is not read")
	ErrLeftOut     = errors.New("format left out of this build")
)

// Options bound what [Decode] takes on. The zero value means the defaults.
type Options struct {
	MaxPixels int // largest width × height; 0 for [DefaultMaxPixels]
	MaxBytes  int // largest file; 0 for [DefaultMaxBytes]
}

// Decode reads a picture and returns it upright and ready to be read in linear
// light. The format is told by the content: JPEG, PNG, WebP, AVIF, HEIC, GIF,
// TIFF or BMP; of an animation the first frame is read. The size is checked
// before any pixel is decoded. EXIF orientation (or the container's own, in
// AVIF and HEIC) and an embedded matrix/curve colour profile are applied; what
// was left out is told by [Reference.Warnings].
//
// The error is one line, wraps one of the Err… reasons of this package or the
// reader's own error, and does not know the file's name. Memory stays below the
// file, plus 8 bytes a pixel kept, plus the decoder's own (up to 12 bytes a
// pixel for a progressive JPEG, 25 for HEIC, 70 for AVIF).
func Decode(r io.Reader, opt Options) (Reference, error) {
	opt = opt.withDefaults()
	data, err := readBounded(r, opt.MaxBytes)
	if err != nil {
		return Reference{}, fmt.Errorf("decode picture: %w", err)
	}
	f, err := formatOf(data)
	if err != nil {
		return Reference{}, fmt.Errorf("decode picture: %w", err)
	}
	src, err := f.open(data, opt)
	if err != nil {
		return Reference{}, fmt.Errorf("decode %s: %w", f.name, err)
	}
	return Reference{src: src}, nil
}

// withDefaults fills in the limits that were not stated.
func (o Options) withDefaults() Options {
	if o.MaxPixels <= 0 {
		o.MaxPixels = DefaultMaxPixels
	}
	if o.MaxBytes <= 0 {
		o.MaxBytes = DefaultMaxBytes
	}
	return o
}

// readBounded reads all of r, or fails once it is longer than limit bytes.
func readBounded(r io.Reader, limit int) ([]byte, error) {
	var b bytes.Buffer
	if n := sizeOf(r); n > 0 && n <= limit {
		b.Grow(n + bytes.MinRead)
	}
	n, err := b.ReadFrom(io.LimitReader(r, int64(limit)+1))
	switch {
	case err != nil:
		return nil, err
	case n == 0:
		return nil, ErrEmpty
	case n > int64(limit):
		return nil, fmt.Errorf("%w: more than %d MB", ErrTooLarge, limit>>20)
	}
	return b.Bytes(), nil
}

// sizeOf is how many bytes a reader holds, where it says so; else 0.
func sizeOf(r io.Reader) int {
	switch r := r.(type) {
	case interface{ Len() int }:
		return r.Len()
	case fs.File:
		if info, err := r.Stat(); err == nil && info.Mode().IsRegular() {
			return int(info.Size())
		}
	}
	return 0
}

// format is one door: how a file format is told, measured and decoded.
type format struct {
	name   string
	is     func(data []byte) bool
	header func(data []byte) (header, error) // reads everything but the pixels
	pixels func(data []byte, h header) (image.Image, error)
}

// header is what a file says about its pixels before they are decoded.
type header struct {
	width, height int
	frames        int      // pictures in the file; 0 where it was not counted
	turn          turn     // still to be done by us
	turned        bool     // the decoder turns it
	icc           []byte   // embedded colour profile
	space         space    // colour space named without a profile
	quality       int      // JPEG quality 1…100, 0 for none
	coding        coding   // how luma and chroma are to be read (HEIC)
	maxPixels     int      // a limit of the format's own, 0 for none
	leastBytes    uint64   // fewer bytes than these cannot hold the pixels, 0 where not known
	warnings      []string // doubts found on the way
}

// formats lists the doors in the order in which they are tried.
var formats = []format{
	{"JPEG", isJPEG, jpegHeader, jpegPixels},
	{"PNG", isPNG, pngHeader, pngPixels},
	{"WebP", isWebP, webpHeader, webpPixels},
	{"AVIF", isAVIF, avifHeader, avifPixels},
	{"HEIC", isHEIC, heicHeader, heicPixels},
	{"GIF", isGIF, gifHeader, gifPixels},
	{"TIFF", isTIFF, tiffHeader, tiffPixels},
	{"BMP", isBMP, bmpHeader, bmpPixels},
}

// formatOf tells the format of a file by its content.
func formatOf(data []byte) (format, error) {
	for _, f := range formats {
		if f.is(data) {
			return f, nil
		}
	}
	names := make([]string, len(formats))
	for i, f := range formats {
		names[i] = f.name
	}
	wanted := strings.Join(names[:len(names)-1], ", ") + " or " + names[len(names)-1]
	if what := guess(data); what != "" {
		return format{}, fmt.Errorf("%w: it looks like %s; wanted %s", ErrNotPicture, what, wanted)
	}
	return format{}, fmt.Errorf("%w: wanted %s", ErrNotPicture, wanted)
}

// open reads the header, guards the size, decodes the pixels and joins both. A
// panic in a decoder becomes [ErrDamaged].
func (f format) open(data []byte, opt Options) (src *source, err error) {
	defer func() {
		if p := recover(); p != nil {
			src, err = nil, fmt.Errorf("%w: the decoder gave up", ErrDamaged)
		}
	}()
	h, err := f.header(data)
	if err != nil {
		return nil, err
	}
	if err := h.guard(opt.MaxPixels); err != nil {
		return nil, err
	}
	if uint64(len(data)) < h.leastBytes { // before a decoder makes room for them
		return nil, fmt.Errorf("%w: the data ends too early", ErrDamaged)
	}
	decoded, err := f.pixels(data, h)
	if err != nil {
		return nil, damaged(err)
	}
	if b := decoded.Bounds(); b.Dx() < 1 || b.Dy() < 1 {
		return nil, fmt.Errorf("%w: no pixels", ErrDamaged)
	}
	img, alpha, err := concrete(decoded)
	if err != nil {
		return nil, err
	}
	if h.frames > 1 {
		h.warnings = append(h.warnings, fmt.Sprintf("the file holds %d pictures; only the first is read", h.frames))
	}
	reading := chooseProfile(h)
	return &source{
		img: img, turn: h.turn, turned: h.turned || h.turn.turns(), lens: reading.lens, format: f.name, profile: reading.name,
		alpha: alpha, quality: h.quality, warnings: append(h.warnings, reading.warnings...),
	}, nil
}

// guard refuses a picture whose stated size is nothing or too much.
func (h header) guard(maxPixels int) error {
	if h.maxPixels > 0 && h.maxPixels < maxPixels {
		maxPixels = h.maxPixels
	}
	if h.width < 1 || h.height < 1 {
		return fmt.Errorf("%w: stated size %d × %d", ErrDamaged, h.width, h.height)
	}
	over, pixels := bits.Mul64(uint64(h.width), uint64(h.height))
	if over > 0 || pixels > uint64(maxPixels) || h.width > maxSide || h.height > maxSide {
		return fmt.Errorf("%w: %d × %d pixels, at most %.3g million are read", ErrTooLarge, h.width, h.height, float64(maxPixels)/1e6)
	}
	return nil
}

// damaged marks a decoder's error as [ErrDamaged], unless it already says why.
func damaged(err error) error {
	for _, known := range []error{ErrDamaged, ErrUnsupported, ErrLeftOut, ErrTooLarge} {
		if errors.Is(err, known) {
			return err
		}
	}
	if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
		return fmt.Errorf("%w: the data ends too early", ErrDamaged)
	}
	return fmt.Errorf("%w: %s", ErrDamaged, oneLine(err.Error()))
}

// oneLine keeps foreign error text to one printable line of bearable length.
func oneLine(s string) string {
	s = strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f {
			return ' '
		}
		return r
	}, s)
	if r := []rune(s); len(r) > 120 {
		s = string(r[:119]) + "…"
	}
	return strings.TrimSpace(s)
}

// guess names some things people offer that are not pictures read here.
func guess(data []byte) string {
	has := func(offset int, magic string) bool {
		return len(data) >= offset+len(magic) && string(data[offset:offset+len(magic)]) == magic
	}
	switch {
	case has(0, "%PDF"):
		return "a PDF"
	case has(0, "8BPS"):
		return "a layered painting file"
	case has(0, "PK\x03\x04"):
		return "an archive or office document"
	case has(0, "\x00\x00\x00\x0cJXL "), has(0, "\xff\x0a"):
		return "JPEG XL"
	case has(0, "\x00\x00\x00\x0cjP"), has(0, "\xff\x4f\xff\x51"):
		return "JPEG 2000"
	case has(0, "\x00\x00\x01\x00"):
		return "an icon"
	case has(0, "IIU\x00"), has(0, "IIRO"), has(0, "FOVb"):
		return "a camera raw file"
	case has(4, "ftypcrx"):
		return "a camera raw file"
	case has(4, "ftyp"), has(0, "\x1aE\xdf\xa3"), has(0, "OggS"), has(8, "AVI "):
		return "a film or sound file"
	case has(0, "ID3"), has(0, "RIFF"):
		return "a sound file"
	case has(0, "SQLite format 3"):
		return "a database"
	}
	return guessText(data)
}

// guessText tells drawings and tables kept as text.
func guessText(data []byte) string {
	head := bytes.TrimPrefix(data, []byte("\xef\xbb\xbf"))
	head = bytes.ToLower(bytes.TrimSpace(head[:min(len(head), 1024)]))
	switch {
	case bytes.Contains(head, []byte("<svg")):
		return "an SVG drawing"
	case bytes.HasPrefix(head, []byte("<!doctype html")), bytes.HasPrefix(head, []byte("<html")):
		return "a web page"
	case bytes.IndexFunc(head, func(r rune) bool { return r < ' ' && r != '\n' && r != '\r' && r != '\t' || r == 0xfffd }) < 0:
		return "text"
	}
	return ""
}
