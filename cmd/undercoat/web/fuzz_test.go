package web

import (
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"
)

// Whatever is asked, by whatever words: an answer of this server's own, never
// a fault of it, and no word of the request comes back as markup.
func FuzzRequest(f *testing.F) {
	for _, p := range []string{"", "area/A1", "area/A1/choice", "area/A9/match", "days/done", "days/undo", "contacts/test", "shelf/line/T3/move", "shelf/line/T3/measure", "shelf/add", "picture/R1/mark", "papers/bench-sheet.html", "papers/../../x", "areas"} {
		f.Add(p, "from=A1&top=3", "version=1&layers=C1%3A2&code=X&x=1&y=2&w=3&h=4", true)
		f.Add(p, "", "", false)
	}
	f.Add("area/<script>alert(1)</script>", "q=<script>alert(1)</script>", "note=<script>alert(1)</script>&amount=1e999+ml", true)
	r := smallRoom(f)
	handler := r.server.Handler()
	f.Fuzz(func(t *testing.T, path, query, body string, post bool) {
		method := http.MethodGet
		if post {
			method = http.MethodPost
		}
		req := httptest.NewRequest(method, "http://127.0.0.1/", strings.NewReader(body))
		req.URL = &url.URL{Path: "/j/Low Water Night/" + path, RawQuery: query}
		req.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		rec := httptest.NewRecorder()
		handler.ServeHTTP(rec, req)
		resp := rec.Result()
		answer, err := io.ReadAll(resp.Body)
		if err != nil || resp.StatusCode >= 500 {
			t.Fatalf("status %d, %v\n%s", resp.StatusCode, err, words(string(answer)))
		}
		if strings.Contains(string(answer), "<script>") { // our one script stands in a file
			t.Fatalf("a word of the request came back as markup:\n%s", answer)
		}
	})
}
