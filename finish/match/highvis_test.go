package match

import (
	"slices"
	"strings"
	"testing"
)

// A fluorescent prediction says how it lies to the published box of its class,
// with the source; a colour that does not glow says nothing of the kind.
func TestFluorescentsAreHeldAgainstTheirBox(t *testing.T) {
	q := Request{Target: Target{Colour: hex(t, "#FF5A3C"), Fluorescent: true}, Ground: Ground{Code: "C7"}, Tolerance: 5, Method: ByPaint, Lights: demoLights(t)}
	said := func(m Match) string {
		i := slices.IndexFunc(m.Notes, func(r Reason) bool { return r.Rule == RulePlausible })
		if i < 0 {
			return ""
		}
		return m.Notes[i].Text
	}
	glowing, dull := 0, 0
	for _, m := range find(t, q).Matches {
		text := said(m)
		switch {
		case m.HueDifference.Known():
			glowing++
			if !strings.HasPrefix(text, "plausibility") || !strings.Contains(text, "box") {
				t.Errorf("%s: %q", m.Code, text)
			}
			t.Log(m.Code, text)
		default:
			dull++
			if text != "" {
				t.Errorf("%s does not glow: %q", m.Code, text)
			}
		}
	}
	if glowing == 0 || dull == 0 {
		t.Errorf("%d glowing, %d dull: the test looks at nothing", glowing, dull)
	}
	steps, err := Build(Ground{Code: "C7"}, []Layer{{"W1", 3}, {"F1", 3}}, Light{}, demoStock(t))
	if err != nil {
		t.Fatal(err)
	}
	for i, s := range steps {
		if (s.HighVis != "") != (i > 3) {
			t.Errorf("coat %d: %q", i, s.HighVis)
		}
	}
}
