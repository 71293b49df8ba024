package sheet

import (
	"fmt"
	"math"
	"strings"
	"time"

	"undercoat/finish/caution"
	"undercoat/finish/garment"
	"undercoat/finish/plan"
	"undercoat/finish/rub"
	"undercoat/inventory"
	"undercoat/palette/colour"
)

// Data is what the papers print: finished values of one job.
type Data struct {
	Job      garment.Job
	Stock    inventory.Stock
	Plan     plan.Plan
	Verdicts []rub.Verdict
	Cautions []caution.Caution
	Apart    []rub.Apart            // what is better not packed face to face
	Tests    []rub.Test             // on record
	Recipes  []inventory.RecipeFact // of the job and of the workroom at large, by number
	Batches  []inventory.BatchFact  // of those recipes, by number
}

// zone is the clock times are told on: the plan's, else the job's, else UTC.
func (d Data) zone() *time.Location {
	switch {
	case d.Plan.Zone != nil:
		return d.Plan.Zone
	case d.Job.Zone != nil:
		return d.Job.Zone
	}
	return time.UTC
}

// name is an article's code and name.
func (d Data) name(code string) string {
	if a, ok := d.Stock.Article(code); ok {
		return code + " " + a.Name
	}
	return code
}

// at writes an instant on the job's wall clock: "Sat 31 Oct 10:00".
func (d Data) at(t time.Time) string { return t.In(d.zone()).Format("Mon 2 Jan 15:04") }

// date writes the day: "Sat 31 Oct".
func (d Data) date(t time.Time) string { return t.In(d.zone()).Format("Mon 2 Jan") }

// moment writes an instant as read beside another of the same day: "15:04".
func (d Data) moment(t, beside time.Time) string {
	if d.date(t) == d.date(beside) {
		return d.clock(t)
	}
	return d.at(t)
}

// surface names one side of a contact: an area with its piece, or skin.
func (d Data) surface(code string) string {
	if a, ok := d.Job.Area(code); ok && a.Piece != "" {
		return code + " " + a.Piece
	}
	return code
}

// clock writes the time of day alone.
func (d Data) clock(t time.Time) string { return t.In(d.zone()).Format("15:04") }

// swatch is a colour as paper shows it: hex for the eye, words and numbers for
// everybody else.
type swatch struct {
	Label, Hex, Words, Numbers string
}

func newSwatch(label string, l colour.Lab) swatch {
	whole := func(v float64) float64 { return math.Round(v) + 0 } // −0 becomes 0
	return swatch{
		Label: label, Hex: l.LinearRGB().Hex(), Words: colour.Name(l),
		Numbers: fmt.Sprintf("L* %.0f a* %.0f b* %.0f", whole(l.L), whole(l.A), whole(l.B)),
	}
}

// span writes a time for people: "3 d 6 h", "45 min".
func span(d time.Duration) string {
	sign := ""
	if d < 0 {
		sign, d = "−", -d
	}
	m := int(d.Round(time.Minute) / time.Minute)
	var parts []string
	if m >= 1440 {
		parts = append(parts, fmt.Sprintf("%d d", m/1440))
	}
	if h := m / 60 % 24; h > 0 {
		parts = append(parts, fmt.Sprintf("%d h", h))
	}
	if r := m % 60; r > 0 && m < 1440 || len(parts) == 0 {
		parts = append(parts, fmt.Sprintf("%d min", r))
	}
	return sign + strings.Join(parts, " ")
}
