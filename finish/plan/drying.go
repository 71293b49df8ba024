package plan

import (
	"fmt"
	"math"
	"time"
)

// Vehicle is what leaves or hardens a paint.
type Vehicle int

// A product whose vehicle is not stated dries as a water-borne one.
const (
	WaterBorne   Vehicle = iota // water evaporates
	SolventBorne                // solvent evaporates
	Reactive                    // oxidises or cross-links in two parts; moving air does not help
)

// Stage is a state of a drying coat, in the order they are reached.
type Stage int

// The stages a label may state.
const (
	TouchDry  Stage = iota // a light finger leaves no mark
	Recoat                 // the next coat may go on
	HandleDry              // may be moved, not folded
	Cured                  // washable, foldable, packable
)

func (s Stage) String() string {
	return [...]string{"touch dry", "may recoat", "handle dry", "cured"}[s]
}

// through reports whether the whole depth of the film must be dry.
func (s Stage) through() bool { return s == Cured }

// Label conditions: ISO 3270 standard atmosphere, 23 °C and 50 %, and the
// still air of a room.
var labelAir = Air{C: 23, RH: 0.50, Speed: 0.1}

// Limits of the estimate. 10…35 °C, 85 % and 3 °C over the dew point are the
// limits most data sheets state for water-borne coatings (dew point and
// humidity: ISO 12944-7, written for steel; for cloth a guard against a cold
// room).
const (
	coldest       = 10.0 // °C
	hottest       = 35.0 // °C
	dampest       = 0.85 // relative humidity
	overDewPoint  = 3.0  // °C
	thickestFilm  = 2.0  // times the label's film
	slowest       = 4.0  // times the label's time
	labelMargin   = 1.5  // planning margin on a computed time; judgement, no source
	shortestShare = 0.5  // of the label's time; judgement, no source
)

// DryingFactor says how many times the label's time a stage takes, and why.
type DryingFactor struct {
	Env   float64 // temperature and humidity
	Air   float64 // moving air
	Film  float64 // thickness of the coat
	Total float64 // the product, at least the temperature factor right through the film
}

// FactorOf returns the drying factor of a product of vehicle v for a stage in
// the air a, laid film times as thick as on its label (above 0). At 23 °C,
// 50 %, 0.1 m/s and film 1 every factor is 1. It judges nothing: see [Unfit].
//
// Source: our own conservative form of the vapour-pressure drive (falling
// with the film's temperature between wet bulb and air), factor two for ten
// degrees colder (trade handbook of coatings), mass transfer rising with air
// speed by 0.76 per m/s; checked with the worked values of the drying papers.
func FactorOf(v Vehicle, stage Stage, a Air, film float64) DryingFactor {
	f := DryingFactor{Env: envFactor(v, a), Air: airFactor(v, a.Speed), Film: filmFactor(stage, film)}
	env := f.Env
	if v == WaterBorne && stage.through() {
		env = max(env, temperatureFactor(a.C))
	}
	f.Total = env * f.Air * f.Film
	return f
}

func envFactor(v Vehicle, a Air) float64 {
	if v != WaterBorne {
		return temperatureFactor(a.C)
	}
	return max(airDrive(labelAir)/airDrive(a), wetDrive(labelAir)/wetDrive(a))
}

// airDrive is the drive of water out of a film at air temperature, Pa.
func airDrive(a Air) float64 { return SaturationPressure(a.C) * (1 - a.RH) }

// wetDrive is the drive of water out of a film at wet-bulb temperature, Pa.
func wetDrive(a Air) float64 {
	return SaturationPressure(WetBulb(a.C, a.RH)) - a.RH*SaturationPressure(a.C)
}

// temperatureFactor is 2 for every 10 °C below the label and 1/1.5 for every
// 10 °C above it.
func temperatureFactor(c float64) float64 {
	per10 := 2.0
	if c > labelAir.C {
		per10 = 1.5
	}
	return math.Pow(per10, (labelAir.C-c)/10)
}

func airFactor(v Vehicle, speed float64) float64 {
	f := (1 + 0.76*labelAir.Speed) / (1 + 0.76*min(speed, 2))
	if v == Reactive {
		return max(1, f)
	}
	return f
}

func filmFactor(stage Stage, film float64) float64 {
	switch {
	case film <= 1:
		return max(0.5, film)
	case stage.through():
		return film * film
	default:
		return math.Pow(film, 1.5)
	}
}

// DryTime returns the planned time of a stage from the label's time (its high
// end): label × factor × 1.5, never below half the label.
func DryTime(label time.Duration, factor float64) time.Duration {
	return time.Duration(math.Max(float64(label)*factor*labelMargin, float64(label)*shortestShare))
}

// Unfit lists why a coat must not be laid in the air a on a surface of
// surface °C, film times as thick as on the label, with a lowest temperature
// low on the label (NaN where none is stated) and a drying factor total; nil
// where nothing speaks against it. The limits are those of the drying papers;
// the label's own come first.
func Unfit(a Air, surface, low, film, total float64) []string {
	var why []string
	say := func(bad bool, format string, args ...any) {
		if bad {
			why = append(why, fmt.Sprintf(format, args...))
		}
	}
	dew := DewPoint(a.C, a.RH)
	say(surface < dew+overDewPoint, "surface at %.1f °C is less than %.0f °C above the dew point of %.1f °C", surface, overDewPoint, dew)
	say(a.RH >= dampest, "humidity of %.0f %% is at or above %.0f %%", a.RH*100, dampest*100)
	say(a.C < coldest, "air at %.1f °C is below %.0f °C", a.C, coldest)
	say(a.C >= coldest && a.C < low, "air at %.1f °C is below the label's %.0f °C", a.C, low)
	say(a.C > hottest, "air at %.1f °C is above %.0f °C", a.C, hottest)
	say(film > thickestFilm, "a coat %.1f times the label's film is above %.0f times", film, thickestFilm)
	say(total > slowest, "drying would take %.1f times the label's time, above %.0f times", total, slowest)
	return why
}

// HumidityRise returns the rise of relative humidity (in shares of 1) that
// water mL evaporated evenly over span gives in a room of volume m³ at c °C
// with changes air changes an hour, at the end of the span. Without changes
// all of it stays.
//
// Source: well-mixed box, C(t) = G/(N V) (1 - exp(-N t)), over the
// saturation humidity.
func HumidityRise(water, volume, c, changes float64, span time.Duration) float64 {
	if water <= 0 || volume <= 0 {
		return 0
	}
	grams := water / volume
	if x := changes * span.Hours(); x > 0 {
		grams *= -math.Expm1(-x) / x
	}
	return grams / AbsoluteHumidity(c, 1)
}
