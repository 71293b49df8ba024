package finish

import (
	"context"
	"errors"
	"fmt"

	"undercoat/finish/match"
	"undercoat/finish/plan"
	"undercoat/inventory/unit"
)

// Weighed is a pot weighed before and after a step, as written: "412 g".
// Density is in g/ml of the wet product; "" takes the one that is known.
type Weighed struct{ Before, After, Density string }

// Columns of a finished step under which a weighing is kept.
const (
	weighedBefore  = "before_g"
	weighedAfter   = "after_g"
	weighedDensity = "density_g_ml"
)

// use is what a finished step took, and the weighing it was derived from.
type use struct {
	amount  unit.Stated[unit.Quantity]
	weighed map[string]string
}

// text says what was derived; "" where the amount was given.
func (u use) text() string {
	q, ok := u.amount.Get()
	if !ok || u.weighed == nil {
		return ""
	}
	return fmt.Sprintf("; weighed: %s at %s g/ml", q, u.weighed[weighedDensity])
}

// usedText reads an amount as given; "" is not said.
func usedText(s string) (use, error) {
	if s == "" {
		return use{}, nil
	}
	q, err := unit.ParseQuantity(s)
	return use{amount: unit.State(q)}, err
}

// Densities outside these are no paint's; g/ml.
const leastDensity, mostDensity = 0.1, 25

// weighedUse derives what a step took from the weight of its pot, to a tenth of
// a millilitre. The density is the one given, else the shelf's, else that of
// the last weighing of the product; where none is known it is asked for, since
// a mass alone does not tell a volume.
func (b *Bench) weighedUse(ctx context.Context, w work, st plan.Step, given Weighed) (use, error) {
	if st.Code == "" || st.Volume <= 0 {
		return use{}, errors.New("no pot to weigh: the step takes no liquid")
	}
	before, err := unit.ParseMass(given.Before)
	if err != nil {
		return use{}, fmt.Errorf("weight before: %w", err)
	}
	after, err := unit.ParseMass(given.After)
	if err != nil {
		return use{}, fmt.Errorf("weight after: %w", err)
	}
	if after < 0 || after >= before {
		return use{}, fmt.Errorf("weight after: %s: expected less than the %s before", after, before)
	}
	density, err := b.density(ctx, w, st.Code, given.Density)
	if err != nil {
		return use{}, err
	}
	ml := round(float64(before-after)/density, 1)
	if ml <= 0 {
		return use{}, fmt.Errorf("weight after: %s: less than 0.05 ml below the %s before", after, before)
	}
	return use{amount: unit.State(unit.Quantity{Amount: ml, Unit: "ml"}), weighed: map[string]string{
		weighedBefore: unit.FormatNumber(float64(before)), weighedAfter: unit.FormatNumber(float64(after)), weighedDensity: unit.FormatNumber(density),
	}}, nil
}

// density is a product's density in g/ml.
func (b *Bench) density(ctx context.Context, w work, code, given string) (float64, error) {
	if given != "" {
		d, err := unit.ParseNumber(given)
		if err != nil || d < leastDensity || d > mostDensity {
			return 0, fmt.Errorf("density %q: expected g/ml from %g to %g, as 1.2", given, leastDensity, float64(mostDensity))
		}
		return d, nil
	}
	if p, ok := w.stock.Paint(code); ok {
		if d, ok := match.Density(p).Get(); ok {
			return d, nil
		}
	}
	d, err := b.lastDensity(ctx, w, code)
	if err != nil {
		return 0, err
	}
	if d == 0 {
		return 0, &Hinted{Err: fmt.Errorf("density of %s: not known: a weight alone does not tell a volume", code), Try: []string{"add --density 1.2   (g/ml: the label or data sheet, or weigh 100 ml and divide by 100)"}}
	}
	return d, nil
}

// lastDensity is the density of the last weighing of a product; 0 where there
// is none.
func (b *Bench) lastDensity(ctx context.Context, w work, code string) (float64, error) {
	last := 0.0
	for _, f := range w.facts.Done {
		if f.Code != code {
			continue
		}
		if d, err := unit.ParseNumber(f.Extra[weighedDensity]); err == nil && d > 0 {
			last = d
		}
	}
	if last > 0 {
		return last, nil
	}
	pots, err := b.file.Weighings(ctx, code)
	for _, p := range pots {
		last = p.Density.Or(last)
	}
	return last, err
}
