package match

import (
	"context"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"undercoat/inventory"
	"undercoat/inventory/unit"
	"undercoat/palette/colour"
)

const demoFolder = "../../testdata/demo"

// demoStock returns the shelf of the demo job, read from its tables through a
// workroom file as a maker's would be.
func demoStock(t testing.TB) inventory.Stock {
	t.Helper()
	s, err := demoOnce()
	if err != nil {
		t.Fatal(err)
	}
	return s
}

var demoOnce = sync.OnceValues(func() (inventory.Stock, error) {
	dir, err := os.MkdirTemp("", "match")
	if err != nil {
		return inventory.Stock{}, err
	}
	defer os.RemoveAll(dir)
	ctx := context.Background()
	now := func() time.Time { return time.Date(2026, 10, 26, 9, 0, 0, 0, time.UTC) }
	f, err := inventory.Open(ctx, filepath.Join(dir, "demo.undercoat"), now)
	if err != nil {
		return inventory.Stock{}, err
	}
	defer f.Close()
	if _, err := f.ImportJob(ctx, os.DirFS(demoFolder)); err != nil {
		return inventory.Stock{}, err
	}
	return f.Stock(ctx)
})

func hex(t testing.TB, s string) colour.Colour {
	t.Helper()
	c, err := colour.FromHex(s)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func lightOf(t testing.TB, name, source string, uv bool) Light {
	t.Helper()
	l, err := colour.LightNamed(source)
	if err != nil {
		t.Fatal(err)
	}
	return Light{Name: name, Light: l, UV: uv}
}

// demoLights are the lights of the demo job that can be judged by.
func demoLights(t testing.TB) []Light {
	return []Light{lightOf(t, "daylight", "D65", false), lightOf(t, "foyer", "LED-B3", false), lightOf(t, "lit path", "2900 K", false)}
}

const demoFactor = 3.12 // three wearers

func find(t testing.TB, q Request) Result {
	t.Helper()
	r, err := Find(q, demoStock(t))
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func matchOf(t testing.TB, r Result, code string) Match {
	t.Helper()
	for _, m := range r.Matches {
		if m.Code == code {
			return m
		}
	}
	t.Fatalf("no match %s among %d", code, len(r.Matches))
	return Match{}
}

func against(m Match, r Rule) string {
	for _, x := range m.Against {
		if x.Rule == r {
			return x.Text
		}
	}
	return ""
}

func show(t testing.TB, r Result) {
	t.Helper()
	for _, m := range r.Matches {
		d := "–"
		if v, ok := m.Difference.Get(); ok {
			d = unit.FormatNumber(float64(int(v*100)) / 100)
		}
		t.Logf("%-7s %-22s %s %v ΔE %s %.1f cost %v h %v against %v notes %v", m.Kind, m.Code, m.Predicted.Hex, m.Coats, d, m.DifferenceRange, m.Cost, m.Hours, m.Against, m.Notes)
	}
	for _, c := range r.Choices {
		t.Logf("  %s: %s", c.Why, c.Match.Code)
	}
}

// Trap 2 of the demo scenario: C1 is the cloth for A1; C2 is nearer in
// daylight and leaves the tolerance in the warm hall; C3 is far; grey paint on
// a coat is refused. Differences as tabulated there (invented measurements).
func TestDemoTwoGreys(t *testing.T) {
	r := find(t, Request{
		Target: Target{Colour: hex(t, "#6C7176"), Readings: []Reading{
			{"D65", colour.Lab{L: 47.4, A: -0.8, B: -3.4}}, {"2900 K", colour.Lab{L: 47.6, A: 0.4, B: -1.9}},
		}},
		Tolerance: 3, Method: ByCloth, Extent: unit.Extent(2.60 * demoFactor), Lights: demoLights(t),
	})
	show(t, r)
	if r.Matches[0].Code != "C1" || !r.Matches[0].Allowed() {
		t.Errorf("first match %s %v, want C1 allowed", r.Matches[0].Code, r.Matches[0].Against)
	}
	for _, want := range []struct {
		code      string
		day, hall float64
	}{{"C1", 1.3, 1.3}, {"C2", 0.6, 6.9}, {"C3", 16.6, 16.7}} {
		m := matchOf(t, r, want.code)
		near(t, want.code+" daylight", m.Difference.Or(-1), want.day, 0.05)
		hall := m.ByLight[2]
		near(t, want.code+" hall", hall.Difference, want.hall, 0.05)
		if !hall.Measured {
			t.Errorf("%s in the hall is not taken as measured", want.code)
		}
		if _, ok := hall.Metamerism.Get(); !ok {
			t.Errorf("%s in the hall has no metamerism index", want.code)
		}
		if foyer := m.ByLight[1]; foyer.Metamerism.Known() || !strings.Contains(foyer.Text, "unknown") {
			t.Errorf("%s in the foyer was never measured: %+v", want.code, foyer)
		}
	}
	if text := against(matchOf(t, r, "C2"), RuleLight); !strings.Contains(text, "lit path") {
		t.Errorf("C2: %q does not warn of the lit path", text)
	}
	if text := against(matchOf(t, r, "G1"), RuleMethod); !strings.Contains(text, "cut from cloth") || !strings.Contains(text, "200 ml") {
		t.Errorf("G1: %q does not refuse paint on the coat", text)
	}
	if against(matchOf(t, r, "C3"), RuleTolerance) == "" {
		t.Error("C3 is not refused")
	}
}

// Trap 8: the rigid teal is refused where the knit stretches 40 %, the supple
// one fits; a base with latex is refused for P3.
func TestDemoStretchAndLatex(t *testing.T) {
	q := Request{
		Target: Target{Colour: hex(t, "#2C7C82")}, Ground: Ground{Code: "C6"}, Tolerance: 3, Method: ByPaint, Stretch: 0.40, Skin: true,
		Extent: unit.Extent(0.18 * demoFactor), Lights: demoLights(t), Kinds: []Kind{Item},
		Sensitivities: []Sensitivity{{"P2", "nickel"}, {"P3", "latex"}},
	}
	r := find(t, q)
	show(t, r)
	if r.Matches[0].Code != "T3" || !r.Matches[0].Allowed() {
		t.Errorf("first match %s %v, want T3 allowed", r.Matches[0].Code, r.Matches[0].Against)
	}
	if text := against(matchOf(t, r, "T1"), RuleStretch); !strings.Contains(text, "15 %") || !strings.Contains(text, "40 %") {
		t.Errorf("T1: %q", text)
	}
	if text := against(matchOf(t, r, "W2"), RuleWearer); !strings.Contains(text, "latex") || !strings.Contains(text, "P3") {
		t.Errorf("W2: %q", text)
	}
}

// Trap 4: coral straight on navy is refused and points to block base and
// white; the search finds that way by itself.
func TestDemoFluorescentOverNavy(t *testing.T) {
	r := find(t, Request{
		Target: Target{Colour: hex(t, "#FF5B52"), Fluorescent: true}, Ground: Ground{Code: "C7"}, Method: ByPaint,
		Extent: unit.Extent(0.42 * demoFactor), Lights: demoLights(t), Kinds: []Kind{Item},
	})
	show(t, r)
	first := r.Matches[0]
	if first.Kind != Layers || !first.Allowed() {
		t.Fatalf("first match %s %s %v", first.Kind, first.Code, first.Against)
	}
	var codes []string
	for _, l := range first.Coats {
		codes = append(codes, l.Code)
	}
	if got := strings.Join(codes, " "); got != "W3 W1 F1" {
		t.Errorf("layers %s, want W3 W1 F1", got)
	}
	text := against(matchOf(t, r, "F1"), RuleBase)
	if !strings.Contains(text, first.Code) {
		t.Errorf("F1 straight: %q does not point to %s", text, first.Code)
	}
	for _, m := range r.Matches {
		if m.Difference.Known() {
			t.Errorf("%s: a difference to a stand-in is given", m.Code)
		}
	}
	// Trap 5: W1 sets at 150 °C, the canvas stands 140: by the fixer.
	heat := ""
	for _, n := range first.Notes {
		if n.Rule == RuleHeat {
			heat = n.Text
		}
	}
	if !strings.Contains(heat, "X1") {
		t.Errorf("heat note %q does not name the fixer", heat)
	}
}

// Answer key of the demo scenario, section 7, which uses plain show-through: a
// layer model may differ by one coat, and its range has to hold the key.
func TestDemoCoats(t *testing.T) {
	for _, c := range []struct {
		name      string
		ground    string
		tolerance float64
		layers    []Layer
		want      []int
	}{
		{"A5", "C7", 0, []Layer{{"W3", 0}, {"W1", 0}, {"F1", 0}}, []int{1, 3, 3}},
		{"A4", "C6", 3, []Layer{{"T3", 0}}, []int{2}},
		{"A6", "C8", 5, []Layer{{"G2", 0}}, []int{3}},
		{"A7", "C9", 5, []Layer{{"S1", 0}, {"B1", 0}, {"V1", 0}, {"S2", 0}}, []int{3, 2, 1, 1}},
		{"A8", "C10", 5, []Layer{{"O1", 0}}, []int{2}},
	} {
		built, err := HouseCoats(HouseQuestion{Ground: Ground{Code: c.ground}, Layers: c.layers, Tolerance: c.tolerance}, demoStock(t))
		if err != nil {
			t.Fatal(err)
		}
		for i, b := range built {
			t.Logf("%s %s ×%d (%d–%d) %s, key %d", c.name, b.Code, b.Coats, b.Count.Low, b.Count.High, b.Count.Driver, c.want[i])
			if b.Coats < c.want[i]-1 || b.Coats > c.want[i]+1 {
				t.Errorf("%s %s: %d coats, key %d", c.name, b.Code, b.Coats, c.want[i])
			}
			if c.want[i] < b.Count.Low || c.want[i] > b.Count.High {
				t.Errorf("%s %s: range %d–%d does not hold the key %d", c.name, b.Code, b.Count.Low, b.Count.High, c.want[i])
			}
		}
	}
}

// Each painted area of the demo finds its own paint first.
func TestDemoAreas(t *testing.T) {
	for _, c := range []struct {
		area, target, ground, want string
		tolerance                  float64
		method                     Method
	}{
		{"A6", "#BDB8AE", "C8", "G2", 5, ByPaint},
		{"A7", "#6E5134", "C9", "B1", 5, ByPaint},
		{"A8", "#4E2A28", "C10", "O1", 5, ByPaint},
		{"A9", "#2C7C82", "H3", "D2", 3, ByDye},
		{"A2", "#F3F1EC", "", "C4", 3, ByCloth},
		{"A3", "#1F2638", "", "C5", 3, ByCloth},
	} {
		r := find(t, Request{Target: Target{Colour: hex(t, c.target)}, Ground: Ground{Code: c.ground}, Tolerance: c.tolerance, Method: c.method, Kinds: []Kind{Item}})
		t.Log(c.area)
		show(t, r)
		if r.Matches[0].Code != c.want || !r.Matches[0].Allowed() {
			t.Errorf("%s: first %s %v, want %s", c.area, r.Matches[0].Code, r.Matches[0].Against, c.want)
		}
	}
}

// Everything asked for at once: items, mixtures and stacks in one answer, the
// allowed before the refused, each kind present, and the same bytes twice.
func TestFindAllKinds(t *testing.T) {
	q := Request{
		Target: Target{Colour: hex(t, "#5C8F98")}, Ground: Ground{Code: "C4"}, Tolerance: 4, Method: ByPaint,
		Parts: 3, MaxCoats: 4, Top: 40, Lights: demoLights(t),
	}
	r := find(t, q)
	show(t, r)
	kinds := map[Kind]int{}
	refused := false
	last := -1.0
	for _, m := range r.Matches {
		kinds[m.Kind]++
		if !m.Allowed() && !refused {
			refused, last = true, -1
		}
		if m.Allowed() && refused {
			t.Errorf("%s is allowed and stands behind a refused one", m.Code)
		}
		d := m.Difference.Or(-1)
		if d < last {
			t.Errorf("%s (ΔE00 %.2f) stands behind %.2f", m.Code, d, last)
		}
		last = d
		if m.DifferenceRange[0] > d || m.DifferenceRange[1] < d {
			t.Errorf("%s: %.2f outside its range %.2f", m.Code, d, m.DifferenceRange)
		}
		total := 0.0
		for _, p := range m.Parts {
			total += p.Share
		}
		if m.Kind == Mixture && math.Abs(total-1) > 1e-12 {
			t.Errorf("%s: parts sum to %g", m.Code, total)
		}
	}
	if kinds[Item] == 0 || kinds[Mixture] == 0 || kinds[Layers] == 0 {
		t.Errorf("kinds found: %v", kinds)
	}
	again := find(t, q)
	if a, b := fmt.Sprintf("%+v", r), fmt.Sprintf("%+v", again); a != b {
		t.Error("the same request gave another answer")
	}
}

// Trap 17: the white drill answers ultraviolet and the cream jersey does not;
// the sash glows.
func TestDemoUltraviolet(t *testing.T) {
	r := find(t, Request{Target: Target{Colour: hex(t, "#F3F1EC")}, Method: ByCloth, Lights: demoLights(t), Tolerance: 8})
	note := func(code string) string {
		for _, n := range matchOf(t, r, code).Notes {
			if n.Rule == RuleUV {
				return n.Text
			}
		}
		return ""
	}
	if !strings.Contains(note("C4"), "brightener") || note("C6") != "" {
		t.Errorf("C4: %q, C6: %q", note("C4"), note("C6"))
	}
	steps, err := Build(Ground{Code: "C4"}, []Layer{{"F1", 3}}, Light{}, demoStock(t))
	if err != nil {
		t.Fatal(err)
	}
	last := steps[len(steps)-1]
	if !last.Predicted.OutOfScreen {
		t.Errorf("the sash does not outshine a screen: %+v", last.Predicted)
	}
}

// Trap 20: decoys stay unused: none of them is the first answer for any area.
func TestDemoDecoys(t *testing.T) {
	decoys := []string{"G1", "T1", "W2", "K1", "C2", "C3", "D1", "S3"}
	for _, a := range []struct {
		target, ground string
		method         Method
		tolerance      float64
		stretch        float64
		glows          bool
		readings       []Reading
	}{
		{"#6C7176", "", ByCloth, 3, 0, false, []Reading{{"D65", colour.Lab{L: 47.4, A: -0.8, B: -3.4}}, {"2900 K", colour.Lab{L: 47.6, A: 0.4, B: -1.9}}}},
		{"#F3F1EC", "", ByCloth, 3, 0, false, nil}, {"#1F2638", "", ByCloth, 3, 0, false, nil},
		{"#2C7C82", "C6", ByPaint, 3, 0.4, false, nil}, {"#FF5B52", "C7", ByPaint, 3, 0, true, nil},
		{"#BDB8AE", "C8", ByPaint, 5, 0, false, nil}, {"#6E5134", "C9", ByPaint, 5, 0, false, nil},
		{"#4E2A28", "C10", ByPaint, 5, 0, false, nil}, {"#2C7C82", "H3", ByDye, 3, 0, false, nil},
	} {
		r := find(t, Request{
			Target: Target{Colour: hex(t, a.target), Fluorescent: a.glows, Readings: a.readings}, Ground: Ground{Code: a.ground}, Method: a.method,
			Tolerance: a.tolerance, Stretch: a.stretch, Lights: demoLights(t), Kinds: []Kind{Item},
			Sensitivities: []Sensitivity{{"P2", "nickel"}, {"P3", "latex"}},
		})
		first := r.Matches[0]
		used := []string{first.Code}
		for _, l := range first.Coats {
			used = append(used, l.Code)
		}
		for _, d := range decoys {
			for _, u := range used {
				if u == d {
					t.Errorf("%s on %s: decoy %s is used by %s", a.target, a.ground, d, first.Code)
				}
			}
		}
	}
}
