package caution

import (
	_ "embed"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"sync"

	"undercoat/inventory/unit"
)

//go:embed data/limits.csv
var limitsCSV string

// LimitsAsOf dates the embedded table of limits; it stands on every estimate.
const LimitsAsOf = "NIOSH Pocket Guide and OSHA PELs, as of 2018–2019"

// Solvent is what the room estimate needs to know of a substance.
type Solvent struct {
	Name      string
	MolarG    float64              // g/mol
	Density   float64              // g/mL
	VapourMM  float64              // mmHg at 20 °C; 0 not known
	LEL       float64              // volume % in air; 0 not known
	LimitPPM  float64              // strictest occupational limit, 8 h; 0 none in the table
	ShortPPM  float64              // lowest short-term limit or ceiling; 0 none in the table
	ShortKind string               // what ShortPPM is: "15 min" or "ceiling"; "" none
	Skin      bool                 // goes through the skin
	FlashC    unit.Stated[float64] // flash point, °C, the lowest printed; unknown for gases
	LimitFrom string               // where the limit comes from; "" is the table, see [LimitsAsOf]
}

// saturation is the most its vapour can reach in still air, ppm: vapour pressure
// / 760 mmHg × 10⁶; 0 where not known.
func (s Solvent) saturation() float64 { return s.VapourMM / 760 * 1e6 }

var solventTable = sync.OnceValue(func() []Solvent {
	num := func(s string) float64 {
		v, _ := strconv.ParseFloat(s, 64) // empty is 0: not known
		return v
	}
	var out []Solvent
	for _, c := range table("limits.csv", limitsCSV) {
		s := Solvent{Name: c[0], MolarG: num(c[1]), Density: num(c[2]), VapourMM: num(c[3]), LEL: num(c[4]), LimitPPM: num(c[5]), Skin: c[6] == "yes", ShortPPM: num(c[8]), ShortKind: c[9]}
		if c[7] != "" {
			s.FlashC = unit.State(num(c[7]))
		}
		out = append(out, s)
	}
	return out
})

// Solvents lists the substances of the table by name.
func Solvents() []Solvent {
	list := slices.Clone(solventTable())
	slices.SortFunc(list, func(a, b Solvent) int { return strings.Compare(a.Name, b.Name) })
	return list
}

// SolventNamed finds a substance by its name or by a name in brackets, in any
// case of letters: "acetone", "2-butanone".
func SolventNamed(name string) (Solvent, error) {
	want := strings.ToLower(strings.TrimSpace(name))
	for _, s := range solventTable() {
		if want != "" && (want == strings.ToLower(s.Name) || slices.Contains(namesOf(s.Name), want)) {
			return s, nil
		}
	}
	return Solvent{}, fmt.Errorf("find substance: %q is not in the table of limits: take molar mass, density and limit from sections 3, 8 and 9 of the safety data sheet", name)
}

// namesOf splits a table's name into the names it stands for: "methyl ethyl
// ketone (2-butanone)" is two, and so is "A / B".
func namesOf(name string) []string {
	var names []string
	for _, n := range strings.FieldsFunc(strings.ToLower(name), func(r rune) bool { return strings.ContainsRune("(),;/", r) }) {
		names = append(names, strings.TrimSpace(n))
	}
	return names
}
