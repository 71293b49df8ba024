package inventory

import (
	"fmt"

	"undercoat/inventory/unit"
)

// scanText loads what is stored as the text of a table.
func scanText(e *env, c cell, in []any, p any) error {
	s, err := loadText(in[0])
	if err != nil || s == "" {
		return err
	}
	if _, expected := c.parse(e, []string{s}, p); expected != "" {
		return fmt.Errorf("found %q, expected %s", s, expected)
	}
	return nil
}

type colourCell struct{}

func (colourCell) parse(e *env, in []string, p any) (int, string) {
	if in[0] == "" {
		return 0, ""
	}
	w, err := e.write(in[0])
	if err != nil {
		return 0, "a colour such as #6c7176 or lab(47.4 -0.8 -3.4)"
	}
	*p.(*unit.Stated[Written]) = unit.State(w)
	return 0, ""
}

func (colourCell) print(e *env, out []string, p any) { out[0] = p.(*unit.Stated[Written]).String() }

func (colourCell) bind(out []any, p any) { out[0] = nullText(p.(*unit.Stated[Written]).String()) }

func (colourCell) scan(e *env, in []any, p any) error { return scanText(e, colourCell{}, in, p) }

type rectCell struct{}

func (rectCell) parse(e *env, in []string, p any) (int, string) {
	if in[0] == "" {
		return 0, ""
	}
	r, err := ParseRect(in[0])
	if err != nil {
		return 0, "a rectangle x,y,w,h in pixels such as 120,80,40,40"
	}
	*p.(*unit.Stated[Rect]) = unit.State(r)
	return 0, ""
}

func (rectCell) print(e *env, out []string, p any) { out[0] = p.(*unit.Stated[Rect]).String() }

func (rectCell) bind(out []any, p any) { out[0] = nullText(p.(*unit.Stated[Rect]).String()) }

func (rectCell) scan(e *env, in []any, p any) error { return scanText(e, rectCell{}, in, p) }

type spotCell struct{}

func (spotCell) parse(e *env, in []string, p any) (int, string) {
	if in[0] == "" {
		return 0, ""
	}
	r, err := ParseSpot(in[0])
	if err != nil {
		return 0, "a rectangle x,y,w,h in pixels such as 120,80,40,40, or an outline such as 120,80 160,80 140,120"
	}
	*p.(*unit.Stated[Spot]) = unit.State(r)
	return 0, ""
}

func (spotCell) print(e *env, out []string, p any) { out[0] = p.(*unit.Stated[Spot]).String() }

func (spotCell) bind(out []any, p any) { out[0] = nullText(p.(*unit.Stated[Spot]).String()) }

func (spotCell) scan(e *env, in []any, p any) error { return scanText(e, spotCell{}, in, p) }

// quantityCell takes a number alone as millilitres: most steps use a liquid.
type quantityCell struct{}

func (quantityCell) parse(e *env, in []string, p any) (int, string) {
	s := in[0]
	if s == "" {
		return 0, ""
	}
	if _, err := unit.ParseNumber(s); err == nil {
		s += " ml"
	}
	q, err := unit.ParseQuantity(s)
	if err != nil {
		return 0, "a quantity such as 30 ml, 12 g or 4 pc (a number alone is ml)"
	}
	*p.(*unit.Stated[unit.Quantity]) = unit.State(q)
	return 0, ""
}

func (quantityCell) print(e *env, out []string, p any) {
	out[0] = p.(*unit.Stated[unit.Quantity]).String()
}

func (quantityCell) bind(out []any, p any) {
	out[0] = nullText(p.(*unit.Stated[unit.Quantity]).String())
}

func (quantityCell) scan(e *env, in []any, p any) error { return scanText(e, quantityCell{}, in, p) }
