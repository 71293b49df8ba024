package finish

import (
	"errors"
	"strings"
	"testing"
)

// The estimate names everything it lacks, each by its own name, and refuses
// numbers that cannot be meant. Products are invented.
func TestAirAsksByName(t *testing.T) {
	b, ctx := paintBench(t), t.Context()
	for _, p := range [][4]string{{"mute", "water", "", ""}, {"dark", "solvent", "secret", "600"}, {"can", "solvent", "acetone", "600"}} {
		if err := b.AddStock(ctx, map[string]string{"code": p[0], "name": p[0], "kind": "paint", "base": p[1], "contains": p[2], "voc_g_l": p[3]}); err != nil {
			t.Fatal(err)
		}
	}
	for _, c := range []struct {
		name string
		q    AirRequest
		says []string
	}{
		{"no room", AirRequest{Product: "can", Changes: -1}, []string{"the room's volume"}},
		{"no room and no VOC", AirRequest{Product: "mute", Changes: -1}, []string{"the room's volume", "mute's VOC in g/L"}},
		{"no VOC", AirRequest{Product: "mute", Space: "26 m3", Changes: -1}, []string{"mute's VOC in g/L"}},
		{"no substance", AirRequest{Product: "dark", Space: "26 m3", Changes: -1}, []string{"dark's substances that evaporate", "section 3"}},
		{"nothing laid", AirRequest{Product: "can", Amount: "0 ml", Space: "26 m3", Changes: -1}, []string{"amount"}},
		{"an empty share", AirRequest{Product: "can", Space: "26 m3", Changes: -1, Contains: []string{"acetone=0"}}, []string{"share above 0"}},
		{"density", AirRequest{Product: "can", Space: "26 m3", Changes: -1, Density: -3, Contains: []string{"acetone=4"}}, []string{"density -3"}},
		{"mixing", AirRequest{Product: "can", Space: "26 m3", Changes: -1, Mixing: 0.2}, []string{"mixing factor 0.2"}},
	} {
		if c.q.Amount == "" {
			c.q.Amount = "90 ml"
		}
		_, err := b.Air(ctx, c.q)
		if err == nil {
			t.Errorf("%s: estimated", c.name)
			continue
		}
		for _, s := range c.says {
			if !strings.Contains(err.Error(), s) {
				t.Errorf("%s: %q does not name %q", c.name, err, s)
			}
		}
		var h *Hinted
		if strings.Contains(err.Error(), "not known") && !errors.As(err, &h) {
			t.Errorf("%s: no way out is named", c.name)
		}
	}
	a, err := b.Air(ctx, AirRequest{Product: "can", Amount: "90 ml", Space: "26 m3", Changes: -1})
	if err != nil || len(a.Assumed) < 3 || !strings.Contains(strings.Join(a.Assumed, "; "), "0.3 air changes") {
		t.Errorf("what is assumed is not said: %+v, %v", a.Assumed, err)
	}
}
