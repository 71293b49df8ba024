// Package sheet answers what a maker holds: the papers of a job, printed from
// finished values. It takes a plan, its verdicts and its cautions and writes
// the bench sheet as HTML, the calendar (RFC 5545) and the tables (RFC 4180).
//
// It computes nothing and asks nothing: same values, same bytes. The HTML
// stands alone (no outside file), prints on A4 and on Letter, and is the
// readable form for screen readers. Printed colours are approximate; words
// and numbers stand beside every swatch.
//
// Most readers want [HTML] and [WriteCalendar].
package sheet
