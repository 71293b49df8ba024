package caution

import (
	"math"
	"strconv"
	"strings"
	"testing"
	"time"

	"undercoat/inventory"
	"undercoat/inventory/unit"
)

// Check values (vapour_checks.csv beside the
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

// The rest of the check values: worked examples printed in 29 CFR
// 1910.1000(d), the dilution formula of industrial hygiene, a stored textbook
// problem, and figures computed from the formulas named beside them in
// vapour_checks.csv, with its tolerances.
func TestVapourChecks(t *testing.T) {
	named := func(name string) Solvent {
		s, err := SolventNamed(name)
		if err != nil {
			t.Fatal(err)
		}
		return s
	}
	mixture := func(parts ...[2]float64) float64 { // at once in 1 m³ of still air: the 8-hour mean is the peak
		var w Work
		for i, p := range parts {
			s := Solvent{Name: string(rune('a' + i)), MolarG: molarVolume, LimitPPM: p[1]} // 1 mg/m³ is 1 ppm
			w.Released = append(w.Released, Released{s, unit.Mass(p[0] / 1000)})
		}
		e, err := Air(Room{Volume: 1, Mixing: 1}, w)
		if err != nil {
			t.Fatal(err)
		}
		return e.Index
	}
	toluene, acetone, spirits := named("toluene"), named("acetone"), named("mineral spirits")
	benzene := box{v: 108, q: 600, m: 60000, t: 1} // 1 g/min, 10 m³/min, a room of 6 × 6 × 3 m
	flow := airNeeded(Released{toluene, unit.Mass(0.05 * 1000 * 0.87)}, 100, 3, time.Hour)
	got := map[string]float64{
		"osha_mixture":         mixture([2]float64{500, 1000}, [2]float64{45, 200}, [2]float64{40, 200}),
		"osha_mixture_term2":   mixture([2]float64{45, 200}),
		"sat_acetone":          Solvent{VapourMM: 180}.saturation(), // the guide's own vapour pressures; the table takes the higher of two
		"sat_toluene":          Solvent{VapourMM: 21}.saturation(),
		"sat_ethanol":          Solvent{VapourMM: 44}.saturation(),
		"decay_half_life":      60 * airing(Room{Changes: 2, Mixing: 1}, 2).Hours(),
		"steady_benzene":       benzene.during(1e9),
		"steady_benzene_95":    60 * timeTo(benzene, 0.95),
		"lel_airspace_acetone": fireSpace(Released{acetone, unit.Mass(100 * 0.79)}),
		"lel_airspace_spirits": fireSpace(Released{spirits, unit.Mass(100 * 0.78)}),
	}
	covered := map[string]bool{"osha_twa": true, "box_instant_toluene": true, "dilution_flow_us_units": true}
	for _, m := range reference(t, "vapour_checks.csv") {
		want, err1 := strconv.ParseFloat(m["expected"], 64)
		tolerance, err2 := strconv.ParseFloat(m["tolerance_abs"], 64)
		if err1 != nil || err2 != nil {
			t.Fatal(m, err1, err2)
		}
		switch v, ok := got[m["id"]]; {
		case ok:
			if math.Abs(v-want) > tolerance {
				t.Errorf("%s: %.4f, want %.4f ± %g", m["id"], v, want, tolerance)
			}
		case m["id"] == "dilution_flow_toluene": // 24 L/mol at 20 °C there, 24.45 at 25 °C here
			if v := flow * 24 / molarVolume; math.Abs(v-want) > tolerance {
				t.Errorf("%s: %.1f m³/h, want %.1f", m["id"], v, want)
			}
		case !covered[m["id"]] && !strings.HasPrefix(m["id"], "box_acetone") && !strings.HasPrefix(m["id"], "ppm_from"):
			t.Errorf("%s is not checked", m["id"])
		}
	}
}

// timeTo is when a box reaches a share of its steady concentration, h, found by
// bisection of the rise itself.
func timeTo(b box, share float64) float64 {
	low, high, steady := 0.0, 100.0, b.during(1e9)
	for range 60 {
		if mid := (low + high) / 2; b.during(mid) < share*steady {
			low = mid
		} else {
			high = mid
		}
	}
	return low
}

// 29 CFR 1910.1000(d)(1)(ii): 2 h at 150 ppm, 2 h at 75 ppm and 4 h at 50 ppm are
// 81.25 ppm over 8 h. In a box whose air does not move a release at once is held
// to the end, so the example run backwards (50, 75, 150 ppm) is three releases,
// each a box of the hours that are left.
func TestTimeWeightedExample(t *testing.T) {
	sum := 0.0
	for _, r := range []struct{ ppm, hours float64 }{{50, 8}, {25, 4}, {75, 2}} {
		sum += box{v: 1, m: r.ppm}.mean(r.hours) * r.hours
	}
	if got := sum / 8; math.Abs(got-81.25) > 0.005 {
		t.Errorf("%.3f ppm, want 81.25", got)
	}
}

// The embedded limits are those of the reference table: the cautious columns,
// and the lower of its two flash points.
func TestLimitsAreTheReferenceTable(t *testing.T) {
	num := func(s string) float64 { v, _ := strconv.ParseFloat(s, 64); return v }
	rows := reference(t, "solvents.csv")
	for _, m := range rows {
		s, err := SolventNamed(m["name"])
		if err != nil {
			for _, o := range Solvents() { // a name with a comma stands for two
				if o.Name == m["name"] {
					s, err = o, nil
				}
			}
		}
		if err != nil {
			t.Error(err)
			continue
		}
		for what, pair := range map[string][2]float64{
			"molar mass": {s.MolarG, num(m["mw_use"])}, "vapour pressure": {s.VapourMM, num(m["vp_use_mmhg"])}, "lower limit": {s.LEL, num(m["lel_use_pct"])}, "limit": {s.LimitPPM, num(m["strictest_ppm"])},
		} {
			if math.Abs(pair[0]-pair[1]) > 1e-3*pair[1] {
				t.Errorf("%s: %s %g, the table says %g", s.Name, what, pair[0], pair[1])
			}
		}
		if short := lowestShort(t, m); math.Abs(s.ShortPPM-short) > 5e-3*short || (s.ShortKind == "") != (short == 0) {
			t.Errorf("%s: short-term limit %g (%q), the table says %g", s.Name, s.ShortPPM, s.ShortKind, short)
		}
		if f, ok := s.FlashC.Get(); ok && m["flash_iec_c"] != "" && f > num(m["flash_iec_c"]) {
			t.Errorf("%s: flash point %g °C, the table says %s", s.Name, f, m["flash_iec_c"])
		}
		if s.Skin != (m["skin"] == "yes") {
			t.Errorf("%s: through the skin %v", s.Name, s.Skin)
		}
	}
	if len(Solvents()) != len(rows) {
		t.Errorf("%d substances embedded, %d in the table", len(Solvents()), len(rows))
	}
}

// lowestShort is the lowest printed short-term limit or ceiling, ppm; 0 none.
func lowestShort(t *testing.T, m map[string]string) float64 {
	low := 0.0
	for _, column := range []string{"osha_pel_st", "osha_pel_ceiling", "niosh_rel_st", "niosh_rel_ceiling"} {
		fields := strings.Fields(m[column])
		if len(fields) == 0 {
			continue
		}
		v, err1 := strconv.ParseFloat(fields[0], 64)
		molar, err2 := strconv.ParseFloat(m["mw_use"], 64)
		if err1 != nil || err2 != nil {
			t.Fatalf("%s: %s %q", m["name"], column, m[column])
		}
		if fields[1] == "mg/m3" {
			v = ppmOf(v, molar)
		}
		if low == 0 || v < low {
			low = v
		}
	}
	return low
}

// A short job has a small mean over 8 hours and a high peak: the peak beside the
// work is judged too, against the short-term limit where the table has one (lines
// as for the index), else against the 8-hour limit (once it warns, three times it
// refuses), and the reason says which.
func TestThePeakIsJudged(t *testing.T) {
	for _, c := range []struct {
		name  string
		ppm   float64 // beside the work
		short float64
		want  AirVerdict
		says  string
	}{
		{"below the limits", 90, 0, AirLow, "the peak beside the work at 90 % of them"},
		{"past the limit for 8 h", 110, 0, AirWarn, "1.1 times the 8-hour limits"},
		{"three times", 310, 0, AirRefuse, "3.1 times the 8-hour limits"},
		{"below a tenth of the ceiling", 19, 200, AirLow, ""},
		{"past a tenth of the ceiling", 22, 200, AirWarn, "at 11 % of the short-term limits and ceilings"},
		{"past half of it", 110, 200, AirRefuse, "at 55 % of the short-term limits and ceilings"},
	} {
		// In a hall so aired that the mean stays low, what is breathed is the near field.
		s := Solvent{Name: "x", MolarG: molarVolume, LimitPPM: 100, ShortPPM: c.short, ShortKind: "ceiling"}
		mass := c.ppm * nearExchange * 10 / 1000 // g over ten minutes
		e, err := Air(Room{Volume: 1e6, Changes: 10, Mixing: 1}, Work{Released: []Released{{s, unit.Mass(mass)}}, Over: 10 * time.Minute})
		if err != nil {
			t.Fatal(err)
		}
		if e.Index >= warnIndex || math.Abs(e.Vapours[0].NearPPM-c.ppm) > 0.1 {
			t.Fatalf("%s: the case is not what it says: %+v", c.name, e)
		}
		if e.Verdict != c.want || !strings.Contains(e.Why, c.says) || e.Slight() != (c.want == AirLow) {
			t.Errorf("%s: %s, want %s: %s", c.name, e.Verdict, c.want, e.Why)
		}
	}
}

// What has no limit in the lists is named and warned of, never passed.
func TestNoLimitIsNoClearance(t *testing.T) {
	glycol, err := SolventNamed("ethylene glycol")
	if err != nil {
		t.Fatal(err)
	}
	e, err := Air(Room{Volume: 26, Changes: 1, Mixing: 3}, Work{Released: []Released{{glycol, 1}}, Over: time.Hour})
	if err != nil {
		t.Fatal(err)
	}
	if e.Verdict != AirWarn || e.Slight() || !strings.Contains(e.Why, "no limit is listed for ethylene glycol") {
		t.Errorf("%s: %s", e.Verdict, e.Why)
	}
}

// The near field adds G/β: with G = 60 mg/min and β = 7.2 m³/min, 8.33 mg/m³
// (two-zone model; β from memory of the AIHA's modelling book).
func TestNearFieldAddsToTheRoom(t *testing.T) {
	s := Solvent{Name: "x", MolarG: molarVolume, LimitPPM: 100}
	e, err := Air(Room{Volume: 30, Changes: 1, Mixing: 1}, Work{Released: []Released{{s, 3.6}}, Over: time.Hour})
	if err != nil {
		t.Fatal(err)
	}
	if got := e.Vapours[0].NearPPM - e.Vapours[0].PeakPPM; math.Abs(got-60/7.2) > 1e-6 {
		t.Errorf("beside the work %.3f ppm more, want %.3f", got, 60/7.2)
	}
}

// The program warns from a tenth and refuses from half of the mixture index,
// warns at 5 % and refuses at 10 % of the lower explosive limit, and warns
// whatever the mean where vapour can catch fire in the room.
func TestAirVerdicts(t *testing.T) {
	verdict := func(ppm, limit, lel, flash float64) AirVerdict {
		s := Solvent{Name: "x", MolarG: molarVolume, LimitPPM: limit, LEL: lel}
		if flash < 100 {
			s.FlashC = unit.State(flash)
		}
		e, err := Air(Room{Volume: 1, Mixing: 1}, Work{Released: []Released{{s, unit.Mass(ppm / 1000)}}})
		if err != nil {
			t.Fatal(err)
		}
		if !strings.Contains(e.Text, "safety data sheet") || !strings.Contains(e.Text, "permit") {
			t.Errorf("the text does not defer: %s", e.Text)
		}
		return e.Verdict
	}
	for _, c := range []struct {
		name                   string
		ppm, limit, lel, flash float64
		want                   AirVerdict
	}{
		{"9 % of the limit", 9, 100, 0, 100, AirLow},
		{"11 % of the limit", 11, 100, 0, 100, AirWarn},
		{"49 % of the limit", 49, 100, 0, 100, AirWarn},
		{"51 % of the limit", 51, 100, 0, 100, AirRefuse},
		{"6 % of the explosive limit", 600, 1e6, 1, 100, AirWarn},
		{"11 % of the explosive limit", 1100, 1e6, 1, 100, AirRefuse},
		{"little, but it can catch fire", 1, 1e6, 1, 4, AirWarn},
		{"little, and it cannot at 20 °C", 1, 1e6, 1, 25, AirLow},
	} {
		if got := verdict(c.ppm, c.limit, c.lel, c.flash); got != c.want {
			t.Errorf("%s: %s, want %s", c.name, got, c.want)
		}
	}
}

// Airing is how long the fan must run afterwards: the room mean has then fallen
// to a tenth of the limits. Checked by the decay itself.
func TestAiringEndsBelowATenth(t *testing.T) {
	s := Solvent{Name: "x", MolarG: molarVolume, LimitPPM: 50}
	room := Room{Volume: 26, Changes: 4, Mixing: 2}
	e, err := Air(room, Work{Released: []Released{{s, 10}}, Over: time.Hour})
	if err != nil {
		t.Fatal(err)
	}
	left := e.Vapours[0].PeakPPM * math.Exp(-e.Airing.Hours()*room.Changes/room.Mixing)
	if math.Abs(left-5) > 1e-6 {
		t.Errorf("%.3f ppm after airing, want 5", left)
	}
	if e, _ = Air(Room{Volume: 26, Mixing: 2}, Work{Released: []Released{{s, 10}}}); e.Airing >= 0 {
		t.Errorf("a room without air is aired in %s", e.Airing)
	}
}

// A local limit for the lump counts instead of the glycol ether's, and says
// whose it is.
func TestLocalLimitOfTheLump(t *testing.T) {
	e, err := Air(Room{Volume: 26, Changes: 1, Mixing: 3}, Work{Lump: 3, LumpLimit: 50, Over: time.Hour})
	if err != nil {
		t.Fatal(err)
	}
	strict, err := Air(Room{Volume: 26, Changes: 1, Mixing: 3}, Work{Lump: 3, Over: time.Hour})
	if err != nil {
		t.Fatal(err)
	}
	if v := e.Vapours[0]; v.LimitPPM != 50 || v.LimitSource != LimitEntered || math.Abs(10*e.Index-strict.Index) > 1e-9 {
		t.Errorf("%+v; index %g against %g", v, e.Index, strict.Index)
	}
}

// What a label says is taken cautiously: a solvent-borne product's VOC wholly as
// the strictest substance it names; nothing where nothing is named.
func TestEvaporatesTakesTheStrictest(t *testing.T) {
	stock, err := inventory.NewStock([]inventory.Paint{
		{Article: inventory.Article{Code: "can", Kind: inventory.KindPaint, Contains: []string{"acetone", "n-butyl acetate", "propane"}}, Base: "solvent", VOC: unit.State(650.0)},
		{Article: inventory.Article{Code: "dark", Kind: inventory.KindPaint, Contains: []string{"secret"}}, Base: "solvent", VOC: unit.State(650.0)},
		{Article: inventory.Article{Code: "wet", Kind: inventory.KindPaint}, Base: "water", VOC: unit.State(20.0)},
		{Article: inventory.Article{Code: "mute", Kind: inventory.KindPaint}, Base: "water"},
	}, nil, nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	w, how, ok := Evaporates(stock, "can", 100)
	// The least mass in a cubic metre decides: acetone's 250 ppm at 58.1 g/mol are
	// 594 mg/m³, butyl acetate's 150 ppm at 116.2 are 713, propane's 1000 at 44.1 1804.
	if !ok || len(w.Released) != 1 || w.Released[0].Solvent.Name != "acetone" || math.Abs(float64(w.Released[0].Mass)-65) > 1e-9 || !strings.Contains(how, "acetone") {
		t.Errorf("%+v, %q, %v", w, how, ok)
	}
	if w, _, ok = Evaporates(stock, "wet", 150); !ok || math.Abs(float64(w.Lump)-3) > 1e-9 {
		t.Errorf("%+v, %v", w, ok)
	}
	for _, code := range []string{"dark", "mute", "nothing"} {
		if _, _, ok := Evaporates(stock, code, 100); ok {
			t.Errorf("%s was estimated", code)
		}
	}
}
