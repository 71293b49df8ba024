package web

import (
	"net/http"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

func TestHostIsHeldAgainstTheList(t *testing.T) {
	r := emptyRoom(t)
	for host, want := range map[string]int{
		"127.0.0.1": 200, "127.0.0.1:9999": 200, "evil.example": 421, "evil.example:8417": 421, "127.0.0.1.evil.example": 421, "localhost": 421, "[::1]:80": 421,
	} {
		req := r.request(http.MethodGet, "/new", nil)
		req.Host = host
		if a := r.do(req); a.StatusCode != want {
			t.Errorf("host %s: status %d, want %d", host, a.StatusCode, want)
		}
	}
}

// The headers by which browsers keep other pages out (Fetch Metadata, and
// Origin for those without).
func TestWritesOfOtherPagesAreRefused(t *testing.T) {
	r := smallRoom(t)
	before := r.version(r.page(demoJob + "area/A1"))
	for name, headers := range map[string]map[string]string{
		"cross-site":        {"Sec-Fetch-Site": "cross-site"},
		"same site, not us": {"Sec-Fetch-Site": "same-site"},
		"another origin":    {"Origin": "http://evil.example"},
		"no origin":         {"Origin": "null"},
	} {
		req := r.request(http.MethodPost, demoJob+"area/A1/choice", strings.NewReader("version="+before+"&layers=C2"))
		req.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		for k, v := range headers {
			req.Header.Set(k, v)
		}
		if a := r.do(req); a.StatusCode != http.StatusForbidden {
			t.Errorf("%s: status %d, want 403", name, a.StatusCode)
		}
	}
	if after := r.version(r.page(demoJob + "area/A1")); after != before {
		t.Errorf("the job is at version %s, was %s", after, before)
	}
	req := r.request(http.MethodPost, demoJob+"area/A1/choice", strings.NewReader("version="+before+"&layers=C1"))
	req.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	req.Header.Set("Sec-Fetch-Site", "same-origin")
	if a := r.do(req); a.StatusCode != http.StatusSeeOther {
		t.Errorf("our own form: status %d", a.StatusCode)
	}
}

func TestHeadersOfEveryAnswer(t *testing.T) {
	r := smallRoom(t)
	for _, path := range []string{demoJob, "/nothing", "/new"} {
		h := r.get(path).Header
		for k, want := range map[string]string{
			"Content-Security-Policy": "default-src 'none'", "X-Content-Type-Options": "nosniff", "X-Frame-Options": "DENY", "Referrer-Policy": "same-origin",
			"Cross-Origin-Opener-Policy": "same-origin", "Cache-Control": "no-store",
		} {
			if !strings.Contains(h.Get(k), want) {
				t.Errorf("%s: %s is %q, want %q in it", path, k, h.Get(k), want)
			}
		}
		if strings.Contains(h.Get("Content-Security-Policy"), "unsafe") {
			t.Errorf("%s: the policy allows what is unsafe", path)
		}
	}
	if p := r.get(demoJob + "papers/bench-sheet.html").Header.Get("Content-Security-Policy"); strings.Contains(p, "script") || !strings.Contains(p, "default-src 'none'") {
		t.Errorf("a paper's policy is %q", p)
	}
}

func TestTooLargeIsRefused(t *testing.T) {
	r := emptyRoom(t)
	if a := r.post("/new", "name", strings.Repeat("x", mostForm)); a.StatusCode != http.StatusRequestEntityTooLarge {
		t.Errorf("a form of more than %d bytes: status %d, want 413", mostForm, a.StatusCode)
	}
	a := r.upload("/import", map[string]string{"note": strings.Repeat("x", mostForm+1)}, nil)
	if a.StatusCode != http.StatusRequestEntityTooLarge {
		t.Errorf("a field of more than %d bytes: status %d, want 413", mostForm, a.StatusCode)
	}
	says(t, r.page("/"), "No job yet")
}

func TestUploadsAreCounted(t *testing.T) {
	now := demoNow()
	b := newBucket(3, time.Minute, func() time.Time { return now })
	for i := range 3 {
		if !b.take() {
			t.Fatalf("act %d is not let through", i+1)
		}
	}
	if b.take() {
		t.Error("a fourth act in a minute is let through")
	}
	now = now.Add(time.Minute)
	if !b.take() {
		t.Error("a minute later none is let through")
	}
	r := emptyRoom(t)
	last := 0
	for range 42 {
		last = r.upload("/import", nil, map[string][]byte{"areas.csv": []byte("code\n")}).StatusCode
	}
	if last != http.StatusTooManyRequests {
		t.Errorf("the 42nd upload of a minute: status %d, want 429", last)
	}
}

// No name in a request reaches the file system.
func TestNamesOfRequestsAreOnlyNames(t *testing.T) {
	r := smallRoom(t)
	for _, path := range []string{
		"/static/..%2fpages%2fframe.html", "/static/%2e%2e/server.go", demoJob + "picture/..%2f..%2fetc%2fpasswd/file", demoJob + "papers/..%2fworkroom.db",
		"/j/..%2f..%2fetc/", demoJob + "shelf/line/..%2fW1",
	} {
		if a := r.get(path); a.StatusCode == http.StatusOK {
			t.Errorf("%s is answered", path)
		}
	}
	// The folder in a file's name is dropped; what is left is refused as no job.
	a := r.upload("/import", nil, map[string][]byte{"../../../job.csv": []byte("key,value\nname,\n"), `..\..\areas.csv`: []byte("code\nA1\n")})
	if a.StatusCode != http.StatusUnprocessableEntity || strings.Contains(a.body, "..") {
		t.Errorf("status %d\n%s", a.StatusCode, words(a.body))
	}
}

func TestPairing(t *testing.T) {
	r := openRoom(t, filepath.Join(t.TempDir(), "workroom.db"), "ABCD2345")
	if a := r.get("/"); a.StatusCode != http.StatusUnauthorized || !strings.Contains(a.body, "not encrypted") {
		t.Errorf("without the code: status %d\n%s", a.StatusCode, words(a.body))
	}
	if a := r.post("/new", "name", "Sneaked in"); a.StatusCode != http.StatusUnauthorized {
		t.Errorf("a write without the code: status %d", a.StatusCode)
	}
	if a := r.get(staticURL("page.css")); a.StatusCode != 200 {
		t.Errorf("the style of the pairing page: status %d", a.StatusCode)
	}
	if a := r.post("/pair", "code", "ABCD2346"); a.StatusCode != http.StatusUnauthorized || a.Header.Get("Set-Cookie") != "" {
		t.Errorf("a wrong code: status %d, cookie %q", a.StatusCode, a.Header.Get("Set-Cookie"))
	}
	a := r.post("/pair", "code", "abcd-2345")
	cookies := a.Cookies()
	if a.StatusCode != http.StatusSeeOther || len(cookies) != 1 {
		t.Fatalf("the code: status %d, %d cookies", a.StatusCode, len(cookies))
	}
	if c := cookies[0]; !c.HttpOnly || c.SameSite != http.SameSiteStrictMode || len(c.Value) < 20 {
		t.Errorf("cookie %+v", c)
	}
	req := r.request(http.MethodGet, "/?all", nil)
	req.AddCookie(cookies[0])
	if a := r.do(req); a.StatusCode != 200 {
		t.Errorf("a paired browser: status %d", a.StatusCode)
	}
	forged := *cookies[0]
	forged.Value = strings.ToLower(forged.Value)
	req = r.request(http.MethodGet, "/?all", nil)
	req.AddCookie(&forged)
	if a := r.do(req); a.StatusCode != http.StatusUnauthorized {
		t.Errorf("a token that was never given: status %d", a.StatusCode)
	}
	last := 0
	for range 12 {
		last = r.post("/pair", "code", "22222222").StatusCode
	}
	if last != http.StatusTooManyRequests {
		t.Errorf("after a dozen wrong codes: status %d, want 429", last)
	}
	if a := r.post("/pair", "code", "ABCD2345"); a.StatusCode != http.StatusTooManyRequests {
		t.Errorf("the right code after too many tries: status %d, want 429", a.StatusCode)
	}
}

func TestPairingEnds(t *testing.T) {
	now := demoNow()
	g := newGate("ABCD2345", func() time.Time { return now })
	req, _ := http.NewRequest(http.MethodGet, "/", nil)
	req.AddCookie(&http.Cookie{Name: gateCookie, Value: g.token()})
	if !g.letsIn(req) {
		t.Fatal("a token that was given lets nobody in")
	}
	now = now.Add(gateHolds)
	if g.letsIn(req) {
		t.Errorf("it still does after %v", gateHolds)
	}
}

func TestCodes(t *testing.T) {
	seen := map[string]bool{}
	for range 200 {
		c := NewCode()
		if len(c) != codeLength || strings.Trim(c, codeLetters) != "" {
			t.Fatalf("code %q", c)
		}
		seen[c] = true
	}
	if len(seen) != 200 {
		t.Errorf("%d different codes of 200", len(seen))
	}
}
