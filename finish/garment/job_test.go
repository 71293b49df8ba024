package garment

import (
	"strings"
	"testing"
	"time"

	"undercoat/inventory"
	"undercoat/inventory/unit"
)

func written(t *testing.T, s string) unit.Stated[inventory.Written] {
	t.Helper()
	w, err := inventory.Write(s)
	if err != nil {
		t.Fatal(err)
	}
	return unit.State(w)
}

// An approval freezes a target; a later one holds over it, and what the table
// states no longer counts.
func TestTheLatestApprovalHolds(t *testing.T) {
	f := inventory.JobFacts{
		Areas: []inventory.AreaFact{{Code: "A1", Method: "cloth", Target: written(t, "#808080")}},
		Targets: []inventory.TargetFact{
			{Area: "A1", Colour: written(t, "#6C7176"), At: unit.State(time.Date(2026, 10, 26, 9, 0, 0, 0, time.UTC))},
			{Area: "A1", Colour: written(t, "#111111"), At: unit.State(time.Date(2026, 10, 27, 9, 0, 0, 0, time.UTC))},
		},
	}
	j, err := NewJob(f)
	if err != nil {
		t.Fatal(err)
	}
	if a, _ := j.Area("A1"); !a.Target.Frozen || a.Target.Colour.Hex() != "#111111" {
		t.Errorf("target %s, frozen %v", a.Target.Colour.Hex(), a.Target.Frozen)
	}
	f.Targets = nil
	if j, err = NewJob(f); err != nil {
		t.Fatal(err)
	}
	if a, _ := j.Area("A1"); a.Target.Frozen || a.Target.Colour.Hex() != "#808080" {
		t.Errorf("without an approval the target is %s, frozen %v", a.Target.Colour.Hex(), a.Target.Frozen)
	}
}

// The latest choice holds over the recipe of the table.
func TestTheLatestChoiceHolds(t *testing.T) {
	j, err := NewJob(inventory.JobFacts{
		Areas: []inventory.AreaFact{{Code: "A5", Method: "paint", Painted: unit.State(unit.Extent(0.4)), Recipe: []inventory.RecipeLayer{{Code: "W1", Coats: 3}}}},
		Choices: []inventory.ChoiceFact{
			{Area: "A5", Layers: []Layer{{Code: "W1", Coats: 2}}},
			{Area: "A5", Layers: []Layer{{Code: "W3", Coats: 1}, {Code: "W1", Coats: 2}}},
		},
	})
	if err != nil {
		t.Fatal(err)
	}
	if layers, ok := j.ChoiceFor("A5"); !ok || len(layers) != 2 || layers[0].Code != "W3" {
		t.Errorf("choice %v, %v", layers, ok)
	}
	if _, ok := j.ChoiceFor("A9"); ok {
		t.Error("an area that is not there has a choice")
	}
}

// Facts that contradict each other are refused with the table and the column.
func TestContradictionsAreNamed(t *testing.T) {
	day := func(d int) unit.Stated[time.Time] { return unit.State(time.Date(2026, 11, d, 9, 0, 0, 0, time.UTC)) }
	for _, c := range []struct {
		name string
		f    inventory.JobFacts
		says string
	}{
		{"hands off before the start", inventory.JobFacts{Job: inventory.JobFact{PlanningStarts: day(11), HandsOff: day(1)}}, "hands_off"},
		{"paint without an area", inventory.JobFacts{Areas: []inventory.AreaFact{{Code: "A4", Method: "paint"}}}, "painted_m2"},
		{"no such zone", inventory.JobFacts{Job: inventory.JobFact{Timezone: "Mudflats/Dusk"}}, "timezone"},
		{"no such light", inventory.JobFacts{Lights: []inventory.LightFact{{Name: "hall", Source: "moon"}}}, "source"},
	} {
		if _, err := NewJob(c.f); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v, expected it to name %s", c.name, err, c.says)
		}
	}
}

// A job without wearers has one of factor 1; else the factors add up.
func TestFactor(t *testing.T) {
	j, err := NewJob(inventory.JobFacts{})
	if err != nil || j.Factor() != 1 {
		t.Errorf("no wearers: factor %g, %v", j.Factor(), err)
	}
	j, err = NewJob(inventory.JobFacts{Wearers: []inventory.WearerFact{{Code: "P1"}, {Code: "P2", AreaFactor: unit.State(0.88)}, {Code: "P3", AreaFactor: unit.State(1.24)}}})
	if err != nil || j.Factor() < 3.1199 || j.Factor() > 3.1201 {
		t.Errorf("three wearers: factor %g, %v", j.Factor(), err)
	}
}

func TestSensitivityMeetsSubstance(t *testing.T) {
	w := Wearer{Sensitivities: []string{"latex"}}
	for substance, want := range map[string]bool{"natural latex": true, "Latex": true, "nickel": false, "": false} {
		if w.SensitiveTo(substance) != want {
			t.Errorf("latex and %q: %v", substance, !want)
		}
	}
}

// Layers print and read back.
func TestLayersReadBack(t *testing.T) {
	for _, s := range []string{"W3:1,W1:3,F1:3", "C1", "S1:3,B1"} {
		layers, err := ParseLayers(s, ",")
		if err != nil {
			t.Fatal(err)
		}
		var out []string
		for _, l := range layers {
			out = append(out, l.String())
		}
		if got := strings.Join(out, ","); got != s {
			t.Errorf("%s comes back as %s", s, got)
		}
	}
	for _, bad := range []string{"W1:0", "W1:x", ":3", "W1:13", "W1:2:3"} {
		if _, err := ParseLayers(bad, ","); err == nil {
			t.Errorf("%q was read as layers", bad)
		}
	}
}
