package match

import (
	"cmp"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"

	"undercoat/finish/film"
	"undercoat/inventory"
	"undercoat/inventory/unit"
	"undercoat/palette/colour"
)

// candidate is a match while it is judged. rank is its difference in daylight,
// or for fluorescents that of hue.
type candidate struct {
	Match
	sample side
	pots   []pot // of Coats; of a mixture without a ground the mixture alone
	start  look  // what Coats lie on
	rank   float64
	doubt  float64 // of the model itself, in ΔE, beyond what its inputs allow
	looked bool    // whether ranges are already worked out
}

// coated returns the candidate of coats from the ground up, predicted by the
// forward model, judged with every paint in it.
func (f *finder) coated(kind Kind, code string, layers []Layer) candidate {
	c := candidate{Match: Match{Kind: kind, Code: code, Coats: layers}, start: f.ground.look}
	var v verdict
	at := c.start
	basis := colour.Spectral
	for i, l := range layers {
		p := f.pot(l.Code)
		c.pots = append(c.pots, p)
		if !slices.ContainsFunc(layers[:i], func(m Layer) bool { return m.Code == l.Code }) {
			v.join(f.verdict(l.Code))
		}
		at = at.coated(p, float64(l.Coats))
		c.CoatsTotal += l.Coats
		if col, ok := p.paint.Colour.Get(); ok && p.known {
			basis = min(basis, col.Basis())
		}
	}
	if !f.blocked(layers) {
		v.refuse(RuleBlock, "%s is dyed with disperse dye, which climbs into the coats, faster with heat: lay a dye-blocking base first", f.ground)
	}
	c.sample = side{look: at, basis: min(basis, colour.Measured)}
	c.Basis = stackBasis(c.pots)
	f.spend(&c)
	f.score(&c, v)
	return c
}

// stackBasis says what a predicted stack rests on.
func stackBasis(pots []pot) string {
	var words []string
	for _, p := range pots {
		w := "no colour of its own"
		switch {
		case p.role == Glow && p.known:
			w = fmt.Sprintf("usual %s dye, hue of the swatch", p.glow.Class)
		case p.known:
			c, _ := p.paint.Colour.Get()
			w = fmt.Sprintf("%s colour, %s", c.Basis(), p.film.Evidence)
		}
		words = append(words, p.paint.Code+": "+w)
	}
	return strings.Join(slices.Compact(words), "; ")
}

func (f *finder) pot(code string) pot {
	i := slices.IndexFunc(f.pots, func(p pot) bool { return p.paint.Code == code })
	if i < 0 {
		return pot{}
	}
	return f.pots[i]
}

func (f *finder) verdict(code string) verdict {
	i := slices.IndexFunc(f.pots, func(p pot) bool { return p.paint.Code == code })
	if i < 0 {
		return verdict{}
	}
	return f.verdicts[i]
}

// extent returns the surface the amounts are for, in m²: the request's, or
// one.
func (q Request) extent() float64 {
	if q.Extent > 0 {
		return float64(q.Extent)
	}
	return 1
}

// spend fills in amounts, cost, waiting hours and dry film of coats.
func (f *finder) spend(c *candidate) {
	cost, priced := 0.0, true
	hours, timed := 0.0, true
	for i, l := range c.Coats {
		p := c.pots[i]
		ml := p.wet * f.q.extent() * float64(l.Coats)
		for _, m := range p.made {
			c.Amount = append(c.Amount, Use{m.code, unit.Volume(ml * m.volume)})
		}
		cost, priced = cost+p.price*ml, priced && p.sold
		h, known := p.waits(l.Coats, i == len(c.Coats)-1)
		hours, timed = hours+h, timed && known
		c.Stiffness += p.wet * p.paint.VolumeSolids.Or(usualSolids) * float64(l.Coats)
	}
	if priced {
		c.Cost = unit.State(unit.Money(math.Round(cost)))
	}
	if timed {
		c.Hours = unit.State(hours)
	}
}

// waits returns the hours between coats and, after the last layer, until it
// may be handled.
func (p pot) waits(coats int, last bool) (hours float64, known bool) {
	between := coats
	known = true
	if last {
		between--
		dry := p.paint.Handle
		if !dry.Known() {
			dry = p.paint.Touch
		}
		hours, known = dry.Or(0).Hours(), dry.Known()
	}
	if between > 0 {
		hours += float64(between) * p.paint.RecoatFrom.Or(0).Hours()
		known = known && p.paint.RecoatFrom.Known()
	}
	return hours, known
}

// usualSolids is the share of a water-borne paint that stays. Judgement.
const usualSolids = 0.38

// perUnit returns the price of one unit of an article in minor units of money.
func perUnit(a inventory.Article, unitWord string) (float64, bool) {
	price, ok := a.Price.Get()
	if !ok {
		return 0, false
	}
	pack := a.Pack.Or(unit.Quantity{Amount: 1, Unit: a.Unit})
	if pack.Unit != unitWord || pack.Amount <= 0 {
		return 0, false
	}
	return float64(price) / pack.Amount, true
}

// score fills in the daylight difference, the differences by light and what
// they speak against.
func (f *finder) score(c *candidate, v verdict) {
	d65 := colour.D65()
	goal := f.goal()
	lab, _ := c.sample.under(d65)
	c.Predicted = predictionOf(lab)
	c.Predicted.Reflectance = c.sample.look.r
	c.Words = colour.InWords(goal, lab)
	switch glows := c.sample.look.glows; {
	case f.q.Target.Fluorescent && glows:
		// The target is a stand-in for a hue; no difference to it is a number.
		c.rank = math.Abs(math.Remainder(lab.LCh().H-goal.LCh().H, 360))
		c.HueDifference = unit.State(c.rank)
		c.Words = glowWords(c)
		if c.rank > hueTolerance {
			v.refuse(RuleTolerance, "hue %.0f° off; accepted %.0f°", c.rank, hueTolerance)
		}
	case f.q.Target.Fluorescent:
		c.rank = colour.Difference(goal, lab)
		v.refuse(RuleGlow, "the target glows; %s does not", c.Code)
	default:
		c.rank = colour.Difference(goal, lab)
		c.Difference = unit.State(c.rank)
		if c.rank > f.q.Tolerance {
			v.refuse(RuleTolerance, "ΔE00 %.1f in daylight; accepted %g", hundredths(c.rank), f.q.Tolerance)
		}
		if glows {
			v.note(RuleGlow, "%s glows and the target does not: they part under other lights", c.Code)
		}
	}
	c.Against, c.Notes = v.against, v.notes
	f.lights(c)
}

// hundredths rounds a difference as answers carry it, so that a sentence and
// the table beside it say the same tenth.
func hundredths(d float64) float64 { return math.Round(100*d) / 100 }

// hueTolerance is how far the hue of a fluorescent may lie from the hue it
// stands for, in degrees. Judgement.
const hueTolerance = 8.0

// glowWords says what no screen swatch can.
func glowWords(c *candidate) string {
	w := "glows"
	if c.sample.look.glow.Peak(colour.D65()) > 1 || c.Predicted.OutOfScreen {
		w = "brighter than a screen can show"
	}
	return fmt.Sprintf("%s; luminance %.2f of white", w, c.sample.look.day.Y)
}

// lights compares target and candidate under the job's lights and holds a
// measured disagreement against it. To a target that glows there is nothing to
// compare: what a glowing candidate gives under each light is noted instead.
func (f *finder) lights(c *candidate) {
	if f.q.Target.Fluorescent {
		if c.sample.look.glows {
			c.Notes = append(c.Notes, f.glowByLight(c))
		}
		return
	}
	c.ByLight = byLight(f.target, c.sample, f.q.Lights)
	for i, d := range c.ByLight {
		if f.q.Lights[i].Light == colour.D65() || d.Difference <= f.q.Tolerance {
			continue
		}
		switch {
		case d.Measured:
			c.Against = append(c.Against, Reason{RuleLight, fmt.Sprintf("ΔE00 %.1f under %s, measured; accepted %g", hundredths(d.Difference), d.Light, f.q.Tolerance)})
		case d.Metamerism.Known() && c.rank <= f.q.Tolerance:
			c.Notes = append(c.Notes, Reason{RuleMetamerism, fmt.Sprintf("ΔE00 %.1f expected under %s: look at a swatch there", hundredths(d.Difference), d.Light)})
		}
	}
}

// glowByLight says how bright a fluorescent is under each light: its glow
// lives on the violet and ultraviolet in it.
func (f *finder) glowByLight(c *candidate) Reason {
	lights := f.q.Lights
	if len(lights) == 0 {
		lights = []Light{{Name: "daylight", Light: colour.D65()}}
	}
	var words []string
	for _, l := range lights {
		words = append(words, fmt.Sprintf("%.2f under %s", c.sample.look.glow.Under(l.Light).Y, l.Name))
	}
	return Reason{RuleGlow, "luminance, white 1: " + strings.Join(words, ", ") + "; judge by a swatch, the target is only a stand-in"}
}

// better orders candidates: allowed first, then difference, cost, code.
func better(a, b candidate) int {
	refused := func(c candidate) int { return min(len(c.Against), 1) }
	return cmp.Or(cmp.Compare(refused(a), refused(b)), cmp.Compare(a.rank, b.rank),
		cmp.Compare(a.Cost.Or(math.MaxInt64), b.Cost.Or(math.MaxInt64)), cmp.Compare(a.Code, b.Code))
}

// finish works out the range of a candidate that is shown.
func (f *finder) finish(c *candidate) {
	if c.looked {
		return
	}
	c.looked = true
	labs := c.sampled(f.q.Seed, f.q.Stretch)
	c.Predicted.Low, c.Predicted.High = spread(labs)
	f.differenceRange(c, labs)
	f.shortOf(c)
	f.worn(c)
	pots := c.pots
	if len(c.Coats) == 0 && c.sample.look.glows {
		pots = []pot{f.pot(c.Code)}
	}
	if text := highVis(pots, c.sample.look.day); text != "" {
		c.Notes = append(c.Notes, Reason{RulePlausible, text})
	}
}

// sampled returns the predicted colour and others it might as well be: an
// article within the doubt of its colour, coats of paints as they might be,
// both within the doubt of the model, and at any stretch up to the area's.
func (c *candidate) sampled(seed uint64, stretch float64) []colour.Lab {
	rng, wear := rand.New(rand.NewPCG(seed, 0x72616e6765)), wearing(seed)
	labs := []colour.Lab{c.Predicted.Lab}
	samplers := samplersOf(c.pots)
	doubt := c.doubt
	if len(c.pots) == 0 && !c.sample.look.glows {
		doubt = film.SwatchDoubt(c.sample.basis)
	}
	for range layerDraws {
		l := c.Predicted.Lab
		if len(c.pots) > 0 {
			l = c.laid(drawn(c.pots, samplers, rng), c.start.drawn(rng), stretch*wear.Float64())
		}
		labs = append(labs, colour.Lab{L: l.L + doubt*rng.NormFloat64(), A: l.A + doubt*rng.NormFloat64(), B: l.B + doubt*rng.NormFloat64()})
	}
	return labs
}

// laid returns the colour of the candidate's coats of these products on a
// ground stretched by stretch, or of the one product where it hides all.
func (c *candidate) laid(pots []pot, at look, stretch float64) colour.Lab {
	if len(c.Coats) == 0 {
		return colour.D65().Lab(pots[0].film.Coat.Masstone())
	}
	if stretch > 0 {
		w := stretched(walk(at, pots, c.Coats), pots, c.Coats, stretch)
		return w[len(w)-1].lab()
	}
	for i, p := range pots {
		at = at.coated(p, float64(c.Coats[i].Coats))
	}
	return at.lab()
}

// shortOf notes what the shelf holds too little of.
func (f *finder) shortOf(c *candidate) {
	if f.q.Extent <= 0 {
		return
	}
	var codes []string
	need := map[string]float64{}
	for _, u := range c.Amount {
		if !slices.Contains(codes, u.Code) {
			codes = append(codes, u.Code)
		}
		need[u.Code] += float64(u.Volume)
	}
	for _, code := range codes {
		a, _ := f.stock.Article(code)
		left, ok := a.OnHand.Get()
		if ok && left.Unit == "ml" && left.Amount > 0 && left.Amount < need[code] {
			c.Notes = append(c.Notes, Reason{RuleStock, fmt.Sprintf("%s: about %.0f ml needed, %.4g ml on hand", code, need[code], left.Amount)})
		}
	}
}

func (f *finder) differenceRange(c *candidate, labs []colour.Lab) {
	goal := f.goal()
	var d []float64
	for _, l := range labs {
		if f.q.Target.Fluorescent {
			d = append(d, math.Abs(math.Remainder(l.LCh().H-goal.LCh().H, 360)))
		} else {
			d = append(d, colour.Difference(goal, l))
		}
	}
	slices.Sort(d)
	n := len(d)
	c.DifferenceRange = [2]float64{min(d[n/10], c.rank), max(d[n-1-n/10], c.rank)}
	if !f.q.Target.Fluorescent && c.rank <= f.q.Tolerance && c.DifferenceRange[1] > 2*f.q.Tolerance && !says(c.Notes, RuleRange) {
		c.Notes = append(c.Notes, Reason{RuleRange, fmt.Sprintf("may come out anywhere up to ΔE00 %.0f: paint a swatch first", c.DifferenceRange[1])})
	}
}

func says(reasons []Reason, r Rule) bool {
	return slices.ContainsFunc(reasons, func(x Reason) bool { return x.Rule == r })
}
