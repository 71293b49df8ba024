package plan

import "math"

// Pressure of the standard atmosphere, kPa, and the psychrometer coefficient
// of a ventilated wet bulb, 1/K (WMO-No. 8).
const (
	standardPressure = 101.325
	psychrometer     = 0.000665
)

// Air is the state of the air round a drying film.
type Air struct {
	C     float64 // temperature, °C
	RH    float64 // relative humidity over water, 0…1
	Speed float64 // m/s along the piece
}

// SaturationPressure returns the vapour pressure of saturated air over liquid
// water in Pa at c °C. Meant for 0…50 °C.
//
// Source: Buck (1996), Research Manual CR-1A; within 0.13 % of the CRC
// Handbook (62nd ed.) from 0 to 34 °C.
func SaturationPressure(c float64) float64 {
	return 611.21 * math.Exp((18.678-c/234.5)*c/(257.14+c))
}

// DewPoint returns the temperature in °C at which air of c °C and relative
// humidity rh (above 0, up to 1) is saturated. Dry air (rh 0) gives -Inf.
//
// Source: Magnus form with the constants of WMO-No. 8; within 0.05 °C of
// Hyland and Wexler (1983) for 0…40 °C and 20…95 %.
func DewPoint(c, rh float64) float64 {
	if rh <= 0 {
		return math.Inf(-1)
	}
	g := math.Log(rh) + 17.62*c/(243.12+c)
	return 243.12 * g / (17.62 - g)
}

// WetBulb returns the temperature in °C of a surface that evaporates freely
// into air of c °C and relative humidity rh (0…1) at standard pressure; at
// rh 1 it is c.
//
// Source: psychrometer equation es(Tw) - 0.000665 P (T - Tw) = RH es(T),
// solved by bisection to 1e-6 °C.
func WetBulb(c, rh float64) float64 {
	vapour := rh * SaturationPressure(c)
	lo, hi := c-60, c
	for hi-lo > 1e-6 {
		mid := (lo + hi) / 2
		if wetBulbVapour(c, mid) > vapour {
			hi = mid
		} else {
			lo = mid
		}
	}
	return (lo + hi) / 2
}

// wetBulbVapour is the vapour pressure in Pa of air whose dry bulb reads dry
// and whose wet bulb reads wet, °C.
func wetBulbVapour(dry, wet float64) float64 {
	return SaturationPressure(wet) - psychrometer*standardPressure*1000*(dry-wet)
}

// DewPointOfWetBulb returns the dew point in °C of air whose dry bulb reads
// dry and whose wet bulb reads wet, °C. A wet bulb above the dry one is read
// as saturated air.
func DewPointOfWetBulb(dry, wet float64) float64 {
	return DewPoint(dry, min(1, wetBulbVapour(dry, wet)/SaturationPressure(dry)))
}

// AbsoluteHumidity returns grams of water vapour in a cubic metre of air of
// c °C and relative humidity rh (0…1).
//
// Source: gas law e M/(R T), M = 18.015 g/mol, R = 8.31446 J/(mol K).
func AbsoluteHumidity(c, rh float64) float64 {
	return rh * SaturationPressure(c) * 18.015 / (8.31446 * (c + 273.15))
}

// EvaporationRate returns grams an hour that leave a square metre of free
// water whose vapour pressure is deficit Pa above that of the air, at speed
// m/s along it. Published coefficients differ by up to a factor of four.
//
// Source: Carrier's pool coefficients 95 + 37.4 v (in Hg, mph, Btu/lb) in SI,
// (0.089 + 0.0782 v) W/(m² Pa), over 2440 J/g.
func EvaporationRate(deficit, speed float64) float64 {
	return (0.089 + 0.0782*speed) * deficit / 2440 * 3600
}
