package finish

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"undercoat/finish/garment"
	"undercoat/finish/plan"
	"undercoat/testdata/demo"
)

// DemoAnswer is what the demo did and what to open next.
type DemoAnswer struct {
	Folder   string         `json:"folder"`
	Workroom string         `json:"workroom"`
	Targets  []TargetAnswer `json:"targets"`
	Chosen   []ChosenAnswer `json:"chosen"`
	Plan     PlanAnswer     `json:"plan"`
	Contacts ContactsAnswer `json:"contacts"`
	Papers   []string       `json:"papers"`
}

// Demo writes the invented demo job into a folder that is empty or not there,
// takes it into a workroom file of its own, reads its pictures, approves its
// targets, plans it as of the morning its planning starts, and writes the
// papers. Told is called with one line for each stage; it may be nil.
func Demo(ctx context.Context, folder string, now func() time.Time, told func(string)) (DemoAnswer, error) {
	if told == nil {
		told = func(string) {}
	}
	if err := emptyFolder(folder); err != nil {
		return DemoAnswer{}, err
	}
	if err := os.CopyFS(folder, demo.Files()); err != nil {
		return DemoAnswer{}, fmt.Errorf("write demo: %w", err)
	}
	a := DemoAnswer{Folder: folder, Workroom: filepath.Join(folder, "workroom.db")}
	told("tables and pictures written to " + folder)
	b, err := Open(ctx, a.Workroom, now)
	if err != nil {
		return a, err
	}
	defer b.Close()
	if _, err := b.ImportJob(ctx, os.DirFS(folder)); err != nil {
		return a, err
	}
	told("job taken into " + a.Workroom)
	if a.Targets, err = b.approveAll(ctx, told); err != nil {
		return a, err
	}
	if a.Chosen, err = b.chooseCloth(ctx, told); err != nil {
		return a, err
	}
	if err := b.acceptAll(ctx, told); err != nil {
		return a, err
	}
	w, err := b.work(ctx, time.Time{}, plan.FanAsRoom)
	if err != nil {
		return a, err
	}
	a.Plan = w.answer()
	if a.Contacts, err = b.Contacts(ctx); err != nil {
		return a, err
	}
	told("planned")
	d, err := b.sheetData(ctx, w)
	if err != nil {
		return a, err
	}
	a.Papers, err = writePapers(SheetRequest{
		HTML: filepath.Join(folder, "bench-sheet.html"), PDF: filepath.Join(folder, "bench-sheet.pdf"),
		ICS: filepath.Join(folder, "calendar.ics"), All: filepath.Join(folder, "papers"),
	}, d)
	return a, err
}

// approveAll reads every area from the pictures and freezes its target.
func (b *Bench) approveAll(ctx context.Context, told func(string)) ([]TargetAnswer, error) {
	s, err := b.scene(ctx)
	if err != nil {
		return nil, err
	}
	var answers []TargetAnswer
	for _, area := range s.job.Areas {
		if area.Target.Frozen {
			continue
		}
		t, err := b.Target(ctx, TargetRequest{Area: area.Code, Approve: true})
		if err != nil {
			return nil, err
		}
		answers = append(answers, t)
		told("target of " + area.Code + " " + area.Piece + " approved")
	}
	return answers, nil
}

// ChosenAnswer is what was picked for an area and the runners-up it won over.
type ChosenAnswer struct {
	Area    string      `json:"area"`
	Choice  MatchLine   `json:"choice"`
	Instead []MatchLine `json:"instead_of"`
}

// chooseCloth picks, for every area that is cut from cloth and has no choice,
// the best match nothing speaks against, as a maker would from the list.
func (b *Bench) chooseCloth(ctx context.Context, told func(string)) ([]ChosenAnswer, error) {
	s, err := b.scene(ctx)
	if err != nil {
		return nil, err
	}
	chosen := []ChosenAnswer{}
	for _, area := range s.job.Areas {
		if _, ok := s.job.ChoiceFor(area.Code); ok || area.Method != garment.ByCloth || area.Ground != "" {
			continue
		}
		m, err := b.Match(ctx, MatchRequest{Area: area.Code})
		if err != nil {
			return nil, err
		}
		if len(m.Matches) == 0 || !m.Matches[0].Allowed {
			continue
		}
		if err := b.Choose(ctx, area.Code, []garment.Layer{{Code: m.Matches[0].Code}}); err != nil {
			return nil, err
		}
		chosen = append(chosen, ChosenAnswer{Area: area.Code, Choice: m.Matches[0], Instead: m.Matches[1:]})
		told(area.Code + " " + area.Piece + " is cut from " + m.Matches[0].Code + " " + m.Matches[0].Name)
	}
	return chosen, nil
}

// acceptAll records, for every area still open, what the plan proposes.
func (b *Bench) acceptAll(ctx context.Context, told func(string)) error {
	w, err := b.work(ctx, time.Time{}, plan.FanAsRoom)
	if err != nil {
		return err
	}
	for _, area := range w.job.Areas {
		layers := w.proposal(area.Code)
		if _, ok := w.job.ChoiceFor(area.Code); ok || len(layers) == 0 {
			continue
		}
		if err := b.Choose(ctx, area.Code, layers); err != nil {
			return err
		}
		told(area.Code + " " + area.Piece + " is made with " + LayersText(layers))
	}
	return nil
}

// emptyFolder makes the folder, or wants it empty: a demo never writes over
// anything.
func emptyFolder(folder string) error {
	entries, err := os.ReadDir(folder)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return os.MkdirAll(folder, 0o755)
	case err != nil:
		return fmt.Errorf("write demo: %w", err)
	case len(entries) > 0:
		return &Hinted{Err: fmt.Errorf("write demo: %s is not empty", folder), Try: []string{"undercoat demo another-folder"}}
	}
	return nil
}
