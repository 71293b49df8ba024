package rub

import (
	"cmp"
	"fmt"
	"slices"
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
	NotTested      Word = "not tested"
	TreatAndRetest Word = "treat and retest"
	KeepApart      Word = "keep apart"
)

var strictness = []Word{NoObjection, WithBarrier, NotTested, TreatAndRetest, KeepApart}

// Verdict says whether a contact may be worn, and the test it rests on.
type Verdict struct {
	Contact garment.Contact
	Word    Word
	Because string
	Test    string // code of the test it rests on; "" where none
	Stale   string // why that test no longer speaks for the piece; "" where it does
	Wanted  Wanted // the test still to do; zero where none is asked for
	Risk    Risk   // how early to do that test; zero where none is asked for
	Treat   []Treatment
	Try     []Remedy // what may help a cloth that fails, in the order to try; each needs a test after it
	Barrier Barrier  // zero where none is asked for
	Donor   string   // stock code of what gives off colour; "" where not known
	Needed  Grade    // the grade asked of the contact; 0 where none
}

// Wanted is a test to be done, on an area's article, in a state.
type Wanted struct {
	Subject, Against, How string
	Area                  string // whose article it is
	Treated               bool   // on the treated piece, after its bath and before it is cut
	Cured                 bool   // on the paint, when it has cured
}

// String says the test in words: "damp rub of C5 on C6, treated".
func (w Wanted) String() string {
	s := w.How + " of " + w.Subject + " on " + w.Against
	switch {
	case w.Treated:
		s += ", treated, before it is cut"
	case w.Cured:
		s += ", cured"
	}
	return s
}

// Treatment is what brought an area's cloth to the grade a test showed.
type Treatment struct {
	Area, Code string
	Because    string
}

// Input is what verdicts are computed from.
type Input struct {
	Job   garment.Job
	Stock inventory.Stock
	Tests []Test
	// Bought says when a stock line was last bought: a test older than that
	// speaks for another batch.
	Bought map[string]time.Time
	// Washed says when an area's cloth was last washed or treated.
	Washed map[string]time.Time
}

// The house rule. Dark beside light with sweat and rubbing needs damp grade 4;
// lying against it with little rubbing, damp 3-4 does with a barrier between.
// A dry contact needs dry grade 4, the usual order for cloth that is worn with
// white. Where nothing light lies beside it, 3 is enough.
//
// Sources: the grades usually asked for in trade (wet rub 2-3 to 4, dry rub 4;
// eco-labels and common orders); the line drawn here is the workroom's own rule.
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

// Verdicts gives one verdict for every contact of the job, in its order, and
// says which of the tests still to do comes first.
func Verdicts(in Input) []Verdict {
	verdicts := make([]Verdict, 0, len(in.Job.Contacts))
	for _, c := range in.Job.Contacts {
		verdicts = append(verdicts, judge(in, c))
	}
	rank(in, verdicts)
	return verdicts
}

// judge gives the strictest verdict of everything that can go from one surface
// to the other.
func judge(in Input, c garment.Contact) Verdict {
	if v, ok := metalOnSkin(in, c); ok {
		return v
	}
	from, to := surfaceOf(in.Job, in.Stock, c.From), surfaceOf(in.Job, in.Stock, c.To)
	donor, other := giver(from, to)
	p := pairing{in: in, contact: c, donor: donor, other: other}
	p.light = c.To == garment.Skin || !donor.coloured() || !other.coloured() || other.lightest() > donor.darkest()+lighterBy
	p.how = DryRub
	if c.Damp {
		p.how = DampRub
	}
	softener := donor.vinyl.Code != "" && c.To != garment.Skin
	if softener {
		p.how = Press
	}
	p.needed = needed(c, p.how, p.light)
	if softener && c.Rubbing == garment.RubNone && c.Hours >= lyingLong.Hours() {
		return p.packedApart()
	}
	if donor.open {
		return p.notChosen()
	}
	sources := donor.sources()
	if softener { // what wanders is in the vinyl, whatever lies on it
		sources = []source{{donor.area, donor.vinyl, append([]string{donor.vinyl.Code}, donor.area), donor.area + " " + donor.vinyl.Name}}
	}
	best := p.judge(sources[0])
	for _, s := range sources[1:] {
		if v := p.judge(s); slices.Index(strictness, v.Word) > slices.Index(strictness, best.Word) {
			best = v
		}
	}
	return best
}

// giver decides which side gives something off: softened vinyl, else the darker
// one; against skin the garment.
func giver(from, to surface) (donor, other surface) {
	if a, b := from.vinyl.Code != "", to.vinyl.Code != ""; a != b {
		if b {
			return to, from
		}
		return from, to
	}
	if from.coloured() && to.coloured() && to.darkest() < from.darkest()-lighterBy {
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

// pairing is one contact with its two surfaces, being judged.
type pairing struct {
	in           Input
	contact      garment.Contact
	donor, other surface
	how          string // the test that answers it
	light        bool   // the neighbour would show a stain
	needed       Grade
}

func (p pairing) verdict(s source) Verdict {
	return Verdict{Contact: p.contact, Donor: s.article.Code, Needed: p.needed}
}

// wanted is the test that would answer for a source.
func (p pairing) wanted(s source) Wanted {
	w := Wanted{Subject: cmp.Or(s.article.Code, s.area), Against: "white cotton", How: p.how, Area: s.area}
	if p.how == Press && p.contact.To != garment.Skin {
		w.Against = cmp.Or(p.other.outer.Code, w.Against) // a press test lies on the neighbour itself
	}
	w.Cured = s.article.Kind == inventory.KindPaint
	return w
}

// judge gives the verdict on one source.
func (p pairing) judge(s source) Verdict {
	hows := []string{p.how}
	if p.how == DampRub && !p.light {
		hows = append(hows, DryRub) // on a dark neighbour a dry test says enough, where no damp one is there
	}
	tests := testsOf(p.in.Tests, s, hows...)
	if len(tests) == 0 {
		v := p.verdict(s)
		v.Word, v.Wanted = NotTested, p.wanted(s)
		v.Because = fmt.Sprintf("no %s of %s is on record: test a scrap before they are worn together", p.how, s.describe)
		return v
	}
	v := p.rest(s, tests)
	return p.doubtStale(s, v)
}

// notChosen is the verdict on a surface whose paint is not chosen.
func (p pairing) notChosen() Verdict {
	return Verdict{
		Contact: p.contact, Word: NotTested, Needed: p.needed,
		Because: fmt.Sprintf("what %s is painted or dyed with is not chosen yet: choose it, then test it", p.donor.area),
	}
}

// rest lets a contact's verdict rest on the tests there are.
func (p pairing) rest(s source, tests []Test) Verdict {
	v := p.verdict(s)
	plain, treated := p.byState(s, tests)
	if len(plain) > 0 {
		now := oldest(plain)
		v.Test = now.Code
		if now.grade() >= p.needed {
			v.Word, v.Because = NoObjection, p.passes(now, plain)
			return v
		}
		if p.fresh(s, now) {
			v.Word, v.Wanted = TreatAndRetest, p.wanted(s)
			v.Because = fmt.Sprintf("%s, and %s is asked for here; it had not cured: let it cure, then test again", now, p.needed)
			return v
		}
	}
	if best, ok := bestTreated(treated); ok {
		return p.afterTreatment(s, v, plain, best)
	}
	return p.fails(s, v, tests)
}

// fails is the verdict on a source that fails and on which nothing was tried.
func (p pairing) fails(s source, v Verdict, tests []Test) Verdict {
	last := latest(tests)
	v.Word, v.Try = TreatAndRetest, remedies(p.in.Stock, s.article)
	v.Because = fmt.Sprintf("%s, and %s is asked for here: treat it, then test again", last, p.needed)
	switch {
	case !p.light || last.grade() <= 4:
		v.Word = KeepApart
		v.Because = fmt.Sprintf("%s, and %s is asked for here: keep it off", last, p.needed)
	case len(v.Try) == 0:
		v.Word, v.Barrier = KeepApart, p.barrier()
		v.Because = fmt.Sprintf("%s, and %s is asked for here; no treatment is known to help: keep it off, or put a layer between", last, p.needed)
	default:
		v.Wanted = p.wanted(s)
	}
	return v
}

// passes says why nothing was found against a contact, and what that rests on.
func (p pairing) passes(t Test, all []Test) string {
	text := fmt.Sprintf("%s, and %s is asked for here", t, p.needed)
	for _, o := range all {
		if o.Code != t.Code && o.Age.Or(0) < t.Age.Or(0) && o.grade() < t.grade() {
			text += fmt.Sprintf("; fresher it gave more (%s): not before it has cured", o)
			break
		}
	}
	if t.Low > 0 && t.Low < p.needed {
		text += fmt.Sprintf("; its photograph leaves %s open: test it again", t.Low)
	}
	if p.contact.Damp && t.How == DryRub {
		text += "; damp it is not tested: keep it dry, or do the damp rub"
	}
	return text
}

// afterTreatment judges a cloth that fails as it is and passes, or not, when
// washed or fixed. Only what a test showed is counted on.
func (p pairing) afterTreatment(s source, v Verdict, plain []Test, best Test) Verdict {
	v.Test = best.Code
	fails := ""
	if len(plain) > 0 {
		fails = fmt.Sprintf("as it is it fails (%s); ", oldest(plain))
	}
	if best.grade() < p.needed {
		v.Word, v.Try, v.Wanted = TreatAndRetest, remedies(p.in.Stock, s.article), p.wanted(s)
		v.Because = fmt.Sprintf("%streated it reaches %s, and %s is asked for here: treat further, then test again", fails, best, p.needed)
		return v
	}
	if len(plain) == 0 {
		v.Word, v.Because = NoObjection, p.passes(best, nil)
		return v
	}
	v.Treat = treatments(p.in.Stock, s, best)
	v.Word = TreatAndRetest
	if p.contact.To != garment.Skin {
		v.Word, v.Barrier = WithBarrier, p.barrier()
	}
	washed, done := p.in.Washed[s.area]
	if done && best.When.Or(time.Time{}).After(washed) {
		v.Because = fmt.Sprintf("%sthe treated piece passes (%s; %s is asked for)", fails, best, p.needed)
	} else {
		v.Wanted = p.wanted(s)
		v.Wanted.Treated = true
		v.Because = fmt.Sprintf("%streated it passes (%s; %s is asked for): treat the cloth so before cutting and test the treated piece again", fails, best, p.needed)
	}
	if v.Barrier.How != "" {
		v.Because += "; with " + v.Barrier.String()
	}
	return v
}

// treatments names the fixatives of the shelf that the test's condition names.
func treatments(stock inventory.Stock, s source, t Test) []Treatment {
	var out []Treatment
	for p := range stock.All() {
		if p.Kind == inventory.KindTreatment && names(t.Condition, p.Code) {
			out = append(out, Treatment{Area: s.area, Code: p.Code, Because: t.Code})
		}
	}
	return out
}

// packedApart judges lying together in the bag with softened vinyl: that costs
// nothing to avoid, so no test clears it.
func (p pairing) packedApart() Verdict {
	v := Verdict{Contact: p.contact, Word: KeepApart, Donor: p.donor.outer.Code, Barrier: Barrier{How: BagOfItsOwn}}
	v.Because = fmt.Sprintf("softened vinyl lies against it for %g h in the bag: plasticiser and dye wander with warmth and hours, and a bag of its own costs nothing", p.contact.Hours)
	vinyl := source{codes: []string{p.donor.vinyl.Code, p.donor.area}}
	if tests := testsOf(p.in.Tests, vinyl, Press); len(tests) > 0 {
		v.Test = oldest(tests).Code
		v.Because += fmt.Sprintf("; on record is %s, a short test", oldest(tests))
	}
	return v
}
