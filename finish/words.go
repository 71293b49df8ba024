package finish

import (
	"strings"

	"undercoat/finish/garment"
	"undercoat/palette/colour"
)

// targetWords names a target in plain words; a fluorescent's hex is only a
// stand-in, and the words say so.
func targetWords(t garment.Target) string {
	name := colour.Name(t.Colour.Lab())
	if t.Fluorescent {
		return "fluorescent, hue near " + name
	}
	return name
}

// LayersText writes layers from the ground up, "W3:1 W1:3 F1:3".
func LayersText(layers []garment.Layer) string {
	var parts []string
	for _, l := range layers {
		parts = append(parts, l.String())
	}
	return strings.Join(parts, " ")
}
