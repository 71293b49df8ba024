package garment

import (
	"time"

	"undercoat/inventory"
	"undercoat/inventory/unit"
)

// Room is the workroom as its maker states it. What is not stated is a
// stated unknown: nothing here has a silent default.
type Room struct {
	Volume          unit.Stated[unit.Space]
	DayC, NightC    unit.Stated[float64] // °C
	RH              unit.Stated[float64] // 0…1
	Air             unit.Stated[float64] // m/s over the piece
	Fan             unit.Stated[float64] // m³/h to outdoors while it runs
	Changes         unit.Stated[float64] // air changes an hour without the fan
	Rail            unit.Stated[unit.Length]
	Rack            unit.Stated[unit.Extent]
	DryingFactor    unit.Stated[float64] // the maker's own observation, without the fan
	DryingFactorFan unit.Stated[float64] // the same with the fan
	Press           bool
	IronMaxC        unit.Stated[float64]
	Mask            string // none, particle or vapour; "" where not stated
}

// Hours is one line of the working hours: a weekday or one date, from and to
// as local clock times, who works, and at what. From = To = 0 means none on
// that day.
type Hours struct {
	Weekday  time.Weekday
	Date     unit.Stated[time.Time] // the day at midnight UTC, where the line is for one date
	From, To inventory.Clock
	Who      string // "" is the maker
	What     string // any, sewing or spraying outdoors
	Note     string
}

// Sewing is one sewing step as the maker states it.
type Sewing struct {
	Code, Area, Verb string
	Hands            time.Duration
	After, Before    []string // codes of steps, or states such as "A5 cured"
	Who              string
}

// Done is a step that was finished, when, and how much it used.
type Done struct {
	Step string
	At   time.Time
	Code string // the stock line it was taken from; "" where not said
	Used unit.Stated[unit.Quantity]
}

// Choice is what the maker picked for an area, from the ground up.
type Choice struct {
	Area   string
	Layers []Layer
	At     time.Time
}
