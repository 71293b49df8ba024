package match

import (
	"fmt"
	"math/rand/v2"
	"slices"

	"undercoat/inventory"
	"undercoat/palette/colour"
)

// Build returns the colour of the ground and after every coat of layers, from
// the ground up, seen under a light (the zero Light is daylight), each with the
// range its inputs and the stretch of the ground allow: the colour is that at
// rest. It fails where a code is unknown, a number of coats
// is not 1 to [MostCoats], or the ground has no colour.
//
// The sampled ranges have one fixed seed: the same stack gives the same bytes.
func Build(ground Ground, layers []Layer, light Light, stock inventory.Stock) ([]Step, error) {
	at, err := groundLook(ground, stock)
	if err != nil {
		return nil, fmt.Errorf("predict layers: %w", err)
	}
	pots, err := potsOf(layers, stock)
	if err != nil {
		return nil, fmt.Errorf("predict layers: %w", err)
	}
	for _, l := range layers {
		if l.Coats < 1 || l.Coats > MostCoats {
			return nil, fmt.Errorf("predict layers: %s: %d coats: expected 1 to %d", l.Code, l.Coats, MostCoats)
		}
	}
	seen := light.Light
	if seen == (colour.Light{}) {
		seen = colour.D65()
	}
	walks := [][]look{walk(at, pots, layers)}
	rng, wear := rand.New(rand.NewPCG(0, 0x6c6179657273)), wearing(0)
	samplers := samplersOf(pots)
	for range layerDraws {
		w := walk(at.drawn(rng), drawn(pots, samplers, rng), layers)
		walks = append(walks, stretched(w, pots, layers, ground.Stretch*wear.Float64()))
	}
	out := steps(walks, ground.Code, layers, seen)
	coat := 0
	for i, l := range layers {
		for range l.Coats {
			coat++
			out[coat].HighVis = highVis(pots[:i+1], walks[0][coat].day)
		}
	}
	return out, nil
}

// layerDraws is the number of sampled stacks behind a range of colours.
const layerDraws = 60

// walk returns the look of the ground and after every coat.
func walk(at look, pots []pot, layers []Layer) []look {
	out := []look{at}
	for i, p := range pots {
		under := at
		for n := 1; n <= layers[i].Coats; n++ {
			at = under.coated(p, float64(n))
			out = append(out, at)
		}
	}
	return out
}

func steps(walks [][]look, ground string, layers []Layer, light colour.Light) []Step {
	var out []Step
	codes := []string{ground}
	for _, l := range layers {
		for range l.Coats {
			codes = append(codes, l.Code)
		}
	}
	for i, code := range codes {
		var labs []colour.Lab
		for _, w := range walks {
			labs = append(labs, w[i].under(light))
		}
		p := predictionOf(labs[0])
		p.Reflectance = walks[0][i].r
		p.Low, p.High = spread(labs)
		out = append(out, Step{Coat: i, Code: code, Predicted: p, Luminance: labs[0].XYZ(light.White()).Y})
	}
	return out
}

// predictionOf returns a prediction without a range.
func predictionOf(lab colour.Lab) Prediction {
	return Prediction{Lab: lab, Low: lab, High: lab, Hex: ScreenHex(lab), OutOfScreen: !lab.LinearRGB().InScreen()}
}

// ScreenHex returns what a screen shows for a daylight colour: the colour
// itself where it can, else the most vivid one of the same hue and lightness
// (white above it), so that a coral too bright for a screen still reads as
// coral.
func ScreenHex(lab colour.Lab) string {
	if rgb := lab.LinearRGB(); rgb.InScreen() {
		return rgb.Hex()
	}
	c := lab.LCh()
	c.L = min(max(c.L, 0), 100)
	lo, hi := 0.0, c.C
	for range 20 {
		c.C = (lo + hi) / 2
		if c.Lab().LinearRGB().InScreen() {
			lo = c.C
		} else {
			hi = c.C
		}
	}
	c.C = lo
	return c.Lab().LinearRGB().Hex()
}

// spread returns the 10th and 90th percentile of each of L*, a*, b*, holding
// the first of the colours between them.
func spread(labs []colour.Lab) (low, high colour.Lab) {
	pick := func(of func(colour.Lab) float64) (float64, float64) {
		v := make([]float64, len(labs))
		for i, l := range labs {
			v[i] = of(l)
		}
		first := v[0]
		slices.Sort(v)
		n := len(v)
		return min(first, v[n/10]), max(first, v[n-1-n/10])
	}
	low.L, high.L = pick(func(l colour.Lab) float64 { return l.L })
	low.A, high.A = pick(func(l colour.Lab) float64 { return l.A })
	low.B, high.B = pick(func(l colour.Lab) float64 { return l.B })
	return low, high
}
