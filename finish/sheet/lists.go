package sheet

import (
	"fmt"
	"slices"
	"strings"

	"undercoat/finish/plan"
	"undercoat/finish/rub"
)

// purchase is one thing to buy, or one that will only just do.
type purchase struct {
	Code, Name, Need, OnHand, Buy, Cost string
	Cautions                            []remark
}

func purchases(d Data, r *remarks) []purchase {
	var out []purchase
	for _, s := range d.Plan.Shopping {
		if s.Buy == 0 && !s.Thin {
			continue
		}
		p := purchase{Code: s.Code, Name: s.Name, Need: amount(s.Need, s.Unit), OnHand: amount(s.OnHand, s.Unit), Buy: packs(s), Cautions: r.stock("margin", s.Code)}
		if c, ok := s.Cost.Get(); ok && s.Buy > 0 {
			p.Cost = c.String()
		} else if s.Buy > 0 {
			p.Cost = "price not known"
		}
		out = append(out, p)
	}
	return out
}

// amount writes an amount without digits nobody can measure.
func amount(v float64, unit string) string {
	if v == float64(int64(v)) {
		return fmt.Sprintf("%.0f %s", v, unit)
	}
	return strings.TrimRight(strings.TrimRight(fmt.Sprintf("%.2f", v), "0"), ".") + " " + unit
}

func packs(s plan.Purchase) string {
	var parts []string
	for _, k := range s.Packs {
		if k.Size == 1 {
			parts = append(parts, fmt.Sprintf("%d %s", k.Count, s.Unit))
		} else {
			parts = append(parts, fmt.Sprintf("%d × %g %s", k.Count, k.Size, s.Unit))
		}
	}
	return strings.Join(parts, " + ")
}

func moneyText(p plan.Plan) string {
	s := fmt.Sprintf("To buy: %s %s", p.Cost.Total, p.Currency)
	if b, ok := p.Cost.Budget.Get(); ok {
		s += fmt.Sprintf(" of a budget of %s", b)
		if p.Cost.Over > 0 {
			s += fmt.Sprintf(", %s over", p.Cost.Over)
		}
	}
	if len(p.Cost.Unknown) > 0 {
		s += "; price not known: " + strings.Join(p.Cost.Unknown, ", ")
	}
	return s
}

// clothLine is one length of cloth.
type clothLine struct {
	Code, Name, Need, Reserve, OnHand, Note string
	Cautions                                []remark
}

// cloths lists what is cut, lengths of nothing left out.
func cloths(d Data, r *remarks) []clothLine {
	var out []clothLine
	for _, c := range d.Plan.Cloth {
		need, ok := c.Need.Get()
		if ok && need.Amount == 0 {
			continue
		}
		l := clothLine{Code: c.Code, Name: d.name(c.Code)}
		if ok {
			l.Need = amount(need.Amount, need.Unit)
		}
		if q, ok := c.WithReserve.Get(); ok {
			l.Reserve = amount(q.Amount, q.Unit)
		}
		if q, ok := c.OnHand.Get(); ok {
			l.OnHand = amount(q.Amount, q.Unit)
		}
		l.Note, l.Cautions = clothNote(c), r.stock("cloth", c.Code)
		out = append(out, l)
	}
	return out
}

// clothNote says in a word whether a length will do.
func clothNote(c plan.ClothNeed) string {
	switch {
	case c.Short.Amount > 0 && c.Reserve < 0:
		return "NOT ENOUGH"
	case c.Short.Amount > 0:
		return "reserve too small"
	}
	return ""
}

// contact is one verdict with the pairs of surfaces it is about: pairs with
// the same verdict for the same reason stand together.
type contact struct {
	Pairs                []pair
	Verdict, Because, To string
	Weight               string // of the caution about it; "" none
	codes                []string
}

// pair is two surfaces that touch.
type pair struct{ Code, What string }

func contacts(d Data, r *remarks) []contact {
	var out []contact
	for _, v := range d.Verdicts {
		p := pair{Code: v.Contact.Code, What: d.surface(v.Contact.From) + " on " + d.surface(v.Contact.To)}
		c := contact{Verdict: strings.ToUpper(string(v.Word)), Because: v.Because, To: toDo(v)}
		if rs := r.contact(v.Contact.Code); len(rs) > 0 {
			c.Weight = rs[0].Weight
		}
		i := slices.IndexFunc(out, func(o contact) bool {
			return o.Verdict == c.Verdict && o.Because == c.Because && o.To == c.To && o.Weight == c.Weight
		})
		if i < 0 {
			i = len(out)
			out = append(out, c)
		}
		out[i].Pairs, out[i].codes = append(out[i].Pairs, p), append(out[i].codes, p.Code)
	}
	return out
}

// toDo is the test a verdict still wants.
func toDo(v rub.Verdict) string {
	if v.Wanted.How == "" {
		return ""
	}
	return v.Wanted.How + " of " + v.Wanted.Subject + " on " + v.Wanted.Against
}

// because is a verdict's reason with the test it still wants.
func because(v rub.Verdict) string {
	if t := toDo(v); t != "" {
		return v.Because + " (to do: " + t + ")"
	}
	return v.Because
}
