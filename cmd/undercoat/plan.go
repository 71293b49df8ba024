package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"undercoat/finish"
)

func newPlanCommand(env *environment) *cobra.Command {
	var now, fan, area string
	cmd := &cobra.Command{
		Use:   "plan",
		Short: "Coats, amounts, order of work, dates, shopping, refusals and cautions",
		Long: `plan computes the whole job from its facts: coats and amounts per area, drying by the room, steps in an
order that keeps every wait and the working hours, last safe starts back from hands-off, what to buy.
Every plan is checked by a second program part before it is shown, and says how far its dates are proven.

Exit status: 0 done; 1 could not; 2 the words were wrong.`,
		Example: "  undercoat plan --now '2026-10-26 09:00'",
		Args:    noWords,
		RunE: func(cmd *cobra.Command, _ []string) error {
			return env.workroom(cmd.Context(), func(b *finish.Bench) error {
				at, err := b.Moment(cmd.Context(), now)
				if err != nil {
					return wording(cmd, fmt.Errorf("--now: %w", err))
				}
				with, err := finish.ParseFan(fan)
				if err != nil {
					return wording(cmd, fmt.Errorf("--fan: %w", err))
				}
				a, err := b.PlanAt(cmd.Context(), at, with)
				if err != nil {
					return err
				}
				if area != "" {
					if a = a.ForArea(area); len(a.Areas) == 0 {
						return fmt.Errorf("plan %s: no area of that code in the job", area)
					}
				}
				return env.answer(a, func(w io.Writer) error { return printPlan(w, a) })
			})
		},
	}
	cmd.Flags().StringVar(&area, "area", "", "show this area only")
	cmd.Flags().StringVar(&now, "now", "", "plan as of this time (default: now)")
	cmd.Flags().StringVar(&fan, "fan", "", "on or off: whether the room's fan runs (default: where the room states one)")
	return cmd
}

func printPlan(w io.Writer, a finish.PlanAnswer) error {
	printDates(w, a)
	printPlanAreas(w, a)
	printPlanSteps(w, a)
	printShopping(w, a)
	printRefusals(w, a)
	printLate(w, a.Late)
	if len(a.Else) > 0 {
		fmt.Fprintln(w, "\nwhat else could be done")
	}
	for _, e := range a.Else {
		fmt.Fprintf(w, "  %s\n", e.Text)
	}
	if len(a.Cautions) > 0 {
		fmt.Fprintf(w, "\ncautions\n")
	}
	return printCautions(w, a.Cautions)
}

// printLate prints the steps not done in time, the whole effect on top.
func printLate(w io.Writer, late []string) {
	for i, l := range late {
		if i == 0 {
			fmt.Fprintf(w, "\nlate: %s\n", l)
			continue
		}
		fmt.Fprintf(w, "      %s\n", l)
	}
}

func printDates(w io.Writer, a finish.PlanAnswer) {
	fmt.Fprintf(w, "%s, planned as of %s\n", a.Job, when(a.Now))
	if a.Solver.Status == "infeasible" {
		printNoDates(w, a)
		return
	}
	if open := notChosen(a); len(open) > 0 && len(a.Steps) == 0 {
		fmt.Fprintf(w, "nothing to date yet: no way is found or chosen for %s; try: undercoat match --area %s\n", strings.Join(open, ", "), open[0])
		return
	}
	if a.HandsOff.At == nil {
		fmt.Fprintf(w, "all done and cured %s; no hands-off date is stated\n", when(a.HandsOff.Ends))
	} else if a.HandsOff.Met {
		fmt.Fprintf(w, "hands off %s: met, %s to spare (all done and cured %s)\n", when(*a.HandsOff.At), hours(a.HandsOff.SpareMin), when(a.HandsOff.Ends))
	} else {
		fmt.Fprintf(w, "hands off %s: MISSED by %s (all done and cured %s)\n", when(*a.HandsOff.At), hours(-a.HandsOff.SpareMin), when(a.HandsOff.Ends))
	}
	if a.Decides != nil {
		fmt.Fprintf(w, "what decides: %s\n", a.Decides.Text)
	}
	proof := "no order of work ends earlier"
	if a.Solver.GapMin > 0 {
		proof = fmt.Sprintf("not more than %s from the best there is", hours(a.Solver.GapMin))
	}
	fmt.Fprintf(w, "dates: %s, %s; drying: %s\n", a.Solver.Status, proof, a.Room.Text)
}

// printNoDates says why no order of work fits, instead of dates.
func printNoDates(w io.Writer, a finish.PlanAnswer) {
	fmt.Fprintln(w, "no dates: no order of work fits the hours and waits stated; hours.csv and sewing.csv are where to look")
	for _, l := range a.Chain {
		fmt.Fprintf(w, "  %s\n", l.Text)
	}
}

// notChosen are the areas the plan has no layers for.
func notChosen(a finish.PlanAnswer) []string {
	var codes []string
	for _, l := range a.Areas {
		if len(l.Layers) == 0 {
			codes = append(codes, l.Code)
		}
	}
	return codes
}

func printPlanAreas(w io.Writer, a finish.PlanAnswer) {
	fmt.Fprintln(w)
	t := newTable("area", "piece", "layers from the ground up", ">amount", ">ΔE00", "last safe start", "ready", ">spare")
	for _, l := range a.Areas {
		if len(l.Layers) == 0 {
			t.row(l.Code, l.Piece, "not chosen yet", "", "", "", "", "")
			continue
		}
		for i, y := range l.Layers {
			code, piece, diff, last, ready, spare := "", "", "", "", "", ""
			if i == 0 {
				code, piece, diff = l.Code, l.Piece, costlessNumber(l.Difference)
				last, ready, spare = whenOr(l.LatestStart), whenOr(l.Ready), hours(l.SpareMin)
			}
			t.row(code, piece, layerText(y), amountText(y), diff, last, ready, spare)
		}
	}
	_ = t.print(w)
}

func layerText(y finish.PlanLayer) string {
	s := y.Code + " " + y.Name
	if y.Coats > 0 && y.Role != "cloth" && y.Role != "trim" && y.Role != "treatment" {
		s += fmt.Sprintf(" × %d", y.Coats)
		if y.CoatsRange[1] > y.CoatsRange[0] {
			s += fmt.Sprintf(" (%d–%d)", y.CoatsRange[0], y.CoatsRange[1])
		}
	}
	return s + ", " + y.Role
}

func amountText(y finish.PlanLayer) string {
	switch {
	case y.VolumeML > 0 && y.RepairML > 0:
		return fmt.Sprintf("%.0f + %.0f ml", y.VolumeML, y.RepairML)
	case y.VolumeML > 0:
		return fmt.Sprintf("%.0f ml", y.VolumeML)
	case y.Count > 0:
		return fmt.Sprintf("%d pc", y.Count)
	}
	return y.Quantity
}

func printPlanSteps(w io.Writer, a finish.PlanAnswer) {
	fmt.Fprintln(w)
	t := newTable("when", "step", "what", "who", "next step from", "last safe start", ">spare", "")
	for _, s := range a.Steps {
		mark := ""
		switch {
		case s.Done:
			mark = "done"
		case s.Critical:
			mark = "decides"
		}
		who := s.Who
		if who == "" {
			who = "maker"
		}
		t.row(session(s.Start, s.End), s.ID, s.Text, who, when(s.Ready), when(s.LatestStart), hours(s.SpareMin), mark)
	}
	_ = t.print(w)
}

func printShopping(w io.Writer, a finish.PlanAnswer) {
	t := newTable("buy", "name", ">need", ">on hand", ">packs", "of", ">cost", "note")
	for _, s := range a.Shopping {
		note := ""
		if s.Thin {
			note = "thin margin"
		}
		if s.BuyPacks == 0 && note == "" {
			continue
		}
		t.row(s.Code, s.Name, fmt.Sprintf("%g %s", s.Need, s.Unit), fmt.Sprintf("%g", s.OnHand), countText(s.BuyPacks), s.Pack, costText(s.Cost), note)
	}
	if len(t.rows) > 0 {
		fmt.Fprintln(w)
		_ = t.print(w)
	}
	money := fmt.Sprintf("to buy: %.2f %s", a.Cost, a.Currency)
	if a.Budget != nil {
		money += fmt.Sprintf(" of a budget of %.2f", *a.Budget)
	}
	fmt.Fprintln(w, money)
	for _, t := range a.Trades {
		fmt.Fprintf(w, "  cheaper: %s\n", t.Text)
	}
	for _, c := range a.Cloth {
		if c.ShortM > 0 {
			fmt.Fprintf(w, "cloth: %s\n", c.Text)
		}
	}
}

func printRefusals(w io.Writer, a finish.PlanAnswer) {
	if len(a.Refusals) > 0 {
		fmt.Fprintln(w, "\nrefused")
	}
	for _, r := range a.Refusals {
		who := ""
		if r.Wearer != "" {
			who = " for " + r.Wearer
		}
		fmt.Fprintf(w, "  %s: %s%s: %s; instead: %s\n", r.Area, r.What, who, r.Why, r.Instead)
	}
}

// when writes an answer's time for people: "Sat 31 Oct 10:00".
func when(rfc string) string {
	t, err := time.Parse(time.RFC3339, rfc)
	if err != nil {
		return rfc
	}
	return t.Format("Mon 2 Jan 15:04")
}

func whenOr(rfc *string) string {
	if rfc == nil {
		return ""
	}
	return when(*rfc)
}

// session writes a step's hours: "Sat 31 Oct 10:00–10:45".
func session(from, to string) string {
	a, err1 := time.Parse(time.RFC3339, from)
	b, err2 := time.Parse(time.RFC3339, to)
	if err1 != nil || err2 != nil {
		return from
	}
	if a.YearDay() == b.YearDay() {
		return a.Format("Mon 2 Jan 15:04") + "–" + b.Format("15:04")
	}
	return a.Format("Mon 2 Jan 15:04") + "–" + b.Format("Mon 2 Jan 15:04")
}

// hours writes minutes for people: "3 d 6 h", "2 h 10 min".
func hours(min int) string {
	sign := ""
	if min < 0 {
		sign, min = "−", -min
	}
	d, h, m := min/1440, min/60%24, min%60
	var parts []string
	if d > 0 {
		parts = append(parts, fmt.Sprintf("%d d", d))
	}
	if h > 0 {
		parts = append(parts, fmt.Sprintf("%d h", h))
	}
	if (m > 0 && d == 0) || len(parts) == 0 {
		parts = append(parts, fmt.Sprintf("%d min", m))
	}
	return sign + strings.Join(parts, " ")
}

func costlessNumber(v *float64) string {
	if v == nil {
		return ""
	}
	return number(*v)
}

func newDoneCommand(env *environment) *cobra.Command {
	var at, used string
	var pot finish.Weighed
	var undo bool
	cmd := &cobra.Command{
		Use:   "done STEP",
		Short: "A step is finished: record it, and plan again from there",
		Long: `done records that a step was finished, when, and how much it used; the plan is computed again with the
past fixed, and one sentence says what that changes. Where the pot was weighed before and after, the use is
derived by the density: the one given, the shelf's (column density_g_ml), or that of the last weighing. A use on
record corrects the spread of that product on that ground from then on. With --undo a step is not done after all, and what it used
is on the shelf again.

Exit status: 0 done; 1 could not; 2 the words were wrong.`,
		Example: "  undercoat done A5-W3-1 --at '2026-10-30 19:45' --used '148 ml'\n  undercoat done A5-W3-1 --weighed-before '412 g' --weighed-after '371 g' --density 1.3",
		Args:    words(1, 1),
		RunE: func(cmd *cobra.Command, args []string) error {
			return env.workroom(cmd.Context(), func(b *finish.Bench) error {
				if undo {
					return runUndo(cmd.Context(), env, b, args[0])
				}
				a, err := runDone(cmd.Context(), b, args[0], at, used, pot)
				if err != nil {
					return err
				}
				return env.answer(a, func(w io.Writer) error {
					_, err := fmt.Fprintln(w, a.Effect)
					return err
				})
			})
		},
	}
	cmd.Flags().StringVar(&at, "at", "", "when it was finished (default: now)")
	cmd.Flags().StringVar(&used, "used", "", "how much of the product it used")
	cmd.Flags().StringVar(&pot.Before, "weighed-before", "", "weight of the pot before the step")
	cmd.Flags().StringVar(&pot.After, "weighed-after", "", "weight of the pot after the step")
	cmd.Flags().StringVar(&pot.Density, "density", "", "density of the product in g/ml, where the shelf does not say it")
	cmd.Flags().BoolVar(&undo, "undo", false, "take back that it is done")
	cmd.MarkFlagsMutuallyExclusive("undo", "at")
	cmd.MarkFlagsMutuallyExclusive("undo", "used", "weighed-before")
	cmd.MarkFlagsRequiredTogether("weighed-before", "weighed-after")
	return cmd
}

// runDone records a finished step with what it used, said or weighed.
func runDone(ctx context.Context, b *finish.Bench, step, at, used string, pot finish.Weighed) (finish.DoneAnswer, error) {
	if pot != (finish.Weighed{}) && pot.Before == "" {
		return finish.DoneAnswer{}, errors.New("--density: it goes with --weighed-before and --weighed-after")
	}
	if pot.Before != "" {
		return b.DoneWeighed(ctx, step, at, pot)
	}
	return b.Done(ctx, step, at, used)
}

func runUndo(ctx context.Context, env *environment, b *finish.Bench, step string) error {
	a, err := b.Undo(ctx, step)
	if err != nil {
		return err
	}
	return env.answer(a, func(w io.Writer) error {
		_, err := fmt.Fprintln(w, a.Effect)
		return err
	})
}

func newChooseCommand(env *environment) *cobra.Command {
	return &cobra.Command{
		Use:   "choose AREA [CODE[:n]…]",
		Short: "Record what an area is made with, from the ground up",
		Long: `choose records the maker's choice for an area: products from the ground up, each with its number of coats
or without, which leaves the number to the planner. With no product it takes what the plan proposes.

Exit status: 0 done; 1 could not; 2 the words were wrong.`,
		Example: "  undercoat choose A5 W3:1 W1:3 F1:3\n  undercoat choose A1 C1",
		Args:    atLeast(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) == 1 {
				return env.workroom(cmd.Context(), func(b *finish.Bench) error {
					layers, err := b.Accept(cmd.Context(), args[0])
					if err != nil {
						return err
					}
					env.say("%s is made with %s, as the plan proposes", args[0], finish.LayersText(layers))
					return nil
				})
			}
			layers, err := parseLayers(strings.Join(args[1:], ","), ",")
			if err != nil {
				return wording(cmd, err)
			}
			return env.workroom(cmd.Context(), func(b *finish.Bench) error {
				if err := b.Choose(cmd.Context(), args[0], layers); err != nil {
					return err
				}
				env.say("%s is made with %s", args[0], strings.Join(args[1:], " "))
				return nil
			})
		},
	}
}
