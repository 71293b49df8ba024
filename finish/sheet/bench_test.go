package sheet

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

var golden = flag.Bool("golden", false, "rewrite golden files")

func printed(t testing.TB, d Data) string {
	t.Helper()
	var b bytes.Buffer
	if err := HTML(&b, d); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// Regression only: the bytes of the whole page, to be read by a person when
// they change.
func TestBenchSheetGolden(t *testing.T) {
	path := filepath.Join("testdata", "bench.html")
	got := printed(t, fixture(t))
	if *golden {
		if err := os.MkdirAll("testdata", 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Errorf("the bench sheet is not %s any more; look at the difference, then run with -golden", path)
	}
	if printed(t, fixture(t)) != got {
		t.Error("the same data printed twice gives different bytes")
	}
}

// attributes lists the values of an attribute in the order of the page.
func attributes(page, name string) []string {
	var out []string
	for _, m := range regexp.MustCompile(` `+name+`="([^"]*)"`).FindAllStringSubmatch(page, -1) {
		out = append(out, m[1])
	}
	return out
}

// once wants every word to stand in a list exactly once.
func once(t *testing.T, what string, got, want []string) {
	t.Helper()
	count := map[string]int{}
	for _, g := range got {
		count[g]++
	}
	for _, w := range want {
		if count[w] != 1 {
			t.Errorf("%s %s stands there %d times, want once", what, w, count[w])
		}
		delete(count, w)
	}
	for g := range count {
		t.Errorf("%s %s stands there and is in no plan", what, g)
	}
}

func TestBenchSheetHoldsEverythingOnce(t *testing.T) {
	d := fixture(t)
	page := printed(t, d)
	var steps, ofAreas, areas, buys, contacts []string
	for _, s := range d.Plan.Steps {
		steps = append(steps, s.ID)
		if s.Area != "" {
			ofAreas = append(ofAreas, s.ID)
		}
	}
	for _, a := range d.Plan.Areas {
		areas = append(areas, a.Code)
	}
	for _, s := range d.Plan.Shopping {
		if s.Buy > 0 || s.Thin {
			buys = append(buys, s.Code)
		}
	}
	for _, v := range d.Verdicts {
		contacts = append(contacts, v.Contact.Code)
	}
	once(t, "step", attributes(page, "data-step"), steps)
	once(t, "an area's step", attributes(page, "data-area-step"), ofAreas)
	once(t, "area", attributes(page, "data-area"), areas)
	once(t, "purchase", attributes(page, "data-buy"), buys)
	once(t, "contact", attributes(page, "data-contact"), contacts)
	for _, c := range d.Cautions {
		if c.Rule != "contact" && strings.Count(page, c.Text) != 1 {
			t.Errorf("caution %q stands there %d times, want once", c.Text, strings.Count(page, c.Text))
		}
	}
}

// What a maker must be able to read on the page.
func TestBenchSheetSays(t *testing.T) {
	page := printed(t, fixture(t))
	for _, want := range []string{
		"MISSED by 3 h",                    // the date that does not move
		"▲ decides",                        // one step decides
		"fluorescent, hue near",            // words beside a swatch that cannot be shown
		"real swatch",                      // the blank square
		"Not chosen yet.",                  // an area without a choice
		"coat 3 of 6, face; hang",          // what to do
		"open air over 10 °C",              // what must hold
		"20 ml repair pot",                 // what is kept
		"price not known",                  // an unknown is stated
		"(helper)",                         // who
		"<b>KEEP APART</b>",                // verdicts
		`<b class="weight">STOP</b>`,       // how heavy
		"safety data sheet",                // who decides about hazards
		"at most 40 min later",             // how far the dates are proven
		"gives up: a thinner film",         // the price of a trade
		"54 pc",                            // single pieces are not packs
		"Night &lt;of&gt; lanterns",        // names are text, not markup
		"Fluor &lt;b&gt;coral&lt;/b&gt; &", // names are text, not markup
	} {
		if !strings.Contains(page, want) {
			t.Errorf("the page does not say %q", want)
		}
	}
	if n := strings.Count(page, "▲ decides</b>"); n != 1 {
		t.Errorf("%d steps are marked as deciding, want 1", n)
	}
	for _, never := range []string{"perfect", "guarantee", "permanent", "ZgotmplZ", "<of>", "http:", "https:", "<script"} {
		if strings.Contains(page, never) {
			t.Errorf("the page says %q", never)
		}
	}
}

func TestBenchSheetOfNothing(t *testing.T) {
	d := fixture(t)
	d.Plan.Steps, d.Plan.Areas, d.Plan.Shopping, d.Plan.Cloth, d.Plan.Chain = nil, nil, nil, nil, nil
	d.Verdicts, d.Cautions = nil, nil
	if page := printed(t, d); !strings.Contains(page, "Nothing is planned yet") {
		t.Error("an empty plan is not said to be empty")
	}
}
