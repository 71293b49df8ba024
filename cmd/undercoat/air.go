package main

import (
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"undercoat/finish"
)

func newAirCommand(env *environment) *cobra.Command {
	var q finish.AirRequest
	var contains []string
	cmd := &cobra.Command{
		Use:   "air --product CODE --amount VOLUME",
		Short: "Vapour in a room: a warning light, not a permit",
		Long: `air estimates how much vapour a product puts into a room, room mean and beside the work, against occupational
limits and the lower explosive limit. It warns from a tenth of the limits and refuses from half. It asks for
what it lacks. The safety data sheet, local codes and licensed practice decide; the table of limits shows its
date, and --limit enters a local one.

Exit status: 0 done; 1 could not, or not known enough; 2 the words were wrong.`,
		Example: "  undercoat air --product W1 --amount '150 ml'\n  undercoat air --product B2 --amount '10 ml' --contains 'mineral spirits=45' --changes 11",
		Args:    noWords,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if q.Product == "" || q.Amount == "" {
				return wording(cmd, fmt.Errorf("air: expected --product and --amount"))
			}
			q.Contains = contains
			return env.workroom(cmd.Context(), func(b *finish.Bench) error {
				a, err := b.Air(cmd.Context(), q)
				if err != nil {
					return err
				}
				return env.answer(a, func(w io.Writer) error { return printAir(w, a) })
			})
		},
	}
	f := cmd.Flags()
	f.StringVar(&q.Product, "product", "", "stock code of the product")
	f.StringVar(&q.Amount, "amount", "", "how much of it is laid, such as '150 ml'")
	f.StringVar(&q.Space, "room", "", "the room's volume, such as '26 m3' (default: the job's room)")
	f.StringVar(&q.Over, "over", "", "time in which it evaporates (default: its touch-dry time, else 1 h)")
	f.Float64Var(&q.Changes, "changes", -1, "air changes an hour (default: the room's fan or changes, else 0.3)")
	f.Float64Var(&q.Mixing, "mixing", 3, "mixing factor: 1 even mixing, 3 window and fan, 6 to 10 a dead corner")
	f.StringArrayVar(&contains, "contains", nil, "SUBSTANCE=PERCENT by mass, from section 3 of the safety data sheet; more than one may be given")
	f.StringArrayVar(&q.Limits, "limit", nil, "SUBSTANCE=PPM: a local limit instead of the table's")
	f.Float64Var(&q.Density, "density", 1, "density of the product, g/mL")
	return cmd
}

func printAir(w io.Writer, a finish.AirAnswer) error {
	fmt.Fprintf(w, "%s in %g m³ at %.1f air changes an hour, mixing factor %g\n", a.Product, a.VolumeM3, a.Changes, a.Mixing)
	t := newTable("substance", ">peak ppm", ">8 h mean", ">beside the work", ">limit ppm", "limit from")
	for _, s := range a.Substances {
		limit := "none listed"
		if s.LimitPPM > 0 {
			limit = fmt.Sprintf("%g", s.LimitPPM)
		}
		t.row(s.Name, number(s.PeakPPM), number(s.MeanPPM), number(s.NearPPM), limit, s.LimitSource)
	}
	if err := t.print(w); err != nil {
		return err
	}
	_, err := fmt.Fprintf(w, "%s: %s\n", strings.ToUpper(a.Verdict), a.Text)
	return err
}
