package palette

import (
	"errors"
	"fmt"
	"math"

	"undercoat/palette/colour"
)

// Anchor is a spot of the picture whose colour is known: a grey card, a white
// collar, any swatch that was measured. Its zero Colour means a neutral (white
// or grey) of unknown lightness: the cast is then removed and the exposure left
// as it is.
type Anchor struct {
	Rect
	Colour colour.Lab // what the spot is known to be, D65; a neutral has A = B = 0
}

// ErrAnchor is the reason why no anchor of a picture can be used.
var ErrAnchor = errors.New("no usable anchor")

// Bounds for anchors; common practice, no source.
const (
	anchorDark     = 0.02 // relative luminance below which noise rules
	anchorDisagree = 3.0  // ΔE00 between what an anchor is and what the others make of it
	anchorCast     = 6.0  // largest gain over smallest, from which a spot is hardly neutral
)

// gains multiplies linear sRGB channel by channel.
type gains struct{ red, green, blue float64 }

func (g gains) apply(c colour.LinearRGB) colour.LinearRGB {
	return colour.LinearRGB{R: c.R * g.red, G: c.G * g.green, B: c.B * g.blue}
}

// Neutral returns the picture without its cast: every channel of linear sRGB is
// multiplied so that the anchors read what they are known to be, lightness
// included where it is known (von Kries 1902, on the channels of sRGB). Several
// anchors are joined by medians, so that one in a shadow does not pull; those
// that are clipped or too dark are left out while a better one remains.
//
// The warnings, one sentence each, name anchors that are clipped, too dark,
// outside the picture or at odds with the others. The error wraps [ErrAnchor]
// where none can be used; with no anchor at all the picture comes back as it is.
//
// On the reference pictures (casts made in linear light) these channels do
// better than the cone spaces of Bradford and CAT16; the test prints by how much.
func (r Reference) Neutral(anchors ...Anchor) (Reference, []string, error) {
	if len(anchors) == 0 {
		return r, nil, nil
	}
	spots, warnings := r.spots(anchors)
	if len(spots) == 0 {
		return r, warnings, fmt.Errorf("remove the cast: %w: %s", ErrAnchor, warnings[len(warnings)-1])
	}
	used := usable(spots)
	g := joinGains(used)
	out := r.corrected(g)
	out.guessed = false
	for _, s := range used {
		out.anchors = append(out.anchors[:len(out.anchors):len(out.anchors)], s.anchor)
	}
	warnings = append(warnings, disagreements(spots, g)...)
	if hi, lo := max(g.red, g.green, g.blue), min(g.red, g.green, g.blue); hi > anchorCast*lo {
		warnings = append(warnings, fmt.Sprintf("the correction is very strong (channels differ %.1f times): is the spot really of that colour?", hi/lo))
	}
	return out, warnings, nil
}

// spot is an anchor that could be read.
type spot struct {
	anchor  Anchor
	patch   Patch
	target  colour.LinearRGB
	doubted bool // clipped or too dark
}

// gains returns what makes this spot alone read what it is.
func (s spot) gains() gains {
	return gains{s.target.R / s.patch.RGB.R, s.target.G / s.patch.RGB.G, s.target.B / s.patch.RGB.B}
}

// spots reads the anchors; those that cannot be read are named in the warnings.
func (r Reference) spots(anchors []Anchor) (spots []spot, warnings []string) {
	for _, a := range anchors {
		p, err := r.Patch(a.Rect)
		if err != nil {
			warnings = append(warnings, fmt.Sprintf("anchor %s is left out: %v", a.Rect, err))
			continue
		}
		s := spot{anchor: a, patch: p, target: a.target(p)}
		if least := min(p.RGB.R, p.RGB.G, p.RGB.B); least <= 0 {
			warnings = append(warnings, fmt.Sprintf("anchor %s is left out: a channel reads nothing at all", a.Rect))
			continue
		}
		if least := min(s.target.R, s.target.G, s.target.B); least <= 0 {
			warnings = append(warnings, fmt.Sprintf("anchor %s is left out: its stated colour lies outside what a screen can show", a.Rect))
			continue
		}
		switch {
		case p.ClippedHigh > clippedFrom:
			s.doubted = true
			warnings = append(warnings, fmt.Sprintf("anchor %s is burnt out in %.0f %% of its pixels: the cast is known only in part", a.Rect, 100*p.ClippedHigh))
		case p.RGB.XYZ().Y < anchorDark:
			s.doubted = true
			warnings = append(warnings, fmt.Sprintf("anchor %s is very dark (L* %.0f): the cast is known only roughly", a.Rect, p.Lab.L))
		}
		spots = append(spots, s)
	}
	return spots, warnings
}

// target returns what the anchor should read, in linear sRGB. A neutral of
// unknown lightness keeps the luminance it was read with.
func (a Anchor) target(p Patch) colour.LinearRGB {
	if a.Colour == (colour.Lab{}) {
		y := p.RGB.XYZ().Y
		return colour.LinearRGB{R: y, G: y, B: y}
	}
	return a.Colour.LinearRGB()
}

// usable leaves out the doubted spots while a better one remains.
func usable(spots []spot) []spot {
	var good []spot
	for _, s := range spots {
		if !s.doubted {
			good = append(good, s)
		}
	}
	if len(good) == 0 {
		return spots
	}
	return good
}

// joinGains joins the gains of several spots: the colour of the light by the
// medians of log(red/green) and log(blue/green) over all of them, its amount by
// the median of log(green) over those whose lightness is known, where there is
// one. Of two spots the median is the geometric mean.
func joinGains(spots []spot) gains {
	var red, blue, green, known []float64
	for _, s := range spots {
		g := s.gains()
		red = append(red, math.Log(g.red/g.green))
		blue = append(blue, math.Log(g.blue/g.green))
		green = append(green, math.Log(g.green))
		if s.anchor.Colour != (colour.Lab{}) {
			known = append(known, math.Log(g.green))
		}
	}
	if known == nil {
		known = green
	}
	amount := median(known)
	return gains{math.Exp(amount + median(red)), math.Exp(amount), math.Exp(amount + median(blue))}
}

// disagreements names the spots that do not read what they are known to be.
func disagreements(spots []spot, g gains) (warnings []string) {
	others := "the others"
	if len(spots) == 2 {
		others = "the other"
	}
	for _, s := range spots {
		got, want := g.apply(s.patch.RGB).Lab(), s.target.Lab()
		d := colour.Difference(got, want)
		if d <= anchorDisagree {
			continue
		}
		how := "in colour"
		if dl := got.L - want.L; math.Abs(dl) > 0.8*math.Sqrt(dl*dl+sq(got.A-want.A)+sq(got.B-want.B)) {
			how = "in lightness (another amount of light?)"
		}
		warnings = append(warnings, fmt.Sprintf("anchor %s disagrees with %s %s by ΔE00 %.1f", s.anchor.Rect, others, how, d))
	}
	return warnings
}

func sq(v float64) float64 { return v * v }
