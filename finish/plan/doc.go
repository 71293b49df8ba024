// Package plan turns the facts of a job and a shelf into an order of work
// that ends by a date that does not move: coats, volumes, steps with dates,
// last safe starts, shopping, cost, cloth, refusals and computed alternatives.
//
// It takes a [garment.Job], an [inventory.Stock] and the present instant (the
// clock is an argument), and gives one finished [Plan]. It refuses, with the
// rule, the fact and the nearest allowed way, products that an area, a wearer
// or the room does not allow; and it names the chain of facts when no order of
// work meets the date.
//
// The walk of a plan:
//
//  1. layers: every area's products from the ground up, their roles and coats
//  2. refusals: stretch, ground, heat, wearer, air, base under a fluorescent
//  3. amounts: each layer's volume, rounded once; packs, cost, cloth
//  4. drying: label times, the room's factor, setting by heat, fixer or air
//  5. steps: mask, coats and sides, drying places, tests, sewing, packing
//  6. dates: [schedule.Fit], checked independently, then last safe starts
//  7. what else could be done, each answer computed by the same walk
//
// Conditions: temperatures in °C, relative humidity 0…1, areas in square
// metres of the lead wearer, volumes in mL. Volumes are rounded once, to whole
// millilitres, where a layer's need is computed ([RoundVolume]); every total
// adds rounded volumes, so the areas, the steps and the shopping list agree.
// Money is whole cents throughout.
//
// All drying times are planning estimates, which could be half or double; the
// product's label and safety data sheet come first, and a touch test comes
// before every next step.
//
// Most readers want [Make] and [Plan].
package plan
