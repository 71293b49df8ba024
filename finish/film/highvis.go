package film

import (
	_ "embed"
	"encoding/csv"
	"strconv"
	"strings"
	"sync"

	"undercoat/palette/colour"
)

// highVisCSV is the published boxes, with their source.
//
//go:embed data/highvis.csv
var highVisCSV string

// HighVisSource names where the boxes were read.
const HighVisSource = "EN 471:1994 family, read in GOST R 12.4.219-99 table 2"

// HighVisBox is the chromaticity box of a class of high-visibility clothing
// under D65, 2 degrees, with the least luminance factor (white 1). A colour in
// it is plausible for its class: it certifies nothing, no prediction does.
type HighVisBox struct {
	Class   string // a class of [DyeClasses]
	Name    string // "fluorescent yellow"
	Corners [4][2]float64
	Least   float64
}

// HighVisBoxOf returns the box of a dye class; known is false where none is
// published for that hue.
func HighVisBoxOf(class string) (box HighVisBox, known bool) {
	for _, b := range highVisBoxes() {
		if b.Class == class {
			return b, true
		}
	}
	return HighVisBox{}, false
}

var highVisBoxes = sync.OnceValue(func() (boxes []HighVisBox) {
	r := csv.NewReader(strings.NewReader(highVisCSV))
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		panic("film: highvis.csv: " + err.Error())
	}
	for _, row := range rows[1:] {
		b := HighVisBox{Class: row[0], Name: row[1]}
		var v [9]float64
		for i := range v {
			if v[i], err = strconv.ParseFloat(row[2+i], 64); err != nil {
				panic("film: highvis.csv: " + err.Error())
			}
		}
		for i := range b.Corners {
			b.Corners[i] = [2]float64{v[2*i], v[2*i+1]}
		}
		b.Least = v[8]
		boxes = append(boxes, b)
	}
	return boxes
})

// Holds says whether a daylight colour's chromaticity lies in the box, its
// edges included, and whether it is as bright as the box asks.
func (b HighVisBox) Holds(day colour.XYZ) (inside, bright bool) {
	x, y := day.Chromaticity()
	left, right := false, false
	for i, p := range b.Corners {
		q := b.Corners[(i+1)%len(b.Corners)]
		turn := (q[0]-p[0])*(y-p[1]) - (q[1]-p[1])*(x-p[0])
		left, right = left || turn > 0, right || turn < 0
	}
	return !(left && right), day.Y >= b.Least
}
