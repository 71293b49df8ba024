package rub

import (
	"cmp"
	"slices"
	"strings"

	"undercoat/finish/garment"
	"undercoat/inventory"
)

// Risk says how early an untested contact is to be tested. It ranks what is
// known of fibre, dye, depth, finish, damp and time; it measures nothing, says
// nothing of how much will come off, and never stands in for a test. The zero
// value is no rank.
type Risk struct {
	Order int    // 1 is to be tested first
	Words string // "test first", "test soon", "test when there is time"
	Why   []string
}

// sign is one thing that speaks for testing early; heavier ones sort first.
type sign struct {
	weight int
	why    string
}

// rank orders the tests still to do: the same test for two contacts has the
// place of the more pressing one.
func rank(in Input, verdicts []Verdict) {
	type asked struct {
		at     []int
		weight int
		why    []string
	}
	var all []asked
	for i, v := range verdicts {
		if v.Wanted.How == "" {
			continue
		}
		signs := signsOf(in, v)
		a := asked{at: []int{i}}
		for _, s := range signs {
			a.weight, a.why = a.weight+s.weight, append(a.why, s.why)
		}
		k := slices.IndexFunc(all, func(o asked) bool {
			return verdicts[o.at[0]].Wanted.Subject == v.Wanted.Subject && verdicts[o.at[0]].Wanted.How == v.Wanted.How
		})
		switch {
		case k < 0:
			all = append(all, a)
		case a.weight > all[k].weight:
			a.at = append(a.at, all[k].at...)
			all[k] = a
		default:
			all[k].at = append(all[k].at, i)
		}
	}
	slices.SortStableFunc(all, func(a, b asked) int { return cmp.Compare(b.weight, a.weight) })
	for order, a := range all {
		r := Risk{Order: order + 1, Words: "test when there is time", Why: a.why}
		switch {
		case a.weight >= pressing:
			r.Words = "test first"
		case a.weight >= soon:
			r.Words = "test soon"
		}
		for _, i := range a.at {
			verdicts[i].Risk = r
		}
	}
}

// From which sum of signs a test is called pressing; judgement. The sums are
// ranks and are never shown.
const pressing, soon = 11, 7

// signsOf lists what speaks for testing a contact early. The weights are
// judgement from the textile chemist's order of dye classes: direct dye rests in
// cellulose unbound, vat and sulphur dye and pigment come off by rubbing, reactive
// dye is bound when rinsed well, disperse dye moves by heat.
func signsOf(in Input, v Verdict) []sign {
	art, _ := in.Stock.Article(v.Donor)
	signs := dyeSigns(in.Stock, art)
	signs = append(signs, depthSigns(in, v, art)...)
	if words := strings.ToLower(art.Name + " " + art.Medium + " " + art.Note); holdsAny(words, "velvet", "pile", "nap", "brushed", "flock") {
		signs = append(signs, sign{1, "a pile or raised face"})
	}
	c := v.Contact
	if c.Damp {
		signs = append(signs, sign{3, "damp or warm"})
	}
	if c.Rubbing >= garment.RubMedium {
		signs = append(signs, sign{int(c.Rubbing), c.Rubbing.String() + " rubbing"})
	}
	if c.Hours >= 4 {
		signs = append(signs, sign{1, "for hours"})
	}
	return signs
}

func dyeSigns(stock inventory.Stock, a inventory.Article) []sign {
	if hasPlasticiser(a) {
		return []sign{{4, "softened vinyl"}}
	}
	switch a.Kind {
	case inventory.KindPaint:
		if p, _ := stock.Paint(a.Code); p.Fluorescent.Known() {
			return []sign{{3, "fluorescent pigment"}}
		}
		return []sign{{2, "pigment in a binder"}}
	case inventory.KindSealer:
		return nil
	}
	class, fibre := dyeing(stock, a)
	switch {
	case holdsAny(class, "undyed"):
		return nil
	case holdsAny(class, "direct", "union"):
		return []sign{{4, class + " dye on " + cmp.Or(fibre, "an unknown fibre")}}
	case holdsAny(class, "acid", "vat", "sulphur", "sulfur", "indigo"):
		return []sign{{3, class + " dye on " + cmp.Or(fibre, "an unknown fibre")}}
	case holdsAny(class, "reactive"):
		return []sign{{2, class + " dye on " + cmp.Or(fibre, "an unknown fibre")}}
	case holdsAny(class, "disperse"):
		return []sign{{1, class + " dye on " + cmp.Or(fibre, "an unknown fibre")}}
	}
	return []sign{{3, "its dye is not known"}}
}

func depthSigns(in Input, v Verdict, a inventory.Article) []sign {
	c, ok := a.Colour.Get()
	if !ok {
		return nil
	}
	var signs []sign
	switch l := c.Lab(); {
	case l.L < 30:
		signs = append(signs, sign{2, "a deep shade"})
	case l.L < 50 || l.LCh().C > 45:
		signs = append(signs, sign{1, "a strong shade"})
	}
	if v.Contact.To == garment.Skin || v.Contact.From == garment.Skin {
		return append(signs, sign{1, "against skin"})
	}
	other := v.Contact.To
	if other == v.Wanted.Area {
		other = v.Contact.From
	}
	if s := surfaceOf(in.Job, in.Stock, other); s.coloured() && s.lightest() > c.Lab().L+lighterBy {
		signs = append(signs, sign{2, "beside something lighter"})
	}
	return signs
}
