package schedule

// AnyTime is the calendar index of work that may lie at any hour, nights
// included (drying, waiting).
const AnyTime = -1

// A Limit is a number of minutes that may be absent. The zero value is absent.
// Limits compare with ==.
type Limit struct {
	set    bool
	minute int
}

// At returns a present limit of m minutes.
func At(m int) Limit { return Limit{set: true, minute: m} }

// Get returns the minutes and whether the limit is present (0, false when it
// is absent).
func (l Limit) Get() (minute int, present bool) { return l.minute, l.set }

// A Use is an amount of a resource that is held while a task runs.
// Amount 0 uses nothing; a negative amount is refused.
type Use struct {
	Resource int // index into Problem.Resources
	Amount   int
}

// A Resource is something of which only Capacity units exist at once: a pair
// of hands, places on a rail, a press.
type Resource struct {
	ID       string
	Capacity int
	// Calendar is when the resource is at work, as an index into
	// Problem.Calendars, or AnyTime. Every task that uses the resource must
	// keep to it.
	Calendar int
	// Person marks hands whose waiting counts (see Schedule.Wait).
	Person bool
}

// A Task is one piece of work that is not interrupted (but see Pausing).
type Task struct {
	ID       string
	Duration int   // minutes, 0 or more
	Uses     []Use // held from start to finish, pauses included

	// Choices are other sets of uses of which exactly one is held besides
	// Uses: one of several people. Empty means no choice.
	Choices [][]Use

	// Calendar is the working hours of this kind of work, as an index into
	// Problem.Calendars, or AnyTime. The task must lie within it and within
	// the calendars of every resource it uses: whole inside one window of
	// their intersection, touching windows counting as one. A task of
	// duration 0 may lie on either border of a window.
	Calendar int

	// Pausing lets the task run on over the gaps of its hours: it starts
	// inside a window and finishes when Duration minutes of open hours have
	// passed. It keeps its resources during the pause.
	Pausing bool

	Release Limit // earliest start, if any
	Due     Limit // latest finish, if any

	// Fixed is the start of a task that has already begun or is done. It is a
	// fact: hours, capacity, release, due and lags between two fixed tasks are
	// not judged; lags to tasks still free are, and it holds its resources.
	// A fixed task has at most one choice.
	Fixed Limit
}

// A Form says from which end of the first task a lag is counted.
type Form int

const (
	FinishToStart Form = iota // from the finish of From to the start of To
	StartToStart              // from the start of From to the start of To
)

// A Lag is a wait between two tasks in clock minutes, nights included:
// Min <= start(To) - end(From) <= Max, where end is the finish or the start of
// From as Form says. Min may be negative; NoMin leaves only the maximum.
// The zero Min and Max say that To starts no earlier than From finishes.
type Lag struct {
	From, To int // indices into Problem.Tasks
	Form     Form
	Min      int
	Max      Limit
}

// NoMin as Lag.Min leaves the minimum out.
const NoMin = -1 << 40

// A Window is a half-open stretch of minutes [From, To).
type Window struct{ From, To int }

// A Problem is what is to be put in order. Times are minutes from any epoch
// the caller likes; MinuteOf gives minutes since 1970 in UTC.
type Problem struct {
	Tasks     []Task
	Lags      []Lag
	Resources []Resource
	// Calendars are lists of windows in ascending order that do not overlap.
	Calendars [][]Window

	Start    int   // no free task starts earlier
	Horizon  int   // no free task finishes later; must be after Start
	Deadline Limit // no free task finishes later, if present: the date that does not move
}

// Options bound the search. The zero value searches DefaultNodes nodes.
// Without Stop the result depends on Problem, Seed and Nodes alone.
type Options struct {
	Seed  uint64
	Nodes int         // search nodes; 0 or less means DefaultNodes
	Stop  func() bool // asked now and then; true ends the search with the best so far
}

// DefaultNodes is the search effort when Options.Nodes is 0.
const DefaultNodes = 10_000
