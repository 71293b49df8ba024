// Package sheet answers what a maker holds: the papers of a job, printed from
// finished values. It takes a plan, its verdicts and its cautions and writes
// the papers of [Leaves] as HTML and as PDF on A4 or Letter, the calendar
// (RFC 5545) and the tables (RFC 4180).
//
// It computes nothing and asks nothing: same values, same bytes. The HTML
// stands alone (no outside file, no script), prints on A4 and on Letter, and is
// the readable form for screen readers. Printed colours are approximate; words
// and numbers stand beside every swatch, shapes and strokes beside every
// verdict. The PDFs embed the Go fonts (Latin, Greek, Cyrillic; licence in
// gofont); what those lack is printed as U+FFFD and named.
//
// A paper is a list of bits ([bit]): headings, lines to tick, tables, cards,
// pictures. Each knows how to set itself on a page and into a browser, so that
// both forms say the same.
//
// Most readers want [Leaves], [HTML] and [WriteCalendar].
package sheet
