package inventory

import (
	"context"
	"time"

	"undercoat/inventory/unit"
)

// WeighingFact is a pot weighed before and after coats over a known extent: a
// learned correction of the spread rate on the label.
type WeighingFact struct {
	Code    string               `col:"code" as:"code" need:"yes"`
	At      time.Time            `col:"at" as:"moment"` // zero = when it is recorded
	Before  unit.Mass            `col:"before_g"`
	After   unit.Mass            `col:"after_g"`
	Painted unit.Extent          `col:"painted_m2"`
	Coats   int                  `col:"coats" range:"1..100"`
	Density unit.Stated[float64] `col:"density_g_ml" range:"0.1..25"` // g/mL of the wet product
	Job     string               `col:"job"`
	Area    string               `col:"area"`
	Step    string               `col:"step"`
	Note    string               `col:"note"`
}

// PerCoat is the mass that one coat took per area, in g/m².
func (w WeighingFact) PerCoat() float64 {
	return float64(w.Before-w.After) / (float64(w.Painted) * float64(w.Coats))
}

// Spread is the volume that one coat took per area. It is unknown without the
// density: a mass alone does not tell a volume.
func (w WeighingFact) Spread() unit.Stated[unit.SpreadRate] {
	d, ok := w.Density.Get()
	if !ok {
		return unit.Stated[unit.SpreadRate]{}
	}
	return unit.State(unit.SpreadRate(w.PerCoat() / d))
}

// AddWeighing records a pot weighed before and after coats.
func (f *File) AddWeighing(ctx context.Context, w WeighingFact) error {
	return f.write(ctx, "add weighing of "+w.Code, func(t *tx) error {
		var c complaints
		w.At = t.timeOr(w.At)
		w = weighingTable().check(&t.env, w, 0, &c)
		if w.After >= w.Before {
			c.add("weighings.csv", 0, "after_g", unit.FormatNumber(float64(w.After)), "less than before_g")
		}
		if w.Painted < unit.Least {
			c.add("weighings.csv", 0, "painted_m2", unit.FormatNumber(float64(w.Painted)), "the extent that was painted, more than 0")
		}
		if w.Coats < 1 {
			c.add("weighings.csv", 0, "coats", "", "the number of coats, 1 or more")
		}
		t.needStock(ctx, "weighings.csv", "code", []RecipeLayer{{Code: w.Code}}, &c)
		if err := c.err(); err != nil {
			return err
		}
		return insertRow(ctx, t, weighingTable(), &w, nil)
	})
}

// Weighings lists the weighings of a stock line, oldest first; "" lists all.
func (f *File) Weighings(ctx context.Context, code string) ([]WeighingFact, error) {
	var list []WeighingFact
	err := f.read(ctx, "read weighings of "+code, func(t *tx) (err error) {
		list, err = rowsWhere(ctx, t, weighingTable(), "WHERE ?1 = '' OR code = ?1 ORDER BY code, id", code)
		return err
	})
	return list, err
}
