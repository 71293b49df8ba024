package web

import (
	"context"
	"fmt"
	"io"
	"math/rand/v2"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"os"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"
)

// Forty people on one shared page: each pairs a browser, looks about and now
// and then writes. What was answered with success is in the file afterwards,
// once; nothing else is. UNDERCOAT_TEST_LOAD says how long (`make load`).
func TestLoad(t *testing.T) {
	wanted := os.Getenv("UNDERCOAT_TEST_LOAD")
	if wanted == "" {
		t.Skip("set UNDERCOAT_TEST_LOAD=10m to put forty people on one page")
	}
	long, err := time.ParseDuration(wanted)
	if err != nil {
		t.Fatal(err)
	}
	r := smallRoom(t)
	r.web.Close()
	shared := serveRoom(r.bench, "ABCD2345")
	shared.t = t
	t.Cleanup(shared.web.Close)
	r = shared

	const people = 40
	crowd := &crowd{took: map[string][]time.Duration{}, written: map[string]bool{}}
	ends := time.Now().Add(long)
	var all sync.WaitGroup
	for p := range people {
		all.Go(func() { crowd.person(t, r.web.URL, p, ends) })
	}
	all.Wait()
	crowd.tell(t, long)

	kept := map[string]int{}
	show, err := r.bench.StockItem(context.Background(), "T3")
	if err != nil {
		t.Fatal(err)
	}
	for _, m := range show.Movements {
		if strings.HasPrefix(m.Note, "person ") {
			kept[m.Note]++
		}
	}
	for note := range crowd.written {
		if kept[note] != 1 {
			t.Errorf("%s was answered and is there %d times", note, kept[note])
		}
	}
	if len(kept) != len(crowd.written) {
		t.Errorf("%d writes are in the file, %d were answered", len(kept), len(crowd.written))
	}
	if found, err := r.bench.Check(context.Background()); err != nil || len(found) != 0 {
		t.Errorf("check: %v, %v", found, err)
	}
}

type crowd struct {
	mu      sync.Mutex
	took    map[string][]time.Duration
	written map[string]bool // notes of the writes that were answered with success
	failed  int
}

// person looks at the pages a person looks at, a second or three at each, and
// takes a millilitre off the shelf every tenth time.
func (c *crowd) person(t *testing.T, at string, p int, ends time.Time) {
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Error(err)
		return
	}
	client := &http.Client{Jar: jar, Transport: &http.Transport{}}
	r := rand.New(rand.NewPCG(uint64(p), 40))
	if !c.ask(t, client, "pair", http.MethodPost, at+"/pair", url.Values{"code": {"ABCD2345"}}) {
		return
	}
	pages := []string{"", "area/A1", "area/A4", "area/A1/match", "days", "contacts", "shelf", "shelf/line/T3", "pictures", "papers"}
	for i := 0; time.Now().Before(ends); i++ {
		if i%10 == 9 {
			note := fmt.Sprintf("person %d, write %d", p, i)
			if c.ask(t, client, "write", http.MethodPost, at+demoJob+"shelf/line/T3/move", url.Values{"verb": {"buy"}, "amount": {"1 ml"}, "note": {note}}) {
				c.mu.Lock()
				c.written[note] = true
				c.mu.Unlock()
			}
		} else {
			page := pages[r.IntN(len(pages))]
			c.ask(t, client, "page "+page, http.MethodGet, at+demoJob+page, nil)
		}
		time.Sleep(time.Second + time.Duration(r.IntN(2000))*time.Millisecond)
	}
}

// ask sends one request, follows where it leads and notes how long it took.
func (c *crowd) ask(t *testing.T, client *http.Client, what, method, to string, form url.Values) bool {
	req, err := http.NewRequest(method, to, strings.NewReader(form.Encode()))
	if err != nil {
		t.Error(err)
		return false
	}
	if form != nil {
		req.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		req.Header.Set("Sec-Fetch-Site", "same-origin")
	}
	began := time.Now()
	resp, err := client.Do(req)
	if err != nil {
		t.Errorf("%s: %v", what, err)
		return false
	}
	defer resp.Body.Close()
	_, err = io.Copy(io.Discard, resp.Body)
	took := time.Since(began)
	c.mu.Lock()
	defer c.mu.Unlock()
	c.took[what] = append(c.took[what], took)
	if err != nil || resp.StatusCode != http.StatusOK {
		c.failed++
		t.Errorf("%s: status %d, %v", what, resp.StatusCode, err)
		return false
	}
	return true
}

func (c *crowd) tell(t *testing.T, long time.Duration) {
	var names []string
	asked := 0
	for n, took := range c.took {
		names = append(names, n)
		asked += len(took)
	}
	slices.Sort(names)
	t.Logf("%d requests in %s, %d failed, %d writes answered", asked, long, c.failed, len(c.written))
	for _, n := range names {
		took := c.took[n]
		slices.Sort(took)
		at := func(share float64) time.Duration {
			return took[int(share*float64(len(took)-1))].Round(time.Millisecond)
		}
		t.Logf("%-22s %5d times, half within %s, 95 %% within %s, longest %s", n, len(took), at(0.5), at(0.95), at(1))
	}
}
