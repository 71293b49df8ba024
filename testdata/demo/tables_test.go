package demo

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"undercoat/inventory"
	"undercoat/palette/colour"
)

// answerKey is answers.json: the author's paper arithmetic, which these tests
// hold against the tables so that neither moves alone.
type answerKey struct {
	FactorSum float64 `json:"factor_sum"`
	Readings  []struct{ Area, Target, R1, R2, R3, R4 string }
	Amounts   []struct {
		Area, Product string
		Coats         int
		NeedML        float64 `json:"need_ml"`
		RepairML      float64 `json:"repair_ml"`
		OnHandML      float64 `json:"on_hand_ml"`
		BuyPacks      int     `json:"buy_packs"`
		PackML        float64 `json:"pack_ml"`
		Cost          string
	}
	ProductsCost string `json:"products_cost"`
	Cloth        []struct {
		Code, Area  string
		ClothM2     float64 `json:"cloth_m2"`
		CutM        float64 `json:"cut_m"`
		NeedM       float64 `json:"need_m"`
		WithReserve float64 `json:"with_reserve_m"`
		OnHandM     float64 `json:"on_hand_m"`
	}
	Sash struct {
		CoatMin    float64 `json:"coat_min"`
		CureH      float64 `json:"cure_h"`
		WithFan    sashRun `json:"with_fan"`
		WithoutFan sashRun `json:"without_fan"`
	}
	OtherPairs []struct {
		Code, Area string
		DE00       float64
	} `json:"other_pairs"`
	Traps []struct {
		No   int
		DE00 map[string]map[string]float64
	}
}

type sashRun struct {
	Factor   float64
	Steps    []struct{ Code, Start, End string }
	Cured    string
	HandsOff string `json:"hands_off"`
	Met      bool
}

func key(t *testing.T) answerKey {
	t.Helper()
	var k answerKey
	if err := json.Unmarshal(Answers(), &k); err != nil {
		t.Fatal(err)
	}
	return k
}

func TestImportTakesEveryTable(t *testing.T) {
	ctx := context.Background()
	now := func() time.Time { return time.Date(2026, 10, 26, 9, 0, 0, 0, time.UTC) }
	f, err := inventory.Open(ctx, filepath.Join(t.TempDir(), "workroom.db"), now)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	report, err := f.ImportJob(ctx, Files())
	if err != nil {
		t.Fatal(err)
	}
	for what, list := range map[string][]string{"unknown": report.Unknown, "left": report.Left, "warnings": report.Warnings, "kept": report.Kept} {
		if len(list) > 0 {
			t.Errorf("%s: %q, want none", what, list)
		}
	}
	want := map[string]int{"wearers.csv": 3, "areas.csv": 9, "contacts.csv": 10, "references.csv": 4, "patches.csv": 32, "stock.csv": 34, "tests.csv": 12, "done.csv": 0}
	for _, c := range report.Rows {
		if n, ok := want[c.File]; ok && n != c.Rows {
			t.Errorf("%s: %d rows, want %d", c.File, c.Rows, n)
		}
	}
	job, err := f.Job(ctx, "Low Water Night")
	if err != nil {
		t.Fatal(err)
	}
	if len(job.Pictures) != 4 {
		t.Errorf("%d pictures, want 4", len(job.Pictures))
	}
}

// Source: the answer key, section Amount; to the printed millilitre and cent.
func TestAmountsFollowFromTheTables(t *testing.T) {
	k, areas, stock := key(t), by(t, "areas.csv"), by(t, "stock.csv")
	factor := 0.0
	for _, w := range table(t, "wearers.csv") {
		factor += number(t, w["area_factor"])
	}
	near(t, "factor sum", factor, k.FactorSum, 1e-9)
	loss := 1 + number(t, by(t, "job.csv")["reserve_pct"]["value"])/100
	var sum, paint float64
	for _, a := range k.Amounts {
		p := stock[a.Product]
		near(t, a.Product+" on hand", number(t, p["on_hand"]), a.OnHandML, 0)
		near(t, a.Product+" pack", number(t, p["pack"]), a.PackML, 0)
		if a.Coats > 0 {
			share := 1.0
			if a.Product == "V1" {
				share = number(t, areas[a.Area]["share_pct"]) / 100
			}
			need := number(t, areas[a.Area]["painted_m2"]) * share * number(t, p["spread_ml_m2"]) * float64(a.Coats) * loss * factor
			near(t, a.Product+" need", need, a.NeedML, 0.51)
			if a.Product == "W1" || a.Product == "F1" {
				paint += need
			}
		}
		if a.Product == "X1" {
			near(t, "X1 need", 0.02*paint, a.NeedML, 0.51)
		}
		packs := math.Ceil(max(0, a.NeedML+a.RepairML-a.OnHandML) / a.PackML)
		if a.Product == "Z1" {
			packs = 1
		}
		near(t, a.Product+" packs", packs, float64(a.BuyPacks), 0)
		near(t, a.Product+" cost", packs*number(t, p["price"]), number(t, a.Cost), 1e-9)
		sum += number(t, a.Cost)
	}
	near(t, "sum", sum, number(t, k.ProductsCost), 1e-9)
}

// Source: the answer key, section Cloth; cutting 80 %, with nap 75 %; reserve
// 10 %, with nap 15 %; to the printed hundredth.
func TestClothFollowsFromTheTables(t *testing.T) {
	k, areas, stock := key(t), by(t, "areas.csv"), by(t, "stock.csv")
	for _, c := range k.Cloth {
		s := stock[c.Code]
		used, reserve := 0.80, 1.10
		if strings.Contains(s["note"], "nap") {
			used, reserve = 0.75, 1.15
		}
		pieces := number(t, areas[c.Area]["cloth_m2"]) * k.FactorSum
		near(t, c.Code+" area", pieces, c.ClothM2, 0.006)
		cut := pieces / (number(t, s["width_cm"]) / 100) / used
		near(t, c.Code+" cut", cut, c.CutM, 0.006)
		need := cut / (1 - number(t, s["shrinkage_pct"])/100)
		near(t, c.Code+" need", need, c.NeedM, 0.006)
		near(t, c.Code+" with reserve", need*reserve, c.WithReserve, 0.006)
		near(t, c.Code+" on hand", number(t, s["on_hand"]), c.OnHandM, 0)
	}
}

// TestSashCalendarFollowsFromTheTables walks the sash alone through the
// maker's hours, each coat as soon as the one below may be recoated.
// Source: the answer key, section Sash calendar; to the minute.
func TestSashCalendarFollowsFromTheTables(t *testing.T) {
	k, stock, room, job := key(t), by(t, "stock.csv"), by(t, "room.csv"), by(t, "job.csv")
	near(t, "coat", number(t, by(t, "areas.csv")["A5"]["coat_min"]), k.Sash.CoatMin, 0)
	near(t, "factor with fan", number(t, room["drying_factor_fan"]["value"]), k.Sash.WithFan.Factor, 0)
	near(t, "factor without", number(t, room["drying_factor"]["value"]), k.Sash.WithoutFan.Factor, 0)
	for name, run := range map[string]sashRun{"with fan": k.Sash.WithFan, "without fan": k.Sash.WithoutFan} {
		ready := clock(t, job["supplies_arrive"]["value"])
		for i, s := range run.Steps {
			start := firstFree(t, ready, time.Duration(k.Sash.CoatMin)*time.Minute)
			end := start.Add(time.Duration(k.Sash.CoatMin) * time.Minute)
			if got := start.Format(layout); got != s.Start || end.Format(layout) != s.End {
				t.Errorf("%s, step %d %s: %s, want %s", name, i+1, s.Code, got, s.Start)
			}
			ready = end.Add(hours(run.Factor * number(t, stock[s.Code]["recoat_from_h"])))
			if i == len(run.Steps)-1 {
				ready = end.Add(hours(run.Factor * k.Sash.CureH))
			}
		}
		if got := ready.Format(layout); got != run.Cured {
			t.Errorf("%s: cured %s, want %s", name, got, run.Cured)
		}
		if met := !ready.After(clock(t, job["hands_off"]["value"])); met != run.Met || job["hands_off"]["value"] != run.HandsOff {
			t.Errorf("%s: met %v, want %v", name, met, run.Met)
		}
	}
}

// Source: the scenario's measured pairs; to the printed tenth.
func TestMeasuredPairs(t *testing.T) {
	k, areas := key(t), by(t, "areas.csv")
	lab := map[string]map[string]colour.Lab{}
	for _, m := range table(t, "measures.csv") {
		if lab[m["code"]] == nil {
			lab[m["code"]] = map[string]colour.Lab{}
		}
		lab[m["code"]][m["light"]] = colour.Lab{L: number(t, m["lab_l"]), A: number(t, m["lab_a"]), B: number(t, m["lab_b"])}
	}
	for _, p := range k.OtherPairs {
		got := colour.Difference(lab[p.Code]["D65"], parsed(t, areas[p.Area]["target"]).Lab())
		near(t, p.Code+" against "+p.Area, got, p.DE00, 0.06)
	}
	for code, lights := range k.Traps[1].DE00 {
		for light, want := range lights {
			near(t, code+" in "+light, colour.Difference(lab[code][light], lab["A1"][light]), want, 0.06)
		}
	}
}

func TestStudsAreForEveryWearer(t *testing.T) {
	sum := 0
	for _, a := range table(t, "areas.csv") {
		if _, after, ok := strings.Cut(a["note"], "; "); ok {
			for _, part := range strings.Split(after, "; ") {
				var n int
				if _, err := fmt.Sscanf(part, "%d studs", &n); err == nil {
					sum += n
				}
			}
		}
	}
	if sum != 48 {
		t.Errorf("%d studs in the notes of areas.csv, want 48 for a wearer", sum)
	}
}

const layout = "2006-01-02 15:04"

func clock(t *testing.T, s string) time.Time {
	t.Helper()
	at, err := time.Parse(layout, s) // local clock; the clocks went back the day before planning starts
	if err != nil {
		t.Fatal(err)
	}
	return at
}

func hours(h float64) time.Duration {
	return time.Duration(math.Round(h*60)) * time.Minute
}

// firstFree is the first start from a time on at which work of a length lies
// whole inside the maker's hours.
func firstFree(t *testing.T, from time.Time, length time.Duration) time.Time {
	t.Helper()
	rows := table(t, "hours.csv")
	for day := from.Truncate(24 * time.Hour); day.Before(from.AddDate(0, 0, 30)); day = day.AddDate(0, 0, 1) {
		for _, h := range rows {
			if h["what"] != "any" || h["day"] != day.Format("Mon") {
				continue
			}
			opens, shuts := clock(t, day.Format("2006-01-02 ")+h["from"]), clock(t, day.Format("2006-01-02 ")+h["to"])
			start := opens
			if from.After(start) {
				start = from
			}
			if !start.Add(length).After(shuts) {
				return start
			}
		}
	}
	t.Fatalf("no hours for %v from %v", length, from)
	return time.Time{}
}

// by reads a table by its first column.
func by(t *testing.T, name string) map[string]map[string]string {
	t.Helper()
	out := map[string]map[string]string{}
	for _, r := range table(t, name) {
		if k, ok := r["code"]; ok {
			out[k] = r
		} else {
			out[r["key"]] = r
		}
	}
	return out
}

func number(t *testing.T, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatalf("number: %v", err)
	}
	return v
}

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if math.Abs(got-want) > within {
		t.Errorf("%s: %.4f, want %.4f within %g", what, got, want, within)
	}
}
