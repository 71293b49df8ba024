package web

import (
	"errors"
	"net"
	"net/http"
	"slices"
	"strings"
	"sync"
	"time"
)

// Limits of a request's body, in bytes.
const (
	mostForm   = 256 << 10 // a form of fields
	mostUpload = 96 << 20  // pictures and folders
)

var (
	errTooLarge = errors.New("take files: they are too large")
	errTooOften = errors.New("take files: too many at once: wait a minute")
)

// policy lets a page load only what this server serves, and nothing inline.
const policy = "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

// paperPolicy is for printed papers, which carry their own style.
const paperPolicy = "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"

// guard stands before every page.
func (s *Server) guard(next http.Handler) http.Handler {
	sameSite := http.NewCrossOriginProtection()
	sameSite.SetDenyHandler(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
		http.Error(w, "refused: this form was sent by another page", http.StatusForbidden)
	}))
	inside := sameSite.Handler(next)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", policy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("X-Frame-Options", "DENY")
		h.Set("Referrer-Policy", "same-origin")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Cache-Control", "no-store")
		if !s.serves(r.Host) {
			http.Error(w, "refused: this is not the address of the page", http.StatusMisdirectedRequest)
			return
		}
		r.Body = http.MaxBytesReader(w, r.Body, limitOf(r))
		if s.gate != nil && !s.gate.letsIn(r) {
			s.pair(w, r, sameSite)
			return
		}
		inside.ServeHTTP(w, r)
	})
}

// serves reports whether a Host header names this server: a page elsewhere
// that has its own name resolve to this machine is not answered.
func (s *Server) serves(host string) bool {
	name := host
	if h, _, err := net.SplitHostPort(host); err == nil {
		name = h
	}
	name = strings.ToLower(strings.Trim(name, "[]"))
	return slices.Contains(s.hosts, name)
}

func limitOf(r *http.Request) int64 {
	if strings.HasPrefix(r.Header.Get("Content-Type"), "multipart/form-data") {
		return mostUpload
	}
	return mostForm
}

// bucket lets a number of acts through in a time, the rest not.
type bucket struct {
	mu   sync.Mutex
	most int
	in   time.Duration
	now  func() time.Time
	acts []time.Time
}

func newBucket(most int, in time.Duration, now func() time.Time) *bucket {
	return &bucket{most: most, in: in, now: now}
}

// take reports whether one more act may be done now.
func (b *bucket) take() bool {
	b.mu.Lock()
	defer b.mu.Unlock()
	now := b.now()
	b.acts = slices.DeleteFunc(b.acts, func(t time.Time) bool { return now.Sub(t) >= b.in })
	if len(b.acts) >= b.most {
		return false
	}
	b.acts = append(b.acts, now)
	return true
}

// giveBack takes back the last act, which is not to be counted.
func (b *bucket) giveBack() {
	b.mu.Lock()
	defer b.mu.Unlock()
	if len(b.acts) > 0 {
		b.acts = b.acts[:len(b.acts)-1]
	}
}
