package finish

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"undercoat/palette/colour"
)

// A spectrum typed as 36 numbers, a file of pairs at another step, and a short
// one of 400 to 700 nm give the same reflectance where they can.
func TestParseSpectrum(t *testing.T) {
	line := func(nm int) float64 { return 0.1 + float64(nm-380)/1000 }
	var bare, pairs, short strings.Builder
	pairs.WriteString("nm,reflectance\n")
	for i := range colour.Bands {
		fmt.Fprintf(&bare, "%g,", line(colour.Wavelength(i)))
	}
	for nm := 360; nm <= 780; nm += 5 {
		fmt.Fprintf(&pairs, "%d,%g\n", nm, line(nm))
	}
	for nm := 700; nm >= 400; nm -= 20 {
		fmt.Fprintf(&short, "%d\t%g\r\n", nm, line(nm))
	}
	for name, text := range map[string]string{"36 numbers": bare.String(), "pairs": pairs.String(), "400 to 700": short.String()} {
		r, err := ParseSpectrum(text)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		for i, v := range r {
			want := line(colour.Wavelength(i))
			if name == "400 to 700" {
				want = line(min(max(colour.Wavelength(i), 400), 700))
			}
			if math.Abs(v-want) > 1e-12 {
				t.Errorf("%s at %d nm: %g, want %g", name, colour.Wavelength(i), v, want)
			}
		}
	}
	for name, text := range map[string]string{
		"nothing": "", "words": "nm,R\n400,red\n", "percentages": strings.Repeat("45 ", 36), "35 numbers": strings.Repeat("0.5 ", 35),
		"ends early": "400 .5\n420 .5\n440 .5\n", "gaps": "400 .5\n500 .5\n600 .5\n700 .5\n", "twice": "400 .5\n400 .5\n700 .5\n",
		"too bright": strings.Replace(strings.Repeat("0.5 ", 36), "0.5", "1.5", 1), "not a number": strings.Replace(strings.Repeat("0.5 ", 36), "0.5", "NaN", 1),
	} {
		if r, err := ParseSpectrum(text); err == nil {
			t.Errorf("%s: read as %v", name, r)
		}
	}
	for n, text := range map[int]string{0: "", 2: "0.5,0.6", 35: strings.Repeat("0.5 ", 35), 37: strings.Repeat("0.5 ", 37)} {
		_, err := ParseSpectrum(text)
		want := fmt.Sprintf("%d numbers: expected 36, the reflectances 0 to 1 from 380 to 730 nm at every 10 nm", n)
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%d numbers: %v, want %q", n, err, want)
		}
	}
}
