package match_test

import (
	"fmt"

	"undercoat/finish/match"
	"undercoat/inventory"
	"undercoat/inventory/unit"
	"undercoat/palette/colour"
)

// shelf is three invented paints and a black vinyl.
func shelf() inventory.Stock {
	colourOf := func(hex string) unit.Stated[colour.Colour] {
		c, err := colour.FromHex(hex)
		if err != nil {
			panic(err)
		}
		return unit.State(c)
	}
	paint := func(code, name, hex string, black, white float64, suits ...string) inventory.Paint {
		p := inventory.Paint{HidingBlack: unit.State(black), HidingWhite: unit.State(white), WetFilm: unit.State(80.0)}
		p.Code, p.Name, p.Kind, p.Medium, p.Suits, p.Colour = code, name, inventory.KindPaint, "paint", suits, colourOf(hex)
		return p
	}
	vinyl := inventory.Cloth{Fibre: "vinyl"}
	vinyl.Code, vinyl.Name, vinyl.Kind, vinyl.Colour = "C8", "Black soft vinyl", inventory.KindCloth, colourOf("#1C1C1E")
	s, err := inventory.NewStock([]inventory.Paint{
		paint("G2", "Pale stone, flexible", "#BEB9AF", 0.6, 0.65, "vinyl", "leather"),
		paint("O1", "Oxblood, flexible", "#512B29", 0.75, 0.95, "vinyl", "leather"),
		paint("W1", "Chalk white", "#F4F3EF", 0.72, 0.72, "cotton"),
	}, nil, []inventory.Cloth{vinyl}, nil)
	if err != nil {
		panic(err)
	}
	return s
}

// Pale stone on black vinyl: what the shelf has for it, and what not. The
// figures printed are regression only.
func ExampleFind() {
	stone, _ := colour.FromHex("#BDB8AE")
	r, err := match.Find(match.Request{
		Target: match.Target{Colour: stone}, Ground: match.Ground{Code: "C8"}, Tolerance: 5,
		Method: match.ByPaint, Kinds: []match.Kind{match.Item},
	}, shelf())
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, m := range r.Matches {
		fmt.Printf("%s in %d coats, ΔE00 %.1f", m.Code, m.CoatsTotal, m.Difference.Or(0))
		for _, a := range m.Against {
			fmt.Printf("; %s", a.Rule)
		}
		fmt.Println()
	}
	// Output:
	// G2 in 3 coats, ΔE00 2.2
	// W1 in 3 coats, ΔE00 12.9; material; tolerance
	// O1 in 2 coats, ΔE00 55.0; tolerance
}

// How many coats, and how sure of it one may be; regression only.
func ExampleHouseCoats() {
	built, err := match.HouseCoats(match.HouseQuestion{
		Ground: match.Ground{Code: "C8"}, Layers: []match.Layer{{Code: "G2"}}, Tolerance: 5,
	}, shelf())
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, b := range built {
		fmt.Printf("%s: %d coats (%d to %d), by %s\n", b.Code, b.Coats, b.Count.Low, b.Count.High, b.Count.Driver)
	}
	// Output: G2: 3 coats (2 to 5), by how well the paint hides
}

// Forty millilitres of five eighths stone and three eighths white, by mass.
func ExampleScale() {
	out, err := match.Scale([]match.Part{{Code: "G2", Share: 0.625}, {Code: "W1", Share: 0.375}}, 40, shelf())
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, p := range out {
		fmt.Printf("%s %.1f g, %.1f ml, %d drops\n", p.Code, float64(p.Mass), float64(p.Volume), p.Drops)
	}
	// Output:
	// G2 30.0 g, 25.0 ml, 500 drops
	// W1 18.0 g, 15.0 ml, 300 drops
}
