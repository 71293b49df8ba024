package inventory

import (
	"fmt"
	"reflect"
	"strings"
	"time"

	"undercoat/inventory/unit"
	"undercoat/palette/colour"
)

// A cell reads, prints, stores and loads one field of a fact. Most fields are
// one column; a CIELAB colour is three and a spectrum thirty-six in a table.
// p is a pointer to the field. The field is at its zero value before parse and
// scan, which leave it there when the cell is empty or NULL.
type cell interface {
	// parse reads cells of a table, already trimmed; on a bad one it returns
	// its index and what was expected.
	parse(e *env, in []string, p any) (bad int, expected string)
	print(e *env, out []string, p any)
	bind(out []any, p any)
	scan(e *env, in []any, p any) error
}

// env is what cells need to know about the table they stand in.
type env struct {
	zone    *time.Location           // of wall clocks; nil = UTC
	colours map[string]colour.Colour // colours read so far, by text
}

// write is [Write], remembering colours that occur again.
func (e *env) write(text string) (Written, error) {
	text = strings.TrimSpace(text)
	if c, ok := e.colours[text]; ok {
		return Written{text, c}, nil
	}
	w, err := Write(text)
	if err != nil {
		return Written{}, err
	}
	if e.colours == nil {
		e.colours = make(map[string]colour.Colour)
	}
	e.colours[text] = w.Colour
	return w, nil
}

// rules are what the tags of a field say about its cells.
type rules struct {
	as      string
	oneof   []string
	low     float64
	high    float64
	bounded bool
}

// newCell returns the codec of a field type. It panics on a type or a rule
// that no codec knows, which is a mistake in a fact's tags.
func newCell(t reflect.Type, r rules) cell {
	switch reflect.New(t).Interface().(type) {
	case *string:
		return newText[string](r)
	case *Kind:
		return newText[Kind](r)
	case *[]string:
		return listCell{}
	case *[]RecipeLayer:
		return layersCell{}
	case *[]Part:
		return partsCell{}
	case *Moved:
		return newText[Moved](r)
	case *int64:
		return plainCell[int64]{newWhole[int64](r)}
	case *time.Time:
		return plainCell[time.Time]{newTime(r)}
	case *float64:
		return plainCell[float64]{newNumber[float64](r, 1)}
	case *unit.Mass:
		return plainCell[unit.Mass]{newNumber[unit.Mass](r, 1)}
	case *unit.Extent:
		return plainCell[unit.Extent]{newNumber[unit.Extent](r, 1)}
	case *int:
		return plainCell[int]{newWhole[int](r)}
	case *unit.Stated[float64]:
		return newNumber[float64](r, 1)
	case *unit.Stated[unit.Volume]:
		return newNumber[unit.Volume](r, 1)
	case *unit.Stated[unit.Mass]:
		return newNumber[unit.Mass](r, 1)
	case *unit.Stated[unit.Length]:
		return newNumber[unit.Length](r, 1)
	case *unit.Stated[unit.Extent]:
		return newNumber[unit.Extent](r, 1)
	case *unit.Stated[unit.Space]:
		return newNumber[unit.Space](r, 1)
	case *unit.Stated[unit.SpreadRate]:
		return newNumber[unit.SpreadRate](r, 1)
	case *unit.Stated[time.Duration]:
		return newSpan(r)
	case *unit.Stated[int]:
		return newWhole[int](r)
	case *unit.Stated[int64]:
		return newWhole[int64](r)
	case *unit.Stated[bool]:
		return yesNoCell{}
	case *unit.Stated[unit.Money]:
		return moneyCell{}
	case *unit.Stated[time.Time]:
		return newTime(r)
	case *unit.Stated[Written]:
		return colourCell{}
	case *unit.Stated[Rect]:
		return rectCell{}
	case *unit.Stated[Spot]:
		return spotCell{}
	case *unit.Stated[Clock]:
		return clockCell{}
	case *unit.Stated[unit.Quantity]:
		return quantityCell{}
	case *unit.Stated[colour.Lab]:
		return labCell{}
	case *unit.Stated[colour.Reflectance]:
		return spectrumCell{}
	}
	panic(fmt.Sprintf("inventory: no table cell for %v", t))
}
