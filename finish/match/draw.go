package match

import (
	"math"
	"math/rand/v2"

	"undercoat/finish/film"
)

// samplersOf prepares the sampling of every product.
func samplersOf(pots []pot) []film.Sampler {
	out := make([]film.Sampler, len(pots))
	for i, p := range pots {
		switch {
		case !p.known || p.role == Glow:
		case p.draws != nil:
			out[i] = p.draws()
		default:
			out[i] = p.film.Sampler()
		}
	}
	return out
}

// drawn returns the products as they might really be.
func drawn(pots []pot, samplers []film.Sampler, rng *rand.Rand) []pot {
	out := make([]pot, len(pots))
	for i, p := range pots {
		out[i] = p
		switch {
		case !p.known:
		case p.role == Glow:
			out[i].thick = math.Exp(handBuild * rng.NormFloat64())
		default:
			out[i].film = samplers[i].Draw(rng)
		}
	}
	return out
}

// drawn returns the ground as it might really take a coat.
func (l look) drawn(rng *rand.Rand) look {
	l.takes = l.cloth.some(rng.Float64(), rng.Float64())
	return l
}
