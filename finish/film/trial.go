package film

import "undercoat/palette/colour"

// Trial is a film somebody laid and looked at: a drawdown, a brush-out or a
// strike-off. Over is what it lay on, Coats how many coats (or the film in
// coats), Seen the colour found, Error its standard deviation in ΔE00 (0:
// taken from the basis of Seen).
type Trial struct {
	Over  colour.Reflectance
	Coats float64
	Seen  colour.Colour
	Error float64
}
