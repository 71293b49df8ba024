package unit

import (
	"fmt"
	"strings"
	"unicode"
)

// Quantity is an amount of a stock line in the unit it is counted in. Unit is
// "ml", "g", "m", "m2" for measured things, or a word such as "pc" or "can"
// for counted ones. The zero value is not valid: it has no unit.
type Quantity struct {
	Amount float64
	Unit   string
}

const quantityExample = `a quantity such as "30 ml", "2.5 m" or "12 pc"`

// ParseQuantity reads an amount and its unit and turns measured units into the
// base one ("0.5 l" gives 500 ml). "pcs", "piece" and "pieces" give "pc";
// other words of up to 16 letters are taken as things to count.
func ParseQuantity(s string) (Quantity, error) {
	number, word := splitNumber(tidy(s))
	v, why := decimal(number)
	if why != "" {
		return Quantity{}, refuse(s, why, quantityExample)
	}
	if word == "" {
		return Quantity{}, refuse(s, "the unit is missing", quantityExample)
	}
	return quantityOf(s, v, word)
}

// NewQuantity is [ParseQuantity] for a number and a unit's word, as a table
// keeps them in two cells.
func NewQuantity(amount float64, word string) (Quantity, error) {
	return quantityOf(FormatNumber(amount)+" "+word, amount, tidy(word))
}

func quantityOf(s string, v float64, word string) (Quantity, error) {
	if !finite(v) {
		return Quantity{}, refuse(s, "not a finite number", quantityExample)
	}
	base, size, ok := baseUnit(word)
	if !ok {
		return Quantity{}, refuse(s, "the unit is not known", quantityExample)
	}
	v, err := (kind{example: quantityExample}).bound(s, v, size)
	if err != nil {
		return Quantity{}, err
	}
	return Quantity{v, base}, nil
}

// baseUnit returns the base unit that word is counted in and its size in it.
func baseUnit(word string) (base string, size float64, ok bool) {
	for _, k := range []kind{volumes, masses, lengths, extents} {
		for _, c := range k.scales {
			if c.word == word {
				return k.base, c.size, true
			}
		}
	}
	switch word {
	case "pc", "pcs", "piece", "pieces":
		return "pc", 1, true
	}
	letters := strings.IndexFunc(word, func(r rune) bool { return !unicode.IsLetter(r) }) < 0
	return word, 1, letters && word != "" && len([]rune(word)) <= 16
}

// String prints "30 ml". [ParseQuantity] reads it back.
func (q Quantity) String() string { return FormatNumber(q.Amount) + " " + q.Unit }

// Set is [ParseQuantity] for a flag; on an error the value stays.
func (q *Quantity) Set(s string) error { return set(q, s, ParseQuantity) }

// Volume returns the quantity as a volume; ok only when it is counted in ml.
func (q Quantity) Volume() (v Volume, ok bool) { return Volume(q.Amount), q.Unit == volumes.base }

// Mass returns the quantity as a mass; ok only when it is counted in g.
func (q Quantity) Mass() (v Mass, ok bool) { return Mass(q.Amount), q.Unit == masses.base }

// Length returns the quantity as a length; ok only when it is counted in m.
func (q Quantity) Length() (v Length, ok bool) { return Length(q.Amount), q.Unit == lengths.base }

// Extent returns the quantity as an extent; ok only when it is counted in m2.
func (q Quantity) Extent() (v Extent, ok bool) { return Extent(q.Amount), q.Unit == extents.base }

// Plus adds two quantities of the same unit.
func (q Quantity) Plus(p Quantity) (Quantity, error) {
	if q.Unit != p.Unit {
		return Quantity{}, fmt.Errorf("add %v to %v: the units differ", p, q)
	}
	return Quantity{q.Amount + p.Amount, q.Unit}, nil
}

// Minus is q less p; the result may be negative.
func (q Quantity) Minus(p Quantity) (Quantity, error) {
	return q.Plus(Quantity{-p.Amount, p.Unit})
}
