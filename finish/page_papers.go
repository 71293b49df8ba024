package finish

import (
	"context"
	"fmt"
	"io"

	"undercoat/finish/plan"
	"undercoat/finish/sheet"
)

// Paper is one paper of a job, to be opened or taken away.
type Paper struct {
	File string // "bench-sheet.html"
	Type string // media type
	What string // in words

	print func(io.Writer, sheet.Data) error
}

// Papers lists what can be printed.
func Papers() []Paper {
	papers := []Paper{
		{"bench-sheet.html", "text/html; charset=utf-8", "the bench sheet, to print from this browser; the form for screen readers", sheet.HTML},
		{"bench-sheet-a4.pdf", "application/pdf", "the bench sheet as pages of A4", func(w io.Writer, d sheet.Data) error { return sheet.PDF(w, d, sheet.A4) }},
		{"bench-sheet-letter.pdf", "application/pdf", "the bench sheet as pages of Letter", func(w io.Writer, d sheet.Data) error { return sheet.PDF(w, d, sheet.Letter) }},
		{"calendar.ics", "text/calendar; charset=utf-8", "steps, drying and hands-off for a calendar", sheet.ICS},
	}
	for _, t := range sheet.Tables() {
		papers = append(papers, Paper{t.File, "text/csv; charset=utf-8", "a table for a spreadsheet", func(w io.Writer, d sheet.Data) error { return t.Write(w, d) }})
	}
	return papers
}

// Paper prints one paper of a job by its file's name.
func (d *Desk) Paper(ctx context.Context, job, file string, out io.Writer) error {
	for _, p := range Papers() {
		if p.File != file {
			continue
		}
		w, trouble, err := d.work(ctx, job, plan.FanAsRoom, true)
		if err != nil {
			return err
		}
		if trouble != nil {
			return trouble
		}
		return p.print(out, w.sheetData())
	}
	return fmt.Errorf("print paper: %s: there is none of that name", file)
}
