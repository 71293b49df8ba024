package sheet

import (
	"context"
	"errors"
	"maps"
	"net/http"
	"net/http/httptest"
	"os/exec"
	"slices"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
)

// browser starts a headless browser, or skips where none is installed.
func browser(t *testing.T) context.Context {
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
	ctx, cancel := context.WithTimeout(context.Background(), 3*time.Minute)
	t.Cleanup(cancel)
	ctx, cancel = chromedp.NewContext(ctx, chromedp.WithAllocatorOptions(chromedp.NoSandbox, chromedp.Flag("disable-quic", true), chromedp.Flag("disable-component-update", true)))
	t.Cleanup(cancel)
	return ctx
}

// Nothing may hang over the edge of the paper or of a phone, on any paper of a
// job however ugly: widths in CSS pixels of A4 and Letter less their margins of
// 10 mm, and of a small phone.
func TestPapersFitInABrowser(t *testing.T) {
	ctx := browser(t)
	pages := map[string]string{}
	for name, d := range map[string]Data{"fixture": fixture(t), "ugly": ugly(t)} {
		for _, l := range Leaves() {
			pages["/"+name+"/"+l.Word] = leafHTML(t, l, d)
		}
	}
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Type", "text/html; charset=utf-8")
		w.Write([]byte(pages[r.URL.Path]))
	}))
	defer server.Close()
	for _, c := range []struct {
		name, media string
		width       int64
	}{{"A4", "print", 718}, {"Letter", "print", 740}, {"phone", "screen", 360}} {
		media := func(ctx context.Context, t *chromedp.Target) (chromedp.Void, error) {
			_, err := cdp.Call(ctx, t, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Media: c.media})
			return chromedp.Void{}, err
		}
		for _, path := range slices.Sorted(maps.Keys(pages)) {
			err := chromedp.Do(ctx, chromedp.EmulateViewport(c.width, 1000), media, chromedp.Navigate(server.URL+path))
			if errors.Is(err, exec.ErrNotFound) {
				t.Skip("no Chromium on this machine")
			}
			if err != nil {
				t.Fatal(err)
			}
			over, err := chromedp.Run(ctx, chromedp.Evaluate[float64](`document.documentElement.scrollWidth - document.documentElement.clientWidth`))
			if err != nil {
				t.Fatal(err)
			}
			if over > 0 {
				t.Errorf("%s, %s: %g px hang over the edge", path, c.name, over)
			}
		}
	}
}
