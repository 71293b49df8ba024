package palette

import (
	"fmt"
	"image"
	"math"
	"slices"

	"undercoat/palette/colour"
)

// Reduction is a picture reduced to a few colours, largest share first: how it
// looks, not what it is made of. For that see [Reference.Materials].
type Reduction struct {
	Colours []ReducedColour
	Mean    float64 // ΔE00 of a pixel to the nearest of them, on average
}

// ReducedColour is one of them.
type ReducedColour struct {
	Lab   colour.Lab
	Share float64 // of the opaque pixels, 0…1
}

// Reduce returns the n colours (1…[MaxColours]) to which the pixels lie nearest
// on average, in ΔE00; fewer where the picture has fewer different ones. It is
// quick: see [Reference.ReduceCarefully] for the last few per cent.
func (r Reference) Reduce(n int) (Reduction, error) { return r.reduce(n, 1, 0) }

// ReduceCarefully is [Reference.Reduce] with several starts and with moves of
// single colours while they help; it takes some five times as long.
func (r Reference) ReduceCarefully(n int) (Reduction, error) { return r.reduce(n, 4, 100) }

func (r Reference) reduce(n, starts, moves int) (Reduction, error) {
	if n < 1 || n > MaxColours {
		return Reduction{}, fmt.Errorf("reduce picture: %d colours: wanted 1 to %d", n, MaxColours)
	}
	if w, h := r.Size(); w == 0 || h == 0 {
		return Reduction{}, fmt.Errorf("reduce picture: %w", ErrNoPixels)
	}
	s := r.tally().samples(r)
	if len(s) == 0 {
		return Reduction{}, fmt.Errorf("reduce picture: %w", ErrNoPixels)
	}
	best := cluster{cost: math.Inf(1)}
	for k := range starts {
		c := newCluster(s, n, startPower[k])
		c.settle(10)
		c.refine(4)
		if c.cost < best.cost {
			best = c
		}
	}
	best.move(moves)
	out := best.reduction()
	out.Mean = best.measure(r)
	return out, nil
}

// startPower are the powers of the weight by which the starts choose colours:
// lower ones care more for small areas.
var startPower = [4]float64{1, 0.5, 0.75, 0.25}

// tally counts the pixels by encoded colour, 64 steps a channel: Y′CbCr where the
// picture has those planes, else its own RGB. The sums give the mean in a bin.
type tally struct {
	bins  []tallyBin // 64³
	ycbcr bool
}

type tallyBin struct{ n, a, b, c uint32 }

const (
	tallySteps = 64
	// tallyPixels is about how many pixels are counted, evenly spread: of three
	// million the mean is known to a thousandth of ΔE00.
	tallyPixels = 3_000_000
)

// tally counts stripes of the picture, one a core, and adds them up.
func (r Reference) tally() tally {
	b := r.src.img.Bounds()
	w, h := b.Dx(), b.Dy()
	step := max(1, int(math.Sqrt(float64(w)*float64(h)/tallyPixels)))
	rows := (h + step - 1) / step
	const parts = 2
	var part [parts][]tallyBin
	stripesOf(parts, func(k int) {
		part[k] = make([]tallyBin, tallySteps*tallySteps*tallySteps)
		for y := rows * k / parts * step; y < rows*(k+1)/parts*step && y < h; y += step {
			r.tallyRow(part[k], y, w, step)
		}
	})
	t := tally{bins: part[0]}
	_, t.ycbcr = r.src.img.(*image.YCbCr)
	for i, o := range part[1] {
		if o.n > 0 {
			p := &t.bins[i]
			*p = tallyBin{p.n + o.n, p.a + o.a, p.b + o.b, p.c + o.c}
		}
	}
	return t
}

// stripesOf runs n pieces of work side by side.
func stripesOf(n int, work func(k int)) {
	stripes(8*n, func(from, to int) {
		for k := (from + 7) / 8; k < (to+7)/8; k++ {
			work(k)
		}
	})
}

// tallyRow counts one stored row.
func (r Reference) tallyRow(bins []tallyBin, y, w, step int) {
	put := func(a, b, c uint8) {
		p := &bins[int(a>>2)<<12|int(b>>2)<<6|int(c>>2)]
		p.n, p.a, p.b, p.c = p.n+1, p.a+uint32(a), p.b+uint32(b), p.c+uint32(c)
	}
	// Every other row starts half a step in, so that no column is left out.
	first := y / step % 2 * (step / 2)
	switch m := r.src.img.(type) {
	case *image.YCbCr:
		for x := first; x < w; x += step {
			i := m.COffset(x, y)
			put(m.Y[y*m.YStride+x], m.Cb[i], m.Cr[i])
		}
	case *image.NRGBA:
		for x := first; x < w; x += step {
			if p := m.Pix[y*m.Stride+4*x:]; p[3] >= opaqueFrom {
				put(p[0], p[1], p[2])
			}
		}
	case *image.NRGBA64:
		for x := first; x < w; x += step {
			if p := m.Pix[y*m.Stride+8*x:]; p[6] >= opaqueFrom {
				put(p[0], p[2], p[4])
			}
		}
	case *image.Gray:
		for x := first; x < w; x += step {
			v := m.Pix[y*m.Stride+x]
			put(v, v, v)
		}
	}
}

// sample is a colour and how many pixels have about it.
type sample struct {
	weight float64
	lab    colour.Lab
	chroma float64 // how much a squared step of a* or b* counts here, next to one of L*
}

// rough is about the square of the difference of the sample to a colour.
func (s *sample) rough(p colour.Lab) float64 {
	l, a, b := p.L-s.lab.L, p.A-s.lab.A, p.B-s.lab.B
	return l*l + s.chroma*(a*a+b*b)
}

// chromaCounts is how much chroma counts in ΔE00 at a colour, about: SC of ISO/CIE
// 11664-6, with the stretch of a* near grey.
func chromaCounts(l colour.Lab) float64 {
	c := math.Hypot(l.A, l.B)
	s := 1 + 0.045*c
	return (1 + 1.25/(1+c*c/400)) / (s * math.Sqrt(s))
}

// samples joins bins that hold few pixels with those around them (4³, then 2³
// bins) and converts what is left, in the order of the bins.
func (t tally) samples(r Reference) []sample {
	total := uint64(0)
	for _, b := range t.bins {
		total += uint64(b.n)
	}
	few := uint32(total/8000) + 1
	var out []sample
	add := func(b tallyBin) {
		if b.n > 0 {
			out = append(out, t.sample(r, b))
		}
	}
	for a := 0; a < tallySteps; a += 4 {
		for b := 0; b < tallySteps; b += 4 {
			for c := 0; c < tallySteps; c += 4 {
				if s := t.sum(a, b, c, 4); s.n < 2*few {
					add(s)
					continue
				}
				for k := range 8 {
					x, y, z := a+k>>2*2, b+k>>1&1*2, c+k&1*2
					if s := t.sum(x, y, z, 2); s.n < 2*few {
						add(s)
						continue
					}
					for j := range 8 {
						add(t.bins[(x+j>>2)<<12|(y+j>>1&1)<<6|z+j&1])
					}
				}
			}
		}
	}
	return out
}

// sum adds up a cube of bins.
func (t tally) sum(a, b, c, side int) (s tallyBin) {
	for i := range side {
		for j := range side {
			at := (a+i)<<12 | (b+j)<<6 | c
			for _, o := range t.bins[at : at+side] {
				s.n, s.a, s.b, s.c = s.n+o.n, s.a+o.a, s.b+o.b, s.c+o.c
			}
		}
	}
	return s
}

// sample converts the mean of a bin. The encoded values of a bin differ by less
// than a step that shows, so their mean stands for the mean light.
func (t tally) sample(r Reference, s tallyBin) sample {
	k := 1 / (255 * float64(s.n))
	a, b, c := float64(s.a)*k, float64(s.b)*k, float64(s.c)*k
	if t.ycbcr {
		// ITU-T T.871 (JFIF), section 7: from Y′CbCr to R′G′B′.
		cb, cr := b-128.0/255, c-128.0/255
		a, b, c = a+1.402*cr, a-0.344136*cb-0.714136*cr, a+1.772*cb
	}
	in := func(v float64) float64 { return min(max(v, 0), 1) }
	l := &r.src.lens
	v := l.mix(l.tone[0].curve(in(a)), l.tone[1].curve(in(b)), l.tone[2].curve(in(c)))
	if r.correct != nil {
		v = r.correct.apply(v)
	}
	lab := v.Lab()
	return sample{float64(s.n), lab, chromaCounts(lab)}
}

// cluster is a choice of n colours for the samples.
type cluster struct {
	s       []sample
	centres []colour.Lab
	at      []int     // centre of each sample
	dist    []float64 // ΔE00 to it
	cost    float64   // weighted sum of those
}

// newCluster chooses colours one by one, each the sample that gains most by it.
func newCluster(s []sample, n int, power float64) cluster {
	c := cluster{s: s, at: make([]int, len(s)), dist: make([]float64, len(s))}
	weight := make([]float64, len(s))
	near := make([]float64, len(s))
	heaviest := 0
	for i, v := range s {
		weight[i] = math.Pow(v.weight, power)
		near[i] = math.Inf(1)
		if v.weight > s[heaviest].weight {
			heaviest = i
		}
	}
	next := heaviest
	for range n {
		c.centres = append(c.centres, s[next].lab)
		p := s[next].lab
		best := 0.0
		for i := range s {
			near[i] = min(near[i], s[i].rough(p))
			if v := weight[i] * near[i]; v > best {
				best, next = v, i
			}
		}
		if best == 0 {
			break
		}
	}
	return c
}

// settle moves the colours to the means of what lies nearest (Lloyd 1982) by
// the rough measure, which is quick.
func (c *cluster) settle(rounds int) {
	n := len(c.centres)
	for range rounds {
		var sum [MaxColours]struct{ l, a, b, n float64 }
		for i := range c.s {
			v := &c.s[i]
			best, at := math.Inf(1), 0
			for k := range n {
				if d := v.rough(c.centres[k]); d < best {
					best, at = d, k
				}
			}
			t := &sum[at]
			t.l, t.a, t.b, t.n = t.l+v.weight*v.lab.L, t.a+v.weight*v.lab.A, t.b+v.weight*v.lab.B, t.n+v.weight
		}
		for k := range n {
			if t := sum[k]; t.n > 0 {
				c.centres[k] = colour.Lab{L: t.l / t.n, A: t.a / t.n, B: t.b / t.n}
			}
		}
	}
}

// refine moves the colours under ΔE00 itself. What is made small is the sum of
// differences, not of their squares, so each colour goes towards the geometric
// median of what lies nearest (Weiszfeld 1937: means weighted by one over the
// distance). It ends where a round no longer helps.
func (c *cluster) refine(rounds int) {
	c.assign()
	for range rounds {
		old := slices.Clone(c.centres)
		before := c.cost
		c.weiszfeld()
		c.assign()
		if c.cost >= before {
			copy(c.centres, old)
			c.assign()
			return
		}
	}
}

func (c *cluster) weiszfeld() {
	var sum [MaxColours]struct{ l, a, b, n float64 }
	for i, v := range c.s {
		w := v.weight / max(c.dist[i], 0.5)
		t := &sum[c.at[i]]
		t.l, t.a, t.b, t.n = t.l+w*v.lab.L, t.a+w*v.lab.A, t.b+w*v.lab.B, t.n+w
	}
	for k := range c.centres {
		if t := sum[k]; t.n > 0 {
			c.centres[k] = colour.Lab{L: t.l / t.n, A: t.a / t.n, B: t.b / t.n}
		}
	}
}

// assign finds the nearest colour of each sample under ΔE00, among the four
// nearest by a rough measure.
func (c *cluster) assign() {
	stripes(len(c.s), func(from, to int) {
		for i := from; i < to; i++ {
			c.at[i], c.dist[i] = c.nearest(&c.s[i])
		}
	})
	c.cost = 0
	for i, d := range c.dist {
		c.cost += c.s[i].weight * d
	}
}

func (c *cluster) nearest(s *sample) (at int, d float64) {
	const few = 4
	var near [few]struct {
		d float64
		k int
	}
	n := 0
	for k, p := range c.centres {
		v := s.rough(p)
		j := min(n, few-1)
		if n == few && v >= near[j].d {
			continue
		}
		for j > 0 && near[j-1].d > v {
			near[j] = near[j-1]
			j--
		}
		near[j].d, near[j].k = v, k
		n = min(n+1, few)
	}
	d = math.Inf(1)
	for _, o := range near[:n] {
		if v := colour.Difference(c.centres[o.k], s.lab); v < d {
			d, at = v, o.k
		}
	}
	return at, d
}

// move tries to take away the colour that would be missed least and to put it
// where most is to be gained, as long as that helps.
func (c *cluster) move(tries int) {
	n := len(c.centres)
	if n < 2 || tries == 0 {
		return
	}
	failed := 0
	for try := 0; try < tries && failed < 2*min(n, moveWorst); try++ {
		missed := c.missed()
		trial := *c
		trial.centres, trial.at, trial.dist = slices.Clone(c.centres), slices.Clone(c.at), slices.Clone(c.dist)
		trial.centres[missed[failed%len(missed)]] = c.s[c.worst(failed/2)].lab
		trial.refine(3)
		if trial.cost < c.cost*0.9999 {
			*c, failed = trial, 0
			c.refine(3)
			continue
		}
		failed++
	}
	c.refine(8)
}

// moveWorst is how many of the worst covered colours get a second one on trial.
const moveWorst = 8

// missed lists the two colours whose loss would cost least.
func (c *cluster) missed() []int {
	n := len(c.centres)
	loss := make([]float64, n)
	for i, v := range c.s {
		own := c.at[i]
		second := math.Inf(1)
		for k, p := range c.centres {
			if k != own {
				second = min(second, v.rough(p))
			}
		}
		loss[own] += v.weight * max(0, math.Sqrt(second)-c.dist[i])
	}
	order := make([]int, n)
	for k := range order {
		order[k] = k
	}
	slices.SortStableFunc(order, func(i, j int) int {
		switch {
		case loss[i] < loss[j]:
			return -1
		case loss[i] > loss[j]:
			return 1
		}
		return 0
	})
	return order[:min(2, n)]
}

// worst is the sample around which most would be gained, or the next after skip
// others of other colours.
func (c *cluster) worst(skip int) int {
	n := len(c.centres)
	sum := make([]float64, n)
	for i, v := range c.s {
		sum[c.at[i]] += v.weight * c.dist[i]
	}
	for range skip {
		sum[slices.Index(sum, slices.Max(sum))] = -1
	}
	k := slices.Index(sum, slices.Max(sum))
	best, at := -1.0, 0
	for i, v := range c.s {
		if c.at[i] != k {
			continue
		}
		if g := v.weight * c.dist[i] * c.dist[i]; g > best {
			best, at = g, i
		}
	}
	return at
}

// reduction reports the colours.
func (c *cluster) reduction() Reduction {
	weight := make([]float64, len(c.centres))
	total := 0.0
	for i, v := range c.s {
		weight[c.at[i]] += v.weight
		total += v.weight
	}
	var r Reduction
	for k, l := range c.centres {
		if weight[k] > 0 {
			r.Colours = append(r.Colours, ReducedColour{l, weight[k] / total})
		}
	}
	slices.SortStableFunc(r.Colours, func(a, b ReducedColour) int {
		switch {
		case a.Share > b.Share:
			return -1
		case a.Share < b.Share:
			return 1
		}
		return 0
	})
	return r
}

// measure is the mean ΔE00 from pixels to the nearest colour, over about 20 000
// evenly spread ones; that of the samples would leave out what was joined.
func (c *cluster) measure(r Reference) float64 {
	w, h := r.Size()
	step := max(1, int(math.Sqrt(float64(w)*float64(h)/20_000)))
	rows := (h + step - 1) / step
	sum, n := make([]float64, rows), make([]float64, rows)
	stripes(rows, func(from, to int) {
		for k := from; k < to; k++ {
			for x := step / 2; x < w; x += step {
				v, ok := r.At(x, k*step)
				if !ok {
					continue
				}
				lab := v.Lab()
				_, d := c.nearest(&sample{1, lab, chromaCounts(lab)})
				sum[k], n[k] = sum[k]+d, n[k]+1
			}
		}
	})
	total, count := 0.0, 0.0
	for k := range sum {
		total, count = total+sum[k], count+n[k]
	}
	return total / max(count, 1)
}
