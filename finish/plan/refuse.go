package plan

import (
	"fmt"
	"slices"
	"strings"

	"undercoat/palette/colour"
)

// refuse keeps a refusal; the same area, product, rule and wearer only once.
func (d *draft) refuse(r Refusal) {
	same := func(o Refusal) bool {
		return o.Area == r.Area && o.Code == r.Code && o.Rule == r.Rule && o.Wearer == r.Wearer
	}
	if !slices.ContainsFunc(d.refusals, same) {
		d.refusals = append(d.refusals, r)
	}
}

// difference is ΔE00 in daylight.
func difference(a, b colour.Lab) float64 { return colour.Difference(a, b) }

// sortRefusals puts refusals in the order of areas, then code, rule, wearer.
func (d *draft) sortRefusals() {
	place := map[string]int{}
	for i, a := range d.areas {
		place[a.Code] = i
	}
	slices.SortStableFunc(d.refusals, func(a, b Refusal) int {
		if c := place[a.Area] - place[b.Area]; c != 0 {
			return c
		}
		if c := compareCodes(a.Code, b.Code); c != 0 {
			return c
		}
		if c := strings.Compare(a.Rule, b.Rule); c != 0 {
			return c
		}
		return strings.Compare(a.Wearer, b.Wearer)
	})
}

var _ = fmt.Sprintf
