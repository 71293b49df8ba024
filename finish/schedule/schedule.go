package schedule

import "errors"

// Status says how much is known of a schedule.
type Status int

const (
	Unknown    Status = iota // the effort ran out before a schedule or a proof was found
	Feasible                 // a schedule that keeps every rule; a smaller End is not excluded
	Proven                   // a schedule, and no schedule ends earlier
	Infeasible               // no schedule exists; Why says why
)

func (s Status) String() string {
	return [...]string{"unknown", "feasible", "proven", "infeasible"}[s]
}

// A Schedule is the answer of Fit. Start, Finish, Choice, Latest, Spare and
// Critical have one entry per task and are nil unless the status is Feasible
// or Proven.
type Schedule struct {
	Status Status
	Start  []int
	Finish []int
	Choice []int // index into Task.Choices; -1 where there is no choice
	End    int   // largest finish
	Bound  int   // no schedule has a smaller End
	Wait   int   // minutes people wait between steps of one session

	// Latest is the last start of every task from which the deadline (or the
	// End, when there is none) and every due date can still be kept with the
	// order on each resource unchanged. Starting all tasks at Latest is itself
	// a valid schedule.
	Latest   []int
	Spare    []int  // Latest - Start, minutes
	Critical []bool // a later start moves the End, order unchanged

	Nodes int    // search nodes spent
	Why   Reason // set when Infeasible
}

// Gap is End - Bound in minutes: 0 when proven.
func (s Schedule) Gap() int { return s.End - s.Bound }

// A Reason is why no schedule exists. The zero value gives no reason.
type Reason struct {
	Links []Link // in the order of the chain
}

// A Link is one fact of a chain that makes a problem impossible.
type Link struct {
	Text string
}

// ErrProblem is wrapped by every error about a problem that is not well formed.
var ErrProblem = errors.New("problem not well formed")

// Fit returns the schedule with the earliest End it can find.
func Fit(p Problem, o Options) (Schedule, error) {
	return Schedule{}, errors.New("fit: not built yet")
}

// Check reports the first rule of p that s breaks, or nil.
func Check(p Problem, s Schedule) error {
	return errors.New("check: not built yet")
}
