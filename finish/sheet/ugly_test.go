package sheet

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"undercoat/finish/garment"
	"undercoat/finish/plan"
	"undercoat/finish/rub"
	"undercoat/inventory"
	"undercoat/inventory/unit"
)

// ugly is what a job should not be and some are: forty areas of names without
// end, in scripts the embedded font holds and in some it lacks, nine wearers,
// every area on the next, and one name without a blank in it.
func ugly(t testing.TB) Data {
	t.Helper()
	d := fixture(t)
	names := []string{
		"Überwurf mit doppelter Kapuze, gefüttert, für die zweite Verwandlung im dritten Akt, mit Schließen aus Horn",
		"Мантия с капюшоном и длинными рукавами", "معطف طويل بغطاء رأس", "羽織袴と長い袖の内着", "Χιτώνας με μακριά μανίκια",
		"Donaudampfschifffahrtsgesellschaftskapitänsuniformärmelaufschlagsknopflochstickerei", "<script>alert(1)</script> & \"quoted\"", "Ö\u0308 🧵 sewn",
	}
	d.Job.Name = "Ночь фонарей · ليلة الفوانيس · 灯籠の夜 · a festival name so long that no page can hold it on a line, whatever its type"
	base := d.Plan.Areas[0]
	d.Job.Areas, d.Plan.Areas, d.Plan.Steps, d.Plan.Batches = nil, nil, nil, nil
	for i := range 40 {
		a := base
		a.Code, a.Piece = fmt.Sprintf("A%d", i+1), names[i%len(names)]
		start := at(2+i/4, 9+i%4, 0)
		a.LatestStart, a.Ready = unit.State(start.Add(time.Hour)), unit.State(start.Add(30*time.Hour))
		d.Plan.Areas = append(d.Plan.Areas, a)
		d.Job.Areas = append(d.Job.Areas, garment.Area{Code: a.Code, Piece: a.Piece, Target: a.Target, Method: garment.ByPaint, Painted: 1, Skin: i%7 == 0, Stretch: 0.4})
		d.Plan.Steps = append(d.Plan.Steps, plan.Step{
			ID: a.Code + "-W1-1", Area: a.Code, Verb: plan.VerbCoat, Code: "W1", Coat: 1, Coats: 6, Volume: 166, Start: start, End: start.Add(40 * time.Minute),
			Ready: start.Add(20 * time.Hour), LatestStart: start.Add(time.Hour), Who: "the helper whose name is long",
		})
		if i > 0 {
			d.Job.Contacts = append(d.Job.Contacts, garment.Contact{Code: fmt.Sprintf("N%d", i), From: a.Code, To: fmt.Sprintf("A%d", i/2+1), Rubbing: garment.RubHigh, Damp: true, Hours: 6})
		}
	}
	d.Verdicts = nil
	for i, c := range d.Job.Contacts {
		v := rub.Verdict{Contact: c, Word: []rub.Word{rub.NoObjection, rub.WithBarrier, rub.NotTested, rub.TreatAndRetest, rub.KeepApart}[i%5], Because: strings.Repeat("because of much that was found out ", 1+i%4)}
		if v.Word == rub.NotTested {
			v.Wanted = rub.Wanted{Subject: fmt.Sprintf("W%d", i), Against: "white cotton", How: rub.DampRub}
			v.Risk = rub.Risk{Order: i, Words: "test first", Why: []string{"a deep shade", "a raised face"}}
			v.Needed = 8
		}
		d.Verdicts = append(d.Verdicts, v)
	}
	d.Job.Wearers = nil
	for i := range 9 {
		d.Job.Wearers = append(d.Job.Wearers, garment.Wearer{Code: fmt.Sprintf("P%d", i+1), Name: names[i%len(names)], Size: "XL", Sensitivities: []string{"nickel", "latex"}})
	}
	for i := range 12 {
		d.Plan.Batches = append(d.Plan.Batches, plan.Batch{Code: "W1", Name: names[i%len(names)], Paint: 663, Repair: 20, Areas: []string{"A1", "A2", "A40"}, Fixer: "X1"})
	}
	d.Recipes = []inventory.RecipeFact{{Number: 3, Name: names[5], Area: "A2", Parts: []inventory.Part{{Code: "W1", Mass: 5}, {Code: "F1", Mass: 1}}, Note: names[0]}}
	d.Batches = []inventory.BatchFact{{Number: 9, Recipe: 3, Made: 120, Left: 80, Place: names[1], At: at(2, 9, 0)}}
	return d
}

// nothing is a job in which nothing is on record yet.
func nothing() Data { return Data{Job: garment.Job{Name: "New job"}} }

func leafPDF(t testing.TB, l Leaf, d Data, on Paper) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := l.PDF(&b, d, on); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func leafHTML(t testing.TB, l Leaf, d Data) string {
	t.Helper()
	var b bytes.Buffer
	if err := l.HTML(&b, d); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// jobs are the jobs every paper is printed for.
func jobs(t testing.TB) map[string]Data {
	return map[string]Data{"fixture": fixture(t), "ugly": ugly(t), "nothing": nothing()}
}

func TestEveryPaperRepeats(t *testing.T) {
	for name, d := range jobs(t) {
		again := jobs(t)[name]
		for _, l := range Leaves() {
			for _, on := range []Paper{A4, Letter} {
				if !bytes.Equal(leafPDF(t, l, d, on), leafPDF(t, l, again, on)) {
					t.Errorf("%s of %s: the same data twice gives different pages on %v", l.Word, name, on)
				}
			}
			if leafHTML(t, l, d) != leafHTML(t, l, again) {
				t.Errorf("%s of %s: the same data twice gives different HTML", l.Word, name)
			}
		}
	}
}

var wordBox = regexp.MustCompile(`xMin="([-\d.]+)" yMin="([-\d.]+)" xMax="([-\d.]+)" yMax="([-\d.]+)">([^<]*)`)

var pageSize = regexp.MustCompile(`Page +\d+ size:`)

// Poppler reads every paper of every job: its pages have the size asked for,
// and no word stands in the margins or beyond.
func TestEveryPaperKeepsWithinItsPage(t *testing.T) {
	if _, err := exec.LookPath("pdftotext"); err != nil {
		t.Skip("pdftotext is not installed here")
	}
	sizes := map[Paper]struct {
		name string
		w, h float64
	}{A4: {"595.28 x 841.89", 595.28, 841.89}, Letter: {"612 x 792", 612, 792}}
	for name, d := range jobs(t) {
		for _, l := range Leaves() {
			for on, size := range sizes {
				if on == Letter && name != "ugly" {
					continue // what fits an ugly job fits
				}
				path := filepath.Join(t.TempDir(), "paper.pdf")
				if err := os.WriteFile(path, leafPDF(t, l, d, on), 0o600); err != nil {
					t.Fatal(err)
				}
				info := tool(t, "pdfinfo", "-f", "1", "-l", "999", path)
				if pages := len(pageSize.FindAllString(info, -1)); pages == 0 || strings.Count(info, size.name) != pages {
					t.Errorf("%s of %s: not every page is %s:\n%s", l.Word, name, size.name, info)
				}
				for _, m := range wordBox.FindAllStringSubmatch(tool(t, "pdftotext", "-bbox", path, "-"), -1) {
					if num64(t, m[1]) < 27 || num64(t, m[3]) > size.w-27 || num64(t, m[2]) < 22 || num64(t, m[4]) > size.h-20 {
						t.Errorf("%s of %s on %v: %q stands outside of the margins: %v", l.Word, name, on, m[5], m[1:5])
					}
				}
			}
		}
	}
}

// What each paper must say, read back from its PDF by poppler and from its
// HTML.
func TestPapersSay(t *testing.T) {
	d := fixture(t)
	d.Tests = []rub.Test{{Code: "RT2", Subject: "C1", Against: "white cotton", How: rub.DampRub}}
	d.Apart = []rub.Apart{{Area: "A2", From: []string{"A1", "A3"}, Because: "it gives off a little"}}
	d.Plan.Batches = []plan.Batch{{Code: "W1", Name: "Chalk white", Paint: 995, Repair: 20, Areas: []string{"A1"}, Fixer: "X1"}}
	d.Recipes, d.Batches = ugly(t).Recipes, ugly(t).Batches
	d.Job.Wearers = []garment.Wearer{{Code: "P1", Name: "Lead", Sensitivities: []string{"nickel"}}}
	for word, wants := range map[string][]string{
		"calendar":      {"MISSED by 3 h", "19:00 cut", "W1 1/6", "HANDS OFF 12:00", "Mon 2", "by 20:15"},
		"swatches":      {"not the pigment", "real swatch 1", "predicted", "judged by the swatch", "approved by"},
		"recipe-cards":  {"166", "995 ml", "+ 20 ml repair pot", "corrected on", "Recipe 3", "83.3", "80 g left"},
		"pot-labels":    {"REPAIR POT", "dab here", "No X1 in it", "Batch 9", "safety data sheet"},
		"rub-tests":     {"damp rub", "Grey scale for staining", "Grey scale for change", "4-5", "ΔE 34.1", "ISO 105-A02", "0.9 kg", "not graded"},
		"contact-map":   {"KEEP APART", "keep apart", "not tested", "N1", "SKIN", "To do: damp rub of F1 on white cotton"},
		"shopping-list": {"3 × 75 ml", "price not known", "20.70 GBP", "0.70 over", "5 coats instead of 6"},
		"dressing-list": {"REACTS TO NICKEL", "Putting on", "20 ml", "needles", "tissue or a bag between it and A1 and A3"},
	} {
		l, err := LeafNamed(word)
		if err != nil {
			t.Fatal(err)
		}
		page := leafHTML(t, l, d)
		forms := map[string]string{"HTML": regexp.MustCompile(`\s+|\x{a0}`).ReplaceAllString(regexp.MustCompile(`<[^>]*>`).ReplaceAllString(page, " "), " ")}
		if _, err := exec.LookPath("pdftotext"); err == nil {
			path := filepath.Join(t.TempDir(), "paper.pdf")
			if err := os.WriteFile(path, leafPDF(t, l, d, A4), 0o600); err != nil {
				t.Fatal(err)
			}
			forms["PDF"] = strings.Join(strings.Fields(tool(t, "pdftotext", path, "-")), " ")
		}
		for form, text := range forms {
			for _, want := range wants {
				if !strings.Contains(text, want) && !strings.Contains(strings.ReplaceAll(text, ",", ""), want) {
					t.Errorf("%s: the %s does not say %q", word, form, want)
				}
			}
		}
		for _, never := range []string{"perfect match", "guarantee", "permanent", "ZgotmplZ", "<script", "http:", "https:"} {
			if strings.Contains(strings.ReplaceAll(page, `xmlns="http://www.w3.org/2000/svg"`, ""), never) {
				t.Errorf("%s says %q", word, never)
			}
		}
	}
}

// A paper of a script the font lacks says so on the page and names what is
// lacking; its HTML has the characters themselves.
func TestUglyNamesAreNotLost(t *testing.T) {
	if _, err := exec.LookPath("pdftotext"); err != nil {
		t.Skip("pdftotext is not installed here")
	}
	d := ugly(t)
	for _, l := range Leaves() {
		path := filepath.Join(t.TempDir(), "paper.pdf")
		if err := os.WriteFile(path, leafPDF(t, l, d, A4), 0o600); err != nil {
			t.Fatal(err)
		}
		text := strings.Join(strings.Fields(tool(t, "pdftotext", path, "-")), " ")
		for _, want := range []string{"Ночь фонарей", "\ufffd: a character the embedded font lacks", "U+706F"} {
			if !strings.Contains(text, want) {
				t.Errorf("%s: the PDF does not say %q", l.Word, want)
			}
		}
		if !strings.Contains(leafHTML(t, l, d), "灯籠の夜") {
			t.Errorf("%s: the HTML has lost a name", l.Word)
		}
	}
}

// What lies under comes first; a ring of contacts is told and ends.
func TestDressingOrder(t *testing.T) {
	job := garment.Job{
		Areas:    []garment.Area{{Code: "coat"}, {Code: "shirt"}, {Code: "vest"}},
		Contacts: []garment.Contact{{From: "coat", To: "vest", Rubbing: garment.RubLow}, {From: "vest", To: "shirt", Rubbing: garment.RubLow}, {From: "shirt", To: garment.Skin, Rubbing: garment.RubLow}, {From: "shirt", To: "coat"}},
	}
	codes := func() (s string) {
		order, knotted := dressingOrder(job)
		for _, a := range order {
			s += a.Code + " "
		}
		return s + fmt.Sprint(knotted)
	}
	if got := codes(); got != "shirt vest coat false" {
		t.Error(got)
	}
	job.Contacts[3].Rubbing = garment.RubLow // now a ring
	if got := codes(); got != "coat shirt vest true" {
		t.Error(got)
	}
}

// No two threads of the map share a lane where both run, every contact is on
// exactly one picture, and a picture has no more strips and lanes than fit.
func TestContactMapLanes(t *testing.T) {
	for name, d := range jobs(t) {
		if len(d.Verdicts) == 0 {
			continue
		}
		var codes, want []string
		for _, m := range mapParts(d) {
			if len(m.strips) > stripsMost {
				t.Errorf("%s: %d strips", name, len(m.strips))
			}
			for i, v := range m.verdicts {
				codes = append(codes, v.Contact.Code)
				if m.lanes[i] >= lanesMost {
					t.Errorf("%s: %s runs in lane %d", name, v.Contact.Code, m.lanes[i])
				}
				for k := range i {
					top, low := m.ends(v)
					otherTop, otherLow := m.ends(m.verdicts[k])
					if m.lanes[k] == m.lanes[i] && top < otherLow && otherTop < low {
						t.Errorf("%s: %s runs over %s", name, v.Contact.Code, m.verdicts[k].Contact.Code)
					}
				}
			}
		}
		for _, v := range d.Verdicts {
			want = append(want, v.Contact.Code)
		}
		once(t, "contact", codes, want)
	}
}
