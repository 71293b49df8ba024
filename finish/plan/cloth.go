package plan

import (
	"strings"

	"undercoat/inventory"
	"undercoat/inventory/unit"
)

// Cutting is how much of a cloth ends in pieces and how much is bought on top.
type Cutting struct {
	Used    float64 // share of the cloth that ends in pieces, above 0, up to 1
	Reserve float64 // bought on top, 0.10 = 10 %
}

// House rules of cutting: common practice, no source. Pile is cut one way, so
// more of it is lost and a second dye lot shows.
var (
	plainCutting = Cutting{Used: 0.80, Reserve: 0.10}
	pileCutting  = Cutting{Used: 0.75, Reserve: 0.15}
)

// CuttingOf returns the house rule for a cloth.
func CuttingOf(c inventory.Cloth) Cutting {
	if HasNap(c) {
		return pileCutting
	}
	return plainCutting
}

// HasNap reports whether the cloth has a pile or nap, by the words of its
// medium, name and note.
func HasNap(c inventory.Cloth) bool {
	for _, w := range wordsOf(c.Medium + " " + c.Name + " " + c.Note) {
		if w == "nap" || w == "pile" || strings.HasPrefix(w, "velvet") || w == "corduroy" || w == "plush" {
			return true
		}
	}
	return false
}

// ClothLength returns the metres of cloth of a width that pieces of extent
// (all wearers) need:
//
//	pieces / width / share used / (1 - shrinkage)
//
// and the same with the reserve on top. Width and share must be above 0,
// shrinkage below 1.
func ClothLength(pieces unit.Extent, width unit.Length, shrinkage float64, c Cutting) (need, withReserve unit.Length) {
	need = unit.Length(float64(pieces) / float64(width) / c.Used / (1 - shrinkage))
	return need, unit.Length(float64(need) * (1 + c.Reserve))
}

// ClothNeed is how much of one cloth the job takes. Lengths are unknown where
// the cloth's width is; Extent cloths (foam sheet) count square metres.
type ClothNeed struct {
	Code        string
	Areas       []string    // that are cut from it, by code
	Pieces      unit.Extent // of all wearers, seams and waste not counted
	Need        unit.Stated[unit.Quantity]
	WithReserve unit.Stated[unit.Quantity]
	OnHand      unit.Stated[unit.Quantity]
	Short       unit.Quantity // what the reserve lacks; 0 where enough or unknown
	Reserve     float64       // share on hand beyond the need; below 0 when the need itself is not covered
	Wanted      float64       // the reserve of the house rule
	Shrinkage   float64
	Prewash     bool // shrinks enough to be washed before cutting
}

// prewashFrom is the shrinkage from which a cloth is washed before it is cut;
// common practice, no source.
const prewashFrom = 0.02

// clothNeed works one cloth out for the pieces of all wearers.
func clothNeed(c inventory.Cloth, areas []string, pieces unit.Extent) ClothNeed {
	rule := CuttingOf(c)
	n := ClothNeed{
		Code: c.Code, Areas: areas, Pieces: pieces, OnHand: c.OnHand,
		Wanted: rule.Reserve, Shrinkage: c.Shrinkage.Or(0),
	}
	n.Prewash = n.Shrinkage >= prewashFrom
	need, with, ok := clothAmounts(c, pieces, rule)
	if !ok {
		return n
	}
	n.Need, n.WithReserve = unit.State(need), unit.State(with)
	n.Short = unit.Quantity{Unit: need.Unit}
	if have, ok := c.OnHand.Get(); ok && have.Unit == need.Unit {
		n.Short.Amount = max(0, with.Amount-have.Amount)
		if n.Short.Amount < enough {
			n.Short.Amount = 0
		}
		if need.Amount > 0 {
			n.Reserve = have.Amount/need.Amount - 1
		}
	}
	return n
}

func clothAmounts(c inventory.Cloth, pieces unit.Extent, rule Cutting) (need, with unit.Quantity, ok bool) {
	if c.Unit == "m2" {
		a := float64(pieces) / rule.Used / (1 - c.Shrinkage.Or(0))
		return unit.Quantity{Amount: a, Unit: "m2"}, unit.Quantity{Amount: a * (1 + rule.Reserve), Unit: "m2"}, true
	}
	width, known := c.Width.Get()
	if !known || width <= 0 {
		return need, with, false
	}
	n, w := ClothLength(pieces, width, c.Shrinkage.Or(0), rule)
	return unit.Quantity{Amount: float64(n), Unit: "m"}, unit.Quantity{Amount: float64(w), Unit: "m"}, true
}
