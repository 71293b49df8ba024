package web

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"net/http"
	"strings"
	"testing"
	"time"

	"undercoat/finish"
)

// rubCloth is a photograph of a rub cloth as it would be without cast or
// noise: clean cloth on both sides of the stain.
func rubCloth(t *testing.T, clean, stained color.NRGBA) []byte {
	t.Helper()
	im := image.NewNRGBA(image.Rect(0, 0, 600, 300))
	for y := range 300 {
		for x := range 600 {
			c := clean
			if x >= 200 && x < 400 {
				c = stained
			}
			im.SetNRGBA(x, y, c)
		}
	}
	var b bytes.Buffer
	if err := png.Encode(&b, im); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// A rub cloth is photographed, marked, graded and put on record. The grade
// comes from elsewhere: ISO 105-A04 of the two colours, as the verb computes
// it from values typed in.
func TestRubClothFromAPhotograph(t *testing.T) {
	r := smallRoom(t)
	clean, stained := color.NRGBA{238, 238, 238, 255}, color.NRGBA{214, 216, 222, 255}
	a := r.upload(demoJob+"photo", map[string]string{"for": "test", "how": "dry rub"}, map[string][]byte{"cloth.png": rubCloth(t, clean, stained)})
	if a.StatusCode != http.StatusSeeOther {
		t.Fatalf("status %d: %s", a.StatusCode, words(a.body))
	}
	at := a.Header.Get("Location")
	page := r.page(at)
	says(t, page, "Grade a rub cloth", `data-spot="clean"`)
	path, _, _ := strings.Cut(at, "?")
	marked := "?for=test&how=dry+rub&clean=20,40,140,200&stained=230,40,140,200&clean2=430,40,140,200"
	page = r.page(path + marked)
	says(t, page, "It reads", "Grade ", "Put the test on record")
	page = r.send(path+"/test", "version", r.version(page), "how", "dry rub", "subject", "C1", "against", "white cotton", "clean", "20,40,140,200", "stained", "230,40,140,200", "clean2", "430,40,140,200")
	says(t, page, "the dry rub of C1, is on record: grade ")
	if a := r.post(path+"/test", "version", "1", "how", "dry rub", "subject", "C1"); a.StatusCode != http.StatusUnprocessableEntity {
		t.Errorf("unmarked: status %d", a.StatusCode)
	}
	says(t, r.page(path+"?for=test&how=dry+rub&clean=20,40,140,200&stained=30,50,140,200"), "overlap")
	if a := r.get(path + "/file"); a.Header.Get("Content-Type") != "image/png" || a.StatusCode != 200 {
		t.Errorf("the photograph is shown with status %d as %s", a.StatusCode, a.Header.Get("Content-Type"))
	}
}

// A swatch is measured from a photograph beside a known white.
func TestSwatchFromAPhotograph(t *testing.T) {
	r := smallRoom(t)
	im := rubCloth(t, color.NRGBA{243, 241, 236, 255}, color.NRGBA{44, 124, 130, 255})
	a := r.upload(demoJob+"photo", map[string]string{"for": "T3", "from": "A4"}, map[string][]byte{"swatch.png": im})
	path, _, _ := strings.Cut(a.Header.Get("Location"), "?")
	form := "?for=T3&from=A4&anchor=20,40,140,200&swatch=230,40,140,200&known=%23F3F1EC&kind=swatch&over=itself"
	page := r.page(path + form)
	// The swatch was drawn as sRGB 44, 124, 130: L* 47.7 (IEC 61966-2-1 and CIE 15, worked out apart from this program).
	says(t, page, "the swatch as read", "L* 47.", "Keep this measure", "back to the strip A4")
	page = r.send(path+"/measure", "version", r.version(page), "for", "T3", "from", "A4", "anchor", "20,40,140,200", "swatch", "230,40,140,200", "known", "#F3F1EC", "kind", "swatch", "over", "itself")
	says(t, page, "Measured from a photograph", "back to the strip A4")
}

// The tray forgets the oldest, and what is asked for by a name that was never
// given is not there.
func TestTrayIsBounded(t *testing.T) {
	now := demoNow()
	tr := tray{now: func() time.Time { return now }}
	var ids []string
	for range mostPhotos + 3 {
		now = now.Add(time.Second)
		ids = append(ids, tr.put(photo{NamedFile: finish.NamedFile{Bytes: []byte("x")}}))
	}
	for i, id := range ids {
		if _, err := tr.get(id); (err == nil) != (i >= 3) {
			t.Errorf("photograph %d of %d: %v", i, len(ids), err)
		}
	}
	now = now.Add(2 * photoHolds)
	last := tr.put(photo{NamedFile: finish.NamedFile{Bytes: []byte("x")}})
	if _, err := tr.get(last); err != nil || len(tr.kept) != 1 {
		t.Errorf("after two hours %d are held, %v", len(tr.kept), err)
	}
}

// A long work is told while it runs, is done once for all who ask, and opens
// by itself.
func TestLongWorkIsTold(t *testing.T) {
	r := smallRoom(t)
	r.server.patience = 0
	page := r.page(demoJob + "days")
	says(t, page, "Working", "looking for the order of work", "done.", `http-equiv="refresh" content="0;url=/j/Low%20Water%20Night/days"`)
	r.server.patience = time.Minute
	says(t, r.page(demoJob+"days"), "Hands off")
}

func TestRecipesAirAndAnyColour(t *testing.T) {
	r := smallRoom(t)
	page := r.page(demoJob + "recipes?from=A4")
	page = r.send(demoJob+"recipes", "version", r.version(page), "from", "A4", "name", "wave teal", "parts", "T3:5,W2:1", "area", "A4", "target", "#2C7C82")
	says(t, page, "wave teal", "Kept under number 1", "back to the strip A4")
	// 5 parts of 6 of 120 g are 100 g.
	says(t, r.page(demoJob+"recipe/1?amount=120+g"), "100.0 g", "20.0 g", "83.3 %")
	says(t, r.send(demoJob+"recipe/1/batch", "amount", "120 g", "place", "top shelf"), "Mixed 120 g", "top shelf")
	says(t, r.send(demoJob+"recipe/1/use", "batch", "1", "amount", "40 g"), "40 g of pot 1 used")
	says(t, r.page(demoJob+"recipe/1?seen=lab(52+-18+-8)&batch=1"), "as it came out", "then, predicted")
	says(t, r.page(demoJob+"air?product=W1&amount=150+ml&changes=2"), "2.0 air changes", "permit")
	says(t, r.page(demoJob+"air?product=H1&amount=150+ml"), "ASKS")
	page = r.page(demoJob + "match?colour=C1&lights=2900")
	says(t, page, "Slate suiting", "2900")
	if strings.Contains(page, "Choose") {
		t.Error("a colour of no area offers a choice")
	}
}

func TestTheWorkroomFile(t *testing.T) {
	r := smallRoom(t)
	says(t, r.page("/room?check=on"), "No fault found")
	for path, start := range map[string]string{"/room/copy": "SQLite format 3", "/shelf.zip": "PK", demoJob + "job.zip": "PK"} {
		a := r.get(path)
		if a.StatusCode != 200 || !strings.HasPrefix(a.body, start) || !strings.HasPrefix(a.Header.Get("Content-Disposition"), "attachment") {
			t.Errorf("%s: status %d, begins %.10q", path, a.StatusCode, a.body)
		}
	}
	// A job taken away comes in elsewhere as it was.
	folder := r.get(demoJob + "job.zip").body
	other := emptyRoom(t)
	says(t, other.follow("/import", other.upload("/import", nil, map[string][]byte{"job.zip": []byte(folder)})), "Coat body", "A7")
	if again := other.get(demoJob + "job.zip").body; len(again) == 0 || fmt.Sprint(len(again)) != fmt.Sprint(len(folder)) {
		t.Errorf("taken in and away again the folder has %d bytes, it had %d", len(again), len(folder))
	}
	a := r.upload("/shelf/import", nil, map[string][]byte{"stock.csv": []byte("code,name,kind,colour\nQ1,Test white,paint,#F4F3EF\n")})
	says(t, r.follow("/shelf/import", a), "Test white")
	if a := r.post("/demo"); a.StatusCode != http.StatusUnprocessableEntity {
		t.Errorf("the demo over a job: status %d", a.StatusCode)
	}
}
