package plan

import (
	"fmt"
	"math"
	"testing"
	"time"
)

// Source: CRC Handbook 62nd ed. and ASHRAE Fundamentals 2017, as in
// reference/drying/saturation_vapour_pressure.csv. Tolerance: the printed
// rounding of each row, but not below the formula's own 0.13 % (Buck 1996).
func TestSaturationPressureAgainstPrintedTables(t *testing.T) {
	for _, r := range reference(t, "drying", "saturation_vapour_pressure.csv") {
		c, want := number(t, r["temp_c"]), number(t, r["p_published_pa"])
		got := SaturationPressure(c)
		if tol := max(number(t, r["tol_rel"]), 0.0013); math.Abs(got/want-1) > tol {
			t.Errorf("%s at %g °C: %.1f Pa, printed %.1f", r["source"], c, got, want)
		}
		// The same formula evaluated apart, printed to 0.1 Pa.
		if buck := number(t, r["p_buck_pa"]); math.Abs(got-buck) > 0.051 {
			t.Errorf("Buck at %g °C: %.2f Pa, evaluated apart %.1f", c, got, buck)
		}
	}
}

// Source: coating charts and notes (whole degrees) and Hyland–Wexler, as in
// reference/drying/dew_point.csv; tolerance per row.
func TestDewPointAgainstChartsAndHylandWexler(t *testing.T) {
	for _, r := range reference(t, "drying", "dew_point.csv") {
		c, rh, want := number(t, r["temp_c"]), number(t, r["rh_pct"])/100, number(t, r["dewpoint_c"])
		if got := DewPoint(c, rh); math.Abs(got-want) > number(t, r["tol_c"]) {
			t.Errorf("%s: %g °C, %g %%: dew point %.2f, want %.2f", r["source"], c, rh*100, got, want)
		}
	}
}

// Source: reference/drying/drying_misc_checks.csv; half of the last printed
// digit, 0.05 °C (Magnus against Hyland–Wexler) for dew points, and 0.3 % for
// humidities, which the table took with the Magnus formula.
func TestDryingMiscChecks(t *testing.T) {
	got := map[string]float64{
		"evap_rate_wetbulb": EvaporationRate(wetDrive(labelAir), 0.1),
		"wet_bulb_23_50":    WetBulb(23, 0.5),
		"abs_humidity_23":   AbsoluteHumidity(23, 1),
		"rh_rise":           100 * HumidityRise(100, 30, 23, 0, time.Hour),
		"dew_from_wetbulb":  DewPointOfWetBulb(21, 17),
		"q10_energy":        8.31446 * math.Ln2 / (1/293.15 - 1/303.15) / 1000, // what a factor of two means
	}
	tolerance := map[string]float64{"evap_rate_wetbulb": 0.2, "wet_bulb_23_50": 0.005, "abs_humidity_23": 0.06, "rh_rise": 0.1, "dew_from_wetbulb": 0.05, "q10_energy": 0.05}
	seen := 0
	for _, r := range reference(t, "drying", "drying_misc_checks.csv") {
		g, known := got[r["id"]]
		if !known {
			t.Errorf("check %s has no counterpart here", r["id"])
			continue
		}
		seen++
		if want := number(t, r["expected"]); math.Abs(g-want) > tolerance[r["id"]] {
			t.Errorf("%s: %.3f %s, want %g", r["id"], g, r["unit"], want)
		}
	}
	if seen != len(got) {
		t.Errorf("%d of %d checks found", seen, len(got))
	}
}

func TestPsychrometryLaws(t *testing.T) {
	for c := -5.0; c <= 45; c += 2.5 {
		if d := DewPoint(c, 1); math.Abs(d-c) > 1e-9 {
			t.Errorf("saturated air of %g °C: dew point %g", c, d)
		}
		if w := WetBulb(c, 1); math.Abs(w-c) > 1e-5 {
			t.Errorf("saturated air of %g °C: wet bulb %g", c, w)
		}
		for tenths := 1; tenths <= 9; tenths++ {
			rh := float64(tenths) / 10
			dew, wet := DewPoint(c, rh), WetBulb(c, rh)
			if !(dew < wet && wet < c) {
				t.Errorf("%g °C %.0f %%: dew %g, wet bulb %g out of order", c, rh*100, dew, wet)
			}
			if back := DewPointOfWetBulb(c, wet); math.Abs(back-dew) > 1e-3 {
				t.Errorf("%g °C %.0f %%: dew point %g, by the wet bulb %g", c, rh*100, dew, back)
			}
		}
	}
	if d := DewPoint(20, 0); !math.IsInf(d, -1) {
		t.Errorf("dry air has dew point %g", d)
	}
}

func ExampleDewPoint() {
	// A coating note: 30 °C and 55 % give a dew point of 20 °C.
	fmt.Printf("%.0f\n", DewPoint(30, 0.55))
	// Output: 20
}
