package rub

import (
	"strings"
	"testing"
	"time"

	"undercoat/finish/garment"
	"undercoat/inventory"
	"undercoat/inventory/unit"
)

// A small job by hand: a dark cloth over a white one. The house rule (dark
// beside light with sweat and rubbing needs damp 4) and the grades of ISO
// 105-A04 decide; the colours are the demo's, invented.
func darkOverLight(t *testing.T, tests ...inventory.TestFact) Verdict {
	t.Helper()
	colourOf := func(s string) unit.Stated[inventory.Written] {
		w, err := inventory.Write(s)
		if err != nil {
			t.Fatal(err)
		}
		return unit.State(w)
	}
	facts := inventory.JobFacts{
		Job: inventory.JobFact{Name: "by hand"},
		Areas: []inventory.AreaFact{
			{Code: "A1", Method: "cloth", Ground: "dark", Target: colourOf("#1F2638")},
			{Code: "A2", Method: "cloth", Ground: "white", Target: colourOf("#F3F1EC")},
		},
		Contacts: []inventory.ContactFact{{Code: "N1", From: "A1", To: "A2", Rubbing: "high", Damp: unit.State(true), Hours: unit.State(6.0)}},
	}
	job, err := garment.NewJob(facts)
	if err != nil {
		t.Fatal(err)
	}
	stock, err := inventory.NewStock([]inventory.Paint{{Article: inventory.Article{Code: "fix", Name: "fixative", Kind: inventory.KindTreatment}}}, nil, []inventory.Cloth{
		{Article: inventory.Article{Code: "dark", Name: "dark velveteen", Kind: inventory.KindCloth}},
		{Article: inventory.Article{Code: "white", Name: "white drill", Kind: inventory.KindCloth}},
	}, nil)
	if err != nil {
		t.Fatal(err)
	}
	v := Verdicts(Input{Job: job, Stock: stock, Tests: NewTests(tests, time.UTC)})
	if len(v) != 1 {
		t.Fatalf("%d verdicts for one contact", len(v))
	}
	return v[0]
}

func rubbed(t *testing.T, code, condition, stained string) inventory.TestFact {
	t.Helper()
	clean, err1 := inventory.Write("lab(95.2 -0.3 2.1)")
	dirty, err2 := inventory.Write(stained)
	if err1 != nil || err2 != nil {
		t.Fatal(err1, err2)
	}
	return inventory.TestFact{Code: code, Subject: "dark", How: DampRub, Condition: condition, Clean: unit.State(clean), Stained: unit.State(dirty)}
}

func TestVerdicts(t *testing.T) {
	heavy, slight := "lab(82.5 0.4 -3.2)", "lab(91.2 -0.2 0.4)" // grades 2-3 and 4
	for _, c := range []struct {
		name  string
		tests []inventory.TestFact
		word  Word
		rests string
	}{
		{"no test", nil, NotTested, ""},
		{"passes as bought", []inventory.TestFact{rubbed(t, "T1", "as bought", slight)}, NoObjection, "T1"},
		{"fails as bought, nothing tried", []inventory.TestFact{rubbed(t, "T1", "as bought", heavy)}, TreatAndRetest, "T1"},
		{"fails, passes when fixed", []inventory.TestFact{rubbed(t, "T1", "as bought", heavy), rubbed(t, "T2", "washed and fixed with fix", slight)}, WithBarrier, "T2"},
		{"fails, fails when washed", []inventory.TestFact{rubbed(t, "T1", "", heavy), rubbed(t, "T2", "washed twice", heavy)}, TreatAndRetest, "T2"},
	} {
		v := darkOverLight(t, c.tests...)
		if v.Word != c.word || v.Test != c.rests {
			t.Errorf("%s: %s resting on %q, want %s on %q\n%s", c.name, v.Word, v.Test, c.word, c.rests, v.Because)
		}
	}
}

// A treatment is named only where a test showed that it works.
func TestTreatmentsComeFromTests(t *testing.T) {
	v := darkOverLight(t, rubbed(t, "T1", "as bought", "lab(82.5 0.4 -3.2)"), rubbed(t, "T2", "washed and fixed with fix", "lab(91.2 -0.2 0.4)"))
	if len(v.Treat) != 1 || v.Treat[0].Code != "fix" || v.Treat[0].Area != "A1" {
		t.Errorf("treatments: %+v", v.Treat)
	}
	if v = darkOverLight(t, rubbed(t, "T1", "as bought", "lab(82.5 0.4 -3.2)")); len(v.Treat) != 0 {
		t.Errorf("a treatment nobody tested is offered: %+v", v.Treat)
	}
}

// An untested contact names the test to do and on what.
func TestUntestedContactAsksForItsTest(t *testing.T) {
	v := darkOverLight(t)
	if v.Wanted.How != DampRub || v.Wanted.Subject != "dark" || v.Wanted.Against != "white cotton" {
		t.Errorf("wanted: %+v", v.Wanted)
	}
	if !strings.Contains(v.Because, "no damp rub") {
		t.Errorf("because: %s", v.Because)
	}
}
