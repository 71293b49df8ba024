package match

import (
	"errors"
	"slices"
	"strings"

	"undercoat/finish/film"
	"undercoat/inventory"
	"undercoat/inventory/unit"
	"undercoat/palette/colour"
)

// Role is what a product does in a stack.
type Role string

// The roles of a product, from its label.
const (
	Seal  Role = "seal"  // closes an open ground before the first coat
	Block Role = "block" // keeps the ground's dye down
	Cover Role = "cover" // hides what is under it
	Glaze Role = "glaze" // transparent: shifts what is under it
	Glow  Role = "glow"  // fluorescent
	Clear Role = "clear" // colourless, over everything
	Rub   Role = "rub"   // metallic or pearl: outside the model
)

// pot is one product of the shelf as layers need it.
type pot struct {
	paint inventory.Paint
	role  Role
	film  film.Paint
	glow  film.Fluorescent
	wet   float64             // µm of one wet coat
	known bool                // whether there is a colour to predict with
	made  []share             // what a millilitre of it is made of
	price float64             // minor units of money a millilitre
	sold  bool                // whether the price is known
	doubt string              // what of its label could not be used
	thick float64             // how thick a coat of a fluorescent is laid; 0 is as usual
	draws func() film.Sampler // of the film, prepared once; nil: not prepared
}

// share is a part of a product by volume, 0…1.
type share struct {
	code   string
	volume float64
}

// RoleOf returns what a product does, judged from its kind, medium, note and
// figures.
func RoleOf(p inventory.Paint) Role {
	words := strings.ToLower(p.Medium + " " + p.Name)
	says := func(w ...string) bool {
		for _, x := range w {
			if strings.Contains(words, x) {
				return true
			}
		}
		return false
	}
	hides, known := p.HidingBlack.Get()
	switch {
	case p.Kind == inventory.KindTreatment:
		return ""
	case p.Kind == inventory.KindSealer && suitsRaw(p):
		return Seal
	case p.Kind == inventory.KindSealer:
		return Clear
	case p.Fluorescent.Known() || says("fluorescent"):
		return Glow
	case says("block", "barrier"):
		return Block
	case says("metallic", "pearl", "interference", "glow in the dark"):
		return Rub
	case says("glaze", "wash") || known && hides <= transparentBelow:
		return Glaze
	default:
		return Cover
	}
}

// transparentBelow is the share of black one coat hides below which a paint is
// used as a glaze. Judgement.
const transparentBelow = 0.25

// suitsRaw says whether a sealer is meant for foam that is still open.
func suitsRaw(p inventory.Paint) bool {
	for _, s := range p.Suits {
		if strings.EqualFold(s, "foam") || strings.EqualFold(s, "raw foam") {
			return true
		}
	}
	return false
}

// FilmOf returns one coat of a paint from what its label, its measures and its
// note say, see [film.OfPaint]. stock gives the grounds its trials were laid
// on and the whites its tints were stirred into.
func FilmOf(p inventory.Paint, stock inventory.Stock) (film.Paint, error) {
	k := knownOf(p, stock)
	k.Tints = tints(p, stock)
	return film.OfPaint(k)
}

// knownOf is what is known of a paint but for its tints.
func knownOf(p inventory.Paint, stock inventory.Stock) film.Known {
	k := film.Known{HidingBlack: figure(p.HidingBlack), HidingWhite: figure(p.HidingWhite), WetFilm: figure(wetFilm(p))}
	k.Swatch, _ = p.Colour.Get()
	k.Opacity = opacity(p)
	k.Trials = trials(p, stock)
	return k
}

func figure(s unit.Stated[float64]) film.Figure {
	v, ok := s.Get()
	return film.Figure{Value: v, Known: ok}
}

// wetFilm returns the wet film of one coat in µm: as stated, or the spread
// rate, of which 1 mL/m² is 1 µm.
func wetFilm(p inventory.Paint) unit.Stated[float64] {
	if p.WetFilm.Known() {
		return p.WetFilm
	}
	if s, ok := p.Spread.Get(); ok {
		return unit.State(float64(s))
	}
	return unit.Stated[float64]{}
}

// opacity reads the covering word of a label, the longest first.
func opacity(p inventory.Paint) film.Opacity {
	text := strings.ToLower(p.Name + " " + p.Medium + " " + p.Note)
	for _, w := range []string{"semi-opaque", "semi-transparent", "transparent", "glaze", "opaque"} {
		if strings.Contains(text, w) {
			o, err := film.ParseOpacity(w)
			if err == nil {
				return o
			}
		}
	}
	return film.Unstated
}

// trials returns the drawdowns and strike-offs on record as films laid over
// something, seen in daylight. What was read under another light and is no
// spectrum tells nothing here.
func trials(p inventory.Paint, stock inventory.Stock) []film.Trial {
	var out []film.Trial
	for _, m := range p.Measures {
		if m.Kind == inventory.Tint {
			continue
		}
		over, ok := groundOfTrial(m.Over, stock)
		if !ok {
			continue
		}
		t := film.Trial{Over: over, Coats: float64(m.Coats.Or(1))}
		if wet, ok := m.WetFilm.Get(); ok {
			if one, ok := wetFilm(p).Get(); ok && one > 0 {
				t.Coats = wet / one
			}
		}
		if t.Seen, ok = seenIn(m); ok && t.Coats > 0 {
			out = append(out, t)
		}
	}
	return out
}

// leftOut notes the trials of a paint that tell nothing of daylight.
func leftOut(p inventory.Paint, v *verdict) {
	var lights []string
	for _, m := range p.Measures {
		if !m.OfItself() && !m.Tells() {
			lights = append(lights, m.Light)
		}
	}
	if n := len(lights); n > 0 {
		slices.Sort(lights)
		v.note(RuleRange, "%s: %d of its trials left out, read under %s and no spectrum", p.Code, n, strings.Join(slices.Compact(lights), ", "))
	}
}

// seenIn returns the colour of a measure in daylight, as sure as it was read.
func seenIn(m inventory.Measure) (colour.Colour, bool) {
	if r, ok := m.Spectrum.Get(); ok {
		return colour.FromReflectance(r, m.Read()), true
	}
	if l, ok := m.Lab.Get(); ok && m.Daylight() {
		c, _ := colour.FromLab(l, m.Read())
		return c, true
	}
	return colour.Colour{}, false
}

// usualTint is the share by mass of a paint in a tint where none is said: one
// part to nine of white.
const usualTint = 0.1

// tints returns the tints on record. The white is taken as it is known without
// tints of its own, so that two paints may be tints of each other.
func tints(p inventory.Paint, stock inventory.Stock) []film.Tint {
	var out []film.Tint
	for _, m := range p.Measures {
		if m.Kind != inventory.Tint {
			continue
		}
		white, ok := stock.Paint(m.Over)
		seen, read := seenIn(m)
		if !ok || !read {
			continue
		}
		in, err := film.OfPaint(knownOf(white, stock))
		if err != nil {
			continue
		}
		share := m.Share.Or(usualTint)
		coats := func(p inventory.Paint, mass float64) float64 {
			d, _ := densityOf(p)
			return mass / d / wetFilm(p).Or(usualWet)
		}
		out = append(out, film.Tint{In: in.On(middleSide), Paint: coats(p, share), White: coats(white, 1-share), Seen: seen})
	}
	return out
}

// groundOfTrial returns what a trial lay on: a half of the hiding card or a
// stock article. A swatch of the paint on itself is no trial.
func groundOfTrial(over string, stock inventory.Stock) (colour.Reflectance, bool) {
	switch over {
	case "black":
		return film.Even(film.CardBlack), true
	case "white":
		return film.Even(film.CardWhite), true
	case "", "itself":
		return colour.Reflectance{}, false
	}
	a, ok := stock.Article(over)
	if !ok {
		return colour.Reflectance{}, false
	}
	c, ok := a.Colour.Get()
	if !ok || !c.Valid() {
		return colour.Reflectance{}, false
	}
	if cloth, ok := stock.Cloth(over); ok {
		if _, open := weaveOf(cloth); open {
			return film.Wetted(c.Reflectance()), true
		}
	}
	return c.Reflectance(), true
}

// usualWet is the film of one brushed coat in µm wet where neither it nor the
// spread rate is stated. Judgement.
const usualWet = 80.0

// potOf returns a product ready for layering. A product without a colour is
// known only by its role.
func potOf(p inventory.Paint, stock inventory.Stock) pot {
	t := pot{paint: p, role: RoleOf(p), wet: wetFilm(p).Or(usualWet), made: []share{{p.Code, 1}}}
	t.price, t.sold = perUnit(p.Article, "ml")
	if t.role == Glow {
		c, _ := p.Colour.Get()
		g, err := film.OfFluorescent(c, figure(p.Fluorescent), figure(p.HidingWhite))
		t.glow, t.known = g, err == nil
		return t
	}
	f, err := FilmOf(p, stock)
	if errors.Is(err, film.ErrFigures) {
		t.doubt = err.Error()
		p.HidingBlack, p.HidingWhite = unit.Stated[float64]{}, unit.Stated[float64]{}
		f, err = FilmOf(p, stock)
	}
	t.film, t.known = f, err == nil
	return t
}
