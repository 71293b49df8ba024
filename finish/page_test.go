package finish

import (
	"context"
	"errors"
	"io/fs"
	"math"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"undercoat/finish/garment"
	"undercoat/finish/plan"
	"undercoat/inventory"
	"undercoat/inventory/unit"
	"undercoat/palette"
	"undercoat/testdata/demo"
)

// pageDesk is a desk on the demo's job cut down to its coat and its tunic and
// without pictures, so that it is planned in a blink.
func pageDesk(t testing.TB) (*Desk, string) {
	t.Helper()
	return deskOn(t, nil, nil)
}

// picturedDesk is the same with the demo's pictures.
func picturedDesk(t testing.TB) (*Desk, string) {
	t.Helper()
	return deskOn(t, []string{"references.csv", "patches.csv"}, []string{"R1.jpg", "R2.jpg", "R3.png", "R4.jpg"})
}

func deskOn(t testing.TB, tables, pictures []string) (*Desk, string) {
	t.Helper()
	rows := func(file string, keep func(string) bool) NamedFile {
		data, err := fs.ReadFile(demo.Files(), file)
		if err != nil {
			t.Fatal(err)
		}
		lines := strings.SplitAfter(string(data), "\n")
		out := lines[0]
		for _, l := range lines[1:] {
			if keep(l) {
				out += l
			}
		}
		return NamedFile{file, []byte(out)}
	}
	all := func(string) bool { return true }
	about := func(l string) bool {
		return strings.HasPrefix(l, "A1,") || strings.HasPrefix(l, "A4,") || strings.Contains(l, ",A4,") || strings.Contains(l, ",A1,")
	}
	files := []NamedFile{
		rows("job.csv", all), rows("areas.csv", func(l string) bool { return strings.HasPrefix(l, "A1,") || strings.HasPrefix(l, "A4,") }),
		rows("lights.csv", all), rows("stock.csv", all), rows("measures.csv", func(l string) bool { return !strings.HasPrefix(l, "A") || about(l) }),
		rows("hours.csv", all), rows("room.csv", all), rows("wearers.csv", all),
	}
	for _, name := range tables {
		files = append(files, rows(name, func(l string) bool { return name == "references.csv" || about(l) }))
	}
	for _, p := range pictures {
		data, err := fs.ReadFile(demo.Files(), p)
		if err != nil {
			t.Fatal(err)
		}
		files = append(files, NamedFile{p, data})
	}
	folder, err := FolderOf(files)
	if err != nil {
		t.Fatal(err)
	}
	b, err := Open(context.Background(), filepath.Join(t.TempDir(), "workroom.db"), func() time.Time { return time.Date(2026, 10, 26, 9, 0, 0, 0, time.UTC) })
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { b.Close() })
	report, err := b.ImportJob(context.Background(), folder)
	if err != nil {
		t.Fatal(err)
	}
	return NewDesk(b), report.Job
}

// Laws of plain show-through: the shares add up to 1, the ground keeps the
// product of what the coats let pass, a clear coat gives nothing, and a coat
// that hides all leaves nothing below it.
func TestSectionShares(t *testing.T) {
	h := func(v float64) *float64 { return &v }
	for name, c := range map[string]struct {
		hides  []*float64
		ground float64
	}{
		"no coats":       {nil, 1},
		"one coat":       {[]*float64{h(0.7)}, 0.3},
		"two alike":      {[]*float64{h(0.5), h(0.5)}, 0.25},
		"clear on top":   {[]*float64{h(0.9), h(0)}, 0.1},
		"hides all":      {[]*float64{h(0.4), h(1), h(0.25)}, 0},
		"not known":      {[]*float64{nil}, 1 - unknownHiding},
		"white and glow": {[]*float64{h(0.93), h(0.72), h(0.72), h(0.45)}, 0.07 * 0.28 * 0.28 * 0.55},
	} {
		s := Section{}
		for _, v := range c.hides {
			s.Coats = append(s.Coats, SectionCoat{Hiding: v})
		}
		s.share()
		sum := s.GroundShare
		for _, coat := range s.Coats {
			sum += coat.Share
		}
		if math.Abs(sum-1) > 0.0005 || math.Abs(s.GroundShare-c.ground) > 0.0001 {
			t.Errorf("%s: ground %g, want %g; all shares add up to %g", name, s.GroundShare, c.ground, sum)
		}
		if n := len(s.Coats); n > 0 && c.hides[n-1] != nil && math.Abs(s.Coats[n-1].Share-*c.hides[n-1]) > 0.0001 {
			t.Errorf("%s: the coat on top gives %g, want all it hides, %g", name, s.Coats[n-1].Share, *c.hides[n-1])
		}
	}
}

func TestHidingOfAPaint(t *testing.T) {
	for name, c := range map[string]struct {
		p    inventory.Paint
		want unit.Stated[float64]
	}{
		"over both":   {inventory.Paint{HidingBlack: unit.State(0.6), HidingWhite: unit.State(0.8)}, unit.State(0.7)},
		"over black":  {inventory.Paint{HidingBlack: unit.State(0.6)}, unit.State(0.6)},
		"over white":  {inventory.Paint{HidingWhite: unit.State(0.8)}, unit.State(0.8)},
		"a sealer":    {inventory.Paint{Article: inventory.Article{Kind: inventory.KindSealer}}, unit.State(0.0)},
		"not stated":  {inventory.Paint{}, unit.Stated[float64]{}},
		"known paint": {inventory.Paint{Article: inventory.Article{Kind: inventory.KindSealer}, HidingBlack: unit.State(0.2)}, unit.State(0.2)},
	} {
		got, ok := hidingOf(c.p).Get()
		want, known := c.want.Get()
		if ok != known || math.Abs(got-want) > 1e-12 {
			t.Errorf("%s: %g, %v; want %g, %v", name, got, ok, want, known)
		}
	}
}

// A desk answers from memory until a fact or the shelf changes.
func TestDeskRemembersUntilSomethingChanges(t *testing.T) {
	d, job := pageDesk(t)
	ctx := context.Background()
	steps := func() *plan.Step {
		w, trouble, err := d.work(ctx, job, plan.FanAsRoom, false)
		if err != nil || trouble != nil {
			t.Fatal(err, trouble)
		}
		return &w.plan.Steps[0]
	}
	first := steps()
	if steps() != first {
		t.Error("the same question is worked out twice")
	}
	if err := d.Bench(job).MoveStock(ctx, "use", "T3", "5 ml", ""); err != nil {
		t.Fatal(err)
	}
	second := steps()
	if second == first {
		t.Error("the shelf changed and the old answer is given")
	}
	b, err := d.Board(ctx, job)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := d.Choose(ctx, job, b.Job.Version, "A4", []garment.Layer{{Code: "T3", Coats: 2}}); err != nil {
		t.Fatal(err)
	}
	if steps() == second {
		t.Error("a fact changed and the old answer is given")
	}
}

// Every write of a page on an old version is refused and changes nothing.
func TestPageWritesOnAnOldVersion(t *testing.T) {
	d, job := picturedDesk(t)
	ctx := context.Background()
	b := d.Bench(job)
	old := int64(1)
	now, err := d.Choose(ctx, job, old, "A1", []garment.Layer{{Code: "C1"}})
	if err != nil || now != 2 {
		t.Fatalf("version %d, %v; want 2", now, err)
	}
	spot := palette.Rect{X: 445, Y: 1015, W: 30, H: 55}
	spotText := spot.String()
	for name, write := range map[string]func() error{
		"choose":  func() error { _, err := d.Choose(ctx, job, old, "A1", []garment.Layer{{Code: "C3"}}); return err },
		"approve": func() error { _, _, _, err := d.Approve(ctx, job, old, "A1", inventory.Written{}); return err },
		"done":    func() error { _, _, err := d.Done(ctx, job, old, "A4-T3-1", "", ""); return err },
		"undo":    func() error { _, err := d.Undo(ctx, job, old, "A4-T3-1"); return err },
		"test":    func() error { _, err := d.AddTest(ctx, job, old, TestEntry{Subject: "C1", How: "wash"}); return err },
		"area":    func() error { _, err := b.AddArea(ctx, old, map[string]string{"code": "B1"}); return err },
		"patch":   func() error { _, err := b.MarkPatch(ctx, old, "R1", "A1", spotText); return err },
		"anchor":  func() error { _, err := b.MarkAnchor(ctx, old, "R1", spot, ""); return err },
	} {
		if err := write(); !errors.Is(err, inventory.ErrChanged) {
			t.Errorf("%s: %v, want %v", name, err, inventory.ErrChanged)
		}
	}
	board, err := d.Board(ctx, job)
	if err != nil {
		t.Fatal(err)
	}
	if board.Job.Version != now || board.Strips[0].Choice != "C1" || len(board.Strips) != 2 {
		t.Errorf("version %d, A1 is made with %q, %d strips", board.Job.Version, board.Strips[0].Choice, len(board.Strips))
	}
}

// An outline reads what lies inside it and no more: round the very spot of a
// rectangle it reads the same, and the mark comes back from the file as drawn.
func TestOutlineOnAPicture(t *testing.T) {
	d, job := picturedDesk(t)
	ctx := context.Background()
	b := d.Bench(job)
	rect, err := b.ReadSpot(ctx, "R1", "445,1015,30,55")
	if err != nil {
		t.Fatal(err)
	}
	same, err := b.ReadSpot(ctx, "R1", "445,1015 475,1015 475,1070 445,1070")
	if err != nil {
		t.Fatal(err)
	}
	if rect.Lab != same.Lab || rect.PerPicture[0].Pixels != same.PerPicture[0].Pixels {
		t.Errorf("the rectangle reads %v of %d px, the same as an outline %v of %d px", rect.Lab, rect.PerPicture[0].Pixels, same.Lab, same.PerPicture[0].Pixels)
	}
	const half = "445,1015 475,1015 445,1070"
	part, err := b.ReadSpot(ctx, "R1", half)
	if err != nil {
		t.Fatal(err)
	}
	if n := part.PerPicture[0].Pixels; n < 700 || n > 900 { // half of 30 × 55
		t.Errorf("half of 1650 px reads %d px", n)
	}
	if _, err := b.MarkPatch(ctx, 1, "R1", "A1", half); err != nil {
		t.Fatal(err)
	}
	board, err := d.Board(ctx, job)
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range board.References[0].Patches {
		if p.Area == "A1" && (p.Spot != half || p.Corner != half || p.Swatch == nil || *p.Swatch != part.Swatch) {
			t.Errorf("kept %+v, want %s reading %+v", p, half, part.Swatch)
		}
	}
}

// Marks and areas go through the job's tables; what was recorded since stays.
func TestMarksKeepWhatWasRecorded(t *testing.T) {
	d, job := picturedDesk(t)
	ctx := context.Background()
	b := d.Bench(job)
	_, _, v, err := d.Approve(ctx, job, 1, "A4", inventory.Written{})
	if err != nil {
		t.Fatal(err)
	}
	if v, err = b.MarkPatch(ctx, v, "R4", "A4", "500,900,40,40"); err != nil {
		t.Fatal(err)
	}
	if v, err = b.AddArea(ctx, v, map[string]string{"code": "B1", "piece": "Belt, plain", "method": "cloth"}); err != nil {
		t.Fatal(err)
	}
	board, err := d.Board(ctx, job)
	if err != nil {
		t.Fatal(err)
	}
	a4 := board.Strips[1]
	if !a4.Frozen || a4.Target.Pictures == nil || len(a4.Target.Pictures.PerPicture) != 4 || board.Strips[2].Piece != "Belt, plain" || len(board.References) != 4 {
		t.Errorf("frozen %v, readings %+v, strips %d, pictures %d", a4.Frozen, a4.Target.Pictures, len(board.Strips), len(board.References))
	}
	if _, err := b.MarkPatch(ctx, v, "R4", "A4", ""); err != nil {
		t.Fatal(err)
	}
	board, err = d.Board(ctx, job)
	if err != nil {
		t.Fatal(err)
	}
	if n := len(board.Strips[1].Target.Pictures.PerPicture); n != 3 {
		t.Errorf("after the mark was taken away %d pictures show A4, want 3", n)
	}
	for name, err := range map[string]error{
		"outside the picture": second(b.MarkPatch(ctx, board.Job.Version, "R1", "A4", "5000,0,9,9")),
		"no such picture":     second(b.MarkPatch(ctx, board.Job.Version, "R9", "A4", "0,0,9,9")),
		"an outline of two":   second(b.MarkPatch(ctx, board.Job.Version, "R1", "A4", "10,10 40,40")),
		"no chart there":      second(b.MarkChart(ctx, board.Job.Version, "R1", palette.Rect{X: 400, Y: 400, W: 200, H: 150})),
		"no such area":        second(b.MarkPatch(ctx, board.Job.Version, "R1", "Z9", "0,0,9,9")),
		"a bad cell":          second(b.AddArea(ctx, board.Job.Version, map[string]string{"code": "B2", "painted_m2": "wide"})),
		"no such column":      second(b.AddArea(ctx, board.Job.Version, map[string]string{"code": "B2", "colour of the moon": "x"})),
	} {
		if err == nil {
			t.Errorf("%s: taken", name)
		}
	}
}

func second[T any](_ T, err error) error { return err }

func TestNewJob(t *testing.T) {
	b, err := Open(context.Background(), filepath.Join(t.TempDir(), "workroom.db"), time.Now)
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	ctx := context.Background()
	if _, err := b.NewJob(ctx, map[string]string{"name": "Bells, spring \"26\"", "hands_off": "2026-11-11T21:00", "timezone": "Europe/London"}); err != nil {
		t.Fatal(err)
	}
	board, err := NewDesk(b).Board(ctx, `Bells, spring "26"`)
	if err != nil || board.Trouble == "" || board.Job.HandsOff == nil {
		t.Errorf("board %+v, %v", board.Job, err)
	}
	if _, err := b.NewJob(ctx, map[string]string{"name": `Bells, spring "26"`}); err == nil {
		t.Error("a job of the same name is made over it")
	}
	if _, err := b.NewJob(ctx, map[string]string{"name": "Other", "hands_off": "soon"}); err == nil {
		t.Error("a date that is none is taken")
	}
}

func TestFolderOf(t *testing.T) {
	if _, err := FolderOf([]NamedFile{{"../job.csv", nil}}); err == nil {
		t.Error("a name that leaves the folder is taken")
	}
	if _, err := FolderOf([]NamedFile{{"job.zip", []byte("no zip file")}}); err == nil {
		t.Error("what is no zip file is opened")
	}
	folder, err := FolderOf([]NamedFile{{"job.csv", []byte("key,value\n")}, {"pictures/R1.jpg", []byte("x")}})
	if err != nil {
		t.Fatal(err)
	}
	if data, err := fs.ReadFile(folder, "pictures/R1.jpg"); err != nil || string(data) != "x" {
		t.Errorf("%q, %v", data, err)
	}
}

func TestPapersByName(t *testing.T) {
	d, job := pageDesk(t)
	for _, p := range Papers() {
		var out strings.Builder
		if err := d.Paper(context.Background(), job, p.File, &out); err != nil || out.Len() == 0 {
			t.Errorf("%s: %d bytes, %v", p.File, out.Len(), err)
		}
	}
	if err := d.Paper(context.Background(), job, "../workroom.db", &strings.Builder{}); err == nil {
		t.Error("a paper that is none is printed")
	}
}

// A table of the job is written as a whole; what is wrong in it changes nothing,
// and neither the job's name nor what is recorded elsewhere can be changed by it.
func TestTablesAreWritten(t *testing.T) {
	d, job := picturedDesk(t)
	ctx := context.Background()
	b := d.Bench(job)
	rows, err := b.JobTable(ctx, "hours.csv")
	if err != nil {
		t.Fatal(err)
	}
	head := rows[0]
	row := make([]string, len(head))
	for i, c := range head {
		row[i] = map[string]string{"day": "Sat", "from": "10:00", "to": "17:00"}[c]
	}
	v, err := b.SetJobTable(ctx, 1, "hours.csv", [][]string{row, make([]string, len(head))})
	if err != nil || v != 2 {
		t.Fatalf("version %d, %v", v, err)
	}
	if rows, err = b.JobTable(ctx, "hours.csv"); err != nil || len(rows) != 2 || rows[1][0] != "Sat" {
		t.Errorf("hours %v, %v", rows, err)
	}
	bad := slices.Clone(row)
	bad[1] = "noon"
	for name, err := range map[string]error{
		"a bad cell":        second(b.SetJobTable(ctx, v, "hours.csv", [][]string{bad})),
		"a short row":       second(b.SetJobTable(ctx, v, "hours.csv", [][]string{row[:2]})),
		"an old version":    second(b.SetJobTable(ctx, 1, "hours.csv", [][]string{row})),
		"the shelf":         second(b.SetJobTable(ctx, v, "stock.csv", nil)),
		"another job's":     second(b.SetJobTable(ctx, v, "job.csv", [][]string{{"name", "Other"}})),
		"a path":            second(b.SetJobTable(ctx, v, "../job.csv", nil)),
		"a table not there": second(b.JobTable(ctx, "secrets.csv")),
	} {
		if err == nil {
			t.Errorf("%s: taken", name)
		}
	}
	if now, err := d.bench.file.JobVersion(ctx, job); err != nil || now != v {
		t.Errorf("version %d after what was refused, %v; want %d", now, err, v)
	}
}
