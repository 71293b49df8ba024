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
limits and the lower explosive limit. It warns from a tenth of the limits and refuses from half, by the mean over
8 hours and by the peak beside the work against short-term limits; it warns where that peak passes the 8-hour limits
and refuses from three times them. It asks for what it lacks. The safety data sheet, local codes and licensed practice decide; the table of limits shows its
date, and --limit enters a local one. What was assumed because nothing is stated is listed.

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
	f.Float64Var(&q.Mixing, "mixing", 0, "mixing factor: 1 even mixing, 3 window and fan, 6 to 10 a dead corner (default: 3)")
	f.StringArrayVar(&contains, "contains", nil, "SUBSTANCE=PERCENT by mass, from section 3 of the safety data sheet; more than one may be given")
	f.StringArrayVar(&q.Limits, "limit", nil, "SUBSTANCE=PPM: a local limit instead of the table's; the substance may be 'volatile part'")
	f.Float64Var(&q.Density, "density", 0, "density of the product, g/mL, for --contains (default: 1)")
	return cmd
}

func printAir(w io.Writer, a finish.AirAnswer) error {
	fmt.Fprintf(w, "%s in %g m³ at %.1f air changes an hour, mixing factor %g\n", a.Product, a.VolumeM3, a.Changes, a.Mixing)
	t := newTable("substance", ">peak ppm", ">8 h mean", ">beside the work", ">8 h limit", ">short limit", "limits from")
	for _, s := range a.Substances {
		limit, short := "none listed", "none listed"
		if s.LimitPPM > 0 {
			limit = fmt.Sprintf("%g", s.LimitPPM)
		}
		if s.ShortPPM > 0 {
			short = fmt.Sprintf("%g, %s", s.ShortPPM, s.ShortKind)
		}
		name := s.Name
		if s.Skin {
			name += " (through the skin too)"
		}
		t.row(name, number(s.PeakPPM), number(s.MeanPPM), number(s.NearPPM), limit, short, s.LimitSource)
	}
	if err := t.print(w); err != nil {
		return err
	}
	fmt.Fprintf(w, "mixture index %.2f over 8 h, %.2f at the peak beside the work%s%s\n", a.Index, a.Excursion, shortWords(a), fireWords(a))
	fmt.Fprintf(w, "outdoor air that would hold the limits while it is laid: %g m³/h; airing after the work: %s\n", a.AirNeeded, airingWords(a))
	for _, s := range a.Assumed {
		fmt.Fprintln(w, "  taken: "+s)
	}
	if a.Ignition != "" {
		fmt.Fprintln(w, "FIRE: "+a.Ignition)
	}
	_, err := fmt.Fprintf(w, "%s: %s\n", strings.ToUpper(a.Verdict), a.Text)
	return err
}

// shortWords says how the peak stands against short-term limits, where there are
// any.
func shortWords(a finish.AirAnswer) string {
	if a.Short > 0 {
		return fmt.Sprintf(" (%.2f of the short-term limits)", a.Short)
	}
	return ""
}

// fireWords says how near the room mean comes to the lower explosive limit,
// where that is known of anything.
func fireWords(a finish.AirAnswer) string {
	for _, s := range a.Substances {
		if s.FireSpaceM3 > 0 {
			return fmt.Sprintf("; peak at %.1f %% of the lower explosive limit", 100*a.LELShare)
		}
	}
	return "; its lower explosive limit is not known"
}

func airingWords(a finish.AirAnswer) string {
	switch {
	case a.Airing == nil:
		return "never, no air moves"
	case *a.Airing == 0:
		return "none"
	}
	return fmt.Sprintf("%g h", *a.Airing)
}
