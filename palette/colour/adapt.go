package colour

// Adapt carries tristimulus values from one white to another (linear Bradford).
func Adapt(x XYZ, from, to XYZ) XYZ {
	return XYZ{x.X * to.X / from.X, x.Y * to.Y / from.Y, x.Z * to.Z / from.Z}
}
