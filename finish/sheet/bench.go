package sheet

import (
	"bytes"
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"strings"
	"sync"

	"undercoat/finish/plan"
)

//go:embed bench.html
var benchSource string

var benchTemplate = sync.OnceValue(func() *template.Template {
	return template.Must(template.New("bench").Funcs(template.FuncMap{"inc": func(i int) int { return i + 1 }}).Parse(benchSource))
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

// page is the bench sheet in words: what HTML and PDF both print.
type page struct {
	Title, AsOf, HandsOff, Decides, Proof, Drying string
	Missed                                        bool
	Days                                          []dayList
	Areas                                         []block
	Shopping                                      []purchase
	Money                                         string
	Trades                                        []string
	Cloth                                         []clothLine
	Contacts                                      []contact
	Cautions                                      []remark
	Refusals                                      []refusal
	Pots                                          []pot
	Otherwise                                     []string
	Sources                                       []string
}

func benchPage(d Data) page {
	r := &remarks{d: d}
	p := page{
		Title: d.Job.Name, AsOf: d.at(d.Plan.Now), Drying: d.Plan.Drying.Text, Proof: proof(d.Plan.Solver),
		Days: days(d), Money: moneyText(d.Plan), Refusals: refusals(d), Pots: pots(d),
	}
	p.HandsOff, p.Missed = handsOff(d)
	if s, ok := d.Plan.Decides.Get(); ok {
		p.Decides = s.Text
	}
	for _, a := range d.Plan.Areas {
		b := areaBlock(d, a)
		b.Cautions = r.area(a)
		p.Areas = append(p.Areas, b)
	}
	p.Shopping, p.Cloth, p.Contacts = purchases(d, r), cloths(d, r), contacts(d, r)
	p.Cautions = r.rest(p)
	for _, t := range d.Plan.Trades {
		p.Trades = append(p.Trades, fmt.Sprintf("%s: saves %s; gives up: %s", t.Text, t.Saves, t.Gives))
	}
	for _, o := range d.Plan.Otherwise {
		p.Otherwise = append(p.Otherwise, o.Text)
	}
	p.Sources = r.sources
	return p
}

// handsOff says how the plan meets the date that does not move.
func handsOff(d Data) (text string, missed bool) {
	h := d.Plan.HandsOff
	switch {
	case !h.Known:
		return "all done and cured " + d.at(h.Ends) + "; no hands-off date is stated", false
	case h.Met:
		return fmt.Sprintf("hands off %s: met, %s to spare", d.at(h.At), span(h.Spare)), false
	}
	return fmt.Sprintf("hands off %s: MISSED by %s", d.at(h.At), span(-h.Spare)), true
}

func proof(s plan.Solver) string {
	if s.Gap > 0 {
		return fmt.Sprintf("the end is at most %s later than the best order of work", span(s.Gap))
	}
	return "no order of work ends earlier"
}

// pot is one mixing of a paint with its fixer.
type pot struct{ When, Paint, Fixer, UseBy, For string }

func pots(d Data) []pot {
	var out []pot
	for _, m := range d.Plan.Pots {
		out = append(out, pot{
			When: d.at(m.Mixed), Paint: fmt.Sprintf("%.0f ml %s", float64(m.Paint), m.Code),
			Fixer: fmt.Sprintf("%.1f ml %s", float64(m.FixerVolume), m.Fixer), UseBy: d.moment(m.UseBy, m.Mixed), For: strings.Join(m.Steps, ", "),
		})
	}
	return out
}

// refusal is a way that is not allowed, and the nearest that is.
type refusal struct{ What, Why, Instead string }

func refusals(d Data) []refusal {
	var out []refusal
	for _, r := range d.Plan.Refusals {
		what := r.What
		if !strings.Contains(what, r.Area) {
			what = r.Area + ": " + what
		}
		if r.Wearer != "" && !strings.Contains(what, r.Wearer) {
			what += " (for " + r.Wearer + ")"
		}
		out = append(out, refusal{What: what, Why: r.Why, Instead: r.Instead})
	}
	return out
}
