package inventory

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"undercoat/inventory/unit"
)

type listCell struct{}

const listExpected = "words separated by ;"

func (listCell) parse(e *env, in []string, p any) (int, string) {
	list := splitList(in[0])
	for _, s := range list {
		if !isText(mostText)(s) {
			return 0, listExpected
		}
	}
	*p.(*[]string) = list
	return 0, ""
}

func (listCell) print(e *env, out []string, p any) { out[0] = strings.Join(*p.(*[]string), ";") }

func (listCell) bind(out []any, p any) { out[0] = nullText(strings.Join(*p.(*[]string), ";")) }

func (listCell) scan(e *env, in []any, p any) error {
	s, err := loadText(in[0])
	if s != "" {
		*p.(*[]string) = strings.Split(s, ";")
	}
	return err
}

// splitList parts a cell at semicolons; empty items fall away.
func splitList(s string) []string {
	if s == "" {
		return nil
	}
	var list []string
	for item := range strings.SplitSeq(s, ";") {
		if item = strings.TrimSpace(item); item != "" {
			list = append(list, item)
		}
	}
	return list
}

type layersCell struct{}

const layersExpected = "layers from the ground up such as W3:1;W1:3;F1:3"

func (layersCell) parse(e *env, in []string, p any) (int, string) {
	layers, ok := parseLayers(in[0])
	if !ok {
		return 0, layersExpected
	}
	*p.(*[]RecipeLayer) = layers
	return 0, ""
}

func (layersCell) print(e *env, out []string, p any) { out[0] = printLayers(*p.(*[]RecipeLayer)) }

func (layersCell) bind(out []any, p any) { out[0] = nullText(printLayers(*p.(*[]RecipeLayer))) }

func (layersCell) scan(e *env, in []any, p any) error {
	s, err := loadText(in[0])
	if err != nil {
		return err
	}
	layers, ok := parseLayers(s)
	if !ok {
		return fmt.Errorf("found %q, expected %s", s, layersExpected)
	}
	*p.(*[]RecipeLayer) = layers
	return nil
}

// parseLayers reads "W3:1;W1:3"; a code without a number leaves the coats
// unsaid (0).
func parseLayers(s string) ([]RecipeLayer, bool) {
	var layers []RecipeLayer
	for _, item := range splitList(s) {
		code, coats, said := strings.Cut(item, ":")
		code = strings.TrimSpace(code)
		n, err := strconv.Atoi(strings.TrimSpace(coats))
		if !isCode(code) || said && (err != nil || n < 1 || n > 100) {
			return nil, false
		}
		layers = append(layers, RecipeLayer{code, n})
	}
	return layers, true
}

func printLayers(layers []RecipeLayer) string {
	parts := make([]string, len(layers))
	for i, l := range layers {
		parts[i] = l.Code
		if l.Coats != 0 {
			parts[i] += ":" + strconv.Itoa(l.Coats)
		}
	}
	return strings.Join(parts, ";")
}

type partsCell struct{}

const partsExpected = "parts by mass in g such as W1:12.5;T3:1, no code twice"

func (partsCell) parse(e *env, in []string, p any) (int, string) {
	parts, ok := parseParts(in[0])
	if !ok {
		return 0, partsExpected
	}
	*p.(*[]Part) = parts
	return 0, ""
}

func (partsCell) print(e *env, out []string, p any) { out[0] = printParts(*p.(*[]Part)) }

func (partsCell) bind(out []any, p any) { out[0] = nullText(printParts(*p.(*[]Part))) }

func (partsCell) scan(e *env, in []any, p any) error {
	s, err := loadText(in[0])
	if err != nil {
		return err
	}
	parts, ok := parseParts(s)
	if !ok {
		return fmt.Errorf("found %q, expected %s", s, partsExpected)
	}
	*p.(*[]Part) = parts
	return nil
}

func parseParts(s string) ([]Part, bool) {
	var parts []Part
	for _, item := range splitList(s) {
		code, mass, _ := strings.Cut(item, ":")
		code = strings.TrimSpace(code)
		v, err := unit.ParseNumber(mass)
		twice := slices.ContainsFunc(parts, func(p Part) bool { return p.Code == code })
		if err != nil || !isCode(code) || twice || v < unit.Least || v > unit.Most {
			return nil, false
		}
		parts = append(parts, Part{code, unit.Mass(v)})
	}
	return parts, true
}

func printParts(parts []Part) string {
	list := make([]string, len(parts))
	for i, p := range parts {
		list[i] = p.Code + ":" + unit.FormatNumber(float64(p.Mass))
	}
	return strings.Join(list, ";")
}
