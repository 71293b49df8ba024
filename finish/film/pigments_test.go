package film

import (
	"testing"

	"undercoat/palette/colour"
)

// pigment is one of the 19 published artists' acrylics.
type pigment struct {
	Index, Name string
	Film        Film // X = 1, internal: without its surface
}

// pigments reads K and S of the published set (Berns, artist paint spectral
// database, 2016), 380…730 nm.
func pigments(t testing.TB) []pigment {
	t.Helper()
	var out []pigment
	for _, r := range reference(t, "optics/pigment_KS_spectral_19.csv") {
		if len(out) == 0 || out[len(out)-1].Index != r.cell["colour_index"] || out[len(out)-1].Name != r.cell["pigment"] {
			out = append(out, pigment{Index: r.cell["colour_index"], Name: r.cell["pigment"], Film: Film{X: 1}})
		}
		p := &out[len(out)-1]
		var s colour.Spectrum = r.spectrum()
		if r.cell["coef"] == "K" {
			p.Film.K = s
		} else {
			p.Film.S = s
		}
	}
	return out
}
