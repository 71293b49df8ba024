package main

import (
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"undercoat/finish"
	"undercoat/inventory"
)

func newTargetCommand(env *environment) *cobra.Command {
	var from []string
	var approve bool
	var as string
	cmd := &cobra.Command{
		Use:   "target AREA",
		Short: "An area's colour from its pictures, with a range; approval freezes it",
		Long: `target reads an area in every picture that shows it, weighs the readings, and says what colour it is and how
sure. Pictures without an anchor, or of low trust, never move it. --approve freezes the target: what --as names,
else what the table of areas states, else what the pictures say. A frozen target changes only by approving again.

Exit status: 0 done; 1 could not; 2 the words were wrong.`,
		Example: "  undercoat target A1\n  undercoat target A1 --from R1,R2 --approve",
		Args:    words(1, 1),
		RunE: func(cmd *cobra.Command, args []string) error {
			req := finish.TargetRequest{Area: args[0], From: from, Approve: approve}
			if as != "" {
				w, err := inventory.Write(as)
				if err != nil {
					return wording(cmd, fmt.Errorf("--as: %w", err))
				}
				req.As, req.Approve = w, true
			}
			return env.workroom(cmd.Context(), func(b *finish.Bench) error {
				a, err := b.Target(cmd.Context(), req)
				if err != nil {
					return err
				}
				for _, warning := range a.Warnings {
					env.say("%s", warning)
				}
				return env.answer(a, func(w io.Writer) error { return printTarget(env, w, a) })
			})
		},
	}
	f := cmd.Flags()
	f.StringSliceVar(&from, "from", nil, "references to read (default: all that show the area)")
	f.BoolVar(&approve, "approve", false, "freeze the target")
	f.StringVar(&as, "as", "", "approve this colour: #rrggbb or \"lab(L a b)\"")
	return cmd
}

func printTarget(env *environment, w io.Writer, a finish.TargetAnswer) error {
	fmt.Fprintf(w, "%s %s\n", a.Area, a.Piece)
	if p := a.Pictures; p != nil {
		fmt.Fprintf(w, "the pictures say: %s\n", a.Says)
		fmt.Fprintf(w, "  L* %s (%s to %s), a* %s (%s to %s), b* %s (%s to %s); near %s, within ΔE00 %s; chance of ΔE00 3 or less %s%s\n",
			number(p.Lab[0]), number(p.LabLow[0]), number(p.LabHigh[0]), number(p.Lab[1]), number(p.LabLow[1]), number(p.LabHigh[1]),
			number(p.Lab[2]), number(p.LabLow[2]), number(p.LabHigh[2]), p.Hex, number(p.Radius), percent(p.Confidence), env.swatch(p.Hex))
		if note := screenNote(p.Screen, p.Beyond, false); note != "" {
			fmt.Fprintf(w, "  %s\n", note)
		}
		t := newTable("  picture", "reads", "counts", "disagrees", "")
		for _, r := range p.PerPicture {
			t.row("  "+r.Picture, r.Hex, yesNo(r.Counts), r.Why, env.swatch(r.Hex))
		}
		if err := t.print(w); err != nil {
			return err
		}
		for _, s := range p.Settle {
			fmt.Fprintf(w, "  to settle it: %s\n", s)
		}
	} else {
		fmt.Fprintln(w, "no picture shows it: mark it in one (patches.csv, or undercoat serve)")
	}
	switch {
	case a.Target == nil:
		fmt.Fprintln(w, "no target yet: --approve takes what the pictures or the table of areas say, --approve --as '#6C7176' a colour of yours")
	case a.Frozen:
		fmt.Fprintf(w, "approved %s: %s %s, resting on %s%s\n", when(a.Approved), a.Words, a.Target.Hex, strings.Join(a.Rests, ", "), env.swatch(a.Target.Hex))
	default:
		fmt.Fprintf(w, "stated, not approved: %s %s%s\n", a.Words, a.Target.Hex, env.swatch(a.Target.Hex))
	}
	if a.Away != nil {
		where := "inside the range the pictures leave open"
		if !a.Within {
			where = "outside the range the pictures leave open"
		}
		fmt.Fprintf(w, "it is ΔE00 %s from what the pictures say, %s\n", number(*a.Away), where)
	}
	for _, n := range a.Notes {
		fmt.Fprintf(w, "note: %s\n", n)
	}
	return nil
}
