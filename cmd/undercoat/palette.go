package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime/debug"
	"strings"

	"github.com/spf13/cobra"

	"undercoat/finish"
	"undercoat/palette"
	"undercoat/palette/colour"
)

type paletteOptions struct {
	colours int
	anchors []string
	chart   string
	patches []string
	overlay string
}

func newPaletteCommand(env *environment) *cobra.Command {
	var o paletteOptions
	cmd := &cobra.Command{
		Use:   "palette PICTURE…",
		Short: "The materials of pictures, and the colour of named patches",
		Long: `palette reads pictures (JPEG, PNG, WebP, AVIF, HEIC, GIF, TIFF, BMP), finds the materials in each with
base, shadow and light, and reads named patches; the same patch name in several pictures is weighed
into one colour with a range. Rectangles are x,y,w,h in pixels of the upright picture. An anchor is a
spot of known colour, grey or white by default, and removes a cast. --overlay draws each picture with its
materials outlined and numbered as they are listed.

Exit status: 0 done; 1 a picture could not be read; 2 the words were wrong.`,
		Example: "  undercoat palette R1.png --anchor 700,420,60,40=#F3F1EC --patch coat=640,700,80,80",
		Args:    atLeast(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			req, err := o.request(args)
			if err != nil {
				return wording(cmd, err)
			}
			return runPalette(cmd.Context(), env, req)
		},
	}
	f := cmd.Flags()
	f.IntVar(&o.colours, "colours", 0, "number of materials wanted (0: the picture says)")
	f.StringArrayVar(&o.anchors, "anchor", nil, "spot of known colour, x,y,w,h or x,y,w,h=COLOUR; more than one may be given")
	f.StringVar(&o.chart, "chart", "", "rectangle of a 24-patch chart in the picture, x,y,w,h")
	f.StringVar(&o.overlay, "overlay", "", "draw the materials of each picture into this folder, as PICTURE-materials.png")
	f.StringArrayVar(&o.patches, "patch", nil, "NAME=x,y,w,h: read this patch; more than one may be given")
	return cmd
}

func (o paletteOptions) request(files []string) (finish.PaletteRequest, error) {
	req := finish.PaletteRequest{Colours: o.colours}
	if o.colours < 0 || o.colours > 64 {
		return req, fmt.Errorf("--colours %d: expected 0 to 64", o.colours)
	}
	for _, name := range files {
		req.Pictures = append(req.Pictures, finish.PictureFile{Name: name, Open: func() (io.ReadCloser, error) { return os.Open(name) }})
	}
	for _, a := range o.anchors {
		anchor, err := parseAnchor(a)
		if err != nil {
			return req, err
		}
		req.Anchors = append(req.Anchors, anchor)
	}
	if o.chart != "" {
		r, err := palette.ParseRect(o.chart)
		if err != nil {
			return req, fmt.Errorf("--chart: %w", err)
		}
		req.Chart = &r
	}
	if o.overlay != "" {
		req.Overlay = func(picture string) (io.WriteCloser, error) {
			if err := os.MkdirAll(o.overlay, 0o755); err != nil {
				return nil, err
			}
			name := filepath.Base(picture)
			return os.Create(filepath.Join(o.overlay, strings.TrimSuffix(name, filepath.Ext(name))+"-materials.png"))
		}
	}
	for _, p := range o.patches {
		name, rect, found := strings.Cut(p, "=")
		if !found || strings.TrimSpace(name) == "" {
			return req, fmt.Errorf("--patch %q: expected NAME=x,y,w,h", p)
		}
		r, err := palette.ParseRect(rect)
		if err != nil {
			return req, fmt.Errorf("--patch %s: %w", name, err)
		}
		req.Patches = append(req.Patches, finish.NamedPatch{Name: strings.TrimSpace(name), Rect: r})
	}
	return req, nil
}

// parseAnchor reads "x,y,w,h" (a neutral of whatever lightness it has) or
// "x,y,w,h=COLOUR".
func parseAnchor(s string) (palette.Anchor, error) {
	rect, known, given := strings.Cut(s, "=")
	r, err := palette.ParseRect(rect)
	if err != nil {
		return palette.Anchor{}, fmt.Errorf("--anchor: %w", err)
	}
	if !given {
		return palette.Anchor{Rect: r}, nil
	}
	c, err := colour.Parse(known)
	if err != nil {
		return palette.Anchor{}, fmt.Errorf("--anchor %s: %w", rect, err)
	}
	return palette.Anchor{Rect: r, Colour: c.Lab()}, nil
}

// pictureGarbage is how much garbage, in per cent of what is in use, is let lie
// while pictures are read: they are large and hold no pointers, so that clearing
// up often costs next to nothing and keeps the program small.
const pictureGarbage = 5

func runPalette(ctx context.Context, env *environment, req finish.PaletteRequest) error {
	defer debug.SetGCPercent(debug.SetGCPercent(pictureGarbage))
	bar := newProgress(env, "reading pictures")
	req.Progress = bar.step
	a, err := finish.ReadPictures(ctx, req)
	bar.end()
	if err != nil {
		return err
	}
	for _, p := range a.Pictures {
		for _, w := range p.Warnings {
			env.say("%s: %s", p.File, w)
		}
		if p.Cast != "" {
			env.say("%s: %s", p.File, p.Cast)
		}
	}
	return env.answer(a, func(w io.Writer) error {
		return errors.Join(printPictures(w, a), printMaterials(env, w, a), printPatches(env, w, a))
	})
}

func printPictures(w io.Writer, a finish.PaletteAnswer) error {
	for _, p := range a.Pictures {
		how := ""
		if p.Upright {
			how += ", turned upright"
		}
		if p.Anchor {
			how += ", cast removed by the anchor"
		}
		if _, err := fmt.Fprintf(w, "%s: %s, %d × %d, %s%s\n", p.File, p.Format, p.Width, p.Height, p.Profile, how); err != nil {
			return err
		}
	}
	return nil
}

func printMaterials(env *environment, w io.Writer, a finish.PaletteAnswer) error {
	t := newTable(">no.", "material", "base", ">share", ">L*", ">a*", ">b*", "shadow", "light", ">base lies", "trust", "within x,y,w,h", "note", "")
	n := 0
	for i, m := range a.Materials {
		if len(a.Pictures) > 1 && (i == 0 || a.Materials[i-1].Picture != m.Picture) {
			t.row("", m.Picture, "", "", "", "", "", "", "", "", "", "", "", "")
		}
		if i == 0 || a.Materials[i-1].Picture != m.Picture {
			n = 0
		}
		n++
		t.row(fmt.Sprint(n), m.Name, m.Hex, percent(m.Share), number(m.Lab[0]), number(m.Lab[1]), number(m.Lab[2]), m.Shadow.Hex, m.Light.Hex,
			percent(m.Lies), m.Trust, fmt.Sprintf("%d,%d,%d,%d", m.Bounds[0], m.Bounds[1], m.Bounds[2], m.Bounds[3]),
			screenNote(m.AtScreenLimit, m.BeyondSurface, m.BeyondOptimal), env.swatch(m.Hex))
	}
	if len(t.rows) > 0 {
		fmt.Fprintln(w)
	}
	return t.print(w)
}

// screenNote says where a colour meets the limits of a screen or of surfaces.
func screenNote(atLimit, beyond, optimal bool) string {
	switch {
	case optimal:
		return "beyond what any surface can be: only a fluorescent reaches it"
	case beyond:
		return "beyond surface colours: only a fluorescent reaches it"
	case atLimit:
		return "at the limit of a screen"
	}
	return ""
}

func printPatches(env *environment, w io.Writer, a finish.PaletteAnswer) error {
	for _, p := range a.Patches {
		fmt.Fprintf(w, "\n%s: %s  %s  L* %s a* %s b* %s  range L* %s to %s, a* %s to %s, b* %s to %s%s\n", p.Name, p.Words, p.Hex,
			number(p.Lab[0]), number(p.Lab[1]), number(p.Lab[2]), number(p.LabLow[0]), number(p.LabHigh[0]), number(p.LabLow[1]), number(p.LabHigh[1]),
			number(p.LabLow[2]), number(p.LabHigh[2]), env.swatch(p.Hex))
		fmt.Fprintf(w, "  %s; within ΔE00 %s, chance of ΔE00 3 or less %s\n", p.Says, number(p.Radius), percent(p.Confidence))
		if note := screenNote(p.Screen, p.Beyond, false); note != "" {
			fmt.Fprintf(w, "  %s\n", note)
		}
		t := newTable("  picture", "reads", ">spread", ">pixels", "counts", "why", "")
		for _, r := range p.PerPicture {
			t.row("  "+r.Picture, r.Hex, number(r.Spread), fmt.Sprint(r.Pixels), yesNo(r.Counts), r.Why, env.swatch(r.Hex))
		}
		if err := t.print(w); err != nil {
			return err
		}
		for _, s := range p.Settle {
			fmt.Fprintf(w, "  to settle it: %s\n", s)
		}
	}
	return nil
}

func yesNo(b bool) string {
	if b {
		return "yes"
	}
	return "no"
}

func percent(v float64) string {
	switch {
	case v > 0 && v < 0.01:
		return fmt.Sprintf("%.1f %%", 100*v)
	default:
		return fmt.Sprintf("%.0f %%", 100*v)
	}
}

func number(v float64) string { return fmt.Sprintf("%.1f", v) }
