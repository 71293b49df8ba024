package web

import (
	"archive/zip"
	"bytes"
	"context"
	"io/fs"
	"net/http"
	"regexp"
	"strings"
	"testing"

	"undercoat/finish"
	"undercoat/testdata/demo"
)

// Two windows open the same strip; the second to write is told, and nothing of
// the first is lost.
func TestTwoWindowsNeverOverwrite(t *testing.T) {
	r := smallRoom(t)
	path := demoJob + "area/A1"
	seen := r.version(r.page(path))
	says(t, r.send(path+"/choice", "version", seen, "layers", "C3", "before", "C1"), "A1 is made with C3", "Put back C1")
	a := r.post(path+"/choice", "version", seen, "layers", "C2")
	if a.StatusCode != http.StatusConflict {
		t.Fatalf("status %d, want 409", a.StatusCode)
	}
	says(t, a.body, "Changed meanwhile", "Nothing was overwritten")
	says(t, r.page(path), "C3")
	for _, form := range []struct{ path, field, value string }{
		{demoJob + "area/A1/target", "as", "#ffffff"}, {demoJob + "days/done", "step", "A7-cut"}, {demoJob + "days/undo", "step", "A7-cut"},
		{demoJob + "contacts/test", "subject", "C1"}, {demoJob + "picture/R1/mark", "what", "A1"}, {demoJob + "areas", "code", "B1"},
	} {
		if a := r.post(form.path, "version", seen, form.field, form.value, "which", "own", "how", "wash", "spot", "1,1,30,30"); a.StatusCode != http.StatusConflict {
			t.Errorf("%s with an old version: status %d, want 409", form.path, a.StatusCode)
		}
		if a := r.post(form.path, form.field, form.value); a.StatusCode != http.StatusUnprocessableEntity {
			t.Errorf("%s without a version: status %d, want 422", form.path, a.StatusCode)
		}
	}
}

// The note of a choice puts the choice before it back.
func TestUndoOfAChoice(t *testing.T) {
	r := smallRoom(t)
	path := demoJob + "area/A1"
	page := r.send(path+"/choice", "version", r.version(r.page(path)), "layers", "C3", "before", "C1")
	i := strings.Index(page, "Put back C1")
	form := page[strings.LastIndex(page[:i], "<form"):i]
	says(t, form, `name="layers" value="C1"`)
	says(t, r.send(path+"/choice", "version", r.version(form), "layers", "C1"), "A1 is made with C1")
	if strings.Contains(r.page(path), "Put back") {
		t.Error("a note is shown twice")
	}
}

func TestApproveATarget(t *testing.T) {
	r := smallRoom(t)
	path := demoJob + "area/A1"
	page := r.send(path+"/target", "version", r.version(r.page(path)), "which", "own", "as", "#707070")
	says(t, page, "The target of A1 is approved", "#707070", "Approve #6c7176 again", "outside")
	page = r.send(path+"/target", "version", r.version(page), "which", "own", "as", "C1")
	says(t, page, "#6f7376") // the colour of a stock line
	a := r.post(path+"/target", "version", r.version(page), "which", "own", "as", "grey-ish")
	if a.StatusCode != http.StatusUnprocessableEntity {
		t.Errorf("a word for a colour: status %d", a.StatusCode)
	}
	says(t, a.body, "#rrggbb", "Nothing was changed")
}

// A step is done and taken back; the shelf gives and gets what it took.
func TestDoneAndUndone(t *testing.T) {
	r := smallRoom(t)
	page := r.page(demoJob + "days")
	page = r.send(demoJob+"days/done", "version", r.version(page), "step", "A7-S1-1", "at", "2026-10-27T19:30", "used", "129 ml")
	says(t, page, "A7-S1-1 is done", "Not done after all")
	says(t, r.page(demoJob+"shelf/line/S1"), "left 271 ml")
	if a := r.post(demoJob+"days/done", "version", r.version(page), "step", "A7-S1-1"); a.StatusCode != http.StatusUnprocessableEntity {
		t.Errorf("done twice: status %d", a.StatusCode)
	}
	page = r.send(demoJob+"days/undo", "version", r.version(page), "step", "A7-S1-1", "from", "A7")
	says(t, page, "A7-S1-1 is not done any more", "back to the strip A7")
	says(t, r.page(demoJob+"shelf/line/S1"), "left 400 ml")
}

func TestMarkASpot(t *testing.T) {
	r := smallRoom(t)
	mark := demoJob + "picture/R4/mark"
	page := r.page(demoJob + "picture/R4?what=A7&spot=500,900,40,40")
	says(t, page, "Keep it as A7", "reads")
	page = r.send(mark, "version", r.version(page), "what", "A7", "spot", "500,900,40,40", "from", "A7")
	says(t, page, "A7 is marked in R4", "Put it back as it was", "back to the strip A7")
	says(t, r.page(demoJob+"area/A7"), "<b>R4</b>", "approved") // the frozen target stays
	page = r.send(mark, "version", r.version(page), "what", "A7", "do", "away")
	says(t, page, "A7 is not marked any more")
	if strings.Contains(r.page(demoJob+"area/A7"), "<b>R4</b>") {
		t.Error("the mark is still read")
	}
	page = r.send(mark, "version", r.version(page), "what", "anchor", "spot", "100,100,30,30", "known", "")
	says(t, page, "Anchor is marked in R4")
	a := r.post(mark, "version", r.version(page), "what", "A1", "spot", "90000,0,10,10")
	if a.StatusCode != http.StatusUnprocessableEntity {
		t.Errorf("a spot outside the picture: status %d\n%s", a.StatusCode, words(a.body))
	}
}

func TestContactsTakeATest(t *testing.T) {
	r := smallRoom(t)
	page := r.page(demoJob + "contacts")
	says(t, page, "A3 Hood-cape on A4 Under-tunic, wave band", "RT4")
	// RT4 of the demo's own tests: grade 4 by ISO 105-A04.
	page = r.send(demoJob+"contacts/test", "version", r.version(page), "subject", "C1", "against", "white cotton", "how", "damp rub", "condition", "as bought",
		"clean", "lab(95.2 -0.3 2.1)", "stained", "lab(91.2 -0.2 0.4)", "when", "2026-10-27T18:00")
	says(t, page, "the damp rub of C1, is on record: grade 4.")
}

func TestShelfIsWrittenTo(t *testing.T) {
	r := smallRoom(t)
	page := r.send(demoJob+"shelf/add", "code", "Y1", "name", "Weld yellow <b>", "kind", "paint", "colour", "#D8B23A", "on_hand", "80", "unit", "ml", "hazards", "H317", "from", "A1")
	says(t, page, "Y1 is on the shelf", "Weld yellow &lt;b&gt;", "left 80 ml", "back to the strip A1")
	says(t, r.send(demoJob+"shelf/line/Y1/move", "verb", "use", "amount", "30 ml"), "left 50 ml")
	moves := func() string {
		return regexp.MustCompile(`name="moves" value="(\d+)"`).FindStringSubmatch(r.page(demoJob + "shelf/line/Y1"))[1]
	}
	old := moves()
	page = r.send(demoJob+"shelf/line/Y1/move", "verb", "count", "amount", "45 ml", "note", "pot on the windowsill", "moves", old)
	says(t, page, "left 45 ml", "pot on the windowsill", "Take it back", `value="50 ml"`)
	if a := r.post(demoJob+"shelf/line/Y1/move", "verb", "count", "amount", "10 ml", "moves", old); a.StatusCode != http.StatusConflict {
		t.Errorf("a count on an old figure: status %d, want 409", a.StatusCode)
	}
	says(t, r.send(demoJob+"shelf/line/Y1/move", "verb", "count", "amount", "50 ml", "moves", moves(), "note", takenBack), "left 50 ml")
	says(t, r.send(demoJob+"shelf/line/Y1/measure", "colour", "lab(74 3 62)", "kind", "swatch", "over", "itself"), "measured")
	a := r.post(demoJob+"shelf/add", "code", "Y2", "name", "x", "kind", "soup")
	says(t, a.body, "kind", "soup", "expected")
	says(t, r.page(demoJob+"shelf?q=weld"), "Y1")
}

// Whatever people type is text.
func TestNamesAreEscaped(t *testing.T) {
	r := smallRoom(t)
	const nasty = `"><script>alert(1)</script><img src=x onerror=alert(2)>`
	page := r.page(demoJob)
	r.send(demoJob+"areas", "version", r.version(page), "code", "B1", "piece", nasty, "method", "cloth", "target", "#445566", "note", nasty)
	r.send(demoJob+"shelf/add", "code", "Y1", "name", nasty, "kind", "cloth", "colour", "#445566", "note", nasty)
	for _, path := range []string{demoJob, demoJob + "area/B1", demoJob + "area/B1/match", demoJob + "shelf", demoJob + "shelf/line/Y1", demoJob + "days", demoJob + "papers/bench-sheet.html",
		demoJob + "area/A1/match?ground=" + "%22%3E%3Cscript%3E", demoJob + "shelf?q=%22%3E%3Cscript%3Ealert(1)%3C/script%3E", "/" + "%3Cscript%3Ealert(1)"} {
		a := r.get(path)
		for _, tag := range []string{"<script>", "<img", "onerror=alert(2)>"} {
			if strings.Contains(a.body, tag) {
				t.Errorf("%s: %s came through", path, tag)
			}
		}
	}
}

// The work on a workroom that holds nothing, by forms alone: begin a job, hang
// a strip, put cloth on the shelf, match, choose.
func TestEmptyWorkroom(t *testing.T) {
	r := emptyRoom(t)
	says(t, r.page("/"), "No job yet", "Take in a job")
	page := r.send("/new", "name", "Spring & bells", "hands_off", "2026-11-11T21:00", "timezone", "Europe/London", "currency", "GBP")
	job := "/j/Spring%20&%20bells/"
	says(t, page, "Spring &amp; bells is begun")
	page = r.send(job+"areas", "version", r.version(page), "code", "A1", "piece", "Coat", "method", "cloth", "cloth_m2", "2.6")
	says(t, page, "A1 is on the board", "No picture shows it")
	page = r.send(job+"area/A1/target", "version", r.version(page), "which", "own", "as", "#6C7176")
	says(t, page, "The target of A1 is approved")
	for _, c := range [][2]string{{"C1", "lab(48.2 -0.9 -2.2)"}, {"C3", "lab(27.9 -0.1 -3.5)"}} {
		r.send(job+"shelf/add", "code", c[0], "name", "Cloth "+c[0], "kind", "cloth", "colour", c[1], "on_hand", "7", "unit", "m", "width_cm", "150")
	}
	page = r.page(job + "area/A1/match")
	if c1, c3 := strings.Index(page, "Cloth C1"), strings.Index(page, "Cloth C3"); c1 < 0 || c3 < 0 || c3 < c1 {
		t.Errorf("the nearer cloth does not stand first: %d, %d", c1, c3)
	}
	says(t, page, "nothing speaks against it", "Much darker")
	says(t, r.send(job+"area/A1/choice", "version", r.version(page), "layers", "C1"), "A1 is made with C1")

	picture, err := fs.ReadFile(demo.Files(), "R1.jpg")
	if err != nil {
		t.Fatal(err)
	}
	page = r.page(job + "pictures")
	page = r.follow("pictures", r.upload(job+"pictures", map[string]string{"version": r.version(page), "trust": "medium", "note": "dusk"}, map[string][]byte{"figure.JPG": picture}))
	says(t, page, "R1 is added", "Mark")
	page = r.page(job + "picture/R1?what=anchor&spot=538,421,45,38&known=%23F3F1EC")
	page = r.send(job+"picture/R1/mark", "version", r.version(page), "what", "anchor", "spot", "538,421,45,38", "known", "#F3F1EC")
	page = r.send(job+"picture/R1/mark", "version", r.version(page), "what", "A1", "spot", "445,1015,30,55")
	says(t, r.page(job+"area/A1"), "grey", "bears the estimate", "within their range")
	a := r.upload(job+"pictures", map[string]string{"version": r.version(page)}, map[string][]byte{"x.jpg": []byte("not a picture")})
	if a.StatusCode != http.StatusUnprocessableEntity {
		t.Errorf("what is no picture: status %d", a.StatusCode)
	}
}

// What was added by a wrong click goes again.
func TestTakenOffAgain(t *testing.T) {
	r := smallRoom(t)
	page := r.send(demoJob+"areas", "version", r.version(r.page(demoJob)), "code", "B1", "piece", "Belt", "method", "cloth")
	says(t, page, "B1 is on the board", "Take it off again")
	page = r.send(demoJob+"area/B1/away", "version", r.version(page))
	says(t, page, "B1 is off the board")
	if strings.Contains(page, "Belt") {
		t.Error("the area is still there")
	}
	picture, err := fs.ReadFile(demo.Files(), "R3.png")
	if err != nil {
		t.Fatal(err)
	}
	page = r.follow("pictures", r.upload(demoJob+"pictures", map[string]string{"version": r.version(page), "trust": "low"}, map[string][]byte{"p.png": picture}))
	says(t, page, "R5 is added", "Take it off again")
	page = r.send(demoJob+"picture/R5/away", "version", r.version(page))
	says(t, page, "R5 is no reference of the job any more")
	if a := r.get(demoJob + "picture/R5"); a.StatusCode != http.StatusNotFound {
		t.Errorf("the picture is still there: status %d", a.StatusCode)
	}
}

// Several pictures come in with one form.
func TestSeveralPictures(t *testing.T) {
	r := smallRoom(t)
	files := map[string][]byte{}
	for _, n := range []string{"R3.png", "R4.jpg"} {
		data, err := fs.ReadFile(demo.Files(), n)
		if err != nil {
			t.Fatal(err)
		}
		files[n] = data
	}
	page := r.follow("pictures", r.upload(demoJob+"pictures", map[string]string{"version": r.version(r.page(demoJob + "pictures")), "trust": "low"}, files))
	says(t, page, "R5, R6 are added")
}

// The demo's folder comes in as one zip file and as loose files; a bad cell is
// told by file, row and column, and nothing is taken.
func TestImport(t *testing.T) {
	small, err := smallFiles()
	if err != nil {
		t.Fatal(err)
	}
	files := map[string][]byte{}
	for _, f := range small {
		files[f.Name] = f.Bytes
	}
	t.Run("loose files", func(t *testing.T) {
		r := emptyRoom(t)
		says(t, r.follow("/import", r.upload("/import", nil, files)), "Low Water Night: ", "rows of", "Coat body")
	})
	t.Run("a zip file of a folder", func(t *testing.T) {
		var b bytes.Buffer
		z := zip.NewWriter(&b)
		for name, data := range files {
			w, err := z.Create("lantern night/" + name)
			if err != nil {
				t.Fatal(err)
			}
			w.Write(data)
		}
		z.Close()
		r := emptyRoom(t)
		says(t, r.follow("/import", r.upload("/import", nil, map[string][]byte{"job.zip": b.Bytes()})), "Coat body")
	})
	t.Run("a bad cell", func(t *testing.T) {
		r := emptyRoom(t)
		bad := map[string][]byte{"job.csv": files["job.csv"], "areas.csv": []byte("code,piece,method,target\nA1,Coat,cloth,#6C71\n")}
		a := r.upload("/import", nil, bad)
		if a.StatusCode != http.StatusUnprocessableEntity {
			t.Errorf("status %d", a.StatusCode)
		}
		says(t, a.body, "areas.csv row 2 column target", "#6C71", "expected")
		jobs, err := r.bench.Jobs(context.Background())
		if err != nil || len(jobs) != 0 {
			t.Errorf("%d jobs, %v; want none", len(jobs), err)
		}
	})
}

func TestLayersOfForms(t *testing.T) {
	for form, want := range map[string]string{
		"layers=W3:1 W1:3 F1:3": "W3:1 W1:3 F1:3", "layers=W3:1,W1:3%3BF1": "W3:1 W1:3 F1", "code=W1&coats=3&code=&coats=&code=F1&coats=2": "W1:3 F1:2",
		"code=C1&coats=": "C1", "": "",
	} {
		req, _ := http.NewRequest(http.MethodPost, "/", strings.NewReader(form))
		req.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		got, err := layersOf(req)
		if err != nil || finish.LayersText(got) != want {
			t.Errorf("%q gives %q, %v; want %q", form, finish.LayersText(got), err, want)
		}
	}
	for _, form := range []string{"layers=W1:0", "layers=W1:x", "code=W1&coats=99"} {
		req, _ := http.NewRequest(http.MethodPost, "/", strings.NewReader(form))
		req.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		if got, err := layersOf(req); err == nil {
			t.Errorf("%q gives %v, want an error", form, got)
		}
	}
}
