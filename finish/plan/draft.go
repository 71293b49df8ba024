package plan

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"undercoat/finish/garment"
	"undercoat/finish/match"
	"undercoat/inventory"
	"undercoat/inventory/unit"
)

// draft is a plan in the making. Each stage of the walk fills its own fields
// from finished ones and leaves the others alone.
type draft struct {
	in     Input
	job    garment.Job
	stock  inventory.Stock
	now    time.Time
	factor float64 // sum of the wearers' area factors

	done   map[string]garment.Done // by step id; the last word on a step holds
	areas  []areaWork
	room   roomWork
	loss   map[string]float64 // working loss by product, where a trade changes it
	drying RoomDrying
	buys   []Purchase
	cloth  []ClothNeed

	work  []work // steps before they have dates
	index map[string]int
	waits []wait

	refusals []Refusal
}

// areaWork is one area with everything a stage knows of it.
type areaWork struct {
	garment.Area
	ground  inventory.Cloth // what lies under the coats; zero where it is no cloth
	onCloth bool
	layers  []layerWork
	chosen  bool
	basis   string
	setting Setting

	predicted  unit.Stated[Prediction]
	difference unit.Stated[float64]
	between    [2]float64    // range of the difference
	curve      []match.Step  // colour after every coat
	ways       []match.Match // what the matcher knows for the area, best first
}

// layerWork is a layer with its stock line.
type layerWork struct {
	Layer
	paint inventory.Paint // paints, sealers, treatments
	dye   inventory.Dye
	under string // code of what lies directly under the first coat
	bare  bool   // that is cloth or foam which soaks
	each  []unit.Volume
	done  int // coats that are done
}

// coats reports whether the layer is laid in coats.
func (l layerWork) coats() bool {
	switch l.Role {
	case RoleBase, RoleUndercoat, RoleTop, RoleFluorescent, RoleGlaze, RoleSealer:
		return true
	}
	return false
}

// newDraft checks what a plan cannot do without.
func newDraft(in Input) (*draft, error) {
	if len(in.Job.Hours) == 0 {
		in.Job.Hours = UsualHours()
	}
	d := &draft{in: in, job: in.Job, stock: in.Stock, factor: in.Job.Factor(), done: map[string]garment.Done{}, index: map[string]int{}}
	if d.job.Zone == nil {
		d.job.Zone = time.UTC
	}
	starts, stated := d.job.Starts.Get()
	d.now = in.Now
	if d.now.IsZero() {
		d.now = starts
	}
	if d.now.IsZero() {
		return nil, fmt.Errorf("plan %s: planning_starts: expected a time in job.csv, or the present time", d.job.Name)
	}
	if stated && d.now.Before(starts) {
		d.now = starts
	}
	d.now = d.now.In(d.job.Zone)
	for _, f := range d.job.Done {
		d.done[f.Step] = f
	}
	return d, nil
}

// loadAreas looks every area's ground and chosen layers up on the shelf.
func (d *draft) loadAreas() error {
	for _, a := range d.job.Areas {
		w := areaWork{Area: a}
		w.ground, w.onCloth = d.stock.Cloth(a.Ground)
		if _, known := d.stock.Article(a.Ground); a.Ground != "" && !known {
			return fmt.Errorf("plan area %s: ground %s: expected a stock code", a.Code, a.Ground)
		}
		layers, chosen := d.job.ChoiceFor(a.Code)
		w.chosen = chosen
		if chosen {
			w.basis = "chosen by the maker"
		} else if w.onCloth && a.Method == garment.ByCloth {
			layers, w.chosen, w.basis = []garment.Layer{{Code: a.Ground}}, true, "cut from the cloth stated as its ground"
		}
		if err := d.addLayers(&w, layers); err != nil {
			return err
		}
		d.areas = append(d.areas, w)
	}
	return nil
}

// addLayers turns layers into work, from the ground up.
func (d *draft) addLayers(w *areaWork, layers []garment.Layer) error {
	for _, l := range layers {
		work, err := d.layer(*w, l)
		if err != nil {
			return err
		}
		w.layers = append(w.layers, work)
	}
	assignRoles(w.layers)
	w.linkUnder()
	return nil
}

// layer looks one layer up; its role is settled by [assignRoles].
func (d *draft) layer(w areaWork, l garment.Layer) (layerWork, error) {
	work := layerWork{Layer: Layer{Code: l.Code, Coats: l.Coats}}
	a, known := d.stock.Article(l.Code)
	if !known {
		return work, fmt.Errorf("plan area %s: recipe: %s is not on the shelf: expected a stock code", w.Code, l.Code)
	}
	switch a.Kind {
	case inventory.KindCloth:
		work.Role, work.Coats = RoleCloth, 0
	case inventory.KindTrim:
		work.Role, work.Coats = RoleTrim, 0
	case inventory.KindDye:
		work.Role = RoleInk
		work.dye, _ = d.stock.Dye(l.Code)
		work.Coats = max(1, work.Coats)
	default:
		work.paint, _ = d.stock.Paint(l.Code)
	}
	return work, nil
}

// assignRoles says what each product does in its stack: of the paints that
// give a colour the last is the top and those under it carry it.
func assignRoles(layers []layerWork) {
	top := -1
	for i := range layers {
		if layers[i].Role == "" {
			layers[i].Role = ownRole(layers[i].paint)
		}
		if r := layers[i].Role; r == RoleTop || r == RoleFluorescent {
			top = i
		}
	}
	for i := range layers {
		if layers[i].Role == RoleTop && i < top {
			layers[i].Role = RoleUndercoat
		}
	}
}

// ownRole is what a product does by itself, as [match.RoleOf] reads it.
func ownRole(p inventory.Paint) Role {
	switch match.RoleOf(p) {
	case match.Seal, match.Clear:
		return RoleSealer
	case match.Block:
		return RoleBase
	case match.Glaze:
		return RoleGlaze
	case match.Glow:
		return RoleFluorescent
	case match.Cover, match.Rub:
		return RoleTop
	}
	if isFixer(p) {
		return RoleFixer
	}
	return RoleTreatment
}

// isFixer reports whether a treatment is stirred into paint.
func isFixer(p inventory.Paint) bool {
	return noted(shareInPaint, p.Note).Known() || extra(p.Article, "share_pct").Known() || hasWord(p.Medium, "linker", "fixer")
}

// linkUnder says what each layer's first coat meets.
func (w *areaWork) linkUnder() {
	under, bare := w.Ground, w.soaks()
	for i := range w.layers {
		l := &w.layers[i]
		if !l.coats() {
			continue
		}
		l.under, l.bare = under, bare
		under, bare = l.Code, false
	}
}

// soaks reports whether the ground takes paint up: every cloth and foam but
// those with a closed skin.
func (w *areaWork) soaks() bool {
	if !w.onCloth {
		return false
	}
	m := materials(w.ground)
	return !slices.ContainsFunc(m, func(s string) bool { return s == "vinyl" || s == "polyurethane" || strings.Contains(s, "leather") })
}

// pieces returns how many pieces of the area there are: one per wearer.
func (d *draft) pieces() int { return len(d.job.Wearers) }

// Step ids, a contract with done.csv: they depend on codes and numbers only.

func coatID(area, code string, coat int, side string) string {
	id := fmt.Sprintf("%s-%s-%d", area, code, coat)
	if side != "" {
		id += "-" + side
	}
	return id
}

func stepID(area string, verb Verb) string {
	return area + "-" + strings.ReplaceAll(string(verb), " ", "-")
}
