package finish

import (
	"bytes"
	"context"
	"encoding/json"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"undercoat/finish/plan"
	"undercoat/testdata/demo"
)

// The truths of these tests are the answer key of the demo, worked out on
// paper by its author before the program existed (testdata/demo/answers.json).

type answerKey struct {
	Traps []struct {
		No       int               `json:"no"`
		Use      []string          `json:"use"`
		Refuse   []string          `json:"refuse"`
		Contacts []string          `json:"contacts"`
		Grades   map[string]string `json:"grades"`
		Unused   []string          `json:"unused"`
	} `json:"traps"`
}

func readKey(t *testing.T) answerKey {
	t.Helper()
	b, err := os.ReadFile(filepath.Join("..", "testdata", "demo", "answers.json"))
	if err != nil {
		t.Fatal(err)
	}
	var k answerKey
	if err := json.Unmarshal(b, &k); err != nil {
		t.Fatal(err)
	}
	return k
}

func demoClock() time.Time { return time.Date(2026, 10, 26, 9, 0, 0, 0, time.UTC) }

type demoRun struct {
	answer DemoAnswer
	folder string
	err    error
}

// runDemo runs the demo once for all tests of this package.
var runDemo = sync.OnceValue(func() demoRun {
	folder, err := os.MkdirTemp("", "undercoat-demo-*")
	if err != nil {
		return demoRun{err: err}
	}
	a, err := Demo(context.Background(), filepath.Join(folder, "demo"), demoClock, nil)
	return demoRun{a, filepath.Join(folder, "demo"), err}
})

func TestMain(m *testing.M) {
	code := m.Run()
	if d := runDemo(); d.folder != "" {
		os.RemoveAll(filepath.Dir(d.folder))
	}
	os.Exit(code)
}

func theDemo(t *testing.T) DemoAnswer {
	t.Helper()
	d := runDemo()
	if d.err != nil {
		t.Fatal(d.err)
	}
	return d.answer
}

// Trap 1: the coat is grey, neither navy nor black. Both stills agree once
// their cast is gone; the poster without an anchor does not move the target.
func TestDemoReadsTheGreyCoat(t *testing.T) {
	i := slices.IndexFunc(theDemo(t).Targets, func(a TargetAnswer) bool { return a.Area == "A1" })
	a := theDemo(t).Targets[i]
	if *a.Away > 2 || !a.Within {
		t.Errorf("the pictures say %s, ΔE00 %.2f from the target (within range: %v); at most 2 was expected", a.Pictures.Hex, *a.Away, a.Within)
	}
	if !strings.Contains(a.Pictures.Names[0].Name, "grey") {
		t.Errorf("the coat is called %s", a.Says)
	}
	for _, r := range a.Pictures.PerPicture {
		if want := r.Picture != "R4"; r.Counts != want {
			t.Errorf("%s counts: %v, expected %v", r.Picture, r.Counts, want)
		}
	}
	for _, n := range a.Pictures.Names {
		if (strings.Contains(n.Name, "black") || strings.Contains(n.Name, "navy")) && n.Share > 0.1 {
			t.Errorf("%s has a share of %.0f %%", n.Name, 100*n.Share)
		}
	}
}

// Every area's pictures must leave its agreed target open, or say that they
// do not: the range is honest.
func TestDemoRangesHoldTheTargets(t *testing.T) {
	held, all := 0, 0
	for _, a := range theDemo(t).Targets {
		if a.Pictures == nil {
			continue
		}
		all++
		if a.Within {
			held++
		} else {
			t.Logf("%s: the pictures' range leaves the target out (ΔE00 %.1f)", a.Area, *a.Away)
		}
	}
	if 10*held < 9*all {
		t.Errorf("the range holds the target in %d of %d areas; nine of ten were expected", held, all)
	}
}

// Trap 2: the two greys are told apart under the hall's light, and charcoal is
// far off.
func TestDemoChoosesTheGrey(t *testing.T) {
	c := theDemo(t).Chosen
	if len(c) != 1 || c[0].Area != "A1" || c[0].Choice.Code != "C1" {
		t.Fatalf("chosen: %+v; expected C1 for A1", c)
	}
	if d := *c[0].Choice.Difference; d < 1.2 || d > 1.4 {
		t.Errorf("C1 is ΔE00 %.2f off, paper says 1.3", d)
	}
	for _, m := range c[0].Instead {
		switch m.Code {
		case "C2":
			if m.Allowed || !speaksAgainst(m, "light") {
				t.Errorf("C2 turns brown in the warm hall (paper: ΔE00 6.9), and nothing speaks against it: %+v", m.Against)
			}
		case "C3":
			if *m.Difference < 16 {
				t.Errorf("C3 is ΔE00 %.1f off, paper says over 16", *m.Difference)
			}
		}
	}
}

func speaksAgainst(m MatchLine, rule string) bool {
	return slices.ContainsFunc(m.Against, func(r ReasonAnswer) bool { return r.Rule == rule })
}

// Traps 7, 9, 10, 21: what may touch, and the tests the verdicts rest on.
func TestDemoContacts(t *testing.T) {
	want := map[string]struct{ verdict, test string }{
		"N1":  {"with barrier", "RT4"},
		"N2":  {"with barrier", "RT4"},
		"N3":  {"no objection found", "RT5"},
		"N4":  {"no objection found", "RT9"},
		"N5":  {"no objection found", "RT11"},
		"N6":  {"no objection found", "RT12"},
		"N9":  {"keep apart", "RT9"},
		"N9b": {"keep apart", "RT9"},
	}
	for _, c := range theDemo(t).Contacts.Contacts {
		w, ok := want[c.Code]
		if ok && (c.Verdict != w.verdict || c.Test != w.test) {
			t.Errorf("%s: %s resting on %s; expected %s on %s\n%s", c.Code, c.Verdict, c.Test, w.verdict, w.test, c.Because)
		}
		for _, folk := range []string{"salt", "vinegar"} {
			if strings.Contains(c.Because, folk) {
				t.Errorf("%s offers %s, which does nothing", c.Code, folk)
			}
		}
		if c.Code == "N1" && c.Barrier != "C11" {
			t.Errorf("N1's barrier is %q, expected the oat lawn C11", c.Barrier)
		}
	}
}

// The grades of the tests on record, by ISO 105-A04 (last column of the
// scenario's table).
func TestDemoGrades(t *testing.T) {
	b := demoBench(t)
	lines, err := b.Tests(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	got := map[string]string{}
	for _, l := range lines {
		got[l.Code] = l.Grade
	}
	for _, trap := range readKey(t).Traps {
		for code, grade := range trap.Grades {
			if got[code] != grade {
				t.Errorf("trap %d: %s is graded %s, paper says %s", trap.No, code, got[code], grade)
			}
		}
	}
}

func demoBench(t *testing.T) *Bench {
	t.Helper()
	theDemo(t)
	b, err := Open(context.Background(), runDemo().answer.Workroom, demoClock)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { b.Close() })
	return b
}

// Trap 20: the decoys stay unused. Traps 6, 8, 10, 12: what must be used is.
func TestDemoUsesWhatItShould(t *testing.T) {
	used := map[string]bool{}
	for _, a := range theDemo(t).Plan.Areas {
		for _, y := range a.Layers {
			used[y.Code], used[y.Fixer] = true, true
		}
	}
	for _, trap := range readKey(t).Traps {
		for _, code := range trap.Unused {
			if used[code] {
				t.Errorf("trap %d: the decoy %s is used", trap.No, code)
			}
		}
		if trap.No == 7 {
			continue // the lining is named by the verdict, not by the plan
		}
		for _, code := range trap.Use {
			if !used[code] {
				t.Errorf("trap %d: %s is not used", trap.No, code)
			}
		}
	}
}

// Traps 9, 11, 16, 17, 18, 19, 22: cautions are said.
func TestDemoCautions(t *testing.T) {
	for _, want := range []struct{ rule, subject, says string }{
		{"uncured", "A4", "no fitting before it has cured"},
		{"nickel", "A6", "cloth tab"},
		{"together", "A9", "A4 and A9"},
		{"brightener", "A2", "C4"},
		{"fluorescent", "A5", "screen"},
		{"cloth", "C4", "wash it before cutting"},
		{"cloth", "C5", "wash it before cutting"},
		{"cloth", "C6", "wash it before cutting"},
		{"margin", "S1", "12 of 400 ml"},
		{"fixer", "A5", "8 h"},
		{"hazard", "X1", "H317"},
	} {
		found := slices.ContainsFunc(theDemo(t).Plan.Cautions, func(c CautionAnswer) bool {
			return c.Rule == want.rule && c.Subject == want.subject && strings.Contains(c.Text, want.says)
		})
		if !found {
			t.Errorf("no caution %s of %s says %q", want.rule, want.subject, want.says)
		}
	}
	for _, c := range theDemo(t).Plan.Cautions {
		if c.Source == "" || c.Text == "" {
			t.Errorf("caution %s of %s has no source or no text", c.Rule, c.Subject)
		}
		for _, word := range []string{" safe ", "guaranteed", "perfect"} {
			if strings.Contains(strings.ToLower(c.Text), word) {
				t.Errorf("caution %s promises: %s", c.Rule, c.Text)
			}
		}
		if c.Rule == "brightener" && c.Subject == "A4" {
			t.Error("the cream jersey has no brightener, and a caution says it glows")
		}
	}
}

// Trap 14: the date is met with the fan and missed without it.
func TestDemoNeedsTheFan(t *testing.T) {
	if !theDemo(t).Plan.HandsOff.Met {
		t.Error("with the fan hands-off is missed")
	}
	a, err := demoBench(t).PlanAt(context.Background(), time.Time{}, plan.FanOff)
	if err != nil {
		t.Fatal(err)
	}
	if a.HandsOff.Met {
		t.Error("without the fan hands-off is met; paper says it is missed")
	}
}

// Same facts, same bytes: the papers do not depend on the run.
func TestDemoPapersRepeat(t *testing.T) {
	d := runDemo()
	if d.err != nil {
		t.Fatal(d.err)
	}
	again := t.TempDir()
	if _, err := demoBench(t).Sheet(context.Background(), SheetRequest{HTML: filepath.Join(again, "bench-sheet.html"), ICS: filepath.Join(again, "calendar.ics")}); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"bench-sheet.html", "calendar.ics"} {
		first, err1 := os.ReadFile(filepath.Join(d.folder, name))
		second, err2 := os.ReadFile(filepath.Join(again, name))
		if err1 != nil || err2 != nil || !bytes.Equal(first, second) {
			t.Errorf("%s differs between two writings of the same job (%v, %v)", name, err1, err2)
		}
	}
}

// A demo never writes over anything.
func TestDemoWantsAnEmptyFolder(t *testing.T) {
	folder := t.TempDir()
	if err := os.WriteFile(filepath.Join(folder, "mine.txt"), []byte("mine"), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := Demo(context.Background(), folder, demoClock, nil); err == nil || !strings.Contains(err.Error(), "not empty") {
		t.Errorf("a folder with a file in it was taken: %v", err)
	}
	if left, _ := fs.Glob(os.DirFS(folder), "*"); len(left) != 1 {
		t.Errorf("the folder now holds %v", left)
	}
}

// The demo's tables survive the way through the workroom file: exported and
// taken in again they give the same job.
func TestDemoExportsWhatItTookIn(t *testing.T) {
	folder := t.TempDir()
	if err := demoBench(t).ExportJob(context.Background(), folder); err != nil {
		t.Fatal(err)
	}
	b, err := Open(context.Background(), filepath.Join(t.TempDir(), "again.db"), demoClock)
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	if _, err := b.ImportJob(context.Background(), os.DirFS(folder)); err != nil {
		t.Fatal(err)
	}
	a, err := b.Job(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	if len(a.List) != 9 || a.Wearers != 3 {
		t.Errorf("%d areas and %d wearers came back", len(a.List), a.Wearers)
	}
	for _, name := range []string{"R1.jpg", "R3.png"} {
		want, _ := fs.ReadFile(demo.Files(), name)
		got, err := os.ReadFile(filepath.Join(folder, name))
		if err != nil || !bytes.Equal(want, got) {
			t.Errorf("picture %s did not come back whole: %v", name, err)
		}
	}
}
