package palette

import (
	"fmt"
	"image"
	"sync"
)

// isAVIF tells AVIF by its brands; a container may carry the brand of HEIC as
// well, so the major brand decides between them.
func isAVIF(data []byte) bool {
	brands := heifBrands(data)
	if brands == "" || hasBrand(brands[:4], heicBrands...) {
		return false
	}
	return hasBrand(brands, "avif", "avis")
}

// avifHeader reads the container. Its turn is still to be done: the decoder
// leaves irot and imir alone. EXIF inside the file has no say.
func avifHeader(data []byte) (header, error) {
	f, err := readHEIF(data)
	if err != nil {
		return header{}, err
	}
	h := f.header()
	h.turn, h.maxPixels = f.turn(), avifMaxPixels
	return h, nil
}

// header returns what both HEIF formats share.
func (f heif) header() header {
	h := header{width: f.width, height: f.height, frames: f.pictures, icc: f.icc}
	if f.coded {
		h.space.coded(f.primaries, f.transfer)
	}
	return h
}

// avifPixels decodes the primary picture.
func avifPixels(data []byte, h header) (image.Image, error) {
	if decodeAVIF == nil {
		return nil, leftOut("AVIF")
	}
	heifGate.Lock()
	defer heifGate.Unlock()
	m, err := decodeAVIF(data)
	if err != nil {
		return nil, err
	}
	if b := m.Bounds(); b.Dx() != h.width || b.Dy() != h.height {
		return nil, fmt.Errorf("%w: the container states %d × %d pixels, the picture has %d × %d", ErrDamaged, h.width, h.height, b.Dx(), b.Dy())
	}
	return m, nil
}

// decodeAVIF and decodeHEIC are the decoders that this build holds; nil where
// one was left out.
var decodeAVIF, decodeHEIC func(data []byte) (image.Image, error)

// heifGate lets one such decoder work at a time: each is a virtual machine that
// can take hundreds of megabytes (4 GB at the very most, its address space).
var heifGate sync.Mutex

// leftOut says how to get a format that this build leaves out.
func leftOut(name string) error {
	return fmt.Errorf("%w: build with `make build` to read %s, or save the picture as JPEG or PNG", ErrLeftOut, name)
}
