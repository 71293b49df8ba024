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
	cmd.AddCommand(newRubGradeCommand(env), newRubAddCommand(env), newRubListCommand(env), newRubHowCommand(env), newRubScaleCommand(env))
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

type addOptions struct {
	entry         finish.TestEntry
	photo, white  string
	cleanAt, onAt []string
}

func newRubAddCommand(env *environment) *cobra.Command {
	var o addOptions
	cmd := &cobra.Command{
		Use:   "add [CODE]",
		Short: "Put a test on record",
		Long: `add keeps a test of the job: what was tested, how, in which state, and what it is graded by: the clean and stained
colours, a photograph with rectangles on both, or a grade judged by eye against a grey scale. A retest names the
earlier test, or finds it: the latest of the same subject, neighbour and way. Without CODE the next free one is taken.

Exit status: 0 done; 1 could not; 2 the words were wrong.`,
		Example: "  undercoat rub add RT13 --subject C5 --how 'damp rub' --condition 'washed twice' --clean 'lab(95.2 -0.3 2.1)' --stained 'lab(87.4 0.1 -1.6)'\n" +
			"  undercoat rub add --subject C8 --how 'dry rub' --grade 4-5",
		Args: words(0, 1),
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) > 0 {
				o.entry.Code = args[0]
			}
			if o.photo != "" {
				q, err := photoGrade(o.photo, "", o.white, o.cleanAt, o.onAt)
				if err != nil {
					return wording(cmd, fmt.Errorf("rub add: %w", err))
				}
				o.entry.Photo = &q
			}
			return env.workroom(cmd.Context(), func(b *finish.Bench) error {
				line, err := b.AddTest(cmd.Context(), o.entry)
				if err != nil {
					return err
				}
				return env.answer(line, func(w io.Writer) error {
					_, err := fmt.Fprintf(w, "%s: %s %s, grade %s%s\n", line.Code, line.Subject, line.How, gradeWords(line), retestWords(line))
					return err
				})
			})
		},
	}
	f := cmd.Flags()
	t := &o.entry
	f.StringVar(&t.Subject, "subject", "", "stock code of what was tested")
	f.StringVar(&t.Against, "against", "white cloth", "what it was tested on")
	f.StringVar(&t.How, "how", "", "dry rub, damp rub, press, heat or wash")
	f.StringVar(&t.When, "when", "", "when it was done (default: now)")
	f.StringVar(&t.Condition, "condition", "", "state of the piece: as bought, washed twice at 40 °C, …")
	f.StringVar(&t.Clean, "clean", "", "colour of the clean cloth")
	f.StringVar(&t.Stained, "stained", "", "colour of the stained cloth")
	f.StringVar(&t.Grade, "grade", "", "grade judged by eye against a grey scale: 1, 1-2 … 5")
	f.StringVar(&o.photo, "photo", "", "photograph of the stained cloth beside its clean part")
	f.StringArrayVar(&o.cleanAt, "clean-at", nil, "rectangle of a clean part of the photograph, x,y,w,h; more than one may be given")
	f.StringArrayVar(&o.onAt, "stained-at", nil, "rectangle inside the stain, x,y,w,h")
	f.StringVar(&o.white, "white", "", "colour the clean part is known to have (default: L* 95)")
	f.StringVar(&t.Age, "age", "", "age of the paint when tested, such as 96 h")
	f.StringVar(&t.Retests, "retests", "", "code of the earlier test this one repeats")
	f.StringVar(&t.Note, "note", "", "a note")
	return cmd
}

func gradeWords(l finish.TestLine) string {
	switch {
	case l.ByEye:
		return l.Grade + " by eye"
	case l.GradeLow != "" && l.GradeLow != l.Grade:
		return l.Grade + " (perhaps " + l.GradeLow + ")"
	}
	return l.Grade
}

func retestWords(l finish.TestLine) string {
	if l.Retests == "" {
		return ""
	}
	return ", retest of " + l.Retests
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
					t := newTable("test", "of", "on", "how", "state", "date", "grade", ">rating", "retests")
					for _, l := range lines {
						rating := fmt.Sprintf("%.2f", l.Rating)
						if l.ByEye || l.Rating == 0 {
							rating = ""
						}
						t.row(l.Code, l.Subject, l.Against, l.How, l.Condition, l.When, gradeWords(l), rating, l.Retests)
					}
					return t.print(w)
				})
			})
		},
	}
}

func newRubHowCommand(env *environment) *cobra.Command {
	return &cobra.Command{
		Use:   "how [dry rub|damp rub|press|heat|wash]",
		Short: "How a test is done at home, with the standard's figures beside it",
		Long: `how guides through a test step by step: what to take, what to do at home, the standard's own figure for the same
thing and how far it can be trusted, and the grades that are commonly asked for. Without words it names the tests.

Exit status: 0 done; 1 could not; 2 the words were wrong.`,
		Example: "  undercoat rub how damp rub",
		Args:    words(0, 2),
		RunE: func(cmd *cobra.Command, args []string) error {
			how := strings.Join(args, " ")
			a, err := finish.Protocols(how)
			if err != nil {
				return wording(cmd, err)
			}
			return env.answer(a, func(w io.Writer) error {
				if how == "" {
					return printProtocols(w, a)
				}
				return printProtocol(w, a[0])
			})
		},
	}
}

func printProtocols(w io.Writer, all []finish.ProtocolAnswer) error {
	t := newTable("test", "what it answers", "stands in for")
	for _, p := range all {
		t.row(p.How, p.Question, p.Standard)
	}
	return t.print(w)
}

func printProtocol(w io.Writer, p finish.ProtocolAnswer) error {
	fmt.Fprintf(w, "%s: %s\nstands in for %s\n\ntake: %s\n\n", p.How, p.Question, p.Standard, strings.Join(p.Need, "; "))
	for i, s := range p.Steps {
		fmt.Fprintf(w, "%d. %s\n", i+1, s.Home)
		if s.Standard != "" {
			fmt.Fprintf(w, "   (standard: %s; %s)\n", s.Standard, s.Evidence)
		}
	}
	fmt.Fprintln(w, "\nasked for:")
	for _, a := range p.Accept {
		fmt.Fprintf(w, "  %s %s (%s): %s\n", a.Of, a.Grade, a.Who, a.Looks)
	}
	return nil
}

func newRubScaleCommand(env *environment) *cobra.Command {
	var scale string
	cmd := &cobra.Command{
		Use:   "scale [FILE.svg]",
		Short: "A grey scale to judge by eye: shown, or written as a picture",
		Long: `scale shows the pairs of the grey scale for staining or for change, with the differences of the standards. With a
file name it writes a picture for a screen or a print; an unmeasured screen or printer makes it a guide only.

Exit status: 0 done; 1 could not; 2 the words were wrong.`,
		Example: "  undercoat rub scale\n  undercoat rub scale grey-scale.svg --scale change",
		Args:    words(0, 1),
		RunE: func(cmd *cobra.Command, args []string) error {
			pairs, err := finish.GreyScale(scale)
			if err != nil {
				return wording(cmd, err)
			}
			if len(args) > 0 {
				var b strings.Builder
				if err := finish.WriteGreyScale(&b, scale); err != nil {
					return err
				}
				if err := os.WriteFile(args[0], []byte(b.String()), 0o644); err != nil {
					return fmt.Errorf("write grey scale: %w", err)
				}
				env.say("wrote %s", args[0])
			}
			return env.answer(pairs, func(w io.Writer) error {
				t := newTable("grade", ">ΔE*ab", ">shown", "pair", "")
				for _, p := range pairs {
					t.row(p.Grade, fmt.Sprintf("%.1f", p.DE), fmt.Sprintf("%.2f", p.Shown), p.Reference+" "+p.Other, env.swatch(p.Reference)+env.swatch(p.Other))
				}
				return t.print(w)
			})
		},
	}
	cmd.Flags().StringVar(&scale, "scale", "staining", "staining or change")
	return cmd
}
