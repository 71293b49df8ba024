package finish

import (
	"context"
	"fmt"
	"time"

	"undercoat/finish/match"
	"undercoat/inventory"
	"undercoat/inventory/unit"
	"undercoat/palette/colour"
)

// CorrectRequest asks what to add to a mixture that came out off. The batch is
// one on record (Batch) or an amount of the recipe (Recipe and Amount).
type CorrectRequest struct {
	Recipe int64
	Batch  int64         // 0: none on record
	Amount string        // of what there is; "" takes what is left of the batch
	Seen   colour.Colour // the batch, dry and laid until it hides
	Target colour.Colour // not valid: the recipe's own
	Add    []string      // codes that may be added; none: the recipe's own parts
	Keep   bool          // record the corrected recipe and batch
}

// CorrectAnswer is what to stir in. Nothing is ever taken away.
type CorrectAnswer struct {
	Recipe     int64           `json:"recipe"`
	Name       string          `json:"name"`
	Batch      int64           `json:"batch,omitempty"`
	Mass       float64         `json:"mass_g"`
	Target     Swatch          `json:"target"`
	Seen       Swatch          `json:"seen"`
	Words      string          `json:"words"` // how the batch differs from the target
	Before     float64         `json:"difference_before"`
	After      float64         `json:"difference_after"`
	AfterRange [2]float64      `json:"difference_range"`
	Add        []ScaledPart    `json:"add"`
	Parts      []PartAnswer    `json:"parts"`
	MassAfter  float64         `json:"mass_after_g"`
	Predicted  PredictedAnswer `json:"predicted"`
	Rough      bool            `json:"rough"`
	AtLimit    bool            `json:"at_limit"` // as much as there was is added; more would bring it nearer still
	Kept       *RecipeAnswer   `json:"kept,omitempty"`
}

// Correct says what to add to a batch that came out off, and with Keep records
// the corrected recipe under a new number that names its parent, the corrected
// batch, what was added, and the old batch as used up in it.
func (b *Bench) Correct(ctx context.Context, req CorrectRequest) (CorrectAnswer, error) {
	f, batch, mass, err := b.toCorrect(ctx, &req)
	if err != nil {
		return CorrectAnswer{}, err
	}
	stock, err := b.file.Stock(ctx)
	if err != nil {
		return CorrectAnswer{}, err
	}
	target := req.Target
	if !target.Valid() {
		w, ok := f.Target.Get()
		if !ok {
			return CorrectAnswer{}, fmt.Errorf("correct recipe %d: it names no target: expected one", f.Number)
		}
		target = w.Colour
	}
	for _, code := range req.Add {
		if _, err := (scene{stock: stock}).article(code); err != nil {
			return CorrectAnswer{}, err
		}
	}
	c, err := match.Correct(match.Batch{Parts: matchParts(f.Parts), Mass: mass, Seen: req.Seen}, target, req.Add, stock)
	if err != nil {
		return CorrectAnswer{}, err
	}
	a := CorrectAnswer{
		Recipe: f.Number, Name: f.Name, Batch: batch.Number, Mass: round(float64(mass), 1), Target: swatch(target.Lab()), Seen: swatch(req.Seen.Lab()),
		Words: colour.InWords(target.Lab(), req.Seen.Lab()), Before: round(c.Before, 2), After: round(c.After, 2),
		AfterRange: [2]float64{round(c.AfterRange[0], 2), round(c.AfterRange[1], 2)}, Add: scaledParts(c.Add, stock),
		Parts: []PartAnswer{}, MassAfter: round(float64(c.Mass), 1), Predicted: predicted(c.Predicted), Rough: c.Rough,
	}
	a.AtLimit = float64(c.Mass) > 1.99*float64(mass)
	for _, p := range c.Parts {
		a.Parts = append(a.Parts, PartAnswer{Code: p.Code, Share: round(p.Share, 4)})
	}
	if !req.Keep || len(c.Add) == 0 {
		return a, nil
	}
	return a, b.keepCorrection(ctx, f, batch, c, stock, &a)
}

// toCorrect finds the recipe and how much there is of it.
func (b *Bench) toCorrect(ctx context.Context, req *CorrectRequest) (f inventory.RecipeFact, batch inventory.BatchFact, mass unit.Mass, err error) {
	if req.Batch > 0 {
		if batch, err = b.batch(ctx, req.Batch); err != nil {
			return f, batch, 0, err
		}
		if req.Recipe > 0 && req.Recipe != batch.Recipe {
			return f, batch, 0, fmt.Errorf("correct batch %d: it is of recipe %d, not %d", req.Batch, batch.Recipe, req.Recipe)
		}
		req.Recipe, mass = batch.Recipe, batch.Left
	}
	if f, _, err = b.file.Recipe(ctx, req.Recipe); err != nil {
		return f, batch, 0, err
	}
	if len(f.Parts) == 0 {
		return f, batch, 0, fmt.Errorf("correct recipe %d: it is coats over a ground, not a mixture", f.Number)
	}
	if req.Amount != "" {
		if mass, _, err = b.massOf(ctx, f, req.Amount); err != nil {
			return f, batch, 0, fmt.Errorf("correct recipe %d: %w", f.Number, err)
		}
	}
	if !(mass > 0) {
		return f, batch, 0, fmt.Errorf("correct recipe %d: nothing is left of it: expected an amount such as 120 g", f.Number)
	}
	return f, batch, mass, nil
}

// keepCorrection records a correction.
func (b *Bench) keepCorrection(ctx context.Context, f inventory.RecipeFact, batch inventory.BatchFact, c match.Correction, stock inventory.Stock, a *CorrectAnswer) error {
	r := inventory.RecipeFact{
		Parent: unit.State(f.Number), Name: f.Name + ", corrected", Target: f.Target, Ground: f.Ground, Layers: f.Layers, Job: f.Job, Area: f.Area,
		Note: fmt.Sprintf("came out %s; corrected %s", a.Seen.Hex, b.now().Format(time.DateOnly)),
	}
	for _, p := range c.Parts {
		r.Parts = append(r.Parts, inventory.Part{Code: p.Code, Mass: unit.Mass(round(p.Share*float64(c.Mass), 2))})
	}
	n, _, err := b.file.CorrectBatch(ctx, r, inventory.BatchFact{Made: c.Mass, Place: batch.Place}, takenFor(c.Add, stock), batch.Number)
	if err != nil {
		return err
	}
	kept, err := b.Recipe(ctx, n, "")
	a.Kept = &kept
	return err
}
