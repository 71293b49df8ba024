package main

import (
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"undercoat/finish"
)

func newContactsCommand(env *environment) *cobra.Command {
	return &cobra.Command{
		Use:   "contacts",
		Short: "May these surfaces touch? Every contact with its verdict and test",
		Long: `contacts gives each contact of the job a verdict from the tests on record: no objection found, with
barrier, treat and retest, keep apart, or not tested with the test to do, which of them first, and the latest
date the plan leaves for it. A test of an earlier batch, or of a state the piece has left, is called stale. What
is better not packed face to face follows from the same tests.

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
		for _, t := range c.Try {
			fmt.Fprintf(w, "    may help: %s\n", t)
		}
		if c.ToDo != "" {
			fmt.Fprintf(w, "    to do: %s%s\n", c.ToDo, whenToTest(c))
		}
	}
	if len(a.Packing) > 0 {
		fmt.Fprintln(w, "\nin the bag")
	}
	for _, p := range a.Packing {
		fmt.Fprintf(w, "  %s off %s: %s; %s\n", p.Area, strings.Join(p.From, ", "), p.How, p.Because)
	}
	return nil
}

// whenToTest says how early a test is to be done, and why.
func whenToTest(c finish.ContactAnswer) string {
	s := ""
	if c.TestBy != "" {
		s += ", by " + c.TestBy
	}
	if c.TestOrder > 0 {
		s += fmt.Sprintf("; %s (%s)", c.TestWords, strings.Join(c.TestWhy, ", "))
	}
	return s
}

func newCautionsCommand(env *environment) *cobra.Command {
	var rules bool
	cmd := &cobra.Command{
		Use:   "cautions",
		Short: "All cautions of the job",
		Long: `cautions lists what must be minded, the heaviest first, each with its source. The product's safety data
sheet, local codes and licensed practice decide; no calculation here clears a hazard. With --rules it lists the
rules themselves, what each looks at and where it comes from.

Exit status: 0 done; 1 could not; 2 the words were wrong.`,
		Example: "  undercoat cautions\n  undercoat cautions --rules",
		Args:    noWords,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if rules {
				a := finish.CautionRules()
				return env.answer(a, func(w io.Writer) error { return printRules(w, a) })
			}
			return env.workroom(cmd.Context(), func(b *finish.Bench) error {
				a, err := b.Cautions(cmd.Context())
				if err != nil {
					return err
				}
				return env.answer(a, func(w io.Writer) error { return printCautions(w, a) })
			})
		},
	}
	cmd.Flags().BoolVar(&rules, "rules", false, "list the rules and their sources instead")
	return cmd
}

func printRules(w io.Writer, rules []finish.RuleAnswer) error {
	t := newTable("rule", "looks at", "source")
	for _, r := range rules {
		t.row(r.Rule, r.Looks, r.Source)
	}
	return t.print(w)
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
