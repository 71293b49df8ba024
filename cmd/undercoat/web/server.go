package web

import (
	"context"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"net/http"
	"path"
	"strings"
	"sync"
	"time"

	"undercoat/finish"
	"undercoat/inventory"
)

// Options says how the pages are served.
type Options struct {
	Hosts []string // names and addresses, without port, that requests may ask for
	Code  string   // pairing code that every browser must give once; "" asks for none
	Near  []string // addresses other machines open, "http://192.168.0.7:8417/"; none where the page is not shared
}

// Server serves the pages of one workroom.
type Server struct {
	bench *finish.Bench
	desk  *finish.Desk
	now   func() time.Time
	hosts []string
	near  []string
	code  string
	gate  *gate // nil where everybody on this machine may come in
	notes notes
	loads *bucket
	tray  tray
	works *works

	patience time.Duration // before a page says what it works at
	counting sync.Mutex    // a count rests on what its form saw
}

// New makes the pages of an open workroom. The clock stamps notes and counts
// tries at the pairing code.
func New(bench *finish.Bench, now func() time.Time, o Options) *Server {
	s := &Server{bench: bench, desk: finish.NewDesk(bench), now: now, hosts: o.Hosts, near: o.Near, code: o.Code, loads: newBucket(40, time.Minute, now), works: newWorks(), patience: patience}
	s.tray.now = now
	if o.Code != "" {
		s.gate = newGate(o.Code, now)
	}
	return s
}

// Warm works the jobs out before they are asked for.
func (s *Server) Warm(ctx context.Context) { s.desk.Warm(ctx) }

// End stops what the pages still work at and waits for it: the bench may be
// closed after it.
func (s *Server) End() { s.works.end() }

// NewHTTPServer gives a handler the time limits of a small local server.
func NewHTTPServer(h http.Handler) *http.Server {
	return &http.Server{
		Handler: h, ReadHeaderTimeout: 5 * time.Second, ReadTimeout: 2 * time.Minute, WriteTimeout: 3 * time.Minute, IdleTimeout: 2 * time.Minute,
		MaxHeaderBytes: 16 << 10,
	}
}

// page answers one request; what it cannot do comes back as an error and is
// shown as a page of its own.
type page func(w http.ResponseWriter, r *http.Request) error

// Handler routes the pages behind the guard.
func (s *Server) Handler() http.Handler {
	mux := http.NewServeMux()
	get := func(pattern string, p page) { mux.Handle("GET "+pattern, s.show(p)) }
	post := func(pattern string, p page) { mux.Handle("POST "+pattern, s.show(s.form(p))) }
	upload := func(pattern string, p page) { mux.Handle("POST "+pattern, s.show(p)) } // reads its own parts

	get("/{$}", s.home)
	get("/new", s.newJobPage)
	post("/new", s.newJob)
	upload("/import", s.importJob)
	get("/static/{file}", s.static)
	get("/pair", s.paired)
	get("/room", s.roomPage)
	get("/room/copy", s.backup)
	post("/demo", s.takeDemo)
	get("/shelf.zip", s.stockZip)
	upload("/shelf/import", s.importStock)
	get("/shelf", s.shelf)

	get("/j/{job}/{$}", s.board)
	get("/j/{job}/area/{area}", s.area)
	post("/j/{job}/area/{area}/target", s.approve)
	get("/j/{job}/area/{area}/match", s.match)
	get("/j/{job}/area/{area}/coats", s.coats)
	post("/j/{job}/area/{area}/choice", s.choose)
	post("/j/{job}/area/{area}/recipe", s.saveRecipe)
	post("/j/{job}/areas", s.addArea)
	post("/j/{job}/area/{area}/away", s.dropArea)
	get("/j/{job}/job.zip", s.jobZip)
	get("/j/{job}/cautions", s.cautions)
	get("/j/{job}/facts/{table}", s.facts)
	post("/j/{job}/facts/{table}", s.setFacts)

	get("/j/{job}/pictures", s.pictures)
	upload("/j/{job}/pictures", s.addPicture)
	get("/j/{job}/picture/{ref}", s.mark)
	post("/j/{job}/picture/{ref}/mark", s.keepMark)
	post("/j/{job}/picture/{ref}/away", s.dropPicture)
	get("/j/{job}/picture/{ref}/file", s.pictureFile)

	upload("/j/{job}/photo", s.addPhoto)
	get("/j/{job}/photo/{id}", s.photoPage)
	get("/j/{job}/photo/{id}/file", s.photoFile)
	post("/j/{job}/photo/{id}/test", s.keepTest)
	post("/j/{job}/photo/{id}/measure", s.keepMeasure)

	get("/j/{job}/days", s.days)
	post("/j/{job}/days/done", s.done)
	post("/j/{job}/days/undo", s.undo)

	get("/j/{job}/contacts", s.contacts)
	post("/j/{job}/contacts/test", s.addTest)
	get("/j/{job}/contacts/how", s.rubHow)

	get("/j/{job}/shelf", s.shelf)
	get("/j/{job}/shelf/line/{code}", s.line)
	post("/j/{job}/shelf/line/{code}/move", s.move)
	post("/j/{job}/shelf/line/{code}/measure", s.measure)
	post("/j/{job}/shelf/add", s.addLine)
	get("/j/{job}/match", s.ask)
	get("/j/{job}/air", s.air)
	get("/j/{job}/recipes", s.recipes)
	post("/j/{job}/recipes", s.addRecipe)
	get("/j/{job}/recipe/{number}", s.recipe)
	get("/j/{job}/recipe/{number}/label", s.label)
	post("/j/{job}/recipe/{number}/batch", s.mixBatch)
	post("/j/{job}/recipe/{number}/use", s.useBatch)
	post("/j/{job}/recipe/{number}/correct", s.keepCorrection)

	get("/j/{job}/papers", s.papers)
	get("/j/{job}/papers/{file}", s.paper)

	mux.Handle("/", s.show(func(http.ResponseWriter, *http.Request) error { return errNoPage }))
	return s.guard(mux)
}

// show answers with a page, or with the page of its error.
func (s *Server) show(p page) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if err := p(w, r); err != nil && !errors.Is(err, errSent) {
			s.fail(w, r, err)
		}
	})
}

// form reads a form of fields before its page sees it.
func (s *Server) form(p page) page {
	return func(w http.ResponseWriter, r *http.Request) error {
		if err := r.ParseForm(); err != nil {
			return fmt.Errorf("read form: %w", err)
		}
		return p(w, r)
	}
}

var errNoPage = errors.New("open page: there is no page of that name")

// status is the HTTP status of an error.
func status(err error) int {
	var size *http.MaxBytesError
	switch {
	case errors.Is(err, errNoPage), errors.Is(err, errNoPhoto), errors.Is(err, inventory.ErrNotFound):
		return http.StatusNotFound
	case errors.Is(err, inventory.ErrChanged):
		return http.StatusConflict
	case errors.As(err, &size), errors.Is(err, errTooLarge):
		return http.StatusRequestEntityTooLarge
	case errors.Is(err, errTooOften):
		return http.StatusTooManyRequests
	case errors.Is(err, context.Canceled):
		return 499 // the browser has gone
	}
	return http.StatusUnprocessableEntity
}

//go:embed static
var staticFiles embed.FS

// staticFile is an embedded file with the mark of its bytes.
type staticFile struct {
	data []byte
	kind string
	tag  string
}

var statics = sync.OnceValue(func() map[string]staticFile {
	kinds := map[string]string{".css": "text/css; charset=utf-8", ".js": "text/javascript; charset=utf-8", ".svg": "image/svg+xml"}
	out := map[string]staticFile{}
	entries, err := fs.ReadDir(staticFiles, "static")
	if err != nil {
		panic("web: the embedded files cannot be listed: " + err.Error())
	}
	for _, e := range entries {
		data, err := staticFiles.ReadFile("static/" + e.Name())
		if err != nil {
			panic("web: an embedded file cannot be read: " + err.Error())
		}
		sum := sha256.Sum256(data)
		out[e.Name()] = staticFile{data: data, kind: kinds[path.Ext(e.Name())], tag: hex.EncodeToString(sum[:6])}
	}
	return out
})

// staticURL names an embedded file so that a browser may keep it.
func staticURL(name string) string { return "/static/" + name + "?" + statics()[name].tag }

func (s *Server) static(w http.ResponseWriter, r *http.Request) error {
	f, ok := statics()[r.PathValue("file")]
	if !ok {
		return errNoPage
	}
	w.Header().Set("Content-Type", f.kind)
	w.Header().Set("Cache-Control", "no-cache")
	if r.URL.RawQuery == f.tag {
		w.Header().Set("Cache-Control", "public, max-age=31536000, immutable")
	}
	w.Header().Set("ETag", `"`+f.tag+`"`)
	if strings.Contains(r.Header.Get("If-None-Match"), f.tag) {
		w.WriteHeader(http.StatusNotModified)
		return nil
	}
	_, err := w.Write(f.data)
	return err
}
