package main

import (
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"undercoat/finish"
	"undercoat/finish/garment"
)

// parseLayers reads coats from the ground up.
func parseLayers(s, sep string) ([]garment.Layer, error) { return garment.ParseLayers(s, sep) }

func newJobCommand(env *environment) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "job",
		Short: "A job as a folder of tables and pictures",
		Long:  "job begins, imports, exports, lists and shows jobs. A job is a folder of CSV tables and pictures; an import takes all of it or nothing, and names every bad cell.",
		Args:  noWords,
		RunE:  func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
	}
	cmd.AddCommand(newJobNewCommand(env), newJobImportCommand(env), newJobExportCommand(env), newJobListCommand(env), newJobShowCommand(env))
	return cmd
}

func newJobImportCommand(env *environment) *cobra.Command {
	return &cobra.Command{
		Use:     "import FOLDER",
		Short:   "Take in a job's folder, all or nothing",
		Long:    "import reads the tables and pictures of a job from FOLDER. If any cell is bad nothing is taken, and every bad cell is named with its file, row, column and what was expected.\n\nExit status: 0 done; 1 could not; 2 the words were wrong.",
		Example: "  undercoat job import low-water-night",
		Args:    words(1, 1),
		RunE: func(cmd *cobra.Command, args []string) error {
			from, err := folder(args[0])
			if err != nil {
				return err
			}
			return env.workroom(cmd.Context(), func(b *finish.Bench) error {
				r, err := b.ImportJob(cmd.Context(), from)
				if err != nil {
					return err
				}
				return env.answer(r, func(w io.Writer) error { return printReport(env, w, r.Job, r) })
			})
		},
	}
}

func newJobExportCommand(env *environment) *cobra.Command {
	return &cobra.Command{
		Use:     "export FOLDER",
		Short:   "Write the job's tables and pictures into a folder",
		Long:    "export writes the job as a folder of CSV tables and pictures, the form that import reads.\n\nExit status: 0 done; 1 could not; 2 the words were wrong.",
		Example: "  undercoat job export low-water-night",
		Args:    words(1, 1),
		RunE: func(cmd *cobra.Command, args []string) error {
			return env.workroom(cmd.Context(), func(b *finish.Bench) error {
				if err := b.ExportJob(cmd.Context(), args[0]); err != nil {
					return err
				}
				env.say("written to %s", args[0])
				return nil
			})
		},
	}
}

func newJobListCommand(env *environment) *cobra.Command {
	return &cobra.Command{
		Use:     "list",
		Short:   "The jobs in the workroom file",
		Long:    "list names the jobs of the workroom file with their date of hands-off.\n\nExit status: 0 done; 1 could not; 2 the words were wrong.",
		Example: "  undercoat job list",
		Args:    noWords,
		RunE: func(cmd *cobra.Command, _ []string) error {
			return env.workroom(cmd.Context(), func(b *finish.Bench) error {
				jobs, err := b.Jobs(cmd.Context())
				if err != nil {
					return err
				}
				return env.answer(jobs, func(w io.Writer) error {
					t := newTable("job", ">areas", ">wearers", "hands off")
					for _, j := range jobs {
						off := "not stated"
						if j.HandsOff != nil {
							off = j.HandsOff.Format("Mon 2 Jan 2006, 15:04")
						}
						t.row(j.Name, fmt.Sprint(j.Areas), fmt.Sprint(j.Wearers), off)
					}
					if len(t.rows) == 0 {
						_, err := fmt.Fprintln(w, "no job yet: undercoat job new NAME, or undercoat job import FOLDER")
						return err
					}
					return t.print(w)
				})
			})
		},
	}
}

func newJobShowCommand(env *environment) *cobra.Command {
	return &cobra.Command{
		Use:     "show",
		Short:   "The areas of the job, their targets and choices",
		Long:    "show lists the areas of the job with target, ground and what was chosen.\n\nExit status: 0 done; 1 could not; 2 the words were wrong.",
		Example: "  undercoat job show",
		Args:    noWords,
		RunE: func(cmd *cobra.Command, _ []string) error {
			return env.workroom(cmd.Context(), func(b *finish.Bench) error {
				a, err := b.Job(cmd.Context())
				if err != nil {
					return err
				}
				return env.answer(a, func(w io.Writer) error { return printJob(env, w, a) })
			})
		},
	}
}

func printJob(env *environment, w io.Writer, a finish.JobAnswer) error {
	off := "no date stated"
	if a.HandsOff != nil {
		off = "hands off " + a.HandsOff.Format("Mon 2 Jan 2006, 15:04")
	}
	fmt.Fprintf(w, "%s, %d wearers, %s\n", a.Name, a.Wearers, off)
	t := newTable("area", "piece", "by", "target", "agreed", ">ΔE00", "ground", "chosen", "")
	for _, l := range a.List {
		target, hex := "none yet", ""
		if l.Target != nil {
			target, hex = l.Words+" "+l.Target.Hex, l.Target.Hex
		}
		agreed := "stated"
		if l.Frozen {
			agreed = "approved"
		}
		t.row(l.Code, l.Piece, l.Method, target, agreed, number(l.Tolerance), l.Ground, l.Choice, env.swatch(hex))
	}
	return t.print(w)
}

func newBackupCommand(env *environment) *cobra.Command {
	return &cobra.Command{
		Use:     "backup FILE",
		Short:   "A consistent copy of the workroom file, also while it is in use",
		Long:    "backup writes a consistent copy of the workroom file. It never writes over a file that is there.\n\nExit status: 0 done; 1 could not; 2 the words were wrong.",
		Example: "  undercoat backup workroom-2026-11-01.db",
		Args:    words(1, 1),
		RunE: func(cmd *cobra.Command, args []string) error {
			return env.workroom(cmd.Context(), func(b *finish.Bench) error {
				if err := b.Backup(cmd.Context(), args[0]); err != nil {
					return err
				}
				env.say("copied to %s", args[0])
				return nil
			})
		},
	}
}

func newCheckCommand(env *environment) *cobra.Command {
	return &cobra.Command{
		Use:     "check",
		Short:   "Read every row of the workroom file and explain what is wrong",
		Long:    "check reads the whole workroom file: its pages, its links between rows, and every row.\n\nExit status: 0 nothing wrong; 1 something is, each named; 2 the words were wrong.",
		Example: "  undercoat check",
		Args:    noWords,
		RunE: func(cmd *cobra.Command, _ []string) error {
			return env.workroom(cmd.Context(), func(b *finish.Bench) error {
				found, err := b.Check(cmd.Context())
				if err != nil {
					return err
				}
				err = env.answer(found, func(w io.Writer) error {
					for _, f := range found {
						fmt.Fprintf(w, "%s %s %s: %s\n", f.Table, f.Row, f.Column, f.What)
					}
					return nil
				})
				if err == nil && len(found) > 0 {
					return fmt.Errorf("check workroom file: %d things found", len(found))
				}
				env.say("every row reads")
				return err
			})
		},
	}
}
