package garment

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"undercoat/inventory"
	"undercoat/inventory/unit"
	"undercoat/palette"
	"undercoat/palette/colour"
)

// Job is one event's set of costumes under one budget and calendar. It is
// built by [NewJob] and not changed afterwards; its slices keep the order of
// their tables.
type Job struct {
	Name    string
	Version int64 // of the facts it was built from

	Starts, HandsOff                unit.Stated[time.Time]
	AsOf                            unit.Stated[time.Time] // the job's clock stands here; unknown: it runs
	Event, Packing                  unit.Stated[time.Time]
	SuppliesOrdered, SuppliesArrive unit.Stated[time.Time]

	Budget   unit.Stated[unit.Money]
	Currency string
	Reserve  float64     // working loss, 0.15 = 15 %; see [DefaultReserve]
	Repair   unit.Volume // kept sealed per colour for repairs
	Zone     *time.Location

	Wearers    []Wearer
	Areas      []Area
	Contacts   []Contact
	References []Reference
	Lights     []Light
	Room       Room
	Hours      []Hours
	Sewing     []Sewing
	Done       []Done
	Choices    []Choice // the one that holds for each area
}

// DefaultReserve is the working loss where a job states none: 15 % of the
// paint, common practice, no source.
const DefaultReserve = 0.15

// DefaultTolerance is the ΔE00 accepted where an area states none: 3, the
// ordinary limit for cloth and paint seen at arm's length; common practice,
// no source.
const DefaultTolerance = 3

// Light is a named light condition of the job: where the costume is seen.
type Light struct {
	Name  string
	Light colour.Light
	Lux   unit.Stated[float64]
	UV    bool
	Judge bool // false where no source is stated, such as ultraviolet bars: nothing can be matched by them
	Note  string
}

// Reference is a picture used as evidence, with its anchor and the patches
// where areas are seen.
type Reference struct {
	Code, Picture, Trust, Note string // Trust is low, medium or high
	Anchor                     unit.Stated[palette.Anchor]
	Chart                      unit.Stated[palette.Rect] // a chart of 24 patches; it bears the cast's removal before the anchor
	Patches                    []Patch
}

// Patch is where an area is seen in a reference, or the colour it was read as.
type Patch struct {
	Area    string
	Rect    unit.Stated[palette.Rect] // round the outline where there is one
	Outline palette.Outline           // nil for a rectangle
	Colour  unit.Stated[colour.Colour]
}

// NewJob builds a job from its facts. It refuses facts that contradict each
// other; the error names the table, the code and the column. A job without
// wearers has one wearer of factor 1.
func NewJob(f inventory.JobFacts) (Job, error) {
	zone, err := time.LoadLocation(f.Job.Timezone)
	if err != nil {
		return Job{}, fmt.Errorf("read job.csv: timezone %q: expected an IANA zone such as Europe/London", f.Job.Timezone)
	}
	j := Job{
		Name: f.Job.Name, Version: f.Version,
		Starts: f.Job.PlanningStarts, AsOf: f.Job.AsOf, HandsOff: f.Job.HandsOff, Event: f.Job.EventAt, Packing: f.Job.PackingAt,
		SuppliesOrdered: f.Job.SuppliesOrdered, SuppliesArrive: f.Job.SuppliesArrive,
		Budget: f.Job.Budget, Currency: f.Job.Currency, Reserve: f.Job.Reserve.Or(DefaultReserve), Repair: f.Job.Repair.Or(0), Zone: zone,
		Room: newRoom(f.Room), Hours: newHours(f.Hours), Sewing: newSewing(f.Sewing), Done: newDone(f.Done), Choices: newChoices(f.Choices),
	}
	j.Wearers = newWearers(f.Wearers)
	if j.Areas, err = newAreas(f); err != nil {
		return Job{}, err
	}
	if j.Contacts, err = newContacts(f.Contacts); err != nil {
		return Job{}, err
	}
	if j.Lights, err = newLights(f.Lights); err != nil {
		return Job{}, err
	}
	j.References = newReferences(f)
	return j, j.checkDates()
}

// Area returns the area of a code.
func (j Job) Area(code string) (Area, bool) {
	i := slices.IndexFunc(j.Areas, func(a Area) bool { return a.Code == code })
	if i < 0 {
		return Area{}, false
	}
	return j.Areas[i], true
}

// Factor returns the sum of the wearers' area factors: how many lead wearers
// the cloth and the paint must cover.
func (j Job) Factor() float64 {
	sum := 0.0
	for _, w := range j.Wearers {
		sum += w.Factor
	}
	return sum
}

// ChoiceFor returns the layers that hold for an area, from the ground up: the
// maker's latest choice, else the recipe its table states. ok is false where
// neither is there.
func (j Job) ChoiceFor(area string) (layers []Layer, ok bool) {
	for _, c := range j.Choices {
		if c.Area == area {
			return c.Layers, true
		}
	}
	a, _ := j.Area(area)
	return a.Recipe, len(a.Recipe) > 0
}

// JudgingLights returns the lights a match is judged under, in table order.
func (j Job) JudgingLights() []Light {
	var lights []Light
	for _, l := range j.Lights {
		if l.Judge {
			lights = append(lights, l)
		}
	}
	return lights
}

func (j Job) checkDates() error {
	starts, ok1 := j.Starts.Get()
	ends, ok2 := j.HandsOff.Get()
	if ok1 && ok2 && !starts.Before(ends) {
		return fmt.Errorf("read job.csv: hands_off: %s lies before planning_starts: expected a later time", ends.In(j.Zone).Format("2006-01-02 15:04"))
	}
	return nil
}

func newWearers(facts []inventory.WearerFact) []Wearer {
	if len(facts) == 0 {
		return []Wearer{{Code: "P1", Name: "wearer", Factor: 1}}
	}
	var ws []Wearer
	for _, f := range facts {
		w := Wearer{Code: f.Code, Name: f.Name, Size: f.Size, Factor: f.AreaFactor.Or(1)}
		for _, s := range f.Sensitivities {
			w.Sensitivities = append(w.Sensitivities, strings.ToLower(strings.TrimSpace(s)))
		}
		ws = append(ws, w)
	}
	return ws
}

func newAreas(f inventory.JobFacts) ([]Area, error) {
	var areas []Area
	for _, a := range f.Areas {
		area := Area{
			Code: a.Code, Piece: a.Piece, Look: a.Look, Note: a.Note, Method: Method(a.Method),
			Target: newTarget(a, f.Targets), Tolerance: a.Tolerance.Or(DefaultTolerance),
			Cloth: a.Cloth.Or(0), Painted: a.Painted.Or(0), Ground: a.Ground,
			Stretch: a.Stretch.Or(0), Skin: a.Skin.Or(false), Sides: a.Sides.Or(1),
			CoatHands: a.Coat.Or(0), Rail: a.Rail.Or(0), Share: a.Share.Or(1), Recipe: a.Recipe,
		}
		if area.Method == "" {
			area.Method = methodOf(area)
		}
		area.Target.Fluorescent = saysFluorescent(a)
		if area.Method == ByPaint && area.Painted <= 0 {
			return nil, fmt.Errorf("read areas.csv: %s: painted_m2: expected an area above 0 for method paint", a.Code)
		}
		areas = append(areas, area)
	}
	return areas, nil
}

// saysFluorescent reports whether the maker calls the area fluorescent in its
// look or note: such a target's colour is a stand-in for a hue.
func saysFluorescent(a inventory.AreaFact) bool {
	return strings.Contains(strings.ToLower(a.Look+" "+a.Note), "fluoresc")
}

// methodOf guesses a method that was not stated: what is painted is painted,
// what is cut is cut.
func methodOf(a Area) Method {
	if a.Painted > 0 {
		return ByPaint
	}
	return ByCloth
}

func newContacts(facts []inventory.ContactFact) ([]Contact, error) {
	var cs []Contact
	for _, f := range facts {
		word := f.Rubbing
		if word == "" {
			word = "low"
		}
		r, err := ParseRubbing(word)
		if err != nil {
			return nil, fmt.Errorf("read contacts.csv: %s: %w", f.Code, err)
		}
		cs = append(cs, Contact{Code: f.Code, From: f.From, To: f.To, Rubbing: r, Damp: f.Damp.Or(false), Hours: f.Hours.Or(0), Note: f.Note})
	}
	return cs, nil
}

func newLights(facts []inventory.LightFact) ([]Light, error) {
	var lights []Light
	for _, f := range facts {
		light := Light{Name: f.Name, Lux: f.Lux, UV: f.UV.Or(false), Note: f.Note}
		if f.Source != "" {
			l, err := colour.LightNamed(f.Source)
			if err != nil {
				return nil, fmt.Errorf("read lights.csv: %s: source: %w", f.Name, err)
			}
			light.Light, light.Judge = l, true
		}
		lights = append(lights, light)
	}
	return lights, nil
}

func newReferences(f inventory.JobFacts) []Reference {
	var refs []Reference
	for _, r := range f.References {
		ref := Reference{Code: r.Code, Picture: r.Picture, Trust: r.Trust, Note: r.Note}
		if rect, ok := r.Anchor.Get(); ok {
			ref.Anchor = unit.State(newAnchor(rect, r.AnchorColour))
		}
		if rect, ok := r.Chart.Get(); ok {
			ref.Chart = unit.State(palette.Rect(rect))
		}
		for _, p := range f.Patches {
			if p.Reference == r.Code {
				ref.Patches = append(ref.Patches, newPatch(p))
			}
		}
		refs = append(refs, ref)
	}
	return refs
}

func newAnchor(rect inventory.Rect, known unit.Stated[inventory.Written]) palette.Anchor {
	r := palette.Rect(rect)
	if w, ok := known.Get(); ok {
		return palette.Anchor{Rect: r, Colour: w.Colour.Lab()}
	}
	return palette.Anchor{Rect: r} // a neutral of whatever lightness
}

func newPatch(p inventory.PatchFact) Patch {
	patch := Patch{Area: p.Area}
	if r, ok := p.Rectangle.Get(); ok {
		patch.Rect = unit.State(palette.Rect(r.Rect))
		for _, c := range r.Corners {
			patch.Outline = append(patch.Outline, palette.Corner{X: c[0], Y: c[1]})
		}
	}
	if w, ok := p.Colour.Get(); ok {
		patch.Colour = unit.State(w.Colour)
	}
	return patch
}

func newRoom(f inventory.RoomFact) Room {
	return Room{
		Volume: f.Volume, DayC: f.DayC, NightC: f.NightC, RH: f.Humidity, Air: f.Air, Fan: f.Fan, Changes: f.ChangesPerHour,
		Rail: f.Rail, Rack: f.Rack, DryingFactor: f.DryingFactor, DryingFactorFan: f.DryingFactorFan,
		Press: f.Press.Or(false), IronMaxC: f.IronMaxC, Mask: f.Mask,
	}
}

var weekdays = map[string]time.Weekday{
	"sun": time.Sunday, "mon": time.Monday, "tue": time.Tuesday, "wed": time.Wednesday, "thu": time.Thursday, "fri": time.Friday, "sat": time.Saturday,
}

func newHours(facts []inventory.HoursFact) []Hours {
	var hours []Hours
	for _, f := range facts {
		h := Hours{From: f.From.Or(0), To: f.To.Or(0), Who: f.Who, What: f.What, Note: f.Note}
		if h.What == "" {
			h.What = "any"
		}
		if day, ok := weekdays[strings.ToLower(f.Day)]; ok {
			h.Weekday = day
		} else if date, err := unit.ParseDate(f.Day); err == nil {
			h.Date = unit.State(date)
		}
		hours = append(hours, h)
	}
	return hours
}

func newSewing(facts []inventory.SewingFact) []Sewing {
	var steps []Sewing
	for _, f := range facts {
		steps = append(steps, Sewing{Code: f.Code, Area: f.Area, Verb: f.Verb, Hands: f.Hands.Or(0), After: f.After, Before: f.Before, Who: f.Who})
	}
	return steps
}

func newDone(facts []inventory.DoneFact) []Done {
	var done []Done
	for _, f := range facts {
		if at, ok := f.At.Get(); ok {
			done = append(done, Done{Step: f.Step, At: at, Code: f.Code, Used: f.Used})
		}
	}
	return done
}

// newChoices keeps the latest choice of each area, in the order the areas
// were first chosen.
func newChoices(facts []inventory.ChoiceFact) []Choice {
	var choices []Choice
	for _, f := range facts {
		c := Choice{Area: f.Area, Layers: f.Layers, At: f.At.Or(time.Time{})}
		i := slices.IndexFunc(choices, func(o Choice) bool { return o.Area == f.Area })
		if i < 0 {
			choices = append(choices, c)
		} else {
			choices[i] = c
		}
	}
	return choices
}

// newTarget takes the latest approval; where there is none, what the table
// states, not frozen.
func newTarget(a inventory.AreaFact, approvals []inventory.TargetFact) Target {
	var t Target
	if w, ok := a.Target.Get(); ok {
		t = Target{Colour: w.Colour, Low: w.Colour.Lab(), High: w.Colour.Lab(), Rests: []string{"stated in the table of areas"}}
	}
	for _, f := range approvals {
		w, ok := f.Colour.Get()
		if f.Area != a.Code || !ok {
			continue
		}
		t = Target{Colour: w.Colour, Frozen: true, Approved: f.At.Or(time.Time{}), Rests: f.Rests, Low: w.Colour.Lab(), High: w.Colour.Lab()}
		if low, ok := f.Low.Get(); ok {
			t.Low = low.Colour.Lab()
		}
		if high, ok := f.High.Get(); ok {
			t.High = high.Colour.Lab()
		}
	}
	return t
}
