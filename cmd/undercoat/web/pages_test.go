package web

import (
	"net/http"
	"regexp"
	"strings"
	"testing"
)

// Every page is whole, holds nothing that the content policy forbids, and says
// nothing this house does not say.
func TestEveryPage(t *testing.T) {
	r := demoRoom(t)
	for _, path := range demoPages() {
		page := r.page(path)
		for what, n := range map[string]int{"<h1": 1, "<main": 1, `<html lang="en">`: 1, "</html>": 1} {
			if got := strings.Count(page, what); got != n {
				t.Errorf("%s: %d of %s, want %d", path, got, what, n)
			}
		}
		for _, never := range []string{"ZgotmplZ", " style=", "javascript:", "onclick", "http://", "https://", "<no value>", "%!", "perfect match", "guarantee", "permanent", "NaN"} {
			if strings.Contains(page, never) {
				t.Errorf("%s: says %q", path, never)
			}
		}
		for _, m := range regexp.MustCompile(`<script[^>]*>`).FindAllString(page, -1) {
			if !regexp.MustCompile(`src="/static/(mark|drop|clock)\.js\?`).MatchString(m) {
				t.Errorf("%s: script %s", path, m)
			}
		}
		// One label or a name of its own for every field that is seen.
		for _, m := range regexp.MustCompile(`<(?:input|select)[^>]*>`).FindAllStringIndex(page, -1) {
			field := page[m[0]:m[1]]
			before := page[:m[0]]
			inLabel := strings.LastIndex(before, "<label") > strings.LastIndex(before, "</label>")
			if !inLabel && !strings.Contains(field, `type="hidden"`) && !strings.Contains(field, "aria-label") {
				t.Errorf("%s: a field without a label: %s", path, field)
			}
		}
		if strings.Contains(page, `aria-label=""`) {
			t.Errorf("%s: a drawing without words", path)
		}
	}
}

// The first page stays light: the board with all it loads.
func TestFirstPageWeighsLittle(t *testing.T) {
	r := demoRoom(t)
	page := r.page(demoJob)
	total := len(page)
	for _, m := range regexp.MustCompile(`(?:href|src)="(/static/[^"]+)"`).FindAllStringSubmatch(page, -1) {
		total += len(r.page(m[1]))
	}
	if strings.Contains(page, "/file\"") {
		t.Error("the board loads pictures")
	}
	if total > 100_000 {
		t.Errorf("the board and what it loads weigh %d bytes, want less than 100 kB", total)
	}
}

// What the demo's board must show, by its answer key (testdata/demo).
func TestBoardOfTheDemo(t *testing.T) {
	r := demoRoom(t)
	page := r.page(demoJob)
	says(t, page, "Hands off Wed 11 Nov 21:00", "Slate suiting", "approved", "fluorescent, hue near", "beyond what a screen shows", "Coat body", "ΔE00")
	for _, code := range []string{"A1", "A2", "A3", "A4", "A5", "A6", "A7", "A8", "A9"} {
		if n := strings.Count(page, `data-area="`+code+`"`); n != 1 {
			t.Errorf("strip %s hangs on the board %d times", code, n)
		}
	}
}

// Another fan makes another plan, and says so by its dates.
func TestWhatIfTheFanIsOff(t *testing.T) {
	r := smallRoom(t)
	with, without := r.page(demoJob+"days?fan=on"), r.page(demoJob+"days?fan=off")
	says(t, with, "label times × 1.2")
	says(t, without, "label times × 1.6", "What if")
	if a := r.get(demoJob + "days?fan=sideways"); a.StatusCode != http.StatusUnprocessableEntity {
		t.Errorf("a fan that is neither on nor off: status %d", a.StatusCode)
	}
}

func TestViewsReturnToTheirStrip(t *testing.T) {
	r := demoRoom(t)
	for _, view := range []string{"pictures", "picture/R1", "days", "contacts", "contacts/how", "shelf", "shelf/line/W1", "recipes", "air", "match", "papers"} {
		says(t, r.page(demoJob+view+"?from=A5"), `href="/j/Low%20Water%20Night/area/A5"`, "back to the strip A5")
		if strings.Contains(r.page(demoJob+view+"?from=<A5>"), "back to the strip") {
			t.Errorf("%s returns to a strip that is not there", view)
		}
	}
}

func TestPapersAreSent(t *testing.T) {
	r := demoRoom(t)
	for _, p := range []struct{ file, kind, start string }{
		{"bench-sheet.html", "text/html", "<!doctype html>"}, {"calendar.ics", "text/calendar", "BEGIN:VCALENDAR"}, {"shopping.csv", "text/csv", "code,"},
	} {
		a := r.get(demoJob + "papers/" + p.file)
		if a.StatusCode != 200 || !strings.HasPrefix(a.Header.Get("Content-Type"), p.kind) || !strings.HasPrefix(a.body, p.start) {
			t.Errorf("%s: status %d, %s, begins %.20q", p.file, a.StatusCode, a.Header.Get("Content-Type"), a.body)
		}
	}
}

func TestWhatIsNotThere(t *testing.T) {
	r := demoRoom(t)
	for _, path := range []string{"/nothing", "/j/No%20such%20job/", demoJob + "area/Z9", demoJob + "picture/R9", demoJob + "papers/secret.txt", demoJob + "shelf/line/Q9", demoJob + "recipe/77", demoJob + "recipe/x", demoJob + "photo/nothing?for=test", demoJob + "picture/..%2f..%2fworkroom.db/file"} {
		a := r.get(path)
		if a.StatusCode != http.StatusNotFound {
			t.Errorf("%s: status %d, want 404", path, a.StatusCode)
		}
		says(t, a.body, "Not done", "Nothing was changed")
	}
}
