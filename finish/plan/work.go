package plan

import (
	"time"

	"undercoat/inventory/unit"
)

// work is a step before it has dates: what it needs and what it starts.
type work struct {
	Step
	minutes   int
	kind      kind
	who       unit.Stated[string]    // the one person who does it, where named
	release   unit.Stated[time.Time] // not earlier: supplies
	milestone bool                   // a state, no work: "A5 cured"
	dries     drying
	what      string        // a test in words
	begins    time.Duration // what the work begins takes by itself: a test that lies
}

// kind is a kind of work, for which people state hours.
type kind int

// The kinds of hours.csv.
const (
	anyWork kind = iota
	sewingWork
	sprayWork
)

func (k kind) String() string {
	return [...]string{"any work", "sewing", "spraying outdoors"}[k]
}

// drying is what a coat starts, in this room.
type drying struct {
	on            bool
	film          float64 // times the label's film
	touch, recoat time.Duration
	handle, cure  time.Duration
	until         unit.Stated[time.Duration]
	hold          time.Duration // how long the piece keeps its place
	place         Place
	amount        int // centimetres of rail, square centimetres of rack
	laid          []laid
	basis         string
	unknown       string // what no label says
}

// laid is a way to dry pieces that would hang: some of them on the rack.
type laid struct {
	pieces     int // on the rack
	rail, rack int // centimetres, square centimetres
}

// wait is a rule between two steps in clock time: the second starts at least
// min, and at most max where known, after the first has finished.
type wait struct {
	from, to string // step ids
	min      time.Duration
	max      unit.Stated[time.Duration]
	why      string // for the chain of facts
}

// Hands times where the maker states none; common practice, no source.
const (
	maskHands    = 10 * time.Minute // for each piece
	unmaskHands  = 5 * time.Minute  // for each piece
	testHands    = 20 * time.Minute
	bathHands    = 25 * time.Minute // fill, warm, turn, rinse; the bath itself on top
	rinseHands   = 15 * time.Minute
	prewashHands = 15 * time.Minute
	packHands    = time.Hour
	coatSetUp    = 5 * time.Minute  // a coat's fixed part
	coatPace     = 30 * time.Minute // for each square metre
	heatSpot     = 0.02             // m² one iron covers
	pressSpot    = 0.14             // m² one press covers
)

// Waits where no label has a say; common practice, no source.
const (
	clothDries  = 12 * time.Hour   // washed cloth on a line overnight
	heatDries   = 24 * time.Hour   // dry right through before heat, label silent
	coolDown    = 30 * time.Minute // after heat, before the next step
	maskedBelow = 0.80             // share of the cloth's faces painted below which edges are masked
)

// add appends a step; ids are unique.
func (d *draft) add(w work) {
	w.minutes = int(wholeMinutes(w.Hands) / time.Minute)
	w.Done = d.isDone(w.ID)
	d.index[w.ID] = len(d.work)
	d.work = append(d.work, w)
}

// after says that step to waits for step from. What is done waits for nothing.
func (d *draft) after(from, to string, min time.Duration, why string) {
	d.waits = append(d.waits, wait{from: from, to: to, min: min, why: why})
}

// arrival returns when an article is there: with the supplies where any of it
// has to be bought.
func (d *draft) arrival(codes ...string) unit.Stated[time.Time] {
	for _, c := range codes {
		if c != "" && d.mustBuy(c) {
			return d.job.SuppliesArrive
		}
	}
	return unit.Stated[time.Time]{}
}

// curedID names the state in which nothing of an area is wet or uncured.
func curedID(area string) string { return area + " cured" }

// treatID names a bath.
func treatID(area, code string) string { return area + "-" + code }
