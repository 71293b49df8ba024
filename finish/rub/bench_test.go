package rub

import (
	"fmt"
	"testing"
	"time"

	"undercoat/finish/garment"
	"undercoat/inventory"
	"undercoat/inventory/unit"
	"undercoat/palette/colour"
)

// BenchmarkDepartment judges a wardrobe department: 400 areas, 800 contacts,
// 5000 stock lines, 300 tests; invented figures.
func BenchmarkDepartment(b *testing.B) {
	var cloths []inventory.Cloth
	for i := range 5000 {
		c, _ := colour.FromLab(colour.Lab{L: float64(10 + i%85), A: float64(i%20 - 10)}, colour.Declared)
		cloths = append(cloths, inventory.Cloth{
			Article: inventory.Article{Code: fmt.Sprintf("C%04d", i), Name: "cloth", Kind: inventory.KindCloth, Colour: unit.State(c)}, Fibre: "cotton", DyeClass: "direct",
		})
	}
	stock, err := inventory.NewStock(nil, nil, cloths, nil)
	if err != nil {
		b.Fatal(err)
	}
	var facts inventory.JobFacts
	facts.Job.Name = "department"
	for i := range 400 {
		facts.Areas = append(facts.Areas, inventory.AreaFact{Code: fmt.Sprintf("A%d", i), Method: "cloth", Ground: fmt.Sprintf("C%04d", 12*i)})
	}
	for i := range 800 {
		facts.Contacts = append(facts.Contacts, inventory.ContactFact{Code: fmt.Sprintf("N%d", i), From: fmt.Sprintf("A%d", i/2), To: fmt.Sprintf("A%d", (7*i+1)%400), Rubbing: "medium", Damp: unit.State(i%2 == 0)})
	}
	job, err := garment.NewJob(facts)
	if err != nil {
		b.Fatal(err)
	}
	in := Input{Job: job, Stock: stock}
	for i := range 300 {
		in.Tests = append(in.Tests, Test{
			Code: fmt.Sprintf("T%d", i), Subject: fmt.Sprintf("C%04d", 12*i), How: DampRub, When: unit.State(time.Unix(int64(i)*3600, 0)),
			Rating: unit.State(Staining(colour.Lab{L: 95}, colour.Lab{L: 95 - float64(i%20)})),
		})
	}
	b.ResetTimer()
	for b.Loop() {
		if v := Verdicts(in); len(v) != 800 {
			b.Fatal(len(v))
		}
		PackApart(in)
	}
}
