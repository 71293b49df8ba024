package palette

import "undercoat/palette/colour"

// Anchor is a spot of the picture whose colour is known: a grey card, a white
// collar, any swatch that was measured.
type Anchor struct {
	Rect
	Colour colour.Lab // what the spot is known to be, D65; a neutral has A = B = 0
}
