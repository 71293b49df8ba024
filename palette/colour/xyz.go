package colour

import "math"

// XYZ holds CIE tristimulus values scaled so that the white of the light has
// Y = 1.
type XYZ struct{ X, Y, Z float64 }

// Lab is a CIELAB colour: L* 0…100, a* and b* about −130…130.
type Lab struct{ L, A, B float64 }

// LCh is CIELAB in cylinder form: L* 0…100, C* ≥ 0, h in degrees [0, 360).
type LCh struct{ L, C, H float64 }

// OKLab is a colour in Ottosson's OKLab: L 0…1.
type OKLab struct{ L, A, B float64 }

const (
	labDelta = 6.0 / 29
)

func labF(t float64) float64 {
	if t > labDelta*labDelta*labDelta {
		return math.Cbrt(t)
	}
	return t/(3*labDelta*labDelta) + 4.0/29
}

func labInverse(f float64) float64 {
	if f > labDelta {
		return f * f * f
	}
	return 3 * labDelta * labDelta * (f - 4.0/29)
}

// Lab returns CIELAB of x against the given white.
func (x XYZ) Lab(white XYZ) Lab {
	fx, fy, fz := labF(x.X/white.X), labF(x.Y/white.Y), labF(x.Z/white.Z)
	return Lab{116*fy - 16, 500 * (fx - fy), 200 * (fy - fz)}
}

// XYZ returns the tristimulus values of l under the given white.
func (l Lab) XYZ(white XYZ) XYZ {
	fy := (l.L + 16) / 116
	return XYZ{
		white.X * labInverse(fy+l.A/500),
		white.Y * labInverse(fy),
		white.Z * labInverse(fy-l.B/200),
	}
}

// LCh returns l in cylinder form; a neutral has hue 0.
func (l Lab) LCh() LCh {
	c := math.Hypot(l.A, l.B)
	if c == 0 {
		return LCh{L: l.L}
	}
	h := math.Atan2(l.B, l.A) * 180 / math.Pi
	if h < 0 {
		h += 360
	}
	if h >= 360 {
		h = 0
	}
	return LCh{l.L, c, h}
}

// Lab returns c in box form.
func (c LCh) Lab() Lab {
	s, co := math.Sincos(c.H * math.Pi / 180)
	return Lab{c.L, c.C * co, c.C * s}
}
