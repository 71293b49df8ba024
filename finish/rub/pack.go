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

// PackApart lists what of one look is better not packed face to face, in the
// order of the areas. Contacts the maker stated for the bag, and surfaces that are sewn
// together, are left out. Tissue between or a bag of its own costs nothing, so
// less than grade 5 is enough to ask for it.
func PackApart(in Input) []Apart {
	var all []surface
	for _, a := range in.Job.Areas {
		all = append(all, surfaceOf(in.Job, in.Stock, a.Code))
	}
	bag, seam := stated(in.Job)
	var out []Apart
	for _, s := range all {
		if p, ok := softening(in, s, all, bag); ok {
			out = append(out, p)
		} else if p, ok := giving(in, s, all, bag, seam); ok {
			out = append(out, p)
		}
	}
	return out
}

// softening keeps softened vinyl away from everything else.
func softening(in Input, s surface, all []surface, bag pairs) (Apart, bool) {
	if s.vinyl.Code == "" {
		return Apart{}, false
	}
	p := Apart{Area: s.area, Donor: s.vinyl.Code, Softens: true}
	for _, o := range all {
		if o.area != s.area && o.look == s.look && !bag.hold(s.area, o.area) {
			p.From = append(p.From, o.area)
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
func giving(in Input, s surface, all []surface, bag, seam pairs) (Apart, bool) {
	if s.vinyl.Code != "" || s.open || s.outer.Code == "" || !slices.ContainsFunc(s.shown, func(c colour.Lab) bool { return !pale(c) }) {
		return Apart{}, false
	}
	p := Apart{Area: s.area, Donor: s.outer.Code}
	for _, n := range all {
		shows := n.coloured() && n.lightest() > lightInTheBag && n.lightest() > s.darkest()+lighterBy
		if shows && n.area != s.area && n.look == s.look && !bag.hold(s.area, n.area) && !seam.hold(s.area, n.area) {
			p.From = append(p.From, n.area)
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

// pairs are pairs of areas, either way round.
type pairs map[[2]string]bool

func (p pairs) hold(a, b string) bool { return p[[2]string{a, b}] || p[[2]string{b, a}] }

// stated collects what the maker stated: which areas lie together in the bag,
// and which are sewn together.
func stated(j garment.Job) (bag, seam pairs) {
	bag, seam = pairs{}, pairs{}
	for _, c := range j.Contacts {
		key := [2]string{c.From, c.To}
		bag[key] = bag[key] || c.Rubbing == garment.RubNone || strings.Contains(strings.ToLower(c.Note), "pack")
		seam[key] = seam[key] || sewn(c)
	}
	return bag, seam
}
