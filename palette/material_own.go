package palette

import (
	"math"
	"slices"

	"undercoat/palette/colour"
)

// Bounds for reading the own colour.
const (
	litEnd      = 0.95  // quantile of light above which nothing counts as the lit end
	cliffShare  = 0.5   // the lit end is where a bin still holds this share of the fullest
	cliffStep   = 0.025 // width of a bin, in natural logarithm of light
	glareShare  = 0.08  // glare over body from which a cell is glare
	flatRange   = 1.08  // light of the lightest tenth over the darkest below which a material is flat: no shade, only noise
	litBand     = 0.03  // share of the cells around the lit end that are averaged, each way
	hueLeast    = 60    // cells on each side of the lit end from which the direction of the colour is taken at least
	heapLeast   = 150   // cells from which a heap of glare is looked for
	heapShare   = 0.4
	dipDepth    = 0.75
	cliffLowest = 1e-5 // linear light of the first bin
)

// shades is what is read of a material: its colours from shadow to glare.
type shades struct {
	base, shadow, light, middle colour.Lab
	spread                      float64 // mean ΔE00 of its cells from its line of shades
	clipped                     bool    // most of the lit end clips
}

// readShades reads a material from its cells. The own colour is taken from cells
// of the material's core, split into body and glare (Shafer 1985): where the
// light stops rising it is fully lit; the colour there is measured, not
// extrapolated.
func readShades(core, all []cell) shades {
	s := shades{middle: middleOf(all)}
	ends := byLuma(all)
	k := max(1, len(ends)/20)
	s.shadow = meanOf(ends[:k]).lab()
	s.light = meanOf(ends[len(ends)-k:]).lab()
	if len(core) < 8 {
		core = all
	}
	base := ownColour(core)
	s.base = base.lab()
	// The law L* shadow ≤ base ≤ light holds by construction but for rounding
	// in materials of one flat colour.
	if s.base.L < s.shadow.L {
		s.shadow = s.base
	}
	if s.base.L > s.light.L {
		s.light = s.base
	}
	s.spread = spreadOf(all, base)
	s.clipped = clippedEnd(ends)
	return s
}

// cell is one cell's colour.
type cell struct {
	rgb32
	y    float32 // luminance
	clip uint8   // channels that clip
}

// byLuma returns the cells in order of luminance, those of the same in the order
// given. It sorts numbers that hold luminance and place, which is several times
// quicker than sorting cells.
func byLuma(c []cell) []cell {
	keys := make([]uint64, len(c))
	for i, v := range c {
		b := math.Float32bits(v.y)
		b ^= uint32(int32(b)>>31) | 1<<31 // the order of floating-point numbers as that of whole ones
		keys[i] = uint64(b)<<32 | uint64(i)
	}
	slices.Sort(keys)
	out := make([]cell, len(c))
	for i, k := range keys {
		out[i] = c[uint32(k)]
	}
	return out
}

// meanOf is the mean in linear light.
func meanOf(c []cell) rgb32 {
	var s rgb64
	for _, v := range c {
		s.add(v.rgb32)
	}
	k := 1 / float64(max(1, len(c)))
	return rgb32{float32(s.r * k), float32(s.g * k), float32(s.b * k)}
}

// middleOf is the median of L*, of a* and of b*, found in the cells and read off
// a sample of about a thousand.
func middleOf(c []cell) colour.Lab {
	step := len(c)/1024 + 1
	var l, a, b []float64
	for i := step / 2; i < len(c); i += step {
		v := c[i].lab()
		l, a, b = append(l, v.L), append(a, v.A), append(b, v.B)
	}
	return colour.Lab{L: median(l), A: median(a), B: median(b)}
}

// ownColour is the colour of a material where it is fully lit and carries no glare.
func ownColour(c []cell) rgb32 { return litColour(mended(c)) }

// mended puts right the cells that clip in one channel, where enough others show
// how that channel stands to the two. A few clipped cells are only left out:
// they are glare.
func mended(c []cell) []cell {
	whole := withoutClipped(c)
	switch {
	case 33*(len(c)-len(whole)) < len(c):
		return whole
	case len(whole) < max(8, len(c)/30):
		return c
	}
	u := bodyOf(whole)
	out := slices.Clone(c)
	for i := range out {
		v := &out[i]
		switch v.clip {
		case 1:
			v.r = max(v.r, u.r*(v.g+v.b)/(u.g+u.b))
		case 2:
			v.g = max(v.g, u.g*(v.r+v.b)/(u.r+u.b))
		case 4:
			v.b = max(v.b, u.b*(v.r+v.g)/(u.r+u.g))
		}
		v.y = v.luma()
	}
	return out
}

// litColour is the mean colour around the lit end of the body.
func litColour(c []cell) rgb32 {
	body := bodyOf(c)
	lit := make([]cell, 0, len(c))
	_, _, told := bodyAndGlare(body, body)
	for _, v := range c {
		s, m, sure := bodyAndGlare(body, v.rgb32)
		if !sure {
			lit = append(lit, v)
			continue
		}
		// body is scaled to luminance 1, so s is the luminance of the body part.
		if m < glareShare*s {
			v.y = s
			lit = append(lit, v)
		}
	}
	if 3*len(lit) < len(c) {
		lit = c
	}
	lit = byLuma(lit)
	k := min(cliff(lit, !told), int(litEnd*float64(len(lit))))
	if lit[len(lit)*9/10].y < flatRange*lit[len(lit)/10].y {
		k = len(lit) / 2
	}
	by := int(litBand*float64(len(lit))) + 2
	around := func(by int) rgb32 { return meanOf(lit[max(0, k-by):min(len(lit), k+by)]) }
	end := around(by)
	if by >= hueLeast {
		return end
	}
	// Of a small part the lit end is a handful of cells, and blur and compression
	// lead chroma astray from cell to cell: along the shades of one material its
	// direction is the same (Shafer 1985), so it is taken from more of them.
	wide := around(hueLeast)
	if y := wide.luma(); y > 0 {
		return wide.times(end.luma() / y)
	}
	return end
}

// withoutClipped leaves out the cells that clip.
func withoutClipped(c []cell) []cell {
	whole := make([]cell, 0, len(c))
	for _, v := range c {
		if v.clip == 0 {
			whole = append(whole, v)
		}
	}
	return whole
}

// bodyOf is the direction of the body colour, luminance 1: the mean of the
// middle half by luminance, where neither noise nor glare rules.
func bodyOf(c []cell) rgb32 {
	sorted := byLuma(c)
	m := meanOf(sorted[len(sorted)/4 : max(len(sorted)*3/4, len(sorted)/4+1)])
	y := m.luma()
	if y <= 0 {
		return rgb32{1, 1, 1}
	}
	return m.times(1 / y)
}

// lightBins is a histogram of light in equal steps of its logarithm, and the same
// smoothed.
type lightBins struct{ n, smooth [500]int }

func newLightBins(c []cell) (b lightBins) {
	for _, v := range c {
		b.n[lightBin(v.y)]++
	}
	for i := 2; i < len(b.n)-2; i++ {
		b.smooth[i] = b.n[i-2] + 2*b.n[i-1] + 3*b.n[i] + 2*b.n[i+1] + b.n[i+2]
	}
	return b
}

func lightBin(y float32) int {
	return max(0, min(499, int(math.Log(max(float64(y), cliffLowest)/cliffLowest)/cliffStep)))
}

// lastWith is the last bin up to a bound that holds so many.
func (b *lightBins) lastWith(least float64, upTo int) int {
	for i := upTo; i > 0; i-- {
		if float64(b.smooth[i]) >= least {
			return i
		}
	}
	return 0
}

// cliff is the place, in cells sorted by light, of the lit end of the body. On a
// curved surface the number of cells rises with light up to the fully lit ones
// and then drops to the few that carry glare. On a grey one, where glare has no
// colour of its own, a small heap beyond a dip is glare too.
func cliff(c []cell, grey bool) int {
	b := newLightBins(c[len(c)/3:])
	top := float64(slices.Max(b.smooth[:]))
	last := b.lastWith(cliffShare*top, len(b.smooth)-1)
	if grey && len(c) >= heapLeast {
		last = b.withoutHeap(last, top, len(c))
	}
	edge := float32(cliffLowest * math.Exp(cliffStep*(float64(last)+0.5)))
	k := len(c) - 1
	for k > 0 && c[k].y > edge {
		k--
	}
	return k
}

// withoutHeap returns the lit end below a heap of glare: one that holds less than
// heapShare of all cells and stands beyond a dip to less than dipDepth of both
// sides. Where there is none it returns last.
func (b *lightBins) withoutHeap(last int, top float64, all int) int {
	peak := b.smooth[last]
	dip, above := last, 0
	for i := last; i > 0; i-- {
		v := b.smooth[i]
		if dip == last || v < b.smooth[dip] {
			dip = i
		}
		peak = max(peak, b.smooth[min(i+2, last)])
		if float64(v) < cliffShare*top || float64(b.smooth[dip]) > dipDepth*float64(min(v, peak)) {
			continue
		}
		for _, n := range b.n[dip:] {
			above += n
		}
		if float64(above) > heapShare*float64(all) {
			return last
		}
		main := 0
		for j := i; j > max(0, i-40); j-- {
			main = max(main, b.smooth[j])
		}
		return b.lastWith(cliffShare*float64(main), dip)
	}
	return last
}

// spreadOf is the mean ΔE00 of cells from the line of shades through base.
func spreadOf(c []cell, base rgb32) float64 {
	y := base.luma()
	if y <= 0 {
		return 0
	}
	step := len(c)/512 + 1
	sum, n := 0.0, 0.0
	for i := step / 2; i < len(c); i += step {
		sum += colour.Difference(c[i].lab(), base.times(c[i].y/y).lab())
		n++
	}
	return sum / n
}

// clippedEnd says whether most of the lightest tenth clips.
func clippedEnd(sorted []cell) bool {
	end := sorted[len(sorted)-max(1, len(sorted)/10):]
	n := 0
	for _, v := range end {
		if v.clip != 0 {
			n++
		}
	}
	return 2*n > len(end)
}
