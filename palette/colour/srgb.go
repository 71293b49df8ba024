package colour

import (
	"fmt"
	"strings"
	"sync"

	"github.com/lucasb-eyer/go-colorful"
)

// This file is the only one that knows the colour library. It gives the sRGB
// curve, the sRGB matrix and the reading of hex; the library's own Lab (scaled
// by 1/100, another white) and its hex of colours beyond the screen (which
// wraps round) are not used.

// LinearRGB is a colour by linear light of the sRGB primaries, D65, 0…1. A
// colour that no sRGB screen can show has a channel outside 0…1 and is kept
// as it is. The zero value is black.
type LinearRGB struct{ R, G, B float64 }

// screenWhite is the white of IEC 61966-2-1, x = 0.3127, y = 0.3290, Y = 1.
var screenWhite = XYZ{0.3127 / 0.3290, 1, (1 - 0.3127 - 0.3290) / 0.3290}

// linear8 holds the linear light of each 8-bit step.
var linear8 = sync.OnceValue(func() *[256]float64 {
	var t [256]float64
	for i := range t {
		t[i], _, _ = colorful.Color{R: float64(i) / 255}.LinearRgb()
	}
	return &t
})

// DecodeSRGB8 returns the linear light of an 8-bit sRGB colour, from a table.
//
// Source: IEC 61966-2-1:1999.
func DecodeSRGB8(r, g, b uint8) LinearRGB {
	t := linear8()
	return LinearRGB{t[r], t[g], t[b]}
}

// DecodeSRGB returns the linear light of an encoded sRGB colour, 0…1.
func DecodeSRGB(r, g, b float64) LinearRGB {
	lr, lg, lb := colorful.Color{R: r, G: g, B: b}.LinearRgb()
	return LinearRGB{lr, lg, lb}
}

// EncodeSRGB8 returns the nearest 8-bit sRGB colour. Channels outside 0…1 are
// clipped and never wrap; NaN becomes 0.
func EncodeSRGB8(c LinearRGB) (r, g, b uint8) {
	return colorful.LinearRgb(clip(c.R), clip(c.G), clip(c.B)).Clamped().RGB255()
}

// clip brings v into 0…1, NaN to 0.
func clip(v float64) float64 {
	switch {
	case v >= 1:
		return 1
	case v > 0:
		return v
	default:
		return 0
	}
}

// XYZ returns the D65 tristimulus values of c.
func (c LinearRGB) XYZ() XYZ {
	x, y, z := colorful.LinearRgbToXyz(c.R, c.G, c.B)
	return XYZ{x, y, z}
}

// LinearRGB returns D65 tristimulus values by linear light of sRGB.
func (t XYZ) LinearRGB() LinearRGB {
	r, g, b := colorful.XyzToLinearRgb(t.X, t.Y, t.Z)
	return LinearRGB{r, g, b}
}

// Lab returns the CIELAB colour (D65, 2°) of c.
func (c LinearRGB) Lab() Lab { return c.XYZ().Lab(screenWhite) }

// LinearRGB returns a CIELAB colour (D65, 2°) by linear light of sRGB.
func (l Lab) LinearRGB() LinearRGB { return l.XYZ(screenWhite).LinearRGB() }

// screenSlack is what rounding may add to a channel: a thousandth of the
// smallest 8-bit step.
const screenSlack = 1.0 / (12.92 * 255 * 1000)

// InScreen says whether an sRGB screen can show c unclipped. NaN is not in.
func (c LinearRGB) InScreen() bool {
	in := func(v float64) bool { return v >= -screenSlack && v <= 1+screenSlack }
	return in(c.R) && in(c.G) && in(c.B)
}

// AtScreenLimit says whether c lies at or beyond the edge of what an sRGB
// screen can show: a channel at the last or first 8-bit step. What was
// photographed or drawn there may have been brighter or purer in truth. A
// plain black (all channels at nought) counts as such an edge too.
func AtScreenLimit(c LinearRGB) bool {
	t := linear8()
	low, high := (t[0]+t[1])/2, (t[254]+t[255])/2
	at := func(v float64) bool { return v < low || v > high }
	return at(c.R) || at(c.G) || at(c.B)
}

// Hex returns "#rrggbb", the nearest 8-bit sRGB colour, clipped to the screen.
func (c LinearRGB) Hex() string {
	r, g, b := EncodeSRGB8(c)
	return fmt.Sprintf("#%02x%02x%02x", r, g, b)
}

// ParseHex reads "#rrggbb" or "#rgb" in either case, blanks around it ignored.
func ParseHex(s string) (LinearRGB, error) {
	c, err := colorful.Hex(strings.TrimSpace(s))
	if err != nil {
		return LinearRGB{}, fmt.Errorf("read colour: %q: expected #rrggbb or #rgb", s)
	}
	return DecodeSRGB8(c.RGB255()), nil
}
