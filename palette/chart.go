package palette

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"undercoat/palette/colour"
)

// ErrChart is the reason why a chart cannot be read.
var ErrChart = errors.New("no 24-patch chart found there")

// Bounds for reading a chart; common practice, no source.
const (
	chartLeastSide = 48  // pixels of the shorter side: 12 a patch
	chartWorst     = 9.0 // mean ΔE00 after the fit from which it is not that chart
	chartDoubt     = 3.0 // mean ΔE00 after the fit from which a warning is given
	chartPatchBad  = 8.0 // ΔE00 of one patch that is named
	chartClear     = 1.3 // the next best way of holding the chart must fit this much worse
	chartMost      = 6   // clipped patches from which nothing can be fitted
)

// ChartReading is what a 24-patch chart in a picture has shown.
type ChartReading struct {
	Patches  [chartPatches]ChartPatch // row by row, as the chart is held upright
	Turned   int                      // degrees clockwise the chart lies turned: 0, 90, 180, 270
	Mirrored bool                     // the picture is mirrored left to right
	Edition  string                   // which published values fit
	Method   string                   // the correction that was fitted
	Mean     float64                  // ΔE00 of the patches after it, mean
	Worst    float64                  // and largest
	Before   float64                  // mean ΔE00 before it
	Warnings []string                 // clipped patches, poor fit, mirrored
}

// ChartPatch is one patch of a chart.
type ChartPatch struct {
	Name       string
	At         Rect       // the pixels that were read
	Seen       colour.Lab // as photographed
	Corrected  colour.Lab
	Published  colour.Lab // under D65
	Difference float64    // ΔE00 of Corrected to Published
	Clipped    bool       // left out of the fit
}

// ByChart returns the picture as the 24-patch chart at that rectangle says it
// should look in daylight (D65): colours corrected in linear light by a 3 × 3
// matrix or a root-polynomial of degree 2, whichever foretells left-out patches
// better. The rectangle holds the chart's patches; its frame may be inside. The
// chart may lie turned by quarters, and the picture may be mirrored.
//
// Exposure is corrected too: L* then means lightness under the chart's light. A
// part of the scene in other light keeps that difference. The warnings are those
// of the reading. The error wraps [ErrChart].
func (r Reference) ByChart(at Rect) (Reference, []string, error) {
	reading, c, err := r.readChart(at)
	if err != nil {
		return r, reading.Warnings, err
	}
	out := r.corrected(c)
	out.guessed = false
	return out, reading.Warnings, nil
}

// Chart reads the 24-patch chart at that rectangle and reports how well it fits;
// see [Reference.ByChart].
func (r Reference) Chart(at Rect) (ChartReading, error) {
	reading, _, err := r.readChart(at)
	return reading, err
}

// readChart reads the patches, finds how the chart is held and fits the correction.
func (r Reference) readChart(at Rect) (ChartReading, chartCorrection, error) {
	fail := func(why string) (ChartReading, chartCorrection, error) {
		return ChartReading{}, chartCorrection{}, fmt.Errorf("read chart at %s: %w: %s", at, ErrChart, why)
	}
	w, h := r.Size()
	switch {
	case !at.in(w, h):
		return fail(fmt.Sprintf("the rectangle does not lie inside the picture of %d × %d", w, h))
	case min(at.W, at.H) < chartLeastSide:
		return fail(fmt.Sprintf("its shorter side has %d pixels, at least %d are wanted", min(at.W, at.H), chartLeastSide))
	}
	grid := r.chartGrid(at)
	held, ok := hold(grid)
	if !ok {
		return fail("the patches do not look like the chart in any position; mark the patch field alone, without stand or frame")
	}
	if n := held.clippedPatches(); n >= chartMost {
		return fail(fmt.Sprintf("%d patches are burnt out", n))
	}
	reading := held.reading()
	if reading.Mean > chartWorst {
		return fail(fmt.Sprintf("after the best fit the patches still differ by ΔE00 %.1f on average", reading.Mean))
	}
	return reading, held.fit, nil
}

// seenPatch is a patch as it was read.
type seenPatch struct {
	at      Rect
	rgb     colour.LinearRGB
	spread  float64 // ΔE00 within the patch
	clipped bool
}

// chartGrid is the chart as it lies in the picture: columns across, rows down.
type chartGrid struct {
	columns, rows int
	patches       [chartPatches]seenPatch
}

// chartGrid reads the patches. The margin between the rectangle and the patch
// field is not known, so the one is taken whose patches are the most even.
func (r Reference) chartGrid(at Rect) chartGrid {
	columns, rows := chartColumns, chartRows
	if at.H > at.W {
		columns, rows = rows, columns
	}
	best, bestSpread := chartGrid{}, math.Inf(1)
	for mx := range 8 {
		for my := range 8 {
			g := chartGrid{columns: columns, rows: rows}
			sum := 0.0
			for k := range g.patches {
				g.patches[k] = r.chartPatch(inset(at, columns, rows, k, 0.02*float64(mx), 0.02*float64(my), 0.62), 6)
				sum += min(g.patches[k].spread, 20)
			}
			// Even by a hair is no reason to prefer a wider margin.
			if sum < 0.97*bestSpread-0.2 {
				best, bestSpread = g, sum
			}
		}
	}
	for k := range best.patches {
		p := &best.patches[k]
		w, h := max(p.at.W*2/3, 4), max(p.at.H*2/3, 4)
		*p = r.chartPatch(Rect{p.at.X + (p.at.W-w)/2, p.at.Y + (p.at.H-h)/2, w, h}, 15)
	}
	return best
}

// inset is the middle part of patch k of a field inside at with those margins,
// as shares of its sides.
func inset(at Rect, columns, rows, k int, mx, my, part float64) Rect {
	pw, ph := float64(at.W)*(1-2*mx)/float64(columns), float64(at.H)*(1-2*my)/float64(rows)
	x := float64(at.X) + float64(at.W)*mx + pw*(float64(k%columns)+(1-part)/2)
	y := float64(at.Y) + float64(at.H)*my + ph*(float64(k/columns)+(1-part)/2)
	return Rect{int(x + 0.5), int(y + 0.5), max(int(pw*part), 2), max(int(ph*part), 2)}
}

// chartPatch reads a patch: medians per channel of about side × side pixels.
func (r Reference) chartPatch(at Rect, side int) seenPatch {
	p := seenPatch{at: at}
	step := max(1, min(at.W, at.H)/side)
	var rs, gs, bs []float64
	clipped := 0
	for y := at.Y + step/2; y < at.Y+at.H; y += step {
		for x := at.X + step/2; x < at.X+at.W; x += step {
			e := r.encodedAt(x, y)
			if !e.opaque {
				continue
			}
			if high, _ := r.clipped(e); high {
				clipped++
			}
			c := r.linear(e)
			rs, gs, bs = append(rs, c.R), append(gs, c.G), append(bs, c.B)
		}
	}
	if len(rs) == 0 {
		p.spread, p.clipped = 100, true
		return p
	}
	p.rgb = colour.LinearRGB{R: median(rs), G: median(gs), B: median(bs)}
	p.clipped = 10*clipped > len(rs)
	p.spread = distance(colour.LinearRGB{R: quantile(rs, 0.1), G: quantile(gs, 0.1), B: quantile(bs, 0.1)},
		colour.LinearRGB{R: quantile(rs, 0.9), G: quantile(gs, 0.9), B: quantile(bs, 0.9)})
	return p
}

// distance is a quick difference of two colours in OKLab, about ΔE00 near grey.
func distance(p, q colour.LinearRGB) float64 {
	a, b := narrow(p).ok(), narrow(q).ok()
	l, x, y := float64(a.l-b.l), float64(a.a-b.a), float64(a.b-b.b)
	return math.Sqrt(l*l + x*x + y*y)
}

func narrow(c colour.LinearRGB) rgb32 { return rgb32{float32(c.R), float32(c.G), float32(c.B)} }

// heldChart is a chart whose patches have been put in order, and what was fitted.
type heldChart struct {
	patches  [chartPatches]seenPatch // as the chart is held upright
	turned   int
	mirrored bool
	values   *chartValues
	fit      chartCorrection
	mean     float64
}

// hold finds how the chart lies: of the ways that its shape allows, turned by
// half or not and mirrored or not, the one whose patches a 3 × 3 matrix brings
// nearest to the published values. ok is false where no way fits clearly better
// than the next.
func hold(g chartGrid) (heldChart, bool) {
	editions := chartEditions()
	best, second := heldChart{mean: math.Inf(1)}, math.Inf(1)
	for _, turned := range []int{0, 90, 180, 270} {
		if (turned%180 != 0) != (g.columns == chartRows) {
			continue
		}
		for _, mirrored := range []bool{false, true} {
			h := heldChart{turned: turned, mirrored: mirrored, values: &editions[0]}
			for k := range h.patches {
				h.patches[k] = g.patches[g.place(k, turned, mirrored)]
			}
			if !h.refit(plainTerms) {
				continue
			}
			switch {
			case h.mean < best.mean:
				best, second = h, best.mean
			case h.mean < second:
				second = h.mean
			}
		}
	}
	if math.IsInf(best.mean, 1) || second < chartClear*best.mean {
		return best, false
	}
	if old := best; old.useEdition(&editions[1]) && old.mean < 0.8*best.mean {
		best = old
	}
	best.choose()
	return best, true
}

// place returns where patch k of the upright chart lies in the grid, for a chart
// turned clockwise by so many degrees and then mirrored left to right.
func (g *chartGrid) place(k, turned int, mirrored bool) int {
	c, r := k%chartColumns, k/chartColumns
	switch turned {
	case 90:
		c, r = chartRows-1-r, c
	case 180:
		c, r = chartColumns-1-c, chartRows-1-r
	case 270:
		c, r = r, chartColumns-1-c
	}
	if mirrored {
		c = g.columns - 1 - c
	}
	return r*g.columns + c
}

func (h *heldChart) useEdition(v *chartValues) bool {
	h.values = v
	return h.refit(plainTerms)
}

// lists returns the patches that count, but for one, with weights. A step of
// linear light shows the more the darker it is, so patches weigh by the slope of
// L* (CIE 15, equation for L*), which makes the fit even to the eye.
func (h *heldChart) lists(without int) (seen, wanted []colour.LinearRGB, weight []float64) {
	for k, p := range h.patches {
		if p.clipped || k == without {
			continue
		}
		seen, wanted = append(seen, p.rgb), append(wanted, h.values.rgb[k])
		weight = append(weight, math.Pow(max(h.values.rgb[k].XYZ().Y, 0.01), -4.0/3))
	}
	return seen, wanted, weight
}

// refit fits a correction of that kind to all patches.
func (h *heldChart) refit(e expansion) bool {
	seen, wanted, weight := h.lists(-1)
	fit, ok := fitCorrection(e, seen, wanted, weight)
	if !ok {
		return false
	}
	h.fit = fit
	sum, n := 0.0, 0
	for k, p := range h.patches {
		if !p.clipped {
			sum += colour.Difference(fit.apply(p.rgb).Lab(), h.values.lab[k])
			n++
		}
	}
	h.mean = sum / float64(n)
	return !math.IsNaN(h.mean)
}

// leftOut is the mean ΔE00 of each patch under the correction fitted to the others.
func (h *heldChart) leftOut(e expansion) float64 {
	sum, n := 0.0, 0
	for k, p := range h.patches {
		if p.clipped {
			continue
		}
		seen, wanted, weight := h.lists(k)
		fit, ok := fitCorrection(e, seen, wanted, weight)
		if !ok {
			return math.Inf(1)
		}
		sum += colour.Difference(fit.apply(p.rgb).Lab(), h.values.lab[k])
		n++
	}
	return sum / float64(n)
}

// choose takes the root-polynomial where it foretells left-out patches better.
func (h *heldChart) choose() {
	if h.leftOut(rootTerms) < h.leftOut(plainTerms) {
		h.refit(rootTerms)
		return
	}
	h.refit(plainTerms)
}

func (h *heldChart) clippedPatches() int {
	n := 0
	for _, p := range h.patches {
		if p.clipped {
			n++
		}
	}
	return n
}

// reading reports on the chart.
func (h *heldChart) reading() ChartReading {
	r := ChartReading{Turned: h.turned, Mirrored: h.mirrored, Edition: h.values.edition, Method: h.fit.terms.String(), Mean: h.mean}
	var burnt, bad []string
	n := 0
	for k, p := range h.patches {
		c := ChartPatch{
			Name: chartTable[k].name, At: p.at, Seen: p.rgb.Lab(), Corrected: h.fit.apply(p.rgb).Lab(),
			Published: h.values.lab[k], Clipped: p.clipped,
		}
		c.Difference = colour.Difference(c.Corrected, c.Published)
		r.Patches[k] = c
		if p.clipped {
			burnt = append(burnt, c.Name)
			continue
		}
		n++
		r.Before += colour.Difference(c.Seen, c.Published)
		r.Worst = max(r.Worst, c.Difference)
		if c.Difference > chartPatchBad {
			bad = append(bad, c.Name)
		}
	}
	r.Before /= float64(n)
	if len(burnt) > 0 {
		r.Warnings = append(r.Warnings, fmt.Sprintf("chart patches burnt out and left out: %s", strings.Join(burnt, ", ")))
	}
	if r.Mean > chartDoubt {
		r.Warnings = append(r.Warnings, fmt.Sprintf("after correction the chart still differs by ΔE00 %.1f on average: glare, uneven light or another chart", r.Mean))
	}
	if len(bad) > 0 {
		r.Warnings = append(r.Warnings, fmt.Sprintf("chart patches that do not fit: %s", strings.Join(bad, ", ")))
	}
	if r.Mirrored {
		r.Warnings = append(r.Warnings, "the chart is mirrored: the picture is a mirror image")
	}
	return r
}
