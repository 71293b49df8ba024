package caution

import (
	"math"
	"testing"
	"time"

	"undercoat/inventory/unit"
)

// Check values of the planning figures (vapour_checks.csv beside the
// repository): computed there from the published box formula; the mixture and
// conversion figures are printed in 29 CFR 1910.1000(d) and in the NIOSH
// Pocket Guide. Tolerance 0.05 ppm, half the last digit printed.
func TestBoxFigures(t *testing.T) {
	acetone, err := SolventNamed("acetone")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name            string
		changes, mixing float64
		want            float64
	}{
		{"closed room", 0, 1, 110.82},
		{"0.3 changes", 0.3, 1, 95.74},
		{"0.3 changes, badly mixed", 0.3, 3, 105.46},
		{"2 changes", 2, 1, 47.91},
		{"2 changes, badly mixed", 2, 3, 80.88},
		{"6 changes", 6, 1, 18.42},
	} {
		e, err := Air(Room{Volume: 30, Changes: c.changes, Mixing: c.mixing}, Work{Released: []Released{{acetone, 7.9}}, Over: time.Hour})
		if err != nil {
			t.Fatal(err)
		}
		if got := e.Vapours[0].PeakPPM; math.Abs(got-c.want) > 0.05 {
			t.Errorf("%s: 10 ml of acetone over 1 h in 30 m³: %.2f ppm, want %.2f", c.name, got, c.want)
		}
	}
}

// 5 ml of toluene at once in a closed room of 30 m³: 38.49 ppm.
func TestInstantRelease(t *testing.T) {
	toluene, err := SolventNamed("toluene")
	if err != nil {
		t.Fatal(err)
	}
	e, err := Air(Room{Volume: 30, Changes: 0, Mixing: 1}, Work{Released: []Released{{toluene, 4.35}}})
	if err != nil {
		t.Fatal(err)
	}
	if got := e.Vapours[0].PeakPPM; math.Abs(got-38.49) > 0.05 {
		t.Errorf("%.2f ppm, want 38.49", got)
	}
}

// NIOSH Pocket Guide, conversion factors: 1 ppm is so many mg/m³ (two
// decimals printed).
func TestConversionFactors(t *testing.T) {
	for molar, mg := range map[float64]float64{58.1: 2.38, 92.1: 3.77, 106.2: 4.34, 116.2: 4.75} {
		if got := 1 / ppmOf(1, molar); math.Abs(got-mg) > 0.005 {
			t.Errorf("M %.1f: %.3f mg/m³ a ppm, want %.2f", molar, got, mg)
		}
	}
}

// The mean over 8 h is the integral of the curve: compared with a sum over
// small steps, to a thousandth.
func TestMeanIsTheIntegral(t *testing.T) {
	for _, b := range []box{{26, 52, 8000, 1}, {26, 0, 8000, 2}, {26, 10, 8000, 0}, {26, 7.8, 8000, 12}} {
		const n = 200000
		sum, c, dt := 0.0, 0.0, 8.0/n
		if b.t == 0 {
			c = b.m / b.v
		}
		for i := range n {
			if float64(i)*dt < b.t {
				c += b.m / b.t / b.v * dt
			}
			c -= c * b.q / b.v * dt
			sum += c * dt
		}
		if want := sum / 8; math.Abs(b.mean(8)-want) > 1e-3*want {
			t.Errorf("%+v: mean %.4f, sum %.4f", b, b.mean(8), want)
		}
	}
}

func TestAirAsksForWhatItLacks(t *testing.T) {
	if _, err := Air(Room{Volume: 26, Changes: 1, Mixing: 3}, Work{}); err == nil {
		t.Error("an unknown composition was estimated")
	}
	if _, err := Air(Room{Volume: 0, Changes: 1, Mixing: 3}, Work{Lump: 1}); err == nil {
		t.Error("a room without volume was estimated")
	}
	if _, err := SolventNamed("unobtainium"); err == nil {
		t.Error("an unknown substance was found")
	}
}

// More air never gives more vapour, and no vapour passes saturation.
func TestAirLaws(t *testing.T) {
	for _, s := range Solvents() {
		last := math.Inf(1)
		for _, changes := range []float64{0, 0.3, 1, 3, 11} {
			e, err := Air(Room{Volume: 26, Changes: changes, Mixing: 3}, Work{Released: []Released{{s, unit.Mass(500)}}, Over: 30 * time.Minute})
			if err != nil {
				t.Fatal(err)
			}
			v := e.Vapours[0]
			if v.PeakPPM > last+1e-9 || v.MeanPPM > v.PeakPPM+1e-9 || v.NearPPM < v.PeakPPM {
				t.Errorf("%s at %g changes: peak %.1f after %.1f, mean %.1f, near %.1f", s.Name, changes, v.PeakPPM, last, v.MeanPPM, v.NearPPM)
			}
			if sat := s.saturation(); sat > 0 && v.NearPPM > sat {
				t.Errorf("%s passes saturation", s.Name)
			}
			last = v.PeakPPM
		}
	}
}
