package colour

import (
	"fmt"
	"strings"
)

// Basis says what a colour rests on, weakest first, so that bases compare by
// <. The zero value is Declared.
type Basis int

const (
	Declared     Basis = iota // a hex or a Lab that somebody wrote down
	Photographed              // read from a picture
	Measured                  // three numbers of a colour-measuring instrument
	Spectral                  // a measured spectrum
)

var basisWords = [...]string{"declared", "photographed", "measured", "spectral"}

// String returns the word for the basis: "declared", "photographed",
// "measured" or "spectral".
func (b Basis) String() string {
	if b < 0 || int(b) >= len(basisWords) {
		return fmt.Sprintf("basis %d", int(b))
	}
	return basisWords[b]
}

// ParseBasis reads the words that String writes, in either case.
func ParseBasis(s string) (Basis, error) {
	for i, w := range basisWords {
		if strings.EqualFold(strings.TrimSpace(s), w) {
			return Basis(i), nil
		}
	}
	return 0, fmt.Errorf("read basis: %q: expected one of %s", s, strings.Join(basisWords[:], ", "))
}
