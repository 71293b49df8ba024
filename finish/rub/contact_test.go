package rub

import (
	"strings"
	"testing"
	"time"
	"unicode"

	"undercoat/finish/garment"
	"undercoat/inventory"
	"undercoat/inventory/unit"
	"undercoat/palette/colour"
)

// bench is a small job by hand. The verdicts expected here follow from the house
// rule beside [Verdicts] and from the textile chemist's reasons beside the rules;
// cloths, paints and colours are invented.
type bench struct {
	cloths []inventory.Cloth
	paints []inventory.Paint
	trims  []inventory.Trim
	facts  inventory.JobFacts
	tests  []inventory.TestFact
	bought map[string]time.Time
	washed map[string]time.Time
}

func hex(t *testing.T, s string) unit.Stated[colour.Colour] {
	t.Helper()
	c, err := colour.Parse(s)
	if err != nil {
		t.Fatal(err)
	}
	return unit.State(c)
}

func written(t *testing.T, s string) unit.Stated[inventory.Written] {
	t.Helper()
	w, err := inventory.Write(s)
	if err != nil {
		t.Fatal(err)
	}
	return unit.State(w)
}

func newBench(t *testing.T) *bench {
	cloth := func(code, name, colour, fibre, dye string) inventory.Cloth {
		return inventory.Cloth{Article: inventory.Article{Code: code, Name: name, Kind: inventory.KindCloth, Colour: hex(t, colour)}, Fibre: fibre, DyeClass: dye}
	}
	vinyl := cloth("vinyl", "black vinyl", "#1C1C1E", "vinyl", "")
	vinyl.Contains = []string{"plasticiser"}
	b := &bench{
		cloths: []inventory.Cloth{
			cloth("direct", "ink velveteen", "#1F2638", "cotton", "direct"),
			cloth("disperse", "navy canvas", "#1E2A46", "polyester", "disperse"),
			cloth("acid", "plum tricot", "#3A1F38", "nylon", "acid"),
			cloth("white", "white drill", "#F3F1EC", "cotton", ""),
			cloth("lawn", "oat lawn lining", "#E6DECF", "cotton", "undyed"),
			vinyl,
		},
		paints: []inventory.Paint{
			{Article: inventory.Article{Code: "teal", Name: "teal paint", Kind: inventory.KindPaint, Colour: hex(t, "#2C7C82")}, Cure: unit.State(96 * time.Hour)},
			{Article: inventory.Article{Code: "fix", Name: "fixative", Kind: inventory.KindTreatment, Contains: []string{"cationic polymer"}}},
		},
		facts: inventory.JobFacts{Job: inventory.JobFact{Name: "by hand"}},
	}
	for _, c := range b.cloths {
		b.facts.Areas = append(b.facts.Areas, inventory.AreaFact{Code: "A-" + c.Code, Method: "cloth", Ground: c.Code})
	}
	return b
}

func (b *bench) touch(from, to, note string, damp bool, hours float64, rubbing string) *bench {
	b.facts.Contacts = append(b.facts.Contacts, inventory.ContactFact{Code: "N", From: from, To: to, Rubbing: rubbing, Damp: unit.State(damp), Hours: unit.State(hours), Note: note})
	return b
}

// test records a test whose stain is so far from white in L*: 1 grades 5 by
// ISO 105-A04, 2.2 4-5, 4.3 4, 8.5 3, 13 2-3, 17 2.
func (b *bench) test(t *testing.T, code, subject, how, when, condition string, dL float64) *inventory.TestFact {
	t.Helper()
	at, err := unit.ParseMoment(when, time.UTC)
	if err != nil {
		t.Fatal(err)
	}
	white := colour.Lab{L: 95}
	b.tests = append(b.tests, inventory.TestFact{
		Code: code, Subject: subject, Against: "white cotton", How: how, Condition: condition, When: unit.State(at),
		Clean: written(t, white.String()), Stained: written(t, colour.Lab{L: 95 - dL}.String()),
	})
	return &b.tests[len(b.tests)-1]
}

func (b *bench) input(t *testing.T) Input {
	t.Helper()
	job, err := garment.NewJob(b.facts)
	if err != nil {
		t.Fatal(err)
	}
	stock, err := inventory.NewStock(b.paints, nil, b.cloths, b.trims)
	if err != nil {
		t.Fatal(err)
	}
	return Input{Job: job, Stock: stock, Tests: NewTests(b.tests, time.UTC), Bought: b.bought, Washed: b.washed}
}

func (b *bench) verdict(t *testing.T) Verdict {
	t.Helper()
	v := Verdicts(b.input(t))
	if len(v) != 1 {
		t.Fatalf("%d verdicts for one contact", len(v))
	}
	return v[0]
}

func (b *bench) paintOn(t *testing.T, ground string, painted, cloth float64) *bench {
	b.facts.Areas = append(b.facts.Areas, inventory.AreaFact{
		Code: "P", Method: "paint", Ground: ground, Painted: unit.State(unit.Extent(painted)), Cloth: unit.State(unit.Extent(cloth)),
		Target: written(t, "#2C7C82"), Recipe: []inventory.RecipeLayer{{Code: "teal", Coats: 2}},
	})
	return b
}

func want(t *testing.T, v Verdict, word Word, rests string, says ...string) {
	t.Helper()
	if v.Word != word || v.Test != rests {
		t.Errorf("%s resting on %q, want %s on %q\n%s", v.Word, v.Test, word, rests, v.Because)
	}
	for _, s := range says {
		if !strings.Contains(v.Because, s) {
			t.Errorf("%q does not say %q", v.Because, s)
		}
	}
}

// A grade seen against a grey scale counts, and is called what it is.
func TestGradeByEye(t *testing.T) {
	b := newBench(t).touch("A-direct", "A-white", "", true, 6, "high")
	b.tests = []inventory.TestFact{{Code: "T1", Subject: "direct", How: DampRub, Grade: "4"}}
	want(t, b.verdict(t), NoObjection, "T1", "4 by eye")
	b.tests[0].Grade = "3-4"
	want(t, b.verdict(t), TreatAndRetest, "T1", "3-4 by eye")
	b.tests[0].Grade = "three"
	want(t, b.verdict(t), NotTested, "")
}

// Colours win over a grade beside them, and a photograph's lower end is said.
func TestGradeOfAPhotograph(t *testing.T) {
	b := newBench(t).touch("A-direct", "A-white", "", true, 6, "high")
	b.test(t, "T1", "direct", DampRub, "2026-10-01", "", 4.3).GradeLow = "3-4"
	want(t, b.verdict(t), NoObjection, "T1", "leaves 3-4 open")
	if tests := NewTests(b.tests, time.UTC); tests[0].ByEye || tests[0].Low != 7 {
		t.Errorf("%+v", tests[0])
	}
}

func TestRetestsLink(t *testing.T) {
	b := newBench(t)
	b.test(t, "T1", "direct", DampRub, "2026-10-01", "", 13)
	b.test(t, "T2", "direct", DampRub, "2026-10-03", "washed", 8.5)
	b.test(t, "T3", "direct", DampRub, "2026-10-05", "washed and fixed", 4.3)
	b.test(t, "T4", "direct", DryRub, "2026-10-06", "", 2.2)
	b.test(t, "T5", "direct", DryRub, "2026-10-07", "", 2.2).Retests = "T1"
	for i, want := range []string{"", "T1", "T2", "", "T1"} {
		if got := NewTests(b.tests, time.UTC)[i].Retests; got != want {
			t.Errorf("T%d retests %q, want %q", i+1, got, want)
		}
	}
}

// A test of an earlier batch, or of a state the piece has left, no longer
// clears a contact, and the verdict says so.
func TestStaleTests(t *testing.T) {
	at := func(day int) time.Time { return time.Date(2026, 10, day, 12, 0, 0, 0, time.UTC) }
	b := newBench(t).touch("A-direct", "A-white", "", true, 6, "high")
	b.test(t, "T1", "direct", DampRub, "2026-10-05", "as bought", 4.3)
	want(t, b.verdict(t), NoObjection, "T1")
	b.bought = map[string]time.Time{"direct": at(4)}
	want(t, b.verdict(t), NoObjection, "T1")
	b.bought["direct"] = at(6)
	v := b.verdict(t)
	want(t, v, NotTested, "T1", "stale", "6 October 2026")
	if v.Stale == "" || v.Wanted.How != DampRub {
		t.Errorf("stale %q, wanted %+v", v.Stale, v.Wanted)
	}
	b.bought, b.washed = nil, map[string]time.Time{"A-direct": at(7)}
	want(t, b.verdict(t), NotTested, "T1", "washed or treated")
	b.test(t, "T2", "direct", DampRub, "2026-10-08", "washed", 4.3)
	want(t, b.verdict(t), NoObjection, "T2")
}

// A treated cloth is tested again when it comes out of its bath, and then no
// more.
func TestRetestOfTheTreatedPiece(t *testing.T) {
	b := newBench(t).touch("A-direct", "A-white", "", true, 6, "high")
	b.test(t, "T1", "direct", DampRub, "2026-10-05", "as bought", 13)
	b.test(t, "T2", "direct", DampRub, "2026-10-07", "washed and fixed with fix", 4.3)
	v := b.verdict(t)
	want(t, v, WithBarrier, "T2", "test the treated piece again", "a lining between (lawn oat lawn lining is on the shelf)")
	if !v.Wanted.Treated || v.Wanted.Area != "A-direct" || len(v.Treat) != 1 {
		t.Errorf("wanted %+v, treat %+v", v.Wanted, v.Treat)
	}
	b.washed = map[string]time.Time{"A-direct": time.Date(2026, 10, 20, 9, 0, 0, 0, time.UTC)}
	if v = b.verdict(t); !v.Wanted.Treated {
		t.Errorf("the bath is done and its piece not tested, and nothing is wanted: %s", v.Because)
	}
	b.test(t, "T3", "direct", DampRub, "2026-10-22", "washed and fixed with fix", 4.3)
	v = b.verdict(t)
	want(t, v, WithBarrier, "T3", "the treated piece passes")
	if v.Wanted.How != "" {
		t.Errorf("still wanted: %+v", v.Wanted)
	}
}

// Paint against skin rests on the test of the longest cured piece; a fresh
// failure asks for one when it has cured.
func TestPaintOnSkinWaitsForItsCure(t *testing.T) {
	b := newBench(t).paintOn(t, "white", 1, 1).touch("P", "skin", "", true, 6, "medium")
	b.test(t, "T1", "teal", DampRub, "2026-10-05", "24 h old", 8.5).Age = unit.State(24 * time.Hour)
	v := b.verdict(t)
	want(t, v, TreatAndRetest, "T1", "had not cured")
	if !v.Wanted.Cured {
		t.Errorf("wanted %+v", v.Wanted)
	}
	b.test(t, "T2", "teal", DampRub, "2026-10-09", "96 h old", 1).Age = unit.State(96 * time.Hour)
	want(t, b.verdict(t), NoObjection, "T2", "not before it has cured")
}

// Where the ground shows beside the paint, it must pass too.
func TestBareGroundIsJudged(t *testing.T) {
	b := newBench(t).paintOn(t, "direct", 0.1, 1).touch("P", "A-white", "", true, 6, "high")
	b.test(t, "T1", "teal", DampRub, "2026-10-05", "", 1)
	want(t, b.verdict(t), NotTested, "", "ink velveteen")
	b.facts.Areas[len(b.facts.Areas)-1].Painted = unit.State(unit.Extent(1))
	want(t, b.verdict(t), NoObjection, "T1")
}

func TestPaintNotChosenIsNotCleared(t *testing.T) {
	b := newBench(t).paintOn(t, "direct", 1, 1).touch("P", "A-white", "", true, 6, "high")
	b.facts.Areas[len(b.facts.Areas)-1].Recipe = nil
	b.test(t, "T1", "direct", DampRub, "2026-10-05", "", 1)
	want(t, b.verdict(t), NotTested, "", "not chosen")
}

// Treatments are offered where they work and nowhere else: a cationic fixative
// for direct dye on cellulose, a syntan for acid dye on nylon, nothing but
// washing for disperse dye. Folk recipes never.
func TestRemediesFitFibreAndDye(t *testing.T) {
	b := newBench(t)
	in := b.input(t)
	for _, c := range []struct {
		code  string
		codes []string
		says  string
		never string
	}{
		{"direct", []string{"", "fix"}, "the fixative fix", "syntan"},
		{"disperse", []string{""}, "wash", "fixative"},
		{"acid", []string{"", ""}, "syntan", "cationic"},
		{"lawn", nil, "", "wash"},
		{"vinyl", nil, "", "wash"},
		{"teal", []string{"", ""}, "binder", "fixative,"},
	} {
		a, _ := in.Stock.Article(c.code)
		var all string
		var codes []string
		for _, r := range remedies(in.Stock, a) {
			all += r.What + ": " + r.Why + "\n"
			codes = append(codes, r.Code)
		}
		if strings.Join(codes, ",") != strings.Join(c.codes, ",") || len(codes) != len(c.codes) {
			t.Errorf("%s: stock lines %q, want %q", c.code, codes, c.codes)
		}
		if !strings.Contains(all, c.says) || strings.Contains(all, c.never) {
			t.Errorf("%s is offered:\n%s", c.code, all)
		}
		for _, folk := range []string{"vinegar", "salt"} {
			if strings.Contains(all, folk) {
				t.Errorf("%s is offered %s", c.code, folk)
			}
		}
	}
}

// Metal parts against skin are judged by what is declared of their nickel.
func TestMetalOnSkin(t *testing.T) {
	stud := func(code, note string) inventory.Trim {
		return inventory.Trim{Article: inventory.Article{Code: code, Name: "domed stud", Kind: inventory.KindTrim, Medium: "metal", Note: note}}
	}
	reacts := []inventory.WearerFact{{Code: "P2", Sensitivities: []string{"nickel"}}}
	for _, c := range []struct {
		name    string
		trims   []inventory.Trim
		wearers []inventory.WearerFact
		word    Word
		says    string
	}{
		{"nothing on the shelf", nil, reacts, NotTested, "ask its maker"},
		{"not declared, a wearer reacts", []inventory.Trim{stud("H1", "")}, reacts, KeepApart, "P2"},
		{"not declared", []inventory.Trim{stud("H1", "")}, nil, WithBarrier, "not declared"},
		{"declared", []inventory.Trim{stud("H2", "declared nickel free")}, reacts, WithBarrier, "declared nickel free"},
		{"one of two", []inventory.Trim{stud("H1", "nickel content unknown"), stud("H2", "declared nickel free")}, reacts, WithBarrier, "take the declared one, for P2"},
	} {
		b := newBench(t).touch("A-lawn", "skin", "stud backs on the wrist", true, 6, "medium")
		b.trims, b.facts.Wearers = c.trims, c.wearers
		v := b.verdict(t)
		if v.Word != c.word || !strings.Contains(v.Because, c.says) {
			t.Errorf("%s: %s: %s", c.name, v.Word, v.Because)
		}
		if v.Word == WithBarrier && v.Barrier.How != Tabs {
			t.Errorf("%s: barrier %+v", c.name, v.Barrier)
		}
	}
}

// What metal parts are set in lies against skin too: a dyed cloth is judged by
// its own test, and the stricter word stands. A paint on the outside is not on skin;
// where the area is worn on skin, it is.
func TestWhatMetalIsSetIn(t *testing.T) {
	b := newBench(t).touch("A-direct", "skin", "stud backs of the hood band", true, 6, "low")
	b.trims = []inventory.Trim{{Article: inventory.Article{Code: "H2", Name: "domed stud", Kind: inventory.KindTrim, Medium: "metal", Note: "declared nickel free"}}}
	v := b.verdict(t)
	want(t, v, NotTested, "", "declared nickel free", "no damp rub", "ink velveteen")
	if v.Wanted.Subject != "direct" || v.Barrier.How != Tabs {
		t.Errorf("wanted %+v, barrier %+v", v.Wanted, v.Barrier)
	}
	b.test(t, "T1", "direct", DampRub, "2026-10-05", "as bought", 13)
	want(t, b.verdict(t), TreatAndRetest, "T1", "treat it")
	b.test(t, "T2", "direct", DampRub, "2026-10-07", "washed and fixed with fix", 4.3)
	want(t, b.verdict(t), WithBarrier, "T2", "declared nickel free", "treated it passes")

	b = newBench(t).paintOn(t, "vinyl", 0.1, 1).touch("P", "skin", "stud backs on the wrist", true, 6, "medium")
	b.trims = []inventory.Trim{{Article: inventory.Article{Code: "H2", Name: "domed stud", Kind: inventory.KindTrim, Medium: "metal", Note: "declared nickel free"}}}
	b.test(t, "T3", "vinyl", Press, "2026-10-05", "48 h", 3)
	want(t, b.verdict(t), WithBarrier, "T3", "what they are set in: T3")
	b.facts.Areas[len(b.facts.Areas)-1].Skin = unit.State(true)
	want(t, b.verdict(t), NotTested, "", "teal paint")
}

// It is one contact from either side.
func TestSkinMayStandFirst(t *testing.T) {
	b := newBench(t).touch("skin", "A-direct", "", true, 6, "medium")
	v := b.verdict(t)
	want(t, v, NotTested, "", "ink velveteen")
	if v.Contact.From != garment.Skin || v.Wanted.Subject != "direct" {
		t.Errorf("%+v", v)
	}
}

// A contact cleared by a dry test that may get damp still wants the damp one:
// on the swatch the dry one was done on, which has cured.
func TestDampTestIsStillWanted(t *testing.T) {
	b := newBench(t).paintOn(t, "white", 1, 1).touch("P", "A-grey", "", true, 6, "medium")
	b.cloths = append(b.cloths, inventory.Cloth{Article: inventory.Article{Code: "grey", Name: "grey suiting", Kind: inventory.KindCloth, Colour: hex(t, "#6C7176")}})
	b.facts.Areas = append(b.facts.Areas, inventory.AreaFact{Code: "A-grey", Method: "cloth", Ground: "grey"})
	b.test(t, "T1", "teal", DryRub, "2026-10-05", "cured", 2.2)
	v := b.verdict(t)
	want(t, v, NoObjection, "T1", "damp it is not tested")
	if w := v.Wanted; w.How != DampRub || w.Subject != "teal" || w.Cured || w.Swatch != "T1" {
		t.Errorf("wanted %+v", w)
	}
	b.tests[0].Age = unit.State(time.Hour)
	if w := b.verdict(t).Wanted; !w.Cured || w.Swatch != "" {
		t.Errorf("of a fresh swatch: wanted %+v", w)
	}
	b.test(t, "T2", "teal", DampRub, "2026-10-06", "cured", 4.3)
	if v := b.verdict(t); v.Test != "T2" || v.Wanted.How != "" {
		t.Errorf("rests on %s, wanted %+v", v.Test, v.Wanted)
	}
}

// A strong paint on softened vinyl rubs off as any paint; one near its
// neighbour's colour leaves no stain to speak of.
func TestPaintOnVinylIsJudgedByItself(t *testing.T) {
	b := newBench(t).paintOn(t, "vinyl", 0.1, 1).touch("P", "A-white", "", true, 6, "medium")
	b.test(t, "T1", "vinyl", Press, "2026-10-05", "48 h", 3)
	want(t, b.verdict(t), NotTested, "", "teal paint")
	b.paints[0].Colour = hex(t, "#E8E4DA")
	want(t, b.verdict(t), NoObjection, "T1")
}

// Studs set into a dyed cloth are not what colours it.
func TestStudsAreNotTheSurface(t *testing.T) {
	b := newBench(t).touch("A-direct", "A-white", "", true, 6, "high")
	b.trims = []inventory.Trim{{Article: inventory.Article{Code: "H2", Name: "domed stud", Kind: inventory.KindTrim, Medium: "metal"}}}
	b.facts.Areas[0].Recipe = []inventory.RecipeLayer{{Code: "H2"}}
	want(t, b.verdict(t), NotTested, "", "ink velveteen")
}

// The ranking only orders: it names reasons and holds no figure.
func TestRiskOrders(t *testing.T) {
	b := newBench(t).
		touch("A-disperse", "A-white", "", false, 1, "low").
		touch("A-direct", "A-white", "", true, 6, "high").
		touch("A-acid", "A-white", "", true, 2, "medium").
		touch("A-direct", "A-lawn", "", true, 1, "low")
	v := Verdicts(b.input(t))
	for i, want := range []int{3, 1, 2, 1} { // the same test has one place
		if v[i].Risk.Order != want {
			t.Errorf("contact %d: order %d, want %d", i+1, v[i].Risk.Order, want)
		}
		for _, w := range append(v[i].Risk.Why, v[i].Risk.Words) {
			if strings.ContainsFunc(w, unicode.IsDigit) {
				t.Errorf("the ranking shows a figure: %q", w)
			}
		}
	}
	if v[1].Risk.Words != "test first" || v[0].Risk.Words != "test when there is time" {
		t.Errorf("words: %q, %q", v[1].Risk.Words, v[0].Risk.Words)
	}
	b.test(t, "T1", "direct", DampRub, "2026-10-05", "", 1)
	if v = Verdicts(b.input(t)); v[1].Risk.Order != 0 || v[2].Risk.Order != 1 {
		t.Errorf("a tested contact keeps a rank: %+v", v[1].Risk)
	}
}

// What the tests and materials ask for in the bag, beyond what was stated.
func TestPackApart(t *testing.T) {
	b := newBench(t)
	b.test(t, "T1", "direct", DampRub, "2026-10-05", "", 4.3)
	b.test(t, "T2", "acid", DryRub, "2026-10-05", "", 0.5)
	from := map[string]string{}
	for _, p := range PackApart(b.input(t)) {
		from[p.Area] = strings.Join(p.From, " ")
		if p.Area == "A-direct" && p.Test != "T1" {
			t.Errorf("A-direct rests on %q", p.Test)
		}
	}
	for area, want := range map[string]string{
		"A-direct":   "A-white A-lawn",
		"A-disperse": "A-white A-lawn", // never tested
		"A-acid":     "",               // grade 5
		"A-white":    "",
		"A-vinyl":    "A-direct A-disperse A-acid A-white A-lawn",
	} {
		if from[area] != want {
			t.Errorf("%s is kept off %q, want %q", area, from[area], want)
		}
	}
	b.touch("A-direct", "A-white", "sewn together at the seam", false, 1, "low")
	for _, p := range PackApart(b.input(t)) {
		if p.Area == "A-direct" && strings.Join(p.From, " ") != "A-lawn" {
			t.Errorf("a seam cannot be packed apart: kept off %v", p.From)
		}
	}
}

// A cloth that fails and has no remedy is kept apart, at a seam by a piping.
func TestBarriersFitTheContact(t *testing.T) {
	b := newBench(t).touch("A-direct", "A-white", "seam", true, 6, "medium")
	b.test(t, "T1", "direct", DampRub, "2026-10-05", "", 13)
	b.test(t, "T2", "direct", DampRub, "2026-10-07", "washed and fixed with fix", 4.3)
	if v := b.verdict(t); v.Barrier.How != Piping || v.Barrier.Code != "lawn" {
		t.Errorf("barrier %+v", v.Barrier)
	}
}
