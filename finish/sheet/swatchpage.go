package sheet

import (
	"fmt"
	"strings"

	"undercoat/finish/plan"
)

// trueColour says what a print and a screen cannot.
const trueColour = "Ink on paper and light on a screen are not the pigment: a printed square is a rough likeness, differs from printer to printer, and cannot show a fluorescent, a metallic or a pearl. Judge by the real swatch beside the real neighbour, in daylight and under each light named here."

func swatchBits(d Data) []bit {
	bits := []bit{minding(boldRun("MIND"), plainRun(trueColour))}
	var all []card
	for _, a := range d.Plan.Areas {
		all = append(all, swatchCard(d, a))
	}
	if len(all) == 0 {
		return append(bits, words(plainRun("No area is on record yet.")))
	}
	return append(bits, cards{across: 1, all: all})
}

// swatchCard is one area: what it should be, what is predicted, and room for
// what it really became.
func swatchCard(d Data, a plan.Area) card {
	squares := faces{high: 20}
	for _, s := range colours(d, a) {
		squares.all = append(squares.all, faceOf(s))
	}
	squares.all = append(squares.all, blankFace("real swatch 1", "as it will be made"), blankFace("real swatch 2", "after correction"))
	c := card{head: []run{{text: a.Code + " " + a.Piece, bold: true, size: head}}, bits: []bit{squares}}
	if v, ok := a.Difference.Get(); ok {
		c.aside = []run{smallRun("predicted"), bigRun(fmt.Sprintf("ΔE00 %.1f", v)), smallRun(fmt.Sprintf("(%.1f to %.1f) to the target", a.DifferenceRange[0], a.DifferenceRange[1]))}
	} else if a.Target.Fluorescent {
		c.aside = []run{smallRun("fluorescent: no number, judged by the swatch")}
	}
	c.bits = append(c.bits, words(boldRun("Made with:"), plainRun(stackText(d, a))), lightBoxes(d), fields{"approved by", "on"})
	return c
}

// lightBoxes asks whether a swatch holds under each light it will be seen in.
func lightBoxes(d Data) bit {
	lines := []bit{tick(plainRun("daylight"))}
	for _, l := range d.Job.JudgingLights() {
		if !strings.EqualFold(l.Name, "daylight") {
			lines = append(lines, tick(plainRun(l.Name)))
		}
	}
	return ticks{across: min(len(lines), 4), lines: lines}
}

// stackText says in a line what an area is made with.
func stackText(d Data, a plan.Area) string {
	if len(a.Layers) == 0 {
		return "not chosen yet"
	}
	var parts []string
	if a.Ground != "" {
		parts = append(parts, d.name(a.Ground))
	}
	for _, y := range a.Layers {
		s := d.name(y.Code)
		if y.Coats > 0 {
			s += fmt.Sprintf(" × %d", y.Coats)
		}
		if y.Code != a.Ground {
			parts = append(parts, s)
		}
	}
	return strings.Join(parts, " → ")
}
