package plan

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"undercoat/finish/garment"
	"undercoat/inventory"
	"undercoat/inventory/unit"
)

// An area's note may state what no column holds, for each wearer: a count of
// trims ("18 studs"), a mass ("12 g of pale fibre") or a volume of ink or dye
// ("6 ml of ink for each forelock"). These turn such notes into layers.

// trimCount is a number of one kind of trim on one wearer's piece.
type trimCount struct {
	noun  string // singular, as it stands in the trims' names
	count int
}

// trimCounts reads the counts of an area's note whose noun stands in the name
// of a trim on the shelf.
func (d *draft) trimCounts(a garment.Area) []trimCount {
	var counts []trimCount
	for _, m := range countOf.FindAllStringSubmatch(a.Note, -1) {
		noun := strings.ToLower(m[2])
		if len(d.trimsNamed(noun)) > 0 {
			counts = append(counts, trimCount{noun, int(decimal(m[1]))})
		}
	}
	return counts
}

// trimsNamed returns the counted trims whose name holds the noun, by code.
func (d *draft) trimsNamed(noun string) []inventory.Trim {
	var trims []inventory.Trim
	for _, t := range d.stock.Trims() {
		if t.Unit == "pc" && hasWord(t.Name, noun) {
			trims = append(trims, t)
		}
	}
	return trims
}

// addTrims gives every area the trims its note counts: the article the maker
// chose for it, else one that every wearer may have, so that the pieces look
// alike; of several the cheapest for the whole job. A wearer who may not have
// the chosen one gets the allowed one.
func (d *draft) addTrims() {
	for _, noun := range d.trimNouns() {
		allowed, found := d.chooseTrim(noun)
		for i := range d.areas {
			a := &d.areas[i]
			chosen := d.takeChosenTrim(a, noun)
			for _, c := range d.trimCounts(a.Area) {
				if c.noun != noun {
					continue
				}
				switch {
				case chosen != "":
					a.layers = append(a.layers, d.trimsFor(chosen, allowed, c.count)...)
				case found:
					a.layers = append(a.layers, trimLayer(allowed, c.count*d.pieces()))
				}
			}
		}
	}
}

// takeChosenTrim takes the trim of that noun the maker chose out of an area's
// layers; "" where none was chosen.
func (d *draft) takeChosenTrim(a *areaWork, noun string) string {
	own := slices.IndexFunc(a.layers, func(l layerWork) bool { return l.Role == RoleTrim && d.isNamed(l.Code, noun) })
	if own < 0 {
		return ""
	}
	code := a.layers[own].Code
	a.layers = slices.Delete(a.layers, own, own+1)
	return code
}

// trimsFor deals count pieces a wearer out: the chosen article, the allowed
// one to those who may not have it.
func (d *draft) trimsFor(chosen, allowed string, count int) []layerWork {
	t, _ := d.stock.Trim(chosen)
	barred := len(barredWearers(d.trimBars(t)))
	if allowed == "" {
		barred = 0 // there is nothing else to give them: the refusal stands
	}
	layers := []layerWork{trimLayer(chosen, count*(d.pieces()-barred))}
	if barred > 0 {
		layers = append(layers, trimLayer(allowed, count*barred))
	}
	return layers
}

func trimLayer(code string, count int) layerWork {
	return layerWork{Layer: Layer{Code: code, Role: RoleTrim, Count: count, Quantity: unit.Quantity{Amount: float64(count), Unit: "pc"}}}
}

func (d *draft) isNamed(code, noun string) bool {
	t, ok := d.stock.Trim(code)
	return ok && hasWord(t.Name, noun)
}

// trimNouns returns the nouns the areas count, sorted.
func (d *draft) trimNouns() []string {
	var nouns []string
	for _, a := range d.areas {
		for _, c := range d.trimCounts(a.Area) {
			nouns = append(nouns, c.noun)
		}
	}
	slices.Sort(nouns)
	return slices.Compact(nouns)
}

// trimTotal returns how many of a noun all wearers' pieces take.
func (d *draft) trimTotal(noun string) int {
	n := 0
	for _, a := range d.areas {
		for _, c := range d.trimCounts(a.Area) {
			if c.noun == noun {
				n += c.count * d.pieces()
			}
		}
	}
	return n
}

// chooseTrim returns the trim every wearer may have that costs least, and
// refuses, for one wearer each, the cheaper ones that one may not have.
func (d *draft) chooseTrim(noun string) (string, bool) {
	best, cost, found := "", unit.Money(0), false
	total := float64(d.trimTotal(noun))
	for _, t := range d.trimsNamed(noun) {
		if len(d.trimBars(t)) > 0 {
			continue
		}
		if c, _ := d.priceOf(t.Article, total); !found || c < cost {
			best, cost, found = t.Code, c, true
		}
	}
	for _, t := range d.trimsNamed(noun) {
		for _, bar := range d.trimBars(t) {
			r := Refusal{Area: d.firstWith(noun), Code: t.Code, What: fmt.Sprintf("%s for %s", t.Code, bar.wearer), Rule: "wearer", Why: bar.why, Wearer: bar.wearer}
			r.Instead = "a trim whose contents are stated"
			if found {
				r.Instead = fmt.Sprintf("%s (%s)", best, d.nameOf(best))
			}
			d.refuse(r)
		}
	}
	return best, found
}

func (d *draft) firstWith(noun string) string {
	for _, a := range d.areas {
		for _, c := range d.trimCounts(a.Area) {
			if c.noun == noun {
				return a.Code
			}
		}
	}
	return ""
}

// wearerBar is why one wearer may not have an article.
type wearerBar struct{ wearer, why string }

// trimBars lists the wearers a metal trim is refused for: those sensitive to a
// metal it holds, or may hold because its contents are not stated.
func (d *draft) trimBars(t inventory.Trim) []wearerBar {
	var bars []wearerBar
	for _, w := range d.job.Wearers {
		for _, s := range w.Sensitivities {
			if why := trimBar(t, s); why != "" {
				bars = append(bars, wearerBar{w.Code, fmt.Sprintf("%s reacts to %s; %s", w.Code, s, why)})
			}
		}
	}
	return bars
}

// barredWearers lists the wearers of some bars, each once.
func barredWearers(bars []wearerBar) []string {
	var all []string
	for _, b := range bars {
		if !slices.Contains(all, b.wearer) {
			all = append(all, b.wearer)
		}
	}
	return all
}

// metals are what a metal trim may hold unsaid.
var metals = []string{"nickel", "cobalt", "chromium", "chrome", "lead", "copper", "zinc", "brass"}

func trimBar(t inventory.Trim, substance string) string {
	note := strings.ToLower(t.Note)
	switch {
	case contains(t.Contains, substance):
		return fmt.Sprintf("%s contains it", t.Code)
	case strings.Contains(note, substance+" free") || strings.Contains(note, substance+"-free"):
		return ""
	case len(t.Contains) == 0 && hasWord(t.Medium, "metal") && slices.Contains(metals, substance):
		return fmt.Sprintf("whether %s holds any is not known", t.Code)
	}
	return ""
}

// contains reports whether a list of contents names a substance.
func contains(list []string, substance string) bool {
	return slices.ContainsFunc(list, func(c string) bool {
		return strings.Contains(strings.ToLower(c), strings.ToLower(substance))
	})
}

// addInks gives ink and fibre layers the amounts of the note.
func (d *draft) addInks() {
	for i := range d.areas {
		a := &d.areas[i]
		for k := range a.layers {
			l := &a.layers[k]
			if l.Role != RoleInk {
				continue
			}
			if each, ok := notedAmount(volumeOf, a.Note, "ink", "dye"); ok && l.dye.Unit == "ml" {
				l.Volume = RoundVolume(unit.Volume(each * float64(d.pieces())))
				if l.Left = l.Volume; l.done >= l.Coats {
					l.Left = 0
				}
				l.Quantity = unit.Quantity{Amount: float64(l.Volume), Unit: "ml"}
			}
		}
		if t, ok := d.stock.Trim(a.Ground); ok && a.Method == garment.ByDye {
			if each, ok := notedAmount(massOf, a.Note, "fibre", "weft", "hair", "yarn"); ok && t.Unit == "g" {
				a.layers = append(a.layers, layerWork{Layer: Layer{
					Code: t.Code, Role: RoleTrim, Quantity: unit.Quantity{Amount: each * float64(d.pieces()), Unit: "g"},
				}})
			}
		}
	}
}

// notedAmount returns the amount of the first phrase whose thing is one of the
// nouns.
func notedAmount(phrase *regexp.Regexp, note string, nouns ...string) (float64, bool) {
	for _, m := range phrase.FindAllStringSubmatch(note, -1) {
		if hasWord(m[2], nouns...) {
			return decimal(m[1]), true
		}
	}
	return 0, false
}

// addTreatments gives an area's cloth the baths the caller wants and those the
// recipe names: one bath for the whole cloth, one pack each; a bath is not
// measured by area.
func (d *draft) addTreatments() error {
	for _, t := range d.in.Treatments {
		i := slices.IndexFunc(d.areas, func(a areaWork) bool { return a.Code == t.Area })
		if i < 0 {
			return fmt.Errorf("plan treatment %s: area %s: expected an area of the job", t.Code, t.Area)
		}
		a := &d.areas[i]
		if slices.ContainsFunc(a.layers, func(l layerWork) bool { return l.Code == t.Code }) {
			continue
		}
		w, err := d.layer(*a, garment.Layer{Code: t.Code})
		if err != nil {
			return err
		}
		w.Role = RoleTreatment
		a.layers = append(a.layers, w)
	}
	for i := range d.areas {
		for k := range d.areas[i].layers {
			if l := &d.areas[i].layers[k]; l.Role == RoleTreatment {
				l.Coats = 0
				l.Quantity = unit.Quantity{Amount: packSize(l.paint.Article), Unit: l.paint.Unit}
			}
		}
	}
	return nil
}

// packSize returns the amount in one pack, 1 where it is not stated.
func packSize(a inventory.Article) float64 {
	if q, ok := a.Pack.Get(); ok && q.Amount > 0 {
		return q.Amount
	}
	return 1
}
