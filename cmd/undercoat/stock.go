package main

import (
	"fmt"
	"io"
	"sort"
	"strings"
	"unicode"

	"github.com/spf13/cobra"

	"undercoat/finish"
	"undercoat/inventory"
)

func newStockCommand(env *environment) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "stock",
		Short: "The shelf: add, list, show, import, export, count, use, measure",
		Long:  "stock keeps the shelf: paints, sealers, treatments, dyes, cloths and trims, each with what is stated of it and every movement of its amount.",
		Args:  noWords,
		RunE:  func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
	}
	cmd.AddCommand(newStockListCommand(env), newStockShowCommand(env), newStockAddCommand(env), newStockImportCommand(env), newStockExportCommand(env),
		newStockMoveCommand(env, "count", "What is on hand now", "  undercoat stock count W1 '120 ml'"),
		newStockMoveCommand(env, "use", "Something was used", "  undercoat stock use W1 '30 ml' --note 'swatches'"),
		newStockMoveCommand(env, "buy", "Something was bought", "  undercoat stock buy W1 '150 ml'"),
		newStockMoveCommand(env, "discard", "Something was thrown away", "  undercoat stock discard W1 '20 ml' --note 'dried up'"),
		newStockMeasureCommand(env))
	return cmd
}

func newStockListCommand(env *environment) *cobra.Command {
	var f finish.StockFilter
	cmd := &cobra.Command{
		Use:     "list",
		Short:   "The shelf, by code or nearest to a colour",
		Long:    "list shows the shelf. --near puts the lines nearest to a colour first.\n\nExit status: 0 done; 1 could not; 2 the words were wrong.",
		Example: "  undercoat stock list --kind cloth\n  undercoat stock list --near '#6C7176' --top 5",
		Args:    noWords,
		RunE: func(cmd *cobra.Command, _ []string) error {
			return env.workroom(cmd.Context(), func(b *finish.Bench) error {
				lines, err := b.Stock(cmd.Context(), f)
				if err != nil {
					return err
				}
				return env.answer(lines, func(w io.Writer) error { return printStock(env, w, lines) })
			})
		},
	}
	fl := cmd.Flags()
	fl.StringVar(&f.Text, "find", "", "only lines with this in code, name, medium or note")
	fl.StringSliceVar(&f.Kinds, "kind", nil, "only these kinds: paint, sealer, treatment, dye, cloth, trim")
	fl.StringVar(&f.Near, "near", "", "nearest to this colour first")
	fl.IntVar(&f.Top, "top", 0, "show at most this many")
	return cmd
}

func printStock(env *environment, w io.Writer, lines []finish.StockLine) error {
	if len(lines) == 0 {
		_, err := fmt.Fprintln(w, "nothing on the shelf answers this")
		return err
	}
	t := newTable("code", "name", "kind", "colour", ">left", "pack", ">price", "note", "")
	for _, l := range lines {
		hex, words := "", "not known"
		if l.Swatch != nil {
			hex, words = l.Swatch.Hex, l.Words
		}
		note := ""
		if l.Expired {
			note = "expired " + l.Expires
		}
		t.row(l.Code, l.Name, l.Kind, words, l.OnHand, l.Pack, costText(l.Price), note, env.swatch(hex))
	}
	return t.print(w)
}

func newStockShowCommand(env *environment) *cobra.Command {
	return &cobra.Command{
		Use:     "show CODE",
		Short:   "One line of the shelf, and how its amount came about",
		Long:    "show prints everything stated of one stock line and every movement of its amount.\n\nExit status: 0 done; 1 could not; 2 the words were wrong.",
		Example: "  undercoat stock show W1",
		Args:    words(1, 1),
		RunE: func(cmd *cobra.Command, args []string) error {
			return env.workroom(cmd.Context(), func(b *finish.Bench) error {
				s, err := b.StockItem(cmd.Context(), args[0])
				if err != nil {
					return err
				}
				return env.answer(s, func(w io.Writer) error { return printStockItem(env, w, s) })
			})
		},
	}
}

func printStockItem(env *environment, w io.Writer, s finish.StockShow) error {
	hex := ""
	if s.Swatch != nil {
		hex = s.Swatch.Hex
	}
	fmt.Fprintf(w, "%s %s: %s %s (%s)%s\n", s.Code, s.Name, s.Words, hex, s.Basis, env.swatch(hex))
	var keys []string
	for k := range s.Columns {
		keys = append(keys, k)
	}
	sort.Strings(keys)
	for _, k := range keys {
		if s.Columns[k] != "" {
			fmt.Fprintf(w, "  %-18s %s\n", k, s.Columns[k])
		}
	}
	fmt.Fprintf(w, "left for new work: %s\n", s.OnHand)
	t := newTable("when", "what", ">amount", ">then", "job", "step", "note")
	for _, m := range s.Movements {
		t.row(when(m.At), m.What, fmt.Sprintf("%+g %s", m.Amount, m.Unit), fmt.Sprintf("%g", m.OnHand), m.Job, m.Step, m.Note)
	}
	return t.print(w)
}

func newStockAddCommand(env *environment) *cobra.Command {
	var sets []string
	var kind, hex, onHand, pack, price string
	cmd := &cobra.Command{
		Use:   "add CODE NAME",
		Short: "Put a new line on the shelf",
		Long: `add puts a new line on the shelf. Any column of stock.csv can be given with --set column=value; what is not
given is a stated unknown.

Exit status: 0 done; 1 could not; 2 the words were wrong.`,
		Example: "  undercoat stock add W9 'Chalk white' --kind paint --colour '#F4F3EF' --on-hand '120 ml' --set hiding_black=0.72 --set hiding_white=0.72",
		Args:    words(2, 2),
		RunE: func(cmd *cobra.Command, args []string) error {
			columns := map[string]string{"code": args[0], "name": args[1], "kind": kind}
			given := map[string]string{"colour": hex, "price": price}
			given["on_hand"], given["unit"] = cutUnit(onHand)
			given["pack"], _ = cutUnit(pack)
			for k, v := range given {
				if v != "" {
					columns[k] = v
				}
			}
			for _, s := range sets {
				k, v, ok := strings.Cut(s, "=")
				if !ok {
					return wording(cmd, fmt.Errorf("--set %q: expected column=value", s))
				}
				columns[strings.TrimSpace(k)] = strings.TrimSpace(v)
			}
			return env.workroom(cmd.Context(), func(b *finish.Bench) error {
				if err := b.AddStock(cmd.Context(), columns); err != nil {
					return fmt.Errorf("add %s to the shelf: %w", args[0], err)
				}
				env.say("%s is on the shelf", args[0])
				return nil
			})
		},
	}
	f := cmd.Flags()
	f.StringVar(&kind, "kind", "paint", "paint, sealer, treatment, dye, cloth or trim")
	f.StringVar(&hex, "colour", "", "its colour: #rrggbb or \"lab(L a b)\"")
	f.StringVar(&onHand, "on-hand", "", "how much is there, such as '120 ml'")
	f.StringVar(&pack, "pack", "", "size of a pack, in the same unit")
	f.StringVar(&price, "price", "", "price of a pack")
	f.StringArrayVar(&sets, "set", nil, "column=value of stock.csv; more than one may be given")
	return cmd
}

// cutUnit cuts "120 ml" or "120ml" into its number and its unit.
func cutUnit(s string) (number, unit string) {
	s = strings.TrimSpace(s)
	i := strings.IndexFunc(s, func(r rune) bool { return r == ' ' || unicode.IsLetter(r) })
	if i < 0 {
		return s, ""
	}
	return s[:i], strings.TrimSpace(s[i:])
}

func newStockImportCommand(env *environment) *cobra.Command {
	return &cobra.Command{
		Use:     "import FOLDER",
		Short:   "Take in stock.csv and measures.csv, all or nothing",
		Long:    "import reads stock.csv, and measures.csv where it is there, from FOLDER. If any cell is bad nothing is taken, and every bad cell is named.\n\nExit status: 0 done; 1 could not; 2 the words were wrong.",
		Example: "  undercoat stock import tables",
		Args:    words(1, 1),
		RunE: func(cmd *cobra.Command, args []string) error {
			from, err := folder(args[0])
			if err != nil {
				return err
			}
			return env.workroom(cmd.Context(), func(b *finish.Bench) error {
				r, err := b.ImportStock(cmd.Context(), from)
				if err != nil {
					return err
				}
				return env.answer(r, func(w io.Writer) error { return printReport(env, w, "the shelf", r) })
			})
		},
	}
}

func newStockExportCommand(env *environment) *cobra.Command {
	return &cobra.Command{
		Use:     "export FOLDER",
		Short:   "Write the shelf as stock.csv and measures.csv",
		Long:    "export writes the whole shelf into FOLDER, the form that import reads.\n\nExit status: 0 done; 1 could not; 2 the words were wrong.",
		Example: "  undercoat stock export tables",
		Args:    words(1, 1),
		RunE: func(cmd *cobra.Command, args []string) error {
			return env.workroom(cmd.Context(), func(b *finish.Bench) error {
				if err := b.ExportStock(cmd.Context(), args[0]); err != nil {
					return err
				}
				env.say("written to %s", args[0])
				return nil
			})
		},
	}
}

func newStockMoveCommand(env *environment, verb, short, example string) *cobra.Command {
	var note string
	cmd := &cobra.Command{
		Use:     verb + " CODE AMOUNT",
		Short:   short,
		Long:    short + ": the movement is kept, so that the amount can always be explained.\n\nExit status: 0 done; 1 could not; 2 the words were wrong.",
		Example: example,
		Args:    words(2, 2),
		RunE: func(cmd *cobra.Command, args []string) error {
			return env.workroom(cmd.Context(), func(b *finish.Bench) error {
				if err := b.MoveStock(cmd.Context(), verb, args[0], args[1], note); err != nil {
					return err
				}
				s, err := b.StockItem(cmd.Context(), args[0])
				if err != nil {
					return err
				}
				return env.answer(s, func(w io.Writer) error {
					_, err := fmt.Fprintf(w, "%s: %s left for new work\n", s.Code, s.OnHand)
					return err
				})
			})
		},
	}
	cmd.Flags().StringVar(&note, "note", "", "a word on it")
	return cmd
}

// printReport says what an import took, and what it kept or left alone.
func printReport(env *environment, w io.Writer, what string, r inventory.Report) error {
	for _, said := range [][]string{r.Warnings, r.Changed, r.Kept} {
		for _, n := range said {
			env.say("%s", n)
		}
	}
	for _, u := range r.Unknown {
		env.say("kept, but not understood: %s", u)
	}
	for _, u := range r.Left {
		env.say("left alone: %s", u)
	}
	var parts []string
	for _, c := range r.Rows {
		if c.Rows > 0 {
			parts = append(parts, fmt.Sprintf("%d of %s", c.Rows, c.File))
		}
	}
	_, err := fmt.Fprintf(w, "took in %s: %s\n", what, strings.Join(parts, ", "))
	return err
}
