package plan

import (
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"undercoat/finish/garment"
	"undercoat/inventory"
	"undercoat/inventory/unit"
	"undercoat/palette/colour"
)

// A small workroom for one rule at a time: one wearer, one maker who works
// every day 9:00–17:00, one area painted on cotton. Monday 1 June 2026.

func paintOf(code, medium, hex string, change func(*inventory.Paint)) inventory.Paint {
	c, err := colour.FromHex(hex)
	if err != nil {
		panic(err)
	}
	p := inventory.Paint{
		Article: inventory.Article{
			Code: code, Name: code, Kind: inventory.KindPaint, Medium: medium, Colour: unit.State(c), Suits: []string{"cotton"}, Unit: "ml",
			Contains: []string{"acrylic binder"},
			OnHand:   unit.State(unit.Quantity{Amount: 1000, Unit: "ml"}), Pack: unit.State(unit.Quantity{Amount: 100, Unit: "ml"}), Price: unit.State(unit.Money(500)),
		},
		HidingBlack: unit.State(0.8), HidingWhite: unit.State(0.9), Spread: unit.State(unit.SpreadRate(100)), WetFilm: unit.State(100.0),
		Touch: unit.State(time.Hour), RecoatFrom: unit.State(2 * time.Hour), Cure: unit.State(48 * time.Hour), Base: "water",
	}
	if change != nil {
		change(&p)
	}
	return p
}

func cottonOf(change func(*inventory.Cloth)) inventory.Cloth {
	c, _ := colour.FromHex("#EFE8DA")
	cloth := inventory.Cloth{
		Article: inventory.Article{Code: "C1", Name: "Calico", Kind: inventory.KindCloth, Medium: "calico", Colour: unit.State(c), Unit: "m",
			OnHand: unit.State(unit.Quantity{Amount: 10, Unit: "m"})},
		Fibre: "cotton", Width: unit.State(unit.Length(1.5)), IronMax: unit.State(200.0),
	}
	if change != nil {
		change(&cloth)
	}
	return cloth
}

type small struct {
	paints []inventory.Paint
	cloth  inventory.Cloth
	area   garment.Area
	job    func(*garment.Job)
	in     func(*Input)
}

func (s small) input(t testing.TB) Input {
	t.Helper()
	if s.cloth.Code == "" {
		s.cloth = cottonOf(nil)
	}
	stock, err := inventory.NewStock(s.paints, nil, []inventory.Cloth{s.cloth}, nil)
	if err != nil {
		t.Fatal(err)
	}
	a := garment.Area{Code: "A1", Piece: "Banner", Method: garment.ByPaint, Tolerance: 3, Painted: 0.5, Cloth: 0.5, Ground: "C1", Sides: 1, Share: 1, CoatHands: time.Hour}
	if s.area.Code != "" {
		a = s.area
	}
	j := garment.Job{
		Name: "small", Zone: time.UTC, Reserve: 0.15,
		Starts: unit.State(day(1, 9, 0)), HandsOff: unit.State(day(20, 17, 0)),
		Wearers: []garment.Wearer{{Code: "P1", Factor: 1}}, Areas: []garment.Area{a},
		Room: garment.Room{DryingFactor: unit.State(1.0)},
	}
	for d := time.Sunday; d <= time.Saturday; d++ {
		j.Hours = append(j.Hours, garment.Hours{Weekday: d, From: 9 * 60, To: 17 * 60, What: "any"})
	}
	if s.job != nil {
		s.job(&j)
	}
	in := Input{Job: j, Stock: stock}
	if s.in != nil {
		s.in(&in)
	}
	return in
}

func (s small) plan(t testing.TB) Plan {
	t.Helper()
	p, err := Make(s.input(t))
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// day is an instant of June 2026, UTC; the first is a Monday.
func day(d, hour, minute int) time.Time { return time.Date(2026, 6, d, hour, minute, 0, 0, time.UTC) }

func area(recipe string, change func(*garment.Area)) garment.Area {
	layers, err := garment.ParseLayers(recipe, ";")
	if err != nil {
		panic(err)
	}
	a := garment.Area{Code: "A1", Piece: "Banner", Method: garment.ByPaint, Tolerance: 3, Painted: 0.5, Cloth: 0.5, Ground: "C1", Sides: 1, Share: 1, CoatHands: time.Hour, Recipe: layers}
	if change != nil {
		change(&a)
	}
	return a
}

func wantStart(t *testing.T, p Plan, id string, at time.Time) {
	t.Helper()
	if s := stepNamed(t, p, id); !s.Start.Equal(at) {
		t.Errorf("%s starts %s, want %s", id, s.Start.Format(clock), at.Format(clock))
	}
}

func TestRecoatWindowIsKept(t *testing.T) {
	// Recoat from 2 h until 3 h: the second coat must follow the same day.
	until := func(p *inventory.Paint) { p.RecoatUntil = unit.State(3 * time.Hour) }
	p := small{paints: []inventory.Paint{paintOf("W1", "fabric paint", "#AA3333", until)}, area: area("W1:2", nil)}.plan(t)
	first, second := stepNamed(t, p, "A1-W1-1"), stepNamed(t, p, "A1-W1-2")
	if gap := second.Start.Sub(first.End); gap < 2*time.Hour || gap > 3*time.Hour {
		t.Errorf("the second coat comes %v after the first", gap)
	}
	if y, _ := first.Dries.Get(); y.RecoatUntil.Or(time.Time{}) != first.End.Add(3*time.Hour) {
		t.Errorf("window %+v", y)
	}
	// The coats need 1 + 2 + 1 h: after 13:00 the window would close overnight.
	if first.LatestStart.Hour() > 13 {
		t.Errorf("the first coat may start %s and lose its window", first.LatestStart.Format(clock))
	}
}

func TestRecoatWindowThatNeverOpensWaitsForTheCure(t *testing.T) {
	// Factor 2 makes the recoat 4 h, the window still shuts after 3 h.
	until := func(p *inventory.Paint) { p.RecoatUntil = unit.State(3 * time.Hour) }
	s := small{paints: []inventory.Paint{paintOf("W1", "fabric paint", "#AA3333", until)}, area: area("W1:2", nil)}
	s.job = func(j *garment.Job) { j.Room.DryingFactor = unit.State(2.0) }
	p := s.plan(t)
	if gap := stepNamed(t, p, "A1-W1-2").Start.Sub(stepNamed(t, p, "A1-W1-1").End); gap < 96*time.Hour {
		t.Errorf("the second coat comes %v after the first, before its cure", gap)
	}
}

func TestSolventWaitsForWaterBorneToCure(t *testing.T) {
	spirit := func(p *inventory.Paint) { p.Base = "solvent" }
	p := small{paints: []inventory.Paint{paintOf("W1", "fabric paint", "#AA3333", nil), paintOf("V1", "varnish", "#AA3333", spirit)}, area: area("W1:1;V1:1", nil)}.plan(t)
	if gap := stepNamed(t, p, "A1-V1-1").Start.Sub(stepNamed(t, p, "A1-W1-1").End); gap < 48*time.Hour {
		t.Errorf("solvent %v after a water-borne coat that cures in 48 h", gap)
	}
	if s := stepNamed(t, p, "A1-V1-1"); !strings.Contains(s.Needs, "fan") {
		t.Errorf("a solvent paint needs %q", s.Needs)
	}
}

func TestFlatPieceIsTurned(t *testing.T) {
	flat := area("W1:2", func(a *garment.Area) { a.Sides, a.Painted = 2, 1.0 })
	p := small{paints: []inventory.Paint{paintOf("W1", "fabric paint", "#AA3333", nil)}, area: flat}.plan(t)
	face, back := stepNamed(t, p, "A1-W1-1-face"), stepNamed(t, p, "A1-W1-1-back")
	if face.Hands != 30*time.Minute || back.Start.Before(face.End.Add(2*time.Hour)) {
		t.Errorf("face %s–%s, back %s", face.Start.Format(clock), face.End.Format(clock), back.Start.Format(clock))
	}
	if sum := face.Volume + back.Volume + stepNamed(t, p, "A1-W1-2-face").Volume + stepNamed(t, p, "A1-W1-2-back").Volume; sum != layerNamed(t, p, "A1", "W1").Volume {
		t.Errorf("sides take %v of %v", sum, layerNamed(t, p, "A1", "W1").Volume)
	}
	hung := area("W1:2", func(a *garment.Area) { a.Sides, a.Painted, a.Rail = 2, 1.0, 0.5 })
	stepNamed(t, small{paints: []inventory.Paint{paintOf("W1", "fabric paint", "#AA3333", nil)}, area: hung}.plan(t), "A1-W1-1")
}

func heated(p *inventory.Paint) {
	p.HeatC, p.HeatTime = unit.State(150.0), unit.State(3*time.Minute)
}

func TestHeatSetWhereItIsAllowed(t *testing.T) {
	s := small{paints: []inventory.Paint{paintOf("W1", "fabric paint", "#AA3333", heated)}, area: area("W1:1", nil)}
	s.job = func(j *garment.Job) { j.Room.IronMaxC = unit.State(200.0) }
	p := s.plan(t)
	a := areaNamed(t, p, "A1")
	heat := stepNamed(t, p, "A1-heat-set")
	// 0.5 m² in spots of 0.02 m², 3 min each.
	if a.Setting.Way != SetByHeat || heat.Hands != 75*time.Minute || !strings.Contains(heat.Needs, "150 °C") {
		t.Errorf("%+v, heat %+v", a.Setting, heat)
	}
	if c, _ := a.Cured.Get(); !c.Equal(heat.End.Add(coolDown)) {
		t.Errorf("cured %s, heat until %s", c.Format(clock), heat.End.Format(clock))
	}
	if d := heat.Start.Sub(stepNamed(t, p, "A1-W1-1").End); d < heatDries {
		t.Errorf("heat %v after the coat: not dry right through", d)
	}
}

func TestHeatSetRefused(t *testing.T) {
	check := func(name string, s small, why string) {
		t.Helper()
		p := s.plan(t)
		a := areaNamed(t, p, "A1")
		r, ok := refusal(p, "A1", "W1", "heat")
		if a.Setting.Way != SetByAir || !ok || !strings.Contains(r.Why, why) {
			t.Errorf("%s: %+v, %+v", name, a.Setting, r)
		}
	}
	iron := func(j *garment.Job) { j.Room.IronMaxC = unit.State(200.0) }
	paints := []inventory.Paint{paintOf("W1", "fabric paint", "#AA3333", heated)}
	check("cloth", small{paints: paints, area: area("W1:1", nil), job: iron, cloth: cottonOf(func(c *inventory.Cloth) { c.IronMax = unit.State(110.0) })}, "110 °C")
	check("no heat at all", small{paints: paints, area: area("W1:1", nil), job: iron, cloth: cottonOf(func(c *inventory.Cloth) { c.IronMax = unit.State(0.0) })}, "no iron")
	check("no tool", small{paints: paints, area: area("W1:1", nil)}, "neither an iron nor a press")
	check("weak iron", small{paints: paints, area: area("W1:1", nil), job: func(j *garment.Job) { j.Room.IronMaxC = unit.State(120.0) }}, "120 °C")
}

func TestDoneIsFixedAndWeighed(t *testing.T) {
	s := small{paints: []inventory.Paint{paintOf("W1", "fabric paint", "#AA3333", nil)}, area: area("W1:4", nil)}
	before := s.plan(t)
	s.job = func(j *garment.Job) {
		j.Done = []garment.Done{
			{Step: "A1-W1-1", At: day(1, 11, 20), Code: "W1", Used: unit.State(unit.Quantity{Amount: 70, Unit: "ml"})},
			{Step: "A1-W1-2", At: day(1, 14, 20), Code: "W1", Used: unit.State(unit.Quantity{Amount: 80, Unit: "ml"})},
		}
	}
	s.in = func(in *Input) { in.Now = day(1, 15, 0) }
	p := s.plan(t)
	wantStart(t, p, "A1-W1-1", day(1, 10, 20))
	wantStart(t, p, "A1-W1-2", day(1, 13, 20))
	wantStart(t, p, "A1-W1-3", day(2, 9, 0)) // ready 16:20, an hour does not fit before 17:00
	l := layerNamed(t, p, "A1", "W1")
	if was := layerNamed(t, before, "A1", "W1").Volume; was != 230 { // 0.5 × 100 × 4 × 1.15
		t.Fatalf("unweighed %v", was)
	}
	// The later coats are planned with what the second coat used.
	if l.Left != 160 || l.Spreading.Basis != SpreadObserved || bought(t, p, "W1").Need != 160 {
		t.Errorf("left %v, %v, need %g; want 160 mL, weighed", l.Left, l.Spreading.Basis, bought(t, p, "W1").Need)
	}
	checkTotals(t, p)
	if len(p.Late) != 0 || len(p.Strays) != 0 {
		t.Errorf("late %+v, strays %v", p.Late, p.Strays)
	}
}

func TestForgottenCoatUnderADoneOne(t *testing.T) {
	s := small{paints: []inventory.Paint{paintOf("W1", "fabric paint", "#AA3333", nil)}, area: area("W1:3", nil)}
	s.job = func(j *garment.Job) {
		j.Done = []garment.Done{{Step: "A1-W1-2", At: day(1, 14, 0)}, {Step: "A9-T9-1", At: day(1, 14, 0)}}
	}
	s.in = func(in *Input) { in.Now = day(1, 14, 30) }
	p := s.plan(t)
	if !stepNamed(t, p, "A1-W1-1").Done {
		t.Error("the first coat is planned although the second is done")
	}
	wantStart(t, p, "A1-W1-3", day(1, 16, 0))
	if !slices.Equal(p.Strays, []string{"A9-T9-1"}) {
		t.Errorf("strays %v", p.Strays)
	}
	if l := layerNamed(t, p, "A1", "W1"); l.Left != l.Each[2] {
		t.Errorf("%v is left of %v, want the third coat", l.Left, l.Each)
	}
	checkTotals(t, p)
}

func TestSlippedStepIsMovedAndTold(t *testing.T) {
	s := small{paints: []inventory.Paint{paintOf("W1", "fabric paint", "#AA3333", nil)}, area: area("W1:2", nil)}
	s.in = func(in *Input) { in.Now = day(1, 17, 30) } // the whole Monday was lost
	p := s.plan(t)
	wantStart(t, p, "A1-W1-1", day(2, 9, 0))
	if len(p.Late) != 2 {
		t.Fatalf("slips %+v", p.Late)
	}
	first := p.Late[0]
	if first.Step != "A1-W1-1" || !first.WasEnd.Equal(day(1, 10, 0)) || first.Moves != 24*time.Hour {
		t.Errorf("%+v", first)
	}
	for _, w := range []string{"was to be finished by Mon 1 Jun 10:00", "moves to Tue 2 Jun 09:00", "A1 is cured Thu 4 Jun 13:00 instead of Wed 3 Jun 13:00", "1 d later", "hands-off is met"} {
		if !strings.Contains(first.Text, w) {
			t.Errorf("%q does not say %q", first.Text, w)
		}
	}
	if second := p.Late[1]; second.Text != "A1-W1-2 moves to Tue 2 Jun 12:00" {
		t.Errorf("the second slip says %q", second.Text)
	}
}

func TestWindowThatClosedSinceWaitsForTheCure(t *testing.T) {
	until := func(p *inventory.Paint) { p.RecoatUntil = unit.State(3 * time.Hour) }
	s := small{paints: []inventory.Paint{paintOf("W1", "fabric paint", "#AA3333", until)}, area: area("W1:2", nil)}
	s.job = func(j *garment.Job) { j.Done = []garment.Done{{Step: "A1-W1-1", At: day(1, 10, 0)}} }
	s.in = func(in *Input) { in.Now = day(1, 15, 0) }
	wantStart(t, s.plan(t), "A1-W1-2", day(3, 10, 0))
}

func TestImpossibleJobNamesTheFacts(t *testing.T) {
	s := small{paints: []inventory.Paint{paintOf("W1", "fabric paint", "#AA3333", nil)}, area: area("W1:2", nil)}
	s.job = func(j *garment.Job) { j.HandsOff = unit.State(day(3, 12, 0)) } // cured Wednesday 13:00
	p := s.plan(t)
	if p.HandsOff.Met || p.HandsOff.Spare != -time.Hour {
		t.Errorf("hands-off %+v", p.HandsOff)
	}
	var text []string
	for _, l := range p.Chain {
		text = append(text, l.Text)
	}
	all := strings.Join(text, "\n")
	for _, w := range []string{"nothing is planned before Mon 1 Jun 09:00", "recoated after 2 h", "cured after 48 h", "1 h after hands-off Wed 3 Jun 12:00"} {
		if !strings.Contains(all, w) {
			t.Errorf("chain does not say %q:\n%s", w, all)
		}
	}
	if got := stepNamed(t, p, "A1-W1-1"); got.Spare >= 0 || got.LatestStart.After(day(1, 8, 59)) {
		t.Errorf("the first coat should have started by %s", got.LatestStart.Format(clock))
	}
}

func TestStepThatNoHoursHold(t *testing.T) {
	long := area("W1:1", func(a *garment.Area) { a.CoatHands = 9 * time.Hour })
	p := small{paints: []inventory.Paint{paintOf("W1", "fabric paint", "#AA3333", nil)}, area: long}.plan(t)
	if p.HandsOff.Met || len(p.Chain) == 0 || !strings.Contains(p.Chain[0].Text, "A1-W1-1 takes 9 h; the longest hours for it are 8 h") {
		t.Errorf("met %v, chain %+v", p.HandsOff.Met, p.Chain)
	}
}

// A window that shuts overnight: coats take an hour, the only hours are one a
// day, the second coat must follow within three.
func TestRecoatWindowNoHoursCanKeep(t *testing.T) {
	until := func(p *inventory.Paint) { p.RecoatUntil = unit.State(3 * time.Hour) }
	s := small{paints: []inventory.Paint{paintOf("W1", "fabric paint", "#AA3333", until)}, area: area("W1:2", nil)}
	s.job = func(j *garment.Job) {
		for i := range j.Hours {
			j.Hours[i].From, j.Hours[i].To = 9*60, 10*60+30
		}
	}
	p := s.plan(t)
	if p.HandsOff.Met || !p.HandsOff.Ends.IsZero() {
		t.Errorf("hands-off %+v", p.HandsOff)
	}
	var text []string
	for _, l := range p.Chain {
		text = append(text, l.Text)
	}
	all := strings.Join(text, "\n")
	for _, w := range []string{"A1-W1-2 must start within 3 h of A1-W1-1", "hours", "wait for the cure of W1, 48 h"} {
		if !strings.Contains(all, w) {
			t.Errorf("chain does not say %q:\n%s", w, all)
		}
	}
}

func TestBuyingReservingExpiring(t *testing.T) {
	stock := func(change func(*inventory.Paint)) small {
		return small{paints: []inventory.Paint{paintOf("W1", "fabric paint", "#AA3333", change)}, area: area("W1:2", nil)}
	}
	check := func(name string, s small, onHand float64, buy int, cost unit.Money) Purchase {
		t.Helper()
		b := bought(t, s.plan(t), "W1") // needs 115 mL
		if m, _ := b.Cost.Get(); b.OnHand != onHand || b.Buy != buy || m != cost {
			t.Errorf("%s: %+v", name, b)
		}
		return b
	}
	hold := func(ml float64) func(*inventory.Paint) {
		return func(p *inventory.Paint) { p.OnHand = unit.State(unit.Quantity{Amount: ml, Unit: "ml"}) }
	}
	check("enough", stock(nil), 1000, 0, 0)
	check("some", stock(hold(20)), 20, 1, 500)
	check("overdrawn", stock(hold(-90)), -90, 3, 1500)
	reserved := stock(func(p *inventory.Paint) {
		hold(50)(p)
		p.Reserved = unit.Quantity{Amount: 300, Unit: "ml"}
	})
	if b := check("reserved elsewhere", reserved, 50, 1, 500); b.Reserved != 300 {
		t.Errorf("reserved %g", b.Reserved)
	}
	gone := stock(func(p *inventory.Paint) { p.Expires = unit.State(day(10, 0, 0)) })
	if b := check("expires before hands-off", gone, 1000, 2, 1000); !b.Expired.Known() {
		t.Error("expiry is not said")
	}
	kept := stock(func(p *inventory.Paint) { p.Expires = unit.State(day(20, 0, 0)) })
	check("lasts until hands-off", kept, 1000, 0, 0)
	large := stock(hold(0))
	large.in = func(in *Input) { in.Offers = []PackOffer{{Code: "W1", Offer: Offer{Size: 120, Price: 550}}} }
	check("another size", large, 0, 1, 550)
	unpriced := stock(func(p *inventory.Paint) { hold(0)(p); p.Price = unit.Stated[unit.Money]{} })
	p := unpriced.plan(t)
	if b := bought(t, p, "W1"); b.Buy != 2 || b.Cost.Known() || !slices.Equal(p.Cost.Unknown, []string{"W1"}) {
		t.Errorf("without a price: %+v, %+v", b, p.Cost)
	}
}

func TestSuppliesArriveBeforeTheyAreUsed(t *testing.T) {
	s := small{paints: []inventory.Paint{paintOf("W1", "fabric paint", "#AA3333", func(p *inventory.Paint) { p.OnHand = unit.State(unit.Quantity{Unit: "ml"}) })}, area: area("W1:1", nil)}
	s.job = func(j *garment.Job) {
		j.SuppliesOrdered, j.SuppliesArrive = unit.State(day(1, 12, 0)), unit.State(day(4, 12, 0))
	}
	p := s.plan(t)
	wantStart(t, p, "A1-W1-1", day(4, 12, 0))
	if p.HandsOff.OrderLate {
		t.Error("late before the hour to order")
	}
	s.in = func(in *Input) { in.Now = day(1, 13, 0) }
	if p := s.plan(t); !p.HandsOff.OrderLate {
		t.Error("the hour to order has passed unsaid")
	}
}

func TestComputedDryingWithoutTheMakersFactor(t *testing.T) {
	room := func(c, night, rh float64) small {
		s := small{paints: []inventory.Paint{paintOf("W1", "fabric paint", "#AA3333", nil)}, area: area("W1:2", nil)}
		s.job = func(j *garment.Job) {
			j.Room = garment.Room{DayC: unit.State(c), NightC: unit.State(night), RH: unit.State(rh)}
		}
		return s
	}
	// 23 °C, 50 %, still air: the factor is 1 and the margin 1.5.
	p := room(23, 23, 0.50).plan(t)
	if gap := stepNamed(t, p, "A1-W1-2").Start.Sub(stepNamed(t, p, "A1-W1-1").End); gap != 3*time.Hour {
		t.Errorf("at label conditions the second coat follows after %v, want 2 h × 1.5", gap)
	}
	cold := room(18, 15, 0.70).plan(t)
	c1, _ := areaNamed(t, p, "A1").Cured.Get()
	c2, _ := areaNamed(t, cold, "A1").Cured.Get()
	if !c2.After(c1) || len(cold.Drying.Unfit) != 0 {
		t.Errorf("cold and damp: cured %s, at the label %s, unfit %v", c2.Format(clock), c1.Format(clock), cold.Drying.Unfit)
	}
	wet := room(18, 15, 0.86).plan(t)
	if _, ok := refusal(wet, "A1", "W1", "room"); !ok || len(wet.Drying.Unfit) == 0 {
		t.Errorf("86 %% humidity is not refused: %+v", wet.Drying)
	}
}

func TestWetLoadAsksForAir(t *testing.T) {
	s := small{paints: []inventory.Paint{paintOf("W1", "fabric paint", "#AA3333", nil)}, area: area("W1:1", func(a *garment.Area) { a.Painted = 3 })}
	s.job = func(j *garment.Job) {
		j.Room = garment.Room{DayC: unit.State(20.0), RH: unit.State(0.70), Volume: unit.State(unit.Space(20)), Changes: unit.State(0.1)}
	}
	p := s.plan(t)
	if len(p.Drying.Unfit) == 0 || !strings.Contains(p.Drying.Unfit[0], "air changes an hour") {
		t.Fatalf("240 mL of water in 20 m³: %+v", p.Drying)
	}
	s.job = func(j *garment.Job) {
		j.Room = garment.Room{DayC: unit.State(20.0), RH: unit.State(0.70), Volume: unit.State(unit.Space(20)), Changes: unit.State(40.0)}
	}
	if p := s.plan(t); len(p.Drying.Unfit) != 0 {
		t.Errorf("with 40 changes an hour: %+v", p.Drying.Unfit)
	}
}

func TestOwnObservedTimeWinsOverAll(t *testing.T) {
	s := small{paints: []inventory.Paint{paintOf("W1", "fabric paint", "#AA3333", nil)}, area: area("W1:2", nil)}
	s.job = func(j *garment.Job) { j.Room.DryingFactor = unit.State(3.0) }
	s.in = func(in *Input) { in.Observed = []Observed{{Code: "W1", Stage: Recoat, Time: 90 * time.Minute}} }
	wantStart(t, s.plan(t), "A1-W1-2", day(1, 11, 30))
}

func TestUnstatedLabelTimes(t *testing.T) {
	silent := func(p *inventory.Paint) {
		p.Touch, p.RecoatFrom, p.Cure = unit.Stated[time.Duration]{}, unit.Stated[time.Duration]{}, unit.Stated[time.Duration]{}
	}
	p := small{paints: []inventory.Paint{paintOf("W1", "fabric paint", "#AA3333", silent)}, area: area("W1:2", nil)}.plan(t)
	wantStart(t, p, "A1-W1-2", day(1, 14, 0)) // the usual 4 h
	solvent := func(p *inventory.Paint) { silent(p); p.Base = "solvent" }
	p = small{paints: []inventory.Paint{paintOf("W1", "varnish", "#AA3333", solvent)}, area: area("W1:1", nil)}.plan(t)
	if _, ok := refusal(p, "A1", "W1", "label"); !ok {
		t.Errorf("a solvent product without times is planned: %+v", p.Refusals)
	}
}

func TestWeighedPotCorrectsTheSpread(t *testing.T) {
	s := small{paints: []inventory.Paint{paintOf("W1", "fabric paint", "#AA3333", nil)}, area: area("W1:2", nil)}
	// 2 m² of bare cotton took 460 mL: 200 mL/m² and the working loss.
	s.in = func(in *Input) {
		in.Weighed = []Observation{{Code: "W1", Under: "C1", Used: 460, Extent: 2, Loss: 1.15}}
	}
	l := layerNamed(t, s.plan(t), "A1", "W1")
	if l.Each[0] != 115 || l.Volume != 173 { // 0.5 × 200 × 1.15, then 0.5 × 100 × 1.15
		t.Errorf("%v of %v", l.Each, l.Volume)
	}
}

func TestToolAndThinning(t *testing.T) {
	s := small{paints: []inventory.Paint{paintOf("W1", "fabric paint", "#AA3333", nil)}, area: area("W1:1", nil)}
	s.in = func(in *Input) { in.Laying = []Laying{{Area: "A1", Code: "W1", Tool: Airbrush, Thin: 0.25}} }
	if v := layerNamed(t, s.plan(t), "A1", "W1").Volume; v != 100 { // 0.5 × 100 / 1.25 / 0.40
		t.Errorf("airbrush, thinned by a quarter: %v, want 100 mL", v)
	}
}

func TestStacksThatAreRefused(t *testing.T) {
	foam := func(c *inventory.Cloth) { c.Fibre, c.Unit, c.Medium = "foam", "m2", "foam sheet" }
	navy := func(c *inventory.Cloth) {
		dark, _ := colour.FromHex("#1E2A46")
		c.Fibre, c.DyeClass, c.Colour = "polyester", "disperse", unit.State(dark)
	}
	glow := func(p *inventory.Paint) {
		p.Fluorescent, p.Suits = unit.State(600.0), []string{"polyester"}
	}
	on := func(cloth func(*inventory.Cloth), p inventory.Paint) Plan {
		t.Helper()
		return small{paints: []inventory.Paint{p}, cloth: cottonOf(cloth), area: area(p.Code+":2", nil)}.plan(t)
	}
	if r, ok := refusal(on(foam, paintOf("B1", "prop acrylic", "#6A4E33", nil)), "A1", "B1", "seal"); !ok || !r.Chosen {
		t.Error("paint on raw foam is not refused")
	}
	p := on(navy, paintOf("F1", "fluorescent paint", "#FF5A50", glow))
	if _, ok := refusal(p, "A1", "F1", "base"); !ok {
		t.Error("a fluorescent straight on navy is not refused")
	}
	if _, ok := refusal(p, "A1", "F1", "block"); !ok {
		t.Error("paint straight on disperse-dyed cloth is not refused")
	}
}

func TestUnstatedContentsBesideSkin(t *testing.T) {
	unstated := func(p *inventory.Paint) { p.Contains = nil }
	s := small{paints: []inventory.Paint{paintOf("W1", "fabric paint", "#AA3333", unstated)}, area: area("W1:1", func(a *garment.Area) { a.Skin = true })}
	s.job = func(j *garment.Job) {
		j.Wearers = []garment.Wearer{{Code: "P1", Factor: 1}, {Code: "P2", Factor: 1, Sensitivities: []string{"latex"}}}
	}
	r, ok := refusal(s.plan(t), "A1", "W1", "wearer")
	if !ok || r.Wearer != "P2" || !strings.Contains(r.Why, "not stated") {
		t.Errorf("%v %+v", ok, r)
	}
}

func TestErrorsNameTheFact(t *testing.T) {
	check := func(name string, s small, want ...string) {
		t.Helper()
		_, err := Make(s.input(t))
		if err == nil {
			t.Errorf("%s: no error", name)
			return
		}
		for _, w := range want {
			if !strings.Contains(err.Error(), w) {
				t.Errorf("%s: %q does not say %q", name, err, w)
			}
		}
	}
	paints := []inventory.Paint{paintOf("W1", "fabric paint", "#AA3333", nil)}
	check("unknown product", small{paints: paints, area: area("Q9:1", nil)}, "A1", "Q9", "expected a stock code")
	check("unknown ground", small{paints: paints, area: area("W1:1", func(a *garment.Area) { a.Ground = "C9" })}, "A1", "C9")
	sew := func(s garment.Sewing) func(*garment.Job) {
		return func(j *garment.Job) { j.Sewing = []garment.Sewing{s} }
	}
	check("unknown state", small{paints: paints, area: area("W1:1", nil), job: sew(garment.Sewing{Code: "S1", Area: "A1", Verb: "sew", After: []string{"A1 purple"}})}, "S1", "A1 purple", "cured")
	check("unknown step", small{paints: paints, area: area("W1:1", nil), job: sew(garment.Sewing{Code: "S1", Area: "A1", Verb: "sew", Before: []string{"S9"}})}, "S1", "S9")
	check("treatment of no area", small{paints: paints, area: area("W1:1", nil), in: func(in *Input) { in.Treatments = []Treatment{{Area: "A7", Code: "W1"}} }}, "A7", "W1")
	check("no time to start from", small{paints: paints, area: area("W1:1", nil), job: func(j *garment.Job) { j.Starts = unit.Stated[time.Time]{} }}, "planning_starts")
}

func TestSewingStatesAndPeople(t *testing.T) {
	s := small{paints: []inventory.Paint{paintOf("W1", "fabric paint", "#AA3333", nil)}, area: area("W1:1", nil)}
	s.job = func(j *garment.Job) {
		j.Hours = append(j.Hours, garment.Hours{Weekday: time.Wednesday, From: 10 * 60, To: 12 * 60, Who: "ann", What: "sewing"})
		j.Sewing = []garment.Sewing{
			{Code: "cut", Area: "A1", Verb: "cut", Hands: 30 * time.Minute},
			{Code: "hem", Area: "A1", Verb: "hem", Hands: time.Hour, After: []string{"A1 touch dry"}},
			{Code: "band", Area: "A1", Verb: "sew", Hands: time.Hour, After: []string{"A1 painting"}, Who: "ann"},
			{Code: "fit", Area: "A1", Verb: "fit", Hands: time.Hour, After: []string{"A1 cured"}},
		}
	}
	p := s.plan(t)
	wantStart(t, p, "cut", day(1, 9, 0))
	wantStart(t, p, "A1-W1-1", day(1, 9, 30))
	if at := stepNamed(t, p, "hem").Start; at.Before(day(1, 11, 30)) {
		t.Errorf("hem %s, touch dry 11:30", at.Format(clock))
	}
	if b := stepNamed(t, p, "band"); b.Who != "ann" || !b.Start.Equal(day(3, 10, 0)) {
		t.Errorf("band by %q %s", b.Who, b.Start.Format(clock))
	}
	if at := stepNamed(t, p, "fit").Start; at.Before(day(3, 10, 30)) {
		t.Errorf("fit %s, cured Wed 10:30", at.Format(clock))
	}
}

// The clocks go forward on 29 March 2026 in London: a night of drying is an
// hour of wall clock longer, the cure is told in real hours.
func TestCureAcrossAClockChange(t *testing.T) {
	london, err := time.LoadLocation("Europe/London")
	if err != nil {
		t.Skip("no time zones on this machine")
	}
	s := small{paints: []inventory.Paint{paintOf("W1", "fabric paint", "#AA3333", nil)}, area: area("W1:1", nil)}
	s.job = func(j *garment.Job) {
		j.Zone = london
		j.Starts, j.HandsOff = unit.State(time.Date(2026, 3, 28, 9, 0, 0, 0, london)), unit.State(time.Date(2026, 4, 5, 9, 0, 0, 0, london))
	}
	p := s.plan(t)
	c, _ := areaNamed(t, p, "A1").Cured.Get()
	if want := time.Date(2026, 3, 30, 11, 0, 0, 0, london); !c.Equal(want) {
		t.Errorf("cured %s, want %s: 48 h after 28 March 10:00", c, want)
	}
}

func TestSameInputSamePlan(t *testing.T) {
	in := demoInput(t, recipes(keyRecipes))
	in.Alternatives, in.Effort = true, 200
	if a, b := printed(makePlan(t, in)), printed(makePlan(t, in)); a != b {
		t.Error("two plans of the same facts differ")
	}
}

func TestElapsedWalksDayAndNight(t *testing.T) {
	// Two hours of label time from 21:00 where day takes its own time and night
	// twice: one hour until 22:00, the other takes two.
	if got := elapsed(120, 21*60, 1, 2); math.Abs(got-180) > 1e-9 {
		t.Errorf("%g min, want 180", got)
	}
	if got := elapsed(60, 12*60, 1.5, 9); math.Abs(got-90) > 1e-9 {
		t.Errorf("%g min, want 90", got)
	}
	// A whole day and night at one pace is that pace from any hour.
	for from := 0; from < 24*60; from += 97 {
		if got := elapsed(3000, from, 1.7, 1.7); math.Abs(got-5100) > 1e-6 {
			t.Errorf("from %d: %g min, want 5100", from, got)
		}
	}
}

// The hours a maker keeps beside the label win over it and over the room.
func TestOwnTimesOnTheShelf(t *testing.T) {
	own := func(p *inventory.Paint) { p.Extra = map[string]string{"own_recoat_h": "1.5"} }
	s := small{paints: []inventory.Paint{paintOf("W1", "fabric paint", "#AA3333", own)}, area: area("W1:2", nil)}
	s.job = func(j *garment.Job) { j.Room.DryingFactor = unit.State(3.0) }
	wantStart(t, s.plan(t), "A1-W1-2", day(1, 11, 30))
}

// A press test lies for its 48 h before the cloth may be painted, and one that
// nothing waits for is read before the job ends.
func TestTestsLieBeforeTheyAreRead(t *testing.T) {
	s := small{paints: []inventory.Paint{paintOf("W1", "fabric paint", "#AA3333", nil)}, area: area("W1:1", nil)}
	s.in = func(in *Input) {
		in.Tests = []TestWant{
			{Code: "C1-press", Area: "A1", How: "press", What: "press of C1 on C6", Wait: 48 * time.Hour, Before: []string{"A1 painting"}},
			{Code: "W1-wash", Area: "A1", How: "wash", Wait: 12 * time.Hour, After: "A1 cured"},
		}
	}
	p := s.plan(t)
	press, wash := stepNamed(t, p, "C1-press"), stepNamed(t, p, "W1-wash")
	if press.Text != "press of C1 on C6" || !press.Ready.Equal(press.End.Add(48*time.Hour)) {
		t.Errorf("%q, read %s", press.Text, press.Ready.Format(clock))
	}
	if coat := stepNamed(t, p, "A1-W1-1").Start; coat.Before(press.Ready) {
		t.Errorf("painted %s, the test is read %s", coat.Format(clock), press.Ready.Format(clock))
	}
	if p.HandsOff.Ends.Before(wash.End.Add(12 * time.Hour)) {
		t.Errorf("all ends %s, the wash is dry %s", p.HandsOff.Ends.Format(clock), wash.Ready.Format(clock))
	}
	if slices.ContainsFunc(p.Steps, func(s Step) bool { return strings.Contains(s.ID, "read") }) {
		t.Error("reading is a step of its own")
	}
}
