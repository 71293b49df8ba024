package plan

import (
	"testing"
	"time"

	"undercoat/finish/garment"
	"undercoat/finish/schedule"
	"undercoat/inventory"
	"undercoat/inventory/unit"
)

// A new job has no work yet: it once took the program down.
func TestAJobWithoutWorkIsPlanned(t *testing.T) {
	start := time.Date(2026, 11, 25, 9, 0, 0, 0, time.UTC)
	for name, facts := range map[string]inventory.JobFacts{
		"no areas":                {},
		"an area, nothing chosen": {Areas: []inventory.AreaFact{{Code: "A1", Method: "cloth"}}},
	} {
		facts.Job = inventory.JobFact{Name: name, HandsOff: unit.State(start.Add(48 * time.Hour))}
		j, err := garment.NewJob(facts)
		if err != nil {
			t.Fatal(err)
		}
		p, err := Make(Input{Job: j, Now: start, Alternatives: true})
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if !p.HandsOff.Met || p.HandsOff.Spare != 48*time.Hour || p.Solver.Status != schedule.Proven || len(p.Areas) != len(facts.Areas) {
			t.Errorf("%s: %+v, %v, %d areas", name, p.HandsOff, p.Solver.Status, len(p.Areas))
		}
	}
}
