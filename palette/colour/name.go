package colour

import (
	"cmp"
	_ "embed"
	"fmt"
	"math"
	"slices"
	"strings"
	"sync"
)

//go:embed data/iscc_nbs_centroids.csv
var centroidsCSV string

//go:embed data/iscc_nbs_blocks.csv
var blocksCSV string

// nameTable holds the 267 block names, spelled as in Britain, their central
// colours, and the boxes that make up the blocks.
type nameTable struct {
	names   []string
	centres []Lab
	boxes   []nameBox
}

// nameBox is a box of a block: hue in [hueLow, hueHigh) on 1…101, value and
// chroma likewise; name is an index.
type nameBox struct {
	hueLow, hueHigh, valueLow, valueHigh, chromaLow, chromaHigh float64
	name                                                        int
}

var blockNames = sync.OnceValue(func() *nameTable {
	t := new(nameTable)
	centres := readTable("centroids", centroidsCSV)
	for i, r := range centres.rows {
		t.names = append(t.names, strings.ReplaceAll(r[1], "gray", "grey"))
		t.centres = append(t.centres, Lab{centres.number(i, 3), centres.number(i, 4), centres.number(i, 5)})
	}
	boxes := readTable("blocks", blocksCSV)
	for i, r := range boxes.rows {
		chromaHigh := math.Inf(1)
		if r[5] != "" {
			chromaHigh = boxes.number(i, 5)
		}
		t.boxes = append(t.boxes, nameBox{
			boxes.number(i, 0), boxes.number(i, 1), boxes.number(i, 2), boxes.number(i, 3),
			boxes.number(i, 4), chromaHigh, int(boxes.number(i, 6)) - 1,
		})
	}
	return t
})

// Name returns the ISCC–NBS name of a colour (D65), spelled as in Britain:
// "dark greyish blue". It is the name of the block of the colour charts in
// which the colour lies, its hue, value and chroma being read from the
// renotation of 1943. Colours darker or stronger than the tables reach are
// read on from their ends; L* above 100 counts as white, and coordinates beyond
// ±1000 as that. The empty string for a colour that is no number.
//
// Source: Kelly and Judd, NBS Special Publication 440 (1976); Newhall,
// Nickerson and Judd (1943), J. Opt. Soc. Am. 33, 385; checked with the 267
// central notations of Kelly (1958), J. Res. NBS 61, 427.
func Name(l Lab) string {
	if !l.finite() {
		return ""
	}
	const most = 1000
	cut := func(v float64) float64 { return min(max(v, -most), most) }
	n := notationOf(Lab{cut(l.L), cut(l.A), cut(l.B)})
	if n.hue <= 1 {
		n.hue += 100
	}
	n.value = min(n.value, 10-1e-9) // the boxes are open above
	t := blockNames()
	for i := range t.boxes {
		if t.boxes[i].holds(n) {
			return t.names[t.boxes[i].name]
		}
	}
	panic("colour: embedded table blocks: its boxes leave a gap")
}

func (b *nameBox) holds(n notation) bool {
	return n.hue >= b.hueLow && n.hue < b.hueHigh &&
		n.value >= b.valueLow && n.value < b.valueHigh &&
		n.chroma >= b.chromaLow && n.chroma < b.chromaHigh
}

// NameCentre returns the central colour of a name as Name spells it, and
// whether there is such a name.
//
// Source: Kelly (1958).
func NameCentre(name string) (Lab, bool) {
	t := blockNames()
	i := slices.Index(t.names, name)
	if i < 0 {
		return Lab{}, false
	}
	return t.centres[i], true
}

// Named is a name and its share, 0…1, of a set of colours.
type Named struct {
	Name  string
	Share float64
}

// Names returns which names a set of colours bears and how often, most
// frequent first, equal ones by name; the shares sum to 1. Colours that are no
// numbers are left out; none left gives none.
func Names(labs []Lab) []Named {
	count := map[string]int{}
	total := 0
	for _, l := range labs {
		if n := Name(l); n != "" {
			count[n]++
			total++
		}
	}
	out := make([]Named, 0, len(count))
	for n, c := range count {
		out = append(out, Named{n, float64(c) / float64(total)})
	}
	slices.SortFunc(out, func(a, b Named) int {
		return cmp.Or(cmp.Compare(b.Share, a.Share), cmp.Compare(a.Name, b.Name))
	})
	return out
}

// NamesWithin returns which names the colours within a radius of ΔE00 about a
// centre bear, each such colour held about equally likely, as Names does. It
// answers "grey or black?" for a target known only to within a range. A radius
// below a millionth gives the one name of the centre. It looks at 1,000 spread colours,
// always the same ones; lightness beyond 0…100 counts as 0 or 100.
func NamesWithin(centre Lab, radius float64) []Named {
	if !(radius >= 1e-6) {
		return Names([]Lab{centre})
	}
	return Names(ball(centre, radius))
}

// ballPoints is how many colours NamesWithin looks at.
const ballPoints = 1000

// ball returns colours spread over those within a radius of a centre: a rank-3
// additive recurrence (Roberts's, on the root of g⁴ = g + 1) in a cube, of which
// the points in the unit ball are kept, each then put at its own share of the
// radius in its direction.
func ball(centre Lab, radius float64) []Lab {
	const g = 1.22074408460575947536
	out := make([]Lab, 0, ballPoints)
	for i := 1; len(out) < ballPoints; i++ {
		n := float64(i)
		x, y, z := centred(n/g), centred(n/(g*g)), centred(n/(g*g*g))
		r := math.Sqrt(x*x + y*y + z*z)
		if r > 1 || r == 0 {
			continue
		}
		p := along(centre, Lab{x, y, z}, radius*r)
		p.L = min(max(p.L, 0), 100)
		out = append(out, p)
	}
	return out
}

// along returns the colour at a ΔE00 from a centre in a direction, whose a and
// b are stretched by S_C so that the way is about as long in each; ΔE00 grows
// almost evenly along it, so that two corrections suffice.
func along(centre, direction Lab, difference float64) Lab {
	sc := 1 + 0.045*math.Hypot(centre.A, centre.B)
	step := difference
	p := centre
	for range 3 {
		p = Lab{centre.L + step*direction.L, centre.A + step*sc*direction.A, centre.B + step*sc*direction.B}
		step *= difference / Difference(centre, p)
	}
	return p
}

// centred returns the fraction of v, spread over −1…1.
func centred(v float64) float64 { return 2*(v-math.Floor(v)) - 1 }

// InPercent writes shares as people say them, in whole per cent that add up:
// "dark bluish grey 88 %, black 9 %, dark greyish blue 3 %". What comes to
// nought is left out.
func InPercent(names []Named) string {
	var parts []string
	for i, p := range wholePercent(names) {
		if p > 0 {
			parts = append(parts, fmt.Sprintf("%s %d %%", names[i].Name, p))
		}
	}
	return strings.Join(parts, ", ")
}

// wholePercent rounds shares so that they add up to the rounded sum: each is
// rounded down, and what is missing goes to the largest remainders, the
// earlier of equals.
func wholePercent(names []Named) []int {
	out := make([]int, len(names))
	order := make([]int, len(names))
	sum, missing := 0.0, 0
	for i, n := range names {
		out[i] = int(100 * n.Share)
		order[i] = i
		sum += 100 * n.Share
		missing -= out[i]
	}
	missing += int(math.Round(sum))
	remainder := func(i int) float64 { return 100*names[i].Share - float64(out[i]) }
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(remainder(b), remainder(a)) })
	for _, i := range order[:min(max(missing, 0), len(order))] {
		out[i]++
	}
	return out
}
