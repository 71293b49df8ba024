package finish

import (
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"time"

	"undercoat/finish/plan"
	"undercoat/finish/sheet"
)

// SheetRequest names the papers wanted: paths of files, and a folder for the
// tables. Empty ones are not written.
type SheetRequest struct {
	HTML, ICS string
	CSV       string
}

// Sheet writes the papers of the job. Each file is written whole or not at
// all: a reader never sees half of one.
func (b *Bench) Sheet(ctx context.Context, req SheetRequest) ([]string, error) {
	w, err := b.work(ctx, time.Time{}, plan.FanAsRoom)
	if err != nil {
		return nil, err
	}
	return w.papers(req)
}

func (w work) papers(req SheetRequest) ([]string, error) {
	d := w.sheetData()
	papers := []struct {
		path  string
		print func(io.Writer) error
	}{
		{req.HTML, func(o io.Writer) error { return sheet.HTML(o, d) }},
		{req.ICS, func(o io.Writer) error { return sheet.ICS(o, d) }},
	}
	if req.CSV != "" {
		if err := os.MkdirAll(req.CSV, 0o755); err != nil {
			return nil, fmt.Errorf("write tables: %w", err)
		}
		for _, t := range sheet.Tables() {
			papers = append(papers, struct {
				path  string
				print func(io.Writer) error
			}{filepath.Join(req.CSV, t.File), func(o io.Writer) error { return t.Write(o, d) }})
		}
	}
	var written []string
	for _, p := range papers {
		if p.path == "" {
			continue
		}
		if err := writeWhole(p.path, p.print); err != nil {
			return written, fmt.Errorf("write paper: %w", err)
		}
		written = append(written, p.path)
	}
	return written, nil
}

// sheetData is what the papers print.
func (w work) sheetData() sheet.Data {
	return sheet.Data{Job: w.job, Stock: w.stock, Plan: w.plan, Cautions: w.cautions, Verdicts: w.verdicts}
}

// writeWhole writes a file beside its place and moves it there when it is
// whole.
func writeWhole(path string, print func(io.Writer) error) error {
	f, err := os.CreateTemp(filepath.Dir(path), "."+filepath.Base(path)+".*")
	if err != nil {
		return err
	}
	defer os.Remove(f.Name()) // after the move there is nothing of that name
	if err := print(f); err != nil {
		f.Close()
		return err
	}
	if err := f.Chmod(0o644); err != nil {
		f.Close()
		return err
	}
	if err := f.Sync(); err != nil {
		f.Close()
		return err
	}
	if err := f.Close(); err != nil {
		return err
	}
	return os.Rename(f.Name(), path)
}
