package sheet

import (
	"fmt"
	"testing"
	"time"

	"undercoat/finish/caution"
	"undercoat/finish/garment"
	"undercoat/finish/plan"
	"undercoat/finish/rub"
	"undercoat/inventory"
	"undercoat/inventory/unit"
	"undercoat/palette/colour"
)

// at is an instant of the fixture's calendar, in November 2026.
func at(d, h, m int) time.Time { return time.Date(2026, 11, d, h, m, 0, 0, time.UTC) }

func known(t testing.TB, hex string) colour.Colour {
	t.Helper()
	c, err := colour.FromHex(hex)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// fixture is an invented job with every kind of thing a sheet prints: long
// names, names that look like markup, a missed date, several coats and sides,
// a contact of each verdict, cautions of each place.
func fixture(t testing.TB) Data {
	t.Helper()
	article := func(code, name string, kind inventory.Kind, hex string) inventory.Article {
		a := inventory.Article{Code: code, Name: name, Kind: kind}
		if hex != "" {
			a.Colour = unit.State(known(t, hex))
		}
		return a
	}
	stock, err := inventory.NewStock(
		[]inventory.Paint{
			{Article: article("W1", "Chalk white, opaque, for dark and for synthetic cloth of every kind", inventory.KindPaint, "#f5f3ee")},
			{Article: article("F1", "Fluor <b>coral</b> & co", inventory.KindPaint, "#ff5b52")},
			{Article: article("X1", "Low-heat fixer", inventory.KindTreatment, "")},
		}, nil,
		[]inventory.Cloth{{Article: article("C1", "Navy canvas", inventory.KindCloth, "#1e2a46")}},
		[]inventory.Trim{{Article: article("H1", "Domed stud, 9 mm", inventory.KindTrim, "#8c7440")}},
	)
	if err != nil {
		t.Fatal(err)
	}
	sash := garment.Target{Colour: known(t, "#ff5b52"), Fluorescent: true}
	cuff := garment.Target{Colour: known(t, "#1e2a46"), Frozen: true}
	d := Data{
		Job: garment.Job{
			Name: "Night <of> lanterns", Version: 7, Zone: time.UTC,
			Areas: []garment.Area{
				{Code: "A1", Piece: "Bell sash, both faces, with the long fringed ends", Note: "judged by a swatch at 15 m", Target: sash, Method: garment.ByPaint},
				{Code: "A2", Piece: "Cuffs", Target: cuff, Method: garment.ByCloth},
				{Code: "A3", Piece: "Not yet chosen", Method: garment.ByPaint},
			},
		},
		Stock: stock,
	}
	d.Plan = fixturePlan(sash, cuff)
	d.Verdicts = []rub.Verdict{
		{Contact: garment.Contact{Code: "N1", From: "A2", To: "A1"}, Word: rub.KeepApart, Because: "RT2 of 2 November 2026 (damp rub): 2-3, and 4 is asked for"},
		{Contact: garment.Contact{Code: "N2", From: "A2", To: "A3"}, Word: rub.KeepApart, Because: "RT2 of 2 November 2026 (damp rub): 2-3, and 4 is asked for"},
		{Contact: garment.Contact{Code: "N3", From: "A1", To: garment.Skin}, Word: rub.NotTested, Because: "no damp rub on record", Wanted: rub.Wanted{Subject: "F1", Against: "white cotton", How: "damp rub"}},
	}
	d.Cautions = []caution.Caution{
		{Rule: "contact", Weight: caution.Stop, Subject: "N1", Text: "A2 on A1: keep apart", Source: "the tests on record"},
		{Rule: "fluorescent", Weight: caution.Note, Subject: "A1", Text: "fades in sun", Source: "common practice, no source"},
		{Rule: "hazard", Weight: caution.Care, Subject: "X1", Text: "H317: gloves", Source: "GHS, Annex 3"},
		{Rule: "margin", Weight: caution.Note, Subject: "F1", Text: "2 of 75 ml is left over", Source: "the plan's own figures"},
		{Rule: "cloth", Weight: caution.Care, Subject: "C1", Text: "lay out all pieces before the first cut", Source: "the plan's own figures"},
		{Rule: "air", Weight: caution.Care, Subject: "room", Text: "run the fan", Source: "well-mixed box"},
	}
	return d
}

func fixturePlan(sash, cuff garment.Target) plan.Plan {
	p := plan.Plan{
		Job: "Night <of> lanterns", Currency: "GBP", Now: at(2, 9, 0), Zone: time.UTC,
		Areas: []plan.Area{
			{
				Code: "A1", Piece: "Bell sash, both faces, with the long fringed ends", Target: sash, Ground: "C1", Chosen: true, Basis: "chosen by the maker",
				Predicted: unit.State(plan.Prediction{Lab: colour.Lab{L: 66, A: 97, B: 62}, Hex: "#ff0038", OutOfScreen: true}),
				Setting:   plan.Setting{Because: "C1 stands 120 °C at most, the label asks for 150 °C"},
				Layers: []plan.Layer{
					{Code: "W1", Role: plan.RoleUndercoat, Coats: 6, CoatsRange: [2]int{4, 7}, Volume: 995, Each: []unit.Volume{166, 166, 166, 166, 166, 165}, Repair: 20, Fixer: "X1"},
					{Code: "F1", Role: plan.RoleFluorescent, Coats: 2, CoatsRange: [2]int{2, 2}, Volume: 272, Each: []unit.Volume{136, 136}, Fixer: "X1"},
				},
				LatestStart: unit.State(at(2, 20, 15)), Ready: unit.State(at(12, 14, 57)), Spare: -3 * time.Hour,
			},
			{
				Code: "A2", Piece: "Cuffs", Target: cuff, Layers: []plan.Layer{{Code: "C1", Role: plan.RoleCloth}, {Code: "H1", Role: plan.RoleTrim, Count: 54}},
				Difference: unit.State(0.0), LatestStart: unit.State(at(4, 19, 0)), Ready: unit.State(at(5, 20, 0)), Spare: 50 * time.Hour,
			},
			{Code: "A3", Piece: "Not yet chosen"},
		},
		HandsOff: plan.HandsOff{Known: true, At: at(12, 12, 0), Ends: at(12, 15, 0), Spare: -3 * time.Hour},
		Shopping: []plan.Purchase{
			{Code: "C1", Name: "Navy canvas", Unit: "m", Need: 0.62, OnHand: 2.2, Counted: true},
			{Code: "F1", Name: "Fluor <b>coral</b> & co", Unit: "ml", Need: 272, OnHand: 75, Counted: true, Buy: 3, Packs: []plan.Packs{{Offer: plan.Offer{Size: 75}, Count: 3}}, Cost: unit.State(unit.Money(2070)), Thin: true},
			{Code: "H1", Name: "Domed stud, 9 mm", Unit: "pc", Need: 54, Buy: 54, Packs: []plan.Packs{{Offer: plan.Offer{Size: 1}, Count: 54}}},
		},
		Cost:     plan.Cost{Total: 2070, Budget: unit.State(unit.Money(2000)), Over: 70, Unknown: []string{"H1"}},
		Trades:   []plan.Trade{{Kind: "coats", Code: "W1", Saves: 750, Text: "W1 on A1: 5 coats instead of 6", Gives: "a thinner film"}},
		Cloth:    []plan.ClothNeed{{Code: "C1", Need: unit.State(unit.Quantity{Amount: 0.62, Unit: "m"}), OnHand: unit.State(unit.Quantity{Amount: 2.2, Unit: "m"})}},
		Refusals: []plan.Refusal{{Area: "A2", What: "W1 on A2", Why: "cut from cloth", Instead: "C1 (Navy canvas)"}, {Area: "A1", What: "H1 for P2", Wearer: "P2", Why: "nickel is not known", Instead: "H2"}},
		Drying:   plan.RoomDrying{Text: "label times × 1.2"},
		Decides:  unit.State(plan.Session{Step: "A1-W1-6", Text: "A1-W1-6 starts Sun 8 Nov 16:09 and leaves 6 min"}),
		Chain:    []plan.Link{{Step: "A1-W1-6", At: at(8, 16, 9)}},
		Pots:     []plan.Pot{{Code: "W1", Fixer: "X1", Paint: 332, FixerVolume: 6.6, Mixed: at(3, 10, 0), UseBy: at(3, 18, 0), Steps: []string{"A1-W1-1", "A1-W1-2"}}},
		Otherwise: []plan.Alternative{
			{Kind: "fan", Text: "without the fan: ends Fri 13 Nov 20:21, 1 d 5 h later"},
		},
		Solver: plan.Solver{Gap: 40 * time.Minute},
	}
	p.Steps = fixtureSteps()
	return p
}

func fixtureSteps() []plan.Step {
	steps := []plan.Step{
		{ID: "A1-cut", Area: "A1", Verb: plan.VerbCut, Text: "cut bell sash", Start: at(2, 19, 0), End: at(2, 19, 15), Ready: at(2, 19, 15), LatestStart: at(2, 20, 15), Spare: 75 * time.Minute, Done: true},
		{ID: "A2-sew", Area: "A2", Verb: plan.VerbSew, Text: "sew cuffs", Who: "helper", Start: at(2, 19, 0), End: at(2, 20, 0), Ready: at(2, 20, 0), LatestStart: at(5, 19, 0), Spare: 72 * time.Hour},
	}
	for i := range 6 {
		start := at(3+i, 10, 0)
		steps = append(steps, plan.Step{
			ID: fmt.Sprintf("A1-W1-%d", i+1), Area: "A1", Verb: plan.VerbCoat, Code: "W1", Coat: i + 1, Coats: 6, Side: "face", Volume: 166, Fixer: "X1", FixerVolume: 3.3,
			Text: "coat", Start: start, End: start.Add(45 * time.Minute), Ready: start.Add(3 * time.Hour), LatestStart: start.Add(54 * time.Minute), Spare: 54 * time.Minute,
			Place: plan.OnRail, Racked: i % 2, Needs: "open air over 10 °C",
		})
	}
	for i := range 2 {
		start := at(9+i, 19, 0)
		steps = append(steps, plan.Step{
			ID: fmt.Sprintf("A1-F1-%d", i+1), Area: "A1", Verb: plan.VerbCoat, Code: "F1", Coat: i + 1, Coats: 2, Volume: 136,
			Start: start, End: start.Add(45 * time.Minute), Ready: start.Add(18 * time.Hour), LatestStart: start, Place: plan.OnRack,
		})
	}
	return append(steps, plan.Step{ID: "pack", Verb: plan.VerbPack, Text: "pack: painted faces apart", Start: at(12, 20, 0), End: at(12, 21, 0), Ready: at(12, 21, 0), LatestStart: at(12, 20, 0)})
}
