package main

import (
	"fmt"
	"io"
	"os"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"undercoat/finish"
	"undercoat/inventory/unit"
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
	scale, white, cleanLab, stainedLab string
	clean, stained                     []string
}

func newRubGradeCommand(env *environment) *cobra.Command {
	var o gradeOptions
	cmd := &cobra.Command{
		Use:   "grade [PHOTO]",
		Short: "The grade of a rub cloth, from a photograph or from measured colours",
		Long: `grade compares the stained part of a rub cloth with its own clean part: rectangles of one photograph, or two
measured colours. Grade 5 is no stain, 1 the heaviest. In a photograph the light is evened out and its cast
removed by the clean part; mark clean cloth on both sides of the stain for the narrowest range. A picture that
cannot carry a grade (burnt out, too dark, a strong cast, rectangles that overlap) is refused with the reason.
The standards measure with an instrument and the 10° observer; a photograph gives an estimate with its range.

Exit status: 0 done; 1 could not; 2 the words were wrong.`,
		Example: "  undercoat rub grade cloth.jpg --clean 40,40,200,200 --clean 800,40,200,200 --stained 400,60,160,160\n  undercoat rub grade --clean-lab 95.2,-0.3,2.1 --stained-lab 82.5,0.4,-3.2",
		Args:    words(0, 1),
		RunE: func(cmd *cobra.Command, args []string) error {
			a, err := o.grade(cmd, args)
			if err != nil {
				return err
			}
			return env.answer(a, func(w io.Writer) error { return printGrade(w, a) })
		},
	}
	f := cmd.Flags()
	f.StringVar(&o.scale, "scale", "staining", "staining (of the white cloth) or change (of the piece itself)")
	f.StringArrayVar(&o.clean, "clean", nil, "rectangle of a clean part, x,y,w,h; more than one may be given")
	f.StringArrayVar(&o.stained, "stained", nil, "rectangle inside the stain, x,y,w,h")
	f.StringVar(&o.white, "white", "", "colour the clean part is known to have (default: L* 95, usual for rubbing cloth)")
	f.StringVar(&o.cleanLab, "clean-lab", "", "measured colour of the clean part, L,a,b")
	f.StringVar(&o.stainedLab, "stained-lab", "", "measured colour of the stained part, L,a,b")
	return cmd
}

func printGrade(w io.Writer, a finish.GradeAnswer) error {
	between := ""
	if a.RatingLow != a.RatingHigh {
		between = fmt.Sprintf(", probably %.2f to %.2f", a.RatingLow, a.RatingHigh)
	}
	fmt.Fprintf(w, "%s grade %s  (rating %.2f%s; ΔE*ab %.1f)\n", a.Scale, a.Grade, a.Rating, between, a.DEAB)
	for _, d := range a.Doubts {
		fmt.Fprintln(w, "  "+d)
	}
	return nil
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
	q, err := photoGrade(args[0], o.scale, o.white, o.clean, o.stained)
	if err != nil {
		return finish.GradeAnswer{}, wording(cmd, fmt.Errorf("rub grade: %w", err))
	}
	return finish.GradePhoto(q)
}

// photoGrade reads the words about a photograph of a cloth.
func photoGrade(name, scale, white string, clean, stained []string) (finish.PhotoGrade, error) {
	q := finish.PhotoGrade{Scale: scale, Picture: finish.PictureFile{Name: name, Open: func() (io.ReadCloser, error) { return os.Open(name) }}}
	if len(clean) == 0 || len(stained) == 0 {
		return q, fmt.Errorf("expected --clean x,y,w,h and --stained x,y,w,h with a photograph")
	}
	for _, g := range []struct {
		texts []string
		into  *[]palette.Rect
	}{{clean, &q.Clean}, {stained, &q.Stained}} {
		for _, text := range g.texts {
			r, err := palette.ParseRect(text)
			if err != nil {
				return q, err
			}
			*g.into = append(*g.into, r)
		}
	}
	if white != "" {
		c, err := colour.Parse(white)
		if err != nil {
			return q, fmt.Errorf("--white: %w", err)
		}
		q.Known = unit.State(c.Lab())
	}
	return q, nil
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
