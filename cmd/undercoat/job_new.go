package main

import (
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"undercoat/finish"
)

func newJobNewCommand(env *environment) *cobra.Command {
	var handsOff, zone, tables string
	var sets []string
	cmd := &cobra.Command{
		Use:   "new NAME",
		Short: "Begin a job, and write its tables to fill in",
		Long: `new begins a job of that name. With --tables it also writes the job's tables into a new folder, with their
headings and the shelf as it stands: fill in what you know, put the pictures beside them, and job import takes the
folder in. What a picture or a row does not need may stay empty. Needed are in areas.csv code and piece (and
painted_m2 for what is painted), in references.csv code and picture, in patches.csv reference, area and rectangle.

Exit status: 0 done; 1 could not; 2 the words were wrong.`,
		Example: "  undercoat job new 'Harvest play' --hands-off '2026-12-12 18:00' --timezone Europe/Berlin --tables harvest",
		Args:    words(1, 1),
		RunE: func(cmd *cobra.Command, args []string) error {
			columns := map[string]string{"name": args[0], "hands_off": handsOff, "timezone": zone}
			for _, s := range sets {
				k, v, ok := strings.Cut(s, "=")
				if !ok {
					return wording(cmd, fmt.Errorf("--set %q: expected key=value of job.csv", s))
				}
				columns[strings.TrimSpace(k)] = strings.TrimSpace(v)
			}
			return env.workroom(cmd.Context(), func(b *finish.Bench) error {
				r, err := b.NewJob(cmd.Context(), columns)
				if err != nil {
					return fmt.Errorf("begin job %s: %w", args[0], err)
				}
				if tables != "" {
					if err := b.ForJob(args[0]).ExportJob(cmd.Context(), tables); err != nil {
						return fmt.Errorf("the job is begun, its tables are not written: %w", err)
					}
					env.say("tables to fill in: %s; then undercoat job import %s", tables, tables)
				}
				return env.answer(r, func(w io.Writer) error { return printReport(env, w, r.Job, r) })
			})
		},
	}
	f := cmd.Flags()
	f.StringVar(&handsOff, "hands-off", "", "the date that does not move, YYYY-MM-DD HH:MM")
	f.StringVar(&zone, "timezone", "", "the zone of all times, such as Europe/Berlin (default: UTC)")
	f.StringVar(&tables, "tables", "", "write the job's tables into this folder")
	f.StringArrayVar(&sets, "set", nil, "key=value of job.csv; more than one may be given")
	return cmd
}
