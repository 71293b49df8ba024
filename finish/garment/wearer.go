package garment

import "strings"

// Wearer is one person of the job. Factor multiplies the lead wearer's areas
// (above 0). Sensitivities are the maker's own words, lower case, such as
// "nickel" or "latex".
type Wearer struct {
	Code, Name, Size string
	Factor           float64
	Sensitivities    []string
}

// SensitiveTo reports whether the wearer stated a sensitivity to a substance.
// Words are compared in lower case; "latex" meets "natural latex".
func (w Wearer) SensitiveTo(substance string) bool {
	for _, s := range w.Sensitivities {
		if sameSubstance(s, substance) {
			return true
		}
	}
	return false
}

// sameSubstance compares two names of substances in lower case, one inside
// the other: "latex" meets "natural latex".
func sameSubstance(a, b string) bool {
	a, b = strings.ToLower(strings.TrimSpace(a)), strings.ToLower(strings.TrimSpace(b))
	return a != "" && b != "" && (strings.Contains(a, b) || strings.Contains(b, a))
}
