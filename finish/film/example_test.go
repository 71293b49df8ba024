package film_test

import (
	"fmt"

	"undercoat/finish/film"
	"undercoat/palette/colour"
)

// Two coats of a teal that hides half of black and nine tenths of white in one
// coat, over cream cotton. The figures printed are regression only.
func ExampleOfPaint() {
	teal, _ := colour.FromHex("#2B7A81")
	cream, _ := colour.FromHex("#EFE8DA")
	paint, err := film.OfPaint(film.Known{
		Swatch:      teal,
		HidingBlack: film.Know(0.5),
		HidingWhite: film.Know(0.9),
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	ground := film.Wetted(cream.Reflectance())
	coat := paint.On(film.SideOf(ground))
	for n := 1; n <= 3; n++ {
		seen := film.Stack{Ground: ground, Films: []film.Film{coat.Coats(float64(n))}}.Reflectance()
		fmt.Printf("%d: %.1f from the swatch\n", n, colour.Difference(teal.Lab(), colour.D65().Lab(seen)))
	}
	fmt.Println(paint.Evidence)
	// Output:
	// 1: 6.4 from the swatch
	// 2: 1.4 from the swatch
	// 3: 0.3 from the swatch
	// hiding figures
}

// Four coats of one paint are one film four times as thick: the identity of
// Kubelka (1948); figures of the check file km_stack.csv.
func ExampleStack_Reflectance() {
	coat := film.Film{X: 0.5}
	for i := range coat.K {
		coat.K[i], coat.S[i] = 0.3, 1.7
	}
	four := film.Stack{Ground: film.Even(0.1), Films: []film.Film{coat, coat, coat, coat}}
	one := film.Stack{Ground: film.Even(0.1), Films: []film.Film{coat.Coats(4)}}
	fmt.Printf("%.10f %.10f\n", four.Reflectance()[0], one.Reflectance()[0])
	// Output: 0.5517726682 0.5517726682
}

// A fluorescent coat over white sends back more light than falls on it in the
// bands it glows in, over navy far less. The figures printed are regression
// only.
func ExampleOfFluorescent() {
	coral, _ := colour.FromHex("#FF5A50")
	paint, err := film.OfFluorescent(coral, film.Figure{}, film.Know(0.8))
	if err != nil {
		fmt.Println(err)
		return
	}
	day := colour.D65()
	black, _ := colour.FromHex("#1E2A46")
	pane := paint.Coats(3)
	white := pane.Over(film.FluorescentWhite())
	navy := pane.Over(film.Ultraviolet(black.Reflectance()))
	fmt.Println(paint.Class)
	fmt.Printf("over white: luminance %.2f, brightest band %.1f\n", white.Under(day).Y, white.Peak(day))
	fmt.Printf("over navy: luminance %.2f, brightest band %.1f\n", navy.Under(day).Y, navy.Peak(day))
	// Output:
	// red
	// over white: luminance 0.38, brightest band 2.4
	// over navy: luminance 0.23, brightest band 1.2
}
