// Package colour answers what an eye sees: what a reflectance looks like under
// a light, how far two colours are apart and how one would say so, what a
// colour is called, whether a screen can show it and a surface can have it,
// and which plausible reflectance stands behind a colour of which only a hex
// is known.
//
// It takes spectra on one grid (36 bands, 380…730 nm by 10 nm), CIELAB, XYZ,
// linear sRGB and hex; it gives the same, and plain words. Most readers want
// [Parse], which makes a [Colour] of what people write, and [Difference], the
// CIEDE2000 difference ΔE00 of two CIELAB colours.
//
// # Conditions
//
// L* runs 0…100 and the white of a light has Y = 1. Where no light is named,
// D65 and the CIE 1931 2° observer are meant, and the white is that of
// IEC 61966-2-1. There is one set of weights per light (see [Light]): a
// reflectance is a broken line through its bands, weighed by the integrals of
// light times observer under each band's triangle. A light's white is the sum
// of its own weights, so that the perfect white has a* = b* = 0 under every
// light. Daylight, A and Planckian lamps are summed by 1 nm, fluorescent tubes
// by the 5 nm of their tables, LED lamps to the white that the 5 nm sums give.
// Colours under another light are stated against that light's white; [Adapt]
// (linear Bradford) is for tristimulus values that have to change their white.
//
// # What it refuses
//
// It looks at no picture and knows no paint. A Colour is a surface: a Lab that
// no surface can have is drawn to the nearest that one can, and says how much
// was given up; fluorescents are described by [Fluorescence] and computed by
// who knows their films. Names follow the ISCC–NBS blocks and no fashion.
// Numbers that are no numbers give NaN, no name, no answer, and never a colour.
//
// # Sources
//
//	CIE 015:2018         Colorimetry, 4th edition: observers, illuminants, daylight
//	ISO/CIE 11664-2, -4  D65 and A; CIELAB
//	ISO/CIE 11664-6      CIEDE2000
//	IEC 61966-2-1:1999   sRGB, by way of the colour library (srgb.go only)
//	CIE 167:2005         interpolation (Sprague's formula) of tabulated spectra
//	ASTM E2022, D1535    weights from triangles; hue, value and chroma
//	ICC.1:2010, annex E  linear Bradford adaptation
//	Sharma-2005          Sharma, Wu, Dalal, Color Res. Appl. 30, 21: test pairs of CIEDE2000
//	Burns-2017           Burns, arXiv 1710.05732: LHTSS recovery of a reflectance
//	Ottosson-2020        OKLab; matrices of CSS Color Module Level 4
//	NBS-440              Kelly and Judd (1976), Special Publication 440: names and blocks
//	Kelly-1958           J. Res. NBS 61, 427: central notations
//	Newhall-1943         Newhall, Nickerson, Judd, J. Opt. Soc. Am. 33, 385: renotation
//	Pointer-1980         Color Res. Appl. 5, 145: colours of real surfaces
//	MacAdam-1935         J. Opt. Soc. Am. 25, 361: optimal colours (after Schrödinger 1920)
//	Judd-1964            Judd, MacAdam, Wyszecki, J. Opt. Soc. Am. 54, 1031: daylight
package colour
