package plan

import "errors"

// Make computes the plan of a job.
func Make(in Input) (Plan, error) { return Plan{}, errors.New("plan: not built yet") }
