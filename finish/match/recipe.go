package match

import (
	"errors"
	"fmt"
	"math"

	"undercoat/inventory"
	"undercoat/inventory/unit"
)

// dropVolume is one drop from a pipette or a small bottle in ml; common
// practice, no source.
const dropVolume = 0.05

// Portion is one paint of a mixture weighed or counted out.
type Portion struct {
	Code    string
	Mass    unit.Mass
	Volume  unit.Volume
	Drops   int  // nearest whole number
	Assumed bool // whether the density was assumed, see [Scale]
}

// ErrParts says that parts do not make a mixture: none, a share of 0 or less,
// one paint twice, or shares that do not sum to 1.
var ErrParts = errors.New("not a mixture")

// Scale returns the portions of parts by mass that give an amount of mixed
// paint in ml. A paint whose density the maker does not state (stock column
// density_g_ml) is taken as 1.2 g/ml and marked. Portions keep the order of
// the parts and sum to the amount.
func Scale(parts []Part, amount unit.Volume, stock inventory.Stock) ([]Portion, error) {
	pots, err := potsOfParts(parts, stock)
	if err != nil {
		return nil, fmt.Errorf("scale mixture: %w", err)
	}
	if !(amount > 0) {
		return nil, fmt.Errorf("scale mixture: %s: expected an amount above 0", amount)
	}
	perGram := 0.0 // ml of one gram of the mixture
	for i, p := range pots {
		d, _ := p.density()
		perGram += parts[i].Share / d
	}
	return portions(parts, pots, float64(amount)/perGram), nil
}

// ScaleMass is [Scale] to an amount in grams.
func ScaleMass(parts []Part, amount unit.Mass, stock inventory.Stock) ([]Portion, error) {
	pots, err := potsOfParts(parts, stock)
	if err != nil {
		return nil, fmt.Errorf("scale mixture: %w", err)
	}
	if !(amount > 0) {
		return nil, fmt.Errorf("scale mixture: %s: expected an amount above 0", amount)
	}
	return portions(parts, pots, float64(amount)), nil
}

func portions(parts []Part, pots []pot, grams float64) (out []Portion) {
	for i, p := range pots {
		d, stated := p.density()
		m := grams * parts[i].Share
		out = append(out, Portion{
			Code: parts[i].Code, Mass: unit.Mass(m), Volume: unit.Volume(m / d),
			Drops: int(math.Round(m / d / dropVolume)), Assumed: !stated,
		})
	}
	return out
}

func potsOfParts(parts []Part, stock inventory.Stock) ([]pot, error) {
	if len(parts) == 0 {
		return nil, ErrParts
	}
	var pots []pot
	seen := map[string]bool{}
	sum := 0.0
	for _, p := range parts {
		paint, ok := stock.Paint(p.Code)
		switch {
		case !ok:
			return nil, fmt.Errorf("part %s: %w", p.Code, ErrNotOnShelf)
		case seen[p.Code]:
			return nil, fmt.Errorf("part %s stands twice: %w", p.Code, ErrParts)
		case !(p.Share > 0):
			return nil, fmt.Errorf("part %s: share %g: expected above 0: %w", p.Code, p.Share, ErrParts)
		}
		seen[p.Code] = true
		sum += p.Share
		pots = append(pots, potOf(paint, stock))
	}
	if math.Abs(sum-1) > 1e-6 {
		return nil, fmt.Errorf("shares sum to %g: expected 1: %w", sum, ErrParts)
	}
	return pots, nil
}
