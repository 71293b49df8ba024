package palette

import (
	"math"
	"sync"

	"undercoat/palette/colour"
)

// pcsWhite is the white of the profile connection space: D50 as ICC profiles
// state it.
//
// Source: ICC.1:2022, 7.2.16.
var pcsWhite = [3]float64{0.9642, 1, 0.8249}

// screenWhite is D65 as sRGB states it (x 0.3127, y 0.3290).
//
// Source: IEC 61966-2-1.
var screenWhite = whiteOf(d65xy)

// whiteOf returns the tristimulus values, Y = 1, of a chromaticity.
func whiteOf(xy [2]float64) [3]float64 {
	return [3]float64{xy[0] / xy[1], 1, (1 - xy[0] - xy[1]) / xy[1]}
}

// bradford is the linear Bradford cone matrix.
//
// Source: ICC.1:2022, annex E.3.
var bradford = mat3{
	0.8951, 0.2664, -0.1614,
	-0.7502, 1.7135, 0.0367,
	0.0389, -0.0685, 1.0296,
}

// adaptBradford returns the matrix that carries tristimulus values seen under one
// white to those under another (ICC.1:2022, annex E.3, equation E.5).
func adaptBradford(from, to [3]float64) mat3 {
	back, _ := bradford.inverse()
	f, t := bradford.times(from), bradford.times(to)
	return back.mul(diagonal([3]float64{t[0] / f[0], t[1] / f[1], t[2] / f[2]})).mul(bradford)
}

// xyzToLinear is the matrix from D65 tristimulus values to linear sRGB, the
// inverse of the one that package colour uses, so that both agree.
var xyzToLinear = sync.OnceValue(func() mat3 {
	r := colour.LinearRGB{R: 1}.XYZ()
	g := colour.LinearRGB{G: 1}.XYZ()
	b := colour.LinearRGB{B: 1}.XYZ()
	inv, ok := mat3{r.X, g.X, b.X, r.Y, g.Y, b.Y, r.Z, g.Z, b.Z}.inverse()
	if !ok {
		panic("palette: the primaries of sRGB do not span it")
	}
	return inv
})

// lens returns how to read a picture of these primaries, all channels by one
// curve. ok is false where the primaries do not span a space.
func (p primaries) lens(t *tone) (lens, bool) {
	toXYZ, ok := p.toXYZ()
	if !ok {
		return lens{}, false
	}
	m := xyzToLinear().mul(adaptBradford(whiteOf(p.white), screenWhite)).mul(toXYZ)
	return newLens(t, t, t, m), true
}

// toXYZ returns the matrix from linear values to tristimulus values (white Y = 1).
//
// Source: SMPTE RP 177-1993, section 3.3.
func (p primaries) toXYZ() (mat3, bool) {
	for _, xy := range [][2]float64{p.white, p.red, p.green, p.blue} {
		if xy[1] < 1e-4 || xy[0] < 0 || xy[0] > 1 || xy[1] > 1 {
			return mat3{}, false
		}
	}
	r, g, b := whiteOf(p.red), whiteOf(p.green), whiteOf(p.blue)
	m := mat3{r[0], g[0], b[0], r[1], g[1], b[1], r[2], g[2], b[2]}
	inv, ok := m.inverse()
	if !ok {
		return mat3{}, false
	}
	return m.mul(diagonal(inv.times(whiteOf(p.white)))), true
}

// finite says whether every value is a number within reason.
func (m mat3) finite() bool {
	for _, v := range m {
		if math.IsNaN(v) || math.Abs(v) > 1e3 {
			return false
		}
	}
	return true
}
