package colour

import "math"

// Lab is a CIELAB colour: L* 0…100 (more for a fluorescent), a* green to red,
// b* blue to yellow, each about −130…130. D65 and the 2° observer are meant
// wherever nothing else is said. The zero value is black.
type Lab struct{ L, A, B float64 }

// LCh is CIELAB by lightness, chroma C* (0 or more) and hue angle in degrees
// (0 up to but not 360; 0 for a neutral). The zero value is black.
type LCh struct{ L, C, H float64 }

// labJoint is where the cube root of CIELAB meets its straight part, as the
// cube root itself: 6/29.
const labJoint = 6.0 / 29

// labCurve is the function f of ISO/CIE 11664-4.
func labCurve(t float64) float64 {
	if t > labJoint*labJoint*labJoint {
		return math.Cbrt(t)
	}
	return t/(3*labJoint*labJoint) + 4.0/29
}

// labCurveBack is the inverse of labCurve.
func labCurveBack(f float64) float64 {
	if f > labJoint {
		return f * f * f
	}
	return 3 * labJoint * labJoint * (f - 4.0/29)
}

// XYZ returns the tristimulus values of l under the given white: the inverse
// of [XYZ.Lab]. A Lab no light can have gives components below 0.
//
// Source: ISO/CIE 11664-4.
func (l Lab) XYZ(white XYZ) XYZ {
	fy := (l.L + 16) / 116
	return XYZ{
		white.X * labCurveBack(fy+l.A/500),
		white.Y * labCurveBack(fy),
		white.Z * labCurveBack(fy-l.B/200),
	}
}

// LCh returns l by lightness, chroma and hue.
func (l Lab) LCh() LCh {
	c := math.Hypot(l.A, l.B)
	if c == 0 {
		return LCh{L: l.L}
	}
	return LCh{l.L, c, degrees(l.A, l.B)}
}

// Lab returns c by its coordinates; any hue angle is accepted.
func (c LCh) Lab() Lab {
	sin, cos := math.Sincos(c.H * math.Pi / 180)
	return Lab{c.L, c.C * cos, c.C * sin}
}

// finite says whether all three coordinates are numbers.
func (l Lab) finite() bool {
	s := l.L*0 + l.A*0 + l.B*0 // 0, or NaN as soon as one is NaN or infinite
	return s == 0
}

// degrees returns the angle of (x, y) in [0, 360).
func degrees(x, y float64) float64 {
	h := math.Atan2(y, x) * (180 / math.Pi)
	if h < 0 {
		h += 360
	}
	if h >= 360 { // a tiny negative angle rounds up to it
		h = 0
	}
	return h
}
