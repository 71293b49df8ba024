package unit

import "strings"

// scale is one spelling of a unit and its size in the base unit.
type scale struct {
	word string
	size float64
}

// kind is one kind of amount: its base unit, its spellings, an example for
// errors.
type kind struct {
	base    string
	example string
	scales  []scale
}

// parse reads an amount of this kind, in base units.
func (k kind) parse(s string) (float64, error) {
	t := tidy(s)
	if t == "" {
		return 0, refuse(s, "nothing is written", k.example)
	}
	number, word := splitNumber(t)
	v, why := decimal(number)
	if why != "" {
		return 0, refuse(s, why, k.example)
	}
	size, why := k.size(word, v)
	if why != "" {
		return 0, refuse(s, why, k.example)
	}
	return k.bound(s, v, size)
}

// size finds the unit named by word; zero needs none.
func (k kind) size(word string, v float64) (float64, string) {
	if word == "" {
		if v == 0 {
			return 1, ""
		}
		return 0, "the unit is missing"
	}
	for _, c := range k.scales {
		if c.word == word {
			return c.size, ""
		}
	}
	if of, ok := kindOf(word); ok {
		return 0, "that is " + of
	}
	return 0, "the unit is not known"
}

// kindOf returns what a unit's word counts: "a volume", "a mass", "a length" or
// "an extent".
func kindOf(word string) (what string, ok bool) {
	for _, k := range []kind{volumes, masses, lengths, extents} {
		for _, c := range k.scales {
			if c.word == word {
				what, _, _ = strings.Cut(k.example, " such")
				return what, true
			}
		}
	}
	return "", false
}

// bound refuses what no workroom holds.
func (k kind) bound(s string, v, size float64) (float64, error) {
	if v < 0 {
		return 0, refuse(s, "an amount is not negative", k.example)
	}
	v = scaled(v, size)
	if v > Most {
		return 0, refuse(s, "too large", k.example)
	}
	if v != 0 && v < Least {
		return 0, refuse(s, "too small", k.example)
	}
	if v == 0 {
		return 0, nil // no negative zero
	}
	return v, nil
}

func (k kind) print(v float64) string { return FormatNumber(v) + " " + k.base }

// Inch, foot and yard are exact: 1 yd = 0.9144 m; 1 lb = 453.59237 g
// (international yard and pound agreement, 1959). Fluid ounces, pints and
// gallons are left out: they differ between countries.
const (
	inch  = 0.0254
	foot  = 0.3048
	yard  = 0.9144
	ounce = 453.59237 / 16
	pound = 453.59237
)

var (
	volumes = kind{"ml", `a volume such as "30 ml" or "0.5 l"`, []scale{
		{"ml", 1}, {"cl", 10}, {"dl", 100}, {"l", 1000}, {"millilitre", 1}, {"millilitres", 1}, {"milliliter", 1}, {"milliliters", 1},
		{"litre", 1000}, {"litres", 1000}, {"liter", 1000}, {"liters", 1000}, {"cm3", 1}, {"ul", 0.001}}}
	masses = kind{"g", `a mass such as "12 g" or "0.5 kg"`, []scale{
		{"g", 1}, {"mg", 0.001}, {"kg", 1000}, {"gram", 1}, {"grams", 1}, {"oz", ounce}, {"lb", pound}}}
	lengths = kind{"m", `a length such as "2.5 m", "90 cm" or "40 um"`, []scale{
		{"m", 1}, {"dm", 0.1}, {"cm", 0.01}, {"mm", 0.001}, {"um", 1e-6}, {"km", 1000}, {"metre", 1}, {"metres", 1}, {"meter", 1}, {"meters", 1},
		{"in", inch}, {`"`, inch}, {"inch", inch}, {"inches", inch}, {"ft", foot}, {"yd", yard}, {"yard", yard}, {"yards", yard}}}
	extents = kind{"m2", `an extent such as "0.42 m2" or "1200 cm2"`, []scale{
		{"m2", 1}, {"m^2", 1}, {"sqm", 1}, {"sq m", 1}, {"dm2", 0.01}, {"cm2", 1e-4}, {"cm^2", 1e-4}, {"sq cm", 1e-4}, {"mm2", 1e-6},
		{"in2", inch * inch}, {"sq in", inch * inch}, {"ft2", foot * foot}, {"sq ft", foot * foot}, {"yd2", yard * yard}, {"sq yd", yard * yard}}}
	spaces = kind{"m3", `a room volume such as "26 m3"`, []scale{
		{"m3", 1}, {"m^3", 1}, {"cbm", 1}, {"l", 0.001}, {"ft3", foot * foot * foot}, {"cu ft", foot * foot * foot}}}
	spreads = kind{"ml/m2", `a spread rate such as "110 ml/m2" or "9 m2/l"`, []scale{
		{"ml/m2", 1}, {"ml / m2", 1}, {"ml/m^2", 1}, {"l/m2", 1000}, {"l / m2", 1000}}}
)

// Volume is an amount of liquid in millilitres. The zero value is none.
type Volume float64

// ParseVolume reads "30 ml", "0.5 l", "1,5 l", "20 cl".
func ParseVolume(s string) (Volume, error) { v, err := volumes.parse(s); return Volume(v), err }

// String prints millilitres: "30 ml". [ParseVolume] reads it back.
func (v Volume) String() string { return volumes.print(float64(v)) }

// Set is [ParseVolume] for a flag; on an error the value stays.
func (v *Volume) Set(s string) error { return set(v, s, ParseVolume) }

// Mass is in grams. The zero value is none.
type Mass float64

// ParseMass reads "12 g", "0.5 kg", "250 mg", "2 oz".
func ParseMass(s string) (Mass, error) { v, err := masses.parse(s); return Mass(v), err }

// String prints grams: "12 g". [ParseMass] reads it back.
func (v Mass) String() string { return masses.print(float64(v)) }

// Set is [ParseMass] for a flag; on an error the value stays.
func (v *Mass) Set(s string) error { return set(v, s, ParseMass) }

// Length is in metres. The zero value is none.
type Length float64

// ParseLength reads "2.5 m", "90 cm", "40 um", "54 in".
func ParseLength(s string) (Length, error) { v, err := lengths.parse(s); return Length(v), err }

// String prints metres: "2.5 m". [ParseLength] reads it back.
func (v Length) String() string { return lengths.print(float64(v)) }

// Set is [ParseLength] for a flag; on an error the value stays.
func (v *Length) Set(s string) error { return set(v, s, ParseLength) }

// Extent is a surface in square metres. The zero value is none.
type Extent float64

// ParseExtent reads "0.42 m2", "0.42 m²", "1200 cm2", "1 sq yd".
func ParseExtent(s string) (Extent, error) { v, err := extents.parse(s); return Extent(v), err }

// String prints square metres: "0.42 m2". [ParseExtent] reads it back.
func (v Extent) String() string { return extents.print(float64(v)) }

// Set is [ParseExtent] for a flag; on an error the value stays.
func (v *Extent) Set(s string) error { return set(v, s, ParseExtent) }

// Space is the volume of a room in cubic metres. The zero value is none.
type Space float64

// ParseSpace reads "26 m3", "26 m³".
func ParseSpace(s string) (Space, error) { v, err := spaces.parse(s); return Space(v), err }

// String prints cubic metres: "26 m3". [ParseSpace] reads it back.
func (v Space) String() string { return spaces.print(float64(v)) }

// Set is [ParseSpace] for a flag; on an error the value stays.
func (v *Space) Set(s string) error { return set(v, s, ParseSpace) }

// SpreadRate is the volume one coat uses per area, in mL/m². The zero value
// uses nothing.
type SpreadRate float64

// ParseSpreadRate reads "110 ml/m2", "0.1 l/m2", and what tins say: "9 m2/l".
func ParseSpreadRate(s string) (SpreadRate, error) {
	t := tidy(s)
	number, word := splitNumber(t)
	if word != "m2/l" && word != "m2 / l" {
		v, err := spreads.parse(s)
		return SpreadRate(v), err
	}
	reach, why := decimal(number)
	if why == "" && reach <= 0 {
		why = "a litre covers more than nothing"
	}
	if why != "" {
		return 0, refuse(s, why, spreads.example)
	}
	v, err := spreads.bound(s, 1/reach, 1000)
	return SpreadRate(v), err
}

// String prints "110 ml/m2". [ParseSpreadRate] reads it back.
func (v SpreadRate) String() string { return spreads.print(float64(v)) }

// Set is [ParseSpreadRate] for a flag; on an error the value stays.
func (v *SpreadRate) Set(s string) error { return set(v, s, ParseSpreadRate) }

// Over returns the volume of one coat over e.
func (v SpreadRate) Over(e Extent) Volume { return Volume(float64(v) * float64(e)) }

// set writes the parsed value into v, or leaves v alone and returns the error.
func set[T any](v *T, s string, parse func(string) (T, error)) error {
	got, err := parse(s)
	if err != nil {
		return err
	}
	*v = got
	return nil
}
