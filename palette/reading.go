package palette

import (
	"fmt"
	"math"
	"strings"

	"undercoat/palette/colour"
)

// Level is a degree of trust. The zero value says that none was stated and
// counts as medium.
type Level int

// The degrees of trust.
const (
	Unstated Level = iota
	Low
	Medium
	High
)

var levelNames = [...]string{"", "low", "medium", "high"}

// String returns "low", "medium" or "high"; "" where none was stated.
func (l Level) String() string {
	if l < 0 || int(l) >= len(levelNames) {
		return ""
	}
	return levelNames[l]
}

// ParseLevel reads "low", "medium" or "high" in any case; "" is [Unstated].
func ParseLevel(s string) (Level, error) {
	for i, name := range levelNames {
		if strings.EqualFold(strings.TrimSpace(s), name) {
			return Level(i), nil
		}
	}
	return Unstated, fmt.Errorf("read trust: %q: wanted low, medium or high", s)
}

// stated returns the level, medium where none was stated.
func (l Level) stated() Level {
	if l <= Unstated || l > High {
		return Medium
	}
	return l
}

// Trust is how far the maker trusts a picture: its hues, and its lightness. A
// drawing may be right in the one and wrong in the other.
type Trust struct{ Hue, Lightness Level }

// ParseTrust reads one level for both ("medium"), or one for each ("high for
// hue, low for lightness", in either order). "" leaves both unstated.
func ParseTrust(s string) (Trust, error) {
	var t Trust
	parts := strings.Split(s, ",")
	if len(parts) == 1 && !strings.Contains(s, " for ") {
		l, err := ParseLevel(s)
		return Trust{l, l}, err
	}
	for _, p := range parts {
		word, of, _ := strings.Cut(p, " for ")
		l, err := ParseLevel(word)
		if err != nil || l == Unstated {
			return Trust{}, fmt.Errorf("read trust: %q: wanted low, medium or high, or as in \"high for hue, low for lightness\"", s)
		}
		switch strings.ToLower(strings.TrimSpace(of)) {
		case "hue":
			t.Hue = l
		case "lightness":
			t.Lightness = l
		default:
			return Trust{}, fmt.Errorf("read trust: %q: wanted \"for hue\" or \"for lightness\"", s)
		}
	}
	return t, nil
}

// String returns what [ParseTrust] reads.
func (t Trust) String() string {
	switch {
	case t.Hue == t.Lightness:
		return t.Hue.String()
	case t.Lightness == Unstated:
		return t.Hue.String() + " for hue"
	case t.Hue == Unstated:
		return t.Lightness.String() + " for lightness"
	}
	return fmt.Sprintf("%s for hue, %s for lightness", t.Hue, t.Lightness)
}

// Reading is what one picture says about the colour of an area.
type Reading struct {
	Picture  string // the picture's name
	Patch    Patch  // the spot that was read, corrected where the picture has an anchor
	Trust    Trust
	Lit      colour.Lab // the same material where it is lit best around the spot; as light as the patch at least
	Anchored bool       // a cast was removed by an anchor or a chart
	Cast     Cast       // a guess at the light where nothing is known
	Quality  int        // compression quality of a JPEG, 1…100; 0 where it does not apply

	Pixelated bool // the picture is made of blocks: those at a border mix what meets there
}

// Reading reads a spot of the picture as evidence for an area.
func (r Reference) Reading(picture string, at Rect, t Trust) (Reading, error) {
	p, err := r.Patch(at)
	if err != nil {
		return Reading{}, err
	}
	return r.reading(picture, at, p, t), nil
}

// reading puts round a patch what is known of its picture.
func (r Reference) reading(picture string, at Rect, p Patch, t Trust) Reading {
	q, _ := r.Quality()
	v := Reading{Picture: picture, Patch: p, Trust: t, Lit: r.litAround(at, p), Anchored: r.Anchored(), Quality: q, Pixelated: r.src.blocks().side > 1}
	if !v.Anchored {
		v.Cast = r.GuessCast()
	}
	return v
}

// StatedReading is a reading of a colour that somebody has already read, by hand
// or in another program; anchored says that it was freed of its cast.
func StatedReading(picture string, c colour.Lab, t Trust, anchored bool) Reading {
	return Reading{Picture: picture, Patch: Patch{RGB: c.LinearRGB(), Lab: c, Light: c}, Lit: c, Trust: t, Anchored: anchored}
}

// RemoveCast returns a colour as it would read had its picture no cast, given
// how one spot of known colour reads in the same picture: divided by what the
// spot reads and multiplied by what it is, channel by channel in linear sRGB. It
// does for stated colours what [Reference.Neutral] does for a picture. ok is
// false where the spot reads nothing in a channel.
func RemoveCast(c, reads, is colour.Lab) (without colour.Lab, ok bool) {
	r, i := reads.LinearRGB(), is.LinearRGB()
	if min(r.R, r.G, r.B) <= 0 || min(i.R, i.G, i.B) <= 0 {
		return c, false
	}
	return gains{i.R / r.R, i.G / r.G, i.B / r.B}.apply(c.LinearRGB()).Lab(), true
}

// Kinds of evidence. A reading that bears may move the target.
const (
	bearsNothing = iota
	bearsHue     // hue and chroma, not lightness
	bearsAll
)

// bearing says what a reading may say about the target: nothing without an
// anchor or with low trust in its hue; only its hue with low trust in its
// lightness.
func (r Reading) bearing() int {
	switch {
	case !r.Anchored || r.Trust.Hue.stated() == Low:
		return bearsNothing
	case r.Trust.Lightness.stated() == Low:
		return bearsHue
	}
	return bearsAll
}

// Shares of clipped pixels from which a reading suffers; common practice, no
// source. A channel at zero is common in deep colours and harms less.
const (
	clippedFrom = 0.02
	drownedFrom = 0.2
)

// doubt is what a reading leaves open, so that nine truths of ten lie within:
// the luminance of the material's own colour over that of the reading, and the
// half-width of a* and b* at the reading's lightness.
type doubt struct{ down, up, across float64 }

// doubt judges a reading by trust, anchor, compression, clipping, and by what is
// seen around the spot. The figures are set on the reference pictures and on
// others of their kind, whose true colours are known; the test prints how often
// they hold.
func (r Reading) doubt() doubt {
	d := r.seen()
	switch r.Trust.Lightness.stated() {
	case Low:
		d.down, d.up = min(d.down, 0.60), max(d.up, 2.0)
	case High:
		d.down, d.up = math.Pow(d.down, 0.8), math.Pow(d.up, 0.8)
	}
	switch r.Trust.Hue.stated() {
	case Low:
		d.across = max(d.across, 9)
	case High:
		d.across *= 0.8
	}
	if !r.Anchored { // neither the light's colour nor its amount is known
		d.down *= 0.80
		d.up *= 1.25
		d.across = max(d.across, (6+1.5*r.Cast.Strength*r.Cast.Confidence)*r.chromaScale())
	}
	switch {
	case r.Quality == 0 || r.Quality >= 85:
	case r.Quality >= 60:
		d.across += 0.4
	default:
		d.across += 1.5
	}
	if r.Pixelated {
		d.down, d.up, d.across = d.down/1.08, d.up*1.08, d.across+2.5
	}
	if r.Patch.ClippedHigh > clippedFrom { // the true value lies above the scale
		d.up *= 1.3
		d.across += 4
	}
	if r.Patch.ClippedLow > drownedFrom {
		d.across += 1.5
	}
	return d
}

// How far the own colour lies from a spot, in logarithms of luminance and in a*
// and b*, nine times of ten: what is left where the spot is even and its material
// is nowhere lit better, and how it grows with the spread of the spot (shade,
// gloss, a second material) and with how much better it is lit close by.
const (
	downLeast, downSpread = 0.05, 0.03
	upLeast, upLit        = 0.10, 1.1
	acrossLeast           = 1.2
	acrossSpread          = 0.9
	upMost                = 1.2 // a material lit more than three times better close by may be another
)

// seen is what the spot and its surroundings leave open.
func (r Reading) seen() doubt {
	p := r.Patch
	y := p.RGB.XYZ().Y
	if p.Count == 0 || y <= 0 { // a colour that was stated: how it lies is not known
		return doubt{down: 0.92, up: 1.45, across: 2.2}
	}
	lit := math.Log(max(1, luminance(r.Lit.L)/y))
	return doubt{
		down:   math.Exp(-downLeast - downSpread*p.Spread),
		up:     math.Exp(upLeast + min(upLit*lit, upMost)),
		across: acrossLeast + acrossSpread*p.Spread,
	}
}

// chromaScale is how far a cast of given gains shifts a* and b* at the reading's
// lightness, against a middle grey: both grow with the cube root of luminance.
func (r Reading) chromaScale() float64 { return (r.Patch.Lab.L + 16) / 66 }
