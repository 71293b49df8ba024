package sheet

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"undercoat/finish/garment"
	"undercoat/finish/rub"
)

// The contact map: every area that touches another is a strip across the page,
// every contact a thread tied from strip to strip. The thread's make, the shape
// on it and the words beside it say the verdict; no colour does.

// signOf is how a verdict is drawn.
func signOf(w rub.Word) (shape, stroke) {
	switch w {
	case rub.NoObjection:
		return hollow, solid
	case rub.WithBarrier:
		return square, twin
	case rub.TreatAndRetest:
		return triangle, dashed
	case rub.KeepApart:
		return blocked, thick
	}
	return question, dotted
}

// verdictKeys says what each sign means, the strictest first.
var verdictKeys = []struct {
	word rub.Word
	text string
}{
	{rub.KeepApart, "a thread that is cut: not worn or packed together"},
	{rub.TreatAndRetest, "a thread of dashes: treat the cloth, then test again"},
	{rub.NotTested, "a thread of dots: nothing is known, test first"},
	{rub.WithBarrier, "a double thread: something lies between"},
	{rub.NoObjection, "a single thread: tests on record speak for it; they clear nothing else"},
}

func contactBits(d Data) []bit {
	if len(d.Verdicts) == 0 {
		return []bit{words(plainRun("No contact is on record. State in the table of contacts which areas touch, and what lies on skin."))}
	}
	bits := []bit{signKey()}
	for _, part := range mapParts(d) {
		bits = append(bits, mapFigure(d, part))
	}
	return append(bits, heading("In words"), contactTable(d))
}

// signKey lists the signs of the verdicts.
func signKey() bit {
	const row = 6.4
	return figure{
		wide: figureWide, high: row*float64(len(verdictKeys)) + 1, label: "Signs of the verdicts; the table below says every verdict in words.",
		draws: func(c pen) {
			for i, k := range verdictKeys {
				y := row*float64(i) + 3.4
				s, line := signOf(k.word)
				tie(c, line, 3, y, 25, y)
				mark(c, s, 14, y)
				c.text(30, y+1.2, 46, run{text: strings.ToUpper(string(k.word)), bold: true, size: 10})
				c.text(76, y+1.2, figureWide-76, run{text: k.text, size: 10})
			}
		},
	}
}

// tie draws a thread with a knot at both ends; a cut one has a gap beside its
// middle.
func tie(c pen, s stroke, x1, y1, x2, y2 float64) {
	if s == thick {
		fx, fy := (x2-x1)*0.28, (y2-y1)*0.28
		thread(c, x1, y1, x1+fx, y1+fy, s)
		thread(c, x2-fx, y2-fy, x2, y2, s)
	} else {
		thread(c, x1, y1, x2, y2, s)
	}
	c.circle(x1, y1, 0.9, "#111111")
	c.circle(x2, y2, 0.9, "#111111")
}

// Measures of the map in mm.
const (
	stripNames = 47.0 // the names of the strips
	stripHigh  = 16.5
	laneWide   = 23.2
	laneText   = laneWide - 4 - 2.7 // between a shape and that of the next lane
	lanesMost  = 6
	stripsMost = 12
)

// mapPart is as much of the map as one picture holds: its strips and, for each
// contact, the lane its thread runs in.
type mapPart struct {
	strips   []string
	verdicts []rub.Verdict
	lanes    []int
}

// mapParts shares the contacts among pictures, in their order; every picture
// shows only the strips that it ties.
func mapParts(d Data) []mapPart {
	var parts []mapPart
	var now []rub.Verdict
	for _, v := range d.Verdicts {
		with := newMapPart(d, append(slices.Clone(now), v))
		if len(now) > 0 && (len(with.strips) > stripsMost || slices.Max(with.lanes) >= lanesMost) {
			parts, now = append(parts, newMapPart(d, now)), nil
		}
		now = append(now, v)
	}
	return append(parts, newMapPart(d, now))
}

func newMapPart(d Data, verdicts []rub.Verdict) mapPart {
	m := mapPart{verdicts: verdicts}
	for _, v := range verdicts {
		for _, side := range []string{v.Contact.From, v.Contact.To} {
			if !slices.Contains(m.strips, side) {
				m.strips = append(m.strips, side)
			}
		}
	}
	place := func(code string) int { // skin lies under everything
		i := slices.IndexFunc(d.Job.Areas, func(a garment.Area) bool { return a.Code == code })
		switch {
		case code == garment.Skin:
			return len(d.Job.Areas) + 1
		case i < 0:
			return len(d.Job.Areas)
		}
		return i
	}
	slices.SortStableFunc(m.strips, func(a, b string) int { return cmp.Compare(place(a), place(b)) })
	m.lay()
	return m
}

// ends are the strips a contact ties, the upper one first.
func (m mapPart) ends(v rub.Verdict) (top, low int) {
	a, b := slices.Index(m.strips, v.Contact.From), slices.Index(m.strips, v.Contact.To)
	return min(a, b), max(a, b)
}

// lay gives each thread the first lane in which nothing is in its way.
func (m *mapPart) lay() {
	order := make([]int, len(m.verdicts)) // from the top down: then no fewer lanes would do
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, k int) int {
		top, _ := m.ends(m.verdicts[i])
		other, _ := m.ends(m.verdicts[k])
		return cmp.Compare(top, other)
	})
	m.lanes = make([]int, len(m.verdicts))
	var free []int // the strip from which each lane is free
	for _, i := range order {
		top, low := m.ends(m.verdicts[i])
		lane := slices.IndexFunc(free, func(from int) bool { return from <= top })
		if lane < 0 {
			lane, free = len(free), append(free, 0)
		}
		m.lanes[i], free[lane] = lane, max(low, top+1)
	}
}

func mapFigure(d Data, m mapPart) bit {
	var spoken []string
	for _, v := range m.verdicts {
		spoken = append(spoken, fmt.Sprintf("%s: %s on %s, %s", v.Contact.Code, v.Contact.From, v.Contact.To, v.Word))
	}
	return figure{
		wide: figureWide, high: stripHigh*float64(len(m.strips)) + 2, label: "Contacts as threads between areas. " + strings.Join(spoken, "; ") + ".",
		draws: func(c pen) {
			for i, s := range m.strips {
				m.strip(c, d, s, stripHigh*(float64(i)+0.5)+1)
			}
			for i, v := range m.verdicts {
				m.thread(c, v, m.lanes[i])
			}
		},
	}
}

// strip draws one area as a strip with its name.
func (m mapPart) strip(c pen, d Data, code string, y float64) {
	c.line(0, y, figureWide, y, fine)
	c.rect(0, y-stripHigh/2+1, stripNames-2, stripHigh-2, "#ffffff")
	c.rect(0, y-stripHigh/2+1, stripNames-2, stripHigh-2, "")
	name := code
	if code == garment.Skin {
		name = "SKIN"
	}
	c.text(1.5, y-0.8, 16, run{text: name, bold: true, size: 12})
	a, ok := d.Job.Area(code)
	if !ok {
		return
	}
	r := run{size: 9}
	at := 3 + widthOf(code, run{bold: true, size: 12})
	lines := linesOf(a.Piece, stripNames-5, 2, r)
	if len(lines) > 0 && widthOf(a.Piece, r) <= stripNames-4-at {
		c.text(at, y-0.8, stripNames-4-at, run{text: a.Piece, size: 9})
		return
	}
	for i, l := range lines {
		c.text(1.5, y+2.4+3.2*float64(i), stripNames-5, run{text: l, size: 9})
	}
}

// thread draws one contact in its lane with its words.
func (m mapPart) thread(c pen, v rub.Verdict, lane int) {
	top, low := m.ends(v)
	x := stripNames + 4 + laneWide*float64(lane)
	from, to := stripHigh*(float64(top)+0.5)+1, stripHigh*(float64(low)+0.5)+1
	s, line := signOf(v.Word)
	tie(c, line, x, from, x, to)
	middle := (from + to) / 2
	if (low-top)%2 == 0 && low > top {
		middle -= stripHigh / 2 // off the strip between
	}
	mark(c, s, x, middle)
	word := run{bold: true, size: 8.6}
	says := linesOf(string(v.Word), laneText, 3, word)
	y := middle - 1.7*float64(len(says)) + 1.4
	c.text(x+4, y, laneText, run{text: v.Contact.Code, bold: true, size: 11})
	for i, l := range says {
		c.text(x+4, y+3.5*float64(i+1), laneText, run{text: l, bold: true, size: word.size})
	}
}

// contactTable says every contact in words.
func contactTable(d Data) bit {
	g := grid{columns: []column{{name: "", wide: 9}, {name: "contact", wide: 48}, {name: "verdict", wide: 31}, {name: "because"}, {name: "done", wide: 10}}}
	for _, v := range d.Verdicts {
		s, _ := signOf(v.Word)
		why := []run{plainRun(v.Because + ".")}
		box := cell{}
		if v.Barrier.How != "" && !strings.Contains(v.Because, v.Barrier.How) {
			why = append(why, belowRun("Between: "+strings.TrimSpace(v.Barrier.Code+" "+v.Barrier.How)+"."))
		}
		if v.Wanted.How != "" {
			why = append(why, run{text: "To do: " + v.Wanted.String() + ".", bold: true, size: body, below: true})
			box.tick = true
		}
		g.rows = append(g.rows, []cell{
			{mark: s}, cellOf(bigRun(v.Contact.Code), plainRun(d.surface(v.Contact.From)+" on "+d.surface(v.Contact.To)), belowRun(contactLife(v.Contact))),
			cellOf(boldRun(strings.ToUpper(string(v.Word)))), cellOf(why...), box,
		})
	}
	return g
}

// contactLife says how hard, how damp and how long.
func contactLife(c garment.Contact) string {
	s := "rubbing " + c.Rubbing.String()
	if c.Damp {
		s += ", damp or warm"
	}
	if c.Hours > 0 {
		s += fmt.Sprintf(", %g\u00a0h", c.Hours)
	}
	return s
}
