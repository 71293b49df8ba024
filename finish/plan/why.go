package plan

import (
	"fmt"
	"strings"

	"undercoat/finish/schedule"
	"undercoat/inventory/unit"
)

// impossible tells why no order of work exists at all: the steps no hours
// hold, else the chain of facts the scheduler could not reconcile, with the
// reason behind each wait and the way out of a recoat window.
func (d *draft) impossible(out dated) []Link {
	if links := d.noHours(out); len(links) > 0 {
		return links
	}
	var links []Link
	for _, f := range out.Why.Facts {
		if text := d.factText(f); text != "" {
			links = append(links, Link{Step: f.Task, Text: text})
		}
	}
	if out.Why.Short > 0 {
		links = append(links, Link{Text: "together they miss by " + spanText(out.Why.Short)})
	}
	if len(links) == 0 {
		links = []Link{{Text: "no order of work was found that keeps every wait, the hours and the places"}}
	}
	return append(links, d.windowWays(out.Why)...)
}

// factText writes one of the scheduler's facts for a maker; "" where it says
// nothing new.
func (d *draft) factText(f schedule.Fact) string {
	switch f.Kind {
	case schedule.FactStarts:
		return fmt.Sprintf("%s can start %s at the earliest", f.Task, d.at(f.At))
	case schedule.FactFixed:
		return fmt.Sprintf("%s was begun %s", f.Task, d.at(f.At))
	case schedule.FactTakes:
		return fmt.Sprintf("%s takes %s", f.Task, spanText(f.Minutes))
	case schedule.FactMin:
		if why := d.waitWhy(f.Task, f.To); why != "" {
			return fmt.Sprintf("%s waits for %s: %s", f.To, f.Task, why)
		}
	case schedule.FactMax:
		if !strings.HasSuffix(f.To, " dries") {
			return fmt.Sprintf("%s must start within %s of %s", f.To, spanText(f.Minutes), f.Task)
		}
	case schedule.FactHours:
		if f.At != f.Until {
			return fmt.Sprintf("%s is ready %s and its next hours are %s", f.Task, d.at(f.At), d.at(f.Until))
		}
		return fmt.Sprintf("%s keeps to its hours", f.Task)
	case schedule.FactNoHours:
		return fmt.Sprintf("%s finds no hours long enough from %s on", f.Task, d.at(f.At))
	case schedule.FactAgain:
		return fmt.Sprintf("so it is at all later hours of %s", f.Task)
	case schedule.FactDue, schedule.FactDeadline:
		return fmt.Sprintf("%s must be finished by %s", f.Task, d.at(f.At))
	case schedule.FactCapacity:
		return fmt.Sprintf("there is %s of %s", d.amountText(f.Resource, f.Amount), f.Resource)
	case schedule.FactLoad:
		return fmt.Sprintf("between %s and %s, %s need %s of %s more than there is", d.at(f.At), d.at(f.Until), strings.Join(f.Tasks, ", "), spanText(f.Minutes), f.Resource)
	}
	return ""
}

func (d *draft) waitWhy(from, to string) string {
	for _, w := range d.waits {
		if w.from == from && w.to == to {
			return w.why
		}
	}
	return ""
}

func (d *draft) amountText(resource string, amount int) string {
	switch Place(resource) {
	case OnRail:
		return unit.FormatNumber(float64(amount)/100) + " m"
	case OnRack:
		return unit.FormatNumber(float64(amount)/1e4) + " m²"
	}
	return fmt.Sprintf("%d", amount)
}

// windowWays names the way out of every recoat window in a reason: waiting for
// the cure.
func (d *draft) windowWays(r schedule.Reason) []Link {
	var links []Link
	for _, f := range r.Facts {
		i, known := d.index[f.Task]
		if f.Kind != schedule.FactMax || !known || !d.work[i].dries.until.Known() {
			continue
		}
		w := d.work[i]
		links = append(links, Link{Step: f.To, Text: fmt.Sprintf("a way out: longer hours on one day, or wait for the cure of %s, %s, before the next coat", w.Code, unit.FormatSpan(w.dries.cure))})
	}
	return links
}
