package palette

import "math"

// mat3 is a 3 × 3 matrix, row by row.
type mat3 [9]float64

var identity = mat3{1, 0, 0, 0, 1, 0, 0, 0, 1}

// times returns m·v.
func (m mat3) times(v [3]float64) [3]float64 {
	return [3]float64{
		m[0]*v[0] + m[1]*v[1] + m[2]*v[2],
		m[3]*v[0] + m[4]*v[1] + m[5]*v[2],
		m[6]*v[0] + m[7]*v[1] + m[8]*v[2],
	}
}

// mul returns m·n.
func (m mat3) mul(n mat3) mat3 {
	var p mat3
	for i := range 3 {
		for j := range 3 {
			for k := range 3 {
				p[3*i+j] += m[3*i+k] * n[3*k+j]
			}
		}
	}
	return p
}

// diagonal returns the matrix that multiplies each channel by its own factor.
func diagonal(v [3]float64) mat3 {
	return mat3{v[0], 0, 0, 0, v[1], 0, 0, 0, v[2]}
}

// inverse returns the inverse; ok is false where there is none to speak of.
func (m mat3) inverse() (inv mat3, ok bool) {
	inv = mat3{
		m[4]*m[8] - m[5]*m[7], m[2]*m[7] - m[1]*m[8], m[1]*m[5] - m[2]*m[4],
		m[5]*m[6] - m[3]*m[8], m[0]*m[8] - m[2]*m[6], m[2]*m[3] - m[0]*m[5],
		m[3]*m[7] - m[4]*m[6], m[1]*m[6] - m[0]*m[7], m[0]*m[4] - m[1]*m[3],
	}
	det := m[0]*inv[0] + m[1]*inv[3] + m[2]*inv[6]
	if math.IsNaN(det) || math.Abs(det) < 1e-9 {
		return mat3{}, false
	}
	for i := range inv {
		inv[i] /= det
	}
	return inv, true
}
