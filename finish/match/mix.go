package match

import (
	"cmp"
	"container/heap"
	"math"
	"slices"
	"sync"

	"undercoat/finish/film"
	"undercoat/palette/colour"
)

// eighths is the number of parts a mixture is made of.
const eighths = 8

// mostParts is the most paints stirred together in a searched mixture.
const mostParts = 3

// colourant is one paint as mixtures need it: K and S of one gram.
type colourant struct{ k, s colour.Spectrum }

// newColourant returns a paint's K and S by the gram from a coat of wet µm and
// its density in g/ml.
func newColourant(coat film.Film, wet, density float64) (c colourant) {
	coat = coat.Bare()
	for i := range c.k {
		c.k[i] = coat.K[i] * coat.X / (wet * density)
		c.s[i] = coat.S[i] * coat.X / (wet * density)
	}
	return c
}

// blend is a mixture: paints by place, in rising order, and their eighths by
// mass; coats is the number it is seen in, 0 where it hides all.
type blend struct {
	paint [mostParts]int16
	part  [mostParts]int8
	n     int8
	coats int8
}

// mixed is a blend with its difference to a goal.
type mixed struct {
	blend
	diff float64
}

func (m mixed) before(o mixed) int {
	if c := cmp.Compare(m.diff, o.diff); c != 0 {
		return c
	}
	if c := cmp.Compare(m.coats, o.coats); c != 0 {
		return c
	}
	if c := cmp.Compare(m.n, o.n); c != 0 {
		return c
	}
	for i := range m.paint {
		if c := cmp.Or(cmp.Compare(m.paint[i], o.paint[i]), cmp.Compare(m.part[i], o.part[i])); c != 0 {
			return c
		}
	}
	return 0
}

// mixSearch looks for mixtures in eighths by mass. Without a bed the mixtures
// are compared where they hide all; with one, in each number of coats laid on
// it. Several goals share the spectral work of one pass. The answers are exact:
// those a look at every recipe would give.
type mixSearch struct {
	paints  []colourant
	goals   []goal
	keep    int
	workers int
	bed     *mixBed
}

// mixBed is what mixtures are laid on: a ground, the numbers of coats looked
// at, and for each paint the µm one gram per m² lays… held in wet, the wet film
// of one coat in µm, and the paints' volume by the gram.
type mixBed struct {
	ground      colour.Reflectance
	least, most int
	wet         []float64 // µm of one coat of each paint
	volume      []float64 // ml of one gram of each paint
}

// pairs returns, for each goal, the nearest two-part mixtures.
func (s *mixSearch) pairs() [][]mixed {
	return s.run(func(w *mixWorker, i int) {
		for j := i + 1; j < len(s.paints); j++ {
			for a := 1; a < eighths; a++ {
				b := eighths - a
				w.one(i, a)
				w.plus(j, b)
				w.look(blend{paint: [mostParts]int16{int16(i), int16(j)}, part: [mostParts]int8{int8(a), int8(b)}, n: 2})
			}
		}
	})
}

// triples returns, for each goal, the nearest three-part mixtures. Where
// chosen is not nil only triples with a chosen pair in them are looked at.
func (s *mixSearch) triples(chosen func(i, j int) bool) [][]mixed {
	return s.run(func(w *mixWorker, i int) {
		for j := i + 1; j < len(s.paints); j++ {
			first := chosen == nil || chosen(i, j)
			var sums [(eighths - 1) * (eighths - 2) / 2]pairSum
			n := 0
			for a := 1; a <= eighths-2; a++ {
				for b := 1; a+b < eighths; b++ {
					sums[n] = w.pair(i, a, j, b)
					n++
				}
			}
			for k := j + 1; k < len(s.paints); k++ {
				if !first && !chosen(i, k) && !chosen(j, k) {
					continue
				}
				for x := range sums {
					p := &sums[x]
					c := eighths - p.a - p.b
					w.sum(p, k, c)
					w.look(blend{paint: [mostParts]int16{int16(i), int16(j), int16(k)}, part: [mostParts]int8{int8(p.a), int8(p.b), int8(c)}, n: 3})
				}
			}
		}
	})
}

// triplesByPairs returns three-part mixtures that extend, by every third paint
// and ratio, the most promising pairs of every goal. It is a heuristic: about
// as many pairs as paints keep its excess over the exact answer far below what
// an eye sees.
func (s *mixSearch) triplesByPairs(pairs int) [][]mixed {
	p := *s
	p.keep = pairs * (eighths - 1)
	n := len(s.paints)
	promising := make([]bool, n*n)
	for _, best := range p.pairs() {
		taken := 0
		for _, m := range best {
			at := int(m.paint[0])*n + int(m.paint[1])
			if taken == pairs {
				break
			}
			if !promising[at] {
				promising[at] = true
			}
			taken++
		}
	}
	return s.triples(func(i, j int) bool { return promising[i*n+j] })
}

// run shares the first paints out to workers and gathers their answers.
func (s *mixSearch) run(do func(w *mixWorker, first int)) [][]mixed {
	n := max(s.workers, 1)
	workers := make([]*mixWorker, n)
	next := make(chan int, len(s.paints))
	for i := range s.paints {
		next <- i
	}
	close(next)
	var wg sync.WaitGroup
	for i := range workers {
		workers[i] = newMixWorker(s)
		wg.Add(1)
		go func() {
			defer wg.Done()
			for first := range next {
				do(workers[i], first)
			}
		}()
	}
	wg.Wait()
	out := make([][]mixed, len(s.goals))
	for g := range s.goals {
		var all mixedHeap
		for _, w := range workers {
			all = append(all, w.best[g].heap...)
		}
		slices.SortFunc(all, mixed.before)
		out[g] = all[:min(len(all), s.keep)]
	}
	return out
}

// mixWorker holds one worker's mixture in the making and its best answers.
type mixWorker struct {
	s    *mixSearch
	k, q colour.Spectrum // K and S of the mixture at hand, eight grams
	best []mixBest
}

// mixBest is the nearest mixtures to one goal so far, and the luminances a
// nearer one may have.
type mixBest struct {
	heap        mixedHeap
	keep        int
	yLow, yHigh float64
	limit       float64
}

func newMixWorker(s *mixSearch) *mixWorker {
	w := &mixWorker{s: s, best: make([]mixBest, len(s.goals))}
	for g := range w.best {
		w.best[g] = mixBest{keep: max(s.keep, 1), yHigh: math.Inf(1), yLow: math.Inf(-1), limit: math.Inf(1)}
	}
	return w
}

// pairSum is K and S of two paints in given eighths.
type pairSum struct {
	k, s colour.Spectrum
	a, b int
}

func (w *mixWorker) one(i, part int) {
	c, p := &w.s.paints[i], float64(part)
	for b := range w.k {
		w.k[b], w.q[b] = c.k[b]*p, c.s[b]*p
	}
}

func (w *mixWorker) plus(i, part int) {
	c, p := &w.s.paints[i], float64(part)
	for b := range w.k {
		w.k[b] += c.k[b] * p
		w.q[b] += c.s[b] * p
	}
}

func (w *mixWorker) pair(i, a, j, b int) (p pairSum) {
	w.one(i, a)
	w.plus(j, b)
	return pairSum{w.k, w.q, a, b}
}

func (w *mixWorker) sum(p *pairSum, k, part int) {
	c, x := &w.s.paints[k], float64(part)
	for b := range w.k {
		w.k[b] = p.k[b] + c.k[b]*x
		w.q[b] = p.s[b] + c.s[b]*x
	}
}

// look compares the mixture at hand with every goal.
func (w *mixWorker) look(m blend) {
	if w.s.bed == nil {
		w.judge(m, w.masstone())
		return
	}
	w.coats(m)
}

// masstone returns the tristimulus values of the mixture where it hides all:
// R∞ = S / (K + S + √(K(K+2S))), 0 where nothing scatters.
func (w *mixWorker) masstone() (x colour.XYZ) {
	g := &w.s.goals[0]
	for b, k := range &w.k {
		s := w.q[b]
		if s <= 0 {
			continue
		}
		r := s / (k + s + math.Sqrt(k*(k+2*s)))
		x.X += r * g.x[b]
		x.Y += r * g.y[b]
		x.Z += r * g.z[b]
	}
	return x
}

// coats looks at the mixture in each number of coats over the bed.
func (w *mixWorker) coats(m blend) {
	bed, g := w.s.bed, &w.s.goals[0]
	// Eight grams in ml, and the wet film of a coat as the parts lay it.
	volume, wet := 0.0, 0.0
	for i := range m.n {
		v := float64(m.part[i]) * bed.volume[m.paint[i]]
		volume += v
		wet += v * bed.wet[m.paint[i]]
	}
	scale := wet / volume / volume // µm of a coat over the ml of eight grams
	var seen [MostCoats + 1]colour.XYZ
	for b, k := range &w.k {
		r0, t2 := onePane(k*scale, w.q[b]*scale)
		r := bed.ground[b]
		for n := 1; n <= bed.most; n++ {
			r = r0 + t2*r/(1-r0*r)
			seen[n].X += r * g.x[b]
			seen[n].Y += r * g.y[b]
			seen[n].Z += r * g.z[b]
		}
	}
	for n := bed.least; n <= bed.most; n++ {
		m.coats = int8(n)
		w.judge(m, seen[n])
	}
}

// onePane returns reflectance over black and the squared transmittance of a
// film, to 1e-11; the forward model predicts what is shown.
func onePane(k, v float64) (r0, t2 float64) {
	u, p2 := k+v, k*(k+2*v)
	if p2 < 4e-4 {
		c := 1 - p2/3 + 2*p2*p2/15
		cosh := 1 + p2/2 + p2*p2/24 + p2*p2*p2/720
		d := 1 + u*c
		t := 1 / (cosh * d)
		return v * c / d, t * t
	}
	p := math.Sqrt(p2)
	r := v / (u + p)
	e := math.Exp(-2 * p)
	d := 1 - r*r*e
	t := (1 - r*r) / d
	return r * (1 - e) / d, e * t * t
}

// judge keeps the mixture for every goal it is near enough to.
func (w *mixWorker) judge(m blend, x colour.XYZ) {
	var lab colour.Lab
	have := false
	for i := range w.best {
		b := &w.best[i]
		if x.Y < b.yLow || x.Y > b.yHigh {
			continue
		}
		g := &w.s.goals[i]
		if !have {
			lab, have = x.Lab(g.white), true
		}
		if b.limit < math.Inf(1) && g.atLeast(lab) > b.limit {
			continue
		}
		if d := colour.Difference(g.lab, lab); d <= b.limit {
			b.add(mixed{m, d}, g)
		}
	}
}

// atLeast returns a lower bound of ΔE00 to a colour, cheaper than ΔE00 itself;
// see [goal.nearest].
func (g *goal) atLeast(l colour.Lab) float64 {
	dl, da, db := (l.L-g.lab.L)/1.7473, l.A-g.lab.A, l.B-g.lab.B
	sc := 1 + 0.045*1.5*(g.chroma+math.Abs(l.A)+math.Abs(l.B))/2
	return math.Sqrt(dl*dl+0.1339*(da*da+db*db)/(sc*sc)) - boundSlack
}

func (b *mixBest) add(m mixed, g *goal) {
	if len(b.heap) < b.keep {
		heap.Push(&b.heap, m)
	} else if m.before(b.heap[0]) < 0 {
		b.heap[0] = m
		heap.Fix(&b.heap, 0)
	} else {
		return
	}
	if len(b.heap) < b.keep {
		return
	}
	b.limit = b.heap[0].diff
	reach := 1.7473*b.limit + 1e-6
	b.yLow, b.yHigh = luminance(g.lab.L-reach)*g.white.Y, luminance(g.lab.L+reach)*g.white.Y
}

// luminance returns Y of a lightness, white 1; below 0 it goes on in a line.
func luminance(l float64) float64 {
	if l > 8 {
		t := (l + 16) / 116
		return t * t * t
	}
	return l * 27 / 24389
}

// mixedHeap is a heap of mixtures whose root is the farthest.
type mixedHeap []mixed

func (h mixedHeap) Len() int           { return len(h) }
func (h mixedHeap) Less(i, j int) bool { return h[i].before(h[j]) > 0 }
func (h mixedHeap) Swap(i, j int)      { h[i], h[j] = h[j], h[i] }
func (h *mixedHeap) Push(x any)        { *h = append(*h, x.(mixed)) }
func (h *mixedHeap) Pop() any {
	old := *h
	m := old[len(old)-1]
	*h = old[:len(old)-1]
	return m
}

// recipes returns the number of mixtures of n paints in m parts.
func recipes(n, parts int) int {
	if parts == 2 {
		return n * (n - 1) / 2 * (eighths - 1)
	}
	return n * (n - 1) * (n - 2) / 6 * (eighths - 1) * (eighths - 2) / 2
}
