package web

import (
	"strings"
	"testing"
)

// A pot from mixing to its label; what may be added to one that came out off
// is kept with the question, and the corrected recipe names what it corrects.
func TestPotsAndTheirLabels(t *testing.T) {
	r := smallRoom(t)
	recipe := demoJob + "recipe/1"
	r.send(demoJob+"recipes", "name", "wave teal", "parts", "T3:5,W2:1", "area", "A4", "target", "#2C7C82")
	r.send(recipe+"/batch", "amount", "120 g", "place", "top shelf")
	says(t, r.page(recipe), "label?batch=1")
	// 5 parts of 6 of 120 g are 100 g; nothing is used yet.
	says(t, r.page(recipe+"/label?batch=1"), "wave teal", "pot 1", "100.0 g", "120.0 g left", "top shelf", "safety data sheet decides")
	says(t, r.page(recipe+"/label"), "83.3 g", "16.7 g") // of 100 g
	for path, want := range map[string]int{recipe + "/label?batch=x": 422, recipe + "/label?batch=9": 404, demoJob + "recipe/77/label": 404} {
		if a := r.get(path); a.StatusCode != want {
			t.Errorf("%s: status %d, want %d", path, a.StatusCode, want)
		}
	}
	says(t, r.send(recipe+"/use", "batch", "1", "amount", "10 ml"), "10 ml of pot 1 used")
	page := r.page(recipe + "?seen=lab(38+-24+-9)&batch=1&add=W2")
	says(t, page, `name="add" value="W2"`)
	page = r.send(recipe+"/correct", "seen", "lab(38 -24 -9)", "batch", "1", "add", "W2")
	if !strings.Contains(page, "The corrected recipe is number 2") {
		t.Fatalf("the corrected recipe is not kept: %.300s", page)
	}
	says(t, page, "Corrects", "recipe/1")
}
