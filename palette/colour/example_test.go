package colour_test

import (
	"fmt"

	"undercoat/palette/colour"
)

func Example() {
	target, _ := colour.Parse("#6C7176")
	cloth, _ := colour.Parse("lab(43.1 -2.2 -3.0)")
	fmt.Println(colour.Name(target.Lab()))
	fmt.Printf("ΔE00 %.1f: %s\n", colour.Difference(target.Lab(), cloth.Lab()), colour.InWords(target.Lab(), cloth.Lab()))
	// Output:
	// bluish grey
	// ΔE00 4.5: darker, a little greener
}

// The first pair of Sharma, Wu and Dalal (2005), table 1: 2.0425.
func ExampleDifference() {
	a := colour.Lab{L: 50, A: 2.6772, B: -79.7751}
	b := colour.Lab{L: 50, A: 0, B: -82.7485}
	fmt.Printf("%.4f\n", colour.Difference(a, b))
	// Output: 2.0425
}

func ExampleParse() {
	c, err := colour.Parse("lab(47.4 -0.8 -3.4)")
	fmt.Println(c.Hex(), c.Basis(), err)
	_, err = colour.Parse("lab(147 0 0)")
	fmt.Println(err)
	// Output:
	// #6c7176 declared <nil>
	// read colour: "lab(147 0 0)": found L* "147", expected a number within 0…100
}

func ExampleLightNamed() {
	hall, _ := colour.LightNamed("2900 K")
	x, y := hall.White().Chromaticity()
	fmt.Printf("%s: x %.3f, y %.3f\n", hall.Name(), x, y)
	// Output: 2900 K: x 0.444, y 0.406
}

// A colour that only a fluorescent could have is drawn to the nearest surface.
func ExampleFromLab() {
	glowing := colour.Lab{L: 85, A: 60, B: 70}
	c, givenUp := colour.FromLab(glowing, colour.Declared)
	fmt.Println("beyond surfaces:", colour.BeyondSurface(glowing))
	fmt.Printf("nearest surface %v, given up ΔE00 %.1f\n", c.Hex(), givenUp)
	// Output:
	// beyond surfaces: true
	// nearest surface #ffb887, given up ΔE00 8.5
}

func ExampleNamesWithin() {
	fmt.Println(colour.InPercent(colour.NamesWithin(colour.Lab{L: 47.4, A: -0.8, B: -3.4}, 3)))
	// Output: bluish grey 71 %, medium grey 11 %, dark bluish grey 11 %, greyish blue 5 %, dark grey 2 %
}

func ExampleIndex_Nearest() {
	shelf := []colour.Lab{{L: 30}, {L: 48, A: -1, B: -2}, {L: 95}}
	for _, h := range colour.NewIndex(shelf).Nearest(colour.Lab{L: 47.4, A: -0.8, B: -3.4}, 2) {
		fmt.Printf("%d: ΔE00 %.2f\n", h.Index, h.Diff)
	}
	// Output:
	// 1: ΔE00 1.42
	// 0: ΔE00 15.40
}

// Two greys that agree in daylight and part under a tungsten lamp: the second
// is the first with four bands changed so that D65 does not show it.
func ExampleMetamerismIndex() {
	grey, _ := colour.FromHex("#808080")
	plain := grey.Reflectance()
	changed := plain
	for nm, by := range map[int]float64{450: -0.0298, 500: 0.2, 570: -0.1215, 630: 0.1829} {
		changed[(nm-colour.FirstNM)/colour.StepNM] += by
	}
	fmt.Printf("ΔE00 %.1f in daylight, %.1f under A\n",
		colour.Difference(colour.D65().Lab(plain), colour.D65().Lab(changed)),
		colour.MetamerismIndex(plain, changed, colour.A()))
	// Output: ΔE00 0.0 in daylight, 4.6 under A
}
