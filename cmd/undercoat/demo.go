package main

import (
	"fmt"
	"io"
	"path/filepath"

	"github.com/spf13/cobra"

	"undercoat/finish"
)

func newDemoCommand(env *environment) *cobra.Command {
	return &cobra.Command{
		Use:   "demo [FOLDER]",
		Short: "The whole job on an invented example, from pictures to bench sheet",
		Long: `demo writes an invented job (tables and four pictures) into FOLDER, takes it into a workroom file there,
reads the pictures, approves the targets, plans coats, amounts, order and dates, and writes the bench
sheet, the calendar and the shopping list. FOLDER must be empty or new; it is undercoat-demo where none is given.

Exit status: 0 done; 1 could not; 2 the words were wrong.`,
		Example: "  undercoat demo demo",
		Args:    words(0, 1),
		RunE: func(cmd *cobra.Command, args []string) error {
			folder := "undercoat-demo"
			if len(args) > 0 {
				folder = args[0]
			}
			a, err := finish.Demo(cmd.Context(), folder, env.now, func(s string) { env.say("%s", s) })
			if err != nil {
				return err
			}
			return env.answer(a, func(w io.Writer) error { return printDemo(w, a) })
		},
	}
}

func printDemo(w io.Writer, a finish.DemoAnswer) error {
	fmt.Fprintln(w, "What the pictures show")
	for _, t := range a.Targets {
		says := t.Says
		if says == "" {
			says = "no picture shows it"
		}
		hex := ""
		if t.Target != nil {
			hex = t.Target.Hex
		}
		fmt.Fprintf(w, "  %s %s: %s; approved %s (%s)\n", t.Area, t.Piece, says, hex, t.Words)
	}
	fmt.Fprintln(w, "\nWhat to do")
	for _, l := range a.Plan.Areas {
		fmt.Fprintf(w, "  %s %s:", l.Code, l.Piece)
		for i, y := range l.Layers {
			sep := ","
			if i == 0 {
				sep = ""
			}
			fmt.Fprintf(w, "%s %s", sep, layerText(y))
		}
		fmt.Fprintf(w, "; begin by %s\n", whenOr(l.LatestStart))
	}
	printDates(w, a.Plan)
	printShopping(w, a.Plan)
	fmt.Fprintln(w, "\nWhat may touch")
	for _, c := range a.Contacts.Contacts {
		fmt.Fprintf(w, "  %s %s on %s: %s\n", c.Code, c.From, c.To, c.Verdict)
	}
	fmt.Fprintf(w, "\n%d refusals and %d cautions are in the papers.\n\nOpen next\n", len(a.Plan.Refusals), len(a.Plan.Cautions))
	papers := 0
	for _, p := range a.Papers {
		if filepath.Dir(p) == filepath.Clean(a.Folder) {
			fmt.Fprintf(w, "  %s\n", p)
		} else {
			papers++
		}
	}
	fmt.Fprintf(w, "  %s: all papers as pages and PDF, and the tables, %d files\n", filepath.Join(a.Folder, "papers"), papers)
	_, err := fmt.Fprintf(w, "  undercoat --file %s plan\n  undercoat --file %s serve\n", a.Workroom, a.Workroom)
	return err
}
