package rub

import (
	"fmt"
	"slices"
	"strings"

	"undercoat/finish/garment"
	"undercoat/palette/colour"
)

// Apart proposes to keep an area off others in the bag: it follows from the
// tests and materials although no contact was stated for it.
type Apart struct {
	Area    string
	From    []string // area codes
	Donor   string   // stock code
	Test    string   // the test it rests on; "" where none is on record
	Tested  bool
	Softens bool // softened vinyl: a bag of its own
	Because string
}

// lightInTheBag is the L* from which a neighbour shows the least stain.
const lightInTheBag = 80

// PackApart lists what is better not packed face to face, in the order of the
// areas. Contacts the maker stated for the bag, and surfaces that are sewn
// together, are left out. Tissue between or a bag of its own costs nothing, so
// less than grade 5 is enough to ask for it.
func PackApart(in Input) []Apart {
	var out []Apart
	for _, a := range in.Job.Areas {
		s := surfaceOf(in.Job, in.Stock, a.Code)
		if p, ok := softening(in, s); ok {
			out = append(out, p)
			continue
		}
		if p, ok := giving(in, s); ok {
			out = append(out, p)
		}
	}
	return out
}

// softening keeps softened vinyl away from everything else.
func softening(in Input, s surface) (Apart, bool) {
	if s.vinyl.Code == "" {
		return Apart{}, false
	}
	p := Apart{Area: s.area, Donor: s.vinyl.Code, Softens: true}
	for _, o := range in.Job.Areas {
		if o.Code != s.area && !stated(in.Job, s.area, o.Code, true) {
			p.From = append(p.From, o.Code)
		}
	}
	tests := testsOf(in.Tests, source{codes: []string{s.vinyl.Code, s.area}}, Press)
	p.Because = fmt.Sprintf("%s %s: its plasticiser wanders into paint, foam and cloth with warmth and hours", s.vinyl.Code, s.vinyl.Name)
	if len(tests) > 0 {
		p.Test, p.Tested = oldest(tests).Code, true
	}
	return p, len(p.From) > 0
}

// giving keeps what gives off colour away from what is light.
func giving(in Input, s surface) (Apart, bool) {
	if s.open || s.outer.Code == "" || !slices.ContainsFunc(s.shown, func(c colour.Lab) bool { return !pale(c) }) {
		return Apart{}, false
	}
	p := Apart{Area: s.area, Donor: s.outer.Code}
	for _, o := range in.Job.Areas {
		n := surfaceOf(in.Job, in.Stock, o.Code)
		if o.Code != s.area && n.coloured() && n.lightest() > lightInTheBag && n.lightest() > s.darkest()+lighterBy && !stated(in.Job, s.area, o.Code, false) {
			p.From = append(p.From, o.Code)
		}
	}
	if len(p.From) == 0 {
		return p, false
	}
	tests := testsOf(in.Tests, s.sources()[0], DampRub, DryRub)
	if len(tests) == 0 {
		p.Because = fmt.Sprintf("%s %s was never tested", s.outer.Code, s.outer.Name)
		return p, true
	}
	t := oldest(tests)
	if best, ok := bestTreated(tests); ok {
		t = best
	}
	if t.grade() >= Best {
		return p, false
	}
	p.Test, p.Tested = t.Code, true
	p.Because = fmt.Sprintf("%s %s gives off a little (%s)", s.outer.Code, s.outer.Name, t)
	return p, true
}

// stated reports whether the maker stated that two areas lie together in the
// bag, or that they are sewn together.
func stated(j garment.Job, a, b string, inBag bool) bool {
	return slices.ContainsFunc(j.Contacts, func(c garment.Contact) bool {
		if !(c.From == a && c.To == b) && !(c.From == b && c.To == a) {
			return false
		}
		bag := c.Rubbing == garment.RubNone || strings.Contains(strings.ToLower(c.Note), "pack")
		return bag || (!inBag && sewn(c))
	})
}
