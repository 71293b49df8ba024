package sheet

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

func pdfOf(t testing.TB, d Data, on Paper) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := PDF(&b, d, on); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestPDFRepeats(t *testing.T) {
	first := pdfOf(t, fixture(t), A4)
	if !bytes.HasPrefix(first, []byte("%PDF-1.")) {
		t.Errorf("it begins %.8q", first)
	}
	if !bytes.Equal(first, pdfOf(t, fixture(t), A4)) {
		t.Error("the same data printed twice gives different bytes")
	}
	if bytes.Equal(first, pdfOf(t, fixture(t), Letter)) {
		t.Error("Letter gives the bytes of A4")
	}
}

// An independent reader (poppler) finds every step, area and purchase on
// paper of the size asked for, and nothing beyond the margins.
func TestPDFReadByAnotherProgram(t *testing.T) {
	if _, err := exec.LookPath("pdftotext"); err != nil {
		t.Skip("pdftotext is not installed here")
	}
	d := fixture(t)
	for _, c := range []struct {
		on   Paper
		size string
		w, h float64
	}{{A4, "595.28 x 841.89", 595.28, 841.89}, {Letter, "612 x 792", 612, 792}} {
		path := filepath.Join(t.TempDir(), "bench.pdf")
		if err := os.WriteFile(path, pdfOf(t, d, c.on), 0o600); err != nil {
			t.Fatal(err)
		}
		info := tool(t, "pdfinfo", path)
		if !strings.Contains(info, c.size) {
			t.Errorf("%v: %s", c.on, info)
		}
		text := strings.Join(strings.Fields(tool(t, "pdftotext", "-layout", path, "-")), " ")
		for _, want := range []string{"Night <of> lanterns", "MISSED by 3 h", "coat 3 of 6", "166 ml", "▲ decides", "real swatch", "KEEP APART", "Not chosen yet.", "price not known", "run the fan", "page 1 of 3", "page 3 of 3", "ΔE00"} {
			if !strings.Contains(text, want) {
				t.Errorf("%v: it does not say %q", c.on, want)
			}
		}
		for _, a := range d.Plan.Areas {
			if !strings.Contains(text, a.Code+" ") {
				t.Errorf("%v: area %s is not there", c.on, a.Code)
			}
		}
		if n := strings.Count(text, "▲ decides"); n != 2 { // the step and the key
			t.Errorf("%v: %d marks of deciding, want 2", c.on, n)
		}
		for _, m := range regexp.MustCompile(`xMin="([\d.]+)" yMin="([\d.]+)" xMax="([\d.]+)" yMax="([\d.]+)">([^<]*)`).FindAllStringSubmatch(tool(t, "pdftotext", "-bbox", path, "-"), -1) {
			if num64(t, m[1]) < 27 || num64(t, m[3]) > c.w-27 || num64(t, m[2]) < 25 || num64(t, m[4]) > c.h-20 {
				t.Errorf("%v: %q stands in the margin: %v", c.on, m[5], m[1:5])
			}
		}
	}
}

// What the font lacks is U+FFFD and is told; marks that have no shape of their
// own go without a word.
func TestPDFTellsWhatItCannotPrint(t *testing.T) {
	p := newPrinter(fixture(t), "Bench sheet", A4)
	if got := p.known("Ödön’s Δ–λ, ł ½ № Жук ≥ 3"); got != "Ödön’s Δ–λ, ł ½ № Жук ≥ 3" || p.lackHere {
		t.Errorf("%q, lacking %v", got, p.lacking)
	}
	if got := p.known("袖 sleeve\n☐ a\u200db"); got != "\ufffd sleeve \ufffd ab" || !p.lackHere || string(p.lacking) != "☐袖" {
		t.Errorf("%q, lacking %q", got, p.lacking)
	}
}

// A block is never cut by the end of a page, and a table goes on under its
// head.
func TestPDFPageEnds(t *testing.T) {
	p := newPrinter(fixture(t), "Bench sheet", A4)
	p.y = p.bottom - 3
	before := p.pdf.PageNo()
	p.whole(func(y float64) float64 { return p.flow(margin, y, p.w, false, plainRun("one line of text")) })
	if p.pdf.PageNo() != before+1 || p.y > margin+10 {
		t.Errorf("page %d, y %g", p.pdf.PageNo(), p.y)
	}
	heads := 0
	p.repeat = func(y float64) { heads++ }
	p.y = p.bottom
	p.need(5)
	if heads != 1 {
		t.Errorf("the head stands there %d times on the new page", heads)
	}
}

func TestPDFWrapsWithinItsColumn(t *testing.T) {
	p := newPrinter(fixture(t), "Bench sheet", A4)
	one := p.flow(0, 0, 200, false, plainRun("a few words"))
	if two := p.flow(0, 0, 12, false, plainRun("a few words")); two <= one {
		t.Errorf("in a narrow column %g mm, in a wide one %g", two, one)
	}
	p.font(plainRun(""))
	for _, part := range p.fitting(strings.Repeat("W", 60), 20) {
		if w := p.pdf.GetStringWidth(part); w > 20 {
			t.Errorf("%q is %g mm wide in a column of 20", part, w)
		}
	}
	if p.flow(0, 0, 50, false) != 0 {
		t.Error("no text has a height")
	}
}

func TestParsePaper(t *testing.T) {
	for s, want := range map[string]Paper{"": A4, "a4": A4, "A4": A4, " Letter ": Letter, "LETTER": Letter} {
		if got, err := ParsePaper(s); got != want || err != nil {
			t.Errorf("%q gives %v, %v", s, got, err)
		}
	}
	if _, err := ParsePaper("A5"); err == nil || !strings.Contains(err.Error(), "expected A4 or Letter") {
		t.Errorf("A5: %v", err)
	}
	for _, p := range []Paper{A4, Letter} {
		if got, err := ParsePaper(p.String()); got != p || err != nil {
			t.Errorf("%v comes back as %v, %v", p, got, err)
		}
	}
}

func tool(t *testing.T, name string, args ...string) string {
	t.Helper()
	out, err := exec.Command(name, args...).CombinedOutput()
	if err != nil {
		t.Fatalf("%s: %v\n%s", name, err, out)
	}
	return string(out)
}

func num64(t *testing.T, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}
