package palette

import (
	"sync"

	"undercoat/palette/colour"
)

// chartColumns and chartRows are the layout of the 24-patch chart, held with
// the grey row at the bottom and white on its left.
const (
	chartColumns = 6
	chartRows    = 4
	chartPatches = chartColumns * chartRows
)

// chartPatch is one patch of the published chart: CIELAB under D50, 2°, of
// charts made before November 2014 and since.
type chartPatch struct {
	name        string
	before, now colour.Lab
}

// chartTable lists the patches row by row.
//
// Source: the chart maker's reference tables of 2005 and 2016 (D50, 2°, M0).
var chartTable = [chartPatches]chartPatch{
	{"dark skin", colour.Lab{L: 37.986, A: 13.555, B: 14.059}, colour.Lab{L: 37.54, A: 14.37, B: 14.92}},
	{"light skin", colour.Lab{L: 65.711, A: 18.13, B: 17.81}, colour.Lab{L: 64.66, A: 19.27, B: 17.5}},
	{"blue sky", colour.Lab{L: 49.927, A: -4.88, B: -21.905}, colour.Lab{L: 49.32, A: -3.82, B: -22.54}},
	{"foliage", colour.Lab{L: 43.139, A: -13.095, B: 21.905}, colour.Lab{L: 43.46, A: -12.74, B: 22.72}},
	{"blue flower", colour.Lab{L: 55.112, A: 8.844, B: -25.399}, colour.Lab{L: 54.94, A: 9.61, B: -24.79}},
	{"bluish green", colour.Lab{L: 70.719, A: -33.397, B: -0.199}, colour.Lab{L: 70.48, A: -32.26, B: -0.37}},
	{"orange", colour.Lab{L: 62.661, A: 36.067, B: 57.096}, colour.Lab{L: 62.73, A: 35.83, B: 56.5}},
	{"purplish blue", colour.Lab{L: 40.02, A: 10.41, B: -45.964}, colour.Lab{L: 39.43, A: 10.75, B: -45.17}},
	{"moderate red", colour.Lab{L: 51.124, A: 48.239, B: 16.248}, colour.Lab{L: 50.57, A: 48.64, B: 16.67}},
	{"purple", colour.Lab{L: 30.325, A: 22.976, B: -21.587}, colour.Lab{L: 30.1, A: 22.54, B: -20.87}},
	{"yellow green", colour.Lab{L: 72.532, A: -23.709, B: 57.255}, colour.Lab{L: 71.77, A: -24.13, B: 58.19}},
	{"orange yellow", colour.Lab{L: 71.941, A: 19.363, B: 67.857}, colour.Lab{L: 71.51, A: 18.24, B: 67.37}},
	{"blue", colour.Lab{L: 28.778, A: 14.179, B: -50.297}, colour.Lab{L: 28.37, A: 15.42, B: -49.8}},
	{"green", colour.Lab{L: 55.261, A: -38.342, B: 31.37}, colour.Lab{L: 54.38, A: -39.72, B: 32.27}},
	{"red", colour.Lab{L: 42.101, A: 53.378, B: 28.19}, colour.Lab{L: 42.43, A: 51.05, B: 28.62}},
	{"yellow", colour.Lab{L: 81.733, A: 4.039, B: 79.819}, colour.Lab{L: 81.8, A: 2.67, B: 80.41}},
	{"magenta", colour.Lab{L: 51.935, A: 49.986, B: -14.574}, colour.Lab{L: 50.63, A: 51.28, B: -14.12}},
	{"cyan", colour.Lab{L: 51.038, A: -28.631, B: -28.638}, colour.Lab{L: 49.57, A: -29.71, B: -28.32}},
	{"white", colour.Lab{L: 96.539, A: -0.425, B: 1.186}, colour.Lab{L: 95.19, A: -1.03, B: 2.93}},
	{"neutral 8", colour.Lab{L: 81.257, A: -0.638, B: -0.335}, colour.Lab{L: 81.29, A: -0.57, B: 0.44}},
	{"neutral 6.5", colour.Lab{L: 66.766, A: -0.734, B: -0.504}, colour.Lab{L: 66.89, A: -0.75, B: -0.06}},
	{"neutral 5", colour.Lab{L: 50.867, A: -0.153, B: -0.27}, colour.Lab{L: 50.76, A: -0.13, B: 0.14}},
	{"neutral 3.5", colour.Lab{L: 35.656, A: -0.421, B: -1.231}, colour.Lab{L: 35.63, A: -0.46, B: -0.48}},
	{"black", colour.Lab{L: 20.461, A: -0.079, B: -0.973}, colour.Lab{L: 20.64, A: 0.07, B: -0.46}},
}

// chartValues holds one edition of the chart as it looks under D65.
type chartValues struct {
	edition string
	rgb     [chartPatches]colour.LinearRGB
	lab     [chartPatches]colour.Lab
}

// chartEditions are the two editions, the newer first, adapted from D50 to D65.
var chartEditions = sync.OnceValue(func() [2]chartValues {
	now, before := chartValues{edition: "made since November 2014"}, chartValues{edition: "made before November 2014"}
	d50, d65 := colour.D50().White(), colour.D65().White()
	for i, p := range chartTable {
		for _, v := range []struct {
			to  *chartValues
			lab colour.Lab
		}{{&now, p.now}, {&before, p.before}} {
			v.to.rgb[i] = colour.Adapt(v.lab.XYZ(d50), d50, d65).LinearRGB()
			v.to.lab[i] = v.to.rgb[i].Lab()
		}
	}
	return [2]chartValues{now, before}
})
