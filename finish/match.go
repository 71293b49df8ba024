package finish

import (
	"context"
	"fmt"

	"undercoat/finish/garment"
	"undercoat/finish/match"
	"undercoat/inventory"
	"undercoat/inventory/unit"
	"undercoat/palette/colour"
)

// MatchRequest asks what the shelf can do for a colour: for an area of the
// job, or for any colour.
type MatchRequest struct {
	Area   string        // an area's code; "" where Colour is given
	Colour colour.Colour // valid where no area is given
	Ground string        // stock code; "" takes the area's own ground
	Kinds  []string      // item, mixture, layers; none means all that fit the area
	Parts  int           // most parts of a mixture, 0 takes 2
	Layers bool          // look for stacks of different paints too
	Lights []string      // judged besides daylight; none takes the job's lights
	Top    int           // matches returned; 0 takes 10
}

// MatchAnswer is what the shelf can do. Its JSON is the `match` contract.
type MatchAnswer struct {
	Target  MatchTarget   `json:"target"`
	Matches []MatchLine   `json:"matches"`
	Choices []MatchChoice `json:"choices"`
	Ground  string        `json:"ground,omitempty"`
	Seen    int           `json:"searched"` // stacks and mixtures the answer is exact over
}

// MatchTarget is the colour that was asked for.
type MatchTarget struct {
	Area string `json:"area,omitempty"`
	Swatch
	Words       string  `json:"words"`
	Fluorescent bool    `json:"fluorescent"`
	Tolerance   float64 `json:"tolerance"`
}

// MatchLine is one way to the colour.
type MatchLine struct {
	Kind            string             `json:"kind"`
	Code            string             `json:"code"`
	Name            string             `json:"name"`
	Parts           []PartAnswer       `json:"parts"`
	Coats           []CoatAnswer       `json:"coats"`
	Predicted       PredictedAnswer    `json:"predicted"`
	Difference      *float64           `json:"difference"` // ΔE00, daylight; null for a fluorescent
	DifferenceRange [2]float64         `json:"difference_range"`
	HueDifference   *float64           `json:"hue_difference_deg,omitempty"`
	ByLight         map[string]float64 `json:"by_light"`
	LightNotes      []string           `json:"light_notes,omitempty"`
	Words           string             `json:"words"`
	Basis           string             `json:"basis"`
	CoatsTotal      int                `json:"coats_total"`
	Cost            *float64           `json:"cost"`
	Hours           *float64           `json:"hours"`
	Amounts         []AmountAnswer     `json:"amounts"`
	DryFilmUM       float64            `json:"dry_film_um"` // what stiffens the hand
	Allowed         bool               `json:"allowed"`
	Against         []ReasonAnswer     `json:"against"`
	Notes           []ReasonAnswer     `json:"notes"`
}

// PartAnswer is one paint of a mixture, by mass.
type PartAnswer struct {
	Code  string  `json:"code"`
	Share float64 `json:"share"`
}

// CoatAnswer is one paint of a stack, from the ground up. Range is the 10th to
// 90th percentile of its number, by the house rule or as the search chose it,
// and Driver what makes it wide.
type CoatAnswer struct {
	Code   string  `json:"code"`
	Coats  int     `json:"coats"`
	Range  *[2]int `json:"coats_range,omitempty"`
	Driver string  `json:"driver,omitempty"`
}

// AmountAnswer is how much of an article a match takes.
type AmountAnswer struct {
	Code string  `json:"code"`
	ML   float64 `json:"ml"`
}

// PredictedAnswer is a predicted colour with its range.
type PredictedAnswer struct {
	Lab         [3]float64 `json:"lab"`
	LabLow      [3]float64 `json:"lab_low"`
	LabHigh     [3]float64 `json:"lab_high"`
	Hex         string     `json:"hex"`
	OutOfScreen bool       `json:"out_of_screen"`
}

// ReasonAnswer is a rule with the fact it rests on.
type ReasonAnswer struct {
	Rule string `json:"rule"`
	Text string `json:"text"`
}

// MatchChoice is one of a few good answers that differ.
type MatchChoice struct {
	Why  string `json:"why"`
	Code string `json:"code"`
}

// Match says what the shelf can do for a colour, with reasons against.
func (b *Bench) Match(ctx context.Context, req MatchRequest) (MatchAnswer, error) {
	s, err := b.matchScene(ctx, req)
	if err != nil {
		return MatchAnswer{}, err
	}
	q, err := b.matchQuestion(s, req)
	if err != nil {
		return MatchAnswer{}, err
	}
	r, err := match.Find(q, s.stock)
	if err != nil {
		return MatchAnswer{}, err
	}
	a := matchAnswer(q, req, r, s.stock)
	for i := range a.Matches {
		if a.Matches[i].Allowed {
			countedBy(&a.Matches[i], q, s.stock)
		}
	}
	return a, nil
}

// countedBy fills in the intervals of the coats: those that the house rule
// counts, and those that the search chose.
func countedBy(l *MatchLine, q match.Request, stock inventory.Stock) {
	var layers []match.Layer
	for _, c := range l.Coats {
		layers = append(layers, match.Layer{Code: c.Code, Coats: c.Coats})
	}
	ask := match.HouseQuestion{Ground: q.Ground, Layers: layers, Tolerance: q.Tolerance, Seed: q.Seed}
	built, err := match.HouseCoats(ask, stock)
	if err != nil {
		return // a mixture is no article of the shelf
	}
	chosen, err := match.ChosenCoats(ask, stock)
	if err != nil {
		return
	}
	for i, b := range built {
		if c := b.Count; c.Reached && c.N == l.Coats[i].Coats {
			l.Coats[i].Range, l.Coats[i].Driver = &[2]int{c.Low, c.High}, c.Driver
		} else if c := chosen[i]; c.Reached {
			l.Coats[i].Range, l.Coats[i].Driver = &[2]int{c.Low, c.High}, c.Driver
		}
	}
}

// matchScene reads the job where the question is about one of its areas, and
// the shelf alone where it is about any colour.
func (b *Bench) matchScene(ctx context.Context, req MatchRequest) (scene, error) {
	if req.Area != "" {
		return b.scene(ctx)
	}
	stock, err := b.file.Stock(ctx)
	return scene{stock: stock}, err
}

func (b *Bench) matchQuestion(s scene, req MatchRequest) (match.Request, error) {
	q := match.Request{
		Target: match.Target{Colour: req.Colour}, Kinds: kindsOf(req), Parts: req.Parts, Top: req.Top, Now: b.now(),
	}
	if q.Top == 0 {
		q.Top = 10
	}
	ground := req.Ground
	if req.Area != "" {
		area, err := s.area(req.Area)
		if err != nil {
			return q, err
		}
		if !area.Target.Known() {
			return q, &Hinted{Err: fmt.Errorf("match %s: the area has no target yet", area.Code), Try: []string{"undercoat target " + area.Code + " --approve", "undercoat target " + area.Code + " --approve --as '#6C7176'   (a colour of yours)"}}
		}
		q = s.areaQuestion(q, area)
		if ground == "" && area.Method != garment.ByCloth {
			ground = area.Ground
		}
	}
	if ground != "" {
		if _, err := s.article(ground); err != nil {
			return q, err
		}
		q.Ground = match.Ground{Code: ground}
	}
	return withLights(q, req.Lights)
}

// areaQuestion fills in what the job knows of an area.
func (s scene) areaQuestion(q match.Request, area garment.Area) match.Request {
	job := s.job
	q.Target = match.Target{Colour: area.Target.Colour, Fluorescent: area.Target.Fluorescent}
	q.Target.Readings = s.readings(area.Code)
	q.Tolerance, q.Method = area.Tolerance, match.Method(area.Method)
	q.Stretch, q.Skin, q.IronMax = area.Stretch, area.Skin, job.Room.IronMaxC
	q.Extent = area.Painted
	if area.Method == garment.ByCloth {
		q.Extent = area.Cloth
	}
	q.Extent *= unit.Extent(job.Factor())
	for _, w := range job.Wearers {
		for _, sub := range w.Sensitivities {
			q.Sensitivities = append(q.Sensitivities, match.Sensitivity{Wearer: w.Code, Substance: sub})
		}
	}
	for _, l := range job.JudgingLights() {
		q.Lights = append(q.Lights, match.Light{Name: l.Name, Light: l.Light, UV: l.UV})
	}
	return q
}

// readings are what an instrument found of an area's master swatch, by light.
func (s scene) readings(area string) []match.Reading {
	var rs []match.Reading
	for _, m := range s.facts.Measures {
		if lab, ok := m.Lab.Get(); ok && m.Code == area {
			rs = append(rs, match.Reading{Light: m.Light, Lab: lab})
		}
	}
	return rs
}

// withLights replaces the job's lights by those named in the question.
func withLights(q match.Request, names []string) (match.Request, error) {
	if len(names) == 0 {
		return q, nil
	}
	q.Lights = nil
	for _, n := range names {
		l, err := colour.LightNamed(n)
		if err != nil {
			return q, err
		}
		q.Lights = append(q.Lights, match.Light{Name: n, Light: l})
	}
	return q, nil
}

// kindsOf leaves mixtures and stacks out unless they were asked for.
func kindsOf(req MatchRequest) []match.Kind {
	if len(req.Kinds) == 0 {
		kinds := []match.Kind{match.Item}
		if req.Parts > 0 {
			kinds = append(kinds, match.Mixture)
		}
		if req.Layers {
			kinds = append(kinds, match.Layers)
		}
		return kinds
	}
	var kinds []match.Kind
	for _, k := range req.Kinds {
		kinds = append(kinds, match.Kind(k))
	}
	return kinds
}

func matchAnswer(q match.Request, req MatchRequest, r match.Result, stock inventory.Stock) MatchAnswer {
	target := garment.Target{Colour: q.Target.Colour, Fluorescent: q.Target.Fluorescent}
	a := MatchAnswer{
		Target: MatchTarget{Area: req.Area, Swatch: swatch(r.Target), Words: targetWords(target), Fluorescent: q.Target.Fluorescent, Tolerance: q.Tolerance},
		Ground: q.Ground.Code, Seen: r.Searched, Matches: []MatchLine{}, Choices: []MatchChoice{},
	}
	for _, m := range r.Matches {
		a.Matches = append(a.Matches, matchLine(m, stock))
	}
	for _, c := range r.Choices {
		a.Choices = append(a.Choices, MatchChoice{Why: c.Why, Code: c.Match.Code})
	}
	return a
}

func matchLine(m match.Match, stock inventory.Stock) MatchLine {
	l := MatchLine{
		Kind: string(m.Kind), Code: m.Code, Predicted: predicted(m.Predicted), DifferenceRange: [2]float64{round(m.DifferenceRange[0], 2), round(m.DifferenceRange[1], 2)},
		Difference: stated(m.Difference, 2), HueDifference: stated(m.HueDifference, 1), ByLight: map[string]float64{},
		Words: m.Words, Basis: m.Basis, CoatsTotal: m.CoatsTotal, Hours: stated(m.Hours, 1), DryFilmUM: round(m.Stiffness, 0), Allowed: m.Allowed(),
		Parts: []PartAnswer{}, Coats: []CoatAnswer{}, Amounts: []AmountAnswer{}, Against: reasons(m.Against), Notes: reasons(m.Notes),
	}
	if art, ok := stock.Article(m.Code); ok {
		l.Name = art.Name
	}
	for _, p := range m.Parts {
		l.Parts = append(l.Parts, PartAnswer{Code: p.Code, Share: round(p.Share, 4)})
	}
	for _, c := range m.Coats {
		l.Coats = append(l.Coats, CoatAnswer{Code: c.Code, Coats: c.Coats})
	}
	for _, u := range m.Amount {
		l.Amounts = append(l.Amounts, AmountAnswer{Code: u.Code, ML: round(float64(u.Volume), 1)})
	}
	for _, d := range m.ByLight {
		l.ByLight[d.Light] = round(d.Difference, 2)
		if d.Text != "" {
			l.LightNotes = append(l.LightNotes, d.Light+": "+d.Text)
		}
	}
	if c, ok := m.Cost.Get(); ok {
		v := float64(c) / 100
		l.Cost = &v
	}
	return l
}

func predicted(p match.Prediction) PredictedAnswer {
	return PredictedAnswer{Lab: labOf(p.Lab), LabLow: labOf(p.Low), LabHigh: labOf(p.High), Hex: p.Hex, OutOfScreen: p.OutOfScreen}
}

func reasons(rs []match.Reason) []ReasonAnswer {
	out := []ReasonAnswer{}
	for _, r := range rs {
		out = append(out, ReasonAnswer{Rule: string(r.Rule), Text: r.Text})
	}
	return out
}

// stated rounds a stated number for JSON; a stated unknown is null.
func stated(v unit.Stated[float64], decimals int) *float64 {
	x, ok := v.Get()
	if !ok {
		return nil
	}
	x = round(x, decimals)
	return &x
}
