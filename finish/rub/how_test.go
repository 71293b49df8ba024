package rub

import (
	"math"
	"strings"
	"testing"
)

// The weights of the home versions are the standards' forces: 9 N on the rubbing
// finger (ISO 105-X12), 12.5 kPa on a sandwich of 40 × 100 mm (ISO 105-E04), with
// g = 9.81 m/s². What is asked of a hand: within a tenth.
func TestHomeWeights(t *testing.T) {
	for _, c := range []struct {
		how, says  string
		kilo, want float64
	}{
		{DryRub, "0.9 kg", 0.9, 9 / 9.81},
		{Press, "5 kg", 5, 12500 * 0.040 * 0.100 / 9.81},
	} {
		p, err := ProtocolFor(c.how)
		if err != nil {
			t.Fatal(err)
		}
		said := false
		for _, s := range p.Steps {
			said = said || strings.Contains(s.Home, c.says)
		}
		if !said || math.Abs(c.kilo/c.want-1) > 0.1 {
			t.Errorf("%s: says %v, %.2f kg, the standard's force is %.2f kg", c.how, said, c.kilo, c.want)
		}
	}
	// 0.6 g of detergent in 150 ml is the 4 g/l of ISO 105-C06.
	if got := 0.6 / 0.150; math.Abs(got-4) > 1e-9 {
		t.Errorf("detergent: %g g/l", got)
	}
}

// Every way has a protocol, every step its evidence, and no step promises
// anything or offers a folk recipe.
func TestProtocolsAreWhole(t *testing.T) {
	for _, how := range Ways() {
		p, err := ProtocolFor(how)
		if err != nil {
			t.Error(err)
			continue
		}
		if p.Question == "" || len(p.Need) == 0 || len(p.Accept) == 0 || len(p.Steps) < 4 {
			t.Errorf("%s: %+v", how, p)
		}
		for _, s := range p.Steps {
			if s.Home == "" || s.Evidence == "" {
				t.Errorf("%s: step %+v", how, s)
			}
			for _, word := range []string{"safe", "guarantee", "perfect", "vinegar"} {
				if strings.Contains(s.Home, word) {
					t.Errorf("%s: %s", how, s.Home)
				}
			}
		}
	}
	if _, err := ProtocolFor("lick"); err == nil {
		t.Error("an unknown way has a protocol")
	}
}

// The scales hold the published differences (the workroom's table of grey
// scales, ISO 105-A02 and A03), and each pair grades as itself.
func TestGreyScales(t *testing.T) {
	published := map[string]float64{}
	for _, m := range reference(t, "grey_scales_iso105.csv") {
		published[m["scale"]+" "+m["grade"]] = num(t, m, "de_ab")
	}
	for name, scale := range map[string]Scale{"A02_change": ChangeScale, "A03_staining": StainingScale} {
		for _, p := range GreyScale(scale) {
			if p.DE != published[name+" "+p.Grade.String()] {
				t.Errorf("%s %s: ΔE %g, published is %g", name, p.Grade, p.DE, published[name+" "+p.Grade.String()])
			}
			if got := rateOn(scale, p.Reference, p.Other).Grade; got != p.Grade {
				t.Errorf("%s %s grades as %s", name, p.Grade, got)
			}
		}
	}
}
