package finish

import (
	"context"
	"io/fs"
	"time"

	"undercoat/finish/garment"
	"undercoat/inventory"
)

// ImportJob reads a job's folder of tables and pictures, all or nothing.
func (b *Bench) ImportJob(ctx context.Context, folder fs.FS) (inventory.Report, error) {
	return b.file.ImportJob(ctx, folder)
}

// ExportJob writes the job's tables and pictures into a folder.
func (b *Bench) ExportJob(ctx context.Context, folder string) error {
	name, err := b.jobName(ctx)
	if err != nil {
		return err
	}
	return b.file.ExportJob(ctx, name, folder)
}

// JobLine is one job in a list.
type JobLine struct {
	Name     string     `json:"name"`
	Areas    int        `json:"areas"`
	Wearers  int        `json:"wearers"`
	HandsOff *time.Time `json:"hands_off,omitempty"`
}

// Jobs lists the jobs of the workroom, by name.
func (b *Bench) Jobs(ctx context.Context) ([]JobLine, error) {
	cards, err := b.file.JobCards(ctx)
	if err != nil {
		return nil, err
	}
	lines := make([]JobLine, 0, len(cards))
	for _, c := range cards {
		l := JobLine{Name: c.Name, Areas: c.Areas, Wearers: c.Wearers}
		if t, ok := c.HandsOff.Get(); ok {
			local := t.In(c.Zone)
			l.HandsOff = &local
		}
		lines = append(lines, l)
	}
	return lines, nil
}

func jobLine(j garment.Job) JobLine {
	l := JobLine{Name: j.Name, Areas: len(j.Areas), Wearers: len(j.Wearers)}
	if t, ok := j.HandsOff.Get(); ok {
		local := t.In(j.Zone)
		l.HandsOff = &local
	}
	return l
}

// JobAnswer is a job in full, as `job show` prints it.
type JobAnswer struct {
	JobLine
	Version int64      `json:"version"`
	List    []AreaLine `json:"area_list"`
}

// AreaLine is one area in a list.
type AreaLine struct {
	Code      string  `json:"code"`
	Piece     string  `json:"piece"`
	Method    string  `json:"method"`
	Target    *Swatch `json:"target,omitempty"`
	Words     string  `json:"words,omitempty"`
	Frozen    bool    `json:"frozen"`
	Tolerance float64 `json:"tolerance"`
	ClothM2   float64 `json:"cloth_m2"`
	PaintedM2 float64 `json:"painted_m2"`
	Ground    string  `json:"ground"`
	Choice    string  `json:"choice"`
}

// Job shows the job.
func (b *Bench) Job(ctx context.Context) (JobAnswer, error) {
	s, err := b.scene(ctx)
	if err != nil {
		return JobAnswer{}, err
	}
	a := JobAnswer{JobLine: jobLine(s.job), Version: s.job.Version}
	for _, area := range s.job.Areas {
		a.List = append(a.List, areaLine(s.job, area))
	}
	return a, nil
}

func areaLine(j garment.Job, a garment.Area) AreaLine {
	l := AreaLine{
		Code: a.Code, Piece: a.Piece, Method: string(a.Method), Frozen: a.Target.Frozen, Tolerance: a.Tolerance,
		ClothM2: float64(a.Cloth), PaintedM2: float64(a.Painted), Ground: a.Ground,
	}
	if a.Target.Known() {
		sw := swatch(a.Target.Colour.Lab())
		l.Target, l.Words = &sw, targetWords(a.Target)
	}
	layers, _ := j.ChoiceFor(a.Code)
	l.Choice = LayersText(layers)
	return l
}

// Backup writes a consistent copy of the workroom file, also while it is in
// use.
func (b *Bench) Backup(ctx context.Context, path string) error { return b.file.Backup(ctx, path) }

// Check reads every row of the workroom file and explains what it finds.
func (b *Bench) Check(ctx context.Context) ([]inventory.Finding, error) { return b.file.Check(ctx) }
