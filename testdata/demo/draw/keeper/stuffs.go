package keeper

import "math"

// The demo's targets, by area code, and the grounds beside them.
var target = map[string]string{
	"A1": "#6C7176", "A2": "#F3F1EC", "A3": "#1F2638", "A4": "#2C7C82", "A5": "#FF5B52",
	"A6": "#BDB8AE", "A7": "#6E5134", "A8": "#4E2A28", "A9": "#2C7C82",
}

const (
	creamKnit  = "#EFE8DA"
	blackVinyl = "#1C1C1E"
	verdigris  = "#5E9C8B"
	studBrass  = "#8C7440"
	bellBrass  = "#A8873F"
	skinTone   = "#B98A6B"
	trouser    = "#34302E"
	bootHide   = "#2A211D"
	poleWood   = "#6A543C"
)

// wardrobe is every stuff the figure is made of, in the colours one picture
// shows: a colour per area code.
type wardrobe map[string]string

func (w wardrobe) of(code string) rgb { return hex(w[code]) }

func (w wardrobe) suiting() material {
	return material{colour: w.of("A1"), bulge: 0.75, round: 46, gloss: 0.015, power: 6, pile: 0.03, weave: wool}
}

func (w wardrobe) drill() material {
	return material{colour: w.of("A2"), bulge: 0.7, round: 26, gloss: 0.02, power: 8, weave: twill}
}

func (w wardrobe) velveteen() material {
	return material{colour: w.of("A3"), bulge: 0.8, round: 40, gloss: 0.012, power: 5, pile: 0.10, weave: nap}
}

func (w wardrobe) knit() material {
	return material{colour: hex(creamKnit), bulge: 0.8, round: 34, gloss: 0.01, power: 5, weave: ribs}
}

func (w wardrobe) band() material {
	m := w.knit()
	m.colour, m.bulge = w.of("A4"), 0
	return m
}

func (w wardrobe) fluorescent() material {
	return material{colour: w.of("A5"), bulge: 0.7, round: 24, gloss: 0.02, power: 8, glow: 0.12, weave: twill}
}

func (w wardrobe) vinyl() material {
	return material{colour: hex(blackVinyl), bulge: 0.9, round: 34, gloss: 0.5, power: 26}
}

func (w wardrobe) stone() material {
	return material{colour: w.of("A6"), bulge: 0.25, round: 3, gloss: 0.05, power: 12}
}

func (w wardrobe) bronze() material {
	base := w.of("A7")
	green := hex(verdigris)
	return material{colour: base, bulge: 0.8, round: 22, gloss: 0.16, power: 14, weave: hammered,
		dye: func(p point, c rgb) rgb { return blend(c, green, 0.55*patina(p)) }}
}

func (w wardrobe) leather() material {
	return material{colour: w.of("A8"), bulge: 0.9, round: 36, gloss: 0.13, power: 14, weave: creases}
}

func (w wardrobe) forelock() material {
	return material{colour: w.of("A9"), bulge: 0.8, round: 14, gloss: 0.12, power: 16}
}

func plain(hexColour string, bulge, round, gloss, power float64) material {
	return material{colour: hex(hexColour), bulge: bulge, round: round, gloss: gloss, power: power}
}

// Weaves are reliefs in figure units.

func wool(p point) float64  { return 0.10 * cloud(p.X/3.1, p.Y/3.1, 2, 11) }
func twill(p point) float64 { return 0.05 * math.Sin((p.X+p.Y)*1.9) }
func nap(p point) float64 {
	return 0.20*cloud(p.X/9, p.Y/26, 3, 23) + 0.06*speck(int32(p.X*1.3), int32(p.Y*1.3), 5)
}
func ribs(p point) float64 { return 0.16 * math.Sin(p.X*2*math.Pi/6.5) }
func hammered(p point) float64 {
	return 0.55*cloud(p.X/15, p.Y/15, 2, 41) + 0.1*cloud(p.X/4, p.Y/4, 1, 42)
}
func creases(p point) float64 {
	return 0.35*math.Pow(math.Max(0, noise(p.X/34, p.Y/9, 51)), 2) + 0.07*cloud(p.X/4, p.Y/4, 2, 52)
}

// patina is where verdigris has gathered on the yoke, 0…1: low edges, hinges
// and runs below the studs; about two fifths of it.
func patina(p point) float64 {
	edge := smooth(352, 440, p.Y+14*cloud(p.X/22, 3, 2, 61)+math.Abs(p.X)*0.32)
	hinge := math.Exp(-math.Pow((math.Abs(p.X)-108)/17, 2))
	runs := math.Max(0, noise(p.X/11, p.Y/90, 63)) * smooth(300, 400, p.Y+math.Abs(p.X)*0.3)
	clear := math.Exp(-math.Pow((p.X+46)/26, 2) - math.Pow((p.Y-388)/20, 2)*0.8)
	v := 0.75*edge + 0.8*hinge + 0.45*runs + 0.45*cloud(p.X/30, p.Y/24, 3, 64)
	return smooth(0.3, 0.95, v) * (1 - smooth(0.2, 0.7, clear))
}
