package plan

import (
	"slices"
	"strings"
	"time"

	"undercoat/inventory"
	"undercoat/inventory/unit"
)

// thinMargin is the share of a need below which what is left over is called
// thin: a spill of one coat in twenty. Common practice, no source.
const thinMargin = 0.05

// need collects who takes how much of each article.
type need struct {
	code string
	uses []PurchaseUse
}

// needs lists everything the plan still takes, by code. Volumes were rounded
// where they were computed; here they are only added.
func (d *draft) needs() []need {
	var all []need
	add := func(code, area, what string, amount float64) {
		if amount <= enough {
			return
		}
		i := slices.IndexFunc(all, func(n need) bool { return n.code == code })
		if i < 0 {
			i, all = len(all), append(all, need{code: code})
		}
		all[i].uses = append(all[i].uses, PurchaseUse{Area: area, What: what, Amount: amount})
	}
	for _, a := range d.areas {
		for _, l := range a.layers {
			switch {
			case l.coats():
				add(l.Code, a.Code, "coats", counted(l))
				add(l.Code, a.Code, "repair pot", float64(l.Repair))
			case l.Role == RoleInk:
				add(l.Code, a.Code, "ink", float64(l.Left))
			case l.Role == RoleTreatment && !d.isDone(treatID(a.Code, l.Code)):
				add(l.Code, a.Code, "bath", l.Quantity.Amount)
			case l.Role == RoleTrim && !d.verbDone(a.Code, VerbStud) && !a.inked():
				add(l.Code, a.Code, "trim", l.Quantity.Amount)
			}
		}
	}
	for _, f := range d.fixerNeeds() {
		add(f.code, f.area, "fixer", float64(f.volume))
	}
	for _, c := range d.cloth {
		if q, ok := c.Need.Get(); ok {
			add(c.Code, strings.Join(c.Areas, ";"), "pieces", q.Amount)
		}
	}
	slices.SortFunc(all, func(a, b need) int { return compareCodes(a.code, b.code) })
	return all
}

// counted returns what is left to lay in the unit the article is counted in:
// millilitres, or whole cans of an aerosol.
func counted(l layerWork) float64 {
	if l.paint.Unit == "can" {
		if l.Left <= 0 {
			return 0
		}
		return 1
	}
	return float64(l.Left)
}

// inked reports whether an area's fibre is inked already: it was taken from the
// shelf then.
func (a areaWork) inked() bool {
	return slices.ContainsFunc(a.layers, func(l layerWork) bool { return l.Role == RoleInk && l.done >= l.Coats })
}

// fixerNeed is the fixer of one area's paint, repair pots left out: they are
// kept without fixer.
type fixerNeed struct {
	code, area string
	volume     unit.Volume
}

func (d *draft) fixerNeeds() []fixerNeed {
	var all []fixerNeed
	for _, a := range d.areas {
		if a.setting.Way != SetByFixer {
			continue
		}
		all = append(all, fixerNeed{a.setting.Fixer, a.Code, RoundVolume(a.fixerVolume())})
	}
	return all
}

// fixerVolume is the unrounded fixer for what is still to be laid.
func (a areaWork) fixerVolume() unit.Volume {
	var v unit.Volume
	for _, l := range a.layers {
		if l.Fixer != "" {
			v += l.Left
		}
	}
	return v * unit.Volume(a.setting.Share)
}

// fixerLayer is an area's fixer as a line of its stack; ok is false where it
// takes none.
func (a areaWork) fixerLayer() (l Layer, ok bool) {
	if a.setting.Way != SetByFixer {
		return l, false
	}
	var all unit.Volume
	for _, p := range a.layers {
		if p.Fixer != "" {
			all += p.Volume
		}
	}
	return Layer{Code: a.setting.Fixer, Role: RoleFixer, Volume: RoundVolume(all * unit.Volume(a.setting.Share)), Left: RoundVolume(a.fixerVolume())}, true
}

// shop turns needs into a shopping list.
func (d *draft) shop() {
	d.buys = nil
	for _, n := range d.needs() {
		a, _ := d.stock.Article(n.code)
		d.buys = append(d.buys, d.purchase(a, n.uses))
	}
}

// purchase works out what must be bought of one article. Stock that expires
// before the plan ends is not counted on.
func (d *draft) purchase(a inventory.Article, uses []PurchaseUse) Purchase {
	p := Purchase{Code: a.Code, Name: a.Name, Unit: a.Unit, Uses: uses, Reserved: a.Reserved.Amount}
	for _, u := range uses {
		p.Need += u.Amount
	}
	if q, ok := a.OnHand.Get(); ok {
		p.OnHand, p.Counted = q.Amount, true
	}
	have := p.OnHand
	if d.expiresEarly(a) {
		p.Expired, have = a.Expires, 0
	}
	basket, priced := d.basket(a, p.Need-have)
	p.Packs, p.Buy, p.Bought = basket.Packs, basket.Count(), basket.Size
	if priced || p.Buy == 0 {
		p.Cost = unit.State(basket.Cost)
	}
	p.Margin = have + p.Bought - p.Need
	p.Thin = p.Margin < thinMargin*p.Need && a.Kind != inventory.KindTrim && a.Kind != inventory.KindTreatment
	return p
}

// expiresEarly reports whether an article's last day lies before the plan's
// date that does not move, or before now where none is stated.
func (d *draft) expiresEarly(a inventory.Article) bool {
	return a.Expired(d.job.HandsOff.Or(d.now).In(d.zone()))
}

func (d *draft) zone() *time.Location { return d.job.Zone }

// basket buys at least amount of an article from its own pack and the other
// sizes it is sold in. priced is false where no price is stated: the packs are
// then counted, not costed.
func (d *draft) basket(a inventory.Article, amount float64) (b Basket, priced bool) {
	var offers []Offer
	price, priced := a.Price.Get()
	if priced || a.Pack.Known() {
		offers = append(offers, Offer{Size: packSize(a), Price: price})
	}
	for _, o := range d.in.Offers {
		if o.Code == a.Code {
			if !priced {
				offers = nil // an unknown price must not look free
			}
			offers, priced = append(offers, o.Offer), true
		}
	}
	b, ok := Cheapest(amount, offers)
	if !ok {
		return Basket{Packs: []Packs{{Offer: Offer{Size: amount}, Count: 1}}, Size: amount}, false
	}
	return b, priced
}

// priceOf returns what amount of an article costs beyond what is on hand.
func (d *draft) priceOf(a inventory.Article, amount float64) (unit.Money, bool) {
	p := d.purchase(a, []PurchaseUse{{Amount: amount}})
	return p.Cost.Get()
}

// cost sums the shopping list.
func (d *draft) cost() Cost {
	c := Cost{Budget: d.job.Budget}
	for _, p := range d.buys {
		if m, ok := p.Cost.Get(); ok {
			c.Total += m
		} else {
			c.Unknown = append(c.Unknown, p.Code)
		}
	}
	if b, ok := c.Budget.Get(); ok {
		c.Over = max(0, c.Total-b)
	}
	return c
}

// mustBuy reports whether any of a product has to be bought: work with it then
// waits for the supplies, since all of a colour goes into one pot.
func (d *draft) mustBuy(code string) bool {
	return slices.ContainsFunc(d.buys, func(p Purchase) bool { return p.Code == code && p.Buy > 0 })
}

// clothNeeds works out every cloth the areas are cut from, by code.
func (d *draft) clothNeeds() {
	type cut struct {
		areas  []string
		pieces unit.Extent
	}
	cuts := map[string]*cut{}
	for _, a := range d.areas {
		c, ok := d.clothOf(a)
		if !ok || a.Cloth <= 0 || d.verbDone(a.Code, VerbCut) {
			continue
		}
		if cuts[c.Code] == nil {
			cuts[c.Code] = &cut{}
		}
		cuts[c.Code].areas = append(cuts[c.Code].areas, a.Code)
		cuts[c.Code].pieces += unit.Extent(float64(a.Cloth) * d.factor)
	}
	d.cloth = nil
	for _, c := range d.stock.Cloths() {
		if u := cuts[c.Code]; u != nil {
			d.cloth = append(d.cloth, clothNeed(c, u.areas, u.pieces))
		}
	}
	slices.SortFunc(d.cloth, func(a, b ClothNeed) int { return compareCodes(a.Code, b.Code) })
}

// clothOf returns the cloth an area is cut from: the one its layers name, else
// its ground.
func (d *draft) clothOf(a areaWork) (inventory.Cloth, bool) {
	for _, l := range a.layers {
		if l.Role == RoleCloth {
			return d.stock.Cloth(l.Code)
		}
	}
	return a.ground, a.onCloth
}

// isDone reports whether a step is on record as finished.
func (d *draft) isDone(step string) bool {
	_, ok := d.done[step]
	return ok
}

// verbDone reports whether an area has sewing steps of a verb and all of them
// are finished.
func (d *draft) verbDone(area string, v Verb) bool {
	any := false
	for _, s := range d.job.Sewing {
		if s.Area == area && Verb(s.Verb) == v {
			any = true
			if !d.isDone(s.Code) {
				return false
			}
		}
	}
	return any
}

func (d *draft) nameOf(code string) string {
	a, _ := d.stock.Article(code)
	return a.Name
}

// compareCodes orders codes as people count them: C9 before C10.
func compareCodes(a, b string) int {
	pa, na := splitCode(a)
	pb, nb := splitCode(b)
	if c := strings.Compare(pa, pb); c != 0 {
		return c
	}
	if na != nb {
		return na - nb
	}
	return strings.Compare(a, b)
}

// splitCode cuts the digits off the end of a code.
func splitCode(code string) (prefix string, number int) {
	i := len(code)
	for i > 0 && code[i-1] >= '0' && code[i-1] <= '9' && len(code)-i < 9 {
		i--
	}
	for _, r := range code[i:] {
		number = number*10 + int(r-'0')
	}
	return code[:i], number
}
