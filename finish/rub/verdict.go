package rub

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"undercoat/finish/garment"
	"undercoat/inventory"
)

// Word is a verdict's word.
type Word string

// The verdicts, from the freest to the strictest.
const (
	NoObjection    Word = "no objection found"
	WithBarrier    Word = "with barrier"
	TreatAndRetest Word = "treat and retest"
	KeepApart      Word = "keep apart"
	NotTested      Word = "not tested"
)

// Verdict says whether a contact may be worn, and the test it rests on.
type Verdict struct {
	Contact garment.Contact
	Word    Word
	Because string
	Test    string // code of the test it rests on; "" where none
	Wanted  Wanted // the test still to do; zero where none is asked for
	Treat   []Treatment
	Barrier string // stock code of a lining on the shelf, where one is named
	Donor   string // stock code of what gives off colour; "" where not known
	Needed  Grade  // the grade asked of the contact; 0 where none
}

// Wanted is a test to be done.
type Wanted struct {
	Subject, Against, How string
}

// Treatment is what would bring an area's cloth to the grade a test showed.
type Treatment struct {
	Area, Code string
	Because    string
}

// Input is what verdicts are computed from.
type Input struct {
	Job   garment.Job
	Stock inventory.Stock
	Tests []Test
}

// The house rule. Dark beside light with sweat and rubbing needs damp grade 4;
// lying against it with little rubbing, damp 3-4 does with a barrier between.
// A dry contact needs dry grade 4, the usual order for cloth that is worn with
// white. Where nothing light lies beside it, 3 is enough.
//
// Sources: grades asked for in trade (wet rub 2-3 to 4, dry rub 4) are in the
// project's reference tables; the line drawn here is the workroom's own rule.
const (
	neededDampRubbed Grade = 8 // 4
	neededDampLying  Grade = 7 // 3-4
	neededDry        Grade = 8 // 4
	neededOnDark     Grade = 6 // 3
)

// lighterBy is how much lighter (L*) a neighbour must be for a stain to be a
// stain on light: below it the pair counts as of one depth.
const lighterBy = 15

// lyingLong is from when lying together in the bag counts as a press.
const lyingLong = 12 * time.Hour

// Verdicts gives one verdict for every contact of the job, in its order.
func Verdicts(in Input) []Verdict {
	verdicts := make([]Verdict, 0, len(in.Job.Contacts))
	for _, c := range in.Job.Contacts {
		verdicts = append(verdicts, judge(in, c))
	}
	return verdicts
}

func judge(in Input, c garment.Contact) Verdict {
	from, to := surfaceOf(in.Job, in.Stock, c.From), surfaceOf(in.Job, in.Stock, c.To)
	donor, other := giver(from, to)
	v := Verdict{Contact: c, Donor: donor.outer.Code}
	how := DryRub
	if c.Damp {
		how = DampRub
	}
	if (from.vinyl || to.vinyl) && c.To != garment.Skin {
		how = Press
	}
	if how == Press && c.Rubbing == garment.RubNone && c.Hours >= lyingLong.Hours() {
		return packedApart(in, c, v, donor)
	}
	light := c.To == garment.Skin || !donor.colour || !other.colour || other.lab.L > donor.lab.L+lighterBy
	v.Needed = needed(c, how, light)
	hows := []string{how}
	if how == DampRub && !light {
		hows = append(hows, DryRub) // on a dark neighbour a dry test says enough, where no damp one is there
	}
	tests := testsOf(in.Tests, donor, hows...)
	if len(tests) == 0 {
		v.Word, v.Wanted = NotTested, Wanted{Subject: first(donor.outer.Code, donor.area), Against: first(other.outer.Code, "white cotton"), How: how}
		v.Because = fmt.Sprintf("no %s of %s is on record: do it on the real pieces before they are worn together", how, donor.describe)
		return v
	}
	return rest(in, c, v, tests, donor, other, light)
}

// giver decides which side gives something off: softened vinyl, else the darker
// one; against skin the garment.
func giver(from, to surface) (donor, other surface) {
	if from.vinyl != to.vinyl {
		if to.vinyl {
			return to, from
		}
		return from, to
	}
	if from.colour && to.colour && to.lab.L < from.lab.L-lighterBy {
		return to, from
	}
	return from, to
}

// needed is the grade a contact asks for.
func needed(c garment.Contact, how string, light bool) Grade {
	switch {
	case !light:
		return neededOnDark
	case how == DryRub:
		return neededDry
	case c.Rubbing <= garment.RubLow && c.To != garment.Skin:
		return neededDampLying
	}
	return neededDampRubbed
}

// testsOf finds the graded tests of a surface done in one of the ways, the
// first way first, its outermost article first; tests of what lies below count
// only where there is none.
func testsOf(tests []Test, s surface, hows ...string) []Test {
	for _, code := range s.codes() {
		for _, how := range hows {
			var found []Test
			for _, t := range tests {
				if t.Subject == code && t.How == how && t.Rating.Known() {
					found = append(found, t)
				}
			}
			if len(found) > 0 {
				return found
			}
		}
	}
	return nil
}

// rest lets a contact's verdict rest on the tests there are.
func rest(in Input, c garment.Contact, v Verdict, tests []Test, donor, other surface, light bool) Verdict {
	plain := slices.DeleteFunc(slices.Clone(tests), Test.Treated)
	if len(plain) > 0 {
		now := oldest(plain)
		v.Test = now.Code
		if now.grade() >= v.Needed {
			v.Word, v.Because = NoObjection, passes(in, now, plain, v, donor)
			return v
		}
	}
	best, ok := bestTreated(tests)
	if !ok {
		v.Word = TreatAndRetest
		v.Because = fmt.Sprintf("%s, and %s is asked for here: treat it, then test again", tests[len(tests)-1], v.Needed)
		if !light || lowest(tests) <= 4 {
			v.Word, v.Because = KeepApart, fmt.Sprintf("%s, and %s is asked for here: keep it off", tests[len(tests)-1], v.Needed)
		}
		return v
	}
	return afterTreatment(in, c, v, plain, best, donor, other)
}

// oldest prefers the test of the longest cured piece, then the latest.
func oldest(tests []Test) Test {
	best := tests[0]
	for _, t := range tests[1:] {
		if t.Age.Or(0) > best.Age.Or(0) || (t.Age.Or(0) == best.Age.Or(0) && t.When.Or(time.Time{}).After(best.When.Or(time.Time{}))) {
			best = t
		}
	}
	return best
}

func lowest(tests []Test) Grade {
	g := Best
	for _, t := range tests {
		g = min(g, t.grade())
	}
	return g
}

func bestTreated(tests []Test) (Test, bool) {
	var best Test
	for _, t := range tests {
		if t.Treated() && (best.Code == "" || t.grade() > best.grade()) {
			best = t
		}
	}
	return best, best.Code != ""
}

// passes says why nothing was found against a contact, and what that rests on.
func passes(in Input, t Test, all []Test, v Verdict, donor surface) string {
	text := fmt.Sprintf("%s, and %s is asked for here", t, v.Needed)
	for _, o := range all {
		if o.Code != t.Code && o.Age.Or(0) < t.Age.Or(0) && o.grade() < t.grade() {
			text += fmt.Sprintf("; fresher it gave more (%s): not before it has cured", o)
			break
		}
	}
	if v.Contact.Damp && t.How == DryRub {
		text += "; damp it is not tested: keep it dry, or do the damp rub"
	}
	return text
}

// afterTreatment judges a cloth that fails as it is and passes, or not, when
// washed or fixed. Only what a test showed is offered.
func afterTreatment(in Input, c garment.Contact, v Verdict, plain []Test, best Test, donor, other surface) Verdict {
	v.Test = best.Code
	fails := ""
	if len(plain) > 0 {
		fails = fmt.Sprintf("as it is it fails (%s); ", oldest(plain))
	}
	if best.grade() < v.Needed {
		v.Word = TreatAndRetest
		v.Because = fmt.Sprintf("%streated it reaches %s, and %s is asked for here: treat further, then test again", fails, best, v.Needed)
		return v
	}
	v.Treat = treatments(in.Stock, donor, best)
	v.Because = fmt.Sprintf("%streated it passes (%s; %s is asked for): treat the cloth so before cutting and test the treated piece again", fails, best, v.Needed)
	v.Word = TreatAndRetest
	if c.To != garment.Skin {
		v.Word = WithBarrier
		v.Barrier = lining(in.Stock)
		v.Because += "; with a lining between" + named(in.Stock, v.Barrier)
	}
	return v
}

// treatments names the fixatives of the shelf that the test's condition names.
func treatments(stock inventory.Stock, donor surface, t Test) []Treatment {
	var out []Treatment
	for _, p := range stock.Paints() {
		if p.Kind == inventory.KindTreatment && strings.Contains(t.Condition, p.Code) {
			out = append(out, Treatment{Area: donor.area, Code: p.Code, Because: t.Code})
		}
	}
	return out
}

// packedApart judges lying together in the bag with softened vinyl: that costs
// nothing to avoid, so no test clears it.
func packedApart(in Input, c garment.Contact, v Verdict, donor surface) Verdict {
	v.Word = KeepApart
	v.Because = fmt.Sprintf("softened vinyl lies against it for %g h in the bag: plasticiser and dye wander with warmth and hours, and a bag of its own costs nothing", c.Hours)
	if tests := testsOf(in.Tests, donor, Press); len(tests) > 0 {
		v.Test = oldest(tests).Code
		v.Because += fmt.Sprintf("; on record is %s, a short test", oldest(tests))
	}
	return v
}

// lining picks an undyed lining of the shelf, by code; "" where there is none.
func lining(stock inventory.Stock) string {
	for _, c := range stock.Cloths() {
		words := strings.ToLower(c.Name + " " + c.Medium + " " + c.Note + " " + c.DyeClass)
		if strings.Contains(words, "undyed") && (strings.Contains(words, "lining") || strings.Contains(words, "barrier")) {
			return c.Code
		}
	}
	return ""
}

func named(stock inventory.Stock, code string) string {
	a, ok := stock.Article(code)
	if !ok {
		return ""
	}
	return fmt.Sprintf(" (%s %s is on the shelf)", a.Code, a.Name)
}

func first(words ...string) string {
	for _, w := range words {
		if w != "" {
			return w
		}
	}
	return ""
}
