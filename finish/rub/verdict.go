package rub

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"undercoat/finish/garment"
	"undercoat/inventory"
	"undercoat/palette/colour"
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
	Swatch                string // code of the test whose swatch can be used again; then nothing has to be waited for
}

// String says the test in words: "damp rub of C5 on C6, treated".
func (w Wanted) String() string {
	s := w.How + " of " + w.Subject + " on " + w.Against
	switch {
	case w.Treated:
		s += ", treated, before it is cut"
	case w.Swatch != "":
		s += ", on the swatch of " + w.Swatch
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
// to the other: of metal parts against skin, and of what carries them.
func judge(in Input, c garment.Contact) Verdict {
	stated := c
	if c.From == garment.Skin {
		c.From, c.To = c.To, c.From
	}
	metal, hard := metalOnSkin(in, c)
	var v Verdict
	if soft, ok := softOnSkin(in, c, hard); ok || !hard {
		v = judgeSurfaces(in, c, soft)
	}
	if hard {
		v = metal.with(v)
	}
	v.Contact = stated
	return v
}

// softOnSkin is what lies against skin around metal parts: the whole of an area
// that is worn on skin, else the cloth the parts are set in. ok is false where
// that is pale, which leaves no stain to speak of, or not known.
func softOnSkin(in Input, c garment.Contact, hard bool) (surface, bool) {
	s := surfaceOf(in.Job, in.Stock, c.From)
	if a, _ := in.Job.Area(c.From); !hard || a.Skin {
		return s, true
	}
	s = s.inside()
	return s, s.outer.Code != "" && !slices.ContainsFunc(s.shown, pale)
}

// with joins the verdict on metal parts with that on what carries them; the
// stricter word stands.
func (v Verdict) with(soft Verdict) Verdict {
	if soft.Word == "" {
		return v
	}
	joined := soft
	if slices.Index(strictness, v.Word) > slices.Index(strictness, soft.Word) {
		joined.Word = v.Word
	}
	joined.Because = v.Because + "; what they are set in: " + soft.Because
	if v.Barrier.How != "" {
		joined.Barrier = v.Barrier
	}
	return joined
}

// judgeSurfaces gives the strictest verdict of everything that can go from one
// surface to the other.
func judgeSurfaces(in Input, c garment.Contact, from surface) Verdict {
	to := surfaceOf(in.Job, in.Stock, c.To)
	donor, other := giver(from, to)
	p := pairing{in: in, contact: c, donor: donor, other: other}
	p.light = c.To == garment.Skin || !donor.coloured() || !other.coloured() || other.lightest() > donor.darkest()+lighterBy
	if donor.vinyl.Code != "" && c.Rubbing == garment.RubNone && c.Hours >= lyingLong.Hours() && c.To != garment.Skin {
		return p.packedApart()
	}
	if donor.open {
		return p.notChosen()
	}
	var best Verdict
	for _, s := range p.sources() {
		if v := p.by(s).judge(s); best.Word == "" || slices.Index(strictness, v.Word) > slices.Index(strictness, best.Word) {
			best = v
		}
	}
	return best
}

// sources are what of the donor can reach the neighbour. What wanders out of
// softened vinyl is in the vinyl, whatever lies on it; a paint on it is judged too
// where its colour is strong enough to be seen on the neighbour.
func (p pairing) sources() []source {
	all := p.donor.sources()
	if p.donor.vinyl.Code == "" {
		return all
	}
	d := p.donor
	list := []source{{d.area, d.vinyl, []string{d.vinyl.Code, d.area}, d.area + " " + d.vinyl.Name}}
	for _, s := range all {
		if s.article.Code != d.vinyl.Code && p.contact.Rubbing > garment.RubNone && p.strong(s) {
			list = append(list, s)
		}
	}
	return list
}

// strong reports whether a whole layer of an article on the lightest of the
// neighbour would be a stain of grade 1-2 or worse: a rub carries over a small
// part of it only. Judgement.
func (p pairing) strong(s source) bool {
	c, ok := s.article.Colour.Get()
	switch {
	case !ok || p.contact.To == garment.Skin:
		return !ok || !pale(c.Lab())
	case !p.other.coloured():
		return true
	}
	lightest := slices.MaxFunc(p.other.shown, func(a, b colour.Lab) int { return cmp.Compare(a.L, b.L) })
	return Staining(lightest, c.Lab()).Grade <= 3
}

// by sets the test that answers for a source, and the grade asked of it.
func (p pairing) by(s source) pairing {
	p.how = DryRub
	switch {
	case s.article.Code != "" && s.article.Code == p.donor.vinyl.Code:
		p.how = Press
	case p.contact.Damp:
		p.how = DampRub
	}
	p.needed = needed(p.contact, p.how, p.light)
	return p
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
	p = p.by(source{})
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
			v.Wanted = p.wantedStill(s, now)
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

// wantedStill is the test that would say more than the one a cleared contact
// rests on: the damp rub, where only a dry one is on record. A paint's cured
// swatch serves for both.
func (p pairing) wantedStill(s source, t Test) Wanted {
	if !p.contact.Damp || t.How != DryRub {
		return Wanted{}
	}
	w := p.wanted(s)
	if w.Cured && t.Subject == s.article.Code && !p.fresh(s, t) {
		w.Cured, w.Swatch = false, t.Code
	}
	return w
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
	v.Word, v.Barrier = WithBarrier, p.barrier()
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
