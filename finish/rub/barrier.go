package rub

import (
	"fmt"
	"strings"

	"undercoat/finish/garment"
	"undercoat/inventory"
)

// Ways to keep two surfaces off each other.
const (
	Lining      = "a lining between"
	Shields     = "dress shields or a lining between"
	Piping      = "a piping or facing of undyed cloth along the seam"
	Tabs        = "a cloth tab behind every one"
	BagOfItsOwn = "a bag of its own"
)

// Barrier is what keeps two surfaces apart, and the stock code of cloth for it
// that is on the shelf; "" where none is. The zero value is none.
type Barrier struct {
	How  string
	Code string
	Name string
}

// String writes "a lining between (C11 Oat lawn is on the shelf)".
func (b Barrier) String() string {
	if b.Code == "" {
		return b.How
	}
	return fmt.Sprintf("%s (%s %s is on the shelf)", b.How, b.Code, b.Name)
}

// barrier is what fits a contact: at a seam a piping, where it is damp and rubs
// hard something that can be changed or washed, else a lining. Common practice,
// no source.
func (p pairing) barrier() Barrier {
	how := Lining
	switch {
	case p.seam():
		how = Piping
	case p.contact.To == garment.Skin:
		how = Shields
	}
	return barrierOf(p.in.Stock, how)
}

func (p pairing) seam() bool { return sewn(p.contact) }

// sewn reports whether a contact's note says that the two surfaces are sewn
// together.
func sewn(c garment.Contact) bool {
	note := strings.ToLower(c.Note)
	return strings.Contains(note, "seam") || strings.Contains(note, "sewn")
}

// barrierOf adds the first undyed lining of the shelf, by code.
func barrierOf(stock inventory.Stock, how string) Barrier {
	b := Barrier{How: how}
	for a := range stock.All() {
		c, ok := stock.Cloth(a.Code)
		if !ok {
			continue
		}
		words := strings.ToLower(c.Name + " " + c.Medium + " " + c.Note + " " + c.DyeClass)
		if strings.Contains(words, "undyed") && (strings.Contains(words, "lining") || strings.Contains(words, "barrier")) {
			b.Code, b.Name = c.Code, c.Name
			break
		}
	}
	return b
}
