package finish

import (
	"context"
	"fmt"
	"io"
	"runtime"
	"sync"

	"undercoat/palette"
	"undercoat/palette/colour"
)

// PictureFile is a picture to be read: its name for people, and a door to its
// bytes that is opened once.
type PictureFile struct {
	Name string
	Open func() (io.ReadCloser, error)
}

// NamedPatch is a patch of a picture that carries a name, such as an area's
// code; the same name in several pictures is weighed together.
type NamedPatch struct {
	Name string
	Rect palette.Rect
}

// PaletteRequest says what to read from pictures.
type PaletteRequest struct {
	Pictures []PictureFile
	Colours  int              // number of materials wanted; 0 lets the picture say
	Anchors  []palette.Anchor // spots of known colour, the same places in every picture
	Chart    *palette.Rect    // a 24-patch chart, the same place in every picture
	Patches  []NamedPatch
	Progress func(done, all int) // told after each picture; may be nil
}

// PaletteAnswer is what the pictures show. Its JSON is the `palette` contract.
type PaletteAnswer struct {
	Pictures  []PictureAnswer  `json:"pictures"`
	Materials []MaterialAnswer `json:"materials"`
	Patches   []PatchAnswer    `json:"patches"`
}

// PictureAnswer is one picture as it was read.
type PictureAnswer struct {
	File     string   `json:"file"`
	Width    int      `json:"width"`  // pixels, upright
	Height   int      `json:"height"` // pixels, upright
	Format   string   `json:"format"`
	Profile  string   `json:"profile"`
	Upright  bool     `json:"upright"`                 // the file asked to be turned, and was
	Anchor   bool     `json:"anchor"`                  // a cast was removed by an anchor or chart
	Warnings []string `json:"warnings"`                // what was left out or taken on trust
	Cast     string   `json:"cast_question,omitempty"` // a cast that may be there, as a question
}

// Swatch is a colour as people and screens want it.
type Swatch struct {
	Hex string     `json:"hex"`
	Lab [3]float64 `json:"lab"`
}

func swatch(l colour.Lab) Swatch {
	return Swatch{Hex: l.LinearRGB().Hex(), Lab: labOf(l)}
}

func labOf(l colour.Lab) [3]float64 { return [3]float64{round(l.L, 2), round(l.A, 2), round(l.B, 2)} }

// MaterialAnswer is one material of a picture.
type MaterialAnswer struct {
	Picture       string  `json:"picture"`
	Name          string  `json:"name"`
	Swatch                // of the base: the own colour, fully lit
	Share         float64 `json:"share"` // of the opaque pixels
	Shadow        Swatch  `json:"shadow"`
	Light         Swatch  `json:"light"`
	Spread        float64 `json:"spread"`     // ΔE00
	Confidence    float64 `json:"confidence"` // 0…1
	AtScreenLimit bool    `json:"at_screen_limit"`
	BeyondSurface bool    `json:"beyond_surface_colours"`
}

// PatchAnswer is one named patch, weighed over all pictures that show it.
type PatchAnswer struct {
	Name string `json:"name"`
	Swatch
	LabLow     [3]float64     `json:"lab_low"`
	LabHigh    [3]float64     `json:"lab_high"`
	Words      string         `json:"words"`
	Spread     float64        `json:"spread"`     // ΔE00
	Confidence float64        `json:"confidence"` // 0…1
	PerPicture []PatchReading `json:"per_picture"`
}

// PatchReading is a patch in one picture.
type PatchReading struct {
	Picture string `json:"picture"`
	Swatch
	Spread float64 `json:"spread"`
	Pixels int     `json:"pixels"`
	Glare  int     `json:"glare"`
	Shadow int     `json:"shadow"`
	Weight float64 `json:"weight"` // 0…1 in the weighing
	Why    string  `json:"why,omitempty"`
}
