package inventory

import (
	"time"

	"undercoat/inventory/unit"
	"undercoat/palette/colour"
)

// JobFacts is everything one job states, as read from its folder of tables and
// as recorded since by commands. Rows keep the order of their table.
type JobFacts struct {
	Name       string
	Version    int64 // counts the job's changes; give it back with a write
	Job        JobFact
	Wearers    []WearerFact
	Areas      []AreaFact
	Contacts   []ContactFact
	References []ReferenceFact
	Patches    []PatchFact
	Lights     []LightFact
	Tests      []TestFact
	Hours      []HoursFact
	Room       RoomFact
	Sewing     []SewingFact
	Done       []DoneFact
	Measures   []Measure     // of the job's own samples, named by their areas; those of stock lines stand on the shelf
	Targets    []TargetFact  // approvals, oldest first; the last one of an area holds
	Choices    []ChoiceFact  // oldest first; the last one of an area holds
	Pictures   []PictureFact // sorted by name
	Papers     []PictureFact // tables this program does not know, kept as they are
}

// JobFact is job.csv: one value a row.
type JobFact struct {
	Name            string                   `col:"name" as:"name" need:"yes"`
	PlanningStarts  unit.Stated[time.Time]   `col:"planning_starts" as:"moment"`
	HandsOff        unit.Stated[time.Time]   `col:"hands_off" as:"moment"`
	EventAt         unit.Stated[time.Time]   `col:"event_at" as:"moment"`
	PackingAt       unit.Stated[time.Time]   `col:"packing_at" as:"moment"`
	SuppliesOrdered unit.Stated[time.Time]   `col:"supplies_ordered" as:"moment"`
	SuppliesArrive  unit.Stated[time.Time]   `col:"supplies_arrive" as:"moment"`
	Budget          unit.Stated[unit.Money]  `col:"budget"`
	Currency        string                   `col:"currency"`
	Reserve         unit.Stated[float64]     `col:"reserve_pct" as:"percent" range:"0..100"` // 0.15 = 15 % working loss
	Repair          unit.Stated[unit.Volume] `col:"repair_ml"`                               // sealed per colour for repairs
	Timezone        string                   `col:"timezone" as:"zone"`                      // IANA name; "" = UTC
	AsOf            unit.Stated[time.Time]   `col:"as_of" as:"moment" optional:"yes"`        // the job's clock stands here, for drills and worked examples; unknown = it runs
	Extra           map[string]string        `col:"*"`
}

// WearerFact is a row of wearers.csv.
type WearerFact struct {
	Code          string               `col:"code" as:"code" key:"yes"`
	Name          string               `col:"name"`
	Size          string               `col:"size"`
	AreaFactor    unit.Stated[float64] `col:"area_factor" range:"0.01..10"` // of the lead wearer's areas
	Sensitivities []string             `col:"sensitivities"`
	Extra         map[string]string    `col:"*"`
}

// AreaFact is a row of areas.csv. Extents are the lead wearer's.
type AreaFact struct {
	Code      string                     `col:"code" as:"code" key:"yes"`
	Piece     string                     `col:"piece"`
	Method    string                     `col:"method" oneof:"paint|cloth|dye|trim"`
	Look      string                     `col:"look"`
	Target    unit.Stated[Written]       `col:"target"`
	Tolerance unit.Stated[float64]       `col:"tolerance" range:"0..100"` // ΔE00
	Cloth     unit.Stated[unit.Extent]   `col:"cloth_m2"`
	Painted   unit.Stated[unit.Extent]   `col:"painted_m2"`
	Ground    string                     `col:"ground" as:"code"`                         // stock code
	Stretch   unit.Stated[float64]       `col:"stretch_pct" as:"percent" range:"0..1000"` // 0.40 = 40 %
	Skin      unit.Stated[bool]          `col:"skin"`
	Sides     unit.Stated[int]           `col:"sides" range:"1..100"`
	Coat      unit.Stated[time.Duration] `col:"coat_min" as:"minutes"`                 // hands, one coat on all wearers' pieces
	Rail      unit.Stated[unit.Length]   `col:"rail_m"`                                // per piece hung
	Share     unit.Stated[float64]       `col:"share_pct" as:"percent" range:"0..100"` // of the area under a glaze
	Recipe    []RecipeLayer              `col:"recipe"`
	Note      string                     `col:"note"`
	Extra     map[string]string          `col:"*"`
}

// RecipeLayer is one product of a stack and the number of its coats.
type RecipeLayer struct {
	Code  string
	Coats int // 0 = not said
}

// ContactFact is a row of contacts.csv: what touches what.
type ContactFact struct {
	Code    string               `col:"code" as:"code" key:"yes"`
	From    string               `col:"from" as:"code" need:"yes"` // area code, stock code or "skin"
	To      string               `col:"to" as:"code" need:"yes"`
	Rubbing string               `col:"rubbing" oneof:"none|low|medium|high"`
	Damp    unit.Stated[bool]    `col:"damp"`
	Hours   unit.Stated[float64] `col:"hours" range:"0..100000"`
	Note    string               `col:"note"`
	Extra   map[string]string    `col:"*"`
}

// ReferenceFact is a row of references.csv.
type ReferenceFact struct {
	Code         string               `col:"code" as:"code" key:"yes"`
	Picture      string               `col:"picture" as:"path"` // slash-separated, inside the job's folder
	Anchor       unit.Stated[Rect]    `col:"anchor"`
	AnchorColour unit.Stated[Written] `col:"anchor_colour"`
	Trust        string               `col:"trust" as:"trust"` // "medium", or "high for hue, low for lightness"
	Chart        unit.Stated[Rect]    `col:"chart"`            // a chart of 24 patches in the picture
	Note         string               `col:"note"`
	Extra        map[string]string    `col:"*"`
}

// PatchFact is a row of patches.csv: where an area is seen in a reference, or
// the colour it was read as.
type PatchFact struct {
	Reference string               `col:"reference" as:"code" need:"yes"`
	Area      string               `col:"area" as:"code" need:"yes"`
	Rectangle unit.Stated[Spot]    `col:"rectangle"` // or an outline
	Colour    unit.Stated[Written] `col:"colour"`
	Extra     map[string]string    `col:"*"`
}

// LightFact is a row of lights.csv.
type LightFact struct {
	Name   string               `col:"name" as:"name" key:"yes"`
	Source string               `col:"source" as:"light"` // "" = nothing to judge a match by, such as UV bars
	Lux    unit.Stated[float64] `col:"lux" range:"0..1000000"`
	UV     unit.Stated[bool]    `col:"uv"`
	Note   string               `col:"note"`
	Extra  map[string]string    `col:"*"`
}

// TestFact is a row of tests.csv: a rub, press, heat or wash test.
type TestFact struct {
	Code      string                     `col:"code" as:"code" key:"yes"`
	Subject   string                     `col:"subject" need:"yes"`
	Against   string                     `col:"against"`
	How       string                     `col:"how" oneof:"dry rub|damp rub|press|heat|wash"`
	When      unit.Stated[time.Time]     `col:"when" as:"moment"`
	Condition string                     `col:"condition"`
	Clean     unit.Stated[Written]       `col:"clean"`
	Stained   unit.Stated[Written]       `col:"stained"`
	Age       unit.Stated[time.Duration] `col:"age_h" as:"hours"`
	Note      string                     `col:"note"`
	Grade     string                     `col:"grade" oneof:"1|1-2|2|2-3|3|3-4|4|4-5|5" optional:"yes"`     // judged by eye against a grey scale, where no colours were read; "" = not
	GradeLow  string                     `col:"grade_low" oneof:"1|1-2|2|2-3|3|3-4|4|4-5|5" optional:"yes"` // the least grade a photograph leaves open; "" = not photographed
	Retests   string                     `col:"retests" as:"code" optional:"yes"`                           // code of the earlier test it repeats; "" = found by subject and way
	Extra     map[string]string          `col:"*"`
}

// HoursFact is a row of hours.csv: when who works at what. From and To both
// unknown means none on that day.
type HoursFact struct {
	Day   string             `col:"day" as:"day" need:"yes" alias:"weekday or date|weekday|date"` // "mon"…"sun" or "2026-10-31"
	From  unit.Stated[Clock] `col:"from"`
	To    unit.Stated[Clock] `col:"to"`
	Who   string             `col:"who"`
	What  string             `col:"what" oneof:"any|sewing|spraying outdoors"`
	Note  string             `col:"note"`
	Extra map[string]string  `col:"*"`
}

// RoomFact is room.csv: one value a row.
type RoomFact struct {
	Volume          unit.Stated[unit.Space]  `col:"volume_m3"`
	DayC            unit.Stated[float64]     `col:"day_c" range:"-40..60"`
	NightC          unit.Stated[float64]     `col:"night_c" range:"-40..60"`
	Humidity        unit.Stated[float64]     `col:"rh_pct" as:"percent" range:"0..100"`
	Air             unit.Stated[float64]     `col:"air_m_s" range:"0..50"`
	Fan             unit.Stated[float64]     `col:"fan_m3_h" range:"0..1000000"`
	ChangesPerHour  unit.Stated[float64]     `col:"changes_per_hour" range:"0..10000"`
	Rail            unit.Stated[unit.Length] `col:"rail_m"`
	Rack            unit.Stated[unit.Extent] `col:"rack_m2"`
	DryingFactor    unit.Stated[float64]     `col:"drying_factor" range:"0.05..100"` // the maker's own observation
	DryingFactorFan unit.Stated[float64]     `col:"drying_factor_fan" range:"0.05..100"`
	Press           unit.Stated[bool]        `col:"press"`
	IronMaxC        unit.Stated[float64]     `col:"iron_max_c" range:"0..400"`
	Mask            string                   `col:"mask" oneof:"none|particle|vapour"`
	Extra           map[string]string        `col:"*"`
}

// SewingFact is a row of sewing.csv. After and Before name other rows by code,
// or states of areas such as "A5 cured".
type SewingFact struct {
	Code   string                     `col:"code" as:"code" key:"yes"`
	Area   string                     `col:"area"`
	Verb   string                     `col:"verb" oneof:"prewash|cut|sew|hem|stud|line|fit"`
	Hands  unit.Stated[time.Duration] `col:"hands_min" as:"minutes"`
	After  []string                   `col:"after"`
	Before []string                   `col:"before"`
	Who    string                     `col:"who"`
	Extra  map[string]string          `col:"*"`
}

// DoneFact is a row of done.csv: a step that was finished.
type DoneFact struct {
	Step  string                     `col:"step" key:"yes"`
	At    unit.Stated[time.Time]     `col:"at" as:"moment"`
	Used  unit.Stated[unit.Quantity] `col:"used"`
	Code  string                     `col:"code" as:"code" optional:"yes"` // the stock line it was taken from; "" = not said
	Extra map[string]string          `col:"*"`
}

// TargetFact is one approval of an area's target. A later approval of the same
// area stands beside it, never over it.
type TargetFact struct {
	Area   string                 `col:"area" as:"code" need:"yes"`
	Colour unit.Stated[Written]   `col:"colour" need:"yes"`
	Basis  string                 `col:"basis" oneof:"declared|photographed|measured|spectral"`
	Low    unit.Stated[Written]   `col:"low"` // the ends of its range
	High   unit.Stated[Written]   `col:"high"`
	Radius unit.Stated[float64]   `col:"radius" range:"0..100"` // ΔE00
	Rests  []string               `col:"rests"`                 // references or words it rests on
	At     unit.Stated[time.Time] `col:"at" as:"moment"`
	Note   string                 `col:"note"`
	Extra  map[string]string      `col:"*"`
}

// ChoiceFact is one choice of the maker for an area.
type ChoiceFact struct {
	Area   string                 `col:"area" as:"code" need:"yes"`
	Layers []RecipeLayer          `col:"recipe" need:"yes"`
	At     unit.Stated[time.Time] `col:"at" as:"moment"`
	Note   string                 `col:"note"`
	Extra  map[string]string      `col:"*"`
}

// PictureFact is a file of the job: its slash-separated name and its bytes.
type PictureFact struct {
	Name  string
	Bytes []byte
}

// StockFact is a row of stock.csv, of whatever kind.
type StockFact struct {
	Code         string                       `col:"code" as:"code" key:"yes"`
	Name         string                       `col:"name" as:"name" need:"yes"`
	Kind         Kind                         `col:"kind" need:"yes" oneof:"paint|sealer|treatment|dye|cloth|trim"`
	Medium       string                       `col:"medium"`
	Colour       unit.Stated[Written]         `col:"colour"`
	HidingBlack  unit.Stated[float64]         `col:"hiding_black" range:"0..1"`
	HidingWhite  unit.Stated[float64]         `col:"hiding_white" range:"0..1"`
	WetFilm      unit.Stated[float64]         `col:"wet_film_um" range:"0..5000"`
	Spread       unit.Stated[unit.SpreadRate] `col:"spread_ml_m2"`
	VolumeSolids unit.Stated[float64]         `col:"volume_solids_pct" as:"percent" range:"0..100"`
	Touch        unit.Stated[time.Duration]   `col:"touch_h" as:"hours"`
	RecoatFrom   unit.Stated[time.Duration]   `col:"recoat_from_h" as:"hours"`
	RecoatUntil  unit.Stated[time.Duration]   `col:"recoat_until_h" as:"hours"`
	Handle       unit.Stated[time.Duration]   `col:"handle_h" as:"hours"`
	Cure         unit.Stated[time.Duration]   `col:"cure_h" as:"hours"`
	HeatC        unit.Stated[float64]         `col:"heat_c" range:"0..400"`
	HeatTime     unit.Stated[time.Duration]   `col:"heat_min" as:"minutes"`
	LowC         unit.Stated[float64]         `col:"low_c" range:"-40..60"`
	Elongation   unit.Stated[float64]         `col:"elongation_pct" as:"percent" range:"0..2000"`
	Base         string                       `col:"base" oneof:"water|solvent"`
	Fluorescent  unit.Stated[float64]         `col:"fluorescent" range:"380..780"`
	Suits        []string                     `col:"suits"`
	Hazards      []string                     `col:"hazards"`
	Contains     []string                     `col:"contains"`
	VOC          unit.Stated[float64]         `col:"voc_g_l" range:"0..2000"`
	Fibre        string                       `col:"fibre"`
	DyeClass     string                       `col:"dye_class"`
	Width        unit.Stated[unit.Length]     `col:"width_cm" as:"cm"`
	Shrinkage    unit.Stated[float64]         `col:"shrinkage_pct" as:"percent" range:"0..90"`
	IronMax      unit.Stated[float64]         `col:"iron_max_c" range:"0..400"`
	Stretch      unit.Stated[float64]         `col:"stretch_pct" as:"percent" range:"0..1000"`
	OnHand       unit.Stated[float64]         `col:"on_hand" sql:"-"`
	Unit         string                       `col:"unit" as:"unit"`
	Pack         unit.Stated[float64]         `col:"pack"`
	Price        unit.Stated[unit.Money]      `col:"price"`
	Opened       unit.Stated[time.Time]       `col:"opened" as:"date"`
	Expires      unit.Stated[time.Time]       `col:"expires" as:"date"`
	Note         string                       `col:"note"`
	Extra        map[string]string            `col:"*"`
}

// spectrumField is a spectrum: one field, a column for every band in a table.
type spectrumField = unit.Stated[colour.Reflectance]

// Tint is the kind of a measure of paint stirred into a white.
const Tint = "tint"

// Measure is a row of measures.csv: a colour measured on a drawdown, a
// strike-off or a swatch, or on a tint: Share of the paint by mass (unknown:
// a tenth) stirred into the white that Over names, dry and thick enough to
// hide.
type Measure struct {
	Code     string                  `col:"code" as:"code" need:"yes"`
	Light    string                  `col:"light"` // "" = D65, or the spectrum needs none
	Lab      unit.Stated[colour.Lab] `col:"lab_l,lab_a,lab_b"`
	Over     string                  `col:"over"` // "black", "white", "itself" or a stock code; of a tint the white
	WetFilm  unit.Stated[float64]    `col:"wet_film_um" range:"0..5000"`
	Coats    unit.Stated[int]        `col:"coats" range:"1..100"`
	Kind     string                  `col:"kind" oneof:"drawdown|strike-off|swatch|tint"`
	Share    unit.Stated[float64]    `col:"share_pct" as:"percent" range:"0..100" optional:"yes"` // of a tint, 0.1 = 10 %
	Basis    string                  `col:"basis" oneof:"measured|photographed" optional:"yes"`   // "" = measured
	Spectrum spectrumField           `col:"spectrum"`
	Extra    map[string]string       `col:"*"`
}
