// Package rub answers whether colour comes off, and on what: it grades a
// stained cloth, keeps what a test was done on and how, and gives a verdict
// for every contact of a job.
//
// It takes clean and stained colours (CIELAB), tests on record and a
// [undercoat/finish/garment.Job], and gives grades 1…5 in half steps (5 best)
// and verdicts that name the test they rest on. It refuses nothing by itself:
// a contact without a test is "not tested", with the test to do.
//
// The standards measure under D65 with the 10° observer; a maker's photograph
// and the workroom's colours are D65, 2°. For the small differences graded
// here the two disagree by less than the width of a half step, and a grade
// read near a step's edge shows both steps.
//
// Sources: A04 ISO 105-A04 (staining, instrumental); A05 ISO 105-A05 (change
// in colour, instrumental); A02, A03 the grey scales; X12 ISO 105-X12 (rubbing).
//
// Most readers want [Staining] and [Verdicts].
package rub
