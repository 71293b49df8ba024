package schedule

// A Reason is why no schedule exists. The zero value gives no reason.
type Reason struct {
}

func explain(p Problem, o Options) Reason { return Reason{} }
