package plan

import (
	"math"
	"testing"
	"time"
)

// Source: reference/drying/dry_factor_checks.csv, evaluated apart from the
// stated formulas; half of the last printed digit plus the 0.1 % between the
// vapour pressure formulas.
func TestDryingFactorAgainstWorkedValues(t *testing.T) {
	for _, r := range reference(t, "drying", "dry_factor_checks.csv") {
		v, stage := WaterBorne, Recoat
		if r["type"] == "solventborne" {
			v = SolventBorne
		}
		if r["stage"] == "through" {
			stage = Cured
		}
		a := Air{C: number(t, r["temp_c"]), RH: number(t, r["rh_pct"]) / 100, Speed: number(t, r["air_m_s"])}
		film := number(t, r["h_ratio"])
		f := FactorOf(v, stage, a, film)
		name := r["type"] + " " + r["temp_c"] + " °C " + r["rh_pct"] + " % " + r["stage"]
		check := func(what string, got float64) {
			t.Helper()
			if want := number(t, r[what]); math.Abs(got-want) > 0.0006+0.001*want {
				t.Errorf("%s: %s %.4f, want %.3f", name, what, got, want)
			}
		}
		check("f_env", f.Env)
		check("f_air", f.Air)
		check("f_thick", f.Film)
		check("f_total", f.Total)
		if got := WetBulb(a.C, a.RH); math.Abs(got-number(t, r["wetbulb_c"])) > 0.006 {
			t.Errorf("%s: wet bulb %.3f", name, got)
		}
		if got := DewPoint(a.C, a.RH); math.Abs(got-number(t, r["dewpoint_c"])) > 0.05 {
			t.Errorf("%s: dew point %.3f", name, got)
		}
		// The table leaves the dew-point distance out: judge a warm surface.
		refused := len(Unfit(a, a.C+10, math.NaN(), film, f.Total)) > 0
		if want := r["verdict"] == "refuse"; refused != want {
			t.Errorf("%s: refused %v, want %v", name, refused, want)
		}
	}
}

func TestFanHelpsNoReactiveProduct(t *testing.T) {
	a := Air{C: 23, RH: 0.5, Speed: 1}
	if f := FactorOf(Reactive, Recoat, a, 1); f.Air != 1 {
		t.Errorf("moving air shortens a reactive product to %g", f.Air)
	}
	if f := FactorOf(Reactive, Recoat, Air{C: 23, RH: 0.5}, 1); f.Air <= 1 {
		t.Errorf("still air lengthens nothing: %g", f.Air)
	}
}

func TestDryTimeNeverBelowHalfTheLabel(t *testing.T) {
	if got := DryTime(time.Hour, 0.1); got != 30*time.Minute {
		t.Errorf("factor 0.1: %v", got)
	}
	if got := DryTime(2*time.Hour, 1); got != 3*time.Hour {
		t.Errorf("factor 1: %v, want the label times 1.5", got)
	}
}

func TestUnfitSaysEachReason(t *testing.T) {
	good := Air{C: 18, RH: 0.70}
	check := func(name string, want int, why []string) {
		t.Helper()
		if len(why) != want {
			t.Errorf("%s: %d reasons %q, want %d", name, len(why), why, want)
		}
	}
	none := math.NaN()
	check("the demo's day", 0, Unfit(good, 18, none, 1, 2))
	check("the demo's night", 0, Unfit(Air{C: 15, RH: 0.70}, 15, none, 1, 2))
	check("cold surface", 1, Unfit(good, 14, none, 1, 2))
	check("damp air and dew point", 2, Unfit(Air{C: 18, RH: 0.85}, 18, none, 1, 2))
	check("cold room", 1, Unfit(Air{C: 9.9, RH: 0.5}, 9.9, none, 1, 2))
	check("label's own cold limit", 1, Unfit(good, 18, 20, 1, 2))
	check("hot room", 1, Unfit(Air{C: 35.1, RH: 0.3}, 35.1, none, 1, 1))
	check("thick coat", 1, Unfit(good, 18, none, 2.01, 2))
	check("too slow", 1, Unfit(good, 18, none, 1, 4.01))
}

func TestHumidityRiseFallsWithAir(t *testing.T) {
	closed := HumidityRise(100, 30, 23, 0, time.Hour)
	ajar := HumidityRise(100, 30, 23, 2, time.Hour)
	if want := closed * (1 - math.Exp(-2)) / 2; math.Abs(ajar-want) > 1e-12 {
		t.Errorf("two changes an hour: %g, want %g", ajar, want)
	}
	if tiny := HumidityRise(100, 30, 23, 1e-9, time.Hour); math.Abs(tiny-closed) > 1e-9 {
		t.Errorf("no air: %g, want %g", tiny, closed)
	}
	if HumidityRise(0, 30, 23, 0, time.Hour) != 0 {
		t.Error("nothing wet raises the humidity")
	}
}
