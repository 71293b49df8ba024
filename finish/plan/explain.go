package plan

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"undercoat/finish/schedule"
	"undercoat/inventory/unit"
)

// clock is how a sentence writes an instant.
const clock = "Mon 2 Jan 15:04"

func (d *draft) at(m int) string { return d.instant(m).Format(clock) }

// chain walks back from the last finish of the plan to the first fact that
// sets it: at each step the wait, the release or the hands that kept it from
// starting earlier. Where the date is missed because of one area alone, the
// chain is that area's.
func (d *draft) chain(out dated) []Link {
	if out.Start == nil {
		return d.impossible(out)
	}
	i := d.lastWork(out)
	links := []Link{d.endLink(out, i)}
	for seen := map[int]bool{}; i >= 0 && !seen[i]; {
		seen[i] = true
		link, next := d.cause(out, i)
		links = append(links, link...)
		i = next
	}
	slices.Reverse(links)
	return links
}

// lastWork is the work whose finish is told: the deciding area's cure where
// that alone misses the date, else what finishes last.
func (d *draft) lastWork(out dated) int {
	if i, ok := d.index[curedID(out.decides)]; ok && !out.met {
		if off, known := d.job.HandsOff.Get(); known && out.Start[out.task[i]] > schedule.MinuteOf(off) {
			return i
		}
	}
	last := 0
	for i := range d.work {
		if out.Finish[out.task[i]] > out.Finish[out.task[last]] {
			last = i
		}
	}
	return last
}

// endLink holds the last finish against the date that does not move.
func (d *draft) endLink(out dated, i int) Link {
	end := out.Finish[out.task[i]]
	text := fmt.Sprintf("%s: %s", d.work[i].ID, d.at(end))
	if !d.work[i].milestone {
		text = fmt.Sprintf("%s is finished %s", d.work[i].ID, d.at(end))
	}
	off, known := d.job.HandsOff.Get()
	if known {
		spare := schedule.MinuteOf(off) - end
		if spare >= 0 {
			text += fmt.Sprintf(", %s before hands-off %s", spanText(spare), off.In(d.zone()).Format(clock))
		} else {
			text += fmt.Sprintf(", %s after hands-off %s", spanText(-spare), off.In(d.zone()).Format(clock))
		}
	}
	return Link{Step: d.work[i].ID, At: d.instant(end), Text: text}
}

// cause says why a piece of work starts no earlier, latest fact first, and
// which work to ask next; -1 where the fact is a date.
func (d *draft) cause(out dated, i int) (links []Link, next int) {
	w, start := d.work[i], out.Start[out.task[i]]
	if w.Done {
		return []Link{{Step: w.ID, At: d.instant(start), Text: w.ID + " was done " + d.at(out.Finish[out.task[i]])}}, -1
	}
	ready, from, why := out.problem.Start, -1, "nothing is planned before "+d.at(out.problem.Start)
	if at, ok := w.release.Get(); ok && minute(at) > ready {
		ready, why = minute(at), fmt.Sprintf("the supplies with %s arrive %s", d.bought(w), d.at(minute(at)))
	}
	for _, q := range d.waits {
		if q.to != w.ID || w.Done {
			continue
		}
		k := d.index[q.from]
		if at := out.Finish[out.task[k]] + int(wholeMinutes(q.min)/time.Minute); at >= ready {
			ready, from, why = at, k, q.why
		}
	}
	text := fmt.Sprintf("%s %s", w.ID, span(out, d, i))
	switch {
	case w.milestone:
		return []Link{{Step: w.ID, At: d.instant(ready), Text: why}}, from
	case d.nextStart(out.problem, w, ready) >= start:
		if start > ready {
			text += fmt.Sprintf(": ready %s; these are the next hours that hold %s", d.at(ready), spanText(w.minutes))
		}
		return []Link{{Step: w.ID, At: d.instant(start), Text: text}, {Step: w.ID, At: d.instant(ready), Text: why}}, from
	}
	if k := d.heldBy(out, i); k >= 0 {
		text += fmt.Sprintf(": ready %s, but hands or places are held by %s", d.at(ready), d.work[k].ID)
		return []Link{{Step: w.ID, At: d.instant(start), Text: text}}, k
	}
	return []Link{{Step: w.ID, At: d.instant(start), Text: text}, {Step: w.ID, At: d.instant(ready), Text: why}}, from
}

// span writes when a piece of work is done.
func span(out dated, d *draft, i int) string {
	t := out.task[i]
	return fmt.Sprintf("%s–%s", d.at(out.Start[t]), d.instant(out.Finish[t]).Format("15:04"))
}

// bought names what a piece of work waits for from the shop.
func (d *draft) bought(w work) string {
	var codes []string
	for _, c := range append([]string{w.Code, w.Fixer}, d.trimCodesIf(w)...) {
		if c != "" && d.mustBuy(c) && !slices.Contains(codes, c) {
			codes = append(codes, c)
		}
	}
	if len(codes) == 0 {
		return "goods"
	}
	return strings.Join(codes, " and ")
}

func (d *draft) trimCodesIf(w work) []string {
	if w.Verb == VerbStud {
		return d.trimCodes(w.Area)
	}
	return nil
}

// heldBy returns the work that hands hands or place over to this one last; -1
// where none does.
func (d *draft) heldBy(out dated, i int) int {
	best, at := -1, 0
	for _, l := range out.handOvers() {
		if l.To != out.task[i] && l.To != out.dry[i] {
			continue
		}
		k := out.workOf(l.From)
		if k < 0 || k == i {
			continue
		}
		if f := out.Finish[l.From]; best < 0 || f > at {
			best, at = k, f
		}
	}
	return best
}

// workOf returns the piece of work a task belongs to; -1 none.
func (p problem) workOf(task int) int {
	for i := range p.task {
		if p.task[i] == task || p.dry[i] == task {
			return i
		}
	}
	return -1
}

// noHours names the steps that no hours hold.
func (d *draft) noHours(out dated) []Link {
	var links []Link
	for i, w := range d.work {
		if w.milestone || w.Done {
			continue
		}
		longest := 0
		for _, who := range out.people[i] {
			for _, s := range windowsOf(out.shifts, who, w.kind) {
				longest = max(longest, s.To-s.From)
			}
		}
		if longest < w.minutes {
			links = append(links, Link{Step: w.ID, Text: fmt.Sprintf("%s takes %s; the longest hours for it are %s", w.ID, spanText(w.minutes), spanText(longest))})
		}
	}
	return links
}

// spanText writes minutes: "3 d 6 h 3 min", "45 min".
func spanText(minutes int) string {
	days := minutes / (24 * 60)
	rest := time.Duration(minutes%(24*60)) * time.Minute
	switch {
	case days > 0 && rest > 0:
		return fmt.Sprintf("%d d %s", days, unit.FormatSpan(rest))
	case days > 0:
		return fmt.Sprintf("%d d", days)
	}
	return unit.FormatSpan(rest)
}

// session finds the hours that decide: of the deciding area's coats still to
// be laid, the one with least left in its session whose missing that session
// would make the cure later.
func (d *draft) session(out dated) unit.Stated[Session] {
	var best Session
	found := false
	if out.Start == nil || out.decides == "" {
		return unit.Stated[Session]{}
	}
	cured := d.index[curedID(out.decides)]
	for i, w := range d.work {
		if w.Area != out.decides || !w.dries.on || w.Done {
			continue
		}
		t := out.task[i]
		hours, ok := sessionOf(out.shifts, out.people[i][max(0, out.Choice[t])], w.kind, out.Start[t])
		if !ok {
			continue
		}
		later := d.cureIfMissed(out, i, hours.To) - out.Start[out.task[cured]]
		room := hours.To - out.Finish[t]
		if later <= 0 || found && time.Duration(room)*time.Minute > best.Room {
			continue
		}
		best, found = Session{
			Step: w.ID, From: d.instant(hours.From), To: d.instant(hours.To), Start: d.instant(out.Start[t]), End: d.instant(out.Finish[t]),
			Room: time.Duration(room) * time.Minute, Moves: time.Duration(later) * time.Minute,
			Text: fmt.Sprintf("%s starts %s and leaves %s of its session; if it misses it, %s is cured %s instead of %s", w.ID, d.at(out.Start[t]), spanText(room),
				out.decides, d.at(out.Start[out.task[cured]]+later), d.at(out.Start[out.task[cured]])),
		}, true
	}
	if !found {
		return unit.Stated[Session]{}
	}
	return unit.State(best)
}

// cureIfMissed is when the deciding area would be cured if one of its coats
// could not start before a minute, with what comes before it as planned and
// hands free for what comes after.
func (d *draft) cureIfMissed(out dated, coat, from int) int {
	p := out.problem
	p.Tasks = slices.Clone(p.Tasks)
	for i, w := range d.work {
		t := &p.Tasks[p.task[i]]
		if present(t.Fixed) {
			continue
		}
		at := out.Start[p.task[i]]
		switch {
		case i == coat:
			t.Release = schedule.At(from)
		case at < out.Start[p.task[coat]] || w.Area != out.decides:
			t.Release = schedule.At(at)
		default:
			t.Release = schedule.Limit{}
		}
	}
	return d.relaxed(p)[d.index[curedID(out.decides)]]
}
