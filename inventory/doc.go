// Package inventory answers what is on the shelf and what was stated, measured,
// chosen and done for a job. It holds the one file of a workroom.
//
// It takes tables as makers keep them in spreadsheets (CSV) and facts from
// commands, and gives immutable values: a [Stock] snapshot of the shelf and the
// [JobFacts] of a job. Plans, dates and cautions are not kept here: they are
// computed from these facts every time.
//
// # The walk of a table's cell
//
//  1. A [File] reads a folder ([File.ImportJob], [File.ImportStock]). Every
//     fact is a struct whose tags name its columns; one codec reads, prints,
//     stores and loads them all.
//  2. Empty is unknown, never zero. Numbers are in the unit of their column's
//     name and become typed values of package unit at this door.
//  3. Every cell that is not understood is collected as a [BadCell]; tables are
//     held against each other; only when nothing is wrong is anything written,
//     in one transaction.
//  4. Columns and tables that are not known are kept and written out again.
//  5. [File.ExportJob] prints the same tables. Reading its own export changes
//     nothing, and exporting again gives the same bytes.
//
// Cells that a spreadsheet would compute as a formula are written with one
// apostrophe in front, which reading takes off again. A time is the wall clock
// of the job's time zone; in the file it is UTC.
//
// # What the file promises
//
// A stock amount is the sum of its movements (bought, used, reserved, released,
// thrown away, counted), so [File.Movements] explains every figure. An approved
// target is never changed: a later approval stands beside it. A job has a
// version that every change counts up; a write that names an older one is
// refused with [ErrChanged], so that two windows never overwrite each other
// unseen. A write that was answered survives the program's death and a power
// cut (SQLite with a write-ahead log and full synchronisation). Such a file
// belongs on a disk of the machine, not on a network share, where locks cannot
// be trusted.
//
// It refuses files that are not its own, damaged ones and those of a newer
// version, without touching them, and copies a file before it changes its form.
//
// Colours are CIELAB under D65 with the 2° observer unless a light is named;
// spectra are 36 values, 380…730 nm by 10 nm. Differences are CIEDE2000.
//
// Sources: RFC 4180 (CSV), RFC 3339 (times), the SQLite file format and the
// IANA time zone database.
//
// Most readers want [Open] and [File.Stock].
package inventory
