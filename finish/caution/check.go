package caution

// Check judges a finished plan. Cautions come heaviest first, then by rule and
// subject.
func Check(in Input) []Caution { return nil }
