package web

import (
	"math"

	"undercoat/finish"
	"undercoat/palette/colour"
)

// coatFaces hold the colour after every coat against the target of a strip; a
// fluorescent target is no measure for a difference.
func coatFaces(a finish.LayersAnswer, st finish.Strip) []coatFace {
	var out []coatFace
	t := st.Target.Target
	for _, step := range a.Steps {
		f := coatFace{LayersStep: step}
		if t != nil && !(stripBody{Strip: st}).Fluorescent() {
			was, is := labFrom(t.Lab), labFrom(step.Lab)
			d := math.Round(10*colour.Difference(was, is)) / 10
			f.Away, f.Lies = &d, colour.InWords(was, is)
		}
		out = append(out, f)
	}
	return out
}

func labFrom(v [3]float64) colour.Lab { return colour.Lab{L: v[0], A: v[1], B: v[2]} }
