package inventory

import (
	"slices"
	"time"

	"undercoat/inventory/unit"
	"undercoat/palette/colour"
)

// Kind says what a stock line is.
type Kind string

// The kinds of stock line. A sealer and a treatment are described by a [Paint].
const (
	KindPaint     Kind = "paint"
	KindSealer    Kind = "sealer"
	KindTreatment Kind = "treatment"
	KindDye       Kind = "dye"
	KindCloth     Kind = "cloth"
	KindTrim      Kind = "trim"
)

// Kinds lists every kind in the order tables and lists use.
func Kinds() []Kind {
	return []Kind{KindPaint, KindSealer, KindTreatment, KindDye, KindCloth, KindTrim}
}

// Article is what every line of the shelf has. Slices and the map belong to a
// snapshot and are not to be changed.
type Article struct {
	Code, Name string
	Kind       Kind
	Medium     string
	// Colour is the best the file knows: a measured spectrum or CIELAB in
	// daylight where there is one (see [Measure]), else the declared colour.
	Colour   unit.Stated[colour.Colour]
	Suits    []string // materials the maker's label names
	Hazards  []string // H codes of the safety data sheet
	Contains []string // substances as the label names them
	// OnHand is what is left for new work: movements less reservations. It is
	// unknown when nobody ever counted or bought any, and may be negative when
	// more was used than counted.
	OnHand unit.Stated[unit.Quantity]
	// Reserved is what jobs hold; zero amount when none.
	Reserved unit.Quantity
	Unit     string // the unit OnHand, Pack and Reserved are counted in; "" unknown
	Pack     unit.Stated[unit.Quantity]
	Price    unit.Stated[unit.Money] // of one pack, or of one unit where Pack is unknown
	Opened   unit.Stated[time.Time]
	Expires  unit.Stated[time.Time] // last day of use
	Note     string
	Measures []Measure
	Extra    map[string]string // columns this program does not know
}

// Expired says whether the article's last day of use lies before the day on.
// An unknown last day gives false: unknown is not expired, see Expires.Known.
func (a Article) Expired(on time.Time) bool {
	last, ok := a.Expires.Get()
	if !ok {
		return false
	}
	y, m, d := on.Date()
	return last.Before(time.Date(y, m, d, 0, 0, 0, 0, time.UTC))
}

// Fits says whether the label names one of the materials. An empty list of
// materials on the label is unknown and gives false.
func (a Article) Fits(materials ...string) bool {
	return slices.ContainsFunc(materials, func(m string) bool { return slices.Contains(a.Suits, m) })
}

// Paint is a paint, a sealer or a treatment: Kind says which. Times hold at
// 20 °C and 50 % relative humidity.
type Paint struct {
	Article
	HidingBlack, HidingWhite unit.Stated[float64] // share 0…1 of the ground one coat hides, over black and over white
	WetFilm                  unit.Stated[float64] // µm of one wet coat
	Spread                   unit.Stated[unit.SpreadRate]
	VolumeSolids             unit.Stated[float64] // share 0…1 of the wet volume that stays
	Touch                    unit.Stated[time.Duration]
	RecoatFrom, RecoatUntil  unit.Stated[time.Duration]
	Handle, Cure             unit.Stated[time.Duration]
	HeatC                    unit.Stated[float64] // °C of the heat set
	HeatTime                 unit.Stated[time.Duration]
	LowC                     unit.Stated[float64] // °C below which it must not be used
	Elongation               unit.Stated[float64] // 0.15 = stretches 15 % before it cracks
	Base                     string               // "water", "solvent" or "" unknown
	Fluorescent              unit.Stated[float64] // nm of the emission peak; unknown = not known to glow
	VOC                      unit.Stated[float64] // g/L
}

// Dye is a dye or an ink that enters the fibre.
type Dye struct {
	Article
	Class       string // "reactive", "direct", "acid", "disperse", …; "" unknown
	Touch       unit.Stated[time.Duration]
	RecoatFrom  unit.Stated[time.Duration]
	Cure        unit.Stated[time.Duration] // set, before rinsing
	HeatC       unit.Stated[float64]       // °C of the bath or the heat set
	HeatTime    unit.Stated[time.Duration]
	LowC        unit.Stated[float64] // °C below which it must not be used
	Base        string               // "water", "solvent" or "" unknown
	Fluorescent unit.Stated[float64] // nm of the emission peak
	VOC         unit.Stated[float64] // g/L
}

// Cloth is anything cut to shape: woven, knit, vinyl, foam sheet, leather-look.
type Cloth struct {
	Article
	Fibre     string // as on the label: "cotton-elastane 92/8"
	DyeClass  string // what it was dyed with; "" unknown
	Width     unit.Stated[unit.Length]
	Shrinkage unit.Stated[float64] // 0.04 = 4 % of the length
	Stretch   unit.Stated[float64] // 0.55 = 55 %
	IronMax   unit.Stated[float64] // °C; 0 = no iron
}

// Trim is anything sewn on or set in: studs, tapes, zips, weft.
type Trim struct {
	Article
	Fibre   string
	Width   unit.Stated[unit.Length]
	IronMax unit.Stated[float64] // °C; 0 = no iron
}
