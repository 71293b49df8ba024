package finish

import (
	"context"
	"fmt"
	"strings"
	"time"

	"undercoat/finish/caution"
	"undercoat/inventory"
	"undercoat/inventory/unit"
)

// AirRequest asks for the vapour of a product in a room.
type AirRequest struct {
	Product, Amount string
	Space, Over     string   // "" takes the job's room, and the product's touch-dry time
	Changes         float64  // below 0 takes the room's
	Mixing          float64  // 1 to 10
	Density         float64  // g/mL
	Contains        []string // SUBSTANCE=PERCENT by mass
	Limits          []string // SUBSTANCE=PPM
}

// AirAnswer is a warning light, not a permit. Its JSON is the `air` contract.
type AirAnswer struct {
	Product    string         `json:"product"`
	VolumeM3   float64        `json:"volume_m3"`
	Changes    float64        `json:"changes_per_hour"`
	Mixing     float64        `json:"mixing"`
	Substances []AirSubstance `json:"substances"`
	Index      float64        `json:"mixture_index"`
	LELShare   float64        `json:"lel_share"`
	Verdict    string         `json:"verdict"`
	Text       string         `json:"text"`
}

// AirSubstance is one substance of an estimate.
type AirSubstance struct {
	Name        string  `json:"name"`
	PeakPPM     float64 `json:"peak_ppm"`
	MeanPPM     float64 `json:"mean_8h_ppm"`
	NearPPM     float64 `json:"near_work_ppm"`
	LimitPPM    float64 `json:"limit_ppm"`
	LimitSource string  `json:"limit_source"`
}

// defaultChanges is a closed home room; see package caution.
const defaultChanges = 0.3

// Air estimates the vapour a product puts into a room.
func (b *Bench) Air(ctx context.Context, q AirRequest) (AirAnswer, error) {
	s, err := b.airScene(ctx)
	if err != nil {
		return AirAnswer{}, err
	}
	art, err := s.article(q.Product)
	if err != nil {
		return AirAnswer{}, err
	}
	room, err := airRoom(s, q)
	if err != nil {
		return AirAnswer{}, err
	}
	work, err := airWork(s, art, q)
	if err != nil {
		return AirAnswer{}, err
	}
	e, err := caution.Air(room, work)
	if err != nil {
		return AirAnswer{}, &Hinted{Err: err, Try: []string{"--room '26 m3'", "--contains 'acetone=40' from section 3 of the safety data sheet"}}
	}
	a := AirAnswer{
		Product: art.Code + " " + art.Name, VolumeM3: e.VolumeM3, Changes: round(e.Changes, 2), Mixing: e.Mixing, Index: round(e.Index, 3), LELShare: round(e.LELShare, 4),
		Verdict: string(e.Verdict), Text: e.Text, Substances: []AirSubstance{},
	}
	for _, v := range e.Vapours {
		a.Substances = append(a.Substances, AirSubstance{
			Name: v.Name, PeakPPM: round(v.PeakPPM, 2), MeanPPM: round(v.MeanPPM, 2), NearPPM: round(v.NearPPM, 2), LimitPPM: v.LimitPPM, LimitSource: v.LimitSource,
		})
	}
	return a, nil
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

func airRoom(s scene, q AirRequest) (caution.Room, error) {
	r := caution.Room{Volume: s.job.Room.Volume.Or(0), Changes: q.Changes, Mixing: q.Mixing}
	if q.Space != "" {
		v, err := unit.ParseSpace(q.Space)
		if err != nil {
			return r, err
		}
		r.Volume = v
	}
	if r.Changes >= 0 {
		return r, nil
	}
	r.Changes = s.job.Room.Changes.Or(defaultChanges)
	if fan, ok := s.job.Room.Fan.Get(); ok && r.Volume > 0 {
		r.Changes = fan / float64(r.Volume)
	}
	return r, nil
}

func airWork(s scene, art inventory.Article, q AirRequest) (caution.Work, error) {
	amount, err := unit.ParseVolume(q.Amount)
	if err != nil {
		return caution.Work{}, err
	}
	paint, _ := s.stock.Paint(art.Code)
	dye, _ := s.stock.Dye(art.Code)
	w := caution.Work{Over: paint.Touch.Or(dye.Touch.Or(time.Hour))}
	if q.Over != "" {
		if w.Over, err = unit.ParseSpan(q.Over); err != nil {
			return w, err
		}
	}
	if len(q.Contains) > 0 {
		w.Released, err = released(q, amount)
		return w, err
	}
	voc, known := paint.VOC.Get()
	if known && paint.Base != "solvent" {
		w.Lump = unit.Mass(voc * float64(amount) / 1000)
	}
	return w, nil
}

// released turns the shares of a safety data sheet into masses.
func released(q AirRequest, amount unit.Volume) ([]caution.Released, error) {
	limits := map[string]float64{}
	for _, l := range q.Limits {
		name, v, err := nameNumber(l, "SUBSTANCE=PPM")
		if err != nil {
			return nil, err
		}
		limits[strings.ToLower(name)] = v
	}
	var out []caution.Released
	sum := 0.0
	for _, c := range q.Contains {
		name, share, err := nameNumber(c, "SUBSTANCE=PERCENT")
		if err != nil {
			return nil, err
		}
		sub, err := caution.SolventNamed(name)
		if err != nil {
			return nil, err
		}
		if l, ok := limits[strings.ToLower(name)]; ok {
			sub.LimitPPM, sub.LimitFrom = l, "entered by the maker"
		}
		sum += share
		out = append(out, caution.Released{Solvent: sub, Mass: unit.Mass(share / 100 * float64(amount) * q.Density)})
	}
	if sum > 100 {
		return nil, fmt.Errorf("estimate air: the shares add up to %g %%: expected at most 100", sum)
	}
	return out, nil
}

func nameNumber(s, form string) (string, float64, error) {
	name, n, ok := strings.Cut(s, "=")
	v, err := unit.ParseNumber(n)
	if !ok || err != nil || v < 0 {
		return "", 0, fmt.Errorf("estimate air: %q: expected %s", s, form)
	}
	return strings.TrimSpace(name), v, nil
}
