package colour

import (
	_ "embed"
	"math"
	"slices"
	"strings"
	"sync"
)

//go:embed data/lights.csv
var lightsCSV string

//go:embed data/daylight.csv
var daylightCSV string

var lightTable = sync.OnceValue(func() standardTable { return readTable("lights", lightsCSV) })

// lampPower is a relative spectral power by whole nanometres, and how it is to
// be summed.
type lampPower struct {
	at  func(nm int) float64
	how summing
}

type summing int

const (
	// Smooth power is summed by 1 nm: A, Planckian lamps, daylight.
	smooth summing = iota
	// Banded power, tabulated every 5 nm, is shared out over the bands by 1 nm
	// along straight lines, and the whole is scaled to the sum at 5 nm, from
	// which the CIE's white points come: LED lamps and C.
	banded
	// Lined power stands in the 5 nm steps of its table and nowhere between:
	// tubes with mercury lines, sodium. The reflectance is interpolated instead.
	lined
)

// standardPower returns the power of a light by its CIE name, one of
// LightNames.
func standardPower(name string) lampPower {
	if name == "A" {
		return lampPower{illuminantA, smooth}
	}
	t := lightTable()
	c := slices.Index(t.header, name)
	nm, p := t.column(0), t.column(c)
	table := func(at int) float64 {
		if float64(at) < nm[0] || float64(at) > nm[len(nm)-1] {
			return 0
		}
		return straight(nm, p, float64(at))
	}
	kelvin, daylight := daylightKelvin[name]
	switch {
	case daylight:
		violet := daylightPower(kelvin * 1.4388 / 1.4380)
		return lampPower{func(at int) float64 {
			if float64(at) < nm[0] {
				return violet(at)
			}
			return table(at)
		}, smooth}
	case strings.HasPrefix(name, "LED-"), name == "C":
		return lampPower{table, banded}
	default:
		return lampPower{table, lined}
	}
}

// daylightKelvin gives the nominal temperatures of the D series, on the
// temperature scale of 1964 (c2 = 1.4380e-2 m K).
var daylightKelvin = map[string]float64{"D50": 5000, "D55": 5500, "D65": 6500, "D75": 7500}

// illuminantA is the formula that defines A (ISO/CIE 11664-2): 100 at 560 nm.
func illuminantA(nm int) float64 {
	l := float64(nm)
	return 100 * math.Pow(560/l, 5) * math.Expm1(1.435e7/(2848*560)) / math.Expm1(1.435e7/(2848*l))
}

// planckPower is a Planckian radiator (Planck's law, c2 = 1.438776877e-2 m K
// as fixed in 2019), 100 at 560 nm.
func planckPower(kelvin float64) func(nm int) float64 {
	const c2 = 1.438776877e7 // nm K
	return func(nm int) float64 {
		l := float64(nm)
		return 100 * math.Pow(560/l, 5) * math.Expm1(c2/(kelvin*560)) / math.Expm1(c2/(kelvin*l))
	}
}

var daylightTable = sync.OnceValue(func() [4][]float64 {
	t := readTable("daylight", daylightCSV)
	return [4][]float64{t.column(0), t.column(1), t.column(2), t.column(3)}
})

// daylightPower is a phase of CIE daylight, 4000…25000 K, 0 beyond 300…780 nm
// (CIE 015:2018, method of the D series; M1 and M2 are not rounded).
func daylightPower(kelvin float64) func(nm int) float64 {
	t1 := 1000 / kelvin
	x := 0.244063 + t1*(0.09911+t1*(2.9678-4.6070*t1))
	if kelvin > 7000 {
		x = 0.237040 + t1*(0.24748+t1*(1.9018-2.0064*t1))
	}
	y := -0.275 + x*(2.870-3*x)
	m := 0.0241 + 0.2562*x - 0.7341*y
	m1 := (-1.3515 - 1.7703*x + 5.9114*y) / m
	m2 := (0.0300 - 31.4424*x + 30.0717*y) / m
	s := daylightTable()
	return func(nm int) float64 {
		at := float64(nm)
		if at < s[0][0] || at > s[0][len(s[0])-1] {
			return 0
		}
		return straight(s[0], s[1], at) + m1*straight(s[0], s[2], at) + m2*straight(s[0], s[3], at)
	}
}
