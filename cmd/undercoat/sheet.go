package main

import (
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"undercoat/finish"
	"undercoat/finish/sheet"
)

func newSheetCommand(env *environment) *cobra.Command {
	var req finish.SheetRequest
	cmd := &cobra.Command{
		Use:   "sheet [PAPER]",
		Short: "The papers: bench sheet, swatches, recipes, labels, rub tests, calendar, lists",
		Long: `sheet writes one paper of the job as HTML (prints on A4 and on Letter, and is the form for screen readers) or as
PDF; the calendar as iCalendar; the tables (shopping, steps, cloth, contacts) as CSV into a folder; or, with --all,
all of it into a folder. PAPER is the bench sheet where none is named:

` + leafList() + `
A PDF holds Latin, Greek and Cyrillic; what its font lacks is printed as � and named at its end.

Exit status: 0 done; 1 could not; 2 the words were wrong.`,
		Example:   "  undercoat sheet --html bench-sheet.html --pdf bench-sheet.pdf\n  undercoat sheet swatches --pdf swatches.pdf --size Letter\n  undercoat sheet --all papers",
		Args:      words(0, 1),
		ValidArgs: leafWords(),
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) > 0 {
				req.Paper = args[0]
			}
			if !req.Wants() {
				return wording(cmd, fmt.Errorf("sheet: expected at least one of --html, --pdf, --ics, --csv, --all"))
			}
			if err := req.Check(); err != nil {
				return wording(cmd, err)
			}
			return env.workroom(cmd.Context(), func(b *finish.Bench) error {
				written, err := b.Sheet(cmd.Context(), req)
				if err != nil {
					return err
				}
				return env.answer(written, func(w io.Writer) error {
					_, err := fmt.Fprintln(w, strings.Join(written, "\n"))
					return err
				})
			})
		},
	}
	f := cmd.Flags()
	f.StringVar(&req.HTML, "html", "", "write the paper as HTML to this file")
	f.StringVar(&req.PDF, "pdf", "", "write the paper as PDF to this file")
	f.StringVar(&req.Size, "size", "A4", "size of the PDF's pages: A4 or Letter")
	f.StringVar(&req.ICS, "ics", "", "write the calendar to this file")
	f.StringVar(&req.CSV, "csv", "", "write the tables into this folder")
	f.StringVar(&req.All, "all", "", "write every paper as HTML and PDF, the calendar and the tables into this folder")
	return cmd
}

// leafList is the papers with what they are for, one a line.
func leafList() string {
	var b strings.Builder
	for _, l := range sheet.Leaves() {
		fmt.Fprintf(&b, "  %-14s %s\n", l.Word, l.What)
	}
	return b.String()
}

func leafWords() []string {
	var words []string
	for _, l := range sheet.Leaves() {
		words = append(words, l.Word)
	}
	return words
}
