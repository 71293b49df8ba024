package match

import (
	"time"

	"undercoat/inventory/unit"
	"undercoat/palette/colour"
)

// Kind says how a match is made.
type Kind string

// The ways to a colour.
const (
	Item    Kind = "item"    // one article as it is
	Mixture Kind = "mixture" // parts of two or three paints in one pot
	Layers  Kind = "layers"  // coats of different paints over each other
)

// Method is how an area gets its colour: the word of the area's table. The
// zero value does not say and holds nothing against any kind of article.
type Method string

// The methods a table may name.
const (
	AnyMethod Method = ""
	ByPaint   Method = "paint"
	ByCloth   Method = "cloth"
	ByDye     Method = "dye"
	ByTrim    Method = "trim"
)

// Light is a named light the result is judged by. UV says that the light
// carries ultraviolet, which fluorescents and brighteners answer.
type Light struct {
	Name  string
	Light colour.Light
	UV    bool
}

// Reading is a colour measured under a named light ("D65", "2900 K").
type Reading struct {
	Light string
	Lab   colour.Lab
}

// Target is the wanted colour. Readings, where there are any, are what an
// instrument found under named lights and win over the colour's own
// reflectance there. Fluorescent says the thing shall glow: its colour is then
// a stand-in for a hue.
type Target struct {
	Colour      colour.Colour
	Readings    []Reading
	Fluorescent bool
}

// Sensitivity is what a wearer reacts to.
type Sensitivity struct{ Wearer, Substance string }

// Ground is what lies under the coats. Code names a stock article; without one
// Colour is the ground and its material is not known. The zero value is no
// ground: paints are then compared where they hide all.
type Ground struct {
	Code   string
	Colour colour.Colour
	// Under is what already lies on the article, from the ground up.
	Under []Layer
	// Stretch is the greatest stretch in wear, 0.40 = 40 %: films that give less
	// open over the ground, which widens the range of [Build].
	Stretch float64
}

// Request is one question to the shelf. Target is needed; everything else has
// a stated meaning when it is zero.
type Request struct {
	Target    Target
	Ground    Ground
	Tolerance float64 // ΔE00 accepted; 0 takes 3, the ordinary limit
	Lights    []Light // judged besides daylight (D65)

	Method        Method
	Extent        unit.Extent // surface to be covered, all wearers; 0: costs are of one square metre
	Stretch       float64     // greatest stretch in wear, 0.40 = 40 %
	Skin          bool        // lies against skin
	Sensitivities []Sensitivity
	IronMax       unit.Stated[float64] // °C the workroom can or may iron with; the ground's own limit is known from stock
	Now           time.Time            // to tell expired articles; the zero time tells none

	Kinds     []Kind // what to look for; none means all
	Parts     int    // most parts of a mixture, 2 or 3; 0 takes 2
	MaxCoats  int    // most coats of a stack; 0 takes 4
	MaxLayers int    // most different layers of a stack; 0 takes 3
	Top       int    // matches returned; 0 takes 20
	// Ranged is how many matches, from the first, get their likely range and
	// what is read off it; 0 takes all that are returned. Those Named get it
	// wherever they stand.
	Ranged int
	Named  []string
	Seed   uint64 // of the sampled ranges
}

// Layer is one product of a stack with its number of coats; 0 coats asks for
// the number to be found.
type Layer struct {
	Code  string
	Coats int
}

// Part is one paint of a mixture with its share by mass, 0…1.
type Part struct {
	Code  string
	Share float64
}

// Rule is the short word of a reason.
type Rule string

// The rules that speak against an article or a match, or ask for care.
const (
	RuleTolerance  Rule = "tolerance"  // further from the target than accepted
	RuleLight      Rule = "light"      // further than accepted under one of the job's lights
	RuleStretch    Rule = "stretch"    // the film cracks before the ground stops stretching
	RuleHeat       Rule = "heat"       // its setting is hotter than the ground stands
	RuleBase       Rule = "base"       // a fluorescent over a ground too dark for it
	RuleBlock      Rule = "block"      // dye of the ground would come up through the coats
	RuleMaterial   Rule = "material"   // its label does not name the ground
	RuleSolvent    Rule = "solvent"    // solvent attacks the ground
	RuleWearer     Rule = "wearer"     // a wearer reacts to what it contains
	RuleExpired    Rule = "expired"    // past its last day of use
	RuleStock      Rule = "stock"      // none left and none to buy
	RuleMethod     Rule = "method"     // not how this area gets its colour
	RuleDarkens    Rule = "darkens"    // a dye cannot make the ground lighter
	RuleOutside    Rule = "outside"    // metallic, pearl or glow: outside the model
	RuleMetamerism Rule = "metamerism" // may change with the light
	RuleRange      Rule = "range"      // the prediction is wide
	RuleSkin       Rule = "skin"       // beside skin: wait for the full cure
	RuleGlow       Rule = "glow"       // glows where the target does not, or the other way
	RuleUV         Rule = "uv"         // answers ultraviolet light
	RulePlausible  Rule = "plausible"  // how a fluorescent lies to the published box of its class
	RuleDensity    Rule = "density"    // a density had to be assumed
)

// Reason is a rule with the sentence that gives the fact it rests on.
type Reason struct {
	Rule Rule
	Text string
}

// Prediction is a colour as the forward model sees it in daylight, with the
// range (10th to 90th percentile of each of L*, a*, b*) its inputs allow.
type Prediction struct {
	Lab, Low, High colour.Lab
	Hex            string
	OutOfScreen    bool
	Reflectance    colour.Reflectance // empty for a fluorescent
}

// LightDifference is the difference under one light.
type LightDifference struct {
	Light      string
	Difference float64
	// Measured says that both sides were measured under this light or are
	// measured spectra; otherwise the difference is a property of recovered
	// spectra.
	Measured bool
	// Metamerism is the special index, change of illuminant. It is known only
	// where at least one side was measured; where not, Text says what to
	// expect.
	Metamerism unit.Stated[float64]
	Text       string
}

// Match is one answer.
type Match struct {
	Kind  Kind
	Code  string // of the article, or a recipe such as "W3:1 W1:3 F1:3" or "T1 5/8 + W1 3/8"
	Parts []Part // of a mixture, largest first
	Coats []Layer

	Predicted Prediction
	// Difference is ΔE00 to the target in daylight; unknown for a fluorescent,
	// whose target is only a stand-in: see HueDifference.
	Difference      unit.Stated[float64]
	DifferenceRange [2]float64           // P10, P90
	HueDifference   unit.Stated[float64] // degrees, for fluorescents
	ByLight         []LightDifference
	Words           string
	Basis           string

	CoatsTotal int
	Amount     []Use
	Cost       unit.Stated[unit.Money] // of the amount used; unknown where a price is
	Hours      unit.Stated[float64]    // waiting between coats and hands-off drying at 20 °C, 50 %
	Stiffness  float64                 // dry film in µm, what stiffens the hand

	Against []Reason // what speaks against it; none: allowed
	Notes   []Reason // what it needs or what to know
}

// Use is how much of an article a match takes.
type Use struct {
	Code   string
	Volume unit.Volume
}

// Allowed says whether nothing speaks against the match.
func (m Match) Allowed() bool { return len(m.Against) == 0 }

// Choice is one of a few good answers that differ.
type Choice struct {
	Why   string // "closest", "fewest coats", "cheapest", "softest hand"
	Match Match
}

// Result is the answer to a request: matches ranked (allowed first, then
// difference, cost, code) and a small choice among the allowed ones.
type Result struct {
	Target  colour.Lab
	Hex     string
	Matches []Match
	Choices []Choice
	// Searched counts the stacks and mixtures the answer is exact over.
	Searched int
}

// Count is a number of coats as an interval.
type Count struct {
	N         int  // most likely
	Low, High int  // 10th to 90th percentile
	Reached   bool // whether any number up to the limit is enough
	Driver    string
	// Differences holds ΔE00 after 0, 1, 2 … coats of the most likely film.
	Differences []float64
}

// Step is the colour after one more coat.
type Step struct {
	Coat      int // 0 is the ground
	Code      string
	Predicted Prediction
	Luminance float64 // Y, white 1
	// HighVis says, of a fluorescent coat, how its daylight colour lies to the
	// published box of high-visibility clothing of its class; "" of others.
	HighVis string
}
