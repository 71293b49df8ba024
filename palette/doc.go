// Package palette turns pictures into colours: a file into pixels that can be
// trusted, pixels into patches and materials, several pictures into one target.
//
// It takes readers and rectangles and gives finished values in CIELAB (D65, 2°
// observer, L* 0…100) and linear sRGB (D65, which may leave 0…1: a wide-gamut
// photograph is not squeezed into the screen). It opens no file, asks no clock
// and draws no lot: the same bytes give the same answer. Every mean is taken in
// linear light. What it cannot read it refuses in one line; what it takes on
// trust it says in a warning.
//
// The walk, as far as pixels go:
//
//  1. [Decode] tells the format by content, guards the size, decodes, and gives
//     a [Reference] that is read upright, by its colour profile, in linear light.
//  2. An [Anchor], a spot of known colour, removes the cast:
//     [Reference.Neutral] gives a new Reference over the same pixels. A chart
//     does it better ([Reference.Chart]). Where nothing is known,
//     [Reference.GuessCast] has a question for the maker, never an answer.
//  3. [Reference.Patch] reads a spot, [Reference.Materials] finds the materials;
//     here pixels end for good.
//  4. [Weigh] joins the [Reading]s of several pictures into an [Estimate], with
//     the range in which the truth is expected and the picture that disagrees.
//     [Reference.Swatch] reads a real piece of cloth or paint the same way.
//
// Most readers want Decode and [Reference.Patch].
//
// # Formats
//
// JPEG (baseline, progressive, grey, CMYK), PNG, WebP, GIF, TIFF and BMP are
// always read; AVIF needs the build tag nodynamic and HEIC the tags nodynamic
// and heic, which every make target sets. Without nodynamic the codecs' package
// would load whatever library the machine has, and the binary would not be
// static. Other builds name the format they leave out.
//
// Of an animation or a file of several pages the first picture is read. Colour
// profiles of the curve and matrix kind are applied, also those that a file
// only names; lookup-table and printing profiles are named in a warning and the
// picture is read as sRGB.
//
// # Sources
//
// Exif 2.32; TIFF 6.0; ITU-T T.81 (JPEG) and H.273 (code points); W3C PNG, third
// edition; RFC 9649 and RFC 6386 (WebP); ISO/IEC 14496-12 and 23008-12 (HEIF);
// ICC.1:2022; IEC 61966-2-1 (sRGB) and 61966-2-5 (opRGB); SMPTE RP 177 and EG
// 432-1; von Kries (1902); Hampel (1974) and Huber (1981) for robust means; van
// de Weijer, Gevers, Gijsenij (2007) for the light of a picture; Shafer (1985)
// for the shades of a material.
package palette
