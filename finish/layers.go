package finish

import (
	"context"

	"undercoat/finish/garment"
	"undercoat/finish/match"
	"undercoat/palette/colour"
)

// LayersAnswer is the colour after every coat. Its JSON is the `layers`
// contract.
type LayersAnswer struct {
	Ground string       `json:"ground"`
	Light  string       `json:"light"`
	Steps  []LayersStep `json:"steps"`
}

// LayersStep is the colour after one more coat; coat 0 is the ground.
type LayersStep struct {
	Coat int    `json:"coat"`
	Code string `json:"code"`
	PredictedAnswer
	Words     string  `json:"words"`
	Luminance float64 `json:"luminance"`                 // white 1; a fluorescent may exceed it
	HighVis   string  `json:"high_visibility,omitempty"` // how a fluorescent lies, in daylight, to the published box of its class; no certificate
}

// Layers predicts the colour after every coat laid on a ground, under a named
// light ("" is D65).
func (b *Bench) Layers(ctx context.Context, ground string, coats []garment.Layer, light string) (LayersAnswer, error) {
	stock, err := b.file.Stock(ctx)
	if err != nil {
		return LayersAnswer{}, err
	}
	s := scene{stock: stock}
	for _, code := range append([]string{ground}, codesOf(coats)...) {
		if _, err := s.article(code); err != nil {
			return LayersAnswer{}, err
		}
	}
	l := colour.D65()
	if light != "" {
		if l, err = colour.LightNamed(light); err != nil {
			return LayersAnswer{}, err
		}
	}
	steps, err := match.Build(match.Ground{Code: ground}, matchLayers(coats), match.Light{Name: l.Name(), Light: l, UV: l.Name() == "D65"}, stock)
	if err != nil {
		return LayersAnswer{}, err
	}
	a := LayersAnswer{Ground: ground, Light: l.Name()}
	for _, st := range steps {
		a.Steps = append(a.Steps, LayersStep{
			Coat: st.Coat, Code: st.Code, PredictedAnswer: predicted(st.Predicted), Words: colour.Name(st.Predicted.Lab), Luminance: round(st.Luminance, 3), HighVis: st.HighVis,
		})
	}
	return a, nil
}

func codesOf(layers []garment.Layer) []string {
	var codes []string
	for _, l := range layers {
		codes = append(codes, l.Code)
	}
	return codes
}

func matchLayers(layers []garment.Layer) []match.Layer {
	var out []match.Layer
	for _, l := range layers {
		out = append(out, match.Layer{Code: l.Code, Coats: l.Coats})
	}
	return out
}
