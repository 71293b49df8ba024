package film

import (
	"fmt"
	"math"
	"sync"

	"undercoat/palette/colour"
)

// Fluorescent is a fluorescent paint: one coat, and the class of dye it was
// taken for. Made by [OfFluorescent].
type Fluorescent struct {
	Class string
	Peak  float64 // emission peak in nm
	Coat  Glow
	// Full is the number of coats that give the paint's full, most vivid colour
	// over white.
	Full float64
	// Evidence says what the strength of a coat rests on.
	Evidence Evidence

	panes *paneTable
}

// Coats returns n coats of the paint as one film, n held to quarters of a coat
// and to 0…24. Films once made are kept.
func (f Fluorescent) Coats(n float64) GlowPane {
	quarters := int(math.Round(min(max(n, 0), 24) * 4))
	return f.panes.at(quarters)
}

// paneTable keeps the films of whole quarters of a coat; each is the one below
// it with a quarter more.
type paneTable struct {
	mu    sync.Mutex
	coat  Glow
	panes []GlowPane
}

func (t *paneTable) at(quarters int) GlowPane {
	t.mu.Lock()
	defer t.mu.Unlock()
	if len(t.panes) == 0 {
		t.panes = append(t.panes, t.coat.Coats(0), t.coat.Coats(0.25))
	}
	for len(t.panes) <= quarters {
		t.panes = append(t.panes, t.panes[len(t.panes)-1].On(t.panes[1]))
	}
	return t.panes[quarters]
}

// hueCoats is the number of coats over white a swatch of a fluorescent paint
// is taken to show.
const hueCoats = 3

// peakReach is how far the emission peak of a class may be moved to meet a
// swatch, in nm.
const peakReach = 12.0

// OfFluorescent returns one coat of a fluorescent paint from its swatch, its
// emission peak in nm where the maker states it, and the share of its full
// colour one coat gives on white (the "hides white" of a label).
//
// A swatch of a fluorescent is clipped: only its hue is used. The class of dye
// is the one whose hue is nearest, by the stated peak where there is one, and
// its emission is then moved by up to 12 nm until three coats over white have
// the swatch's hue in daylight. Lightness and chroma are never fitted, and what
// a label says of hiding black is not used: a fluorescent hides black by its
// own light, which the model gives, more than labels admit.
func OfFluorescent(swatch colour.Colour, peak, white Figure) (Fluorescent, error) {
	if !swatch.Valid() {
		return Fluorescent{}, fmt.Errorf("film of fluorescent paint: swatch: %w", ErrNoColour)
	}
	if white.Known && !(white.Value > 0 && white.Value <= 1) {
		return Fluorescent{}, fmt.Errorf("film of fluorescent paint: share of full colour: %g: expected above 0 and up to 1: %w", white.Value, ErrFigures)
	}
	key := fluorescentKey{swatch.Lab().LCh().H, peak, white}
	if made, ok := fluorescents.Load(key); ok {
		return made.(Fluorescent), nil
	}
	hue := key.hue
	class := nearestClass(hue, peak)
	class = class.Shifted(shiftTo(class, hue))
	full := fullOf(class.Glow)
	f := Fluorescent{Class: class.Name, Peak: class.Peak, Coat: class.Glow, Full: full, Evidence: ByGuess}
	if white.Known {
		f.Evidence = ByFigures
		one := coatFor(class.Glow, full, white.Value)
		f.Coat, f.Full = f.Coat.strengthened(one), full/one
	}
	f.panes = &paneTable{coat: f.Coat}
	fluorescents.Store(key, f)
	return f, nil
}

type fluorescentKey struct {
	hue         float64
	peak, white Figure
}

// fluorescents remembers what was made: the fit costs some ten milliseconds
// and its answer follows from the key alone.
var fluorescents sync.Map // fluorescentKey → Fluorescent

// strengthened returns a coat x times as thick.
func (g Glow) strengthened(x float64) Glow {
	g.Strength *= x
	for i := range g.Host {
		g.Host[i] *= x
		g.Scatter[i] *= x
	}
	return g
}

// classHues holds the hue of each class over white, in the table's order.
var classHues = sync.OnceValue(func() []float64 {
	var h []float64
	for _, d := range dyeClasses() {
		h = append(h, hueOverWhite(d.Glow))
	}
	return h
})

func hueOverWhite(g Glow) float64 {
	d65 := colour.D65()
	return g.Coats(hueCoats).Over(FluorescentWhite()).Under(d65).Lab(d65.White()).LCh().H
}

// turn returns the angle from hue a to hue b in degrees, −180…180.
func turn(a, b float64) float64 { return math.Remainder(b-a, 360) }

// peakDoubt is how far a class's peak may lie from a stated one, in nm.
const peakDoubt = 15.0

// nearestClass returns the class whose hue over white is nearest, among those
// whose emission peak agrees with a stated one where any does.
func nearestClass(hue float64, peak Figure) DyeClass {
	best, at := math.Inf(1), 0
	for i, d := range dyeClasses() {
		far := math.Abs(turn(classHues()[i], hue))
		if peak.Known && math.Abs(d.Peak-peak.Value) > peakDoubt {
			far += 360 // only where no class agrees
		}
		if far < best {
			best, at = far, i
		}
	}
	return dyeClasses()[at]
}

// shiftTo returns by how many nm the emission of a class has to move for its
// colour over white to have the hue, held to ±12. A longer wave turns every
// class the same way within that reach, so the answer is closed in on by false
// position from both ends.
func shiftTo(d DyeClass, hue float64) float64 {
	miss := func(nm float64) float64 { return turn(hueOverWhite(d.Shifted(nm).Glow), hue) }
	lo, hi := -peakReach, peakReach
	flo, fhi := miss(lo), miss(hi)
	if flo*fhi > 0 {
		if math.Abs(flo) < math.Abs(fhi) {
			return lo
		}
		return hi
	}
	for range 6 {
		x := (lo*fhi - hi*flo) / (fhi - flo)
		f := miss(x)
		if math.Abs(f) < 0.05 {
			return x
		}
		if f*flo > 0 {
			lo, flo = x, f
		} else {
			hi, fhi = x, f
		}
	}
	return (lo*fhi - hi*flo) / (fhi - flo)
}

// mostCoats is the number of usual coats over white looked at for the full
// colour; every usual dye turns duller well before.
const mostCoats = 6

// fullOf returns the number of usual coats, in quarters, that give the most
// vivid colour over white: the full colour of a fluorescent. More of them only
// absorb their own light.
func fullOf(g Glow) float64 {
	d65, white := colour.D65(), FluorescentWhite()
	t := paneTable{coat: g}
	best, at := 0.0, 1
	for q := 1; q <= 4*mostCoats; q++ {
		if c := t.at(q).Over(white).Under(d65).Lab(d65.White()).LCh().C; c > best {
			best, at = c, q
		}
	}
	return float64(at) / 4
}

// coatFor returns how many usual coats make one that gives the share of the
// colour of full coats on white, as the distance in tristimulus values gone
// from the white. At most two thirds of full are asked about: a label that says
// more means that one coat does.
func coatFor(g Glow, full, share float64) float64 {
	d65, white := colour.D65(), FluorescentWhite()
	start := GlowPane{new(matrix), identity()}.Over(white).Under(d65)
	end := g.Coats(full).Over(white).Under(d65)
	gone := func(n float64) float64 {
		return 1 - apart(g.Coats(n).Over(white).Under(d65), end)/apart(start, end)
	}
	lo, hi := 0.01, full*2/3
	for range 10 {
		mid := math.Sqrt(lo * hi)
		if gone(mid) < share {
			lo = mid
		} else {
			hi = mid
		}
	}
	return math.Sqrt(lo * hi)
}
