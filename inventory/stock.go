package inventory

import (
	"undercoat/palette/colour"
)

// Stock is a snapshot of the shelf: immutable, sorted by code, with
// reservations taken off. The zero value is an empty shelf.
type Stock struct{ in *stock }

type stock struct {
	paints []Paint
	dyes   []Dye
	cloths []Cloth
	trims  []Trim
}

// NewStock builds a snapshot; it refuses empty and repeated codes.
func NewStock(paints []Paint, dyes []Dye, cloths []Cloth, trims []Trim) (Stock, error) {
	return Stock{&stock{paints, dyes, cloths, trims}}, nil
}

// Near is one article near a target colour.
type Near struct {
	Article    Article
	Difference float64 // ΔE00 in daylight
	Words      string  // how the article differs from the target
}

// Paint returns the paint, sealer or treatment of that code.
func (s Stock) Paint(code string) (Paint, bool) { return Paint{}, false }

// Dye returns the dye of that code.
func (s Stock) Dye(code string) (Dye, bool) { return Dye{}, false }

// Cloth returns the cloth of that code.
func (s Stock) Cloth(code string) (Cloth, bool) { return Cloth{}, false }

// Trim returns the trim of that code.
func (s Stock) Trim(code string) (Trim, bool) { return Trim{}, false }

// Article returns what the line of that code has in common with every other.
func (s Stock) Article(code string) (Article, bool) { return Article{}, false }

// Paints returns the paints, sealers and treatments by code.
func (s Stock) Paints() []Paint { return nil }

// Dyes returns the dyes by code.
func (s Stock) Dyes() []Dye { return nil }

// Cloths returns the cloths by code.
func (s Stock) Cloths() []Cloth { return nil }

// Trims returns the trims by code.
func (s Stock) Trims() []Trim { return nil }

// Articles returns every line by code.
func (s Stock) Articles() []Article { return nil }

// Len returns the number of lines.
func (s Stock) Len() int { return 0 }

// Nearest returns the n articles nearest to target by ΔE00, nearest first.
func (s Stock) Nearest(target colour.Lab, n int, kinds ...Kind) []Near { return nil }
