package colour

// XYZ holds CIE tristimulus values, scaled so that the perfect white of the
// light has Y = 1. X and Z then end near 0.95 and 1.09 under D65. A
// fluorescent may exceed the white. The zero value is black.
type XYZ struct{ X, Y, Z float64 }

// Chromaticity returns the CIE x, y of t; black has none and gives 0, 0.
func (t XYZ) Chromaticity() (x, y float64) {
	s := t.X + t.Y + t.Z
	if s == 0 {
		return 0, 0
	}
	return t.X / s, t.Y / s
}

// Lab returns the CIELAB colour of t against the given white (all three
// components positive), as a rule that of the light t was computed under.
// L* above 100 is kept, as fluorescents have it; negative tristimulus values
// continue the straight part of the curve.
//
// Source: ISO/CIE 11664-4.
func (t XYZ) Lab(white XYZ) Lab {
	fx, fy, fz := labCurve(t.X/white.X), labCurve(t.Y/white.Y), labCurve(t.Z/white.Z)
	return Lab{116*fy - 16, 500 * (fx - fy), 200 * (fy - fz)}
}
