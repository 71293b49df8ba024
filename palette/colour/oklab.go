package colour

import "math"

// OKLab is a colour in Ottosson's OKLab: L 0…1, a and b about −0.4…0.4. Even
// steps in it look more even in hue than CIELAB's; differences in this house
// are still stated in ΔE00. The zero value is black.
type OKLab struct{ L, A, B float64 }

// The matrices are those of CSS Color Module Level 4 (Ottosson's of 2020 with
// the D65 of sRGB carried to full precision; the digits first published
// differ by 1e-4).
var (
	okCones = [3][3]float64{
		{0.8190224379967030, 0.3619062600528904, -0.1288737815209879},
		{0.0329836539323885, 0.9292868615863434, 0.0361446663506424},
		{0.0481771893596242, 0.2642395317527308, 0.6335478284694309},
	}
	okConesBack = [3][3]float64{
		{1.2268798758459243, -0.5578149944602171, 0.2813910456659647},
		{-0.0405757452148008, 1.1122868032803170, -0.0717110580655164},
		{-0.0763729366746601, -0.4214933324022432, 1.5869240198367816},
	}
	okAxes = [3][3]float64{
		{0.2104542683093140, 0.7936177747023054, -0.0040720430116193},
		{1.9779985324311684, -2.4285922420485799, 0.4505937096174110},
		{0.0259040424655478, 0.7827717124575296, -0.8086757549230774},
	}
	okAxesBack = [3][3]float64{
		{1, 0.3963377773761749, 0.2158037573099136},
		{1, -0.1055613458156586, -0.0638541728258133},
		{1, -0.0894841775298119, -1.2914855480194092},
	}
)

// OKLab returns D65 tristimulus values in OKLab.
//
// Source: Ottosson (2020); matrices of CSS Color Module Level 4.
func (t XYZ) OKLab() OKLab {
	c := apply3(okCones, t)
	o := apply3(okAxes, XYZ{math.Cbrt(c.X), math.Cbrt(c.Y), math.Cbrt(c.Z)})
	return OKLab{o.X, o.Y, o.Z}
}

// XYZ returns the D65 tristimulus values of o.
func (o OKLab) XYZ() XYZ {
	c := apply3(okAxesBack, XYZ{o.L, o.A, o.B})
	return apply3(okConesBack, XYZ{c.X * c.X * c.X, c.Y * c.Y * c.Y, c.Z * c.Z * c.Z})
}
