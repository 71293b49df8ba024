package plan

import (
	"math"
	"math/rand/v2"
	"testing"

	"undercoat/inventory/unit"
)

// Source: coating notes, as in reference/drying/spread_checks.csv; the row's
// own tolerance.
func TestSpreadAgainstCoatingNotes(t *testing.T) {
	const sqFtPerM2, litresPerGallon = 10.763910417, 3.785411784
	got := map[string]float64{
		"theory_65_125": TheoreticalSpread(0.65, 125),
		"theory_100_1":  TheoreticalSpread(1, 1),
		"theory_us":     TheoreticalSpread(0.65, 5*25.4) * sqFtPerM2 * litresPerGallon,
		"thin_50_10":    100 * Thinned(0.50, 0.10),
		"thinned_rate":  TheoreticalSpread(Thinned(0.50, 0.10), 60),
		"practical_30":  PracticalSpread(7.57, 0.30),
		"table_60_100":  TheoreticalSpread(0.60, 100),
		"table_40_50":   TheoreticalSpread(0.40, 50),
		"table_25_row":  TheoreticalSpread(1, 25),
		"wet_film":      12 / 0.15,
		"volume_needed": float64(Coverage{Painted: 0.40, Factor: 1, Tool: Airbrush}.Coat(80)),
		"dry_from_wet":  DryFilm(80, 0.30),
	}
	for _, r := range reference(t, "drying", "spread_checks.csv") {
		g, known := got[r["id"]]
		if !known {
			t.Errorf("check %s has no counterpart here", r["id"])
			continue
		}
		if want := number(t, r["expected"]); math.Abs(g-want) > number(t, r["tolerance_abs"]) {
			t.Errorf("%s: %g %s, want %g", r["id"], g, r["unit"], want)
		}
	}
}

// Source: reference/drying/transfer_efficiency.csv, column te_plan.
func TestTransferEfficiencyAgainstTable(t *testing.T) {
	tools := map[string]Tool{
		"brush, flat area": Brush, "roller / foam roller": Roller, "sponge, stipple": Sponge, "stencil with sponge or dauber": Stencil,
		"airbrush, large soft area": Airbrush, "airbrush, fine line or small shape": AirbrushFine, "HVLP spray gun": SprayGun, "aerosol can, flat area": Aerosol,
	}
	found := 0
	for _, r := range reference(t, "drying", "transfer_efficiency.csv") {
		tool, known := tools[r["method"]]
		if !known {
			continue
		}
		found++
		if want := number(t, r["te_plan"]); tool.OnTheWork() != want {
			t.Errorf("%s: %g, want %g", tool, tool.OnTheWork(), want)
		}
	}
	if found != len(tools) {
		t.Errorf("%d of %d tools found in the table", found, len(tools))
	}
}

// Source: the demo's answer key (amount = painted × spread × coats × 1.15 ×
// sum of factors, to whole millilitres).
func TestAmountsOfTheDemo(t *testing.T) {
	check := func(name string, painted unit.Extent, rate unit.SpreadRate, coats int, want unit.Volume) {
		t.Helper()
		c := Coverage{Painted: painted, Factor: 3.12, Reserve: 0.15}
		got, each := c.Coats(Spreading{First: rate, Later: rate}, coats)
		if got != want {
			t.Errorf("%s: %v, want %v", name, got, want)
		}
		var sum unit.Volume
		for _, v := range each {
			sum += v
			if v != RoundVolume(v) {
				t.Errorf("%s: a coat of %v is not whole", name, v)
			}
		}
		if sum != got {
			t.Errorf("%s: coats %v add up to %v, not %v", name, each, sum, got)
		}
	}
	check("W3 on the sash", 0.42, 100, 1, 151)
	check("W1 on the sash", 0.42, 110, 3, 497)
	check("F1 on the sash", 0.42, 90, 3, 407)
	check("T3 on the tunic", 0.18, 95, 2, 123)
	check("G2 on the cuffs", 0.05, 80, 3, 43)
	check("S1 on the yoke", 0.30, 120, 3, 388)
	check("B1 on the yoke", 0.30, 85, 2, 183)
	check("V1 over 40 % of the yoke", 0.30*0.40, 60, 1, 26)
	check("S2 on the yoke", 0.30, 60, 1, 65)
	check("O1 on the gaiters", 0.24, 80, 2, 138)
}

func TestSplitAddsUp(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 2000 {
		n := 1 + r.IntN(6)
		exact := make([]unit.Volume, n)
		var sum unit.Volume
		for i := range exact {
			exact[i] = unit.Volume(r.Float64() * 200)
			sum += exact[i]
		}
		whole := RoundVolume(sum)
		var got unit.Volume
		for i, v := range split(whole, exact) {
			got += v
			if math.Abs(float64(v-exact[i])) > 1.01 {
				t.Fatalf("coat of %v became %v", exact[i], v)
			}
		}
		if got != whole {
			t.Fatalf("%v split into %v", whole, got)
		}
	}
}

// Weighing must give back what was weighed: the next coat is planned with
// exactly what the last one used.
func TestObservationPredictsItself(t *testing.T) {
	for _, tool := range []Tool{Brush, Airbrush} {
		c := Coverage{Painted: 0.42, Factor: 3.12, Reserve: 0.15, Tool: tool}
		seen := []Observation{{Code: "W1", Under: "W1", Used: 190, Extent: 0.42 * 3.12, Loss: float64(WithLoss(1, tool, 0.15))}}
		s := Spreading{First: 110, Later: 110, Basis: SpreadStated}.corrected(seen, "W1", "W3", false)
		if s.Basis != SpreadObserved || s.First != 110 {
			t.Errorf("%v: a later coat corrected %+v", tool, s)
		}
		if got := c.Coat(s.Later); math.Abs(float64(got-190)) > 1e-9 {
			t.Errorf("%v: next coat %v, weighed 190 mL", tool, got)
		}
	}
}

func TestFirstCoatOnBareClothSpeaksOnlyForItself(t *testing.T) {
	seen := []Observation{{Code: "W1", Under: "C6", Used: 300, Extent: 1, Loss: 1.15}}
	stated := Spreading{First: 110, Later: 110, Basis: SpreadStated}
	if s := stated.corrected(seen, "W1", "C6", true); s.Later != 110 || s.First == 110 {
		t.Errorf("on bare cloth: %+v", s)
	}
	if s := stated.corrected(seen, "W1", "C6", false); s.Later != s.First {
		t.Errorf("on paint: %+v", s)
	}
}

func TestSpreadingPrefersTheBetterFact(t *testing.T) {
	rate, film := unit.State(unit.SpreadRate(110)), unit.State(90.0)
	var noRate unit.Stated[unit.SpreadRate]
	var noFilm unit.Stated[float64]
	check := func(name string, got Spreading, first, later unit.SpreadRate, basis SpreadBasis) {
		t.Helper()
		if got != (Spreading{first, later, basis}) {
			t.Errorf("%s: %+v", name, got)
		}
	}
	check("stated rate, bare cloth", spreading(rate, film, true), 110, 110, SpreadStated)
	check("film, bare cloth soaks", spreading(noRate, film, true), 180, 90, SpreadOfFilm)
	check("film, on paint", spreading(noRate, film, false), 90, 90, SpreadOfFilm)
	check("nothing stated", spreading(noRate, noFilm, false), 80, 80, SpreadGuessed)
}

func TestRepairPotOfSmallPacks(t *testing.T) {
	pack := func(ml float64) unit.Stated[unit.Quantity] { return unit.State(unit.Quantity{Amount: ml, Unit: "ml"}) }
	for _, c := range []struct {
		pack unit.Stated[unit.Quantity]
		want unit.Volume
	}{{pack(30), 10}, {pack(75), 20}, {pack(150), 20}, {unit.Stated[unit.Quantity]{}, 20}} {
		if got := repairPot(20, c.pack); got != c.want {
			t.Errorf("pack %v: %v, want %v", c.pack, got, c.want)
		}
	}
}

func TestThinningTakesLessPaint(t *testing.T) {
	c := Coverage{Painted: 1, Factor: 1, Thin: 0.25}
	if got := c.Coat(100); math.Abs(float64(got-80)) > 1e-9 {
		t.Errorf("thinned by a quarter: %v, want 80 mL", got)
	}
}
