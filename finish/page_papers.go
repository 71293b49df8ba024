package finish

import (
	"context"
	"fmt"
	"io"
	"strings"

	"undercoat/finish/plan"
	"undercoat/finish/sheet"
)

// Paper is one paper of a job, to be opened or taken away.
type Paper struct {
	File string // "bench-sheet.html"
	Type string // media type
	What string // in words

	// Title is what the paper is ("Bench sheet") and Form how it comes ("page",
	// "PDF, A4"): the forms of one paper stand one after the other.
	Title, Form string

	print func(io.Writer, sheet.Data) error
}

// Papers lists what can be printed, the forms of one paper together.
func Papers() []Paper {
	const page, pdf = "text/html; charset=utf-8", "application/pdf"
	var papers []Paper
	for _, l := range sheet.Leaves() {
		papers = append(papers,
			Paper{l.Word + ".html", page, l.What + "; the form for screen readers, prints from the browser", l.Title, "page", l.HTML},
			Paper{l.Word + "-a4.pdf", pdf, l.What, l.Title, "PDF, A4", pagesOf(l, sheet.A4)},
			Paper{l.Word + "-letter.pdf", pdf, l.What, l.Title, "PDF, Letter", pagesOf(l, sheet.Letter)},
		)
	}
	papers = append(papers, Paper{"calendar.ics", "text/calendar; charset=utf-8", "steps, drying and hands-off for a calendar", "Calendar file", "iCalendar", sheet.ICS})
	for _, t := range sheet.Tables() {
		papers = append(papers, Paper{t.File, "text/csv; charset=utf-8", "a table for a spreadsheet", "Tables", strings.TrimSuffix(t.File, ".csv") + ", CSV", t.Write})
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
		data, err := d.Bench(job).sheetData(ctx, w)
		if err != nil {
			return err
		}
		return p.print(out, data)
	}
	return fmt.Errorf("print paper: %s: there is none of that name", file)
}
