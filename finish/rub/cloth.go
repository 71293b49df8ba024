package rub

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"undercoat/palette/colour"
)

// Reading is one small part of a cloth in a photograph: large enough to
// average over its weave. X and Y are its centre as shares of the picture's
// longer side; RGB is its mean in linear sRGB, cast not removed.
type Reading struct {
	X, Y        float64
	RGB         colour.LinearRGB
	ClippedHigh float64 // share 0…1 of pixels with a channel at the top of its scale
	ClippedLow  float64 // share 0…1 of pixels with a channel at nought
	Other       float64 // share 0…1 of pixels left out: another colour, glare, shadow, an edge
}

// ClothPhoto is what one photograph says of a stained cloth and of its own
// clean part beside it. Known is the colour the clean part is known to have
// (D65); see [UsualWhite].
type ClothPhoto struct {
	Scale          Scale
	Clean, Stained []Reading
	Known          colour.Lab
	KnownFor       bool // Known was measured or stated; false where it is only taken to be a usual white
	Coarse         Coarse
}

// Coarse is by how much the picture's own compression may shift a whole part of
// the cloth (standard deviations, as shares of the light). The zero value is a
// picture kept exactly.
type Coarse struct{ Light, Tint float64 }

// CoarseOf is what a JPEG of a quality 1…100 may shift: the mean of a block of
// 8 × 8 pixels is kept in steps of an eighth of the first divisor of its table, and
// noise and weave spread that over about half.
//
// Source: ITU-T T.81, annex K (tables K.1 and K.2, first entries 16 and 17); the
// half, and a cloth that reads 190 of 255, are judgement.
func CoarseOf(quality int) Coarse {
	scale := 200 - 2*float64(quality)
	if quality < 50 {
		scale = 5000 / float64(max(quality, 1))
	}
	shift := func(divisor, gain float64) float64 {
		step := max(1, divisor*scale/100) / 8
		return 0.5 * gain * step / math.Sqrt(12) * 2.2 / 190
	}
	return Coarse{Light: shift(16, 1), Tint: shift(17, 1.5)} // 1.402 and 1.772 of a colour difference reach red and blue
}

// UsualWhite is what unbrightened bleached cotton rubbing cloth usually reads;
// common practice, no source.
func UsualWhite() colour.Lab { return colour.Lab{L: 95, A: 0, B: 2} }

// Graded is a grade read from a photograph, with what the photograph leaves
// open.
type Graded struct {
	Rating
	Clean, Stained colour.Lab // as graded: light evened out, cast removed
	RatingLow      float64    // about nine times in ten the true rating lies between
	RatingHigh     float64
	Low, High      Grade
	Light          float64  // how much more light falls on the clean part than on the stain, −0.1 is 10 % less
	Doubts         []string // one sentence each, for the maker
}

// ErrNoGrade is wrapped by every refusal to grade a photograph.
var ErrNoGrade = errors.New("the photograph cannot carry a grade")

func refuse(format string, args ...any) error {
	return fmt.Errorf("%w: %s", ErrNoGrade, fmt.Sprintf(format, args...))
}

// What a photograph must keep to carry a grade; judgement, no source.
const (
	leastReadings = 4
	mostBurnt     = 0.02 // share of pixels with a channel at the top of its scale
	mostDrowned   = 0.2  // share of pixels with a channel at nought
	leastLight    = 0.12 // luminance the clean part must read, a screen's white being 1: three stops below it noise and the camera's curve rule
	castDoubt     = 12.0 // chroma C*ab of the light from which it widens the range
	mostCast      = 32.0 // and from which nothing can be told
	leastEven     = 0.05 // scatter of the clean part about its own light, as a share
	mostLost      = 0.15 // standard deviation of the light at the stain, as a share
	mostBrighter  = 1.04 // stained part against clean: a stain takes light away
	unevenStain   = 0.35 // standard deviation of the rating over the stain
	mostOther     = 0.3  // share of the stained rectangle that is of another colour
)

// What a photograph adds of its own: a camera's contrast and colour are not
// exact. As a share of the difference; common practice, no source.
const (
	cameraShare  = 0.06
	castShare    = 0.004 // and for every unit of the light's chroma
	whiteMissedL = 1.5   // L*: how far a cloth only taken to be white may be off
	nineInTen    = 1.645 // standard deviations, normal
)

// GradeCloth grades a photographed cloth. The light at the stain is foretold
// from the clean part, and from the slope of the light across the stain, in linear
// light, as a smooth surface in the logarithm; dividing by it evens the light out,
// removes the cast, and puts the clean part at its known colour. The stain's
// readings are averaged in linear light. Parts that are burnt out are left out
// where they are the lesser half.
//
// The range holds what the readings do not tell of the light, their scatter, the
// steps of the picture's compression, the clean cloth's own colour where it was
// only taken to be white, and a camera's own inexactness. Every error wraps
// [ErrNoGrade] and says what to photograph otherwise.
func GradeCloth(p ClothPhoto) (Graded, error) {
	all := len(p.Clean) + len(p.Stained)
	p.Clean, p.Stained = unburnt(p.Clean), unburnt(p.Stained)
	burnt := all - len(p.Clean) - len(p.Stained)
	if err := p.check(); err != nil {
		return Graded{}, err
	}
	known := p.Known.LinearRGB()
	light := p.light()
	cast, err := p.cast(known)
	if err != nil {
		return Graded{}, err
	}
	if light.amount.noise > leastEven {
		return Graded{}, refuse("the clean part varies by %.0f %% after its light was evened out: it holds a fold, a shadow, a seam or part of the stain; mark an even part", 100*light.amount.noise)
	}
	parts := light.parts(p.Stained, known)
	g := Graded{Clean: p.Known, Stained: mean(parts).Lab()}
	g.Light = light.difference(p)
	if y, white := mean(parts).XYZ().Y, known.XYZ().Y; y > mostBrighter*white && p.Scale == StainingScale {
		return Graded{}, refuse("the stained part is %.0f %% lighter than the clean part: are the rectangles exchanged, or is the light between them too uneven?", 100*(y/white-1))
	}
	lost := light.doubtAt(p.Stained)
	if lost.amount > mostLost {
		return Graded{}, refuse("the clean part does not tell the light at the stain (within %.0f %%): mark clean cloth nearer to it or on both sides", 100*lost.amount)
	}
	g.Rating = rateOn(p.Scale, g.Clean, g.Stained)
	spread := p.spread(g, parts, lost, cast)
	g.RatingLow, g.RatingHigh = g.Rating.Rating-nineInTen*spread, min(5, g.Rating.Rating+nineInTen*spread)
	faint := p.faintStain()
	if m := faint.most(); m > 0 { // the cloth is lighter than its clean part reads, so the stain is heavier
		g.RatingLow = max(1, g.RatingLow-p.moved(g, colour.LinearRGB{R: m, G: m, B: m}))
	}
	g.Low, g.High = classOf(p.Scale, g.RatingLow), classOf(p.Scale, g.RatingHigh)
	g.Doubts = append(p.doubts(g, parts, lost, cast), faint.doubts()...)
	if burnt > 0 {
		g.Doubts = append(g.Doubts, fmt.Sprintf("%d of %d parts of the cloth are burnt out and were left out", burnt, all))
	}
	return g, nil
}

// unburnt leaves the parts out that are burnt, where they are fewer than the
// others; else it gives back all, for [ClothPhoto.check] to refuse.
func unburnt(parts []Reading) []Reading {
	kept := slices.DeleteFunc(slices.Clone(parts), func(r Reading) bool { return r.ClippedHigh > mostBurnt })
	if 2*len(kept) <= len(parts) || len(kept) < leastReadings {
		return parts
	}
	return kept
}

// check refuses what cannot be read at all.
func (p ClothPhoto) check() error {
	if len(p.Clean) < leastReadings || len(p.Stained) < leastReadings {
		return refuse("%d parts of clean and %d of stained cloth could be read, %d of each are needed: photograph from nearer, or mark larger rectangles", len(p.Clean), len(p.Stained), leastReadings)
	}
	burnt := func(r Reading) float64 { return r.ClippedHigh }
	if worst := max(share(p.Clean, burnt), share(p.Stained, burnt)); worst > mostBurnt {
		return refuse("burnt out in %.0f %% of the cloth's pixels: expose less", math.Ceil(100*worst))
	}
	sum := 0.0
	for _, r := range p.Clean {
		sum += r.RGB.XYZ().Y / float64(len(p.Clean))
	}
	if drowned := share(p.Stained, func(r Reading) float64 { return r.ClippedLow }); sum < leastLight || drowned > mostDrowned {
		return refuse("too dark: the clean part reads %.0f %% of full light, at least %.0f %% is needed, and a colour channel of the stain stands at nought in %.0f %% of it: more light, or expose more", 100*sum, 100*leastLight, 100*drowned)
	}
	return nil
}

func share(parts []Reading, of func(Reading) float64) float64 {
	sum := 0.0
	for _, r := range parts {
		sum += of(r)
	}
	return sum / float64(len(parts))
}

// cast is the chroma C*ab of the light, as a white under it would read.
func (p ClothPhoto) cast(known colour.LinearRGB) (float64, error) {
	var rgb []colour.LinearRGB
	for _, r := range p.Clean {
		rgb = append(rgb, r.RGB)
	}
	m := mean(rgb)
	if min(known.R, known.G, known.B) <= 0 {
		return 0, refuse("the clean part's colour lies outside what a screen can show")
	}
	white := colour.LinearRGB{R: m.R / known.R, G: m.G / known.G, B: m.B / known.B}
	y := white.XYZ().Y
	light := colour.LinearRGB{R: white.R / y, G: white.G / y, B: white.B / y}.Lab().LCh()
	if light.C > mostCast {
		return 0, refuse("the light has too strong a cast (a white cloth reads C*ab %.0f, %.0f is the most): use daylight, or set the camera's white balance on the clean cloth", light.C, mostCast)
	}
	return light.C, nil
}

// lighting is the light over the cloth: its amount (green) and its tint (red
// and blue against green).
type lighting struct{ amount, red, blue lit }

// logs gives the three logarithms that are fitted.
func logs(c colour.LinearRGB) (amount, red, blue float64) {
	const floor = 1e-5 // a channel that reads nothing
	r, g, b := max(c.R, floor), max(c.G, floor), max(c.B, floor)
	return math.Log(g), math.Log(r / g), math.Log(b / g)
}

func (p ClothPhoto) light() lighting {
	var a, r, b []point
	add := func(readings []Reading, stain bool) {
		for _, c := range readings {
			va, vr, vb := logs(c.RGB)
			a, r, b = append(a, point{c.X, c.Y, va, stain}), append(r, point{c.X, c.Y, vr, stain}), append(b, point{c.X, c.Y, vb, stain})
		}
	}
	add(p.Clean, false)
	add(p.Stained, true)
	var l lighting
	l.amount, l.red, l.blue = fitLight(a, amountVaries), fitLight(r, tintVaries), fitLight(b, tintVaries)
	return l
}

// parts returns the readings under even light, the clean cloth being known.
func (l lighting) parts(readings []Reading, known colour.LinearRGB) []colour.LinearRGB {
	var out []colour.LinearRGB
	for _, r := range readings {
		g := math.Exp(l.amount.at(r.X, r.Y))
		red, blue := g*math.Exp(l.red.at(r.X, r.Y)), g*math.Exp(l.blue.at(r.X, r.Y))
		out = append(out, colour.LinearRGB{R: r.RGB.R / red * known.R, G: r.RGB.G / g * known.G, B: r.RGB.B / blue * known.B})
	}
	return out
}

// difference is how much more light falls on the clean part than on the stain.
func (l lighting) difference(p ClothPhoto) float64 {
	over := func(rs []Reading) float64 {
		sum := 0.0
		for _, r := range rs {
			sum += l.amount.at(r.X, r.Y) / float64(len(rs))
		}
		return sum
	}
	return math.Expm1(over(p.Clean) - over(p.Stained))
}

// unsure is the standard deviation of amount and tints as shares.
type unsure struct{ amount, red, blue float64 }

// doubtAt is how far the light at the stain is not told by the clean part,
// at its middle.
func (l lighting) doubtAt(stained []Reading) unsure {
	x := share(stained, func(r Reading) float64 { return r.X })
	y := share(stained, func(r Reading) float64 { return r.Y })
	return unsure{l.amount.doubt(x, y), l.red.doubt(x, y), l.blue.doubt(x, y)}
}

// spread is the standard deviation of the rating: every source shifts the
// colours by one of its own, and the shifts of the rating are added as squares.
func (p ClothPhoto) spread(g Graded, parts []colour.LinearRGB, lost unsure, cast float64) float64 {
	scatter := scatterOfMean(p.Stained, parts)
	both := math.Sqrt2 // clean and stained part are each shifted by the compression
	sum := 0.0
	for _, s := range []colour.LinearRGB{
		{R: lost.amount, G: lost.amount, B: lost.amount}, {R: lost.red}, {B: lost.blue},
		{R: scatter.R}, {G: scatter.G}, {B: scatter.B},
		{R: both * p.Coarse.Light, G: both * p.Coarse.Light, B: both * p.Coarse.Light}, {R: both * p.Coarse.Tint}, {B: both * p.Coarse.Tint},
	} {
		sum += sq(p.moved(g, s))
	}
	sum += sq(p.stretched(g, cameraShare+castShare*max(0, cast-castDoubt)))
	if !p.KnownFor {
		sum += sq(p.whitened(g))
	}
	return math.Sqrt(sum)
}

// moved is how far the rating moves when the stain's channels are off by these
// shares, the farther of both ways.
func (p ClothPhoto) moved(g Graded, by colour.LinearRGB) float64 {
	c := g.Stained.LinearRGB()
	far := 0.0
	for _, sign := range []float64{-1, 1} {
		off := colour.LinearRGB{R: c.R * math.Exp(sign*by.R), G: c.G * math.Exp(sign*by.G), B: c.B * math.Exp(sign*by.B)}
		far = max(far, math.Abs(rateOn(p.Scale, g.Clean, off.Lab()).Rating-g.Rating.Rating))
	}
	return far
}

// stretched is how far the rating moves when the whole difference is off by a
// share.
func (p ClothPhoto) stretched(g Graded, by float64) float64 {
	far := 0.0
	for _, k := range []float64{1 - by, 1 + by} {
		s := colour.Lab{L: g.Clean.L + k*(g.Stained.L-g.Clean.L), A: g.Clean.A + k*(g.Stained.A-g.Clean.A), B: g.Clean.B + k*(g.Stained.B-g.Clean.B)}
		far = max(far, math.Abs(rateOn(p.Scale, g.Clean, s).Rating-g.Rating.Rating))
	}
	return far
}

// whitened is how far the rating moves when the clean cloth is darker than it
// was taken to be; the stain keeps its share of the light.
func (p ClothPhoto) whitened(g Graded) float64 {
	was := g.Clean.LinearRGB()
	darker := g.Clean
	darker.L -= whiteMissedL
	is, s := darker.LinearRGB(), g.Stained.LinearRGB()
	stained := colour.LinearRGB{R: s.R / was.R * is.R, G: s.G / was.G * is.G, B: s.B / was.B * is.B}
	return math.Abs(rateOn(p.Scale, darker, stained.Lab()).Rating - g.Rating.Rating)
}

func (p ClothPhoto) doubts(g Graded, parts []colour.LinearRGB, lost unsure, cast float64) []string {
	var out []string
	add := func(when bool, format string, args ...any) {
		if when {
			out = append(out, fmt.Sprintf(format, args...))
		}
	}
	add(g.Low != g.High, "the photograph leaves grades %s to %s open", g.Low, g.High)
	add(math.Abs(g.Light) > 0.05, "the clean part has %.0f %% %s light than the stain; that was evened out", 100*math.Abs(g.Light), more(g.Light))
	add(lost.amount > 0.015, "the clean part tells the light at the stain only within %.0f %%: clean cloth marked on both sides would narrow the range", 100*lost.amount)
	add(cast > castDoubt, "the light has a cast (C*ab %.0f), removed by the clean part", cast)
	add(!p.KnownFor, "the clean part is taken to be L* %.0f, usual for rubbing cloth; its own measured colour would narrow the range", p.Known.L)
	first, last := p.darkestLightest(parts)
	add(p.unevenness(parts) > unevenStain, "the stain is uneven, from grade %s to %s: the mean is graded", first, last)
	add(share(p.Stained, func(r Reading) float64 { return r.Other }) > mostOther, "part of the stained rectangle is of another colour: does it reach beyond the stain?")
	return out
}

func more(difference float64) string {
	if difference < 0 {
		return "less"
	}
	return "more"
}

// unevenness is the standard deviation of the parts' own ratings.
func (p ClothPhoto) unevenness(parts []colour.LinearRGB) float64 {
	r := p.ratings(parts)
	m, sum := 0.0, 0.0
	for _, v := range r {
		m += v / float64(len(r))
	}
	for _, v := range r {
		sum += sq(v-m) / float64(len(r))
	}
	return math.Sqrt(sum)
}

func (p ClothPhoto) ratings(parts []colour.LinearRGB) []float64 {
	var out []float64
	for _, c := range parts {
		out = append(out, rateOn(p.Scale, p.Known, c.Lab()).Rating)
	}
	slices.Sort(out)
	return out
}

// darkestLightest are the grades of the tenth part from either end.
func (p ClothPhoto) darkestLightest(parts []colour.LinearRGB) (dark, light Grade) {
	r := p.ratings(parts)
	k := len(r) / 10
	return classOf(p.Scale, r[k]), classOf(p.Scale, r[len(r)-1-k])
}

func mean(cs []colour.LinearRGB) colour.LinearRGB {
	var m colour.LinearRGB
	n := float64(len(cs))
	for _, c := range cs {
		m.R, m.G, m.B = m.R+c.R/n, m.G+c.G/n, m.B+c.B/n
	}
	return m
}

// scatterOfMean is the standard deviation of the parts' mean in each channel, as
// a share of it: the largest of what the parts tell, what their columns tell and
// what their rows tell, as one thick thread runs through all parts of a row.
func scatterOfMean(at []Reading, cs []colour.LinearRGB) colour.LinearRGB {
	worst := colour.LinearRGB{}
	for _, key := range []func(i int) float64{func(i int) float64 { return float64(i) }, func(i int) float64 { return at[i].X }, func(i int) float64 { return at[i].Y }} {
		s := scatterOf(grouped(cs, key))
		worst = colour.LinearRGB{R: max(worst.R, s.R), G: max(worst.G, s.G), B: max(worst.B, s.B)}
	}
	return worst
}

// grouped are the means of the parts that share a key, in the keys' order.
func grouped(cs []colour.LinearRGB, key func(i int) float64) []colour.LinearRGB {
	var keys []float64
	by := map[float64][]colour.LinearRGB{}
	for i, c := range cs {
		k := key(i)
		if _, there := by[k]; !there {
			keys = append(keys, k)
		}
		by[k] = append(by[k], c)
	}
	var out []colour.LinearRGB
	for _, k := range keys {
		out = append(out, mean(by[k]))
	}
	return out
}

// scatterOf is the standard deviation of the mean of independent parts in each
// channel, as a share of it.
func scatterOf(cs []colour.LinearRGB) colour.LinearRGB {
	m := mean(cs)
	var v colour.LinearRGB
	n := float64(max(1, len(cs)-1) * len(cs))
	for _, c := range cs {
		v.R, v.G, v.B = v.R+sq(c.R/m.R-1)/n, v.G+sq(c.G/m.G-1)/n, v.B+sq(c.B/m.B-1)/n
	}
	return colour.LinearRGB{R: math.Sqrt(v.R), G: math.Sqrt(v.G), B: math.Sqrt(v.B)}
}

func rateOn(scale Scale, clean, stained colour.Lab) Rating {
	if scale == ChangeScale {
		return Change(clean, stained)
	}
	return Staining(clean, stained)
}

// classOf puts a continuous rating into its class on either scale. On the scale
// of change, whose classes are cut by ΔE_F, the ratings at the limits are used.
func classOf(scale Scale, rating float64) Grade {
	if scale != ChangeScale {
		return stainingClass(rating)
	}
	for i, limit := range changeLimits {
		if rating > changeRating(limit) {
			return Best - Grade(i)
		}
	}
	return Worst
}
