package caution

import (
	"fmt"

	"undercoat/finish/garment"
	"undercoat/finish/plan"
	"undercoat/finish/rub"
	"undercoat/inventory"
)

// Weight is how heavy a caution weighs.
type Weight int

// From the lightest to the heaviest.
const (
	Note Weight = iota // good to know
	Care               // take care while doing it
	Stop               // do not start before this is settled
)

// String gives "note", "care" or "stop".
func (w Weight) String() string {
	switch w {
	case Note:
		return "note"
	case Care:
		return "care"
	case Stop:
		return "stop"
	}
	return fmt.Sprintf("weight(%d)", int(w))
}

// Caution is one thing to be minded: the rule, how heavy it weighs, what it is
// about (an area, a product, a wearer, a contact), a sentence, and its source.
type Caution struct {
	Rule    string
	Weight  Weight
	Subject string
	Text    string
	Source  string
}

// Input is the finished values that cautions are judged from.
type Input struct {
	Job      garment.Job
	Stock    inventory.Stock
	Plan     plan.Plan
	Verdicts []rub.Verdict
	Apart    []rub.Apart // what else is better not packed face to face
	Tests    []rub.Test
}
