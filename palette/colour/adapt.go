package colour

import "sync"

// bradford turns XYZ into the sharpened cone responses of Lam (1985).
// Source: ICC.1:2010, annex E.
var bradford = [3][3]float64{
	{0.8951, 0.2664, -0.1614},
	{-0.7502, 1.7135, 0.0367},
	{0.0389, -0.0685, 1.0296},
}

// bradfordBack turns the responses into XYZ again.
var bradfordBack = sync.OnceValue(func() [3][3]float64 { return inverse3(bradford) })

// Adapt returns the tristimulus values that look under the white to as x
// looks under the white from: linear Bradford adaptation, complete, the
// default (and only) one of the house. White goes to white exactly up to
// rounding; equal whites change nothing. Both whites must be real (positive
// cone responses); their scale is kept.
//
// Source: Lam (1985), in the linear form of ICC.1:2010, annex E.
func Adapt(x XYZ, from, to XYZ) XYZ {
	if from == to {
		return x
	}
	c, f, t := apply3(bradford, x), apply3(bradford, from), apply3(bradford, to)
	return apply3(bradfordBack(), XYZ{c.X * t.X / f.X, c.Y * t.Y / f.Y, c.Z * t.Z / f.Z})
}

func apply3(m [3][3]float64, v XYZ) XYZ {
	return XYZ{
		m[0][0]*v.X + m[0][1]*v.Y + m[0][2]*v.Z,
		m[1][0]*v.X + m[1][1]*v.Y + m[1][2]*v.Z,
		m[2][0]*v.X + m[2][1]*v.Y + m[2][2]*v.Z,
	}
}

// inverse3 returns the inverse of a regular matrix, by cofactors.
func inverse3(m [3][3]float64) [3][3]float64 {
	var out [3][3]float64
	for i := range 3 {
		for j := range 3 {
			a, b, c, d := (i+1)%3, (i+2)%3, (j+1)%3, (j+2)%3
			out[j][i] = m[a][c]*m[b][d] - m[a][d]*m[b][c]
		}
	}
	det := m[0][0]*out[0][0] + m[0][1]*out[1][0] + m[0][2]*out[2][0]
	for i := range 3 {
		for j := range 3 {
			out[i][j] /= det
		}
	}
	return out
}
