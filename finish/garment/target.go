package garment

import (
	"time"

	"undercoat/palette/colour"
)

// Target is the agreed colour of an area. Once approved it is frozen: later
// readings never move it, only a new approval by the maker does.
//
// The zero value is a target not yet known.
type Target struct {
	Colour      colour.Colour // valid only where Known
	Fluorescent bool          // intended to glow: the colour is a stand-in for a hue, no difference to it is a match number
	Low, High   colour.Lab    // range it was read with; equal to the colour where it was stated
	Frozen      bool
	Approved    time.Time // zero where not approved
	Rests       []string  // what it rests on, in words: pictures, anchors, the maker's own statement
}

// Known reports whether the target has a colour.
func (t Target) Known() bool { return t.Colour.Valid() }
