package plan_test

import (
	"fmt"
	"time"

	"undercoat/finish/plan"
)

// Two pack sizes: 120 mL are cheapest as one small and one large pot.
func ExampleCheapest() {
	basket, _ := plan.Cheapest(120, []plan.Offer{{Size: 30, Price: 490}, {Size: 100, Price: 900}})
	for _, p := range basket.Packs {
		fmt.Printf("%d × %.0f mL\n", p.Count, p.Size)
	}
	fmt.Println(basket.Cost)
	// Output:
	// 1 × 100 mL
	// 1 × 30 mL
	// 13.90
}

// A label says two hours at 23 °C and 50 %. In a cool damp room the same coat
// is planned with five.
func ExampleFactorOf() {
	f := plan.FactorOf(plan.WaterBorne, plan.Recoat, plan.Air{C: 18, RH: 0.60, Speed: 0.1}, 1)
	fmt.Printf("%.2f times the label, planned after %v\n", f.Total, plan.DryTime(2*time.Hour, f.Total).Round(time.Minute))
	// Output: 1.70 times the label, planned after 5h6m0s
}
