//go:build nodynamic && heic

package palette

// The decoder of HEIC (libheif and libde265 run as WebAssembly, both LGPL-3).
// The tag heic takes it in; see the notices for how to build with another copy.

import (
	"bytes"
	"image"

	"github.com/gen2brain/heic"
)

func init() {
	decodeHEIC = func(data []byte) (image.Image, error) { return heic.Decode(bytes.NewReader(data)) }
}
