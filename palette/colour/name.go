package colour

import (
	_ "embed"
	"math"
	"strconv"
	"strings"
	"sync"
)

//go:embed data/iscc_nbs_centroids.csv
var centroidsCSV []byte

type centroid struct {
	name string
	lab  Lab
}

var centroids = sync.OnceValue(func() []centroid {
	rows := table(centroidsCSV)
	out := make([]centroid, 0, len(rows)-1)
	for _, r := range rows[1:] {
		f := func(i int) float64 { v, _ := strconv.ParseFloat(r[i], 64); return v }
		out = append(out, centroid{strings.ReplaceAll(r[1], "gray", "grey"), Lab{f(6), f(7), f(8)}})
	}
	return out
})

// Name returns the ISCC–NBS name of a D65 colour: "dark greyish blue".
func Name(l Lab) string {
	best, name := math.Inf(1), ""
	for _, c := range centroids() {
		if d := Difference(l, c.lab); d < best {
			best, name = d, c.name
		}
	}
	return name
}

// Named is a name with its share (0…1) of a set of colours.
type Named struct {
	Name  string
	Share float64
}
