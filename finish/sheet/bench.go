package sheet

import (
	"bytes"
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"slices"
	"strings"
	"sync"

	"undercoat/finish/caution"
	"undercoat/finish/plan"
	"undercoat/finish/rub"
)

//go:embed bench.html
var benchSource string

var benchTemplate = sync.OnceValue(func() *template.Template {
	return template.Must(template.New("bench").Parse(benchSource))
})

// HTML writes the bench sheet: what decides, the days with their steps, one
// block for each area, what to buy, what may touch, what must be minded.
func HTML(w io.Writer, d Data) error {
	var b bytes.Buffer
	if err := benchTemplate().Execute(&b, benchPage(d)); err != nil {
		return fmt.Errorf("print bench sheet: %w", err)
	}
	_, err := w.Write(b.Bytes())
	return err
}

type page struct {
	Title, AsOf, HandsOff, Decides, Proof, Drying string
	Missed                                        bool
	Days                                          []day
	Areas                                         []block
	Shopping                                      []purchase
	Money                                         string
	Trades                                        []string
	Cloth                                         []clothLine
	Contacts                                      []contact
	Cautions                                      []remark
	Refusals                                      []refusal
	Pots                                          []string
	Otherwise                                     []string
}

type day struct {
	Name  string
	Steps []stepLine
}

type stepLine struct {
	ID, From, To, Text, Who, Amount, Next, Last, Spare string
	Done, Critical                                     bool
}

type block struct {
	Code, Piece, Basis, Setting, Ready, Last, Spare, Difference string
	Swatches                                                    []swatch
	Layers                                                      []layerLine
	Steps                                                       []stepLine
	Cautions                                                    []remark
	Note                                                        string
}

type layerLine struct {
	Number                              int
	Name, Role, Coats, Each, Total, Fix string
}

type purchase struct{ Name, Need, OnHand, Buy, Cost, Note string }

type clothLine struct{ Name, Need, Reserve, OnHand, Note string }

type contact struct{ Code, What, Verdict, Because string }

type remark struct{ Weight, Subject, Text, Source string }

type refusal struct{ What, Why, Instead string }

func benchPage(d Data) page {
	p := page{
		Title: d.Job.Name, AsOf: d.at(d.Plan.Now), Drying: d.Plan.Drying.Text, Proof: proof(d.Plan.Solver),
		Days: days(d), Shopping: purchases(d), Money: moneyText(d.Plan), Cloth: cloths(d), Contacts: contacts(d), Refusals: refusals(d.Plan),
	}
	h := d.Plan.HandsOff
	switch {
	case !h.Known:
		p.HandsOff = "all done and cured " + d.at(h.Ends) + "; no hands-off date is stated"
	case h.Met:
		p.HandsOff = fmt.Sprintf("hands off %s: met, %s to spare", d.at(h.At), span(h.Spare))
	default:
		p.HandsOff, p.Missed = fmt.Sprintf("hands off %s: MISSED by %s", d.at(h.At), span(-h.Spare)), true
	}
	if s, ok := d.Plan.Decides.Get(); ok {
		p.Decides = s.Text
	}
	for _, a := range d.Plan.Areas {
		p.Areas = append(p.Areas, areaBlock(d, a))
	}
	for _, c := range d.Cautions {
		if !aboutArea(d, c) {
			p.Cautions = append(p.Cautions, newRemark(c))
		}
	}
	for _, t := range d.Plan.Trades {
		p.Trades = append(p.Trades, t.Text)
	}
	for _, o := range d.Plan.Otherwise {
		p.Otherwise = append(p.Otherwise, o.Text)
	}
	for _, pot := range d.Plan.Pots {
		p.Pots = append(p.Pots, fmt.Sprintf("%s: stir %.0f ml of %s with %.1f ml of %s; use by %s (%s)",
			d.at(pot.Mixed), float64(pot.Paint), d.name(pot.Code), float64(pot.FixerVolume), d.name(pot.Fixer), d.at(pot.UseBy), strings.Join(pot.Steps, ", ")))
	}
	return p
}

func proof(s plan.Solver) string {
	if s.Gap > 0 {
		return fmt.Sprintf("the end is at most %s later than the best order of work", span(s.Gap))
	}
	return "no order of work ends earlier"
}

func days(d Data) []day {
	var out []day
	for _, s := range d.Plan.Steps {
		name := s.Start.In(d.Plan.Zone).Format("Monday 2 January")
		if len(out) == 0 || out[len(out)-1].Name != name {
			out = append(out, day{Name: name})
		}
		last := &out[len(out)-1]
		last.Steps = append(last.Steps, newStep(d, s))
	}
	return out
}

func newStep(d Data, s plan.Step) stepLine {
	l := stepLine{
		ID: s.ID, From: d.clock(s.Start), To: d.clock(s.End), Text: s.Text, Who: s.Who, Next: d.at(s.Ready), Last: d.at(s.LatestStart),
		Spare: span(s.Spare), Done: s.Done, Critical: s.Critical,
	}
	if s.Volume > 0 {
		l.Amount = fmt.Sprintf("%.0f ml", float64(s.Volume))
	}
	return l
}

func areaBlock(d Data, a plan.Area) block {
	b := block{Code: a.Code, Piece: a.Piece, Basis: a.Basis, Setting: a.Setting.Because, Spare: span(a.Spare)}
	if area, ok := d.Job.Area(a.Code); ok {
		b.Note = area.Note
	}
	if a.Target.Known() {
		s := newSwatch("target", a.Target.Colour.Lab())
		if a.Target.Fluorescent {
			s.Label, s.Words = "target (stand-in for a glow)", "fluorescent, hue near "+s.Words
		}
		b.Swatches = append(b.Swatches, s)
	}
	if g, ok := d.Stock.Article(a.Ground); ok {
		if c, ok := g.Colour.Get(); ok {
			b.Swatches = append(b.Swatches, newSwatch("ground "+a.Ground, c.Lab()))
		}
	}
	if p, ok := a.Predicted.Get(); ok {
		s := newSwatch("predicted", p.Lab)
		if p.OutOfScreen {
			s.Label = "predicted (beyond ink and screen)"
		}
		b.Swatches = append(b.Swatches, s)
	}
	if v, ok := a.Difference.Get(); ok {
		b.Difference = fmt.Sprintf("ΔE00 %.1f to the target (%.1f to %.1f)", v, a.DifferenceRange[0], a.DifferenceRange[1])
	}
	if t, ok := a.LatestStart.Get(); ok {
		b.Last = d.at(t)
	}
	if t, ok := a.Ready.Get(); ok {
		b.Ready = d.at(t)
	}
	for i, y := range a.Layers {
		b.Layers = append(b.Layers, newLayer(d, i+1, y))
	}
	for _, s := range d.Plan.Steps {
		if s.Area == a.Code {
			b.Steps = append(b.Steps, newStep(d, s))
		}
	}
	for _, c := range d.Cautions {
		if c.Subject == a.Code {
			b.Cautions = append(b.Cautions, newRemark(c))
		}
	}
	return b
}

func newLayer(d Data, n int, y plan.Layer) layerLine {
	l := layerLine{Number: n, Name: d.name(y.Code), Role: string(y.Role)}
	if y.Volume > 0 {
		l.Coats, l.Total = fmt.Sprint(y.Coats), fmt.Sprintf("%.0f ml", float64(y.Volume))
		if y.CoatsRange[0] < y.CoatsRange[1] {
			l.Coats += fmt.Sprintf(" (%d–%d)", y.CoatsRange[0], y.CoatsRange[1])
		}
		if y.Repair > 0 {
			l.Total += fmt.Sprintf(" + %.0f ml repair pot", float64(y.Repair))
		}
	} else if y.Count > 0 {
		l.Total = fmt.Sprintf("%d pc", y.Count)
	} else if y.Quantity.Unit != "" {
		l.Total = y.Quantity.String()
	}
	var each []string
	for _, v := range y.Each {
		each = append(each, fmt.Sprintf("%.0f", float64(v)))
	}
	if len(each) > 1 {
		l.Each = strings.Join(each, " + ") + " ml"
	}
	if y.Fixer != "" {
		l.Fix = "with " + d.name(y.Fixer)
	}
	return l
}

func purchases(d Data) []purchase {
	var out []purchase
	for _, s := range d.Plan.Shopping {
		if s.Buy == 0 && !s.Thin {
			continue
		}
		p := purchase{Name: s.Code + " " + s.Name, Need: fmt.Sprintf("%g %s", s.Need, s.Unit), OnHand: fmt.Sprintf("%g %s", s.OnHand, s.Unit)}
		var packs []string
		for _, k := range s.Packs {
			packs = append(packs, fmt.Sprintf("%d × %g %s", k.Count, k.Size, s.Unit))
		}
		p.Buy = strings.Join(packs, " + ")
		if c, ok := s.Cost.Get(); ok && s.Buy > 0 {
			p.Cost = c.String()
		} else if s.Buy > 0 {
			p.Cost = "price not known"
		}
		if s.Thin {
			p.Note = "thin margin: enough only if nothing is spilt"
		}
		out = append(out, p)
	}
	return out
}

func moneyText(p plan.Plan) string {
	s := fmt.Sprintf("To buy: %s %s", p.Cost.Total, p.Currency)
	if b, ok := p.Cost.Budget.Get(); ok {
		s += fmt.Sprintf(" of a budget of %s", b)
		if p.Cost.Over > 0 {
			s += fmt.Sprintf(", %s over", p.Cost.Over)
		}
	}
	return s
}

func cloths(d Data) []clothLine {
	var out []clothLine
	for _, c := range d.Plan.Cloth {
		l := clothLine{Name: d.name(c.Code)}
		if q, ok := c.Need.Get(); ok {
			l.Need = fmt.Sprintf("%.2f %s", q.Amount, q.Unit)
		}
		if q, ok := c.WithReserve.Get(); ok {
			l.Reserve = fmt.Sprintf("%.2f %s", q.Amount, q.Unit)
		}
		if q, ok := c.OnHand.Get(); ok {
			l.OnHand = fmt.Sprintf("%.2f %s", q.Amount, q.Unit)
		}
		var notes []string
		if c.Prewash {
			notes = append(notes, "wash before cutting")
		}
		switch {
		case c.Short.Amount > 0 && c.Reserve < 0:
			notes = append(notes, "NOT ENOUGH")
		case c.Short.Amount > 0:
			notes = append(notes, fmt.Sprintf("reserve is only %.0f %% of the %.0f %% wanted", 100*c.Reserve, 100*c.Wanted))
		}
		l.Note = strings.Join(notes, "; ")
		out = append(out, l)
	}
	return out
}

func contacts(d Data) []contact {
	var out []contact
	for _, v := range d.Verdicts {
		out = append(out, contact{Code: v.Contact.Code, What: v.Contact.From + " on " + v.Contact.To, Verdict: strings.ToUpper(string(v.Word)), Because: because(v)})
	}
	return out
}

func because(v rub.Verdict) string {
	if v.Wanted.How == "" {
		return v.Because
	}
	return v.Because + " (to do: " + v.Wanted.How + " of " + v.Wanted.Subject + " on " + v.Wanted.Against + ")"
}

func newRemark(c caution.Caution) remark {
	return remark{Weight: strings.ToUpper(c.Weight.String()), Subject: c.Subject, Text: c.Text, Source: c.Source}
}

func aboutArea(d Data, c caution.Caution) bool {
	return slices.ContainsFunc(d.Plan.Areas, func(a plan.Area) bool { return a.Code == c.Subject })
}

func refusals(p plan.Plan) []refusal {
	var out []refusal
	for _, r := range p.Refusals {
		what := r.Area + ": " + r.What
		if r.Wearer != "" {
			what += " (for " + r.Wearer + ")"
		}
		out = append(out, refusal{What: what, Why: r.Why, Instead: r.Instead})
	}
	return out
}
