package sheet

import (
	"slices"
	"strings"

	"undercoat/finish/caution"
	"undercoat/finish/plan"
)

// remark is a caution in print. Source is the number of its source in the
// sheet's list, from 1.
type remark struct {
	Weight, Subject, Text string
	Source                int
}

// remarks puts every caution where it applies: at its area, at its contact, at
// the line to buy, at the areas that use its product; what is about none of
// these stands at the end.
type remarks struct {
	d       Data
	sources []string
}

func (r *remarks) remark(c caution.Caution) remark {
	i := slices.Index(r.sources, c.Source)
	if i < 0 {
		i = len(r.sources)
		r.sources = append(r.sources, c.Source)
	}
	return remark{Weight: strings.ToUpper(c.Weight.String()), Subject: c.Subject, Text: c.Text, Source: i + 1}
}

// of prints the cautions that the test admits.
func (r *remarks) of(admits func(caution.Caution) bool) []remark {
	var out []remark
	for _, c := range r.d.Cautions {
		if admits(c) {
			out = append(out, r.remark(c))
		}
	}
	return out
}

// shortage reports whether a caution is about how far a line of stock goes.
func shortage(c caution.Caution) bool { return c.Rule == "margin" || c.Rule == "cloth" }

func (r *remarks) area(a plan.Area) []remark {
	return r.of(func(c caution.Caution) bool {
		return c.Subject == a.Code || !shortage(c) && uses(a, c.Subject)
	})
}

func (r *remarks) contact(code string) []remark {
	return r.of(func(c caution.Caution) bool { return c.Subject == code })
}

func (r *remarks) stock(rule, code string) []remark {
	return r.of(func(c caution.Caution) bool { return c.Rule == rule && c.Subject == code })
}

// rest are the cautions that stand at no area, contact or line of stock.
func (r *remarks) rest(p page) []remark {
	return r.of(func(c caution.Caution) bool {
		switch {
		case slices.ContainsFunc(r.d.Plan.Areas, func(a plan.Area) bool { return a.Code == c.Subject || !shortage(c) && uses(a, c.Subject) }):
			return false
		case slices.ContainsFunc(p.Contacts, func(o contact) bool { return slices.Contains(o.codes, c.Subject) }):
			return false
		case !shortage(c):
			return true
		}
		if c.Rule == "margin" {
			return !slices.ContainsFunc(p.Shopping, func(o purchase) bool { return o.Code == c.Subject })
		}
		return !slices.ContainsFunc(p.Cloth, func(o clothLine) bool { return o.Code == c.Subject })
	})
}

// uses reports whether an area is made with a product.
func uses(a plan.Area, code string) bool {
	return a.Ground == code || slices.ContainsFunc(a.Layers, func(y plan.Layer) bool { return y.Code == code || y.Fixer == code })
}
