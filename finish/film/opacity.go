package film

import (
	"fmt"
	"strings"

	"undercoat/palette/colour"
)

// Opacity is the word a label uses for how a paint covers. The zero value is
// no word.
type Opacity uint8

const (
	Unstated Opacity = iota
	Opaque
	SemiOpaque
	SemiTransparent
	Transparent
)

var opacityWords = [...]string{"", "opaque", "semi-opaque", "semi-transparent", "transparent"}

// String returns the word; "" where none was given.
func (o Opacity) String() string { return opacityWords[o] }

// ParseOpacity reads the word String writes, also "glaze" for transparent.
func ParseOpacity(s string) (Opacity, error) {
	w := strings.ReplaceAll(strings.ToLower(strings.TrimSpace(s)), " ", "-")
	if w == "glaze" {
		return Transparent, nil
	}
	for i, known := range opacityWords {
		if w == known {
			return Opacity(i), nil
		}
	}
	return Unstated, fmt.Errorf("read opacity: %q: expected opaque, semi-opaque, semi-transparent or transparent", s)
}

// scatterRange is the scattering SX a word stands for in one reference film
// ([ReferenceWet]), without an outer boundary: usual range and middle.
type scatterRange struct{ low, mid, high float64 }

// scattering returns what a word says of a paint of this masstone. A word
// describes scattering, not a contrast ratio: dark transparent pigments hide
// by absorbing.
//
// Judgement, ranges fitted to 19 published pigments; no word has a published
// numeric definition that was found. No word is as wide as all of them.
func (o Opacity) scattering(masstone colour.Lab) scatterRange {
	switch o {
	case Opaque:
		if masstone.L >= 85 && masstone.LCh().C < 30 {
			return scatterRange{6, 10, 14}
		}
		if h := masstone.LCh(); h.C > 40 && h.H > 40 && h.H < 110 {
			// Yellows and oranges called opaque lie in the lower half.
			return scatterRange{1.5, 2.6, 6}
		}
		return scatterRange{1.7, 4, 12}
	case SemiOpaque:
		return scatterRange{0.6, 1.7, 4}
	case SemiTransparent:
		return scatterRange{0.25, 0.6, 1.5}
	case Transparent:
		return scatterRange{0.1, 0.3, 0.8}
	default:
		return scatterRange{0.3, 1.9, 12}
	}
}
