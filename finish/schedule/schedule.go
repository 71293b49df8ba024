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
	switch s {
	case Unknown:
		return "unknown"
	case Feasible:
		return "feasible"
	case Proven:
		return "proven"
	case Infeasible:
		return "infeasible"
	}
	return "no status"
}

// A Schedule is the answer of Fit. The slices have one entry per task and are
// nil unless the status is Feasible or Proven. The zero value knows nothing.
type Schedule struct {
	Status Status
	Start  []int
	Finish []int
	Choice []int // index into Task.Choices; -1 where there is no choice
	End    int   // largest finish
	Bound  int   // no schedule has a smaller End
	Wait   int   // minutes people wait between tasks of one session

	// Latest is the last start of every task from which the deadline (or the
	// End, when there is none) and every due date can still be kept with the
	// order on each resource unchanged. Starting all tasks at Latest is itself
	// a valid schedule.
	Latest   []int
	Spare    []int  // Latest - Start, minutes, never negative
	Critical []bool // any later start moves the End, order unchanged

	Nodes int    // search nodes spent
	Why   Reason // set when Infeasible
}

// Gap is End - Bound in minutes: 0 when proven. It means nothing without a
// schedule.
func (s Schedule) Gap() int { return s.End - s.Bound }

// ErrProblem is wrapped by every error about a problem that is not well formed.
var ErrProblem = errors.New("problem not well formed")
