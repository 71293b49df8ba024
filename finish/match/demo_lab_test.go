package match

import (
	"encoding/csv"
	"fmt"
	"os"
	"strconv"
	"testing"

	"undercoat/finish/film"
	"undercoat/inventory"
	"undercoat/inventory/unit"
	"undercoat/palette/colour"
)

func TestDemoLab(t *testing.T) {
	f, err := os.Open("../../testdata/demo/stock.csv")
	if err != nil {
		t.Skip()
	}
	rows, _ := csv.NewReader(f).ReadAll()
	pots := map[string]pot{}
	col := map[string]colour.Colour{}
	for _, r := range rows[1:] {
		c, _ := colour.FromHex(r[4])
		col[r[0]] = c
		if r[2] != "paint" && r[2] != "sealer" {
			continue
		}
		num := func(i int) unit.Stated[float64] {
			v, err := strconv.ParseFloat(r[i], 64)
			if err != nil {
				return unit.Stated[float64]{}
			}
			return unit.State(v)
		}
		p := inventory.Paint{}
		p.Code, p.Name, p.Kind, p.Medium, p.Note = r[0], r[1], inventory.Kind(r[2]), r[3], r[33]
		if c.Valid() {
			p.Colour = unit.State(c)
		}
		p.HidingBlack, p.HidingWhite, p.WetFilm, p.Fluorescent = num(5), num(6), num(7), num(20)
		pots[r[0]] = potOf(p, inventory.Stock{})
		fmt.Println(r[0], pots[r[0]].role, pots[r[0]].film.Evidence, pots[r[0]].film.Scatter)
	}
	for _, c := range []struct {
		g, p string
		tol  float64
		over string
	}{{"C7", "W3", 3, "W1"}, {"W3", "W1", 3, "F1"}, {"W1", "F1", 3, ""}, {"C6", "T3", 3, ""}, {"C8", "G2", 5, ""}, {"C9", "B1", 5, ""}, {"C10", "O1", 5, ""}, {"C6", "T1", 3, ""}} {
		var over *pot
		if o, ok := pots[c.over]; ok {
			over = &o
		}
		n := houseCount(pots[c.p], plain(col[c.g].Reflectance()), c.tol, over, 1)
		fmt.Printf("%s on %s: %d (%d-%d) %s %.2f\n", c.p, c.g, n.N, n.Low, n.High, n.Driver, n.Differences)
		if pots[c.p].role == Cover {
			for _, b := range []Bed{{Uneven: .3}, {Uneven: .5}, {Uneven: .8}, {Uneven: .5, Absorbs: film.Absorbency{Volume: 80, Slope: .4}}} {
				b.Reflectance = col[c.g].Reflectance()
				near := c.tol / 2
				if c.over == "F1" {
					near = .8
				}
				n := Coats(CoatsQuestion{Paint: pots[c.p].film, Bed: b, Wet: pots[c.p].wet, Full: true, Tolerance: near, Least: 2})
				fmt.Printf("    uneven %v absorbs %v: %d (%d-%d)\n", b.Uneven, b.Absorbs.Volume, n.N, n.Low, n.High)
			}
		}
	}
}
