package sheet

import (
	"fmt"
	"slices"

	"undercoat/finish/garment"
	"undercoat/finish/plan"
)

// block is one area: what it should look like, what goes on it, when.
type block struct {
	Code, Piece, Note, Basis, Setting, Ready, Last, Spare, Difference string
	Swatches                                                          []swatch
	Layers                                                            []layerLine
	Steps                                                             []stepLine
	Cautions                                                          []remark
	Long                                                              bool // more steps than fit beside the swatches
}

// layerLine is one product of an area's stack, from the ground up.
type layerLine struct {
	Number                              int
	Name, Role, Coats, Range, Each, Fix string
	Total, Repair                       string
}

func areaBlock(d Data, a plan.Area) block {
	b := block{Code: a.Code, Piece: a.Piece, Basis: a.Basis, Setting: a.Setting.Because, Spare: span(a.Spare), Swatches: colours(d, a)}
	if area, ok := d.Job.Area(a.Code); ok {
		b.Note = area.Note
	}
	if v, ok := a.Difference.Get(); ok {
		b.Difference = fmt.Sprintf("ΔE00 %.1f to the target (%.1f to %.1f)", v, a.DifferenceRange[0], a.DifferenceRange[1])
	}
	if t, ok := a.LatestStart.Get(); ok {
		b.Last = d.at(t)
	}
	if t, ok := a.Ready.Get(); ok {
		b.Ready = d.at(t)
	}
	for i, y := range a.Layers {
		b.Layers = append(b.Layers, newLayer(d, i+1, y))
	}
	for _, s := range d.Plan.Steps {
		if s.Area == a.Code {
			b.Steps = append(b.Steps, newStep(d, s))
		}
	}
	b.Long = 2*len(b.Layers)+len(b.Steps) > besideSwatches
	return b
}

// besideSwatches is how many lines of an area's block stand beside its four
// swatches, a layer taking two.
const besideSwatches = 11

// colours are an area's colours side by side: the target, the ground and what
// the layers are predicted to give.
func colours(d Data, a plan.Area) []swatch {
	var out []swatch
	if a.Target.Known() {
		s := newSwatch("target", a.Target.Colour.Lab())
		if a.Target.Fluorescent {
			s.Label, s.Words = "target (stand-in for a glow)", "fluorescent, hue near "+s.Words
		}
		out = append(out, s)
	}
	if g, ok := d.Stock.Article(a.Ground); ok && a.Method != garment.ByCloth { // cut cloth is its own face
		if c, ok := g.Colour.Get(); ok {
			out = append(out, newSwatch("ground "+a.Ground, c.Lab()))
		}
	}
	if p, ok := a.Predicted.Get(); ok {
		s := newSwatch("predicted", p.Lab)
		if p.OutOfScreen {
			s.Label = "predicted (beyond ink and screen)"
		}
		out = append(out, s)
	}
	return out
}

func newLayer(d Data, n int, y plan.Layer) layerLine {
	l := layerLine{Number: n, Name: d.name(y.Code), Role: string(y.Role)}
	if y.Volume > 0 {
		l.Total = fmt.Sprintf("%.0f ml", float64(y.Volume))
		if y.Coats > 0 {
			l.Coats = fmt.Sprint(y.Coats)
		}
		if y.CoatsRange[0] < y.CoatsRange[1] {
			l.Range = fmt.Sprintf("%d to %d", y.CoatsRange[0], y.CoatsRange[1])
		}
		if y.Repair > 0 {
			l.Repair = fmt.Sprintf("+ %.0f ml repair pot", float64(y.Repair))
		}
	} else if y.Count > 0 {
		l.Total = fmt.Sprintf("%d pc", y.Count)
	} else if y.Quantity.Unit != "" {
		l.Total = y.Quantity.String()
	}
	l.Each = eachText(y)
	if y.Fixer != "" {
		l.Fix = "with " + d.name(y.Fixer)
	}
	return l
}

// eachText is what each of several coats takes: one figure where they are
// alike but for the rounding of the last.
func eachText(y plan.Layer) string {
	if len(y.Each) < 2 {
		return ""
	}
	low, high := slices.Min(y.Each), slices.Max(y.Each)
	if low == high {
		return fmt.Sprintf("%.0f ml", float64(low))
	}
	return fmt.Sprintf("%.0f to %.0f ml", float64(low), float64(high))
}
