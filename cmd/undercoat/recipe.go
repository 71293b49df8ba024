package main

import (
	"fmt"
	"io"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"undercoat/finish"
)

func newRecipeCommand(env *environment) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "recipe",
		Short: "Numbered recipes, their batches, and labels",
		Long:  "recipe keeps mixtures and stacks as numbered recipes, scales them to an amount, records each mixing with what is left, says what to add to a mixture that came out off, and prints a label for the pot.",
		Args:  noWords,
		RunE:  func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
	}
	cmd.AddCommand(newRecipeSaveCommand(env), newRecipeListCommand(env), newRecipeShowCommand(env), newRecipeBatchCommand(env),
		newRecipeUseCommand(env), newRecipeCorrectCommand(env), newRecipeLabelCommand(env))
	return cmd
}

func newRecipeSaveCommand(env *environment) *cobra.Command {
	var e finish.RecipeEntry
	cmd := &cobra.Command{
		Use:     "save NAME",
		Short:   "Keep a mixture or a stack as a numbered recipe",
		Long:    "save keeps parts by mass, or coats from the ground up, under the next number. A recipe is never changed: a correction is a new one.\n\nExit status: 0 done; 1 could not; 2 the words were wrong.",
		Example: "  undercoat recipe save 'tunic teal' --parts T3:5,W2:1 --target '#2C7C82'\n  undercoat recipe save 'coral sash' --coats W3:1,W1:3,F1:3 --ground C7",
		Args:    words(1, 1),
		RunE: func(cmd *cobra.Command, args []string) error {
			e.Name = args[0]
			if e.Parts == "" && e.Coats == "" {
				return wording(cmd, fmt.Errorf("recipe save: expected --parts or --coats"))
			}
			return env.workroom(cmd.Context(), func(b *finish.Bench) error {
				a, err := b.SaveRecipe(cmd.Context(), e)
				if err != nil {
					return err
				}
				return env.answer(a, func(w io.Writer) error { return printRecipe(w, a) })
			})
		},
	}
	f := cmd.Flags()
	f.StringVar(&e.Parts, "parts", "", "parts by mass, CODE:n,CODE:n")
	f.StringVar(&e.Coats, "coats", "", "coats from the ground up, CODE:n,CODE:n")
	f.StringVar(&e.Target, "target", "", "the colour it was made for")
	f.StringVar(&e.Ground, "ground", "", "stock code of the ground")
	f.StringVar(&e.Area, "area", "", "the area it was made for")
	f.StringVar(&e.Note, "note", "", "a word on it")
	return cmd
}

func newRecipeListCommand(env *environment) *cobra.Command {
	return &cobra.Command{
		Use:     "list",
		Short:   "All recipes by number",
		Long:    "list shows every recipe.\n\nExit status: 0 done; 1 could not; 2 the words were wrong.",
		Example: "  undercoat recipe list",
		Args:    noWords,
		RunE: func(cmd *cobra.Command, _ []string) error {
			return env.workroom(cmd.Context(), func(b *finish.Bench) error {
				all, err := b.Recipes(cmd.Context())
				if err != nil {
					return err
				}
				return env.answer(all, func(w io.Writer) error {
					t := newTable(">no.", "name", "parts", "coats", "for")
					for _, r := range all {
						t.row(fmt.Sprint(r.Number), r.Name, partsText(r.Parts), r.Coats, strings.TrimSpace(r.Area+" "+r.Target))
					}
					return t.print(w)
				})
			})
		},
	}
}

func newRecipeShowCommand(env *environment) *cobra.Command {
	var amount string
	cmd := &cobra.Command{
		Use:     "show NUMBER",
		Short:   "One recipe, scaled to an amount, with its batches",
		Long:    "show prints a recipe and its batches; --amount scales it, by mass or by volume: grams, millilitres and drops of 0.05 ml. Where the stock line states no density (column density_g_ml) 1.2 g/ml is taken and marked.\n\nExit status: 0 done; 1 could not; 2 the words were wrong.",
		Example: "  undercoat recipe show 1 --amount '120 g'",
		Args:    words(1, 1),
		RunE: func(cmd *cobra.Command, args []string) error {
			n, err := strconv.ParseInt(args[0], 10, 64)
			if err != nil {
				return wording(cmd, fmt.Errorf("recipe show: %q: expected a recipe's number", args[0]))
			}
			return env.workroom(cmd.Context(), func(b *finish.Bench) error {
				a, err := b.Recipe(cmd.Context(), n, amount)
				if err != nil {
					return err
				}
				return env.answer(a, func(w io.Writer) error { return printRecipe(w, a) })
			})
		},
	}
	cmd.Flags().StringVar(&amount, "amount", "", "scale to this amount, such as '120 g' or '100 ml'")
	return cmd
}

func newRecipeBatchCommand(env *environment) *cobra.Command {
	var amount, place, note string
	cmd := &cobra.Command{
		Use:     "batch NUMBER --amount '120 g'",
		Short:   "A recipe was mixed: keep how much, and where the pot stands",
		Long:    "batch records one mixing of a recipe and takes its parts off the shelf where they are counted.\n\nExit status: 0 done; 1 could not; 2 the words were wrong.",
		Example: "  undercoat recipe batch 1 --amount '120 g' --place 'top shelf'",
		Args:    words(1, 1),
		RunE: func(cmd *cobra.Command, args []string) error {
			n, err := strconv.ParseInt(args[0], 10, 64)
			if err != nil || amount == "" {
				return wording(cmd, fmt.Errorf("recipe batch: expected a recipe's number and --amount"))
			}
			return env.workroom(cmd.Context(), func(b *finish.Bench) error {
				a, err := b.MixBatch(cmd.Context(), n, amount, place, note)
				if err != nil {
					return err
				}
				return env.answer(a, func(w io.Writer) error { return printRecipe(w, a) })
			})
		},
	}
	f := cmd.Flags()
	f.StringVar(&amount, "amount", "", "how much was mixed, such as '120 g' or '100 ml'")
	f.StringVar(&place, "place", "", "where the pot stands")
	f.StringVar(&note, "note", "", "a word on it")
	return cmd
}

func printRecipe(w io.Writer, a finish.RecipeAnswer) error {
	fmt.Fprintf(w, "recipe %d  %s\n", a.Number, a.Name)
	corrects := ""
	if a.Parent != nil {
		corrects = fmt.Sprintf("recipe %d", *a.Parent)
	}
	for _, line := range [][2]string{{"parts", partsText(a.Parts)}, {"coats", a.Coats}, {"over", a.Ground}, {"for", strings.TrimSpace(a.Area + " " + a.Target)}, {"corrects", corrects}, {"note", a.Note}} {
		if line[1] != "" {
			fmt.Fprintf(w, "  %-6s %s\n", line[0], line[1])
		}
	}
	printPortions(w, "weigh", a.Scaled)
	for _, m := range a.Batches {
		fmt.Fprintf(w, "  batch %d of %s: %.1f g made, %.1f g left %s\n", m.Number, when(m.At), m.Made, m.Left, strings.TrimSpace(m.Place+" "+m.Note))
	}
	return nil
}

// printPortions prints what to weigh or count out.
func printPortions(w io.Writer, verb string, parts []finish.ScaledPart) {
	assumed := false
	for _, p := range parts {
		fmt.Fprintf(w, "  %-6s %s %s: %s\n", verb, p.Code, p.Name, portionText(p))
		assumed = assumed || p.Assumed
	}
	if assumed {
		fmt.Fprintln(w, "  * 1.2 g/ml taken: the stock line states no density (column density_g_ml)")
	}
}

func portionText(p finish.ScaledPart) string {
	text := fmt.Sprintf("%.1f g", p.Grams)
	if p.Grams < 10 {
		text = fmt.Sprintf("%.2f g", p.Grams)
	}
	if p.ML > 0 {
		text += fmt.Sprintf(", %.1f ml, %d drops", p.ML, p.Drops)
	}
	if p.Assumed && p.ML > 0 {
		text += " *"
	}
	return text
}

func partsText(parts []finish.PartAnswer) string {
	var out []string
	for _, p := range parts {
		out = append(out, fmt.Sprintf("%s %.0f %%", p.Code, 100*p.Share))
	}
	return strings.Join(out, " + ")
}
