package colour

import (
	"fmt"
	"math"

	"github.com/lucasb-eyer/go-colorful"
)

// LinearRGB is a colour in linear-light sRGB primaries, D65; a colour no
// screen can show has a channel outside 0…1.
type LinearRGB struct{ R, G, B float64 }

// screenWhite is the white of IEC 61966-2-1 (x = 0.3127, y = 0.3290).
var screenWhite = XYZ{0.3127 / 0.3290, 1, (1 - 0.3127 - 0.3290) / 0.3290}

// DecodeSRGB8 returns the linear light of an 8-bit sRGB colour.
func DecodeSRGB8(r, g, b uint8) LinearRGB {
	lr, lg, lb := colorful.Color{R: float64(r) / 255, G: float64(g) / 255, B: float64(b) / 255}.LinearRgb()
	return LinearRGB{lr, lg, lb}
}

// EncodeSRGB8 returns the nearest 8-bit sRGB colour; channels outside 0…1 are clipped.
func EncodeSRGB8(c LinearRGB) (r, g, b uint8) {
	return colorful.LinearRgb(clamp01(c.R), clamp01(c.G), clamp01(c.B)).Clamped().RGB255()
}

func clamp01(v float64) float64 { return math.Max(0, math.Min(1, v)) }

// XYZ returns the D65 tristimulus values.
func (c LinearRGB) XYZ() XYZ {
	x, y, z := colorful.LinearRgbToXyz(c.R, c.G, c.B)
	return XYZ{x, y, z}
}

// LinearRGB returns D65 tristimulus values in linear sRGB.
func (x XYZ) LinearRGB() LinearRGB {
	r, g, b := colorful.XyzToLinearRgb(x.X, x.Y, x.Z)
	return LinearRGB{r, g, b}
}

// Lab returns the CIELAB (D65, 2°) of the colour.
func (c LinearRGB) Lab() Lab { return c.XYZ().Lab(screenWhite) }

// LinearRGB returns a D65 CIELAB colour in linear sRGB.
func (l Lab) LinearRGB() LinearRGB { return l.XYZ(screenWhite).LinearRGB() }

// InScreen says whether a screen can show the colour without clipping.
func (c LinearRGB) InScreen() bool {
	const eps = 1e-9
	in := func(v float64) bool { return v >= -eps && v <= 1+eps }
	return in(c.R) && in(c.G) && in(c.B)
}

// Hex returns "#rrggbb", channels outside 0…1 clipped.
func (c LinearRGB) Hex() string {
	r, g, b := EncodeSRGB8(c)
	return fmt.Sprintf("#%02x%02x%02x", r, g, b)
}

// AtScreenLimit says whether a channel lies at or beyond the end of the screen's range.
func AtScreenLimit(c LinearRGB) bool {
	const low, high = 0.5 / 255 / 12.92, 0.995
	at := func(v float64) bool { return v <= low || v >= high }
	return at(c.R) || at(c.G) || at(c.B)
}
