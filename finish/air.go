package finish

import (
	"context"
	"fmt"
	"math"
	"strings"

	"undercoat/finish/caution"
	"undercoat/finish/garment"
	"undercoat/inventory"
	"undercoat/inventory/unit"
)

// AirRequest asks for the vapour of a product in a room. What is left open is
// taken from the job, else assumed, and the answer says so.
type AirRequest struct {
	Product, Amount string
	Space, Over     string   // "" takes the job's room, and the product's touch-dry time
	Changes         float64  // air changes an hour; below 0 takes the room's
	Mixing          float64  // 1 to 10; 0 takes a room with an open window and a fan
	Density         float64  // g/mL, for Contains; 0 takes 1
	Contains        []string // SUBSTANCE=PERCENT by mass
	Limits          []string // SUBSTANCE=PPM, a local limit; the substance may be "volatile part"
}

// AirAnswer is a warning light, not a permit. Its JSON is the `air` contract.
type AirAnswer struct {
	Product    string         `json:"product"`
	VolumeM3   float64        `json:"volume_m3"`
	Changes    float64        `json:"changes_per_hour"`
	Mixing     float64        `json:"mixing"`
	Substances []AirSubstance `json:"substances"`
	Index      float64        `json:"mixture_index"`
	Excursion  float64        `json:"peak_index"`       // the peak beside the work against the 8-hour limits
	Short      float64        `json:"short_term_index"` // the same peak against the short-term limits and ceilings the table has
	LELShare   float64        `json:"lel_share"`
	AirNeeded  float64        `json:"air_needed_m3_h"` // outdoor air that would hold the vapour at its limits while it is laid
	Airing     *float64       `json:"airing_h"`        // hours after the work until a tenth of the limits; null: never, no air moves
	Assumed    []string       `json:"assumed"`         // what was taken because nothing was stated
	Ignition   string         `json:"ignition"`        // a flash point below the room's temperature; "" none known
	Verdict    string         `json:"verdict"`
	Text       string         `json:"text"`
}

// AirSubstance is one substance of an estimate.
type AirSubstance struct {
	Name        string  `json:"name"`
	PeakPPM     float64 `json:"peak_ppm"`
	MeanPPM     float64 `json:"mean_8h_ppm"`
	NearPPM     float64 `json:"near_work_ppm"`
	LimitPPM    float64 `json:"limit_ppm"` // 0 none listed, which is not harmless
	LimitSource string  `json:"limit_source"`
	ShortPPM    float64 `json:"short_term_ppm"`  // short-term limit or ceiling; 0 none listed
	ShortKind   string  `json:"short_term_kind"` // "15 min", "ceiling"; "" none
	FireSpaceM3 float64 `json:"fire_space_m3"`   // air its vapour fills to a tenth of the lower explosive limit; 0 not known
	Skin        bool    `json:"through_skin"`
}

// Air estimates the vapour a product puts into a room. It asks for what it lacks
// and cannot assume: the room, and what evaporates.
func (b *Bench) Air(ctx context.Context, q AirRequest) (AirAnswer, error) {
	s, err := b.airScene(ctx)
	if err != nil {
		return AirAnswer{}, err
	}
	art, err := s.article(q.Product)
	if err != nil {
		return AirAnswer{}, err
	}
	if err := q.check(); err != nil {
		return AirAnswer{}, err
	}
	room, assumed, err := airRoom(s, q)
	if err != nil {
		return AirAnswer{}, err
	}
	work, taken, err := airWork(s, art, q)
	if err != nil {
		return AirAnswer{}, err
	}
	if err := asked(s, art, room, work); err != nil {
		return AirAnswer{}, err
	}
	e, err := caution.Air(room, work)
	if err != nil {
		return AirAnswer{}, err
	}
	a := AirAnswer{
		Product: art.Code + " " + art.Name, VolumeM3: e.VolumeM3, Changes: round(e.Changes, 2), Mixing: e.Mixing, Index: round(e.Index, 3), Excursion: round(e.Excursion, 3), Short: round(e.Short, 3), LELShare: round(e.LELShare, 4),
		AirNeeded: round(e.AirNeeded, 0), Assumed: append(list(assumed), taken...), Ignition: e.Ignition, Verdict: string(e.Verdict), Text: e.Text, Substances: []AirSubstance{},
	}
	if e.Airing >= 0 {
		h := round(e.Airing.Hours(), 1)
		a.Airing = &h
	}
	for i, v := range e.Vapours {
		sub := AirSubstance{
			Name: v.Name, PeakPPM: round(v.PeakPPM, 2), MeanPPM: round(v.MeanPPM, 2), NearPPM: round(v.NearPPM, 2), LimitPPM: v.LimitPPM, LimitSource: v.LimitSource,
			ShortPPM: v.ShortPPM, ShortKind: v.ShortKind, FireSpaceM3: round(v.FireSpace, 3),
		}
		sub.Skin = i < len(work.Released) && work.Released[i].Solvent.Skin
		a.Substances = append(a.Substances, sub)
	}
	return a, nil
}

// check refuses numbers that cannot be meant.
func (q AirRequest) check() error {
	switch {
	case math.IsNaN(q.Changes) || q.Changes > 1000:
		return fmt.Errorf("estimate air: %g air changes an hour: expected 0 to 1000", q.Changes)
	case q.Mixing != 0 && !(q.Mixing >= 1 && q.Mixing <= 10):
		return fmt.Errorf("estimate air: mixing factor %g: expected 1 to 10", q.Mixing)
	case q.Density != 0 && !(q.Density >= 0.3 && q.Density <= 5):
		return fmt.Errorf("estimate air: density %g g/mL: expected 0.3 to 5", q.Density)
	}
	return nil
}

// asked is one error that names everything the estimate lacks and cannot assume.
func asked(s scene, art inventory.Article, room caution.Room, work caution.Work) error {
	var lacks, try []string
	if room.Volume <= 0 {
		lacks, try = append(lacks, "the room's volume"), append(try, "--room '26 m3', or volume_m3 in room.csv")
	}
	if len(work.Released) == 0 && work.Lump <= 0 {
		of := caution.Lacks(s.stock, art.Code)
		if len(of) == 0 {
			of = []string{"volatile part (its label states a VOC of 0)"}
		}
		lacks = append(lacks, art.Code+"'s "+strings.Join(of, " and "))
		try = append(try, "--contains 'acetone=40' for every substance, from section 3 of the safety data sheet; --density from section 9", "the label's VOC in g/L: undercoat stock add, column voc_g_l")
	}
	if len(lacks) == 0 {
		return nil
	}
	return &Hinted{Err: fmt.Errorf("estimate air: not known: %s", strings.Join(lacks, "; ")), Try: try}
}

// airScene reads the job where there is one, and the shelf alone otherwise.
func (b *Bench) airScene(ctx context.Context) (scene, error) {
	jobs, err := b.file.Jobs(ctx)
	if err != nil {
		return scene{}, err
	}
	if b.job != "" || len(jobs) == 1 {
		return b.scene(ctx)
	}
	stock, err := b.file.Stock(ctx)
	return scene{stock: stock}, err
}

// airRoom is the room asked about, and what was assumed of it.
func airRoom(s scene, q AirRequest) (caution.Room, []string, error) {
	of := s.job.Room
	if q.Space != "" {
		v, err := unit.ParseSpace(q.Space)
		if err != nil {
			return caution.Room{}, nil, err
		}
		of = garment.Room{Volume: unit.State(v), DayC: of.DayC} // another room: its fan is not known
	}
	if q.Changes >= 0 {
		of.Changes, of.Fan = unit.State(q.Changes), unit.Stated[float64]{}
	}
	room, assumed := caution.RoomOf(of)
	if q.Mixing > 0 {
		room.Mixing = q.Mixing
		assumed = assumed[:len(assumed)-1] // the mixing factor stands last
	}
	return room, assumed, nil
}

// airWork is what is released and in what time, and what was taken for it.
func airWork(s scene, art inventory.Article, q AirRequest) (w caution.Work, assumed []string, err error) {
	amount, err := unit.ParseVolume(q.Amount)
	if err != nil {
		return w, nil, err
	}
	if amount <= 0 {
		return w, nil, fmt.Errorf("estimate air: amount %q: expected more than nothing, such as \"150 ml\"", q.Amount)
	}
	limits, err := namedLimits(q.Limits)
	if err != nil {
		return w, nil, err
	}
	if len(q.Contains) > 0 {
		if w.Released, err = released(q, amount); err != nil {
			return w, nil, err
		}
		if q.Density <= 0 {
			assumed = append(assumed, "density 1 g/ml")
		}
	} else if known, how, ok := caution.Evaporates(s.stock, art.Code, amount); ok {
		w = known
		assumed = append(assumed, how)
	}
	if err := enterLimits(&w, limits); err != nil {
		return w, nil, err
	}
	w.Over = caution.TouchOf(s.stock, art.Code)
	if q.Over != "" {
		w.Over, err = unit.ParseSpan(q.Over)
		return w, assumed, err
	}
	return w, append(assumed, "released over "+unit.FormatSpan(w.Over)+", until it is touch dry"), nil
}

// released turns the shares of a safety data sheet into masses.
func released(q AirRequest, amount unit.Volume) ([]caution.Released, error) {
	density := q.Density
	if density <= 0 {
		density = 1
	}
	var out []caution.Released
	sum := 0.0
	for _, c := range q.Contains {
		name, share, err := nameNumber(c, "SUBSTANCE=PERCENT")
		if err != nil {
			return nil, err
		}
		if share <= 0 {
			return nil, fmt.Errorf("estimate air: %q: expected a share above 0 %%", c)
		}
		sub, err := caution.SolventNamed(name)
		if err != nil {
			return nil, err
		}
		sum += share
		out = append(out, caution.Released{Solvent: sub, Mass: unit.Mass(share / 100 * float64(amount) * density)})
	}
	if sum > 100 {
		return nil, fmt.Errorf("estimate air: the shares add up to %g %%: expected at most 100", sum)
	}
	return out, nil
}

// localLimit is a limit the maker entered.
type localLimit struct {
	name string
	ppm  float64
}

func namedLimits(texts []string) ([]localLimit, error) {
	var out []localLimit
	for _, t := range texts {
		name, v, err := nameNumber(t, "SUBSTANCE=PPM")
		if err != nil {
			return nil, err
		}
		if v <= 0 {
			return nil, fmt.Errorf("estimate air: %q: expected a limit above 0 ppm", t)
		}
		out = append(out, localLimit{name, v})
	}
	return out, nil
}

// enterLimits puts the maker's limits over the table's. A limit for a substance
// that is not released is an error: it was meant to count.
func enterLimits(w *caution.Work, limits []localLimit) error {
	for _, l := range limits {
		if strings.EqualFold(l.name, caution.LumpName) && w.Lump > 0 {
			w.LumpLimit = l.ppm
			continue
		}
		sub, err := caution.SolventNamed(l.name)
		found := false
		for i, r := range w.Released {
			if err == nil && r.Solvent.Name == sub.Name {
				w.Released[i].Solvent.LimitPPM, w.Released[i].Solvent.LimitFrom, found = l.ppm, caution.LimitEntered, true
			}
		}
		if !found {
			return fmt.Errorf("estimate air: limit for %q: expected a substance that is released here%s", l.name, releasedNames(*w))
		}
	}
	return nil
}

func releasedNames(w caution.Work) string {
	var names []string
	for _, r := range w.Released {
		names = append(names, r.Solvent.Name)
	}
	if w.Lump > 0 {
		names = append(names, caution.LumpName)
	}
	if len(names) == 0 {
		return ""
	}
	return ": " + strings.Join(names, ", ")
}

func nameNumber(s, form string) (string, float64, error) {
	name, n, ok := strings.Cut(s, "=")
	v, err := unit.ParseNumber(n)
	if !ok || err != nil || v < 0 {
		return "", 0, fmt.Errorf("estimate air: %q: expected %s", s, form)
	}
	return strings.TrimSpace(name), v, nil
}
