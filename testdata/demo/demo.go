// Package demo holds the demo job as files: the tables of "Low Water Night",
// a lantern pageant of three Fog-Bell Keepers, and the pictures R1 to R4 its
// targets are read from.
//
// Everything in it is invented for this tool: the pageant, the figure, the
// products, the prices and the tests. The pictures are drawn by the program
// in the draw folder.
package demo

import (
	"embed"
	"io/fs"
	"slices"
)

//go:embed *.csv R1.jpg R2.jpg R3.png R4.jpg
var files embed.FS

//go:embed answers.json
var answers []byte

// Answers returns what a correct plan of the demo job must find, as JSON: the
// author's paper arithmetic, for tests. It is no part of [Files].
func Answers() []byte { return slices.Clone(answers) }

// Files returns the demo job as a folder: one CSV file a table, and the
// pictures that references.csv names, all at the root. The folder is
// read-only and the same in every build.
func Files() fs.FS { return files }
