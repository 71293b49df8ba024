package web

import (
	"crypto/rand"
	"crypto/sha256"
	"crypto/subtle"
	"net/http"
	"strings"
	"sync"
	"time"
)

// codeLetters are letters and digits that are not taken for one another when
// read aloud or off a screen.
const codeLetters = "23456789ABCDEFGHJKMNPQRSTVWXYZ"

// codeLength gives more than 39 bits: at ten tries a minute, some sixty
// thousand years on average.
const codeLength = 8

// NewCode makes a pairing code of a random source of the system.
func NewCode() string {
	var b strings.Builder
	for b.Len() < codeLength {
		var one [1]byte
		rand.Read(one[:]) // never fails: crypto/rand ends the program instead
		if i := int(one[0]); i < 256/len(codeLetters)*len(codeLetters) {
			b.WriteByte(codeLetters[i%len(codeLetters)])
		}
	}
	return b.String()
}

// gate lets browsers in that gave the pairing code once.
type gate struct {
	code  [sha256.Size]byte
	tries *bucket
	now   func() time.Time

	mu     sync.Mutex
	tokens map[[sha256.Size]byte]time.Time // when each was given
}

const (
	gateCookie = "undercoat"
	gateHolds  = 12 * time.Hour
	mostPaired = 64
)

func newGate(code string, now func() time.Time) *gate {
	return &gate{code: sha256.Sum256([]byte(code)), tries: newBucket(10, time.Minute, now), now: now, tokens: map[[sha256.Size]byte]time.Time{}}
}

// letsIn reports whether a request carries a token that was given.
func (g *gate) letsIn(r *http.Request) bool {
	c, err := r.Cookie(gateCookie)
	if err != nil {
		return false
	}
	sum := sha256.Sum256([]byte(c.Value)) // looked up by its hash: no comparison a clock could measure
	g.mu.Lock()
	defer g.mu.Unlock()
	given, ok := g.tokens[sum]
	return ok && g.now().Sub(given) < gateHolds
}

// opens compares a code in constant time; letters may be small and blanks or
// hyphens stand anywhere.
func (g *gate) opens(code string) bool {
	plain := strings.NewReplacer(" ", "", "-", "").Replace(strings.ToUpper(code))
	sum := sha256.Sum256([]byte(plain))
	return subtle.ConstantTimeCompare(sum[:], g.code[:]) == 1
}

// token gives a browser its token.
func (g *gate) token() string {
	t := rand.Text()
	g.mu.Lock()
	defer g.mu.Unlock()
	if len(g.tokens) >= mostPaired {
		clear(g.tokens) // everybody pairs again
	}
	g.tokens[sha256.Sum256([]byte(t))] = g.now()
	return t
}

// pair is what a browser sees that has not given the code.
func (s *Server) pair(w http.ResponseWriter, r *http.Request, sameSite *http.CrossOriginProtection) {
	if strings.HasPrefix(r.URL.Path, "/static/") && r.Method == http.MethodGet {
		r.SetPathValue("file", strings.TrimPrefix(r.URL.Path, "/static/"))
		s.show(s.static).ServeHTTP(w, r)
		return
	}
	if r.Method != http.MethodPost || r.URL.Path != "/pair" {
		s.askCode(w, r, http.StatusUnauthorized, "")
		return
	}
	if err := sameSite.Check(r); err != nil {
		http.Error(w, "refused: this form was sent by another page", http.StatusForbidden)
		return
	}
	switch {
	case !s.gate.tries.take():
		s.askCode(w, r, http.StatusTooManyRequests, "Too many tries: wait a minute.")
	case !s.gate.opens(r.FormValue("code")):
		s.askCode(w, r, http.StatusUnauthorized, "That is not the code.")
	default:
		s.gate.tries.giveBack() // a whole workroom may pair within a minute; only wrong codes count
		http.SetCookie(w, &http.Cookie{
			Name: gateCookie, Value: s.gate.token(), Path: "/", HttpOnly: true, SameSite: http.SameSiteStrictMode, MaxAge: int(gateHolds / time.Second),
		})
		http.Redirect(w, r, "/", http.StatusSeeOther)
	}
}

// askCode asks for the code. A code in the address, as a QR code carries it, is
// filled in; it opens nothing until the form is sent.
func (s *Server) askCode(w http.ResponseWriter, r *http.Request, status int, said string) {
	code := ""
	if r.URL.Path == "/pair" && r.Method == http.MethodGet {
		code = r.URL.Query().Get("code")
		code = code[:min(len(code), 2*codeLength)]
	}
	s.render(w, r, status, "pair", frame{Title: "Pair this browser", Body: code}, said)
}

// paired is where a browser lands that has given the code already.
func (s *Server) paired(w http.ResponseWriter, r *http.Request) error {
	http.Redirect(w, r, "/", http.StatusSeeOther)
	return nil
}

// PairAddress is what a QR code for a phone holds: an address and the code.
func PairAddress(near, code string) string { return near + "pair?code=" + code }
