package colour

// MetamerismIndex returns the special metamerism index, change of illuminant:
// ΔE00 of two reflectances under the test light after a D65 difference is taken out.
func MetamerismIndex(standard, sample Reflectance, test Light) float64 {
	return Difference(test.Lab(standard), test.Lab(sample))
}
