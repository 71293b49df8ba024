package keeper

import "strings"

// Letters are drawn, not set: capitals of one stroke width in a cell 4 wide
// and 6 high, only those the pictures need.
var letters = map[rune]string{
	'A': "M 0 6 L 2 0 L 4 6 M 0.8 3.9 L 3.2 3.9",
	'B': "M 0 6 L 0 0 L 1.6 0 R 3.4 0.5 3.3 2.3 1.6 2.8 L 0 2.8 M 1.6 2.8 R 4 3.2 3.9 5.5 1.8 6 L 0 6",
	'C': "M 3.8 1.1 R 2.8 0 1 0.2 0 3 1 5.8 2.8 6 3.8 4.9",
	'E': "M 3.6 0 L 0 0 L 0 6 L 3.6 6 M 0 2.9 L 2.8 2.9",
	'F': "M 3.6 0 L 0 0 L 0 6 M 0 2.9 L 2.8 2.9",
	'G': "M 3.8 1.1 R 2.8 0 1 0.2 0 3 1 5.8 2.8 6 3.9 5.2 L 3.9 3.3 L 2.5 3.3",
	'H': "M 0 0 L 0 6 M 4 0 L 4 6 M 0 2.9 L 4 2.9",
	'I': "M 2 0 L 2 6",
	'K': "M 0 0 L 0 6 M 3.8 0 L 0 3.4 M 1.3 2.3 L 4 6",
	'L': "M 0 0 L 0 6 L 3.5 6",
	'N': "M 0 6 L 0 0 L 4 6 L 4 0",
	'O': "M 2 0 R 0.6 0.6 0 3 0.6 5.4 2 6 3.4 5.4 4 3 3.4 0.6 2 0",
	'P': "M 0 6 L 0 0 L 1.8 0 R 3.9 0.6 3.8 2.8 1.8 3.3 L 0 3.3",
	'R': "M 0 6 L 0 0 L 1.8 0 R 3.8 0.5 3.7 2.7 1.8 3.2 L 0 3.2 M 1.8 3.2 L 4 6",
	'S': "M 3.6 0.9 R 2 -0.2 0.3 1.1 1.9 2.9 3.8 4.7 2 6.2 0.2 5.1",
	'T': "M 0 0 L 4 0 M 2 0 L 2 6",
	'U': "M 0 0 L 0 3.8 R 0.5 5.5 2 6 3.5 5.5 4 3.8 L 4 0",
	'W': "M 0 0 L 1 6 L 2 1.6 L 3 6 L 4 0",
	'-': "M 0.8 3 L 3.2 3",
}

// lettered gives a line of letters as strokes, from its upper left, for a
// letter height; and how long it is.
func lettered(text string, at point, height float64) (outline, float64) {
	unit := height / 6
	x := 0.0
	var out outline
	for _, r := range strings.ToUpper(text) {
		d, known := letters[r]
		switch {
		case known && r == 'W':
			out = append(out, trace(d).placed(affine{XX: unit * 1.35, YY: unit, DX: at.X + x, DY: at.Y})...)
			x += 7.2 * unit
		case known && r == 'I':
			out = append(out, trace(d).placed(place(unit, at.X+x-1.2*unit, at.Y))...)
			x += 3.4 * unit
		case known:
			out = append(out, trace(d).placed(place(unit, at.X+x, at.Y))...)
			x += 5.8 * unit
		default:
			x += 3.4 * unit
		}
	}
	return out, x - 1.8*unit
}

// centred gives a line of letters about a middle.
func centred(text string, middle point, height float64) outline {
	_, w := lettered(text, point{}, height)
	l, _ := lettered(text, point{middle.X - w/2, middle.Y}, height)
	return l
}
