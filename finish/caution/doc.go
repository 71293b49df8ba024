// Package caution answers what must be minded: rules over finished plans,
// dates, verdicts, tests and the air of the room, each with its source.
//
// It takes finished values and judges them once, at the end; it gives
// sentences and clears nothing. The product's safety data sheet, local codes
// and licensed practice come first.
//
// The rules are a table ([Rules]): each has a word, a sentence on what it looks
// at, and a source. Those that only look for substances or words of a product
// are rows of data/products.csv; hazard statements stand in data/ghs_h.csv, limits
// of vapours in data/limits.csv, each headed by its source and date.
//
// Most readers want [Check] and [Air].
package caution
