package garment

import (
	"fmt"
	"strings"
	"time"

	"undercoat/inventory"
	"undercoat/inventory/unit"
)

// Method is how an area gets its colour.
type Method string

// The methods a table may name.
const (
	ByPaint Method = "paint" // coats on a ground
	ByCloth Method = "cloth" // cut from cloth of that colour
	ByDye   Method = "dye"   // dyed or inked
	ByTrim  Method = "trim"  // applied trim
)

// Layer is one product of a stack with its number of coats; 0 coats leaves
// the number to the planner.
type Layer = inventory.RecipeLayer

// ParseLayer reads "W1:3" or "W1". Coats run from 1 to 12; the error says
// what was expected.
func ParseLayer(s string) (Layer, error) {
	code, n, counted := strings.Cut(strings.TrimSpace(s), ":")
	code = strings.TrimSpace(code)
	if code == "" {
		return Layer{}, fmt.Errorf("layer %q: expected a stock code and a number of coats, like W1:3", s)
	}
	if !counted {
		return Layer{Code: code}, nil
	}
	var coats int
	if _, err := fmt.Sscanf(strings.TrimSpace(n)+"\n", "%d\n", &coats); err != nil || coats < 1 || coats > 12 {
		return Layer{}, fmt.Errorf("layer %q: expected 1 to 12 coats after the colon", s)
	}
	return Layer{Code: code, Coats: coats}, nil
}

// ParseLayers reads layers from the ground up, separated by sep ("," on a
// command line, ";" in a table). An empty text gives none.
func ParseLayers(s, sep string) ([]Layer, error) {
	if strings.TrimSpace(s) == "" {
		return nil, nil
	}
	var layers []Layer
	for _, part := range strings.Split(s, sep) {
		l, err := ParseLayer(part)
		if err != nil {
			return nil, err
		}
		layers = append(layers, l)
	}
	return layers, nil
}

// Area is a surface on a piece with one intended colour and finish: the unit
// that is matched and painted. Codes are unique in a job; where a method
// needs an extent it is above 0.
type Area struct {
	Code, Piece, Look, Note string
	Method                  Method
	Target                  Target
	Tolerance               float64       // ΔE00 accepted, D65
	Cloth                   unit.Extent   // cut from cloth, lead wearer; 0 where none
	Painted                 unit.Extent   // painted, all sides, lead wearer; 0 where none
	Ground                  string        // stock code of what lies under the coats; "" where nothing is painted
	Stretch                 float64       // greatest stretch in wear, 0.40 = 40 %
	Skin                    bool          // lies against skin
	Sides                   int           // painted faces, 1 or 2
	CoatHands               time.Duration // hands time of one coat on every wearer's piece; 0 where not stated
	Rail                    unit.Length   // rail one hung piece takes while drying; 0 where it lies flat
	Share                   float64       // share of the area a glaze covers, 1 where not stated
	Recipe                  []Layer       // already chosen, from the ground up; nil where open
}

// Contact is a pair of surfaces, or a surface and skin, that touch or rub in
// wear or in the bag.
type Contact struct {
	Code     string
	From, To string // area codes; To may be [Skin]
	Rubbing  Rubbing
	Damp     bool // damp or warm
	Hours    float64
	Note     string
}

// Skin is what a contact's To says for the wearer's own skin.
const Skin = "skin"

// Rubbing is how hard two surfaces work on each other.
type Rubbing int

// From lying still to a strap under load.
const (
	RubNone Rubbing = iota
	RubLow
	RubMedium
	RubHigh
)

var rubbingWords = [...]string{"none", "low", "medium", "high"}

// String gives the table's word.
func (r Rubbing) String() string {
	if r < 0 || int(r) >= len(rubbingWords) {
		return fmt.Sprintf("rubbing(%d)", int(r))
	}
	return rubbingWords[r]
}

// ParseRubbing reads the table's word.
func ParseRubbing(s string) (Rubbing, error) {
	for i, w := range rubbingWords {
		if s == w {
			return Rubbing(i), nil
		}
	}
	return 0, fmt.Errorf("rubbing %q: expected none, low, medium or high", s)
}
