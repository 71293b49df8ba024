package inventory

import (
	"strings"

	"undercoat/inventory/unit"
)

// skin is the one end of a contact that is no area.
const skin = "skin"

// checkStockRow holds the cells of a stock line against each other and brings
// its amounts to the base unit.
func checkStockRow(r *StockFact, row int, c *complaints) {
	const file = "stock.csv"
	if r.Unit == "" && (r.OnHand.Known() || r.Pack.Known()) && !c.bad(file, row) {
		c.add(file, row, "unit", "", "a unit such as ml, g, m or pc, because on_hand or pack is given")
		return
	}
	baseUnits(r, row, c)
	if v, ok := r.Pack.Get(); ok && v == 0 {
		c.add(file, row, "pack", "0", "the size of a pack, more than 0")
	}
	from, ok1 := r.RecoatFrom.Get()
	until, ok2 := r.RecoatUntil.Get()
	if ok1 && ok2 && until < from {
		c.add(file, row, "recoat_until_h", unit.FormatSpan(until), "no less than recoat_from_h")
	}
}

// baseUnits turns litres into millilitres and so on.
func baseUnits(r *StockFact, row int, c *complaints) {
	if r.Unit == "" {
		return
	}
	base := r.Unit
	for _, p := range [...]struct {
		column string
		value  *unit.Stated[float64]
	}{{"on_hand", &r.OnHand}, {"pack", &r.Pack}} {
		v, ok := p.value.Get()
		q, err := unit.NewQuantity(v, r.Unit)
		if err != nil {
			c.add("stock.csv", row, p.column, unit.FormatNumber(v)+" "+r.Unit, "an amount up to 1000000000 in ml, g, m or m2")
			return
		}
		base = q.Unit
		if ok {
			*p.value = unit.State(q.Amount)
		}
	}
	r.Unit = base
}

// checkMeasureRow holds a measure against what it names; owner and stock say
// whether a code is known, lights which names of lights the job gives.
func checkMeasureRow(m *Measure, row int, owner, stock func(string) bool, lights func(string) bool, c *complaints) {
	const file = "measures.csv"
	if m.Code != "" && !owner(m.Code) {
		c.add(file, row, "code", m.Code, "the code of a stock line or an area")
	}
	share, told := m.Share.Get()
	switch {
	case m.Kind == Tint && (m.Over == m.Code || !stock(m.Over)):
		c.add(file, row, "over", m.Over, "the stock code of the white the tint is stirred into")
	case told && (m.Kind != Tint || share <= 0 || share >= 1):
		c.add(file, row, "share_pct", unit.FormatNumber(100*share), "the share of the paint in a tint, more than 0 and less than 100; nothing for other kinds")
	case m.Over == "", m.Over == "black", m.Over == "white", m.Over == "itself", stock(m.Over):
	default:
		c.add(file, row, "over", m.Over, "black, white, itself or the code of a stock line")
	}
	if m.Light != "" && !isLight(m.Light) && (stock(m.Code) || !lights(m.Light)) {
		c.add(file, row, "light", m.Light, "a light such as D65, A or 2900 K, or for an area's sample a name from lights.csv")
	}
	if !m.Lab.Known() && !m.Spectrum.Known() && !c.bad(file, row) {
		c.add(file, row, "lab_l", "", "lab_l, lab_a and lab_b, or a spectrum r380 … r730")
	}
}

// checkHoursRow refuses half a pair and an end before its beginning.
func checkHoursRow(h *HoursFact, row int, c *complaints) {
	from, ok1 := h.From.Get()
	to, ok2 := h.To.Get()
	switch {
	case c.bad("hours.csv", row):
	case ok1 != ok2:
		c.add("hours.csv", row, "to", h.To.String(), "from and to together, or neither for a day without hours")
	case ok1 && to <= from:
		c.add("hours.csv", row, "to", to.String(), "a time after "+from.String())
	}
}

// checkAfter refuses an order that names neither another row of the sewing nor
// the state of an area ("A5 cured").
func checkAfter(column string, names []string, row int, sewing, area func(string) bool, c *complaints) {
	for _, n := range names {
		code, state, ok := strings.Cut(n, " ")
		if sewing(n) || ok && area(code) && strings.TrimSpace(state) != "" {
			continue
		}
		c.add("sewing.csv", row, column, n, `a code of this table, or an area and its state such as "A5 cured"`)
	}
}
