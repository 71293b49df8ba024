package match

import (
	"fmt"

	"undercoat/inventory"
	"undercoat/inventory/unit"
	"undercoat/palette/colour"
)

// side is one side of a comparison: what it looks like and what of it was
// measured.
type side struct {
	look     look
	readings []Reading
	basis    colour.Basis
}

// under returns the side's colour under a light, and whether it was measured:
// read under that light, or a measured spectrum.
func (s side) under(light colour.Light) (lab colour.Lab, measured bool) {
	for _, r := range s.readings {
		if sameLight(r.Light, light) {
			return r.Lab, true
		}
	}
	return s.look.under(light), s.basis == colour.Spectral && !s.look.glows
}

// sameLight says whether a light's name on record means the light.
func sameLight(name string, light colour.Light) bool {
	if name == "" {
		name = "D65"
	}
	if name == light.Name() {
		return true
	}
	l, err := colour.LightNamed(name)
	return err == nil && l.Name() == light.Name()
}

// readingsOf returns what an instrument read of an article itself under named
// lights. A photograph is no such reading.
func readingsOf(a inventory.Article) (out []Reading) {
	for _, m := range a.Measures {
		if lab, ok := m.Lab.Get(); ok && m.OfItself() && m.Read() >= colour.Measured {
			name := m.Light
			if name == "" {
				name = "D65"
			}
			out = append(out, Reading{Light: name, Lab: lab})
		}
	}
	return out
}

// metamerismUnknown is said where both spectra are only recovered: the spread
// of real spectra behind one colour is about that wide under tungsten.
const metamerismUnknown = "change with the light unknown, typically up to ΔE00 4"

// byLight compares two sides under each light. In daylight there is nothing to
// change from.
func byLight(target, sample side, lights []Light) (out []LightDifference) {
	d65 := colour.D65()
	for _, l := range lights {
		a, aKnown := target.under(l.Light)
		b, bKnown := sample.under(l.Light)
		d := LightDifference{Light: l.Name, Difference: colour.Difference(a, b), Measured: aKnown && bKnown}
		switch {
		case l.Light == d65:
		case sample.look.glows != target.look.glows:
			d.Text = "one of the two glows: expect a change with every light"
		case aKnown || bKnown:
			d.Metamerism = unit.State(metamerism(target, sample, l.Light))
			d.Text = metamerismWords(d.Metamerism.Or(0))
		default:
			d.Text = metamerismUnknown
		}
		out = append(out, d)
	}
	return out
}

func metamerismWords(index float64) string {
	switch {
	case index < 1:
		return "little change with the light"
	case index <= 3:
		return fmt.Sprintf("may be noticed to change with the light (index %.1f)", index)
	default:
		return fmt.Sprintf("agrees in daylight but not under this light (index %.1f)", index)
	}
}

// metamerism returns the special index, change of illuminant: ΔE00 under the
// test light once what already differs in daylight has been taken out, by the
// ratio of tristimulus values.
//
// Source: CIE 015:2018, 9.2.2.3, multiplicative correction.
func metamerism(target, sample side, test colour.Light) float64 {
	d65 := colour.D65()
	xyz := func(s side, l colour.Light) colour.XYZ {
		lab, _ := s.under(l)
		return lab.XYZ(l.White())
	}
	r1, r2 := xyz(target, d65), xyz(sample, d65)
	t1, t2 := xyz(target, test), xyz(sample, test)
	t2 = colour.XYZ{X: t2.X * ratio(r1.X, r2.X), Y: t2.Y * ratio(r1.Y, r2.Y), Z: t2.Z * ratio(r1.Z, r2.Z)}
	return colour.Difference(t1.Lab(test.White()), t2.Lab(test.White()))
}

func ratio(a, b float64) float64 {
	if b <= 0 {
		return 1
	}
	return a / b
}
