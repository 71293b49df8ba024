package colour

import (
	"cmp"
	"math"
	"slices"
)

// Index answers which of many CIELAB colours lie nearest to another under
// CIEDE2000, exactly: never another answer than comparing with each would
// give. It is immutable and may be asked from several goroutines. The zero
// value is an empty index.
//
// CIEDE2000 is no metric (a detour may be shorter), so trees that rest on the
// triangle inequality would answer wrongly. This one is a kd-tree over CIELAB
// that passes over a box only where a lower bound of ΔE00 over the whole box,
// derived from the formula itself, lies above the worst answer held; see
// bound.go.
type Index struct {
	labs  []Lab   // in the order of the tree
	at    []int32 // their positions in the list given
	boxes []box   // box 0 is the root
}

// Hit is one answer of an Index: the position in the list it was made from,
// and the ΔE00 to the target.
type Hit struct {
	Index int
	Diff  float64
}

// leafSize is the number of colours up to which comparing with each is
// quicker than another box.
const leafSize = 8

// box holds the colours labs[from:to]; left is nought for a leaf.
type box struct {
	extent
	from, to    int32
	left, right int32
}

// NewIndex makes an index over the colours of labs, which it copies. Colours
// that are no numbers are never an answer. At most 2³¹−1 colours.
func NewIndex(labs []Lab) *Index {
	x := new(Index)
	for i, l := range labs {
		if l.finite() {
			x.labs = append(x.labs, l)
			x.at = append(x.at, int32(i))
		}
	}
	if len(x.labs) > 0 {
		x.boxes = make([]box, 0, 2*(len(x.labs)/leafSize)+1)
		x.grow(0, len(x.labs))
	}
	return x
}

// grow adds the box of labs[from:to] and those inside it; it returns its place.
func (x *Index) grow(from, to int) int32 {
	place := int32(len(x.boxes))
	x.boxes = append(x.boxes, box{extent: extentOf(x.labs[from:to]), from: int32(from), to: int32(to)})
	if to-from <= leafSize {
		return place
	}
	middle := from + (to-from)/2
	x.part(from, to, middle, x.boxes[place].widest())
	left := x.grow(from, middle)
	right := x.grow(middle, to)
	x.boxes[place].left, x.boxes[place].right = left, right
	return place
}

// part orders labs[from:to] so far that those before middle are not above, and
// those after not below it on one axis (Hoare's selection).
func (x *Index) part(from, to, middle, axis int) {
	for to-from > 1 {
		pivot := x.labs[from+(to-from)/2].axis(axis)
		i, j := from, to-1
		for i <= j {
			for x.labs[i].axis(axis) < pivot {
				i++
			}
			for x.labs[j].axis(axis) > pivot {
				j--
			}
			if i <= j {
				x.labs[i], x.labs[j] = x.labs[j], x.labs[i]
				x.at[i], x.at[j] = x.at[j], x.at[i]
				i++
				j--
			}
		}
		switch {
		case middle <= j:
			to = j + 1
		case middle >= i:
			from = i
		default:
			return
		}
	}
}

func (l Lab) axis(n int) float64 {
	switch n {
	case 0:
		return l.L
	case 1:
		return l.A
	default:
		return l.B
	}
}

// Len returns the number of colours that can be an answer.
func (x *Index) Len() int { return len(x.labs) }

// Nearest returns the k colours nearest to target, nearest first, equal
// differences in the order of the list. Fewer are returned where the index
// holds fewer; none for k below 1 and for a target that is no number.
func (x *Index) Nearest(target Lab, k int) []Hit {
	k = min(k, len(x.labs))
	if k < 1 || !target.finite() {
		return nil
	}
	s := search{index: x, view: viewFrom(target), k: k, hits: make([]Hit, 0, k), worst: math.Inf(1)}
	s.visit(0)
	slices.SortFunc(s.hits, compareHits)
	return s.hits
}

// compareHits orders hits: nearer first, then by position.
func compareHits(a, b Hit) int {
	return cmp.Or(cmp.Compare(a.Diff, b.Diff), cmp.Compare(a.Index, b.Index))
}

// search holds the k best hits so far in a heap, the worst on top.
type search struct {
	index *Index
	view  view
	k     int
	hits  []Hit
	worst float64 // ΔE00 beyond which nothing helps any more
}

// visit looks through a box, the nearer half first.
func (s *search) visit(place int32) {
	b := &s.index.boxes[place]
	if b.left == 0 {
		for i := b.from; i < b.to; i++ {
			s.offer(Hit{int(s.index.at[i]), Difference(s.view.lab, s.index.labs[i])})
		}
		return
	}
	near, far := b.left, b.right
	nearBound, farBound := s.view.bound(&s.index.boxes[near].extent), s.view.bound(&s.index.boxes[far].extent)
	if farBound < nearBound {
		near, far, nearBound, farBound = far, near, farBound, nearBound
	}
	if nearBound <= s.worst {
		s.visit(near)
	}
	if farBound <= s.worst {
		s.visit(far)
	}
}

// offer takes a hit in if it is among the k best.
func (s *search) offer(h Hit) {
	switch {
	case len(s.hits) < s.k:
		s.hits = append(s.hits, h)
		s.raise(len(s.hits) - 1)
	case compareHits(h, s.hits[0]) < 0:
		s.hits[0] = h
		s.sink()
	default:
		return
	}
	if len(s.hits) == s.k {
		s.worst = s.hits[0].Diff
	}
}

func (s *search) raise(i int) {
	for i > 0 {
		up := (i - 1) / 2
		if compareHits(s.hits[i], s.hits[up]) <= 0 {
			return
		}
		s.hits[i], s.hits[up] = s.hits[up], s.hits[i]
		i = up
	}
}

func (s *search) sink() {
	i := 0
	for {
		c := 2*i + 1
		if c >= len(s.hits) {
			return
		}
		if c+1 < len(s.hits) && compareHits(s.hits[c+1], s.hits[c]) > 0 {
			c++
		}
		if compareHits(s.hits[c], s.hits[i]) <= 0 {
			return
		}
		s.hits[i], s.hits[c] = s.hits[c], s.hits[i]
		i = c
	}
}
