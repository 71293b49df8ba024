package sheet

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"undercoat/finish/plan"
)

// The calendar: a week is a sheet of cloth with a stripe for every area that
// has something in it. In a day's square stand the hours of hands; along the
// foot of the stripe run the hours themselves, black for hands, hatched for
// drying.

// Measures of the picture in mm.
const (
	weekNames  = 29.0
	weekHead   = 7.5
	weekLine   = 3.5 // one line of text
	weekFoot   = 4.4 // the hours
	weekRunner = 2.6
)

var weekType = run{size: 8.8}

// week is seven days from a Monday.
type week struct {
	from    time.Time // Monday 0:00 of the job's clock
	stripes []stripe
	marks   []weekMark
}

// stripe is one area's week.
type stripe struct {
	code, name string
	days       [7][]dayLine
	hands, dry [][2]float64 // hours as days from Monday, 0 to 7
	begin      float64      // last safe start; below 0 none
}

// dayLine is one line in a day's square.
type dayLine struct {
	text string
	bold bool
}

// weekMark is a date of the job that crosses every stripe.
type weekMark struct {
	at   float64
	text string
}

func calendarBits(d Data) []bit {
	weeks := weeksOf(d)
	if len(weeks) == 0 {
		return []bit{words(plainRun("Nothing is planned yet."))}
	}
	bits := []bit{calendarKey()}
	text, missed := handsOff(d)
	head := bigRun(text)
	if missed {
		bits = append(bits, minding(head))
	} else {
		bits = append(bits, words(head))
	}
	for _, w := range weeks {
		if len(w.stripes) == 0 {
			bits = append(bits, words(boldRun("Week of "+w.from.Format("Monday 2 January")+":"), plainRun("nothing to do"+w.markWords())))
			continue
		}
		bits = append(bits, w)
	}
	return bits
}

// markWords names the job's dates of a week in which nothing is done.
func (w week) markWords() string {
	s := ""
	for _, m := range w.marks {
		s += "; " + m.text
	}
	return s
}

func calendarKey() bit {
	return figure{
		wide: figureWide, high: 5.5, label: "Signs: black is hands, hatched is drying, an arrow down is the last safe start.",
		draws: func(c pen) {
			c.rect(0, 1, 8, weekRunner, "#111111")
			c.text(10, 3.6, 30, run{text: "hands at work", size: 9})
			c.hatch(42, 1, 12, weekRunner)
			c.text(56, 3.6, 30, run{text: "drying, wait", size: 9})
			startMark(c, 87, 1)
			c.text(91, 3.6, 40, run{text: "last safe start", size: 9})
			c.line(128, 0.4, 128, 4.6, thick)
			c.text(131, 3.6, 58, run{text: "a date of the job", size: 9})
		},
	}
}

// startMark points down at the last safe start.
func startMark(c pen, x, y float64) {
	c.polygon([][2]float64{{x - 1.6, y}, {x + 1.6, y}, {x, y + weekRunner}}, "#ffffff")
}

// weeksOf are the weeks from the first step to the last date.
func weeksOf(d Data) []week {
	if len(d.Plan.Steps) == 0 {
		return nil
	}
	first, last := d.Plan.Steps[0].Start, d.Plan.Steps[0].End
	for _, s := range d.Plan.Steps {
		if s.Start.Before(first) {
			first = s.Start
		}
		for _, t := range []time.Time{s.End, s.Ready} {
			if t.After(last) {
				last = t
			}
		}
	}
	if h := d.Plan.HandsOff; h.Known && h.At.After(last) {
		last = h.At
	}
	var weeks []week
	const most = 60 // more than a year is no picture any more
	for at := monday(first.In(d.zone())); at.Before(last) && len(weeks) < most; at = at.AddDate(0, 0, 7) {
		weeks = append(weeks, newWeek(d, at))
	}
	return weeks
}

// monday is the start of a day's week on its own clock.
func monday(t time.Time) time.Time {
	y, m, d := t.Date()
	return time.Date(y, m, d-(int(t.Weekday())+6)%7, 0, 0, 0, 0, t.Location())
}

func newWeek(d Data, from time.Time) week {
	w := week{from: from}
	codes := []string{}
	for _, a := range d.Plan.Areas {
		codes = append(codes, a.Code)
	}
	for _, s := range d.Plan.Steps {
		if !slices.Contains(codes, s.Area) {
			codes = append(codes, s.Area)
		}
	}
	for _, code := range codes {
		if s, ok := w.stripe(d, code); ok {
			w.stripes = append(w.stripes, s)
		}
	}
	w.mark(d.Plan.HandsOff.At, d.Plan.HandsOff.Known, "HANDS OFF", d)
	packing, ok := d.Job.Packing.Get()
	w.mark(packing, ok, "PACK", d)
	event, ok := d.Job.Event.Get()
	w.mark(event, ok, "EVENT", d)
	return w
}

// day is an instant as days from the week's Monday; days of a changed clock
// have 24 hours too.
func (w week) day(t time.Time) float64 {
	t = t.In(w.from.Location())
	y, m, d := t.Date()
	midnight := time.Date(y, m, d, 0, 0, 0, 0, time.UTC)
	fy, fm, fd := w.from.Date()
	days := midnight.Sub(time.Date(fy, fm, fd, 0, 0, 0, 0, time.UTC)).Hours() / 24
	h, min, s := t.Clock()
	return days + (float64(h)+float64(min)/60+float64(s)/3600)/24
}

func (w *week) mark(t time.Time, known bool, text string, d Data) {
	if !known {
		return
	}
	if at := w.day(t); at >= 0 && at < 7 {
		w.marks = append(w.marks, weekMark{at, text + " " + d.clock(t)})
	}
}

// stripe is an area's week; ok is false where nothing of it falls into it.
func (w week) stripe(d Data, code string) (s stripe, ok bool) {
	s = stripe{code: code, name: "whole job", begin: -1}
	if a, known := planArea(d, code); known {
		s.name = a.Piece
		if t, known := a.LatestStart.Get(); known && anyLeft(d.Plan, code) {
			s.begin = w.day(t)
		}
		if t, known := a.Ready.Get(); known {
			s.say(w.day(t), "ready "+d.clock(t), true)
		}
	}
	for _, p := range d.Plan.Steps {
		if p.Area != code {
			continue
		}
		s.say(w.day(p.Start), d.clock(p.Start)+" "+stepWord(p), false)
		s.hands = within(s.hands, w.day(p.Start), w.day(p.End))
		s.dry = within(s.dry, w.day(p.End), w.day(p.Ready))
	}
	if s.begin >= 0 && s.begin < 7 {
		a, _ := planArea(d, code)
		t, _ := a.LatestStart.Get()
		s.days[int(s.begin)] = append(s.days[int(s.begin)], dayLine{"by " + d.clock(t), true})
	} else {
		s.begin = -1
	}
	return s, len(s.hands)+len(s.dry) > 0 || s.begin >= 0
}

// anyLeft reports whether anything of an area is still to be done.
func anyLeft(p plan.Plan, code string) bool {
	return slices.ContainsFunc(p.Steps, func(s plan.Step) bool { return s.Area == code && !s.Done })
}

func (s *stripe) say(at float64, text string, bold bool) {
	if at >= 0 && at < 7 {
		s.days[int(at)] = append(s.days[int(at)], dayLine{text, bold})
	}
}

// within adds what of a time falls into the week.
func within(all [][2]float64, from, to float64) [][2]float64 {
	from, to = max(from, 0), min(to, 7)
	if to <= from {
		return all
	}
	return append(all, [2]float64{from, to})
}

// stepWord says a step in a word or two.
func stepWord(s plan.Step) string {
	word := string(s.Verb)
	switch {
	case s.Coat > 0:
		word = fmt.Sprintf("%s %d/%d", s.Code, s.Coat, s.Coats)
	case s.Verb == plan.VerbTreat || s.Verb == plan.VerbDye:
		word += " " + s.Code
	}
	if s.Who != "" {
		word += " (" + s.Who + ")"
	}
	if s.Done {
		word += " done"
	}
	return word
}

// dayWide is one day's square.
const dayWide = (figureWide - weekNames) / 7

// linesIn are a day's lines as they break in its square.
func linesIn(day []dayLine) []dayLine {
	var out []dayLine
	for _, l := range day {
		r := weekType
		r.bold = l.bold
		for _, part := range linesOf(l.text, dayWide-1.6, 2, r) {
			out = append(out, dayLine{part, l.bold})
		}
	}
	return out
}

// high is a stripe's height.
func (s stripe) high() float64 {
	lines := 1 + len(linesOf(s.name, weekNames-2, 2, weekType))
	for _, d := range s.days {
		lines = max(lines, len(linesIn(d)))
	}
	return weekLine*float64(lines) + weekFoot + 1
}

// pieces are the week's days as a head and its stripes: the end of a page may
// come between two of them.
func (w week) pieces() (bit, []bit) {
	var rest []bit
	for _, s := range w.stripes {
		rest = append(rest, figure{wide: figureWide, high: s.high(), draws: func(c pen) { w.drawStripe(c, s, 0) }})
	}
	return figure{wide: figureWide, high: w.head(), draws: w.drawHead}, rest
}

func (w week) draw(p *printer, x, y, wide float64) float64 {
	head, rest := w.pieces()
	top := y
	y += head.draw(p, x, y, wide)
	for _, b := range rest {
		y += b.draw(p, x, y, wide)
	}
	return y - top
}

// html sets the week as a table of pictures, so that its head stands again on
// the next page of a print.
func (w week) html(m *markup) {
	m.WriteString(`<div class="scroll"><table class="week" role="presentation"><thead><tr><td>`)
	var dates []string
	for _, k := range w.marks {
		dates = append(dates, k.text+" "+w.from.AddDate(0, 0, int(k.at)).Format("Mon 2 January"))
	}
	drawing(m, figureWide, w.head(), strings.TrimSpace("Week of "+w.from.Format("Monday 2 January")+". "+strings.Join(dates, "; ")), w.drawHead)
	m.WriteString("</td></tr></thead><tbody>")
	for _, s := range w.stripes {
		m.WriteString("<tr><td>")
		drawing(m, figureWide, s.high(), s.words(w.from), func(c pen) { w.drawStripe(c, s, 0) })
		m.WriteString("</td></tr>")
	}
	m.WriteString("</tbody></table></div>")
}

// words says a stripe for those who cannot see it.
func (s stripe) words(from time.Time) string {
	text := strings.TrimSpace(s.code+" "+s.name) + ":"
	for i, day := range s.days {
		for _, l := range day {
			text += " " + from.AddDate(0, 0, i).Format("Mon") + " " + l.text + ";"
		}
	}
	return strings.TrimSuffix(text, ";") + "."
}

// head is the height of the days' names and the dates above the stripes.
func (w week) head() float64 { return weekHead + 4*float64(len(w.marks)) }

func (w week) drawHead(c pen) {
	c.text(0, 5.4, weekNames-2, run{text: w.from.Format("2 January"), bold: true, size: 11})
	for i := range 7 {
		c.text(weekNames+dayWide*float64(i)+0.8, 5.4, dayWide-1, run{text: w.from.AddDate(0, 0, i).Format("Mon 2"), bold: true, size: 11})
	}
	for i, m := range w.marks {
		x, y := weekNames+dayWide*m.at, weekHead+4*float64(len(w.marks)-1-i) // a later date stands higher: no line crosses its words
		r := run{text: m.text, bold: true, size: 9.2}
		c.text(x-1.5-widthOf(m.text, r), y+2, 60, r)
		c.line(x, y-1, x, w.head(), thick)
	}
	c.line(0, w.head(), figureWide, w.head(), solid)
}

func (w week) drawStripe(c pen, s stripe, y float64) {
	for i := 1; i < 7; i += 2 {
		c.rect(weekNames+dayWide*float64(i), y+0.2, dayWide, s.high()-0.3, "#f1f1f1")
	}
	s.draw(c, y)
	c.line(0, y+s.high(), figureWide, y+s.high(), fine)
	for _, m := range w.marks {
		x := weekNames + dayWide*m.at
		c.line(x, y, x, y+s.high(), thick)
	}
}

func (s stripe) draw(c pen, y float64) {
	name := run{text: s.code, bold: true, size: 11}
	if s.code == "" {
		name.text = s.name
	}
	c.text(0, y+4.4, weekNames-2, name)
	if s.code != "" {
		for i, l := range linesOf(s.name, weekNames-2, 2, weekType) {
			c.text(0, y+8+weekLine*float64(i), weekNames-2, run{text: l, size: weekType.size})
		}
	}
	for i, day := range s.days {
		for k, l := range linesIn(day) {
			c.text(weekNames+dayWide*float64(i)+0.8, y+weekLine*float64(k+1), dayWide-1.2, run{text: l.text, bold: l.bold, size: weekType.size})
		}
	}
	foot := y + s.high() - weekRunner - 0.8
	for _, t := range s.dry {
		c.hatch(weekNames+dayWide*t[0], foot, dayWide*(t[1]-t[0]), weekRunner)
	}
	for _, t := range s.hands {
		c.rect(weekNames+dayWide*t[0], foot, max(dayWide*(t[1]-t[0]), 0.9), weekRunner, "#111111")
	}
	if s.begin >= 0 {
		startMark(c, weekNames+dayWide*s.begin, foot)
	}
}
