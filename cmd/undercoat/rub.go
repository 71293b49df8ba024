package main

import (
	"fmt"
	"io"
	"os"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"undercoat/finish"
	"undercoat/palette"
	"undercoat/palette/colour"
)

func newRubCommand(env *environment) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "rub",
		Short: "Grades of rub, press, heat and wash tests, and the tests on record",
		Long:  "rub grades how much colour came off, by ISO 105-A04 (staining) or A05 (change), and keeps the tests on record.",
		Args:  noWords,
		RunE:  func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
	}
	cmd.AddCommand(newRubGradeCommand(env), newRubAddCommand(env), newRubListCommand(env))
	return cmd
}

type gradeOptions struct {
	scale, clean, stained, cleanLab, stainedLab string
}

func newRubGradeCommand(env *environment) *cobra.Command {
	var o gradeOptions
	cmd := &cobra.Command{
		Use:   "grade [PHOTO]",
		Short: "The grade of a rub cloth, from a photograph or from measured colours",
		Long: `grade compares the stained part of a rub cloth with its own clean part: two rectangles of one photograph, or
two measured colours. Grade 5 is no stain, 1 the heaviest. The standards measure with the 10° observer; a
photograph gives an estimate, and a grade near the edge of a step says so.

Exit status: 0 done; 1 could not; 2 the words were wrong.`,
		Example: "  undercoat rub grade cloth.jpg --clean 40,40,200,200 --stained 400,40,160,160\n  undercoat rub grade --clean-lab 95.2,-0.3,2.1 --stained-lab 82.5,0.4,-3.2",
		Args:    words(0, 1),
		RunE: func(cmd *cobra.Command, args []string) error {
			a, err := o.grade(cmd, args)
			if err != nil {
				return err
			}
			return env.answer(a, func(w io.Writer) error {
				_, err := fmt.Fprintf(w, "%s grade %s  (rating %.2f, ΔE*ab %.1f)%s\n", a.Scale, a.Grade, a.Rating, a.DEAB, edgeText(a))
				return err
			})
		},
	}
	f := cmd.Flags()
	f.StringVar(&o.scale, "scale", "staining", "staining (of the white cloth) or change (of the piece itself)")
	f.StringVar(&o.clean, "clean", "", "rectangle of the clean part, x,y,w,h")
	f.StringVar(&o.stained, "stained", "", "rectangle of the stained part, x,y,w,h")
	f.StringVar(&o.cleanLab, "clean-lab", "", "measured colour of the clean part, L,a,b")
	f.StringVar(&o.stainedLab, "stained-lab", "", "measured colour of the stained part, L,a,b")
	return cmd
}

func edgeText(a finish.GradeAnswer) string {
	if a.GradeLow == a.GradeHigh {
		return ""
	}
	return fmt.Sprintf(", between %s and %s", a.GradeLow, a.GradeHigh)
}

func (o gradeOptions) grade(cmd *cobra.Command, args []string) (finish.GradeAnswer, error) {
	if o.scale != "staining" && o.scale != "change" {
		return finish.GradeAnswer{}, wording(cmd, fmt.Errorf("--scale %q: expected staining or change", o.scale))
	}
	if len(args) == 0 {
		clean, err1 := parseLab(o.cleanLab)
		stained, err2 := parseLab(o.stainedLab)
		if err1 != nil || err2 != nil {
			return finish.GradeAnswer{}, wording(cmd, fmt.Errorf("rub grade: expected a photograph with --clean and --stained, or --clean-lab L,a,b and --stained-lab L,a,b"))
		}
		return finish.GradeColours(o.scale, clean, stained), nil
	}
	clean, err1 := palette.ParseRect(o.clean)
	stained, err2 := palette.ParseRect(o.stained)
	if err1 != nil || err2 != nil {
		return finish.GradeAnswer{}, wording(cmd, fmt.Errorf("rub grade: expected --clean x,y,w,h and --stained x,y,w,h with a photograph"))
	}
	name := args[0]
	pic := finish.PictureFile{Name: name, Open: func() (io.ReadCloser, error) { return os.Open(name) }}
	return finish.GradePhoto(o.scale, pic, clean, stained)
}

// parseLab reads "L,a,b".
func parseLab(s string) (colour.Lab, error) {
	f := strings.Split(s, ",")
	var v [3]float64
	for i := range v {
		if i >= len(f) || len(f) != 3 {
			return colour.Lab{}, fmt.Errorf("%q: expected L,a,b", s)
		}
		x, err := strconv.ParseFloat(strings.TrimSpace(f[i]), 64)
		if err != nil {
			return colour.Lab{}, fmt.Errorf("%q: expected L,a,b", s)
		}
		v[i] = x
	}
	return colour.Lab{L: v[0], A: v[1], B: v[2]}, nil
}

func newRubAddCommand(env *environment) *cobra.Command {
	var t finish.TestEntry
	cmd := &cobra.Command{
		Use:   "add CODE",
		Short: "Put a test on record",
		Long: `add keeps a test of the job: what was tested, how, in which state, and the clean and stained colours.

Exit status: 0 done; 1 could not; 2 the words were wrong.`,
		Example: "  undercoat rub add RT13 --subject C5 --how 'damp rub' --condition 'washed twice' --clean 'lab(95.2 -0.3 2.1)' --stained 'lab(87.4 0.1 -1.6)'",
		Args:    words(1, 1),
		RunE: func(cmd *cobra.Command, args []string) error {
			t.Code = args[0]
			return env.workroom(cmd.Context(), func(b *finish.Bench) error {
				line, err := b.AddTest(cmd.Context(), t)
				if err != nil {
					return err
				}
				return env.answer(line, func(w io.Writer) error {
					_, err := fmt.Fprintf(w, "%s: %s %s, grade %s\n", line.Code, line.Subject, line.How, line.Grade)
					return err
				})
			})
		},
	}
	f := cmd.Flags()
	f.StringVar(&t.Subject, "subject", "", "stock code of what was tested")
	f.StringVar(&t.Against, "against", "white cloth", "what it was tested on")
	f.StringVar(&t.How, "how", "", "dry rub, damp rub, press, heat or wash")
	f.StringVar(&t.When, "when", "", "when it was done (default: now)")
	f.StringVar(&t.Condition, "condition", "", "state of the piece: as bought, washed twice at 40 °C, …")
	f.StringVar(&t.Clean, "clean", "", "colour of the clean cloth")
	f.StringVar(&t.Stained, "stained", "", "colour of the stained cloth")
	f.StringVar(&t.Age, "age", "", "age of the paint when tested, such as 96 h")
	f.StringVar(&t.Note, "note", "", "a note")
	return cmd
}

func newRubListCommand(env *environment) *cobra.Command {
	return &cobra.Command{
		Use:     "list",
		Short:   "The tests on record with their grades",
		Long:    "list shows every test of the job with its grade.\n\nExit status: 0 done; 1 could not; 2 the words were wrong.",
		Example: "  undercoat rub list",
		Args:    noWords,
		RunE: func(cmd *cobra.Command, _ []string) error {
			return env.workroom(cmd.Context(), func(b *finish.Bench) error {
				lines, err := b.Tests(cmd.Context())
				if err != nil {
					return err
				}
				return env.answer(lines, func(w io.Writer) error {
					t := newTable("test", "of", "on", "how", "state", "date", "grade", ">rating")
					for _, l := range lines {
						t.row(l.Code, l.Subject, l.Against, l.How, l.Condition, l.When, l.Grade, fmt.Sprintf("%.2f", l.Rating))
					}
					return t.print(w)
				})
			})
		},
	}
}
