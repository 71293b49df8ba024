package palette

import (
	"fmt"
	"math"
	"strings"

	"undercoat/palette/colour"
)

// Swatch is the colour of a piece of real material read from a photograph.
type Swatch struct {
	Colour    colour.Colour // of basis photographed
	Lab       colour.Lab    // as read, D65; Colour holds the nearest that a surface can have
	GivenUp   float64       // ΔE00 between both
	Low, High colour.Lab    // range, each of L, A and B by itself
	Radius    float64       // largest ΔE00 from Lab to the face centres of that range
	Patch     Patch
	Views     int      // photographs that were joined
	Turning   bool     // its colour depends on the direction of light and view
	Why       []string // why so, and other doubts, one sentence each
}

// Limits for swatches; common practice, no source.
const (
	swatchSide    = 12  // least side in pixels: below it a weave cannot be averaged
	swatchSlope   = 5.0 // L* over the swatch, from which the light is uneven or the pile lies unevenly
	swatchGlitter = 0.05
	swatchTurn    = 3.0 // ΔE00 between two views from which the colour turns
)

// turningWords are materials whose colour depends on the direction of light and
// view: pile and nap, metal and pearl, satin weaves, films.
var turningWords = []string{
	"velvet", "velour", "corduroy", "moleskin", "suede", "nubuck", "plush", "fleece", "fur", "chenille", "terry", "pile", "nap",
	"metal", "bronze", "gold", "silver", "copper", "brass", "foil", "lamé", "lame", "glitter", "sequin",
	"pearl", "mica", "iridescent", "interference", "holograph", "shot silk", "changeant", "satin", "sateen", "vinyl, gloss",
}

// turns says whether a material, in the maker's words, is one whose colour
// turns, and by which word.
func turns(material string) (word string, yes bool) {
	m := strings.ToLower(material)
	for _, w := range turningWords {
		if containsWord(m, w) {
			return w, true
		}
	}
	return "", false
}

// containsWord says whether s holds a word that begins with w ("velveteen"
// begins with "velvet", "snapping" does not begin with "nap").
func containsWord(s, w string) bool {
	for at := 0; ; {
		i := strings.Index(s[at:], w)
		if i < 0 {
			return false
		}
		i += at
		if i == 0 || !letter(s[i-1]) {
			return true
		}
		at = i + len(w)
	}
}

func letter(b byte) bool { return b >= 'a' && b <= 'z' || b >= 0x80 }

// Swatch reads a swatch in a photograph that holds an anchor or a chart: its
// mean over the weave in linear light, with the range that such a photograph
// leaves open. material is what the maker calls it ("cotton velveteen"); pile
// and metal are marked as turning with the direction of light and view, and so
// is a swatch that glitters or whose lightness runs from one side to the other.
//
// It fails without an anchor, on a swatch under 12 × 12 pixels, and where
// [Reference.Patch] does.
func (r Reference) Swatch(at Rect, material string) (Swatch, error) {
	if !r.Anchored() {
		return Swatch{}, fmt.Errorf("read swatch %s: %w: a swatch is measured beside something white, grey or of known colour, or a chart", at, ErrAnchor)
	}
	if at.W < swatchSide || at.H < swatchSide {
		return Swatch{}, fmt.Errorf("read swatch %s: %w: too small, at least %d × %d pixels are needed to average over a weave", at, ErrPatch, swatchSide, swatchSide)
	}
	p, err := r.Patch(at)
	if err != nil {
		return Swatch{}, err
	}
	s := Swatch{Lab: p.Lab, Patch: p, Views: 1}
	s.Colour, s.GivenUp = colour.FromLab(p.Lab, colour.Photographed)
	open := s.judge(material)
	q, _ := r.Quality()
	if q > 0 && q < 60 {
		open.across++
		s.Why = append(s.Why, fmt.Sprintf("strongly compressed (quality %d of 100)", q))
	}
	s.Low, s.High, s.Radius = open.box(s.Lab)
	return s, nil
}

// judge tells what the swatch leaves open and whether its colour turns. An evenly
// lit photograph with an anchor is good to about ΔE00 3; common practice, no source.
func (s *Swatch) judge(material string) openness {
	p := s.Patch
	open := openness{doubt: doubt{down: 0.92, up: 1.09, across: 2}, beyond: p.ClippedHigh > clippedFrom}
	open.across += p.Spread / math.Sqrt(float64(p.Count))
	widen := func(by float64) { open.down, open.up = open.down/by, open.up*by }
	if word, yes := turns(material); yes {
		s.Turning = true
		s.Why = append(s.Why, fmt.Sprintf("%s looks different from another direction: photograph it again turned by a quarter", word))
		widen(1.2)
	}
	if all := p.Count + p.Glare + p.Shadow + p.Edge; float64(p.Glare) > swatchGlitter*float64(all) {
		s.Turning = true
		s.Why = append(s.Why, fmt.Sprintf("%.0f %% of it shines: metal, or gloss that mirrors the lamp", 100*float64(p.Glare)/float64(all)))
		widen(1.1)
	}
	if p.Slope > swatchSlope {
		s.Turning = true
		s.Why = append(s.Why, fmt.Sprintf("its lightness runs by L* %.0f from side to side: uneven light, or a pile that lies unevenly", p.Slope))
		y := max(p.RGB.XYZ().Y, 1e-5)
		open.down = min(open.down, luminance(max(p.Lab.L-p.Slope/2, 0))/y)
		open.up = max(open.up, luminance(p.Lab.L+p.Slope/2)/y)
	}
	if p.ClippedHigh > clippedFrom {
		s.Why = append(s.Why, fmt.Sprintf("burnt out in %.0f %% of it: expose less", 100*p.ClippedHigh))
		open.up *= 1.3
		open.across += 4
	}
	if p.ClippedLow > drownedFrom {
		s.Why = append(s.Why, fmt.Sprintf("a channel stands at zero in %.0f %% of it: more vivid or darker than the photograph can hold", 100*p.ClippedLow))
		open.across += 1.5
	}
	return open
}

// Join takes a second photograph of the same swatch, from another direction or
// under the same light again: the mean of both by their views, a range that holds
// both, and whether the colour turns between them.
func (s Swatch) Join(o Swatch) Swatch {
	n := s
	n.Views = s.Views + o.Views
	ws, wo := float64(s.Views)/float64(n.Views), float64(o.Views)/float64(n.Views)
	a, b := s.Lab.LinearRGB(), o.Lab.LinearRGB()
	n.Lab = colour.LinearRGB{R: ws*a.R + wo*b.R, G: ws*a.G + wo*b.G, B: ws*a.B + wo*b.B}.Lab()
	n.Colour, n.GivenUp = colour.FromLab(n.Lab, colour.Photographed)
	n.Low = colour.Lab{L: min(s.Low.L, o.Low.L), A: min(s.Low.A, o.Low.A), B: min(s.Low.B, o.Low.B)}
	n.High = colour.Lab{L: max(s.High.L, o.High.L), A: max(s.High.A, o.High.A), B: max(s.High.B, o.High.B)}
	n.Radius = max(s.Radius+colour.Difference(s.Lab, n.Lab), o.Radius+colour.Difference(o.Lab, n.Lab))
	n.Turning = s.Turning || o.Turning
	n.Why = append([]string(nil), s.Why...)
	for _, w := range o.Why {
		if !strings.Contains(strings.Join(n.Why, "\n"), w) {
			n.Why = append(n.Why, w)
		}
	}
	if d := colour.Difference(s.Lab, o.Lab); d > swatchTurn {
		n.Turning = true
		n.Why = append(n.Why, fmt.Sprintf("the views differ by ΔE00 %.1f: its colour depends on direction", d))
	}
	return n
}
