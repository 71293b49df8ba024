package main

import (
	"context"
	"fmt"
	"io"
	"sort"
	"strings"

	"github.com/spf13/cobra"

	"undercoat/finish"
)

type matchOptions struct {
	colour, area, ground string
	kinds, lights        []string
	parts, top           int
	layers               bool
}

func newMatchCommand(env *environment) *cobra.Command {
	var o matchOptions
	cmd := &cobra.Command{
		Use:   "match --colour COLOUR | --area CODE",
		Short: "What the shelf can do for a colour: items, mixtures, layers, with reasons against",
		Long: `match looks on the shelf for a colour (#rrggbb, "lab(L a b)" or a stock code) or for an area of the job.
For an area it honours the ground, the stretch, the heat the cloth stands, what the wearers react to and
the lights the costume is seen under, and says what speaks against each answer. Differences are ΔE00 in
daylight; what is recovered from a hex and a few hiding figures is a range.

Exit status: 0 done; 1 could not; 2 the words were wrong.`,
		Example: "  undercoat match --area A1\n  undercoat match --colour '#2C7C82' --ground C6 --layers",
		Args:    noWords,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if (o.colour == "") == (o.area == "") {
				return wording(cmd, fmt.Errorf("match: expected --colour or --area, one of them"))
			}
			return env.workroom(cmd.Context(), func(b *finish.Bench) error { return runMatch(cmd.Context(), env, b, o) })
		},
	}
	f := cmd.Flags()
	f.StringVar(&o.colour, "colour", "", "the colour wanted: #rrggbb, \"lab(L a b)\" or a stock code")
	f.StringVar(&o.area, "area", "", "the area of the job it is for")
	f.StringVar(&o.ground, "ground", "", "stock code of the ground (default: the area's own)")
	f.StringSliceVar(&o.kinds, "kinds", nil, "what to look for: item, mixture, layers")
	f.IntVar(&o.parts, "parts", 0, "look for mixtures of up to this many paints, 2 or 3")
	f.BoolVar(&o.layers, "layers", false, "look for coats of different paints over each other")
	f.StringSliceVar(&o.lights, "lights", nil, "judge under these lights (default: the job's)")
	f.IntVar(&o.top, "top", 0, "number of answers (default 10)")
	return cmd
}

func runMatch(ctx context.Context, env *environment, b *finish.Bench, o matchOptions) error {
	req := finish.MatchRequest{Area: o.area, Ground: o.ground, Kinds: o.kinds, Parts: o.parts, Layers: o.layers, Lights: o.lights, Top: o.top}
	if o.colour != "" {
		c, err := b.Colour(ctx, o.colour)
		if err != nil {
			return err
		}
		req.Colour = c
	}
	a, err := b.Match(ctx, req)
	if err != nil {
		return err
	}
	return env.answer(a, func(w io.Writer) error { return printMatch(env, w, a) })
}

func printMatch(env *environment, w io.Writer, a finish.MatchAnswer) error {
	head := a.Target.Words + ", " + a.Target.Hex
	if a.Target.Area != "" {
		head = a.Target.Area + ": " + head
	}
	fmt.Fprintf(w, "wanted  %s%s\n", head, env.swatch(a.Target.Hex))
	if len(a.Matches) == 0 {
		fmt.Fprintln(w, "nothing on the shelf answers this")
		return nil
	}
	t := newTable("", "what", "name", ">ΔE00", ">range", "how it differs", ">coats", ">cost", "basis", "")
	for _, m := range a.Matches {
		mark := "yes"
		if !m.Allowed {
			mark = "no"
		}
		t.row(mark, m.Code, m.Name, differenceText(m), rangeText(m), m.Words, countText(m.CoatsTotal), costText(m.Cost), m.Basis, env.swatch(m.Predicted.Hex))
	}
	if err := t.print(w); err != nil {
		return err
	}
	printMatchReasons(w, a)
	for _, c := range a.Choices {
		fmt.Fprintf(w, "%s: %s\n", c.Why, c.Code)
	}
	return nil
}

func printMatchReasons(w io.Writer, a finish.MatchAnswer) {
	fmt.Fprintln(w)
	for _, m := range a.Matches {
		if len(m.ByLight) > 1 && (m.Allowed || a.Target.Area == "") {
			fmt.Fprintf(w, "%s under %s\n", m.Code, lightsText(m.ByLight))
		}
		for _, r := range m.Against {
			fmt.Fprintf(w, "%s against: %s\n", m.Code, r.Text)
		}
		if !m.Allowed {
			continue
		}
		if text := takesText(m); text != "" {
			fmt.Fprintf(w, "%s takes %s\n", m.Code, text)
		}
		for _, text := range lightNotes(m.LightNotes) {
			fmt.Fprintf(w, "%s under %s\n", m.Code, text)
		}
		for _, r := range m.Notes {
			fmt.Fprintf(w, "%s note: %s\n", m.Code, r.Text)
		}
	}
}

// takesText says what coats cost: paint, hours, and how stiff they leave the
// cloth; with the interval of every number of coats.
func takesText(m finish.MatchLine) string {
	if len(m.Coats) == 0 {
		return ""
	}
	var parts []string
	for _, c := range m.Coats {
		text := fmt.Sprintf("%s × %d", c.Code, c.Coats)
		if c.Range != nil && c.Range[0] != c.Range[1] {
			text += fmt.Sprintf(" (%d–%d, by %s)", c.Range[0], c.Range[1], c.Driver)
		}
		parts = append(parts, text)
	}
	for _, u := range m.Amounts {
		parts = append(parts, fmt.Sprintf("%.0f ml of %s", u.ML, u.Code))
	}
	if m.Hours != nil {
		parts = append(parts, fmt.Sprintf("%.1f h of waiting", *m.Hours))
	}
	return strings.Join(append(parts, fmt.Sprintf("%.0f µm of dry film", m.DryFilmUM)), ", ")
}

// lightNotes joins what is said of several lights alike.
func lightNotes(notes []string) (out []string) {
	var texts []string
	names := map[string][]string{}
	for _, n := range notes {
		name, text, _ := strings.Cut(n, ": ")
		if names[text] == nil {
			texts = append(texts, text)
		}
		names[text] = append(names[text], name)
	}
	for _, t := range texts {
		out = append(out, strings.Join(names[t], ", ")+": "+t)
	}
	return out
}

func lightsText(by map[string]float64) string {
	var names []string
	for n := range by {
		names = append(names, n)
	}
	sort.Strings(names)
	var parts []string
	for _, n := range names {
		parts = append(parts, fmt.Sprintf("%s %.1f", n, by[n]))
	}
	return strings.Join(parts, ", ")
}

func differenceText(m finish.MatchLine) string {
	switch {
	case m.Difference != nil:
		return number(*m.Difference)
	case m.HueDifference != nil:
		return fmt.Sprintf("hue %.0f°", *m.HueDifference)
	}
	return "-"
}

func rangeText(m finish.MatchLine) string {
	if m.Difference == nil || m.DifferenceRange[0] == m.DifferenceRange[1] {
		return ""
	}
	return fmt.Sprintf("%.1f–%.1f", m.DifferenceRange[0], m.DifferenceRange[1])
}

func countText(n int) string {
	if n == 0 {
		return ""
	}
	return fmt.Sprint(n)
}

func costText(c *float64) string {
	if c == nil {
		return ""
	}
	return fmt.Sprintf("%.2f", *c)
}

func newLayersCommand(env *environment) *cobra.Command {
	var ground, coats, light string
	cmd := &cobra.Command{
		Use:   "layers --ground CODE --coats CODE:n,CODE:n",
		Short: "The colour after every coat, before a pot is opened",
		Long: `layers predicts the colour after every coat laid on a ground, from the ground up, with the range that
the maker's figures allow. A fluorescent shows as what a screen can show of it, marked "beyond the screen".

Exit status: 0 done; 1 could not; 2 the words were wrong.`,
		Example: "  undercoat layers --ground C7 --coats W3:1,W1:3,F1:3",
		Args:    noWords,
		RunE: func(cmd *cobra.Command, _ []string) error {
			layers, err := parseLayers(coats, ",")
			if err != nil || ground == "" || len(layers) == 0 {
				return wording(cmd, fmt.Errorf("layers: expected --ground CODE and --coats CODE:n,CODE:n"))
			}
			return env.workroom(cmd.Context(), func(b *finish.Bench) error {
				a, err := b.Layers(cmd.Context(), ground, layers, light)
				if err != nil {
					return err
				}
				return env.answer(a, func(w io.Writer) error { return printLayers(env, w, a) })
			})
		},
	}
	f := cmd.Flags()
	f.StringVar(&ground, "ground", "", "stock code of the ground")
	f.StringVar(&coats, "coats", "", "coats from the ground up, CODE:n,CODE:n")
	f.StringVar(&light, "light", "", "light to see it under (default D65)")
	return cmd
}

func printLayers(env *environment, w io.Writer, a finish.LayersAnswer) error {
	t := newTable(">coat", "of", "colour", ">L*", ">a*", ">b*", ">light (Y)", "likely range of L*", "", "")
	for _, s := range a.Steps {
		note := ""
		if s.OutOfScreen {
			note = "beyond the screen"
		}
		t.row(fmt.Sprint(s.Coat), s.Code, s.Words+" "+s.Hex, number(s.Lab[0]), number(s.Lab[1]), number(s.Lab[2]), fmt.Sprintf("%.2f", s.Luminance),
			fmt.Sprintf("%.0f to %.0f", s.LabLow[0], s.LabHigh[0]), note, env.swatch(s.Hex))
	}
	if err := t.print(w); err != nil {
		return err
	}
	if last := a.Steps[len(a.Steps)-1]; last.HighVis != "" {
		_, err := fmt.Fprintf(w, "%s in daylight, %s\n", last.Code, last.HighVis)
		return err
	}
	return nil
}
