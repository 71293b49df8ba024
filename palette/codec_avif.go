//go:build nodynamic

package palette

// The decoder of AVIF (BSD-2 codec run as WebAssembly). Without the tag
// nodynamic its package would load whatever library the machine happens to
// have, and the binary would no longer be static; so it enters only with it.

import (
	"bytes"
	"image"

	"github.com/gen2brain/avif"
)

func init() {
	decodeAVIF = func(data []byte) (image.Image, error) { return avif.Decode(bytes.NewReader(data)) }
}
