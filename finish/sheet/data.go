package sheet

import (
	"fmt"
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
}

// name is an article's code and name.
func (d Data) name(code string) string {
	if a, ok := d.Stock.Article(code); ok {
		return code + " " + a.Name
	}
	return code
}

// at writes an instant on the job's wall clock: "Sat 31 Oct 10:00".
func (d Data) at(t time.Time) string { return t.In(d.Plan.Zone).Format("Mon 2 Jan 15:04") }

// clock writes the time of day alone.
func (d Data) clock(t time.Time) string { return t.In(d.Plan.Zone).Format("15:04") }

// swatch is a colour as paper shows it: hex for the eye, words and numbers for
// everybody else.
type swatch struct {
	Label, Hex, Words, Numbers string
}

func newSwatch(label string, l colour.Lab) swatch {
	return swatch{Label: label, Hex: l.LinearRGB().Hex(), Words: colour.Name(l), Numbers: fmt.Sprintf("L* %.0f a* %.0f b* %.0f", l.L, l.A, l.B)}
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
