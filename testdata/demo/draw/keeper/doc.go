// Package keeper draws the four reference pictures of the demo job: one
// invented figure, the Fog-Bell Keeper, as a dusk still (R1), a lantern still
// (R2), a flat costume drawing with a profile tag (R3) and a phone photograph
// of a poster (R4).
//
// The figure is a list of parts, back to front, each an outline with a
// material and folds. A part is inflated to a soft relief from its outline, so
// that one lamp shades all of it; then casts, mist, print and lens are laid
// over. All arithmetic is linear-light sRGB, white 1; the same source gives
// the same bytes.
//
// Where a picture's clean patches lie is part of the drawing: [Picture.Patches]
// lists them with the colour their mean must have, and the light is kept even
// there.
package keeper
