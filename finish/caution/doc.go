// Package caution answers what must be minded: rules over finished plans,
// dates, verdicts and the air of the room, each with its source.
//
// It takes finished values and judges them once, at the end; it gives
// sentences and clears nothing. The product's safety data sheet, local codes
// and licensed practice come first.
package caution
