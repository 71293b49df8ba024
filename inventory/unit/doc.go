// Package unit answers what an amount means: millilitres, grams, metres,
// square and cubic metres, spread rates, money, spans of time, and values that
// may be unknown.
//
// It takes what people write ("30 ml", "1 h 20 min", "0.42 m²", "1,5 l",
// "7.50 EUR") and gives a typed number in the base unit of its kind; each type
// prints what its parser reads back to the same value. A number that crosses
// the border of a package carries one of these types, so that a litre is never
// taken for a millilitre.
//
// It refuses a number without a unit (except 0), a negative amount, NaN and
// infinities, a size beyond any workroom (see [Most]) and a comma that may be
// a decimal comma or a thousands separator ("1,500"). Every refusal says what
// was expected.
//
// Most readers want [Stated] and [ParseVolume].
package unit
