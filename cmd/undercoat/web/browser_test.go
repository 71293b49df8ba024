package web

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// window is a browser's window on a room.
type window struct {
	t    *testing.T
	ctx  context.Context
	room *room
}

// openWindow starts a headless browser, or skips where none is installed.
func openWindow(t *testing.T, r *room) window {
	t.Helper()
	if testing.Short() {
		t.Skip("short: no browser")
	}
	found := false
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome", "headless-shell"} {
		if _, err := exec.LookPath(name); err == nil {
			found = true
		}
	}
	if !found {
		t.Skip("no Chromium on this machine")
	}
	ctx, cancel := context.WithTimeout(context.Background(), 2*time.Minute)
	t.Cleanup(cancel)
	ctx, cancel = chromedp.NewContext(ctx, chromedp.WithAllocatorOptions(chromedp.NoSandbox, chromedp.Flag("disable-quic", true), chromedp.Flag("disable-component-update", true)))
	t.Cleanup(cancel)
	w := window{t, ctx, r}
	w.do(chromedp.EmulateViewport(1280, 900))
	return w
}

func (w window) do(steps ...chromedp.Action[chromedp.Void]) {
	w.t.Helper()
	if err := chromedp.Do(w.ctx, steps...); err != nil {
		w.t.Fatal(err)
	}
}

func (w window) open(path string) { w.t.Helper(); w.do(chromedp.Navigate(w.room.web.URL + path)) }

// follow clicks and waits for the next page.
func (w window) follow(selector string) {
	w.t.Helper()
	if _, err := chromedp.RunResponse(w.ctx, chromedp.Click(chromedp.CSS(selector))); err != nil {
		w.t.Fatalf("follow %s: %v", selector, err)
	}
}

// enter focuses an element and presses Enter, as those do who use no mouse.
func (w window) enter(selector string) {
	w.t.Helper()
	if _, err := chromedp.RunResponse(w.ctx, chromedp.Focus(chromedp.CSS(selector)), chromedp.KeyEvent(kb.Enter)); err != nil {
		w.t.Fatalf("enter %s: %v", selector, err)
	}
}

func (w window) says(texts ...string) {
	w.t.Helper()
	all := evaluate[string](w, `document.querySelector("main").innerText`)
	for _, text := range texts {
		if !strings.Contains(all, text) {
			w.t.Errorf("%s does not say %q:\n%.1500s", evaluate[string](w, `location.pathname`), text, all)
		}
	}
}

func evaluate[T any](w window, script string) T {
	w.t.Helper()
	v, err := chromedp.Run(w.ctx, chromedp.Evaluate[T](script))
	if err != nil {
		w.t.Fatalf("%s: %v", script, err)
	}
	return v
}

// The three jobs of the project on the demo, in a browser: match the grey,
// plan the coats of the tunic, say whether the hood may be worn over it.
func TestThreeJobsInABrowser(t *testing.T) {
	dir, err := smallFolder()
	if err != nil {
		t.Fatal(err)
	}
	w := openWindow(t, openRoom(t, copyOf(t, filepath.Join(dir, "workroom.db")), ""))

	w.open("/")
	w.says("Low Water Night", "Hands off Wed 11 Nov 21:00")
	w.follow(`#nA1 a`)
	w.says("Coat body", "What the pictures show", "R4", "only compared")
	w.follow(`a[href$="/area/A1/match"]`)
	// By the demo's answer key C1 is right, C2 turns in the warm hall, C3 is too dark.
	first := evaluate[string](w, `document.querySelector(".match h2").innerText`)
	if !strings.HasPrefix(first, "C1") {
		t.Errorf("the first match is %q, want C1", first)
	}
	w.says("Fog suiting", "under lit path", "nothing speaks against it")
	w.enter(`.match button`)
	w.says("A1 is made with C1")

	w.follow(`header nav a[aria-current], header .job a`)
	w.follow(`#nA4 a`)
	w.says("T3", "Coats, from the ground up", "after it")
	w.enter(`a[href$="/area/A4/coats"]`)
	w.do(chromedp.SetValue(chromedp.CSS(`input[name=coats]`), "3"))
	w.enter(`main form button`)
	w.says("The colour arrives", "coat 3, T3")
	w.follow(`form[action$="/choice"] button`)
	w.says("A4 is made with T3:3", "Put back T3:2")
	w.enter(`.note button`)
	w.says("A4 is made with T3:2")
	w.follow(`a[href*="/days?from=A4"]`)
	w.says("A4-T3-1", "last safe start", "back to the strip A4")
	if n := evaluate[float64](w, `document.querySelectorAll(".handbar").length`); n < 10 {
		t.Errorf("the picture of the days holds %g steps", n)
	}
	w.follow(`.return a`)

	w.follow(`a[href*="/contacts?from=A4"]`)
	w.says("A3 Hood-cape on A4 Under-tunic, wave band: ◑ with barrier", "RT4", "C11")

	w.drawARectangle()
	w.everyPageHolds()
}

// drawARectangle marks a spot by mouse and moves it by keys.
func (w window) drawARectangle() {
	w.t.Helper()
	w.open(demoJob + "picture/R1?from=A1")
	corner := evaluate[[]float64](w, `(() => { const r = document.getElementById("draw").getBoundingClientRect(); return [r.left + r.width / 2, r.top + r.height / 2] })()`)
	w.do(chromedp.DragAndDropXY(corner[0], corner[1], corner[0]+40, corner[1]+60))
	size := func() []float64 {
		return evaluate[[]float64](w, `["x", "y", "w", "h"].map(n => +document.querySelector('[name=' + n + ']').value)`)
	}
	drawn := size()
	if drawn[2] < 20 || drawn[3] < drawn[2] {
		w.t.Errorf("drawing gave the rectangle %v", drawn)
	}
	w.do(chromedp.Focus(chromedp.ID("draw")), chromedp.KeyEvent(kb.ArrowRight), chromedp.KeyEvent(kb.ArrowDown, chromedp.KeyModifiers(chromedp.ModifierShift)))
	moved := size()
	if moved[0] <= drawn[0] || moved[1] != drawn[1] || moved[2] != drawn[2] || moved[3] <= drawn[3] {
		w.t.Errorf("keys took %v to %v", drawn, moved)
	}
	if _, err := chromedp.RunResponse(w.ctx, chromedp.KeyEvent(kb.Enter)); err != nil {
		w.t.Fatal(err)
	}
	w.says("reads", "Keep it as A1", "back to the strip A1")
	w.enter(`form[action$="/mark"] button`)
	w.says("A1 is marked in R1")
	w.enter(`.note button`)
	w.says("A1 is marked in R1")
}

// everyPageHolds runs an accessibility engine on every page and looks that
// nothing hangs over its edge, on a desk by day and on a phone by night.
func (w window) everyPageHolds() {
	w.t.Helper()
	axe, err := os.ReadFile(filepath.Join("testdata", "axe", "axe.min.js"))
	if err != nil {
		w.t.Fatal(err)
	}
	wide := []string{
		demoJob, demoJob + "area/A4", demoJob + "area/A1/match", demoJob + "area/A4/coats", demoJob + "pictures", demoJob + "picture/R1?what=A1&x=445&y=1015&w=30&h=55",
		demoJob + "days?from=A4", demoJob + "contacts", demoJob + "shelf", demoJob + "shelf/line/W1", demoJob + "papers", "/new", "/nothing",
	}
	narrow := []string{demoJob, demoJob + "area/A4", demoJob + "area/A1/match", demoJob + "days", demoJob + "contacts", demoJob + "shelf/line/W1", demoJob + "picture/R1"}
	for _, v := range []struct {
		width  int64
		scheme string
		pages  []string
	}{{1280, "light", wide}, {360, "dark", narrow}} {
		scheme := func(ctx context.Context, t *chromedp.Target) (chromedp.Void, error) {
			_, err := cdp.Call(ctx, t, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: v.scheme}}})
			return chromedp.Void{}, err
		}
		w.do(chromedp.EmulateViewport(v.width, 900), scheme)
		for _, page := range v.pages {
			w.open(page)
			where := fmt.Sprintf("%s at %d px, %s", page, v.width, v.scheme)
			if over := evaluate[float64](w, `document.documentElement.scrollWidth - document.documentElement.clientWidth`); over > 0 {
				w.t.Errorf("%s: %g px hang over the edge", where, over)
			}
			w.do(chromedp.Evaluate[chromedp.Void](string(axe) + "; undefined"))
			for _, fault := range w.axe() {
				w.t.Errorf("%s: %s", where, fault)
			}
		}
	}
}

// axe runs the engine that the page holds: WCAG 2.2 A and AA.
func (w window) axe() []string {
	w.t.Helper()
	const run = `axe.run(document, {runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]})
		.then(r => r.violations.map(v => v.id + ": " + v.help + ": " + v.nodes.slice(0, 3).map(n => n.target + " " + n.html.slice(0, 120)).join(" | ")))`
	faults, err := chromedp.Run(w.ctx, chromedp.Evaluate[[]string](run, chromedp.EvalAwaitPromise))
	if err != nil {
		w.t.Fatal(err)
	}
	return faults
}
