package inventory

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"undercoat/inventory/unit"

	"github.com/google/go-cmp/cmp"
)

var ctx = context.Background()

func TestImportThenExportIsTheIdentity(t *testing.T) {
	f := newFile(t)
	in := small()
	r := mustImport(t, f, in)
	if r.Job != "Harvest play" || r.Version != 1 || len(r.Rows) != 14 || len(r.Unknown)+len(r.Left)+len(r.Kept)+len(r.Changed)+len(r.Warnings) != 0 {
		t.Errorf("report %+v", r)
	}
	got := folderOf(t, f, "Harvest play")
	want := map[string]string{}
	for name, file := range in {
		want[name] = string(file.Data)
	}
	if d := cmp.Diff(want, got); d != "" {
		t.Errorf("the exported folder differs (-in +out):\n%s", d)
	}
}

// The folder of one workroom, taken to another and back, keeps every byte.
func TestDemoRoundTrip(t *testing.T) {
	a, b := newFile(t), newFile(t)
	r := mustImport(t, a, demo(t))
	if len(r.Rows) != 14 || len(r.Unknown) != 0 {
		t.Errorf("report %+v", r)
	}
	first := folderOf(t, a, r.Job)
	mustImport(t, b, asFS(first))
	if d := cmp.Diff(first, folderOf(t, b, r.Job)); d != "" {
		t.Errorf("second export differs:\n%s", d)
	}
	again := mustImport(t, a, asFS(first))
	if len(again.Changed)+len(again.Kept) != 0 || again.Version != 2 {
		t.Errorf("importing its own export changed something: %+v", again)
	}
	if d := cmp.Diff(first, folderOf(t, a, r.Job)); d != "" {
		t.Errorf("third export differs:\n%s", d)
	}
	if found, err := a.Check(ctx); err != nil || len(found) != 0 {
		t.Errorf("check: %v, %v", found, err)
	}
}

func TestJobFacts(t *testing.T) {
	f := newFile(t)
	mustImport(t, f, small())
	j, err := f.Job(ctx, "Harvest play")
	if err != nil {
		t.Fatal(err)
	}
	if at, _ := j.Job.HandsOff.Get(); at.Format(time.RFC3339) != "2026-09-20T19:00:00Z" {
		t.Errorf("hands-off at 21:00 in Berlin is %v", at)
	}
	if b, _ := j.Job.Budget.Get(); b != 13000 {
		t.Errorf("budget %v", b)
	}
	if r, _ := j.Job.Reserve.Get(); r != 0.15 {
		t.Errorf("reserve %v", r)
	}
	if j.Job.PackingAt.Known() {
		t.Error("an empty cell became a time")
	}
	a := j.Areas[1]
	if s, _ := a.Stretch.Get(); s != 0.4 {
		t.Errorf("stretch %v", s)
	}
	if d, _ := a.Coat.Get(); d != 40*time.Minute {
		t.Errorf("coat %v", d)
	}
	if w, _ := a.Target.Get(); w.Text != "lab(47.7 -21.9 -10.4)" || !w.Colour.Valid() {
		t.Errorf("target %+v", w)
	}
	if skin, ok := a.Skin.Get(); !ok || !skin {
		t.Errorf("skin %v", a.Skin)
	}
	if len(a.Recipe) != 1 || a.Recipe[0] != (RecipeLayer{"T3", 2}) {
		t.Errorf("recipe %v", a.Recipe)
	}
	if r, _ := j.References[0].Anchor.Get(); r != (Rect{10, 20, 30, 40}) {
		t.Errorf("anchor %v", r)
	}
	if len(j.Measures) != 1 || j.Measures[0].Code != "A1" {
		t.Errorf("the job's own measures: %v", j.Measures)
	}
	if len(j.Pictures) != 1 || string(j.Pictures[0].Bytes) != "not really a picture" {
		t.Errorf("pictures %v", j.Pictures)
	}
	if h := j.Hours[1]; h.To.Or(0) != 1440 || h.Day != "2026-09-05" {
		t.Errorf("hours %+v", h)
	}
	if d, _ := j.Sewing[1].Hands.Get(); d != 90*time.Minute || !slices.Equal(j.Sewing[1].After, []string{"A2-cut", "A2 cured"}) {
		t.Errorf("sewing %+v", j.Sewing[1])
	}
	if _, err := f.Job(ctx, "No such play"); !errors.Is(err, ErrNotFound) {
		t.Errorf("a job that is not there: %v", err)
	}
}

// One bad cell of each cross-reference, each alone: it is named by file, row and
// column, and nothing is imported.
func TestReferencesBetweenTables(t *testing.T) {
	ok := small()
	for _, c := range []struct{ file, old, new, want string }{
		{"areas.csv", ",C6,", ",C99,", "areas.csv 3 ground C99"},
		{"areas.csv", "T3:2", "T3:2;X9", "areas.csv 3 recipe X9"},
		{"contacts.csv", "N1,A1,A2", "N1,A1,A7", "contacts.csv 2 to A7"},
		{"contacts.csv", "A2,skin", "skin,skin", "contacts.csv 3 to skin"},
		{"patches.csv", "R1,A1", "R7,A1", "patches.csv 2 reference R7"},
		{"patches.csv", "R2,A1", "R2,A7", "patches.csv 3 area A7"},
		{"patches.csv", ",#604020", ",", "patches.csv 3 rectangle "},
		{"references.csv", "pictures/R1.png", "pictures/R9.png", "references.csv 2 picture pictures/R9.png"},
		{"references.csv", "pictures/R1.png", "../R1.png", "references.csv 2 picture ../R1.png"},
		{"measures.csv", "A1,D65", "A9,D65", "measures.csv 2 code A9"},
		{"measures.csv", ",black,", ",blak,", "measures.csv 4 over blak"},
		{"measures.csv", "T3,D65", "T3,dusk", "measures.csv 3 light dusk"},
		{"measures.csv", "47,-21.3,-10.9", ",,", "measures.csv 3 lab_l "},
		{"measures.csv", "47,-21.3,-10.9", "47,,-10.9", "measures.csv 3 lab_a "},
		{"tests.csv", "RT1,T3", "RT1,T9", "tests.csv 2 subject T9"},
		{"tests.csv", "note\r\nRT1,T3,white cloth,damp rub,2026-09-02 18:30,\"on C6, 24 h old\",lab(95.2 -0.3 2.1),lab(90.4 -2.6 -0.6),24,ten strokes", "note,grade\r\nRT1,T3,white cloth,damp rub,2026-09-02 18:30,,,,24,ten strokes,4-6", "tests.csv 2 grade 4-6"},
		{"tests.csv", "note\r\nRT1,T3,white cloth,damp rub,2026-09-02 18:30,\"on C6, 24 h old\",lab(95.2 -0.3 2.1),lab(90.4 -2.6 -0.6),24,ten strokes", "note,retests\r\nRT1,T3,white cloth,damp rub,2026-09-02 18:30,,,,24,ten strokes,RT9", "tests.csv 2 retests RT9"},
		{"sewing.csv", "A2-sew,A2", "A2-sew,A9", "sewing.csv 3 area A9"},
		{"sewing.csv", "A2-cut;A2 cured", "A2-cat;A2 cured", "sewing.csv 3 after A2-cat"},
		{"sewing.csv", "A2 painting", "A9 painting", "sewing.csv 2 before A9 painting"},
		{"hours.csv", "19:00,21:30", "19:00,18:30", "hours.csv 2 to 18:30"},
		{"hours.csv", "19:00,21:30", "19:00,", "hours.csv 2 to "},
		{"done.csv", "used\r\nA2-cut,2026-09-03 19:45,", "used,code\r\nA2-cut,2026-09-03 19:45,3 ml,T9", "done.csv 2 code T9"},
		{"stock.csv", ",1,24,", ",24,1,", "stock.csv 4 recoat_until_h 1 h"},
		{"stock.csv", "45,ml,100", "45,,100", "stock.csv 2 unit "},
		{"lights.csv", "2900 K", "candle", "lights.csv 3 source candle"},
		{"job.csv", "2026-09-20 21:00", "2026-03-29 02:30", "job.csv 4 hands_off 2026-03-29 02:30"},
		{"job.csv", "Europe/Berlin", "Berlin", "job.csv 13 timezone Berlin"},
		{"job.csv", "name,Harvest play", "name,", "job.csv 2 name "},
	} {
		f := newFile(t)
		var got []string
		for _, b := range badCells(t, f, with(t, ok, c.file, c.old, c.new)) {
			got = append(got, fmt.Sprintf("%s %d %s %s", b.File, b.Row, b.Column, b.Found))
		}
		if len(got) != 1 || got[0] != c.want {
			t.Errorf("%s with %q: got %q, want %q", c.file, c.new, got, c.want)
		}
		if jobs, err := f.Jobs(ctx); err != nil || len(jobs) != 0 {
			t.Errorf("%s with %q: a refused job is there: %v, %v", c.file, c.new, jobs, err)
		}
		if s, err := f.Stock(ctx); err != nil || s.Len() != 0 {
			t.Errorf("%s with %q: stock of a refused job is there", c.file, c.new)
		}
		f.Close()
	}
}

func TestBadCellsOfSeveralTablesInOrder(t *testing.T) {
	in := with(t, small(), "sewing.csv", "cut,30", "cut,half an hour")
	in = with(t, in, "areas.csv", "cloth,Reaper", "weave,Reaper")
	in = with(t, in, "wearers.csv", "1.24", "big")
	var got []string
	for _, b := range badCells(t, newFile(t), in) {
		got = append(got, fmt.Sprintf("%s %d %s", b.File, b.Row, b.Column))
	}
	if fmt.Sprint(got) != "[wearers.csv 3 area_factor areas.csv 2 method sewing.csv 2 hands_min]" {
		t.Errorf("bad cells %v", got)
	}
}

func TestFolderWithoutAJob(t *testing.T) {
	for name, in := range map[string]fstest.MapFS{"empty folder": {}, "no job.csv": without(small(), "job.csv")} {
		bad := badCells(t, newFile(t), in)
		if len(bad) != 1 || bad[0].File != "job.csv" || bad[0].Row != 0 {
			t.Errorf("%s: %v", name, bad)
		}
	}
	in := withFile(small(), "Areas.CSV", "code\nA9\n")
	if bad := badCells(t, newFile(t), in); bad[0].File != "areas.csv" || bad[0].Row != 0 {
		t.Errorf("two tables of one name: %v", bad)
	}
}

// Tables that are not known are kept byte for byte; other files that nothing
// names are reported and left; what systems leave about is passed over.
func TestUnknownFiles(t *testing.T) {
	f := newFile(t)
	in := withFile(small(), "props.csv", "what,who\nlantern,Ana\n")
	in = withFile(in, "letter.txt", "dear all")
	in = withFile(in, "draft/a.png", "x")
	in = withFile(in, "draft/b.png", "x")
	in = withFile(in, ".DS_Store", "x")
	in = withFile(in, "~$areas.csv", "x")
	r := mustImport(t, f, in)
	if fmt.Sprint(r.Left) != "[draft/ (2 files) letter.txt]" || len(r.Unknown) != 1 || !strings.Contains(r.Unknown[0], "props.csv") {
		t.Errorf("left %q, unknown %q", r.Left, r.Unknown)
	}
	got := folderOf(t, f, r.Job)
	if got["props.csv"] != "what,who\nlantern,Ana\n" || got["letter.txt"] != "" {
		t.Errorf("exported %q", slices.Sorted(maps.Keys(got)))
	}
}

func TestUnknownColumnsReturn(t *testing.T) {
	f := newFile(t)
	in := with(t, small(), "wearers.csv", "sensitivities\r\nP1,Ana,M,1,", "sensitivities,shoe\r\nP1,Ana,M,1,,38")
	in = with(t, in, "wearers.csv", "latex;nickel", "latex;nickel,")
	in = with(t, in, "room.csv", "mask,particle", "mask,particle\r\nwindow,north")
	r := mustImport(t, f, in)
	if len(r.Unknown) != 2 {
		t.Errorf("unknown %q", r.Unknown)
	}
	got := folderOf(t, f, r.Job)
	if got["wearers.csv"] != string(in["wearers.csv"].Data) || !strings.Contains(got["room.csv"], "window,north") {
		t.Errorf("exported\n%s\n%s", got["wearers.csv"], got["room.csv"])
	}
}

// A grade seen by eye, what a photograph leaves open, and the test that is
// repeated go out and come back; the columns are there only where a test has them.
func TestGradesOfTestsReturn(t *testing.T) {
	f := newFile(t)
	in := with(t, small(), "tests.csv", "age_h,note\r\n", "age_h,note,grade,grade_low,retests\r\n")
	in = with(t, in, "tests.csv", "24,ten strokes\r\n", "24,ten strokes,,3-4,\r\nRT2,T3,white cloth,dry rub,2026-09-03,,,,,,4-5,,RT1\r\n")
	r := mustImport(t, f, in)
	if len(r.Unknown) != 0 {
		t.Errorf("unknown %q", r.Unknown)
	}
	if got := folderOf(t, f, r.Job)["tests.csv"]; got != string(in["tests.csv"].Data) {
		t.Errorf("exported\n%s", got)
	}
	j, err := f.Job(ctx, r.Job)
	if err != nil {
		t.Fatal(err)
	}
	if a, b := j.Tests[0], j.Tests[1]; a.GradeLow != "3-4" || b.Grade != "4-5" || b.Retests != "RT1" || a.Extra != nil {
		t.Errorf("%+v\n%+v", a, b)
	}
}

// What the maker recorded through commands stays when the folder it once came
// from is imported again with other rows.
func TestImportAgainKeepsRecordedFacts(t *testing.T) {
	f := newFile(t)
	mustImport(t, f, small())
	at := At{Job: "Harvest play"}
	record := func(_ int64, err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	teal, _ := Write("#2c7c82")
	record(f.Approve(ctx, at, TargetFact{Area: "A2", Colour: unit.State(teal), Basis: "photographed", Rests: []string{"R1", "R2"}}))
	record(f.Choose(ctx, at, ChoiceFact{Area: "A2", Layers: []RecipeLayer{{"T3", 3}}}))
	record(f.AddTest(ctx, at, TestFact{Subject: "C6", How: "dry rub"}))
	record(f.Done(ctx, at, DoneFact{Step: "A2.T3.1", Used: unit.State(unit.Quantity{Amount: 20, Unit: "ml"}), Code: "T3"}))

	in := with(t, small(), "wearers.csv", "Ana", "Anna")
	in = withFile(in, "tests.csv", "code,subject,how\r\nRT2,D1,wash\r\nRT7,D1,heat\r\n")
	r := mustImport(t, f, in)

	j, err := f.Job(ctx, "Harvest play")
	if err != nil {
		t.Fatal(err)
	}
	if j.Wearers[0].Name != "Anna" {
		t.Error("the new table was not taken")
	}
	if len(j.Targets) != 1 || j.Targets[0].Colour.Or(Written{}).Text != "#2c7c82" {
		t.Errorf("targets %+v", j.Targets)
	}
	if len(j.Choices) != 1 || j.Choices[0].Layers[0].Coats != 3 {
		t.Errorf("choices %+v", j.Choices)
	}
	var tests []string
	for _, x := range j.Tests {
		tests = append(tests, x.Code+" "+x.Subject+" "+x.How)
	}
	// RT1 came with the first table and is gone with it; RT2 was recorded here,
	// and the table's other RT2 does not change it.
	if fmt.Sprint(tests) != "[RT2 C6 dry rub RT7 D1 heat]" {
		t.Errorf("tests %q", tests)
	}
	var steps []string
	for _, x := range j.Done {
		steps = append(steps, x.Step)
	}
	if fmt.Sprint(steps) != "[A2-cut A2.T3.1]" {
		t.Errorf("steps %q", steps)
	}
	if l, _ := f.Line(ctx, "T3"); l.OnHand.Or(-1) != 25 {
		t.Errorf("on hand %v after 45 less 20: an older table counted it again", l.OnHand)
	}
	kept := strings.Join(r.Kept, "\n")
	for _, want := range []string{"tests.csv: RT2: recorded here with other words", "done.csv: A2.T3.1: recorded here and not in the folder", "T3: on_hand 45 ml is an older figure; movements since leave 25 ml"} {
		if !strings.Contains(kept, want) {
			t.Errorf("the report does not say %q:\n%s", want, kept)
		}
	}

	// The export carries the recorded facts, and comes in again unchanged, here
	// and elsewhere.
	first := folderOf(t, f, r.Job)
	if !strings.Contains(first["targets.csv"], "A2,#2c7c82,photographed") || !strings.Contains(first["choices.csv"], "A2,T3:3") {
		t.Errorf("exported\n%s\n%s", first["targets.csv"], first["choices.csv"])
	}
	if r := mustImport(t, f, asFS(first)); len(r.Kept)+len(r.Changed) != 0 {
		t.Errorf("its own export was not taken as it is: %+v", r)
	}
	other := newFile(t)
	mustImport(t, other, asFS(first))
	if d := cmp.Diff(first, folderOf(t, other, r.Job)); d != "" {
		t.Errorf("elsewhere the export differs:\n%s", d)
	}
	if d := cmp.Diff(first, folderOf(t, f, r.Job)); d != "" {
		t.Errorf("here the export differs:\n%s", d)
	}
}

// A step that came with a table and was taken back does not come again with the
// same table; done anew at another time it does.
func TestStepTakenBackStaysTakenBack(t *testing.T) {
	f := newFile(t)
	mustImport(t, f, small())
	if _, err := f.Undo(ctx, At{Job: "Harvest play"}, "A2-cut"); err != nil {
		t.Fatal(err)
	}
	r := mustImport(t, f, small())
	if j, _ := f.Job(ctx, r.Job); len(j.Done) != 0 || fmt.Sprint(r.Kept) != "[done.csv: A2-cut: taken back here; it stays taken back]" {
		t.Errorf("steps %v, kept %q", j.Done, r.Kept)
	}
	r = mustImport(t, f, with(t, small(), "done.csv", "19:45", "20:45"))
	if j, _ := f.Job(ctx, r.Job); len(j.Done) != 1 || len(r.Kept) != 0 {
		t.Errorf("steps %v, kept %q", j.Done, r.Kept)
	}
}

// Approvals come in from a folder when they carry on from those on record, and
// never change them.
func TestApprovalsOnlyGrow(t *testing.T) {
	head := "area,colour,at\r\n"
	one, two, three := "A2,#2c7c82,2026-09-01 10:00\r\n", "A2,#2d7d83,2026-09-02 10:00\r\n", "A1,#6c7176,2026-09-01 10:00\r\n"
	other := "A2,#ff0000,2026-09-01 10:00\r\n"
	f := newFile(t)
	for i, c := range []struct {
		name, table, want string
		kept              int
	}{
		{"first", one, "A2 #2c7c82", 0},
		{"carries on", one + two + three, "A2 #2c7c82, A2 #2d7d83, A1 #6c7176", 0},
		{"an older table", one, "A2 #2c7c82, A2 #2d7d83, A1 #6c7176", 2},
		{"another history", other, "A2 #2c7c82, A2 #2d7d83, A1 #6c7176", 2},
		{"another history that goes on", other + two + one, "A2 #2c7c82, A2 #2d7d83, A1 #6c7176", 2},
		{"the same in another order", three + one + two, "A2 #2c7c82, A2 #2d7d83, A1 #6c7176", 0},
	} {
		r := mustImport(t, f, withFile(small(), "targets.csv", head+c.table))
		j, err := f.Job(ctx, r.Job)
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, x := range j.Targets {
			got = append(got, x.Area+" "+x.Colour.String())
		}
		if strings.Join(got, ", ") != c.want || len(r.Kept) != c.kept {
			t.Errorf("%d %s: targets %v, kept %q", i, c.name, got, r.Kept)
		}
	}
}

// A table that the folder leaves out stays as it is; one with a header alone is
// emptied.
func TestMissingTableStaysEmptyTableEmpties(t *testing.T) {
	f := newFile(t)
	mustImport(t, f, small())
	in := without(without(small(), "contacts.csv"), "references.csv")
	in = withFile(without(in, "patches.csv"), "hours.csv", "day,from,to\r\n")
	mustImport(t, f, without(in, "pictures/R1.png"))
	j, err := f.Job(ctx, "Harvest play")
	if err != nil {
		t.Fatal(err)
	}
	if len(j.Contacts) != 2 || len(j.References) != 2 || len(j.Pictures) != 1 || len(j.Patches) != 2 || len(j.Hours) != 0 {
		t.Errorf("contacts %d, references %d, pictures %d, patches %d, hours %d", len(j.Contacts), len(j.References), len(j.Pictures), len(j.Patches), len(j.Hours))
	}
	// A reference that goes takes its picture along.
	mustImport(t, f, withFile(without(small(), "patches.csv"), "references.csv", "code,picture\r\nR1,\r\nR2,\r\n"))
	if j, _ = f.Job(ctx, "Harvest play"); len(j.Pictures) != 0 {
		t.Errorf("pictures %v", j.Pictures)
	}
}

func TestStockFigures(t *testing.T) {
	f := newFile(t)
	mustImport(t, f, small())
	if err := f.Use(ctx, "T3", unit.Quantity{Amount: 5, Unit: "ml"}, Because{}); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name, cell string
		want       float64
		report     string
	}{
		{"older figure", "45", 40, "is an older figure"},
		{"the figure that is", "40", 40, ""},
		{"a new count", "33", 33, "counted 33 ml, was 40 ml"},
		{"empty is not zero", "", 33, ""},
		{"another unit, same thing", "0.033,l,0.1", 33, ""},
	} {
		cell := c.cell
		if !strings.Contains(cell, ",") {
			cell += ",ml,100"
		}
		r := mustImport(t, f, with(t, small(), "stock.csv", "45,ml,100", cell))
		l, err := f.Line(ctx, "T3")
		if err != nil || l.OnHand.Or(-1) != c.want {
			t.Errorf("%s: on hand %v, %v; want %v", c.name, l.OnHand, err, c.want)
		}
		if said := strings.Join(append(r.Kept, r.Changed...), "\n"); c.report == "" && said != "" || !strings.Contains(said, c.report) {
			t.Errorf("%s: report %q, want %q", c.name, said, c.report)
		}
	}
	bad := badCells(t, f, with(t, small(), "stock.csv", "45,ml,100", "45,g,100"))
	if len(bad) != 1 || bad[0].Column != "unit" || !strings.Contains(bad[0].Expected, "ml") {
		t.Errorf("another unit than the movements': %v", bad)
	}
}

// Two jobs share one shelf: a code may not mean two things.
func TestTwoJobsOneShelf(t *testing.T) {
	f := newFile(t)
	mustImport(t, f, small())
	second := with(t, small(), "job.csv", "Harvest play", "Winter play")
	mustImport(t, f, second)
	bad := badCells(t, f, with(t, second, "stock.csv", "Supple teal", "Stiff green"))
	if len(bad) != 1 || bad[0].Column != "code" || !strings.Contains(bad[0].Expected, `"Supple teal"`) || !strings.Contains(bad[0].Expected, "Harvest play") {
		t.Errorf("a code with two meanings: %v", bad)
	}
	r := mustImport(t, f, with(t, second, "stock.csv", "9.80", "10.20"))
	if fmt.Sprint(r.Changed) != "[stock.csv: T3: price]" {
		t.Errorf("changed %q", r.Changed)
	}
	if jobs, err := f.Jobs(ctx); err != nil || fmt.Sprint(jobs) != "[Harvest play Winter play]" {
		t.Errorf("jobs %v, %v", jobs, err)
	}
}

func TestImportOverAVersion(t *testing.T) {
	f := newFile(t)
	mustImport(t, f, small())
	if _, err := f.ImportJobOver(ctx, small(), 1); err != nil {
		t.Fatal(err)
	}
	_, err := f.ImportJobOver(ctx, small(), 1)
	var changed *ChangedError
	if !errors.Is(err, ErrChanged) || !errors.As(err, &changed) || changed.Have != 2 || changed.Want != 1 {
		t.Errorf("an import over an old version: %v", err)
	}
}

// failing is a folder whose files from the n-th opened on cannot be read.
type failing struct {
	fs.FS
	left int
}

var errUnplugged = errors.New("the stick was pulled out")

func (f *failing) Open(name string) (fs.File, error) {
	if f.left--; f.left < 0 && name != "." {
		return nil, errUnplugged
	}
	return f.FS.Open(name)
}

// An import that breaks off anywhere leaves everything as it was: while the
// folder is read, and at every table while it is written.
func TestImportThatBreaksOff(t *testing.T) {
	f := newFile(t)
	mustImport(t, f, small())
	before := folderOf(t, f, "Harvest play")
	in := with(t, small(), "wearers.csv", "Ana", "Anna")
	in = with(t, in, "stock.csv", "Supple teal", "Supple green")
	same := func(when string) {
		t.Helper()
		if d := cmp.Diff(before, folderOf(t, f, "Harvest play")); d != "" {
			t.Errorf("%s: something changed:\n%s", when, d)
		}
	}
	broke := 0
	for n := 0; ; n++ {
		_, err := f.ImportJob(ctx, &failing{in, n})
		if err == nil {
			break
		}
		if !errors.Is(err, errUnplugged) {
			t.Fatalf("after %d files: %v", n, err)
		}
		broke++
		same(fmt.Sprintf("after %d files", n))
	}
	if broke < 15 {
		t.Errorf("only %d files could break off", broke)
	}
	mustImport(t, f, small())
	for _, s := range shapes() {
		if fileRank(s.file) == len(tableOrder) || s.name == "choice" || s.name == "target" {
			continue
		}
		when := "BEFORE INSERT"
		if s.name == "job" || s.name == "stock" {
			when = "BEFORE UPDATE"
		}
		mustExec(t, f, `CREATE TRIGGER trip `+when+` ON `+s.name+` BEGIN SELECT RAISE(ABORT, 'tripped'); END`)
		if _, err := f.ImportJob(ctx, in); err == nil || !strings.Contains(err.Error(), "tripped") {
			t.Errorf("%s: %v", s.name, err)
		}
		mustExec(t, f, `DROP TRIGGER trip`)
		same("writing " + s.name)
	}
	cancelled, cancel := context.WithCancel(ctx)
	cancel()
	if _, err := f.ImportJob(cancelled, in); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: %v", err)
	}
	same("cancelled")
}

func mustExec(t testing.TB, f *File, statement string, args ...any) {
	t.Helper()
	if _, err := f.db.ExecContext(ctx, statement, args...); err != nil {
		t.Fatal(err)
	}
}

func TestPicturesOfWrongSize(t *testing.T) {
	for name, data := range map[string][]byte{"empty": {}, "huge": make([]byte, mostPictureBytes+1)} {
		in := maps.Clone(small())
		in["pictures/R1.png"] = &fstest.MapFile{Data: data}
		if bad := badCells(t, newFile(t), in); len(bad) != 1 || bad[0].Column != "picture" || !strings.Contains(bad[0].Expected, "64 MB") {
			t.Errorf("%s: %v", name, bad)
		}
	}
	in := without(small(), "pictures/R1.png")
	in["pictures/R1.png/x"] = &fstest.MapFile{Data: []byte("x")}
	if bad := badCells(t, newFile(t), in); len(bad) != 1 || bad[0].Expected != "a file, not a folder" {
		t.Errorf("a folder as a picture: %v", bad)
	}
}

func TestExportNeverWritesOver(t *testing.T) {
	f := newFile(t)
	mustImport(t, f, small())
	dir := t.TempDir()
	if err := f.ExportJob(ctx, "Harvest play", dir); err != nil {
		t.Fatal(err)
	}
	if err := f.ExportJob(ctx, "Harvest play", dir); err != nil {
		t.Errorf("the same once more: %v", err)
	}
	if _, err := f.Done(ctx, At{Job: "Harvest play"}, DoneFact{Step: "A2-sew"}); err != nil {
		t.Fatal(err)
	}
	if err := f.ExportJob(ctx, "Harvest play", dir); !errors.Is(err, ErrExists) || !strings.Contains(err.Error(), "done.csv") {
		t.Errorf("over a table that says otherwise: %v", err)
	}
	if err := f.ExportStock(ctx, t.TempDir()); err != nil {
		t.Error(err)
	}
}

func TestStockExportIsTheIdentity(t *testing.T) {
	a, b := newFile(t), newFile(t)
	mustImport(t, a, small())
	files, err := a.StockFolder(ctx)
	if err != nil {
		t.Fatal(err)
	}
	in := fstest.MapFS{}
	for _, p := range files {
		in[p.Name] = &fstest.MapFile{Data: p.Bytes}
	}
	r, err := b.ImportStock(ctx, in)
	if err != nil {
		t.Fatal(err)
	}
	if fmt.Sprint(r.Left) != "[batches.csv movements.csv recipes.csv weighings.csv]" {
		t.Errorf("left %v", r.Left)
	}
	again, err := b.StockFolder(ctx)
	if err != nil {
		t.Fatal(err)
	}
	for i, p := range again[:2] {
		if string(p.Bytes) != string(files[i].Bytes) {
			t.Errorf("%s differs:\n%s\n%s", p.Name, files[i].Bytes, p.Bytes)
		}
	}
	if _, err := b.ImportStock(ctx, fstest.MapFS{}); err == nil {
		t.Error("a folder without a stock table was taken")
	}
}
