// Package film answers how light fares in layers of paint: the colour of coats
// over a ground, of paints stirred together, and of a fluorescent coat over its
// base, and how far each answer can be trusted.
//
// It takes what a maker knows of a paint ([Known]: a swatch, hiding figures, a
// contrast ratio, an opacity word, trials, measured films) and gives one coat
// as a film ([Paint], [Film]) with its doubts; films go into a [Stack]. It
// refuses figures no film can have and knows no pot, price or garment.
//
// Conditions: reflectance factors of 36 bands, 380…730 nm by 10 nm; matt,
// uniform, diffusely lit films; colours under D65, 2°, unless a light is
// named. Fluorescent work adds eight bands from 300 nm. Metallic, pearl and
// glow-in-the-dark paints are outside the model. Amounts are coats at the
// maker's spread rate; see [ReferenceWet] for words.
//
// A film carries the convention of its outer boundary ([Surface]): none for
// colours somebody declared, Saunderson's for measured spectra.
//
// How the answer is built:
//
//  1. OfPaint finds K and S of one coat from the best that is known;
//  2. Paint.On takes the coat as it covers a dark or a light ground;
//  3. Stack.Reflectance lays the coats, Fluorescent.Coats those that glow;
//  4. Uneven, Absorbency and Wetted say what cloth does to them;
//  5. Sampler draws paints as they might be, for ranges.
//
// Most readers want [OfPaint] and [Stack.Reflectance].
//
// Sources, by key. Read: Kubelka and Munk (1931); Curtis et al. (1997), table;
// Berns, artist paint spectral database (2016); Chen et al., arXiv 1904.00275
// (2019), data; Lekner and Dorf (1988), abstract; ISO 6504-1, ISO 2814 and EN
// 13300, summaries. Recalled, not re-read: Kubelka (1948, 1954); Saunderson
// (1942); Duncan (1940); Fukshansky and Kazarinova (1980); Bonham (1986);
// Shakespeare and Shakespeare (2003); Siano and Metzler (1969); ISO 6504-3.
package film
