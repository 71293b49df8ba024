package plan

import (
	"encoding/json"
	"maps"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"undercoat/inventory"
	"undercoat/inventory/unit"
)

// answers is the demo's answer key: the demo author's paper arithmetic, made
// before and apart from this program.
type answers struct {
	Amounts []struct {
		Area, Product string
		Coats         int
		NeedML        float64 `json:"need_ml"`
		RepairML      float64 `json:"repair_ml"`
		OnHandML      float64 `json:"on_hand_ml"`
		BuyPacks      int     `json:"buy_packs"`
		Cost          string
	}
	ProductsCost string `json:"products_cost"`
	Studs        struct {
		Count int
		AllH2 string `json:"all_H2"`
		Mixed string `json:"H2_for_P2_rest_H1"`
	}
	Totals struct {
		AllH2  string `json:"all_H2"`
		Mixed  string `json:"H2_for_P2_rest_H1"`
		Budget string
	}
	Trades []struct {
		Saves, Total string
		W1Need       float64 `json:"W1_need_ml"`
	}
	Cloth []struct {
		Code        string
		NeedM       float64 `json:"need_m"`
		WithReserve float64 `json:"with_reserve_m"`
		OnHand      float64 `json:"on_hand_m"`
	}
	Sash struct {
		WithFan    sash `json:"with_fan"`
		WithoutFan sash `json:"without_fan"`
	}
	Traps []struct {
		No      int
		Unused  []string
		Decides string
	}
}

type sash struct {
	Steps []struct {
		Code       string
		Coat       int
		Start, End string
	}
	Cured  string
	Met    bool
	SpareH int `json:"spare_h"`
	LateH  int `json:"late_h"`
}

var answerKey = sync.OnceValues(func() (a answers, err error) {
	b, err := os.ReadFile(filepath.Join("..", "..", "testdata", "demo", "answers.json"))
	if err != nil {
		return a, err
	}
	return a, json.Unmarshal(b, &a)
})

func key(t *testing.T) answers {
	t.Helper()
	a, err := answerKey()
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// keyPlan is the demo planned with the coats of the answer key, with the fan.
var keyPlan = sync.OnceValues(func() (Plan, error) {
	in, err := inputOf(recipes(keyRecipes))
	if err != nil {
		return Plan{}, err
	}
	in.Alternatives = true
	return Make(in)
})

func demoPlan(t *testing.T) Plan {
	t.Helper()
	p, err := keyPlan()
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func makePlan(t *testing.T, in Input) Plan {
	t.Helper()
	p, err := Make(in)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func areaNamed(t *testing.T, p Plan, code string) Area {
	t.Helper()
	i := slices.IndexFunc(p.Areas, func(a Area) bool { return a.Code == code })
	if i < 0 {
		t.Fatalf("no area %s", code)
	}
	return p.Areas[i]
}

func layerNamed(t *testing.T, p Plan, area, code string) Layer {
	t.Helper()
	for _, l := range areaNamed(t, p, area).Layers {
		if l.Code == code {
			return l
		}
	}
	t.Fatalf("area %s has no layer %s", area, code)
	return Layer{}
}

func stepNamed(t *testing.T, p Plan, id string) Step {
	t.Helper()
	s, ok := stepOf(p.Steps, id)
	if !ok {
		t.Fatalf("no step %s", id)
	}
	return s
}

func bought(t *testing.T, p Plan, code string) Purchase {
	t.Helper()
	i := slices.IndexFunc(p.Shopping, func(b Purchase) bool { return b.Code == code })
	if i < 0 {
		t.Fatalf("%s is not on the shopping list", code)
	}
	return p.Shopping[i]
}

func money(t *testing.T, s string) unit.Money {
	t.Helper()
	m, err := unit.ParseMoney(s)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func local(t *testing.T, p Plan, s string) time.Time {
	t.Helper()
	at, err := time.ParseInLocation("2006-01-02 15:04", s, p.Zone)
	if err != nil {
		t.Fatal(err)
	}
	return at
}

func TestDemoAmountsShoppingAndCost(t *testing.T) {
	p, k := demoPlan(t), key(t)
	if len(k.Amounts) != 12 {
		t.Fatalf("the answer key has %d amounts", len(k.Amounts))
	}
	var products unit.Money
	for _, a := range k.Amounts {
		b := bought(t, p, a.Product)
		cost, _ := b.Cost.Get()
		products += cost
		if b.Buy != a.BuyPacks || cost != money(t, a.Cost) || b.OnHand != a.OnHandML {
			t.Errorf("%s: buy %d for %v with %g on hand, want %d for %s with %g", a.Product, b.Buy, cost, b.OnHand, a.BuyPacks, a.Cost, a.OnHandML)
		}
		switch a.Product {
		case "Z1": // one bath: a pack, not a volume by area
			continue
		case "X1":
			if b.Need != a.NeedML {
				t.Errorf("X1: need %g mL, want %g", b.Need, a.NeedML)
			}
			continue
		}
		l := layerNamed(t, p, a.Area, a.Product)
		if l.Coats != a.Coats || float64(l.Volume) != a.NeedML || float64(l.Repair) != a.RepairML || b.Need != a.NeedML+a.RepairML {
			t.Errorf("%s: %d coats, %v and a pot of %v, need %g; want %d, %g, %g", a.Product, l.Coats, l.Volume, l.Repair, b.Need, a.Coats, a.NeedML, a.RepairML)
		}
	}
	if products != money(t, k.ProductsCost) {
		t.Errorf("products cost %v, want %s", products, k.ProductsCost)
	}
	studs := bought(t, p, "H2")
	if m, _ := studs.Cost.Get(); studs.Need != float64(k.Studs.Count) || m != money(t, k.Studs.AllH2) {
		t.Errorf("studs %g for %v, want %d for %s", studs.Need, m, k.Studs.Count, k.Studs.AllH2)
	}
	if p.Cost.Total != money(t, k.Totals.AllH2) || p.Cost.Over != p.Cost.Total-money(t, k.Totals.Budget) || len(p.Cost.Unknown) > 0 {
		t.Errorf("cost %+v, want %s against %s", p.Cost, k.Totals.AllH2, k.Totals.Budget)
	}
}

func TestDemoTrades(t *testing.T) {
	p, k := demoPlan(t), key(t)
	if len(p.Trades) < 3 {
		t.Fatalf("trades: %+v", p.Trades)
	}
	studs, loss, coats := p.Trades[0], p.Trades[1], p.Trades[2]
	if studs.Kind != "trim" || studs.Code != "H1" || studs.Total != money(t, k.Totals.Mixed) || studs.Saves != money(t, k.Studs.AllH2)-money(t, k.Studs.Mixed) || studs.Fits {
		t.Errorf("mixed studs: %+v, want %s in all", studs, k.Totals.Mixed)
	}
	if loss.Kind != "loss" || loss.Code != "W3" || loss.Saves != money(t, k.Trades[0].Saves) || loss.Total != money(t, k.Trades[0].Total) || !loss.Fits || !strings.Contains(loss.Text, "14 %") {
		t.Errorf("one pack of W3: %+v, want %s saved, %s in all", loss, k.Trades[0].Saves, k.Trades[0].Total)
	}
	diff, known := coats.Difference.Get()
	if coats.Kind != "coats" || coats.Code != "W1" || !strings.Contains(coats.Text, "2 coats instead of 3") || !known || diff <= 0 {
		t.Errorf("two white coats: %+v", coats)
	}
	// The need behind it, by the author's arithmetic.
	in := demoInput(t, recipes(keyRecipes), recipes(map[string]string{"A5": "W3:1;W1:2;F1:3"}))
	in.quick = true
	if v := layerNamed(t, makePlan(t, in), "A5", "W1").Volume; float64(v) != k.Trades[1].W1Need {
		t.Errorf("two coats of W1 need %v, want %g mL", v, k.Trades[1].W1Need)
	}
}

func TestDemoCloth(t *testing.T) {
	p, k := demoPlan(t), key(t)
	for _, want := range k.Cloth {
		i := slices.IndexFunc(p.Cloth, func(c ClothNeed) bool { return c.Code == want.Code })
		if i < 0 {
			t.Errorf("%s is missing", want.Code)
			continue
		}
		c := p.Cloth[i]
		need, _ := c.Need.Get()
		with, _ := c.WithReserve.Get()
		have, _ := c.OnHand.Get()
		if math.Abs(need.Amount-want.NeedM) > 0.005 || math.Abs(with.Amount-want.WithReserve) > 0.005 || have.Amount != want.OnHand {
			t.Errorf("%s: %.3f m, %.3f with reserve of %g; want %g, %g of %g", c.Code, need.Amount, with.Amount, have.Amount, want.NeedM, want.WithReserve, want.OnHand)
		}
		if short := c.Short.Amount > 0; short != (want.Code == "C1") {
			t.Errorf("%s: short by %v", c.Code, c.Short)
		}
	}
}

func checkSash(t *testing.T, p Plan, want sash) {
	t.Helper()
	for _, w := range want.Steps {
		s := stepNamed(t, p, coatID("A5", w.Code, w.Coat, ""))
		if !s.Start.Equal(local(t, p, w.Start)) || !s.End.Equal(local(t, p, w.End)) {
			t.Errorf("%s: %s–%s, want %s–%s", s.ID, s.Start.Format(clock), s.End.Format(clock), w.Start, w.End)
		}
	}
	cured, _ := areaNamed(t, p, "A5").Cured.Get()
	if !cured.Equal(local(t, p, want.Cured)) {
		t.Errorf("A5 is cured %s, want %s", cured.Format(clock), want.Cured)
	}
	if p.HandsOff.Met != want.Met {
		t.Errorf("hands-off met %v, want %v", p.HandsOff.Met, want.Met)
	}
	spare := int(p.HandsOff.At.Sub(cured).Hours()) // towards zero, as the key counts
	if want.Met && spare != want.SpareH || !want.Met && -spare != want.LateH {
		t.Errorf("A5 has %d h to spare, want %d or %d late", spare, want.SpareH, want.LateH)
	}
}

func TestDemoSashCalendarWithFan(t *testing.T) {
	p, k := demoPlan(t), key(t)
	checkSash(t, p, k.Sash.WithFan)
	for _, trap := range k.Traps {
		if trap.No != 14 {
			continue
		}
		s, ok := p.Decides.Get()
		if !ok || s.Step != "A5-F1-1" || !s.Start.Equal(local(t, p, trap.Decides)) || s.Room != 6*time.Minute || s.Moves <= 0 {
			t.Errorf("the session that decides: %+v, want A5-F1-1 at %s", s, trap.Decides)
		}
	}
}

func TestDemoSashCalendarWithoutFan(t *testing.T) {
	in := demoInput(t, recipes(keyRecipes))
	in.Fan = FanOff
	p := makePlan(t, in)
	checkSash(t, p, key(t).Sash.WithoutFan)
	last := p.Chain[len(p.Chain)-1]
	if last.Step != "A5 cured" || !strings.Contains(last.Text, "8 h 21 min after hands-off") {
		t.Errorf("the chain ends with %+v", last)
	}
	if first := p.Chain[0]; !strings.Contains(first.Text, "W3") || !strings.Contains(first.Text, "supplies") {
		t.Errorf("the chain begins with %+v", first)
	}
	for _, s := range p.Steps {
		if s.Area == "A5" && s.Verb == VerbCoat && s.Spare >= 0 {
			t.Errorf("%s has %v to spare of a missed date", s.ID, s.Spare)
		}
	}
	checkPlan(t, in, p)
}

// Trap 14 and "what else": each alternative was planned.
func TestDemoAlternatives(t *testing.T) {
	p := demoPlan(t)
	kind := func(k, code string) Alternative {
		i := slices.IndexFunc(p.Otherwise, func(a Alternative) bool { return a.Kind == k && (code == "" || a.Code == code) })
		if i < 0 {
			t.Fatalf("no alternative %s %s among %+v", k, code, p.Otherwise)
		}
		return p.Otherwise[i]
	}
	fan := kind("fan", "")
	if c, _ := fan.Cured.Get(); fan.Met || !c.Equal(local(t, p, key(t).Sash.WithoutFan.Cured)) || !strings.Contains(fan.Text, "missed") {
		t.Errorf("without the fan: %+v", fan)
	}
	white := kind("coats", "W1")
	if c, _ := white.Cured.Get(); !white.Met || white.Cost >= 0 || white.Moves > 0 || !white.Difference.Known() || !c.Before(local(t, p, key(t).Sash.WithFan.Cured)) {
		t.Errorf("two white coats: %+v", white)
	}
	if helper := kind("helper", ""); !helper.Met || helper.Moves > 0 || helper.Cost != 0 {
		t.Errorf("a second pair of hands: %+v", helper)
	}
}

// An alternative's date is the date of the plan made when it is taken.
func TestDemoAlternativesKeepTheirDate(t *testing.T) {
	p := demoPlan(t)
	fewer := maps.Clone(keyRecipes)
	taken := map[string]func() Input{
		"fan": func() Input {
			in := demoInput(t, recipes(keyRecipes))
			in.Fan = FanOff
			return in
		},
		"W1": func() Input {
			fewer["A5"] = "W3:1;W1:2;F1:3"
			return demoInput(t, recipes(fewer))
		},
		"helper": func() Input {
			in := demoInput(t, recipes(keyRecipes))
			for _, h := range slices.Clone(in.Job.Hours) {
				if h.Who == "" && kindWords[h.What] == anyWork {
					h.Who = "M2"
					in.Job.Hours = append(in.Job.Hours, h)
				}
			}
			return in
		},
	}
	for name, in := range taken {
		i := slices.IndexFunc(p.Otherwise, func(a Alternative) bool { return a.Kind == name || a.Code == name })
		if i < 0 {
			t.Fatalf("no alternative %s among %+v", name, p.Otherwise)
		}
		if now := makePlan(t, in()); !now.HandsOff.Ends.Equal(p.Otherwise[i].Ends) {
			t.Errorf("%s: planned otherwise it ends %s, taken it ends %s", name, p.Otherwise[i].Ends.Format(clock), now.HandsOff.Ends.Format(clock))
		}
	}
}

func refusal(p Plan, area, code, rule string) (Refusal, bool) {
	for _, r := range p.Refusals {
		if r.Area == area && r.Code == code && r.Rule == rule {
			return r, true
		}
	}
	return Refusal{}, false
}

// Traps 2, 4, 5, 8, 11 and 12: what, rule, why and instead.
func TestDemoRefusals(t *testing.T) {
	p := demoPlan(t)
	check := func(area, code, rule string, why, instead []string) Refusal {
		t.Helper()
		r, ok := refusal(p, area, code, rule)
		if !ok {
			t.Errorf("%s on %s is not refused by %s", code, area, rule)
			return r
		}
		for _, w := range why {
			if !strings.Contains(r.Why, w) {
				t.Errorf("%s on %s: why %q does not say %q", code, area, r.Why, w)
			}
		}
		for _, w := range instead {
			if !strings.Contains(r.Instead, w) {
				t.Errorf("%s on %s: instead %q does not say %q", code, area, r.Instead, w)
			}
		}
		return r
	}
	check("A1", "G1", "method", []string{"cut from cloth", "200 ml"}, []string{"C1"})
	check("A1", "C2", "light", []string{"6.9", "lit path"}, []string{"C1"})
	check("A4", "T1", "stretch", []string{"15 %", "40 %"}, []string{"T3"})
	if r := check("A4", "W2", "wearer", []string{"latex"}, []string{"T3"}); r.Wearer != "P3" {
		t.Errorf("W2 is refused for %q, want P3", r.Wearer)
	}
	if r := check("A5", "F1", "base", []string{"white"}, []string{"W3", "W1", "F1"}); r.Chosen {
		t.Error("F1 straight on the canvas is called chosen")
	}
	check("A5", "W1", "heat", []string{"C7 takes an iron of 140 °C", "W3 stands 120 °C", "disperse"}, []string{"X1", "W3"})
	if r := check("A3", "H1", "wearer", []string{"nickel"}, []string{"H2"}); r.Wearer != "P2" {
		t.Errorf("H1 is refused for %q, want P2", r.Wearer)
	}
	check("A7", "S3", "window", []string{"Sat 31 Oct 10:00–16:00", "vapour mask"}, []string{"S2"})
}

// Traps 6, 9, 13, 15, 18, 20, 22, 23.
func TestDemoOtherFindings(t *testing.T) {
	p := demoPlan(t)
	s := areaNamed(t, p, "A5").Setting
	if s.Way != SetByFixer || s.Fixer != "X1" || s.Share != 0.02 || s.Pot != 8*time.Hour || s.Cure != 115*time.Hour+12*time.Minute {
		t.Errorf("the sash is set %+v", s)
	}
	for _, pot := range p.Pots {
		last := stepNamed(t, p, pot.Steps[len(pot.Steps)-1])
		if pot.UseBy.Sub(pot.Mixed) != 8*time.Hour || last.End.After(pot.UseBy) {
			t.Errorf("pot %+v outlives its life at %s", pot, last.End.Format(clock))
		}
	}
	i := slices.IndexFunc(p.Batches, func(b Batch) bool { return b.Code == "W1" })
	if b := p.Batches[i]; b.Paint != 497 || b.Repair != 20 || b.Fixer != "X1" {
		t.Errorf("batch %+v, want all W1 in one pot and 20 mL apart", b)
	}
	// No fitting before the skin-side band has cured 96 h × 1.2.
	cured, _ := areaNamed(t, p, "A4").Cured.Get()
	if fit := stepNamed(t, p, "A1-fit"); fit.Start.Before(cured) || cured.Sub(stepNamed(t, p, "A4-T3-2").End) != 115*time.Hour+12*time.Minute {
		t.Errorf("fitting %s, A4 is cured %s", fit.Start.Format(clock), cured.Format(clock))
	}
	if len(p.Places) == 0 || p.Places[0].Place != OnRail || math.Abs(p.Places[0].Demand-2.7) > 1e-9 || p.Places[0].Rounds != 2 {
		t.Errorf("places %+v, want 2.7 m on the rail in two rounds", p.Places)
	}
	for _, c := range []string{"C4", "C5", "C6"} {
		i := slices.IndexFunc(p.Cloth, func(n ClothNeed) bool { return n.Code == c })
		area := p.Cloth[i].Areas[0]
		wash, cut := stepNamed(t, p, area+"-prewash"), stepNamed(t, p, area+"-cut")
		if !p.Cloth[i].Prewash || cut.Start.Before(wash.End.Add(clothDries)) {
			t.Errorf("%s: washed by %s, cut %s", c, wash.End.Format(clock), cut.Start.Format(clock))
		}
	}
	if b := bought(t, p, "S1"); !b.Thin || b.Need != 388 || b.OnHand != 400 || b.Buy != 0 {
		t.Errorf("S1: %+v, want a thin margin", b)
	}
	if b := bought(t, p, "W1"); b.Thin {
		t.Errorf("W1: %+v is called thin", b)
	}
	if d2, h3 := bought(t, p, "D2"), bought(t, p, "H3"); d2.Need != 18 || d2.OnHand != 20 || h3.Need != 36 || h3.OnHand != 40 {
		t.Errorf("D2 %+v, H3 %+v", d2, h3)
	}
	ink, rinse := stepNamed(t, p, "A9-D2-1"), stepNamed(t, p, "A9-rinse")
	if rinse.Start.Before(ink.End.Add(9*time.Hour + 36*time.Minute)) {
		t.Errorf("ink %s, rinsed %s: less than 8 h × 1.2", ink.End.Format(clock), rinse.Start.Format(clock))
	}
	for _, trap := range key(t).Traps {
		for _, code := range trap.Unused {
			if slices.ContainsFunc(p.Shopping, func(b Purchase) bool { return b.Code == code }) {
				t.Errorf("decoy %s is used", code)
			}
		}
	}
}

// What the shelf's own choice finds: the products of the answer key, each
// within a coat of it. Where it differs by a coat the layer model is behind it.
func TestDemoOwnChoice(t *testing.T) {
	in := demoInput(t)
	p := makePlan(t, in)
	for _, a := range key(t).Amounts {
		if a.Coats == 0 || a.Area == "A7" {
			continue
		}
		l := layerNamed(t, p, a.Area, a.Product)
		if d := l.Coats - a.Coats; d < -1 || d > 1 || a.Coats < l.CoatsRange[0]-1 || a.Coats > l.CoatsRange[1] {
			t.Errorf("%s on %s: %d coats %v, the key has %d", a.Product, a.Area, l.Coats, l.CoatsRange, a.Coats)
		} else if d != 0 {
			t.Logf("%s on %s: %d coats, the key's plain show-through has %d", a.Product, a.Area, l.Coats, a.Coats)
		}
	}
	for _, r := range p.Refusals {
		if r.Chosen {
			t.Errorf("the planner chose what it refuses: %+v", r)
		}
	}
	if l := areaNamed(t, p, "A1").Layers; len(l) != 1 || l[0].Code != "C1" {
		t.Errorf("A1 is cut from %+v, want C1", l)
	}
	checkPlan(t, in, p)
}

// A bad evening: everything planned until Saturday noon was done, the second
// white coat was not. The past stays, the sash moves by what the hours allow,
// and the effect is told.
func TestDemoSlippedCoat(t *testing.T) {
	was := demoPlan(t)
	noon, evening := local(t, was, "2026-10-31 12:00"), local(t, was, "2026-10-31 17:30")
	in := demoInput(t, recipes(keyRecipes), func(f *inventory.JobFacts) {
		f.Done = nil
		for _, s := range was.Steps {
			if !s.End.After(noon) {
				f.Done = append(f.Done, inventory.DoneFact{Step: s.ID, At: unit.State(s.End)})
			}
		}
	})
	in.Now = evening
	p := makePlan(t, in)
	for _, s := range was.Steps {
		if s.End.After(noon) {
			continue
		}
		if now := stepNamed(t, p, s.ID); !now.Done || !now.Start.Equal(s.Start) || !now.End.Equal(s.End) {
			t.Errorf("%s was %s–%s and is now %s–%s", s.ID, s.Start.Format(clock), s.End.Format(clock), now.Start.Format(clock), now.End.Format(clock))
		}
	}
	i := slices.IndexFunc(p.Late, func(s Slip) bool { return s.Step == "A5-W1-2" })
	if i < 0 {
		t.Fatalf("slips: %+v", p.Late)
	}
	slip := p.Late[i]
	for _, w := range []string{"was to be finished by Sat 31 Oct 13:54", "moves to Sun 1 Nov 13:00", "A5 is cured", "hands-off"} {
		if !strings.Contains(slip.Text, w) {
			t.Errorf("%q does not say %q", slip.Text, w)
		}
	}
	// Sunday holds two white coats, Monday the first coral: a day later than
	// with Sunday's first coral, and no Wednesday.
	if s := stepNamed(t, p, "A5-W1-3"); !s.Start.Equal(local(t, p, "2026-11-01 16:09")) {
		t.Errorf("third white coat %s", s.Start.Format(clock))
	}
	if s := stepNamed(t, p, "A5-F1-3"); !s.Start.Equal(local(t, p, "2026-11-05 19:00")) {
		t.Errorf("third coral %s", s.Start.Format(clock))
	}
	if !p.HandsOff.Met {
		t.Errorf("hands-off %+v", p.HandsOff)
	}
	checkPlan(t, in, p)
}
