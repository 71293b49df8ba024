package finish

import (
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"time"

	"undercoat/finish/plan"
	"undercoat/finish/sheet"
	"undercoat/inventory"
)

// SheetRequest names what is wanted: paths of files for one paper, of the
// calendar file, and folders for the tables and for everything. Empty ones are
// not written.
type SheetRequest struct {
	Paper     string // which one HTML and PDF print, by [sheet.Leaf]'s word; "" is the bench sheet
	HTML, PDF string
	Size      string // of the PDFs: A4 or Letter; "" is A4
	ICS       string
	CSV       string
	All       string // every paper as HTML and PDF, the calendar file and the tables
}

// Wants reports whether anything is to be written.
func (r SheetRequest) Wants() bool { return r.HTML+r.PDF+r.ICS+r.CSV+r.All != "" }

// Check reports the first word of the request that names nothing.
func (r SheetRequest) Check() error {
	if _, err := sheet.ParsePaper(r.Size); err != nil {
		return err
	}
	_, err := r.leaf()
	return err
}

func (r SheetRequest) leaf() (sheet.Leaf, error) {
	if r.Paper == "" {
		return sheet.Leaves()[0], nil
	}
	return sheet.LeafNamed(r.Paper)
}

// Sheet writes the papers of the job and returns the paths it wrote. Each file
// is written whole or not at all: a reader never sees half of one.
func (b *Bench) Sheet(ctx context.Context, req SheetRequest) ([]string, error) {
	if err := req.Check(); err != nil {
		return nil, err
	}
	w, err := b.work(ctx, time.Time{}, plan.FanAsRoom)
	if err != nil {
		return nil, err
	}
	d, err := b.sheetData(ctx, w)
	if err != nil {
		return nil, err
	}
	return writePapers(req, d)
}

// printing is one file to be written.
type printing struct {
	path  string
	print func(io.Writer, sheet.Data) error
}

// printings are the files of a request, in the order they are written.
func (r SheetRequest) printings() ([]printing, error) {
	leaf, err := r.leaf()
	if err != nil {
		return nil, err
	}
	size, err := sheet.ParsePaper(r.Size)
	if err != nil {
		return nil, err
	}
	all := []printing{{r.HTML, leaf.HTML}, {r.PDF, pagesOf(leaf, size)}, {r.ICS, sheet.ICS}}
	if r.CSV != "" {
		for _, t := range sheet.Tables() {
			all = append(all, printing{filepath.Join(r.CSV, t.File), t.Write})
		}
	}
	if r.All != "" {
		for _, l := range sheet.Leaves() {
			all = append(all, printing{filepath.Join(r.All, l.Word+".html"), l.HTML}, printing{filepath.Join(r.All, l.Word+".pdf"), pagesOf(l, size)})
		}
		all = append(all, printing{filepath.Join(r.All, "calendar.ics"), sheet.ICS})
		for _, t := range sheet.Tables() {
			all = append(all, printing{filepath.Join(r.All, t.File), t.Write})
		}
	}
	return slices.DeleteFunc(all, func(p printing) bool { return p.path == "" }), nil
}

// pagesOf prints a paper as pages of one size.
func pagesOf(l sheet.Leaf, size sheet.Paper) func(io.Writer, sheet.Data) error {
	return func(o io.Writer, d sheet.Data) error { return l.PDF(o, d, size) }
}

func writePapers(req SheetRequest, d sheet.Data) ([]string, error) {
	all, err := req.printings()
	if err != nil {
		return nil, err
	}
	for _, folder := range []string{req.CSV, req.All} {
		if folder == "" {
			continue
		}
		if err := os.MkdirAll(folder, 0o755); err != nil {
			return nil, fmt.Errorf("write papers: %w", err)
		}
	}
	var written []string
	for _, p := range all {
		if err := writeWhole(p.path, func(o io.Writer) error { return p.print(o, d) }); err != nil {
			return written, fmt.Errorf("write paper: %w", err)
		}
		written = append(written, p.path)
	}
	return written, nil
}

// sheetData is what the papers print: a computed job, with the recipes that
// were kept for it or for none, and their batches.
func (b *Bench) sheetData(ctx context.Context, w work) (sheet.Data, error) {
	d := sheet.Data{Job: w.job, Stock: w.stock, Plan: w.plan, Cautions: w.cautions, Verdicts: w.verdicts, Apart: w.apart, Tests: w.tests}
	recipes, err := b.file.Recipes(ctx)
	if err != nil {
		return d, err
	}
	batches, err := b.file.Batches(ctx)
	if err != nil {
		return d, err
	}
	for _, r := range recipes {
		if r.Job == "" || r.Job == w.facts.Job.Name {
			d.Recipes = append(d.Recipes, r)
		}
	}
	for _, m := range batches {
		if slices.ContainsFunc(d.Recipes, func(r inventory.RecipeFact) bool { return r.Number == m.Recipe }) {
			d.Batches = append(d.Batches, m)
		}
	}
	return d, nil
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
