package film

import (
	"math"
	"math/rand/v2"

	"undercoat/palette/colour"
)

// Doubt is one thing about a paint that is not known exactly.
type Doubt uint8

const (
	DoubtScatter Doubt = iota // how well the paint hides
	DoubtBuild                // how thick a hand lays it
	DoubtColour               // what it looks like where it hides all
)

// String names the doubt as a maker would.
func (d Doubt) String() string {
	return [...]string{"how well the paint hides", "how thick a coat is laid", "the paint's own colour"}[d]
}

// Sampler draws coats a paint might really lay, within its doubts. It is made
// once per paint, by [Paint.Sampler]; it holds no random source of its own.
type Sampler struct {
	paint Paint
	// logs of K/S moved by one standard deviation of L*, a* and b*.
	lean [3]colour.Spectrum
}

// Sampler prepares the sampling of a paint.
func (p Paint) Sampler() Sampler {
	s := Sampler{paint: p}
	if p.Lab <= 0 {
		return s
	}
	lab := p.Swatch.Lab()
	at := logRatios(lab)
	for i := range s.lean {
		moved, sign := lab, 1.0
		if i == 0 && lab.L > 90 {
			sign = -1 // there is no room above
		}
		switch i {
		case 0:
			moved.L += sign * p.Lab
		case 1:
			moved.A += p.Lab
		case 2:
			moved.B += p.Lab
		}
		to := logRatios(moved)
		for b := range to {
			s.lean[i][b] = sign * (to[b] - at[b])
		}
	}
	return s
}

// logRatios returns ln K/S of the masstone recovered from a colour.
func logRatios(l colour.Lab) (q colour.Spectrum) {
	r, _ := colour.Recover(l.XYZ(colour.D65().White()))
	for i, k := range ratios(r) {
		q[i] = math.Log(k)
	}
	return q
}

// Draw returns the paint as it might be. The generator decides everything, so
// equal seeds give equal paints.
func (s Sampler) Draw(rng *rand.Rand) Paint {
	var z [3]float64
	for i := range z {
		z[i] = rng.NormFloat64()
	}
	return s.paintAt(rng.NormFloat64(), rng.NormFloat64(), z)
}

// Doubts lists what the paint's films differ by.
func (s Sampler) Doubts() []Doubt { return []Doubt{DoubtScatter, DoubtBuild, DoubtColour} }

// Moved returns the paint with one doubt moved by z standard deviations. For
// the colour that is its lightness.
func (s Sampler) Moved(d Doubt, z float64) Paint {
	switch d {
	case DoubtScatter:
		return s.paintAt(z, 0, [3]float64{})
	case DoubtBuild:
		return s.paintAt(0, z, [3]float64{})
	default:
		return s.paintAt(0, 0, [3]float64{z})
	}
}

func (s Sampler) paintAt(scatter, build float64, lab [3]float64) Paint {
	p := s.paint
	f := &p.Coat
	up := math.Exp(s.paint.Scatter * scatter)
	for i := range f.S {
		f.S[i] *= up
		f.K[i] *= up * math.Exp(lab[0]*s.lean[0][i]+lab[1]*s.lean[1][i]+lab[2]*s.lean[2][i])
	}
	f.X *= math.Exp(s.paint.Build * build)
	return p
}
