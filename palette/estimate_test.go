package palette

import (
	"cmp"
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"undercoat/palette/colour"
)

// covers says whether a colour lies in the range of an estimate.
func (e Estimate) covers(c colour.Lab) bool {
	return c.L >= e.Low.L && c.L <= e.High.L && c.A >= e.Low.A && c.A <= e.High.A && c.B >= e.Low.B && c.B <= e.High.B
}

// truthReading is a reading of a reference picture with its true colour.
type truthReading struct {
	Reading
	material string
	base     colour.Lab
	lit      bool
}

// truthReadings reads spots of every material of every reference picture, with
// and without an anchor: the card in `cast`, a grey in `greys`, and in the
// others a spot of the emblem, whose colour is known.
func truthReadings(t *testing.T, cases map[string]*truthCase, each int) []truthReading {
	var all []truthReading
	rng := newRand()
	var names []string
	for n := range cases {
		names = append(names, n)
	}
	slices.Sort(names)
	for _, name := range names {
		c := cases[name]
		views := []Reference{c.ref}
		var a Anchor
		switch {
		case c.Card != nil:
			a = Anchor{rectOf(c.Card), grey18}
		case c.Materials["emblem"].Label != 0:
			a = c.litAnchor("emblem", rng)
		case c.Materials["grey_a"].Label != 0:
			a = c.litAnchor("grey_a", rng)
		}
		if a != (Anchor{}) {
			n, _, err := c.ref.Neutral(a)
			if err != nil {
				t.Fatal(err)
			}
			views = append(views, n)
		}
		for _, material := range c.names() {
			for _, at := range c.rects(material, each, rng) {
				for _, r := range views {
					v, err := r.Reading(name, at, Trust{})
					if err != nil {
						continue // a spot of a glossy material that is all glare
					}
					all = append(all, truthReading{v, material, c.Materials[material].base(), c.lit(material, at)})
				}
			}
		}
	}
	return all
}

// The range holds the material's own colour, fully lit (truth.json), in nine of
// ten readings, one picture or several, without being absurdly wide. Spots are
// drawn at random inside the masks; "lit" are those at least as light as the
// middle of their material, as a maker would mark them.
func TestRangeCoversTheTruth(t *testing.T) {
	each := 5
	if testing.Short() {
		each = 2
	}
	cases := truth(t)
	all := truthReadings(t, cases, each)
	for _, name := range caseOrder {
		by := report(t, "  "+name, all, func(v truthReading) bool { return v.Picture == name && v.lit })
		if by.n >= 20 && by.covered < 0.85 {
			t.Errorf("%s: %.3f covered", name, by.covered)
		}
	}
	single := func(name string, coverage, width float64, pick func(truthReading) bool) {
		report(t, name, all, pick).atLeast(t, name, coverage, width)
	}
	single("one picture, anchor, lit", 0.90, 4.5, func(v truthReading) bool { return v.Anchored && v.lit })
	single("one picture, anchor, anywhere", 0.90, 5.5, func(v truthReading) bool { return v.Anchored })
	single("one picture, no anchor, lit", 0.90, 9.5, func(v truthReading) bool { return !v.Anchored && v.lit })
	single("one picture, no anchor, anywhere", 0.90, 10, func(v truthReading) bool { return !v.Anchored })

	rng := newRand()
	for _, pictures := range []int{2, 3, 4} {
		name := fmt.Sprintf("%d pictures, lit", pictures)
		var es []Estimate
		var ts []colour.Lab
		for _, material := range []string{"armour", "belt", "boots", "cape", "emblem", "gloves", "hair", "skin", "suit", "trim"} {
			var pool []truthReading
			for _, v := range all {
				if v.material == material && v.lit && v.Picture != "shading" {
					pool = append(pool, v)
				}
			}
			for range 20 {
				var chosen []Reading
				used := map[string]bool{}
				for len(chosen) < pictures {
					if v := pool[rng.IntN(len(pool))]; !used[v.Picture] {
						used[v.Picture] = true
						chosen = append(chosen, v.Reading)
					}
				}
				es, ts = append(es, Weigh(chosen)), append(ts, pool[0].base)
			}
		}
		cover(t, name, es, ts).atLeast(t, name, 0.90, 5.5)
	}
}

// covering is how often ranges hold the truth, and how wide they are.
type covering struct {
	n              int
	covered, width float64
}

func (c covering) atLeast(t *testing.T, name string, coverage, width float64) {
	t.Helper()
	if c.covered < coverage || c.width > width {
		t.Errorf("%s: %.3f covered, want %.2f; median radius ΔE00 %.1f, want at most %.1f", name, c.covered, coverage, c.width, width)
	}
}

// report weighs each reading alone.
func report(t *testing.T, name string, all []truthReading, pick func(truthReading) bool) covering {
	var es []Estimate
	var ts []colour.Lab
	for _, v := range all {
		if pick(v) {
			es, ts = append(es, Weigh([]Reading{v.Reading})), append(ts, v.base)
		}
	}
	return cover(t, name, es, ts)
}

func cover(t *testing.T, name string, estimates []Estimate, truths []colour.Lab) covering {
	if len(estimates) == 0 {
		return covering{}
	}
	hit, radii, off := 0, []float64{}, []float64{}
	for i, e := range estimates {
		if e.covers(truths[i]) {
			hit++
		}
		radii = append(radii, e.Radius)
		off = append(off, colour.Difference(e.Lab, truths[i]))
	}
	calibration(t, name, estimates, truths)
	c := covering{len(estimates), float64(hit) / float64(len(estimates)), median(radii)}
	t.Logf("%-34s %4d estimates, %.3f covered, radius ΔE00 median %.1f, nine of ten under %.1f; off by %.1f, %.1f",
		name, c.n, c.covered, c.width, quantile(radii, 0.9), median(off), quantile(off, 0.9))
	return c
}

// calibration prints, for thirds of the estimates in order of confidence, what
// they claim and how many of them are as near; claiming less is no fault.
func calibration(t *testing.T, name string, estimates []Estimate, truths []colour.Lab) {
	order := make([]int, len(estimates))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int { return cmp.Compare(estimates[i].Confidence, estimates[j].Confidence) })
	var said []string
	for k := range 3 {
		part := order[k*len(order)/3 : (k+1)*len(order)/3]
		claimed, held := 0.0, 0.0
		for _, i := range part {
			claimed += estimates[i].Confidence / float64(len(part))
			if colour.Difference(estimates[i].Lab, truths[i]) <= confidentWithin {
				held += 1 / float64(len(part))
			}
		}
		said = append(said, fmt.Sprintf("%.2f/%.2f", claimed, held))
		if len(part) >= 60 && claimed > held+0.15 {
			t.Errorf("%s: a chance of %.2f is claimed and %.2f are within", name, claimed, held)
		}
	}
	t.Logf("%-34s within ΔE00 3, claimed/held: %s", name, strings.Join(said, "  "))
}

// otherPictures are folders with pictures and a truth.json in the form of the
// reference pictures, which PALETTE_CASES names (with ":" between them): the
// program was not set on them.
func otherPictures(t *testing.T) []string {
	folders := os.Getenv("PALETTE_CASES")
	if folders == "" {
		t.Skip("PALETTE_CASES names no folder")
	}
	return strings.Split(folders, ":")
}

func TestMaterialsOfOtherPictures(t *testing.T) {
	var sum caseScore
	for _, folder := range otherPictures(t) {
		cases := truthIn(t, folder)
		for _, name := range caseOrder {
			c, ok := cases[name]
			if !ok {
				continue
			}
			r, anchored := c.read(t)
			p, err := r.Materials(MaterialOptions{})
			if err != nil {
				t.Fatal(err)
			}
			s := score(c, p, anchored)
			t.Logf("%s %-8s found %2d of %2d, own colour %2d, beyond the true ones %d, trim kept %v", filepath.Base(folder), name, s.found, s.of, s.own, s.extra, s.trim)
			for _, d := range s.detail {
				if strings.Contains(d, "LOST") {
					t.Log(d)
				}
			}
			sum.of, sum.found, sum.own, sum.extra = sum.of+s.of, sum.found+s.found, sum.own+s.own, max(sum.extra, s.extra)
			if !s.trim {
				t.Errorf("%s %s: the trim is lost", folder, name)
			}
		}
	}
	t.Logf("all: found %d of %d (%.3f), own colour %d, at most %d beyond in one picture", sum.found, sum.of, float64(sum.found)/float64(sum.of), sum.own, sum.extra)
	if 10*sum.found < 9*sum.of || sum.extra > 3 {
		t.Errorf("found %d of %d, %d beyond in one picture", sum.found, sum.of, sum.extra)
	}
}

func TestRangeOnOtherPictures(t *testing.T) {
	var readings []truthReading
	for _, folder := range otherPictures(t) {
		readings = append(readings, truthReadings(t, truthIn(t, folder), 5)...)
	}
	for _, name := range caseOrder {
		report(t, "  "+name, readings, func(v truthReading) bool { return v.Picture == name && v.lit })
	}
	report(t, "anchor, lit", readings, func(v truthReading) bool { return v.Anchored && v.lit }).atLeast(t, "anchor, lit", 0.90, 5)
	report(t, "anchor, anywhere", readings, func(v truthReading) bool { return v.Anchored }).atLeast(t, "anchor, anywhere", 0.90, 6)
	report(t, "no anchor, lit", readings, func(v truthReading) bool { return !v.Anchored && v.lit }).atLeast(t, "no anchor, lit", 0.90, 12)
}

// demoReading is one line of the demo's patches, read from its picture.
type demoTable map[string]map[string]Reading // area, reference

// demoReadings reads the demo's pictures by its own tables.
func demoReadings(t *testing.T) (corrected, raw demoTable) {
	t.Helper()
	folder := filepath.Join("..", "testdata", "demo")
	table := func(name string) [][]string {
		f, err := os.Open(filepath.Join(folder, name))
		if err != nil {
			t.Skipf("the demo is not complete: %v", err)
		}
		defer f.Close()
		rows, err := csv.NewReader(f).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		return rows[1:]
	}
	refs, plain, trusts := map[string]Reference{}, map[string]Reference{}, map[string]Trust{}
	for _, row := range table("references.csv") {
		r := mustOpen(t, filepath.Join(folder, row[1]))
		plain[row[0]], refs[row[0]] = r, r
		trust, err := ParseTrust(row[4])
		if err != nil {
			t.Fatal(err)
		}
		if row[0] == "R3" { // its note: high for hue and low for lightness
			trust = Trust{Hue: High, Lightness: Low}
		}
		trusts[row[0]] = trust
		if row[2] != "" {
			at, err := ParseRect(row[2])
			if err != nil {
				t.Fatal(err)
			}
			c, err := colour.Parse(row[3])
			if err != nil {
				t.Fatal(err)
			}
			n, warnings, err := r.Neutral(Anchor{at, c.Lab()})
			if err != nil {
				t.Fatal(err)
			}
			for _, w := range warnings {
				t.Logf("%s: %s", row[0], w)
			}
			refs[row[0]] = n
		}
	}
	corrected, raw = demoTable{}, demoTable{}
	for _, row := range table("patches.csv") {
		if row[2] == "" {
			continue
		}
		at, err := ParseRect(row[2])
		if err != nil {
			t.Fatal(err)
		}
		for table, from := range map[*demoTable]map[string]Reference{&corrected: refs, &raw: plain} {
			v, err := from[row[0]].Reading(row[0], at, trusts[row[0]])
			if err != nil {
				t.Fatalf("%s %s: %v", row[0], row[1], err)
			}
			if (*table)[row[1]] == nil {
				(*table)[row[1]] = map[string]Reading{}
			}
			(*table)[row[1]][row[0]] = v
		}
	}
	return corrected, raw
}

// The demo's answer key: corrected by the collar, R1 and R2 both read the coat
// within ΔE00 2 of slate grey #6C7176, though raw it is navy and brown; R4 does
// not move any target.
func TestDemoTargets(t *testing.T) {
	corrected, raw := demoReadings(t)
	slate := lab(0x6c, 0x71, 0x76)
	for _, name := range []string{"R1", "R2"} {
		if d := colour.Difference(corrected["A1"][name].Patch.Lab, slate); d > 2 {
			t.Errorf("%s reads the coat ΔE00 %.1f off", name, d)
		}
		if d := colour.Difference(raw["A1"][name].Patch.Lab, slate); d < 8 {
			t.Errorf("%s raw is only ΔE00 %.1f off: nothing to correct", name, d)
		}
	}
	for area, by := range corrected {
		var with, without []Reading
		for _, name := range []string{"R1", "R2", "R3", "R4"} {
			v, ok := by[name]
			if !ok {
				continue
			}
			with = append(with, v)
			if name != "R4" {
				without = append(without, v)
			}
		}
		a, b := Weigh(with), Weigh(without)
		if a.Lab != b.Lab || a.Low != b.Low || a.High != b.High {
			t.Errorf("%s: R4 moved the target from %v to %v", area, b.Lab, a.Lab)
		}
		if slices.Contains(a.Rests, "R4") {
			t.Errorf("%s rests on R4", area)
		}
	}
	coat := Weigh([]Reading{corrected["A1"]["R1"], corrected["A1"]["R2"], corrected["A1"]["R3"], corrected["A1"]["R4"]})
	t.Logf("coat: %v, radius %.1f, confidence %.2f, %s; rests on %v", coat.Lab, coat.Radius, coat.Confidence, coat.NamesInWords(), coat.Rests)
	for _, d := range coat.Disagree {
		t.Logf("  %s disagrees by ΔE00 %.1f: %v", d.Picture, d.Difference, d.Why)
	}
	if d := colour.Difference(coat.Lab, slate); d > 2 || !coat.covers(slate) {
		t.Errorf("the coat is estimated ΔE00 %.1f off, range %v to %v", d, coat.Low, coat.High)
	}
	if len(coat.Names) == 0 || !strings.Contains(coat.Names[0].Name, "grey") {
		t.Errorf("the coat is called %v", coat.Names)
	}
	if coat.Confidence < 0.6 {
		t.Errorf("confidence %.2f", coat.Confidence)
	}
	// From the raw pictures nothing can be had with confidence.
	blind := Weigh([]Reading{raw["A1"]["R1"], raw["A1"]["R2"]})
	if blind.Confidence > 0.35 || len(blind.Settle) == 0 || !strings.Contains(blind.Settle[0], "mark something white") {
		t.Errorf("without anchors: confidence %.2f, %v", blind.Confidence, blind.Settle)
	}
}

func stated(name string, c colour.Lab) Reading { return StatedReading(name, c, Trust{}, true) }

// What the estimate must do whatever the figures.
func TestWeighLaws(t *testing.T) {
	grey := colour.Lab{L: 50, A: -1, B: -3}
	if e := Weigh(nil); e.Known() || e.Confidence != 0 || e.Lab != (colour.Lab{}) {
		t.Errorf("from nothing: %+v", e)
	}
	one := Weigh([]Reading{stated("a", grey)})
	if colour.Difference(one.Lab, grey) > 1e-6 || !one.covers(grey) || len(one.Disagree) > 0 || !slices.Equal(one.Rests, []string{"a"}) {
		t.Errorf("one reading is not itself: %+v", one)
	}
	two := Weigh([]Reading{stated("a", grey), stated("b", grey)})
	if two.Confidence <= one.Confidence {
		t.Errorf("a second picture that agrees lowers the confidence: %.2f, %.2f", one.Confidence, two.Confidence)
	}
	far := stated("c", colour.Lab{L: 50, A: 30, B: 20})
	three := Weigh([]Reading{stated("a", grey), stated("b", grey), far})
	if d := colour.Difference(three.Lab, grey); d > 3 {
		t.Errorf("one of three pulls by ΔE00 %.1f", d)
	}
	if len(three.Disagree) != 1 || three.Disagree[0].Picture != "c" || len(three.Disagree[0].Why) == 0 {
		t.Errorf("who disagrees: %+v", three.Disagree)
	}
	if three.Radius <= two.Radius || three.Confidence >= two.Confidence {
		t.Errorf("disagreement narrows the range: %.1f, %.1f", three.Radius, two.Radius)
	}
	// Low trust and no anchor do not move it, but are heard.
	low := StatedReading("d", colour.Lab{L: 30, A: 5, B: -20}, Trust{Low, Low}, true)
	open := StatedReading("e", colour.Lab{L: 30, A: 5, B: -20}, Trust{High, High}, false)
	heard := Weigh([]Reading{stated("a", grey), low, open})
	if heard.Lab != one.Lab || len(heard.Disagree) != 2 {
		t.Errorf("moved to %v; heard %+v", heard.Lab, heard.Disagree)
	}
	// Trusted in hue only, a darker drawing leaves the lightness alone.
	drawing := StatedReading("f", shaded(colour.Lab{L: 50, A: 4, B: -3}, 0.4), Trust{High, Low}, true)
	hue := Weigh([]Reading{stated("a", grey), drawing})
	if math.Abs(hue.Lab.L-50) > 0.01 || hue.Lab.A < 0 {
		t.Errorf("a drawing trusted in its hue: %v", hue.Lab)
	}
	// Only low trust: something is said, with little confidence.
	only := Weigh([]Reading{low})
	if !only.Known() || only.Confidence > 0.4 || only.Radius < 10 {
		t.Errorf("low trust alone: %+v", only)
	}
	// Shares of names are shares.
	sum := 0.0
	for _, n := range three.Names {
		sum += n.Share
	}
	if math.Abs(sum-1) > 1e-9 {
		t.Errorf("names share %.3f: %v", sum, three.Names)
	}
}

// The order of the readings has no say in the estimate.
func TestWeighOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 5).Draw(t, "n")
		readings := make([]Reading, n)
		for i := range readings {
			readings[i] = StatedReading(string(rune('a'+i)), colour.Lab{
				L: rapid.Float64Range(5, 95).Draw(t, "L"),
				A: rapid.Float64Range(-40, 40).Draw(t, "a"),
				B: rapid.Float64Range(-40, 40).Draw(t, "b"),
			}, Trust{
				Level(rapid.IntRange(0, 3).Draw(t, "hue")),
				Level(rapid.IntRange(0, 3).Draw(t, "lightness")),
			}, rapid.Bool().Draw(t, "anchored"))
		}
		a := Weigh(readings)
		slices.Reverse(readings)
		b := Weigh(readings)
		if d := math.Abs(a.Lab.L-b.Lab.L) + math.Abs(a.Lab.A-b.Lab.A) + math.Abs(a.Lab.B-b.Lab.B); d > 1e-6 {
			t.Fatalf("%v, reversed %v", a.Lab, b.Lab)
		}
		if !a.covers(a.Lab) || math.IsNaN(a.Radius) || a.Confidence <= 0 || a.Confidence > 1 {
			t.Fatalf("%+v", a)
		}
	})
}

func TestParseTrust(t *testing.T) {
	for s, want := range map[string]Trust{
		"":                                {},
		"medium":                          {Medium, Medium},
		" High ":                          {High, High},
		"high for hue, low for lightness": {High, Low},
		"low for lightness, HIGH for hue": {High, Low},
		"medium for hue":                  {Medium, Unstated},
	} {
		got, err := ParseTrust(s)
		if err != nil || got != want {
			t.Errorf("%q: %v, %v", s, got, err)
		}
		if again, err := ParseTrust(got.String()); err != nil || again != got {
			t.Errorf("%q printed as %q, read as %v, %v", s, got, again, err)
		}
	}
	for _, s := range []string{"sure", "high for sound", "high, low", "for hue", "high for hue, x for lightness"} {
		if _, err := ParseTrust(s); err == nil {
			t.Errorf("%q was read", s)
		}
	}
}
