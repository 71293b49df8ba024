package match

import "slices"

// result ranks what was found, works out the ranges of what is shown, and
// picks the few different good answers.
func (f *finder) result() Result {
	goal := f.goal()
	r := Result{Target: goal, Hex: goal.LinearRGB().Hex(), Searched: f.searched}
	slices.SortStableFunc(f.found, better)
	f.found = slices.CompactFunc(f.found, func(a, b candidate) bool { return a.Kind == b.Kind && a.Code == b.Code })
	shown := f.found[:min(len(f.found), f.q.Top)]
	forEach(len(shown), func(i int) {
		if i < f.q.Ranged || slices.Contains(f.q.Named, shown[i].Code) {
			f.finish(&shown[i])
		}
	})
	for _, c := range shown {
		r.Matches = append(r.Matches, c.Match)
	}
	r.Choices = f.choices()
	return r
}

// choices picks, among the allowed: the closest, by what its difference may
// still be (P90), so that a guess does not beat a known paint; the one of
// fewest coats; the cheapest; the one with the least film. An answer is named
// once, by the first thing it is best at.
func (f *finder) choices() (out []Choice) {
	allowed := f.found[:0:0]
	for _, c := range f.found {
		if c.Allowed() {
			allowed = append(allowed, c)
		}
	}
	near := allowed[:min(len(allowed), f.q.Top, f.q.Ranged)]
	forEach(len(near), func(i int) { f.finish(&near[i]) })
	var named []string
	pick := func(why string, of func(candidate) (float64, bool)) {
		best, at := 0.0, -1
		for i, c := range allowed {
			if v, ok := of(c); ok && (at < 0 || v < best) {
				best, at = v, i
			}
		}
		if at < 0 || slices.Contains(named, allowed[at].Code) {
			return
		}
		f.finish(&allowed[at])
		named = append(named, allowed[at].Code)
		out = append(out, Choice{why, allowed[at].Match})
	}
	pick("closest", func(c candidate) (float64, bool) { return c.DifferenceRange[1], c.looked })
	pick("fewest coats", func(c candidate) (float64, bool) { return float64(c.CoatsTotal), c.CoatsTotal > 0 })
	pick("cheapest", func(c candidate) (float64, bool) { v, ok := c.Cost.Get(); return float64(v), ok })
	pick("softest hand", func(c candidate) (float64, bool) { return c.Stiffness, c.CoatsTotal > 0 })
	return out
}
