package colour

// MetamerismIndex returns the special metamerism index, change of illuminant,
// of two reflectances: the ΔE00 between them under the test light after what
// difference they have under D65 is taken out, by multiplying the sample's
// test-light tristimulus values by standard over sample under D65, X, Y and Z
// each. A pair that matches in daylight gives the plain ΔE00 under the test
// light; equal reflectances give 0. Below 1 hardly seen, 1…3 may be noticed,
// above 3 "matches in daylight, off under this light" (common practice, no
// source). The number means something only where at least one of the two
// reflectances was measured. A sample that is black in X, Y or Z is not
// corrected in it.
//
// Source: CIE 15 (multiplicative correction; detail recalled, not re-read).
func MetamerismIndex(standard, sample Reflectance, test Light) float64 {
	a, b := D65().XYZ(standard), D65().XYZ(sample)
	s := test.XYZ(sample)
	s.X *= ratio(a.X, b.X)
	s.Y *= ratio(a.Y, b.Y)
	s.Z *= ratio(a.Z, b.Z)
	w := test.White()
	return Difference(test.XYZ(standard).Lab(w), s.Lab(w))
}

// ratio returns a/b, and 1 where b is nought.
func ratio(a, b float64) float64 {
	if b <= 0 {
		return 1
	}
	return a / b
}
