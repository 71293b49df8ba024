package main

import (
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"undercoat/finish"
)

func newContactsCommand(env *environment) *cobra.Command {
	return &cobra.Command{
		Use:   "contacts",
		Short: "May these surfaces touch? Every contact with its verdict and test",
		Long: `contacts gives each contact of the job a verdict from the tests on record: no objection found, with
barrier, treat and retest, keep apart, or not tested with the test to do.

Exit status: 0 done; 1 could not; 2 the words were wrong.`,
		Example: "  undercoat contacts",
		Args:    noWords,
		RunE: func(cmd *cobra.Command, _ []string) error {
			return env.workroom(cmd.Context(), func(b *finish.Bench) error {
				a, err := b.Contacts(cmd.Context())
				if err != nil {
					return err
				}
				return env.answer(a, func(w io.Writer) error { return printContacts(w, a) })
			})
		},
	}
}

func printContacts(w io.Writer, a finish.ContactsAnswer) error {
	if len(a.Contacts) == 0 {
		_, err := fmt.Fprintln(w, "no contacts are stated: contacts.csv says what touches what")
		return err
	}
	for _, c := range a.Contacts {
		damp := "dry"
		if c.Damp {
			damp = "damp or warm"
		}
		fmt.Fprintf(w, "%s  %s on %s (rubbing %s, %s, %g h): %s\n    %s\n", c.Code, c.From, c.To, c.Rubbing, damp, c.Hours, c.Verdict, c.Because)
		if c.ToDo != "" {
			fmt.Fprintf(w, "    to do: %s\n", c.ToDo)
		}
	}
	return nil
}

func newCautionsCommand(env *environment) *cobra.Command {
	return &cobra.Command{
		Use:   "cautions",
		Short: "All cautions of the job",
		Long: `cautions lists what must be minded, the heaviest first, each with its source. The product's safety data
sheet, local codes and licensed practice decide; no calculation here clears a hazard.

Exit status: 0 done; 1 could not; 2 the words were wrong.`,
		Example: "  undercoat cautions",
		Args:    noWords,
		RunE: func(cmd *cobra.Command, _ []string) error {
			return env.workroom(cmd.Context(), func(b *finish.Bench) error {
				a, err := b.Cautions(cmd.Context())
				if err != nil {
					return err
				}
				return env.answer(a, func(w io.Writer) error { return printCautions(w, a) })
			})
		},
	}
}

func printCautions(w io.Writer, cs []finish.CautionAnswer) error {
	for _, c := range cs {
		fmt.Fprintf(w, "%-5s %s: %s\n      (%s)\n", c.Weight, c.Subject, c.Text, c.Source)
	}
	if len(cs) == 0 {
		_, err := fmt.Fprintln(w, "no caution applies to what is stated; the safety data sheets decide")
		return err
	}
	return nil
}
