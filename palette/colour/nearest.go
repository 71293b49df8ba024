package colour

import "sort"

// Index finds the nearest of many colours under CIEDE2000, exactly.
type Index struct{ labs []Lab }

// Hit is one answer of an index: the position in the list it was built from
// and the ΔE00 to the target.
type Hit struct {
	Index int
	Diff  float64
}

// NewIndex builds an index over a copy of labs.
func NewIndex(labs []Lab) *Index { return &Index{append([]Lab(nil), labs...)} }

// Nearest returns the k colours nearest to the target, nearest first, ties by position.
func (x *Index) Nearest(target Lab, k int) []Hit {
	hits := make([]Hit, len(x.labs))
	for i, l := range x.labs {
		hits[i] = Hit{i, Difference(target, l)}
	}
	sort.SliceStable(hits, func(i, j int) bool { return hits[i].Diff < hits[j].Diff })
	return hits[:min(k, len(hits))]
}
