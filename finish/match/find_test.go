package match

import (
	"errors"
	"slices"
	"strings"
	"testing"
	"time"

	"undercoat/finish/film"
	"undercoat/inventory"
	"undercoat/inventory/unit"
	"undercoat/palette/colour"
)

func TestFindRefusesWhatItCannotAnswer(t *testing.T) {
	stock := demoStock(t)
	grey := Target{Colour: hex(t, "#6C7176")}
	for name, c := range map[string]struct {
		q    Request
		want error
	}{
		"no target":        {Request{}, ErrNoTarget},
		"unknown ground":   {Request{Target: grey, Ground: Ground{Code: "C99"}}, ErrNotOnShelf},
		"colourless":       {Request{Target: grey, Ground: Ground{Code: "X1"}}, film.ErrNoColour},
		"unknown coat":     {Request{Target: grey, Ground: Ground{Code: "C7", Under: []Layer{{"Q1", 1}}}}, ErrNotOnShelf},
		"dye as if a coat": {Request{Target: grey, Ground: Ground{Code: "C7", Under: []Layer{{"D1", 1}}}}, ErrNotOnShelf},
	} {
		if _, err := Find(c.q, stock); !errors.Is(err, c.want) {
			t.Errorf("%s: error %v, want %v", name, err, c.want)
		}
	}
	for name, layers := range map[string][]Layer{"no coats": {{"W1", 0}}, "too many": {{"W1", 13}}} {
		if _, err := Build(Ground{Code: "C7"}, layers, Light{}, stock); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}

func TestFindOnAnEmptyShelf(t *testing.T) {
	r, err := Find(Request{Target: Target{Colour: hex(t, "#6C7176")}}, inventory.Stock{})
	if err != nil || len(r.Matches) != 0 || len(r.Choices) != 0 {
		t.Errorf("%d matches, %d choices, error %v", len(r.Matches), len(r.Choices), err)
	}
}

// paintWith returns a plain grey paint changed by edit, alone on a shelf with a
// cotton and a foam ground.
func paintWith(t *testing.T, edit func(*inventory.Paint)) inventory.Stock {
	t.Helper()
	p := inventory.Paint{HidingBlack: unit.State(0.8), HidingWhite: unit.State(0.8), WetFilm: unit.State(90.0), Base: "water"}
	p.Code, p.Name, p.Kind, p.Medium = "P", "Grey", inventory.KindPaint, "fabric paint"
	p.Colour, p.Suits = unit.State(hex(t, "#6C7176")), []string{"cotton", "foam"}
	edit(&p)
	cotton, foam := inventory.Cloth{Fibre: "cotton", IronMax: unit.State(110.0)}, inventory.Cloth{Fibre: "foam"}
	cotton.Code, cotton.Name, cotton.Kind, cotton.Colour = "K", "Calico", inventory.KindCloth, unit.State(hex(t, "#E6DECF"))
	foam.Code, foam.Name, foam.Kind, foam.Colour = "Q", "Foam", inventory.KindCloth, unit.State(hex(t, "#5A5A5C"))
	s, err := inventory.NewStock([]inventory.Paint{p}, nil, []inventory.Cloth{cotton, foam}, nil)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// Each rule by itself: what is changed on an otherwise fitting paint, and the
// fact its reason has to give.
func TestRules(t *testing.T) {
	now := time.Date(2026, 11, 1, 12, 0, 0, 0, time.UTC)
	for name, c := range map[string]struct {
		edit func(*inventory.Paint)
		ask  func(*Request)
		rule Rule
		fact string
	}{
		"expired":           {func(p *inventory.Paint) { p.Expires = unit.State(now.AddDate(0, 0, -40)) }, nil, RuleExpired, "2026-09-22"},
		"none and no pack":  {func(p *inventory.Paint) { p.OnHand = unit.State(unit.Quantity{Unit: "ml"}) }, nil, RuleStock, "none"},
		"a wearer's":        {func(p *inventory.Paint) { p.Contains = []string{"natural latex"} }, nil, RuleWearer, "latex"},
		"cracks":            {func(p *inventory.Paint) { p.Elongation = unit.State(0.15) }, func(q *Request) { q.Stretch = 0.4 }, RuleStretch, "15 %"},
		"stretch unknown":   {func(*inventory.Paint) {}, func(q *Request) { q.Stretch = 0.4 }, RuleStretch, "not stated"},
		"too hot":           {func(p *inventory.Paint) { p.HeatC = unit.State(150.0) }, nil, RuleHeat, "110 °C"},
		"the room's iron":   {func(p *inventory.Paint) { p.HeatC = unit.State(105.0) }, func(q *Request) { q.IronMax = unit.State(90.0) }, RuleHeat, "workroom"},
		"another material":  {func(p *inventory.Paint) { p.Suits = []string{"wood"} }, nil, RuleMaterial, "wood"},
		"solvent on foam":   {func(p *inventory.Paint) { p.Base = "solvent" }, func(q *Request) { q.Ground.Code = "Q" }, RuleSolvent, "solvent"},
		"cut from cloth":    {func(*inventory.Paint) {}, func(q *Request) { q.Method = ByCloth }, RuleMethod, "cut from cloth"},
		"the wrong colour":  {func(p *inventory.Paint) { p.Colour = unit.State(hex(t, "#A04030")) }, nil, RuleTolerance, "ΔE00"},
		"the target glows":  {func(*inventory.Paint) {}, func(q *Request) { q.Target.Fluorescent = true }, RuleGlow, "glows"},
		"nothing at all":    {func(*inventory.Paint) {}, nil, "", ""},
		"stretches further": {func(p *inventory.Paint) { p.Elongation = unit.State(1.1) }, func(q *Request) { q.Stretch = 0.4 }, "", ""},
	} {
		q := Request{
			Target: Target{Colour: hex(t, "#6C7176")}, Ground: Ground{Code: "K"}, Now: now, Kinds: []Kind{Item}, Method: ByPaint,
			Sensitivities: []Sensitivity{{"P3", "latex"}},
		}
		if c.ask != nil {
			c.ask(&q)
		}
		r, err := Find(q, paintWith(t, c.edit))
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		m := matchOf(t, r, "P")
		if c.rule == "" {
			if !m.Allowed() {
				t.Errorf("%s: %v", name, m.Against)
			}
			continue
		}
		if text := against(m, c.rule); !strings.Contains(text, c.fact) {
			t.Errorf("%s: rule %s says %q, want the fact %q (all: %v)", name, c.rule, text, c.fact, m.Against)
		}
		if len(m.Against) != 1 {
			t.Errorf("%s: %d reasons, want one: %v", name, len(m.Against), m.Against)
		}
	}
}

// A label no film can have does not lose the paint: it is used without the
// figures and says so.
func TestImpossibleFiguresAreNamed(t *testing.T) {
	stock := paintWith(t, func(p *inventory.Paint) { p.HidingBlack = unit.State(0.0) })
	r, err := Find(Request{Target: Target{Colour: hex(t, "#6C7176")}, Ground: Ground{Code: "K"}, Kinds: []Kind{Item}, Method: ByPaint}, stock)
	if err != nil {
		t.Fatal(err)
	}
	m := matchOf(t, r, "P")
	if len(m.Notes) == 0 || !strings.Contains(m.Notes[len(m.Notes)-1].Text, "hiding figure") && !strings.Contains(m.Notes[0].Text, "hiding figure") {
		t.Errorf("notes %v", m.Notes)
	}
}

// A strike-off on record moves the prediction on its ground toward what was
// seen.
func TestStrikeOffOnRecord(t *testing.T) {
	seen := colour.Lab{L: 62, A: 0, B: 0} // two coats came out lighter than foreseen
	plain, taught := paintWith(t, func(*inventory.Paint) {}), paintWith(t, func(p *inventory.Paint) {
		p.Measures = []inventory.Measure{{Code: "P", Over: "K", Coats: unit.State(2), Kind: "strike-off", Lab: unit.State(seen)}}
	})
	var diff [2]float64
	for i, s := range []inventory.Stock{plain, taught} {
		steps, err := Build(Ground{Code: "K"}, []Layer{{"P", 2}}, Light{}, s)
		if err != nil {
			t.Fatal(err)
		}
		diff[i] = colour.Difference(seen, steps[2].Predicted.Lab)
	}
	if diff[1] > diff[0]/2 {
		t.Errorf("ΔE00 to the strike-off %.1f before, %.1f after", diff[0], diff[1])
	}
}

// A trial read under a lamp and no spectrum moves nothing, and is said to be
// left out.
func TestTrialUnderALampIsSaidToBeLeftOut(t *testing.T) {
	trial := inventory.Measure{Code: "P", Over: "K", Coats: unit.State(2), Kind: "strike-off", Lab: unit.State(colour.Lab{L: 62}), Light: "A"}
	for light, want := range map[string]bool{"A": true, "D65": false, "": false} {
		trial.Light = light
		s := paintWith(t, func(p *inventory.Paint) { p.Measures = []inventory.Measure{trial} })
		r, err := Find(Request{Target: Target{Colour: hex(t, "#6C7176")}, Ground: Ground{Code: "K"}, Kinds: []Kind{Item}}, s)
		if err != nil {
			t.Fatal(err)
		}
		said := slices.ContainsFunc(matchOf(t, r, "P").Notes, func(n Reason) bool {
			return n.Rule == RuleRange && strings.Contains(n.Text, "1 of its trials left out, read under A")
		})
		if said != want {
			t.Errorf("light %q: said %v, want %v", light, said, want)
		}
	}
}

// Show-through is allowed: where a few coats of one paint over the ground are
// nearer than its full colour, they are an answer beside the paint as an item.
func TestShowThroughIsAnAnswer(t *testing.T) {
	stock := paintWith(t, func(p *inventory.Paint) {
		p.HidingBlack, p.HidingWhite = unit.State(0.35), unit.State(0.35)
	})
	steps, err := Build(Ground{Code: "K"}, []Layer{{"P", 3}}, Light{}, stock)
	if err != nil {
		t.Fatal(err)
	}
	target, _ := colour.FromLab(steps[2].Predicted.Lab, colour.Measured)
	r, err := Find(Request{Target: Target{Colour: target}, Ground: Ground{Code: "K"}, Kinds: []Kind{Item, Layers}}, stock)
	if err != nil {
		t.Fatal(err)
	}
	if m := matchOf(t, r, "P:2"); m.Difference.Or(99) > 0.1 || !m.Allowed() {
		t.Errorf("two coats: ΔE00 %.2f, against %v", m.Difference.Or(99), m.Against)
	}
	if m := matchOf(t, r, "P"); m.CoatsTotal <= 3 || m.Difference.Or(0) < 3 {
		t.Errorf("the item: %d coats, ΔE00 %.2f", m.CoatsTotal, m.Difference.Or(0))
	}
}

// A fluorescent is never compared by its swatch: without a ground it is taken
// in its full colour over white, which no screen shows.
func TestFluorescentIsNotItsSwatch(t *testing.T) {
	coral := hex(t, "#FF5A50")
	r, err := Find(Request{Target: Target{Colour: coral}, Kinds: []Kind{Item}}, demoStock(t))
	if err != nil {
		t.Fatal(err)
	}
	m := matchOf(t, r, "F1")
	if d := m.Difference.Or(0); d < 5 {
		t.Errorf("ΔE00 %.1f to its own swatch's colour", d)
	}
	if !m.Predicted.OutOfScreen {
		t.Errorf("predicted %+v within the screen", m.Predicted.Lab)
	}
}
