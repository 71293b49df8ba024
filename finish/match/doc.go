// Package match answers what can be built from the shelf for a wanted colour:
// one article as it is, a mixture of two or three paints, or coats of different
// paints over the ground, in one ranked answer with the reasons against each.
//
// It takes a [Request] and a snapshot of the stock and gives a [Result]. It
// also counts coats ([HouseCoats], [Coats]), predicts a stack coat by coat
// ([Build]), weighs a mixture out ([Scale]) and mends a batch that came out off
// ([Correct]). It judges articles by what their labels state and never clears
// a hazard: what it holds against an answer are facts with a rule; sentences of
// caution are made elsewhere.
//
// Conditions: colours under D65, 2°, differences CIEDE2000; other lights by
// name. Times of stock hold at 20 °C and 50 % relative humidity. Costs are of
// the amount used, not of packs.
//
// Walk of a request:
//
//  1. the ground's facts are read, raw foam is sealed, disperse dye blocked;
//  2. every product becomes a film and is judged for the area;
//  3. items, stacks, fluorescents over bases and mixtures are looked for, the
//     stacks and pairs exactly, by bounds that never cut off a better answer;
//  4. each survivor is predicted again by the forward model, under every light;
//  5. they are ranked: allowed first, then difference, cost, code.
//
// Sources: ISO/CIE 11664-6 for differences and the bounds derived from it; CIE
// 015:2018 for the metamerism index; the optics are of package film.
//
// Most readers want [Find] and [HouseCoats].
package match
