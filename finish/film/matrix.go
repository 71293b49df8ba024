package film

import "undercoat/palette/colour"

const bands = colour.FluorescentBands

// matrix carries photons from the band of its column to the band of its row.
type matrix [bands][bands]float64

func identity() *matrix {
	var m matrix
	for i := range m {
		m[i][i] = 1
	}
	return &m
}

// times returns m·n.
func (m *matrix) times(n *matrix) *matrix {
	var out matrix
	for i := range m {
		row := &out[i]
		for k, a := range m[i] {
			if a == 0 {
				continue
			}
			for j, b := range &n[k] {
				row[j] += a * b
			}
		}
	}
	return &out
}

// scaled returns m with column j multiplied by d[j]: m·diag(d).
func (m *matrix) scaled(d *colour.FluorescentSpectrum) *matrix {
	out := *m
	for i := range out {
		for j := range out[i] {
			out[i][j] *= d[j]
		}
	}
	return &out
}

// plus adds n to m in place and returns m.
func (m *matrix) plus(n *matrix) *matrix {
	for i := range m {
		for j := range m[i] {
			m[i][j] += n[i][j]
		}
	}
	return m
}

// fromOne returns 1 − m.
func (m *matrix) fromOne() *matrix {
	out := identity()
	for i := range m {
		for j := range m[i] {
			out[i][j] -= m[i][j]
		}
	}
	return out
}

// solve returns m⁻¹·n by elimination with row pivoting. The matrices met here,
// 1 − RR of layers that lose some light, are never singular; one that is would
// give infinities.
func (m *matrix) solve(n *matrix) *matrix {
	a, b := *m, *n
	for c := range a {
		p := c
		for i := c + 1; i < bands; i++ {
			if abs(a[i][c]) > abs(a[p][c]) {
				p = i
			}
		}
		a[c], a[p] = a[p], a[c]
		b[c], b[p] = b[p], b[c]
		for i := c + 1; i < bands; i++ {
			f := a[i][c] / a[c][c]
			if f == 0 {
				continue
			}
			for j := c + 1; j < bands; j++ {
				a[i][j] -= f * a[c][j]
			}
			for j := range b[i] {
				b[i][j] -= f * b[c][j]
			}
		}
	}
	for c := bands - 1; c >= 0; c-- {
		row := &b[c]
		for k := c + 1; k < bands; k++ {
			f := a[c][k]
			if f == 0 {
				continue
			}
			for j, v := range &b[k] {
				row[j] -= f * v
			}
		}
		for j := range row {
			row[j] /= a[c][c]
		}
	}
	return &b
}

func abs(x float64) float64 {
	if x < 0 {
		return -x
	}
	return x
}
