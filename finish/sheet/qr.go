package sheet

import (
	"fmt"
	"strings"

	"rsc.io/qr"
)

// QR is a text as a square of dark and light modules, to be read by the camera
// of a phone (ISO/IEC 18004, error correction M: about 15 % may be spoilt). The
// zero value is empty; [NewQR] makes one.
type QR struct{ code *qr.Code }

// NewQR returns the code of a text, such as an address. Up to about 2300 bytes
// fit; the error says where more was given.
func NewQR(text string) (QR, error) {
	c, err := qr.Encode(text, qr.M)
	if err != nil {
		return QR{}, fmt.Errorf("draw QR of %d bytes: %w", len(text), err)
	}
	return QR{c}, nil
}

// quiet is the light border a reader needs, in modules (ISO/IEC 18004, 5.3.8).
const quiet = 4

// Side is the width and height in modules, the light border not counted.
func (q QR) Side() int {
	if q.code == nil {
		return 0
	}
	return q.code.Size
}

// Dark tells whether a module is dark; outside of the square everything is
// light.
func (q QR) Dark(x, y int) bool {
	return q.code != nil && x >= 0 && y >= 0 && x < q.code.Size && y < q.code.Size && q.code.Black(x, y)
}

// Lines draws the code with half blocks for a terminal that shows light text on
// a dark ground, two modules a character, border included. [QR.Coloured] does
// not depend on the terminal's colours.
func (q QR) Lines() []string { return q.blocks([4]rune{' ', '▄', '▀', '█'}) }

// Coloured draws the code as [QR.Lines] does, dark on light by the terminal's
// own black and white (ECMA-48, SGR 30 and 107), each line ending in a reset.
func (q QR) Coloured() []string {
	lines := q.blocks([4]rune{'█', '▀', '▄', ' '})
	for i, l := range lines {
		lines[i] = "\x1b[30;107m" + l + "\x1b[0m"
	}
	return lines
}

// blocks draws two rows of modules a line: the marks are for dark over dark,
// dark over light, light over dark, light over light.
func (q QR) blocks(marks [4]rune) []string {
	var lines []string
	for y := -quiet; y < q.Side()+quiet; y += 2 {
		var line strings.Builder
		for x := -quiet; x < q.Side()+quiet; x++ {
			mark := 0
			if !q.Dark(x, y) {
				mark += 2
			}
			if !q.Dark(x, y+1) {
				mark++
			}
			line.WriteRune(marks[mark])
		}
		lines = append(lines, line.String())
	}
	return lines
}

// SVG draws the code as a picture that stands alone: dark on white, border
// included, one unit a module, so that it may be shown at any size. It holds
// neither style nor script and may be set into a page under a strict policy.
func (q QR) SVG() string {
	wide := q.Side() + 2*quiet
	var b strings.Builder
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %[1]d %[1]d" shape-rendering="crispEdges" role="img"><title>QR code</title><rect width="%[1]d" height="%[1]d" fill="#ffffff"/><path fill="#000000" d="`, wide)
	for y := range q.Side() {
		for x := 0; x < q.Side(); x++ {
			from := x
			for q.Dark(x, y) {
				x++
			}
			if x > from {
				fmt.Fprintf(&b, "M%d %dh%dv1h-%dz", from+quiet, y+quiet, x-from, x-from)
			}
		}
	}
	b.WriteString("\"/></svg>\n")
	return b.String()
}
