package main

import (
	"context"
	"fmt"
	"io"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"undercoat/finish"
	"undercoat/palette/colour"
)

func newRecipeUseCommand(env *environment) *cobra.Command {
	var amount, step, note string
	cmd := &cobra.Command{
		Use:     "use BATCH --amount '40 g'",
		Short:   "Some of a batch was used: keep how much is left",
		Long:    "use takes a mass from a batch. More than is left is taken too: then the pot wants weighing.\n\nExit status: 0 done; 1 could not; 2 the words were wrong.",
		Example: "  undercoat recipe use 1 --amount '40 g' --step A4-T3-1",
		Args:    words(1, 1),
		RunE: func(cmd *cobra.Command, args []string) error {
			n, err := strconv.ParseInt(args[0], 10, 64)
			if err != nil || amount == "" {
				return wording(cmd, fmt.Errorf("recipe use: expected a batch's number and --amount"))
			}
			return env.workroom(cmd.Context(), func(b *finish.Bench) error {
				a, err := b.UseBatch(cmd.Context(), n, amount, step, note)
				if err != nil {
					return err
				}
				return env.answer(a, func(w io.Writer) error { return printRecipe(w, a) })
			})
		},
	}
	f := cmd.Flags()
	f.StringVar(&amount, "amount", "", "how much was used, such as '40 g' or '35 ml'")
	f.StringVar(&step, "step", "", "the step it was used for")
	f.StringVar(&note, "note", "", "a word on it")
	return cmd
}

type correctOptions struct {
	batch                int64
	amount, seen, target string
	add                  []string
	keep                 bool
}

func newRecipeCorrectCommand(env *environment) *cobra.Command {
	var o correctOptions
	cmd := &cobra.Command{
		Use:   "correct NUMBER --seen COLOUR",
		Short: "A batch came out off: what to add, never what to take away",
		Long: `correct says which one or two additions, of at most as much as there is, bring a batch nearest to its
target: paint out a little of it, let it dry, lay it until it hides, read its colour and give it as --seen.
The batch is taken as it was seen, not as its recipe foresaw it. With --keep the corrected recipe is recorded
under a new number, the additions come off the shelf and the old batch is used up in the new one.

Exit status: 0 done; 1 could not; 2 the words were wrong.`,
		Example: "  undercoat recipe correct 1 --batch 1 --seen 'lab(52 -18 -9)'\n  undercoat recipe correct 1 --amount '95 g' --seen '#5a8f92' --add T1,W1,K1 --keep",
		Args:    words(1, 1),
		RunE: func(cmd *cobra.Command, args []string) error {
			n, err := strconv.ParseInt(args[0], 10, 64)
			if err != nil || o.seen == "" || o.batch == 0 && o.amount == "" {
				return wording(cmd, fmt.Errorf("recipe correct: expected a recipe's number, --seen, and --batch or --amount"))
			}
			return env.workroom(cmd.Context(), func(b *finish.Bench) error { return runCorrect(cmd.Context(), env, b, n, o) })
		},
	}
	f := cmd.Flags()
	f.Int64Var(&o.batch, "batch", 0, "number of the batch that came out off")
	f.StringVar(&o.amount, "amount", "", "how much there is of it, such as '95 g' or '80 ml' (default: what is left of the batch)")
	f.StringVar(&o.seen, "seen", "", "its colour, dry and hiding: #rrggbb, \"lab(L a b)\"")
	f.StringVar(&o.target, "target", "", "the colour wanted (default: the recipe's own)")
	f.StringSliceVar(&o.add, "add", nil, "codes that may be added (default: the recipe's own parts)")
	f.BoolVar(&o.keep, "keep", false, "record the corrected recipe and batch")
	return cmd
}

func runCorrect(ctx context.Context, env *environment, b *finish.Bench, recipe int64, o correctOptions) error {
	req := finish.CorrectRequest{Recipe: recipe, Batch: o.batch, Amount: o.amount, Add: o.add, Keep: o.keep}
	var err error
	if req.Seen, err = colour.Parse(o.seen); err != nil {
		return err
	}
	if o.target != "" {
		if req.Target, err = b.Colour(ctx, o.target); err != nil {
			return err
		}
	}
	a, err := b.Correct(ctx, req)
	if err != nil {
		return err
	}
	return env.answer(a, func(w io.Writer) error { return printCorrection(env, w, a) })
}

func printCorrection(env *environment, w io.Writer, a finish.CorrectAnswer) error {
	fmt.Fprintf(w, "recipe %d  %s, %.1f g\n", a.Recipe, a.Name, a.Mass)
	fmt.Fprintf(w, "  wanted %s%s\n", a.Target.Hex, env.swatch(a.Target.Hex))
	fmt.Fprintf(w, "  seen   %s%s: %s, ΔE00 %.1f\n", a.Seen.Hex, env.swatch(a.Seen.Hex), a.Words, a.Before)
	if len(a.Add) == 0 {
		_, err := fmt.Fprintln(w, "  nothing on offer brings it nearer; offer other paints with --add")
		return err
	}
	printPortions(w, "add", a.Add)
	fmt.Fprintf(w, "  then   %s%s, ΔE00 %.1f (%.1f–%.1f), %.1f g\n", a.Predicted.Hex, env.swatch(a.Predicted.Hex), a.After, a.AfterRange[0], a.AfterRange[1], a.MassAfter)
	fmt.Fprintf(w, "  parts  %s\n", partsText(a.Parts))
	if a.AtLimit {
		fmt.Fprintln(w, "  that is as much again as there was; more is not proposed: a fresh batch may be the better way")
	}
	if a.Rough {
		fmt.Fprintln(w, "  the strength of what is added is not measured: add half of it, stir, paint out, look again (common practice, no source)")
	}
	if a.Kept != nil {
		return printRecipe(w, *a.Kept)
	}
	return nil
}

func newRecipeLabelCommand(env *environment) *cobra.Command {
	var batch int64
	cmd := &cobra.Command{
		Use:     "label NUMBER [--batch N]",
		Short:   "What to write on the pot",
		Long:    "label prints a recipe's label, of one batch with --batch, else of 100 g: what it is, what is in it in grams and drops, what it is for, how it sets, by when to use it, and the hazards its labels state. The products' safety data sheets decide.\n\nExit status: 0 done; 1 could not; 2 the words were wrong.",
		Example: "  undercoat recipe label 1 --batch 1",
		Args:    words(1, 1),
		RunE: func(cmd *cobra.Command, args []string) error {
			n, err := strconv.ParseInt(args[0], 10, 64)
			if err != nil {
				return wording(cmd, fmt.Errorf("recipe label: %q: expected a recipe's number", args[0]))
			}
			return env.workroom(cmd.Context(), func(b *finish.Bench) error {
				a, err := b.Label(cmd.Context(), n, batch)
				if err != nil {
					return err
				}
				return env.answer(a, func(w io.Writer) error { return printLabel(w, a) })
			})
		},
	}
	cmd.Flags().Int64Var(&batch, "batch", 0, "number of the batch")
	return cmd
}

func printLabel(w io.Writer, a finish.LabelAnswer) error {
	head := fmt.Sprintf("RECIPE %d", a.Recipe)
	if a.Batch > 0 {
		head += fmt.Sprintf("  BATCH %d", a.Batch)
	}
	lines := []string{head, a.Name}
	add := func(word, text string) {
		if text != "" {
			lines = append(lines, fmt.Sprintf("%-6s %s", word, text))
		}
	}
	add("for", a.For)
	add("over", a.Over)
	add("coats", a.Coats)
	for _, p := range a.Parts {
		add(p.Code, p.Name+": "+portionText(p))
	}
	if a.Mixed != "" {
		add("mixed", fmt.Sprintf("%s, %.1f g, %.1f g left", when(a.Mixed), a.Made, a.Left))
	}
	add("place", a.Place)
	add("set", strings.Join(a.Set, "; "))
	add("use by", a.UseBy)
	add("hazard", strings.Join(a.Hazards, " "))
	add("", "see each product's safety data sheet")
	width := 0
	for _, l := range lines {
		width = max(width, len([]rune(l)))
	}
	fmt.Fprintf(w, "+%s+\n", strings.Repeat("-", width+2))
	for _, l := range lines {
		fmt.Fprintf(w, "| %s%s |\n", l, strings.Repeat(" ", width-len([]rune(l))))
	}
	_, err := fmt.Fprintf(w, "+%s+\n", strings.Repeat("-", width+2))
	return err
}
