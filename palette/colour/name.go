package colour

import (
	_ "embed"
	"math"
	"strings"
	"sync"
)

//go:embed data/iscc_nbs_centroids.csv
var centroidsCSV string

type centroid struct {
	name string
	lab  Lab
}

var centroids = sync.OnceValue(func() []centroid {
	t := readTable("centroids", centroidsCSV)
	out := make([]centroid, 0, len(t.rows))
	for i, r := range t.rows {
		out = append(out, centroid{strings.ReplaceAll(r[1], "gray", "grey"), Lab{t.number(i, 3), t.number(i, 4), t.number(i, 5)}})
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
