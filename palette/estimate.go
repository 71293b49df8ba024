package palette

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"undercoat/palette/colour"
)

// Estimate is one target from several readings: a colour, the range in which the
// truth is expected, and how it came about. The zero value knows nothing.
type Estimate struct {
	Lab        colour.Lab     // D65
	Low, High  colour.Lab     // ends of the range, each of L, A and B by itself
	Radius     float64        // largest ΔE00 from Lab to the face centres of that box
	Confidence float64        // 0…1: expected share of such estimates within ΔE00 3 of the truth
	Names      []colour.Named // names of the colours in the range with their shares, most first
	Rests      []string       // pictures on which it rests
	Disagree   []Disagreement // pictures that say something else
	Settle     []string       // what would settle it, one sentence each

	AtScreenLimit bool // a channel clips in what it rests on, or in the colour itself: the real one may lie beyond
	BeyondSurface bool // clearly more vivid than real surfaces are (Pointer 1980)
}

// Known says whether there was any reading.
func (e Estimate) Known() bool { return len(e.Rests) > 0 }

// Disagreement is a picture that reads another colour, and why that may be.
type Disagreement struct {
	Picture    string
	Difference float64  // ΔE00 from its reading to the estimate
	Words      string   // how it differs: "bluer, much darker"
	Why        []string // likely reasons, weightiest first
}

// Weigh joins several readings of one area into one estimate. Readings with an
// anchor and at least medium trust bear it; the others are compared with it and
// do not move it, unless there is nothing else. A reading with low trust in its
// lightness gives only its hue: it is brought to the lightness of the rest along
// its own shades, in linear light, before it counts.
//
// The colour is a weighted mean in which a reading far from the rest loses its
// weight (Huber 1981); the range joins what every reading leaves open with how
// far they disagree. It is meant to hold the material's own colour, fully lit,
// in nine cases of ten, and reaches further towards light than towards dark,
// because a spot in a picture is rarely lit in full.
//
// No reading gives the zero Estimate.
func Weigh(readings []Reading) Estimate {
	if len(readings) == 0 {
		return Estimate{}
	}
	light, hue, borne := bearers(readings)
	y, span := joinLight(light)
	a, b, across := joinHue(hue, y)
	e := Estimate{Lab: colour.Lab{L: lightness(y), A: a, B: b}}
	open := openness{doubt: doubt{span.down, span.up, across}, beyond: beyondWhite(light)}
	e.Low, e.High, e.Radius = open.box(e.Lab)
	rests := map[int]bool{}
	for _, v := range slices.Concat(light, hue) {
		rests[v.index] = rests[v.index] || v.pull > 0.5
	}
	for i, r := range readings {
		if rests[i] && !slices.Contains(e.Rests, r.Picture) {
			e.Rests = append(e.Rests, r.Picture)
		}
	}
	e.AtScreenLimit = clips(readings, e)
	e.BeyondSurface = beyondSurface(e.Lab)
	e.Disagree = disagreeing(readings, e.Lab)
	sample := open.sample(e.Lab)
	e.Names = colour.Names(sample)
	e.Confidence = shareWithin(sample, e.Lab, confidentWithin)
	e.Settle = settle(readings, e, borne)
	return e
}

// clips says whether a channel stands at an end of its scale in a reading on
// which the estimate rests, or in the estimate itself.
func clips(readings []Reading, e Estimate) bool {
	return colour.AtScreenLimit(e.Lab.LinearRGB()) || slices.ContainsFunc(readings, func(r Reading) bool {
		return slices.Contains(e.Rests, r.Picture) && (r.Patch.ClippedHigh > clippedFrom || r.Patch.ClippedLow > drownedFrom)
	})
}

// evidence is a reading on its way into the estimate.
type evidence struct {
	Reading
	doubt
	index int     // among the readings given
	pull  float64 // 1 for full weight, less the further it is from the rest
}

// bearers picks the readings that make up the lightness and the hue. borne is
// false where none deserves to and all are taken.
func bearers(readings []Reading) (light, hue []evidence, borne bool) {
	var all []evidence
	for i, r := range readings {
		v := evidence{r, r.doubt(), i, 1}
		all = append(all, v)
		switch r.bearing() {
		case bearsAll:
			light, hue = append(light, v), append(hue, v)
		case bearsHue:
			hue = append(hue, v)
		}
	}
	if hue == nil {
		return all, slices.Clone(all), false
	}
	if light == nil {
		light = slices.Clone(hue)
	}
	return light, hue, true
}

// huberLimit is the distance, in standard deviations, from which a reading loses
// weight.
//
// Source: Huber (1981), Robust Statistics, section 4.5 (k = 1.5).
const huberLimit = 1.5

// nineOfTen is the half-width of nine tenths of a normal distribution in
// standard deviations.
const nineOfTen = 1.645

// joinLight returns the luminance of the estimate and what stays open: factors
// below and above 1. What one reading leaves open is mostly shade, which more
// readings do not average away; it is kept at its weighted mean.
func joinLight(all []evidence) (y float64, open doubt) {
	logs, sigma := make([]float64, len(all)), make([]float64, len(all))
	for i, v := range all {
		logs[i] = math.Log(max(v.Patch.RGB.XYZ().Y, 1e-5))
		sigma[i] = (math.Log(v.up) - math.Log(v.down)) / 2 / nineOfTen
	}
	mid := weightedMedian(logs, sigma)
	for range 20 {
		sum, weight := 0.0, 0.0
		for i := range all {
			all[i].pull = pull(math.Abs(logs[i]-mid) / sigma[i])
			w := all[i].pull / sq(sigma[i])
			sum, weight = sum+w*logs[i], weight+w
		}
		mid = sum / weight
	}
	var down, up, apart, weight float64
	for i, v := range all {
		w := v.pull / sq(sigma[i])
		down += w * math.Log(v.down)
		up += w * math.Log(v.up)
		apart += w * sq(logs[i]-mid)
		weight += w
	}
	apart = nineOfTen * math.Sqrt(apart/weight)
	return math.Exp(mid), doubt{down: math.Exp(down/weight - apart), up: math.Exp(up/weight + apart)}
}

// joinHue returns a* and b* at luminance y and the half-width they leave open.
// Every reading is first brought to that luminance in linear light, as shade
// does it, and its doubt with it.
func joinHue(all []evidence, y float64) (a, b, across float64) {
	as, bs, sigma := make([]float64, len(all)), make([]float64, len(all)), make([]float64, len(all))
	for i, v := range all {
		own := max(v.Patch.RGB.XYZ().Y, 1e-5)
		k := y / own
		c := colour.LinearRGB{R: k * v.Patch.RGB.R, G: k * v.Patch.RGB.G, B: k * v.Patch.RGB.B}.Lab()
		as[i], bs[i] = c.A, c.B
		sigma[i] = v.across / nineOfTen * max(1, math.Cbrt(k))
	}
	a, b = weightedMedian(as, sigma), weightedMedian(bs, sigma)
	var weight float64
	for range 20 {
		var sumA, sumB float64
		weight = 0
		for i := range all {
			all[i].pull = pull(math.Hypot(as[i]-a, bs[i]-b) / sigma[i])
			w := all[i].pull / sq(sigma[i])
			sumA, sumB, weight = sumA+w*as[i], sumB+w*bs[i], weight+w
		}
		a, b = sumA/weight, sumB/weight
	}
	apart := 0.0
	for i := range all {
		w := all[i].pull / sq(sigma[i])
		apart += w * (sq(as[i]-a) + sq(bs[i]-b)) / 2
	}
	const floor = 1.5 // a* and b* units that no number of pictures takes away: camera and encoder
	return a, b, math.Sqrt(sq(floor) + sq(nineOfTen)*(1/weight+apart/weight))
}

// pull is Huber's weight at a distance in standard deviations.
func pull(distance float64) float64 {
	if distance <= huberLimit {
		return 1
	}
	return huberLimit / distance
}

// weightedMedian returns the value at which half of the weight 1/sigma² lies on
// either side; between two values that share it, their mean.
func weightedMedian(v, sigma []float64) float64 {
	order := make([]int, len(v))
	total := 0.0
	for i := range v {
		order[i] = i
		total += 1 / sq(sigma[i])
	}
	slices.SortStableFunc(order, func(i, j int) int { return cmp.Compare(v[i], v[j]) })
	sum := 0.0
	for n, i := range order {
		sum += 1 / sq(sigma[i])
		switch {
		case math.Abs(sum-total/2) < 1e-9*total && n+1 < len(order):
			return (v[i] + v[order[n+1]]) / 2
		case sum > total/2:
			return v[i]
		}
	}
	return v[order[len(order)-1]]
}

// lightness returns L* of a luminance 0…1.
func lightness(y float64) float64 {
	return colour.XYZ{X: white.X * y, Y: y, Z: white.Z * y}.Lab(white).L
}

// white is the white of the house as tristimulus values.
var white = colour.XYZ{X: screenWhite[0], Y: screenWhite[1], Z: screenWhite[2]}

// openness is what an estimate leaves open: factors of luminance along the
// shade, and the half-width across it in a* and b*. beyond says that it may be
// lighter than a white surface, as a fluorescent can be.
type openness struct {
	doubt
	beyond bool
}

// beyondWhite says whether a reading is burnt out, so that nothing bounds it
// from above.
func beyondWhite(all []evidence) bool {
	return slices.ContainsFunc(all, func(v evidence) bool { return v.Patch.ClippedHigh > clippedFrom })
}

// shaded moves a colour along its own shade by a factor of luminance.
func shaded(c colour.Lab, factor float64) colour.Lab {
	l := c.LinearRGB()
	return colour.LinearRGB{R: factor * l.R, G: factor * l.G, B: factor * l.B}.Lab()
}

// box returns the ends of the range, each coordinate by itself, and the largest
// ΔE00 from the estimate to the middle of a face.
func (o openness) box(c colour.Lab) (low, high colour.Lab, radius float64) {
	dark, light := shaded(c, o.down), shaded(c, o.up)
	low = colour.Lab{L: dark.L, A: min(dark.A, c.A, light.A) - o.across, B: min(dark.B, c.B, light.B) - o.across}
	high = colour.Lab{L: light.L, A: max(dark.A, c.A, light.A) + o.across, B: max(dark.B, c.B, light.B) + o.across}
	if !o.beyond {
		high.L = min(high.L, max(100, c.L))
	}
	for _, p := range []colour.Lab{
		dark, light,
		{L: c.L, A: c.A - o.across, B: c.B}, {L: c.L, A: c.A + o.across, B: c.B},
		{L: c.L, A: c.A, B: c.B - o.across}, {L: c.L, A: c.A, B: c.B + o.across},
	} {
		radius = max(radius, colour.Difference(c, p))
	}
	return low, high, radius
}

// rangeSamples is the number of colours that stand for a range.
const rangeSamples = 400

// sample returns colours that stand for the range, each as likely as the next.
// The range is taken as densest at the estimate: triangular along the shade,
// round and normal across. The sample is a fixed, even one (Roberts's recurrence
// for three dimensions).
func (o openness) sample(c colour.Lab) []colour.Lab {
	const g = 1.2207440846057596 // the real root of x⁴ = x + 1
	sample := make([]colour.Lab, rangeSamples)
	for i := range sample {
		n := float64(i + 1)
		u, v, w := frac(0.5+n/g), frac(0.5+n/(g*g)), frac(0.5+n/(g*g*g))
		p := shaded(c, math.Exp(triangular(u, math.Log(o.down), math.Log(o.up))))
		r := o.across / nineOfTen * math.Sqrt(-2*math.Log(1-v))
		sin, cos := math.Sincos(2 * math.Pi * w)
		sample[i] = colour.Lab{L: min(p.L, 100), A: p.A + r*cos, B: p.B + r*sin}
	}
	return sample
}

// confidentWithin is the ΔE00 within which an estimate counts as right: the usual
// tolerance of an area; common practice, no source.
const confidentWithin = 3.0

// shareWithin estimates, from a sample, the share of colours no further than
// that from c, in ΔE00: with half a colour on either side (Jeffreys), so that a
// sample, which is finite, never says never or always.
func shareWithin(sample []colour.Lab, c colour.Lab, most float64) float64 {
	n := 0
	for _, s := range sample {
		if colour.Difference(c, s) <= most {
			n++
		}
	}
	return (float64(n) + 0.5) / float64(len(sample)+1)
}

// frac returns the part after the point.
func frac(v float64) float64 { return v - math.Floor(v) }

// triangular carries u of 0…1 to a triangular distribution from low (below 0) to
// high (above 0) with its top at 0.
func triangular(u, low, high float64) float64 {
	width := high - low
	if width <= 0 {
		return 0
	}
	if at := -low / width; u < at {
		return low + math.Sqrt(u*width*-low)
	}
	return high - math.Sqrt((1-u)*width*high)
}

// NamesInWords says the shares as makers do: "dark greyish blue 88 %, black 12 %".
func (e Estimate) NamesInWords() string { return colour.InPercent(e.Names) }

// disagreeFrom is the ΔE00 from which a picture is said to disagree, the usual
// tolerance of an area; common practice, no source.
const disagreeFrom = 3.0

// disagreeing lists the readings that lie apart from the estimate, in the order
// given.
func disagreeing(readings []Reading, c colour.Lab) []Disagreement {
	var all []Disagreement
	for _, r := range readings {
		d := colour.Difference(c, r.Patch.Lab)
		if d < disagreeFrom {
			continue
		}
		all = append(all, Disagreement{r.Picture, d, colour.InWords(c, r.Patch.Lab), r.whyApart(c)})
	}
	return all
}

// whyApart lists likely reasons for a reading to differ from an estimate,
// weightiest first; never empty.
func (r Reading) whyApart(c colour.Lab) []string {
	var why []string
	p := r.Patch
	add := func(on bool, format string, args ...any) {
		if on {
			why = append(why, fmt.Sprintf(format, args...))
		}
	}
	add(!r.Anchored, "no anchor: its light is not known")
	add(r.Trust.Hue == Low, "low trust was stated")
	add(r.Trust.Lightness == Low && r.Trust.Hue != Low, "low trust in its lightness was stated")
	add(p.ClippedHigh > clippedFrom, "burnt out in %.0f %% of the spot", 100*p.ClippedHigh)
	add(p.ClippedLow > drownedFrom, "a channel stands at zero in %.0f %% of the spot", 100*p.ClippedLow)
	add(r.Quality > 0 && r.Quality < 60, "strongly compressed (quality %d of 100)", r.Quality)
	add(r.Pixelated, "the picture is pixelated: blocks mix what meets in them")
	if all := p.Count + p.Edge + p.Glare + p.Shadow; all > 0 {
		add(p.Edge*5 > all*2, "much of the spot lies beside an edge or is of another colour")
		add(p.Count < 64, "only %d pixels", p.Count)
	}
	add(p.Spread > 6, "the spot is uneven (spread ΔE00 %.1f)", p.Spread)
	add(p.Lab.L < 12, "nearly black there: its hue can hardly be told")
	if len(why) == 0 {
		apart := math.Hypot(p.Lab.A-c.A, p.Lab.B-c.B)
		switch dl := p.Lab.L - c.L; {
		case dl < 0 && -dl > apart:
			why = append(why, "the spot may lie in shade")
		case dl > apart:
			why = append(why, "the spot may catch more light than the anchor")
		default:
			why = append(why, "perhaps another light on the spot than on the anchor, or another material")
		}
	}
	return why
}

// settle says what would settle the estimate, most useful first.
func settle(readings []Reading, e Estimate, borne bool) []string {
	var out []string
	if !borne {
		out = append(out, "mark something white, grey or of known colour in one of the pictures")
	}
	for _, d := range e.Disagree {
		if borne && slices.Contains(e.Rests, d.Picture) {
			out = append(out, fmt.Sprintf("look again at the spot in %s: it should be fully lit and of this material only", d.Picture))
		}
	}
	if borne && len(e.Rests) < 2 {
		out = append(out, "a second picture with an anchor, under another light")
	}
	if e.Radius > 5 || e.Confidence < 0.5 {
		out = append(out, "photograph a swatch of the candidate beside a grey card in daylight, and compare")
	}
	if e.Lab.L < 20 {
		out = append(out, "judge swatches by eye under the light of the event: cameras hardly tell dark colours apart")
	}
	return out
}
