package film

import (
	"errors"
	"fmt"
	"math"

	"undercoat/palette/colour"
)

// Evidence says what a paint's hiding rests on, weakest first.
type Evidence uint8

const (
	ByGuess    Evidence = iota // nothing was said
	ByWord                     // an opacity word
	ByContrast                 // a contrast ratio of one coat
	ByFigures                  // shares of a card hidden by one coat
	ByTrial                    // a drawdown, strike-off or tint judged as a colour
	BySpectra                  // measured films
)

var evidenceWords = [...]string{
	"no word on hiding", "opacity word", "contrast ratio", "hiding figures", "trial", "measured films",
}

// String returns the evidence in words.
func (e Evidence) String() string { return evidenceWords[e] }

// Known is what a maker knows of a paint. Only Swatch is needed.
type Known struct {
	Swatch colour.Colour // the paint where it hides all, or its label colour

	HidingBlack Figure // share of the black half of a card hidden by one coat, 0…1
	HidingWhite Figure // share of the white half
	Contrast    Figure // Y over black / Y over white of one coat
	Opacity     Opacity
	WetFilm     Figure // µm wet of one coat

	Trials []Trial // drawdowns and strike-offs, any order
	Tints  []Tint  // stirred into whites, in the order they were made
}

// Paint is a paint as layers need it: one coat as a film, and how sure of it
// one may be. Made by [OfPaint]; the zero value is not valid.
type Paint struct {
	Coat     Film          // one coat: X = 1
	Swatch   colour.Colour // as it was known
	Evidence Evidence

	// Standard deviations. Scatter and Build are in nepers (0.3 is about a
	// third up or down), of the scattering and of the film a hand lays in one
	// coat; Lab is of the masstone, in ΔE.
	Scatter, Build, Lab float64

	sides sides
}

// Side says how light the ground under a coat is, in quarters of the way in
// lightness from the dark to the light half of a hiding card: 0…4.
type Side uint8

// Sides is the number of sides told apart.
const Sides = 5

// SideOf returns the side of a ground.
func SideOf(ground colour.Reflectance) Side { return SideOfLuminance(colour.D65().XYZ(ground).Y) }

// SideOfLuminance returns the side of a ground of luminance factor y.
func SideOfLuminance(y float64) Side {
	dark, light := math.Cbrt(CardBlack), math.Cbrt(CardWhite)
	return Side(math.Round((Sides - 1) * clamp01((math.Cbrt(y)-dark)/(light-dark))))
}

// On returns one coat on a ground of the given side. Hiding figures of black
// and of white often ask for different films; each is then right on its own
// half of the card, and what lies between is a blend.
func (p Paint) On(s Side) Film {
	w := float64(s) / (Sides - 1)
	return p.Coat.scatteringTimes(math.Exp((1-w)*p.sides.dark + w*p.sides.light))
}

// scatteringTimes returns the film with K and S multiplied by x: the same
// masstone, hidden sooner.
func (f Film) scatteringTimes(x float64) Film {
	if x == 1 {
		return f
	}
	for i := range f.S {
		f.S[i] *= x
		f.K[i] *= x
	}
	return f
}

// Usual standard deviations; judgements, see [Paint].
const (
	buildDoubt   = 0.30 // thickness a hand lays per coat
	figureDoubt  = 0.03 // of a hiding share as makers write it
	guessScatter = 1.0
)

// SwatchDoubt returns the standard deviation in ΔE of a colour known on a
// basis: 0.3 from a spectrum, 0.7 measured, 5 from a picture, 2 declared.
// Judgements.
func SwatchDoubt(b colour.Basis) float64 {
	switch b {
	case colour.Spectral:
		return 0.3
	case colour.Measured:
		return 0.7
	case colour.Photographed:
		return 5
	default:
		return 2
	}
}

// ErrNoColour says that a paint has no colour to work with.
var ErrNoColour = errors.New("no colour known")

// OfPaint returns one coat of a paint from the best of what is known: measured
// films before a tint, before hiding figures, before a contrast ratio, before an opacity word,
// before nothing; drawdowns, strike-offs and tints judged as colours then move
// it, each weighed by its error. It fails where the swatch is missing ([ErrNoColour]) or a
// figure is one no film can have ([ErrFigures]).
//
// The amount of hiding figures and contrast ratio is one coat as the maker
// lays it; a word is of [ReferenceWet] and is scaled by the wet film where
// that is known, 80 µm where not.
func OfPaint(k Known) (Paint, error) {
	if !k.Swatch.Valid() {
		return Paint{}, fmt.Errorf("film of paint: swatch: %w", ErrNoColour)
	}
	p := Paint{Swatch: k.Swatch, Build: buildDoubt, Lab: SwatchDoubt(k.Swatch.Basis())}
	masstone := k.Swatch.Reflectance()
	var err error
	switch {
	case k.HidingBlack.Known || k.HidingWhite.Known:
		p.Evidence = ByFigures
		p.Coat, p.sides, p.Scatter, err = ofHiding(masstone, k.HidingBlack, k.HidingWhite)
	case k.Contrast.Known:
		p.Evidence = ByContrast
		p.Coat, p.Scatter, err = ofContrast(masstone, k.Contrast.Value)
	default:
		p.Coat, p.Scatter = ofWord(k.Swatch, k.Opacity, wetOr(k.WetFilm, usualWet))
		p.Evidence = ByWord
		if k.Opacity == Unstated {
			p.Evidence, p.Scatter = ByGuess, guessScatter
		}
	}
	if err != nil {
		return Paint{}, fmt.Errorf("film of paint: %w", err)
	}
	if f, ok := ofSpectra(k.Swatch, k.Trials); ok {
		p.Coat, p.sides, p.Evidence = f, sides{}, BySpectra
		p.Scatter, p.Build, p.Lab = spectraDoubt, trialBuild, SwatchDoubt(colour.Spectral)
		return p.refined(colourOnly(k.Trials), k.Tints), nil
	}
	if f, ok := told(masstone, k.Tints); ok {
		p.Coat, p.sides, p.Evidence = f, sides{}, ByTrial
		p.Scatter = tintDoubt
	}
	return p.refined(k.Trials, k.Tints), nil
}

// colourOnly returns the trials that are no measured spectra.
func colourOnly(trials []Trial) (out []Trial) {
	for _, t := range trials {
		if t.Seen.Basis() != colour.Spectral {
			out = append(out, t)
		}
	}
	return out
}

// tintDoubt is the standard deviation of ln S of a paint known by a tint: that
// of the white it was stirred into. Judgement: two hiding figures leave about
// as much.
const tintDoubt = 0.25

// spectraDoubt is the standard deviation of ln S fitted from measured films.
// Judgement from the held-out films of the measured series.
const spectraDoubt = 0.1

// usualWet is one brushed coat where nothing was said, µm wet. Judgement.
const usualWet = 80.0

func wetOr(f Figure, def float64) float64 {
	if f.Known && f.Value > 0 {
		return f.Value
	}
	return def
}

// evenly returns the standard deviation of ln S where its ends, of sign −1 and
// 1, are as far as an even distribution reaches, at least 0.05.
func evenly(s float64, end func(sign float64) (float64, error)) float64 {
	sum := 0.0
	for _, sign := range []float64{-1, 1} {
		if t, err := end(sign); err == nil && t > 0 {
			sum += math.Abs(math.Log(t / s))
		}
	}
	return max(sum/2/math.Sqrt(3), 0.05)
}

func ofContrast(masstone colour.Reflectance, c float64) (Film, float64, error) {
	const black, white, doubt = CardBlack, CardWhite, 0.02
	masstone = masstoneOf(ratios(masstone)) // no paint is a perfect white
	s, err := ScatterOfContrast(masstone, c, black, white)
	if err != nil {
		return Film{}, 0, err
	}
	spread := evenly(s, func(sign float64) (float64, error) {
		return ScatterOfContrast(masstone, min(max(c+sign*doubt, black/white+0.001), 0.999), black, white)
	})
	return scattered(ratios(masstone), s, 0), spread, nil
}

// ofWord returns a coat of the scattering a word stands for and the standard
// deviation of its logarithm: a log-uniform range of width w has w/√12, a
// quarter more for words used loosely.
func ofWord(swatch colour.Colour, o Opacity, wet float64) (Film, float64) {
	r := o.scattering(swatch.Lab())
	q := ratios(swatch.Reflectance())
	spread := 1.25 * math.Log(r.high/r.low) / math.Sqrt(12)
	return scattered(q, r.mid*wet/ReferenceWet, 0), spread
}
