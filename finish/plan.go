package finish

import (
	"context"
	"fmt"
	"strings"
	"time"

	"undercoat/finish/plan"
	"undercoat/inventory/unit"
)

// PlanAnswer is the whole plan. Its JSON is the `plan` contract: times are
// local with their zone, RFC 3339; money is in the job's currency.
type PlanAnswer struct {
	Job   string     `json:"job"`
	Now   string     `json:"now"`
	Areas []PlanArea `json:"areas"`
	Steps []PlanStep `json:"steps"`
	Pots  []PlanPot  `json:"pots"`
	// HoursAssumed says that the job states no working hours and is planned
	// by usual ones (plan.UsualHours).
	HoursAssumed bool            `json:"hours_assumed,omitempty"`
	HandsOff     PlanHandsOff    `json:"hands_off"`
	Shopping     []PlanPurchase  `json:"shopping"`
	Cost         float64         `json:"cost"`
	Budget       *float64        `json:"budget"`
	Currency     string          `json:"currency"`
	Unpriced     []string        `json:"unpriced"`
	Trades       []PlanTrade     `json:"trades"`
	Cloth        []PlanCloth     `json:"cloth"`
	Refusals     []PlanRefusal   `json:"refusals"`
	Cautions     []CautionAnswer `json:"cautions"`
	Room         PlanRoom        `json:"room"`
	Decides      *PlanSession    `json:"decides"`
	Chain        []PlanLink      `json:"chain"`
	Late         []string        `json:"late"`
	Else         []PlanElse      `json:"alternatives"`
	Solver       PlanSolver      `json:"solver"`
}

// PlanArea is one area's way to its colour.
type PlanArea struct {
	Code            string           `json:"code"`
	Piece           string           `json:"piece"`
	Method          string           `json:"method"`
	Target          *MatchTarget     `json:"target"`
	Ground          string           `json:"ground"`
	Layers          []PlanLayer      `json:"layers"`
	Chosen          bool             `json:"chosen"`
	Basis           string           `json:"basis"`
	Predicted       *PredictedAnswer `json:"predicted"`
	Difference      *float64         `json:"difference"`
	DifferenceRange [2]float64       `json:"difference_range"`
	Setting         string           `json:"setting"`
	LatestStart     *string          `json:"latest_start"`
	Ready           *string          `json:"ready"`
	Cured           *string          `json:"cured"`
	SpareMin        int              `json:"spare_min"`
}

// PlanLayer is one product of a stack.
type PlanLayer struct {
	Code       string  `json:"code"`
	Name       string  `json:"name"`
	Role       string  `json:"role"`
	Coats      int     `json:"coats"`
	CoatsRange [2]int  `json:"coats_range"`
	VolumeML   float64 `json:"volume_ml"`
	RepairML   float64 `json:"repair_ml"`
	LeftML     float64 `json:"left_ml"`
	SpreadML   float64 `json:"spread_ml_m2,omitempty"` // a later coat
	FirstML    float64 `json:"first_ml_m2,omitempty"`  // the coat on the ground
	SpreadFrom string  `json:"spread_basis,omitempty"` // common practice, wet film, stated, weighed
	Count      int     `json:"count,omitempty"`
	Quantity   string  `json:"quantity,omitempty"`
	Fixer      string  `json:"fixer,omitempty"`
	Packs      int     `json:"packs"`
}

// PlanStep is one piece of work with its dates.
type PlanStep struct {
	ID          string   `json:"id"`
	Area        string   `json:"area"`
	Piece       string   `json:"piece"`
	Verb        string   `json:"verb"`
	Code        string   `json:"code"`
	Coat        int      `json:"coat"`
	Coats       int      `json:"coats"`
	Side        string   `json:"side,omitempty"`
	Text        string   `json:"text"`
	VolumeML    float64  `json:"volume_ml"`
	FixerML     float64  `json:"fixer_ml,omitempty"`
	HandsMin    int      `json:"hands_min"`
	Who         string   `json:"who"`
	Start       string   `json:"start"`
	End         string   `json:"end"`
	Ready       string   `json:"ready"`
	LatestStart string   `json:"latest_start"`
	SpareMin    int      `json:"spare_min"`
	Critical    bool     `json:"critical"`
	Done        bool     `json:"done"`
	After       []string `json:"after"`
	Dries       string   `json:"dries_on,omitempty"`
	RecoatUntil string   `json:"recoat_until,omitempty"`
	Needs       string   `json:"needs,omitempty"`
}

// PlanPot is one mixing of a paint with its fixer.
type PlanPot struct {
	Code    string   `json:"code"`
	Fixer   string   `json:"fixer"`
	PaintML float64  `json:"paint_ml"`
	FixerML float64  `json:"fixer_ml"`
	Mixed   string   `json:"mixed"`
	UseBy   string   `json:"use_by"`
	Steps   []string `json:"steps"`
}

// PlanHandsOff is the date that does not move and how the plan meets it.
type PlanHandsOff struct {
	At       *string `json:"at"`
	Met      bool    `json:"met"`
	Ends     string  `json:"ends"`
	Cured    string  `json:"cured"`
	SpareMin int     `json:"spare_min"`
	OrderBy  *string `json:"order_by"`
}

// PlanPurchase is one line of the shopping list.
type PlanPurchase struct {
	Code     string   `json:"code"`
	Name     string   `json:"name"`
	Unit     string   `json:"unit"`
	Need     float64  `json:"need"`
	OnHand   float64  `json:"on_hand"`
	Reserved float64  `json:"reserved"`
	Expired  bool     `json:"expired"`
	BuyPacks int      `json:"buy_packs"`
	Pack     string   `json:"pack"`
	Cost     *float64 `json:"cost"`
	Margin   float64  `json:"margin"`
	Thin     bool     `json:"thin_margin"`
}

// PlanTrade is an honest way to spend less.
type PlanTrade struct {
	Kind  string  `json:"kind"`
	Code  string  `json:"code"`
	Saves float64 `json:"saves"`
	Total float64 `json:"total"`
	Fits  bool    `json:"fits_budget"`
	Text  string  `json:"text"`
	Gives string  `json:"gives_up"`
}

// PlanCloth is one length of cloth.
type PlanCloth struct {
	Code         string  `json:"code"`
	Name         string  `json:"name"`
	NeedM        float64 `json:"need_m"`
	WithReserveM float64 `json:"with_reserve_m"`
	OnHandM      float64 `json:"on_hand_m"`
	ShortM       float64 `json:"short_m"`
	Text         string  `json:"text"`
}

// PlanRefusal is a way that is not allowed, and the nearest that is.
type PlanRefusal struct {
	Area    string `json:"area"`
	What    string `json:"what"`
	Code    string `json:"code"`
	Rule    string `json:"rule"`
	Why     string `json:"why"`
	Instead string `json:"instead"`
	Wearer  string `json:"wearer,omitempty"`
	Chosen  bool   `json:"chosen"`
}

// PlanRoom is how this room dries.
type PlanRoom struct {
	Fan    bool     `json:"fan"`
	Factor *float64 `json:"drying_factor"`
	Text   string   `json:"text"`
	Unfit  []string `json:"unfit"`
	Places []string `json:"places"`
}

// PlanSession is the session that decides the date.
type PlanSession struct {
	Step  string `json:"step"`
	From  string `json:"from"` // the session
	To    string `json:"to"`
	Start string `json:"start"` // of the step in it
	Text  string `json:"text"`
}

// PlanLink is one fact of the chain that sets the end.
type PlanLink struct {
	Step string `json:"step"`
	At   string `json:"at"`
	Text string `json:"text"`
}

// PlanElse is something that could be changed, computed.
type PlanElse struct {
	Kind       string   `json:"kind"`
	Area       string   `json:"area"`
	Code       string   `json:"code"`
	Met        bool     `json:"met"`
	Ends       string   `json:"ends"`
	MovesMin   int      `json:"moves_min"`
	Cost       float64  `json:"cost_change"`
	Difference *float64 `json:"difference"`
	Text       string   `json:"text"`
}

// PlanSolver is how far the dates are proven.
type PlanSolver struct {
	Status   string `json:"status"`
	BoundMin int    `json:"bound_min"` // from now to the earliest possible end
	GapMin   int    `json:"gap_min"`
}

// planAnswer writes a plan with its units in the keys.
func planAnswer(s scene, p plan.Plan) PlanAnswer {
	at := func(t time.Time) string { return t.In(p.Zone).Format(time.RFC3339) }
	a := PlanAnswer{
		Job: p.Job, Now: at(p.Now), HoursAssumed: len(s.job.Hours) == 0 && len(p.Steps) > 0, Currency: p.Currency, Cost: money(p.Cost.Total), Unpriced: list(p.Cost.Unknown),
		Areas: []PlanArea{}, Steps: []PlanStep{}, Pots: []PlanPot{}, Shopping: []PlanPurchase{}, Trades: []PlanTrade{}, Cloth: []PlanCloth{},
		Refusals: []PlanRefusal{}, Cautions: []CautionAnswer{}, Chain: []PlanLink{}, Late: []string{}, Else: []PlanElse{},
		HandsOff: PlanHandsOff{Met: p.HandsOff.Met, Ends: at(p.HandsOff.Ends), Cured: at(p.HandsOff.Cured), SpareMin: minutes(p.HandsOff.Spare), OrderBy: whenStated(p.HandsOff.OrderBy, at)},
		Room:     PlanRoom{Fan: p.Drying.Fan, Factor: stated(p.Drying.Factor, 3), Text: p.Drying.Text, Unfit: list(p.Drying.Unfit), Places: placeTexts(p.Places)},
		Solver:   PlanSolver{Status: p.Solver.Status.String(), BoundMin: minutes(p.Solver.Bound.Sub(p.Now)), GapMin: minutes(p.Solver.Gap)},
	}
	if p.HandsOff.Known {
		t := at(p.HandsOff.At)
		a.HandsOff.At = &t
	}
	if b, ok := p.Cost.Budget.Get(); ok {
		v := money(b)
		a.Budget = &v
	}
	for _, area := range p.Areas {
		a.Areas = append(a.Areas, planArea(s, area, at))
	}
	for _, st := range p.Steps {
		a.Steps = append(a.Steps, planStep(st, at))
	}
	for _, pot := range p.Pots {
		a.Pots = append(a.Pots, PlanPot{Code: pot.Code, Fixer: pot.Fixer, PaintML: float64(pot.Paint), FixerML: round(float64(pot.FixerVolume), 1), Mixed: at(pot.Mixed), UseBy: at(pot.UseBy), Steps: list(pot.Steps)})
	}
	for _, u := range p.Shopping {
		a.Shopping = append(a.Shopping, planPurchase(u))
	}
	for _, t := range p.Trades {
		a.Trades = append(a.Trades, PlanTrade{Kind: t.Kind, Code: t.Code, Saves: money(t.Saves), Total: money(t.Total), Fits: t.Fits, Text: t.Text, Gives: t.Gives})
	}
	for _, c := range p.Cloth {
		a.Cloth = append(a.Cloth, planCloth(c))
	}
	for _, r := range p.Refusals {
		a.Refusals = append(a.Refusals, PlanRefusal{Area: r.Area, What: r.What, Code: r.Code, Rule: r.Rule, Why: r.Why, Instead: r.Instead, Wearer: r.Wearer, Chosen: r.Chosen})
	}
	if d, ok := p.Decides.Get(); ok {
		a.Decides = &PlanSession{Step: d.Step, From: at(d.From), To: at(d.To), Start: at(d.Start), Text: d.Text}
	}
	for _, l := range p.Chain {
		a.Chain = append(a.Chain, PlanLink{Step: l.Step, At: at(l.At), Text: l.Text})
	}
	for _, l := range p.Late {
		a.Late = append(a.Late, l.Text)
	}
	for _, e := range p.Otherwise {
		a.Else = append(a.Else, PlanElse{Kind: e.Kind, Area: e.Area, Code: e.Code, Met: e.Met, Ends: at(e.Ends), MovesMin: minutes(e.Moves), Cost: money(e.Cost), Difference: stated(e.Difference, 2), Text: e.Text})
	}
	return a
}

func planArea(s scene, area plan.Area, at func(time.Time) string) PlanArea {
	l := PlanArea{
		Code: area.Code, Piece: area.Piece, Method: string(area.Method), Ground: area.Ground, Chosen: area.Chosen, Basis: area.Basis,
		Difference: stated(area.Difference, 2), DifferenceRange: [2]float64{round(area.DifferenceRange[0], 2), round(area.DifferenceRange[1], 2)},
		Setting: area.Setting.Because, LatestStart: whenStated(area.LatestStart, at), Ready: whenStated(area.Ready, at), Cured: whenStated(area.Cured, at),
		SpareMin: minutes(area.Spare), Layers: []PlanLayer{},
	}
	if area.Target.Known() {
		l.Target = &MatchTarget{Area: area.Code, Swatch: swatch(area.Target.Colour.Lab()), Words: targetWords(area.Target), Fluorescent: area.Target.Fluorescent, Tolerance: area.Tolerance}
	}
	if p, ok := area.Predicted.Get(); ok {
		l.Predicted = &PredictedAnswer{Lab: labOf(p.Lab), LabLow: labOf(p.Low), LabHigh: labOf(p.High), Hex: p.Hex, OutOfScreen: p.OutOfScreen}
	}
	for _, y := range area.Layers {
		line := PlanLayer{
			Code: y.Code, Role: string(y.Role), Coats: y.Coats, CoatsRange: y.CoatsRange, VolumeML: float64(y.Volume), RepairML: float64(y.Repair),
			LeftML: float64(y.Left), Count: y.Count, Fixer: y.Fixer, Packs: y.Packs,
		}
		if y.Spreading.Later > 0 {
			line.SpreadML, line.FirstML, line.SpreadFrom = round(float64(y.Spreading.Later), 1), round(float64(y.Spreading.First), 1), y.Spreading.Basis.String()
		}
		if y.Quantity.Unit != "" {
			line.Quantity = y.Quantity.String()
		}
		if art, ok := s.stock.Article(y.Code); ok {
			line.Name = art.Name
		}
		l.Layers = append(l.Layers, line)
	}
	return l
}

func planStep(st plan.Step, at func(time.Time) string) PlanStep {
	l := PlanStep{
		ID: st.ID, Area: st.Area, Piece: st.Piece, Verb: string(st.Verb), Code: st.Code, Coat: st.Coat, Coats: st.Coats, Side: st.Side, Text: st.Text,
		VolumeML: float64(st.Volume), FixerML: round(float64(st.FixerVolume), 1), HandsMin: minutes(st.Hands), Who: st.Who,
		Start: at(st.Start), End: at(st.End), Ready: at(st.Ready), LatestStart: at(st.LatestStart), SpareMin: minutes(st.Spare),
		Critical: st.Critical, Done: st.Done, After: list(st.After), Dries: string(st.Place), Needs: st.Needs,
	}
	if d, ok := st.Dries.Get(); ok {
		if until, ok := d.RecoatUntil.Get(); ok {
			l.RecoatUntil = at(until)
		}
	}
	return l
}

func planPurchase(u plan.Purchase) PlanPurchase {
	l := PlanPurchase{
		Code: u.Code, Name: u.Name, Unit: u.Unit, Need: round(u.Need, 3), OnHand: round(u.OnHand, 3), Reserved: round(u.Reserved, 3), Expired: u.Expired.Known(),
		BuyPacks: u.Buy, Margin: round(u.Margin, 3), Thin: u.Thin, Pack: packsText(u),
	}
	if c, ok := u.Cost.Get(); ok {
		v := money(c)
		l.Cost = &v
	}
	return l
}

// money is an amount in the job's currency, for JSON and people.
func money(m unit.Money) float64 { return float64(m) / 100 }

func minutes(d time.Duration) int { return int(d.Round(time.Minute) / time.Minute) }

// list makes an empty list of none, so that JSON says [] and not null.
func list(s []string) []string {
	if s == nil {
		return []string{}
	}
	return s
}

func whenStated(t unit.Stated[time.Time], at func(time.Time) string) *string {
	v, ok := t.Get()
	if !ok {
		return nil
	}
	s := at(v)
	return &s
}

// PlanAt is the plan for an instant; the zero time is the present.
func (b *Bench) PlanAt(ctx context.Context, now time.Time, fan plan.Fan) (PlanAnswer, error) {
	w, err := b.work(ctx, now, fan)
	if err != nil {
		return PlanAnswer{}, err
	}
	return w.answer(), nil
}

// placeTexts say where a drying place is too short, and what to do.
func placeTexts(places []plan.PlaceDemand) []string {
	out := []string{}
	for _, p := range places {
		if p.Text != "" {
			out = append(out, p.Text)
		}
	}
	return out
}

// packsText writes what is bought, "2 × 150 ml".
func packsText(u plan.Purchase) string {
	var parts []string
	for _, p := range u.Packs {
		parts = append(parts, fmt.Sprintf("%d × %g %s", p.Count, p.Size, u.Unit))
	}
	return strings.Join(parts, " + ")
}

func planCloth(c plan.ClothNeed) PlanCloth {
	l := PlanCloth{Code: c.Code, NeedM: amountOf(c.Need), WithReserveM: amountOf(c.WithReserve), OnHandM: amountOf(c.OnHand), ShortM: round(c.Short.Amount, 2)}
	need, _ := c.Need.Get()
	if l.ShortM > 0 {
		l.Text = fmt.Sprintf("%s: %.2f %s needed, %.2f with %.0f %% reserve, %.2f on hand: the reserve is only %.0f %%", c.Code, l.NeedM, need.Unit, l.WithReserveM, 100*c.Wanted, l.OnHandM, 100*c.Reserve)
		if c.Reserve < 0 {
			l.Text = fmt.Sprintf("%s: %.2f %s needed, %.2f on hand: %.2f short", c.Code, l.NeedM, need.Unit, l.OnHandM, l.NeedM-l.OnHandM)
		}
	}
	return l
}

// amountOf is a stated amount for JSON; a stated unknown is 0.
func amountOf(q unit.Stated[unit.Quantity]) float64 {
	v, _ := q.Get()
	return round(v.Amount, 2)
}
