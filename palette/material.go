package palette

import (
	"errors"

	"undercoat/palette/colour"
)

// MaterialOptions says how many colours are wanted. The zero value lets the
// picture decide.
type MaterialOptions struct {
	// Colours is the number of entries wanted, 1…64; 0 lets the picture decide.
	// Fewer come back only where the picture holds fewer different colours.
	Colours int
}

// Material is one material of a picture, read along its shades: from shadow
// through its own colour to glare. L* of Shadow ≤ Base ≤ Light.
type Material struct {
	Base   colour.Lab // own colour: fully lit, without glare
	Shadow colour.Lab // the darkest twentieth of its pixels
	Light  colour.Lab // the lightest twentieth of its pixels, glare included
	Middle colour.Lab // median of its pixels as they stand in the picture

	Share      float64 // of all opaque pixels, 0…1; the shares of a palette sum to at most 1
	Spread     float64 // ΔE00: mean difference of its pixels from its line of shades
	Confidence float64 // 0…1

	AtScreenLimit bool // own colour clips in at least one channel: the real one may lie beyond
	BeyondSurface bool // more vivid than real surfaces are (Pointer 1980): a fluorescent is likely

	Bounds Rect   // everything that belongs to it
	Parts  []Rect // its connected parts, largest first
}

// Palette holds the materials of one picture, largest share first.
type Palette struct {
	Materials []Material
}

// Materials finds the materials of the picture.
func (r Reference) Materials(opt MaterialOptions) (Palette, error) {
	return Palette{}, errors.New("find materials: not yet written")
}
