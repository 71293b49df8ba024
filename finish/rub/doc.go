// Package rub answers whether colour comes off, and on what: it grades a
// stained cloth, keeps what a test was done on and how, tells how each test is
// done, and gives a verdict for every contact of a job.
//
// It takes clean and stained colours (CIELAB), readings of a photographed cloth,
// tests on record and a [undercoat/finish/garment.Job], and gives grades 1…5 in
// half steps (5 best) and verdicts that name the test they rest on. It refuses a
// photograph that cannot carry a grade ([ErrNoGrade]); a contact without a test
// is "not tested", with the test to do and how early to do it.
//
// The walk of a verdict: 1. what an area shows ([undercoat/finish/garment.Area]
// with its ground and chosen layers); 2. which side gives something off; 3. the
// grade the contact asks for, by the house rule; 4. the tests of that article
// that speak for its state; 5. the word, with treatments that have a reason,
// barriers and tests still wanted.
//
// The standards measure under D65 with the 10° observer; a maker's photograph
// and the workroom's colours are D65, 2°. On stains of measured textiles the two
// disagree by less than a quarter of a grade (a test measures it); a grade read
// near a step's edge may fall on the other side.
//
// Sources: A04 ISO 105-A04 (staining, instrumental); A05 ISO 105-A05 (change
// in colour, instrumental); A02, A03 the grey scales; X12 ISO 105-X12 (rubbing);
// E01, E04, C06, X11 the tests the home versions stand in for.
//
// Most readers want [Staining] and [Verdicts].
package rub
