package plan

import (
	"time"

	"undercoat/finish/garment"
	"undercoat/finish/match"
	"undercoat/finish/schedule"
	"undercoat/inventory"
	"undercoat/inventory/unit"
	"undercoat/palette/colour"
)

// Input is what a plan is computed from. Job and Stock are needed; everything
// else has a stated meaning when it is zero.
type Input struct {
	Job   garment.Job
	Stock inventory.Stock

	// Now is the present instant: nothing that is not done starts earlier.
	// The zero time takes the job's planning start.
	Now time.Time

	// Readings are what an instrument found of an area's master swatch under
	// named lights, by area code; they win over the target's own reflectance.
	Readings map[string][]match.Reading

	Fan        Fan           // whether the room's fan runs while pieces dry
	Laying     []Laying      // how products are laid, where not by brush and unthinned
	Observed   []Observed    // drying times the maker saw in this room
	Weighed    []Observation // pots weighed apart from steps on record
	Treatments []Treatment   // baths the verdicts on record ask for
	Tests      []TestWant    // tests to be made on the way
	Offers     []PackOffer   // other sizes a product is sold in

	// Alternatives says to compute what else could be done (fan, coats,
	// helper, product): each is a plan of its own.
	Alternatives bool
	// Effort is the number of search nodes of one fit; 0 takes a few thousand,
	// which proves the plans of one look.
	Effort int

	quick bool // an alternative of another plan: choices are made, refusals told
}

// Fan says whether the fan runs.
type Fan int

// FanAsRoom runs the fan where the room states one.
const (
	FanAsRoom Fan = iota
	FanOn
	FanOff
)

// Laying is how a product is laid on an area; Area "" is every area.
type Laying struct {
	Area, Code string
	Tool       Tool
	Thin       float64 // thinned by this share of the paint's volume
}

// Observed is a drying time the maker saw in this room: it wins over the
// label and over every factor.
type Observed struct {
	Code  string
	Stage Stage
	Time  time.Duration
}

// Treatment is a bath for an area's cloth, wanted by a verdict.
type Treatment struct {
	Area, Code string
	Because    string // the test or verdict it rests on
}

// TestWant is a test to be planned: a rub, press or heat test of an area in a
// state.
type TestWant struct {
	Code, Area string
	How        string        // dry rub, damp rub, press, heat, wash
	What       string        // the test in words, "damp rub of C5 on white cotton"; "" says How
	After      string        // a state such as "A5 cured", or a step
	Before     []string      // steps or states that wait for its result
	Hands      time.Duration // 0 takes 20 min; common practice, no source
	Wait       time.Duration // from the end of that until the result can be read; no hands
}

// PackOffer is another size a product is sold in.
type PackOffer struct {
	Code string
	Offer
}

// Plan is a whole plan. Every total agrees with the lines it sums. Slices are
// in a fixed order: areas as in their table, steps by start then id, shopping
// and cloth by code.
type Plan struct {
	Job      string
	Currency string
	Now      time.Time // the instant it was computed for
	Zone     *time.Location

	Areas     []Area
	Steps     []Step
	Batches   []Batch // what is poured together before it is used
	Pots      []Pot   // what is mixed with a fixer, session by session
	HandsOff  HandsOff
	Shopping  []Purchase
	Cost      Cost
	Trades    []Trade
	Cloth     []ClothNeed
	Refusals  []Refusal
	Drying    RoomDrying
	Places    []PlaceDemand
	Decides   unit.Stated[Session] // the session that decides the date
	Chain     []Link               // the facts that set the latest finish, in order of time
	Late      []Slip               // steps that were not done in time
	Strays    []string             // steps on record as done that this plan does not know, sorted
	Otherwise []Alternative
	Solver    Solver
}

// Role is what a layer does in its stack.
type Role string

// The roles of layers.
const (
	RoleBase        Role = "base"        // hides or blocks the ground
	RoleUndercoat   Role = "undercoat"   // carries the colour above it
	RoleTop         Role = "top"         // gives the colour
	RoleFluorescent Role = "fluorescent" // turns light into its own colour
	RoleGlaze       Role = "glaze"       // shifts the colour under it
	RoleSealer      Role = "sealer"      // colourless
	RoleFixer       Role = "fixer"       // stirred in, sets without heat
	RoleTreatment   Role = "treatment"   // a bath for the cloth
	RoleInk         Role = "ink"         // enters the fibre
	RoleCloth       Role = "cloth"       // cut, not coated
	RoleTrim        Role = "trim"        // set or sewn on
)

// Area is one area's way to its colour.
type Area struct {
	Code, Piece string
	Method      garment.Method
	Target      garment.Target
	Tolerance   float64
	Ground      string
	Layers      []Layer
	Chosen      bool   // by the maker, a recipe or a choice; else by the planner
	Basis       string // what the choice rests on, in words

	Predicted       unit.Stated[Prediction]
	Difference      unit.Stated[float64] // ΔE00 to the target, D65; unknown for a fluorescent
	DifferenceRange [2]float64

	Setting     Setting
	LatestStart unit.Stated[time.Time] // last safe start of its first step
	Ready       unit.Stated[time.Time] // nothing wet, nothing unfinished
	Cured       unit.Stated[time.Time]
	Spare       time.Duration // the least of its steps
}

// Prediction is the finished colour as the layer model sees it in daylight.
type Prediction struct {
	Lab, Low, High colour.Lab
	Hex            string
	OutOfScreen    bool
}

// Layer is one product of an area's stack, from the ground up.
type Layer struct {
	Code       string
	Role       Role
	Coats      int
	CoatsRange [2]int        // what the model allows; equal to Coats where it was not asked
	Volume     unit.Volume   // of all coats, rounded once
	Each       []unit.Volume // per coat, whole millilitres that add up to Volume
	Left       unit.Volume   // still to be laid: Volume less the coats that are done
	Repair     unit.Volume   // kept sealed of this colour; on the first area that uses it
	Fixer      string        // code of the fixer stirred in; "" none
	Count      int           // pieces of trim, all wearers
	Quantity   unit.Quantity // of what is not a volume: trim, cloth, dye, baths
	Spreading  Spreading
	Packs      int // bought of it for the whole job, all areas together
}

// Setting is how an area's paint is fixed.
type Setting struct {
	Way     SettingWay
	HeatC   float64       // °C, by heat
	Heat    time.Duration // per spot, by heat
	Fixer   string        // by fixer
	Share   float64       // of the paint, by fixer
	Pot     time.Duration // pot life of a mix
	Cure    time.Duration // after the last coat, in this room
	Because string
}

// SettingWay names how paint is fixed.
type SettingWay string

// The ways.
const (
	SetByAir   SettingWay = "air"
	SetByHeat  SettingWay = "heat"
	SetByFixer SettingWay = "fixer"
)

// Verb is what a step does.
type Verb string

// The verbs of steps. Those of sewing are the table's words.
const (
	VerbMask    Verb = "mask"
	VerbUnmask  Verb = "unmask"
	VerbCoat    Verb = "coat"
	VerbDye     Verb = "dye"
	VerbRinse   Verb = "rinse"
	VerbTreat   Verb = "treat"
	VerbHeat    Verb = "heat set"
	VerbTest    Verb = "test"
	VerbPack    Verb = "pack"
	VerbPrewash Verb = "prewash"
	VerbCut     Verb = "cut"
	VerbSew     Verb = "sew"
	VerbHem     Verb = "hem"
	VerbLine    Verb = "line"
	VerbStud    Verb = "stud"
	VerbFit     Verb = "fit"
)

// Step is one piece of work with its dates.
type Step struct {
	ID, Area, Piece string
	Verb            Verb
	Code            string // product
	Coat, Coats     int    // of that product, 1-based; 0 where it is not a coat
	Side            string // "", "face" or "back"
	Volume          unit.Volume
	Fixer           string
	FixerVolume     unit.Volume // tenths of a millilitre; see [Pot]
	Text            string      // what to do, for a bench sheet

	Hands time.Duration
	Who   string // "" is the maker

	Start, End  time.Time
	Ready       time.Time // when what it begins (drying, washing) lets the next step start
	LatestStart time.Time // last safe start
	Spare       time.Duration
	Critical    bool // a later start moves the end of the plan
	Done        bool
	After       []string // ids of the steps it waits for

	Dries  unit.Stated[Drying]
	Place  Place
	Racked int    // pieces that lie on the rack although the others hang
	Needs  string // what must hold, such as open air over 10 °C; "" nothing
}

// Drying is when a coat reaches its stages.
type Drying struct {
	Touch, RecoatFrom time.Time
	RecoatUntil       unit.Stated[time.Time]
	Handle, Cured     time.Time
	Basis             string // label, generic or observed; and the factor
}

// Place is where a piece dries.
type Place string

// The places.
const (
	Nowhere Place = ""
	OnRail  Place = "rail"
	OnRack  Place = "rack"
	InYard  Place = "yard"
)

// Pot is one mixing of a paint with its fixer: what is stirred together at
// once and must be used within the pot life.
type Pot struct {
	Code, Fixer        string
	Paint, FixerVolume unit.Volume // fixer in tenths of a millilitre, all pots adding up to the need
	Mixed, UseBy       time.Time
	Steps              []string
}

// Batch is all of one paint that the plan lays, poured together before the
// first coat so that every piece gets the same colour; the repair pot is
// filled from it first, without fixer.
type Batch struct {
	Code, Name string
	Paint      unit.Volume // to be laid
	Repair     unit.Volume
	Areas      []string
	Fixer      string
}

// HandsOff is the date that does not move and how the plan meets it.
type HandsOff struct {
	At      time.Time
	Known   bool // false: the job states none
	Met     bool
	Ends    time.Time              // last finish of any step or cure
	Cured   time.Time              // last cure
	Spare   time.Duration          // At less Ends; below 0 when missed
	OrderBy unit.Stated[time.Time] // supplies must be ordered by then
	Arrive  unit.Stated[time.Time]
	// OrderLate says that the time to order has passed and something is still
	// to be bought.
	OrderLate bool
}

// Purchase is a line of the shopping list: everything of one article the plan
// takes.
type Purchase struct {
	Code, Name string
	Unit       string
	Need       float64                // in Unit; whole millilitres for liquids
	OnHand     float64                // left for new work; 0 where unknown
	Counted    bool                   // whether anyone ever counted it
	Reserved   float64                // held by jobs
	Expired    unit.Stated[time.Time] // last day of use, where it passes before the plan's last use: on hand counts as none
	Packs      []Packs
	Buy        int // packs
	Bought     float64
	Cost       unit.Stated[unit.Money] // unknown where a price is
	Margin     float64                 // on hand and bought, less need
	Thin       bool                    // margin below a twentieth of the need
	Uses       []PurchaseUse
}

// PurchaseUse is one line's share of a need.
type PurchaseUse struct {
	Area   string
	What   string // "coats", "repair pot", "fixer", "studs", …
	Amount float64
}

// Cost is the money of the plan.
type Cost struct {
	Total   unit.Money // of the lines whose price is known
	Unknown []string   // codes to buy whose price is not known
	Budget  unit.Stated[unit.Money]
	Over    unit.Money // Total above the budget; 0 within
}

// Trade is an honest way to spend less: what is given up is said.
type Trade struct {
	Kind       string // "loss", "coats", "trim"
	Code       string
	Saves      unit.Money
	Total      unit.Money // cost with this trade and those before it
	Fits       bool       // Total is within the budget
	Text       string
	Gives      string               // what is given up
	Difference unit.Stated[float64] // ΔE00 between the plan's colour and the trade's
}

// Refusal is a product or a way that is not allowed: what, by which rule, by
// which fact, and the nearest allowed way.
type Refusal struct {
	Area    string
	What    string
	Code    string
	Rule    string
	Why     string
	Instead string
	Wearer  string // where it is refused for one wearer only
	Chosen  bool   // the maker or a recipe chose it
}

// RoomDrying is how this room dries.
type RoomDrying struct {
	Fan    bool
	Factor unit.Stated[float64] // the maker's own observation, where given
	Text   string
	Wet    unit.Volume // most water laid in one session
	RHRise float64     // it gives the closed or aired room, share of 1
	Air    Air         // by day
	Night  Air
	Unfit  []string // why the room must not be used for coats as it is
}

// PlaceDemand is the most a drying place would be asked for at once if every
// piece dried together.
type PlaceDemand struct {
	Place    Place
	Capacity float64 // m of rail, m² of rack
	Demand   float64
	Rounds   int // rounds that needs
	Areas    []string
	Text     string // what to do where it is too short; "" where it is not
}

// Session is a stretch of working hours and the step in it that decides.
type Session struct {
	Step       string
	From, To   time.Time     // the hours
	Start, End time.Time     // the step
	Room       time.Duration // left in the session after it
	Moves      time.Duration // how much later all ends if the step misses the session
	Text       string
}

// Link is one fact of the chain that sets the latest finish.
type Link struct {
	Step string // "" for a date of the job
	At   time.Time
	Text string
}

// Slip is a step that was to be done by now and is not.
type Slip struct {
	Step          string
	WasEnd, NowAt time.Time     // when it was to end, when it starts now
	Moves         time.Duration // of the plan's end
	Text          string        // the first tells also what all of them do to the end
}

// Alternative is something that could be dropped or changed, with what it
// does; every figure comes from a plan computed with the change.
type Alternative struct {
	Kind       string // "fan", "coats", "helper", "product"
	Area, Code string
	Met        bool
	Ends       time.Time
	Cured      unit.Stated[time.Time] // of the area that decides
	Moves      time.Duration          // Ends less the plan's; below 0 is earlier
	Cost       unit.Money             // change of cost
	Difference unit.Stated[float64]   // ΔE00 between the two finished colours
	Text       string

	dated bool // the plan it is held against has dates
}

// Solver is how far the dates are proven.
type Solver struct {
	Status schedule.Status
	Bound  time.Time // no order of work ends earlier
	Gap    time.Duration
	Nodes  int
	Tasks  int
}
