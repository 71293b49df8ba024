package web

import (
	"fmt"
	"math"
	"slices"
	"time"

	"undercoat/finish"
)

// face is one colour as a page shows it, with its words. Selvedge is the
// target that runs along its upper edge, so that the eye compares two colours
// that touch; "" leaves it out.
type face struct {
	Hex, Selvedge string
	Says          string // for those who do not see it
	Glows         bool   // more than a screen can show
}

func newFace(hex, selvedge, says string, glows bool) face {
	return face{Hex: hex, Selvedge: selvedge, Says: says, Glows: glows}
}

// band is a rectangle of a drawing, in hundredths of its width and height.
type band struct {
	X, Y, W, H float64
	Fill       string
	Hatch      bool // its size is not known
	Done       bool
	Says       string
}

// tag is a word beside a section, with a line to what it names.
type tag struct {
	Code  string // "W1 × 4"
	Share string // "16 %"
	Y, At float64
	Done  bool
}

// drawing is bands with the words beside them.
type drawing struct {
	Bands    []band
	Tags     []tag
	Selvedge string
	Says     string
	Lined    bool // lines between the bands
}

func newBands(bands []band, selvedge, says string) drawing {
	return drawing{Bands: bands, Selvedge: selvedge, Says: says}
}

func newCut(s finish.Section, selvedge, says string) drawing {
	bands := cut(s)
	return drawing{Bands: bands, Tags: tags(s, bands), Selvedge: selvedge, Says: says, Lined: true}
}

// The selvedge takes the upper part of every face of a strip.
const selvedge = 14.0

// threads are the readings of the pictures side by side: those that bear the
// estimate hang down all the way, the others half.
func threads(p *finish.PatchAnswer) []band {
	if p == nil || len(p.PerPicture) == 0 {
		return nil
	}
	w := 100 / float64(len(p.PerPicture))
	var out []band
	for i, r := range p.PerPicture {
		h := 100 - selvedge
		says := r.Picture + " bears the estimate"
		if !r.Counts {
			h, says = h/2, r.Picture+" is only compared"
		}
		out = append(out, band{X: round2(float64(i) * w), Y: selvedge, W: round2(w), H: h, Fill: r.Hex, Says: says, Hatch: !r.Counts})
	}
	return out
}

// leastBand keeps a layer that gives nothing to the eye (a clear coat) to be
// seen as a line, and the ground under full cover.
const leastBand = 1.5

// cutWidth is how much of a section's drawing its bands take; the words stand
// beside them.
const cutWidth = 60

// cut draws a section to scale: the height of a layer is its share of what
// the eye sees from above. The ground lies at the bottom.
func cut(s finish.Section) []band {
	room := 100 - selvedge - leastBand*float64(len(s.Coats)+1)
	var out []band
	y := selvedge
	for _, c := range slices.Backward(s.Coats) {
		h := leastBand + c.Share*room
		b := band{X: 0, Y: round2(y), W: cutWidth, H: round2(h), Hatch: c.Hiding == nil, Done: c.Done, Says: coatSays(c)}
		b.Fill = "none"
		if c.Face != nil {
			b.Fill = c.Face.Hex
		}
		out = append(out, b)
		y += h
	}
	ground := band{X: 0, Y: round2(y), W: cutWidth, H: round2(100 - y), Fill: "none", Says: fmt.Sprintf("ground %s: %.0f %% of what is seen", s.Ground, 100*s.GroundShare)}
	if s.GroundFace != nil {
		ground.Fill = s.GroundFace.Hex
	}
	return append(out, ground)
}

// tagApart is the least distance of two words beside a section.
const tagApart = 15.5

// tags names the products of a section beside its bands, from the top down;
// words that would lie on each other move apart.
func tags(s finish.Section, bands []band) []tag {
	var out []tag
	from := selvedge
	for i := 0; i < len(s.Coats); {
		c := s.Coats[len(s.Coats)-1-i]
		n, share, done := 0, 0.0, true
		top := from
		for ; i < len(s.Coats) && s.Coats[len(s.Coats)-1-i].Code == c.Code; i++ {
			coat := s.Coats[len(s.Coats)-1-i]
			n, share, done = n+1, share+coat.Share, done && coat.Done
			from = bands[i].Y + bands[i].H
		}
		out = append(out, tag{Code: fmt.Sprintf("%s × %d", c.Code, n), Share: percent(share), At: round2((top + from) / 2), Done: done})
	}
	ground := bands[len(bands)-1]
	out = append(out, tag{Code: s.Ground, Share: percent(s.GroundShare), At: round2(ground.Y + ground.H/2)})
	spread(out)
	return out
}

// spread puts every word at its band's middle, or as near as its neighbours
// allow: down the drawing first, then up from its foot.
func spread(tags []tag) {
	y := selvedge + 7.0
	for i := range tags {
		y = max(y, tags[i].At)
		tags[i].Y = y
		y += tagApart
	}
	y = 95.0
	for i := len(tags) - 1; i >= 0; i-- {
		tags[i].Y = round2(min(tags[i].Y, y))
		y = tags[i].Y - tagApart
	}
}

func percent(v float64) string { return number(100*v, 0) + " %" }

func coatSays(c finish.SectionCoat) string {
	says := fmt.Sprintf("%s coat %d of %d: %.0f %% of what is seen", c.Code, c.Coat, c.Coats, 100*c.Share)
	if c.Hiding == nil {
		says += ", hiding not known"
	}
	if c.Done {
		says += ", done"
	}
	return says
}

func round2(v float64) float64 { return math.Round(v*100) / 100 }

// line is the way from now to hands-off, in hundredths of it.
type line struct {
	Begin, Ready float64   // last safe start, and ready
	Days         []float64 // midnights
	Late         bool
}

// wayTo places an area's dates between now and hands-off. ok is false where no
// date is known.
func wayTo(p finish.PlanAnswer, a *finish.PlanArea) (line, bool) {
	now, ok := moment(p.Now)
	end, ok2 := moment(p.HandsOff.At)
	if !ok || a == nil {
		return line{}, false
	}
	if !ok2 {
		if end, ok2 = moment(p.HandsOff.Ends); !ok2 {
			return line{}, false
		}
	}
	begin, ok1 := moment(a.LatestStart)
	ready, ok3 := moment(a.Ready)
	if !ok1 || !ok3 || !end.After(now) {
		return line{}, false
	}
	part := func(t time.Time) float64 {
		return round2(100 * min(1, max(0, float64(t.Sub(now))/float64(end.Sub(now)))))
	}
	l := line{Begin: part(begin), Ready: part(ready), Late: ready.After(end)}
	for d := midnight(now).AddDate(0, 0, 1); d.Before(end) && len(l.Days) < 60; d = d.AddDate(0, 0, 1) {
		l.Days = append(l.Days, part(d))
	}
	return l, true
}

func midnight(t time.Time) time.Time {
	return time.Date(t.Year(), t.Month(), t.Day(), 0, 0, 0, 0, t.Location())
}

// calendar is the picture of the days. Across, everything is in hundredths of
// its width, so that it fits the page; down, in pixels.
type calendar struct {
	H        int
	Days     []calendarDay
	Rows     []calendarRow
	Now, Off float64 // x of now and of hands-off; Off below 0 where none is stated
}

type calendarDay struct {
	X, W      float64
	Name, Num string // "Mon", "26"
	Rest      bool   // Saturday or Sunday
}

type calendarRow struct {
	Y           int
	Code, Piece string
	Hands       []calendarBar
	Drying      []calendarBar
	Spare       []calendarBar // from a start to its last safe start
}

type calendarBar struct {
	X, W  float64
	Says  string
	Done  bool
	Chain bool
}

// Measures of the calendar: pixels down, hundredths across.
const (
	calRow   = 44
	calHead  = 40
	calLabel = 4.0
	calHand  = 0.35 // the least width of a step
)

// mostDays bounds the days of the picture; the table below it holds them all.
const mostDays = 120

// latestOf is the last safe start of a step, "" where nothing must be ready by
// any date.
func latestOf(p finish.PlanAnswer, st finish.PlanStep) string {
	if p.HandsOff.At == nil {
		return ""
	}
	return st.LatestStart
}

// newCalendar draws a plan's steps by area. A plan without steps gives none.
func newCalendar(p finish.PlanAnswer) *calendar {
	first, ok := moment(p.Now)
	if !ok || len(p.Steps) == 0 || undated(p) {
		return nil
	}
	last := first
	for _, st := range p.Steps {
		for _, v := range []string{st.End, st.Ready, latestOf(p, st)} {
			if t, ok := moment(v); ok && t.After(last) {
				last = t
			}
		}
		if t, ok := moment(st.Start); ok && t.Before(first) {
			first = t
		}
	}
	if t, ok := moment(p.HandsOff.At); ok && t.After(last) {
		last = t
	}
	from, to := midnight(first), midnight(last).AddDate(0, 0, 1)
	if most := from.AddDate(0, 0, mostDays); to.After(most) {
		to = most
	}
	place := func(t time.Time) float64 {
		return round2(calLabel + (100-calLabel)*float64(t.Sub(from))/float64(to.Sub(from)))
	}
	x := func(v any) float64 {
		t, _ := moment(v)
		return place(t)
	}
	c := &calendar{Now: x(p.Now), Off: -1}
	if p.HandsOff.At != nil {
		c.Off = x(*p.HandsOff.At)
	}
	for d := from; d.Before(to); d = d.AddDate(0, 0, 1) {
		at := place(d)
		c.Days = append(c.Days, calendarDay{
			X: at, W: round2(place(d.AddDate(0, 0, 1)) - at), Name: d.Format("Mon"), Num: d.Format("2 Jan"), Rest: d.Weekday() == time.Saturday || d.Weekday() == time.Sunday,
		})
	}
	c.rows(p, x)
	c.H = calHead + len(c.Rows)*calRow
	return c
}

func (c *calendar) rows(p finish.PlanAnswer, x func(any) float64) {
	chain := map[string]bool{}
	for _, l := range p.Chain {
		chain[l.Step] = true
	}
	for _, st := range p.Steps {
		i := slices.IndexFunc(c.Rows, func(r calendarRow) bool { return r.Code == st.Area })
		if i < 0 {
			i = len(c.Rows)
			c.Rows = append(c.Rows, calendarRow{Code: st.Area, Piece: st.Piece})
		}
		from, to, dry, latest := x(st.Start), x(st.End), x(st.Ready), -1.0
		if v := latestOf(p, st); v != "" {
			latest = x(v)
		}
		r := &c.Rows[i]
		r.Hands = append(r.Hands, calendarBar{X: from, W: max(calHand, round2(to-from)), Says: st.ID + ": " + st.Text + ", " + when(st.Start) + " to " + clockOf(st.End), Done: st.Done, Chain: chain[st.ID]})
		if dry > to {
			r.Drying = append(r.Drying, calendarBar{X: to, W: round2(dry - to), Says: st.ID + " dries until " + when(st.Ready)})
		}
		if latest >= from && !st.Done {
			r.Spare = append(r.Spare, calendarBar{X: from, W: round2(latest - from), Says: st.ID + ": last safe start " + when(st.LatestStart)})
		}
	}
	slices.SortStableFunc(c.Rows, func(a, b calendarRow) int {
		switch {
		case a.Code == b.Code:
			return 0
		case a.Code == "" || b.Code != "" && a.Code > b.Code:
			return 1
		}
		return -1
	})
	for i := range c.Rows {
		c.Rows[i].Y = calHead + i*calRow
	}
}
