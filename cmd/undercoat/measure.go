package main

import (
	"fmt"
	"io"
	"os"

	"github.com/spf13/cobra"

	"undercoat/finish"
	"undercoat/palette"
)

type measureOptions struct {
	entry            finish.MeasureEntry
	lab, photo, rect string
	spectrum         string
	share            float64
	anchors          []string
	chart            string
}

func newStockMeasureCommand(env *environment) *cobra.Command {
	var o measureOptions
	cmd := &cobra.Command{
		Use:   "measure CODE",
		Short: "Record a drawdown, a strike-off, a tint or a swatch photograph",
		Long: `measure records a colour of a stock line: read by an instrument (--lab or --spectrum), or from a photograph of
the swatch beside something of known colour (--photo, --rect, --anchor or --chart). A photograph gives a range
and is marked "photographed"; pile and metal are marked as changing with the angle.

A drawdown lies over the black or white half of a hiding card, a strike-off is some coats over a ground of the
shelf, a tint is the paint stirred into a white (--over CODE, --share by mass) and laid until it hides. Each
refines that paint's film by as much as it is sure, and everything predicted afterwards rests on it. A spectrum
is 36 reflectances from 380 to 730 nm, or a file with a wavelength and a reflectance a line.

Exit status: 0 done; 1 could not; 2 the words were wrong.`,
		Example: "  undercoat stock measure W1 --kind drawdown --over black --coats 1 --lab 71.2,-0.8,1.1\n  undercoat stock measure T3 --kind strike-off --over C6 --coats 2 --lab 47.5,-22.0,-11.2\n  undercoat stock measure T3 --kind tint --over W1 --share 10 --lab 78.4,-15.2,-7.1\n  undercoat stock measure C1 --photo swatch.jpg --rect 600,400,200,200 --anchor 100,400,80,80=#F3F1EC",
		Args:    words(1, 1),
		RunE: func(cmd *cobra.Command, args []string) error {
			o.entry.Code = args[0]
			if err := o.read(); err != nil {
				return wording(cmd, err)
			}
			return env.workroom(cmd.Context(), func(b *finish.Bench) error {
				a, err := b.Measure(cmd.Context(), o.entry)
				if err != nil {
					return err
				}
				for _, n := range a.Notes {
					env.say("%s", n)
				}
				return env.answer(a, func(w io.Writer) error {
					lies := "over"
					if a.Kind == "tint" {
						lies = "in"
					}
					_, err := fmt.Fprintf(w, "%s %s %s %s: L* %s a* %s b* %s %s (%s, within ΔE00 %s)%s\n", a.Code, a.Kind, lies, a.Over,
						number(a.Lab[0]), number(a.Lab[1]), number(a.Lab[2]), a.Hex, a.Basis, number(a.Radius), env.swatch(a.Hex))
					return err
				})
			})
		},
	}
	f := cmd.Flags()
	f.StringVar(&o.entry.Kind, "kind", "swatch", "drawdown, strike-off, tint or swatch")
	f.StringVar(&o.entry.Over, "over", "itself", "what it lies on: black, white, itself or a stock code; of a tint the white it is stirred into")
	f.IntVar(&o.entry.Coats, "coats", 0, "number of coats")
	f.Float64Var(&o.entry.Film, "film-um", 0, "wet film in µm")
	f.StringVar(&o.entry.Light, "light", "", "light it was measured under (default D65)")
	f.Float64Var(&o.share, "share", 0, "of a tint: per cent of the paint in it by mass (default 10)")
	f.StringVar(&o.lab, "lab", "", "measured colour, L,a,b")
	f.StringVar(&o.spectrum, "spectrum", "", "measured reflectances, 36 numbers 0 to 1 or a file of them")
	f.StringVar(&o.photo, "photo", "", "photograph of the swatch")
	f.StringVar(&o.rect, "rect", "", "the swatch in the photograph, x,y,w,h")
	f.StringArrayVar(&o.anchors, "anchor", nil, "spot of known colour in the photograph, x,y,w,h or x,y,w,h=COLOUR")
	f.StringVar(&o.chart, "chart", "", "a 24-patch chart in the photograph, x,y,w,h")
	return cmd
}

func (o *measureOptions) read() error {
	given := 0
	for _, s := range []string{o.lab, o.spectrum, o.photo} {
		if s != "" {
			given++
		}
	}
	switch {
	case given != 1:
		return fmt.Errorf("measure: expected --lab, --spectrum or --photo, one of them")
	case o.share < 0 || o.share >= 100:
		return fmt.Errorf("--share: %g: expected more than 0 and less than 100 per cent", o.share)
	}
	o.entry.Share = o.share / 100
	if o.lab != "" {
		lab, err := parseLab(o.lab)
		o.entry.Lab = &lab
		return err
	}
	if o.spectrum != "" {
		return o.readSpectrum()
	}
	return o.readPhoto()
}

// readSpectrum takes the numbers as they stand, or out of the file they name.
func (o *measureOptions) readSpectrum() error {
	text := o.spectrum
	if data, err := os.ReadFile(text); err == nil {
		text = string(data)
	}
	r, err := finish.ParseSpectrum(text)
	if err != nil {
		return fmt.Errorf("--spectrum: %w", err)
	}
	o.entry.Spectrum = &r
	return nil
}

func (o *measureOptions) readPhoto() error {
	rect, err := palette.ParseRect(o.rect)
	if err != nil {
		return fmt.Errorf("--rect: %w", err)
	}
	o.entry.Rect = rect
	for _, a := range o.anchors {
		anchor, err := parseAnchor(a)
		if err != nil {
			return err
		}
		o.entry.Anchors = append(o.entry.Anchors, anchor)
	}
	if o.chart != "" {
		r, err := palette.ParseRect(o.chart)
		if err != nil {
			return fmt.Errorf("--chart: %w", err)
		}
		o.entry.Chart = &r
	}
	name := o.photo
	o.entry.Photo = &finish.PictureFile{Name: name, Open: func() (io.ReadCloser, error) { return os.Open(name) }}
	return nil
}
