package web

import (
	"bytes"
	"context"
	"encoding/csv"
	"errors"
	"io"
	"io/fs"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"undercoat/finish"
	"undercoat/finish/garment"
	"undercoat/inventory"
	"undercoat/testdata/demo"
)

// demoNow is the morning on which the demo's planning starts.
func demoNow() time.Time { return time.Date(2026, 10, 26, 9, 0, 0, 0, time.UTC) }

const demoJob = "/j/Low%20Water%20Night/"

// wholeRoom is a workroom with the demo's job, targets approved and every area
// chosen as its answer key has it, in a folder of its own.
var wholeRoom = sync.OnceValues(func() (string, error) {
	return makeRoom(demo.Files(), map[string]string{
		"A1": "C1", "A2": "C4", "A3": "C5", "A4": "T3:2", "A5": "W3:1,W1:3,F1:3", "A6": "G2:3", "A8": "O1:2",
	})
})

// smallAreas are the demo's areas of the small job: cloth, a painted knit, and
// the yoke with its four products. It is planned in a blink.
var smallAreas = []string{"A1", "A2", "A3", "A4", "A7"}

// smallFolder is a workroom with the demo's job cut down to the small areas.
var smallFolder = sync.OnceValues(func() (string, error) {
	files, err := smallFiles()
	if err != nil {
		return "", err
	}
	folder, err := finish.FolderOf(files)
	if err != nil {
		return "", err
	}
	return makeRoom(folder, map[string]string{"A1": "C1", "A2": "C4", "A3": "C5", "A4": "T3:2"})
})

// makeRoom takes a job in, approves its targets as its table states them, and
// records choices.
func makeRoom(folder fs.FS, choices map[string]string) (dir string, err error) {
	if dir, err = os.MkdirTemp("", "undercoat-web"); err != nil {
		return "", err
	}
	ctx := context.Background()
	b, err := finish.Open(ctx, filepath.Join(dir, "workroom.db"), demoNow)
	if err != nil {
		return dir, err
	}
	defer func() { err = errors.Join(err, b.Close()) }()
	if _, err := b.ImportJob(ctx, folder); err != nil {
		return dir, err
	}
	job, err := b.Job(ctx)
	if err != nil {
		return dir, err
	}
	desk := finish.NewDesk(b)
	version := job.Version
	for _, a := range job.List {
		if _, _, version, err = desk.Approve(ctx, job.Name, version, a.Code, inventory.Written{}); err != nil {
			return dir, err
		}
		layers, err := garment.ParseLayers(choices[a.Code], ",")
		if err != nil {
			return dir, err
		}
		if len(layers) == 0 {
			continue
		}
		if version, err = desk.Choose(ctx, job.Name, version, a.Code, layers); err != nil {
			return dir, err
		}
	}
	return dir, nil
}

// smallFiles are the demo's tables, rows about other areas left out.
func smallFiles() ([]finish.NamedFile, error) {
	var files []finish.NamedFile
	about := map[string][]string{"areas.csv": {"code"}, "contacts.csv": {"from", "to"}, "patches.csv": {"area"}, "sewing.csv": {"area"}}
	err := fs.WalkDir(demo.Files(), ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(name, ".csv") && !strings.HasPrefix(name, "R") || strings.HasSuffix(name, ".md") {
			return err
		}
		data, err := fs.ReadFile(demo.Files(), name)
		if columns, ok := about[name]; ok && err == nil {
			data, err = onlySmall(data, columns)
		}
		files = append(files, finish.NamedFile{Name: name, Bytes: data})
		return err
	})
	return files, err
}

func onlySmall(table []byte, columns []string) ([]byte, error) {
	rows, err := csv.NewReader(bytes.NewReader(table)).ReadAll()
	if err != nil {
		return nil, err
	}
	head := rows[0]
	kept := slices.DeleteFunc(rows[1:], func(row []string) bool {
		return slices.ContainsFunc(columns, func(c string) bool {
			v := row[slices.Index(head, c)]
			return v != "skin" && !slices.Contains(smallAreas, v)
		})
	})
	var out bytes.Buffer
	w := csv.NewWriter(&out)
	err = w.WriteAll(append([][]string{head}, kept...))
	return out.Bytes(), err
}

func TestMain(m *testing.M) {
	code := m.Run()
	for _, made := range []func() (string, error){wholeRoom, smallFolder} {
		if dir, _ := made(); dir != "" {
			os.RemoveAll(dir)
		}
	}
	os.Exit(code)
}

// room is a workroom served for one test.
type room struct {
	t      testing.TB
	bench  *finish.Bench
	server *Server
	web    *httptest.Server
	client *http.Client
}

// demoRoom serves the demo's workroom to tests that only read.
func demoRoom(t testing.TB) *room {
	t.Helper()
	shared, err := sharedDemo()
	if err != nil {
		t.Fatal(err)
	}
	r := *shared
	r.t = t
	return &r
}

// sharedDemo is one server for all of them, so that the demo is planned once.
var sharedDemo = sync.OnceValues(func() (*room, error) {
	dir, err := wholeRoom()
	if err != nil {
		return nil, err
	}
	bench, err := finish.Open(context.Background(), filepath.Join(dir, "workroom.db"), demoNow)
	if err != nil {
		return nil, err
	}
	return serveRoom(bench, ""), nil // closed with the process
})

// smallRoom serves a copy of the small workroom, to be written to.
func smallRoom(t testing.TB) *room {
	t.Helper()
	dir, err := smallFolder()
	if err != nil {
		t.Fatal(err)
	}
	return openRoom(t, copyOf(t, filepath.Join(dir, "workroom.db")), "")
}

func copyOf(t testing.TB, file string) string {
	t.Helper()
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "workroom.db")
	if err := os.WriteFile(path, data, 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

// emptyRoom serves a workroom that holds nothing.
func emptyRoom(t testing.TB) *room {
	t.Helper()
	return openRoom(t, filepath.Join(t.TempDir(), "workroom.db"), "")
}

func openRoom(t testing.TB, path, code string) *room {
	t.Helper()
	bench, err := finish.Open(context.Background(), path, demoNow)
	if err != nil {
		t.Fatal(err)
	}
	r := serveRoom(bench, code)
	r.t = t
	t.Cleanup(func() {
		r.web.Close()
		r.server.End()
		if err := bench.Close(); err != nil {
			t.Error(err)
		}
	})
	return r
}

func serveRoom(bench *finish.Bench, code string) *room {
	r := &room{bench: bench, server: New(bench, demoNow, Options{Hosts: []string{"127.0.0.1"}, Code: code})}
	r.server.patience = time.Minute // tests of long works take it away
	r.web = httptest.NewServer(r.server.Handler())
	r.client = &http.Client{CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	return r
}

// answer is a response with its body read.
type answer struct {
	*http.Response
	body string
}

func (r *room) do(req *http.Request) answer {
	r.t.Helper()
	resp, err := r.client.Do(req)
	if err != nil {
		r.t.Fatal(err)
	}
	defer resp.Body.Close()
	body, err := io.ReadAll(resp.Body)
	if err != nil {
		r.t.Fatal(err)
	}
	return answer{resp, string(body)}
}

func (r *room) request(method, path string, body io.Reader) *http.Request {
	r.t.Helper()
	req, err := http.NewRequest(method, r.web.URL+path, body)
	if err != nil {
		r.t.Fatal(err)
	}
	return req
}

func (r *room) get(path string) answer {
	r.t.Helper()
	return r.do(r.request(http.MethodGet, path, nil))
}

// page gets a page that must be there.
func (r *room) page(path string) string {
	r.t.Helper()
	a := r.get(path)
	if a.StatusCode != http.StatusOK {
		r.t.Fatalf("%s: status %d\n%s", path, a.StatusCode, words(a.body))
	}
	return a.body
}

// post sends a form; fields are name, value, name, value …
func (r *room) post(path string, fields ...string) answer {
	r.t.Helper()
	v := url.Values{}
	for i := 0; i+1 < len(fields); i += 2 {
		v.Add(fields[i], fields[i+1])
	}
	req := r.request(http.MethodPost, path, strings.NewReader(v.Encode()))
	req.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	return r.do(req)
}

// send is a form that must be taken; it returns the page the browser is sent to.
func (r *room) send(path string, fields ...string) string {
	r.t.Helper()
	return r.follow(path, r.post(path, fields...))
}

func (r *room) follow(path string, a answer) string {
	r.t.Helper()
	if a.StatusCode != http.StatusSeeOther {
		r.t.Fatalf("post %s: status %d\n%s", path, a.StatusCode, words(a.body))
	}
	return r.page(a.Header.Get("Location"))
}

// upload sends a form with files.
func (r *room) upload(path string, fields map[string]string, files map[string][]byte) answer {
	r.t.Helper()
	var b bytes.Buffer
	w := multipart.NewWriter(&b)
	for k, v := range fields {
		if err := w.WriteField(k, v); err != nil {
			r.t.Fatal(err)
		}
	}
	for name, data := range files {
		p, err := w.CreateFormFile("files", name)
		if err != nil {
			r.t.Fatal(err)
		}
		p.Write(data)
	}
	w.Close()
	req := r.request(http.MethodPost, path, &b)
	req.Header.Set("Content-Type", w.FormDataContentType())
	return r.do(req)
}

// version is the one the forms of a page carry.
func (r *room) version(page string) string {
	r.t.Helper()
	m := regexp.MustCompile(`name="version" value="(\d+)"`).FindStringSubmatch(page)
	if m == nil {
		r.t.Fatal("the page holds no form with a version")
	}
	return m[1]
}

// words are the words of a page, for messages.
func words(page string) string {
	if i := strings.Index(page, "<main"); i >= 0 {
		page = page[i:]
	}
	text := regexp.MustCompile(`<[^>]*>`).ReplaceAllString(page, " ")
	text = strings.Join(strings.Fields(text), " ")
	return text[:min(len(text), 1200)]
}

// says wants a page to hold texts.
func says(t testing.TB, page string, texts ...string) {
	t.Helper()
	for _, want := range texts {
		if !strings.Contains(page, want) {
			t.Errorf("the page does not say %q:\n%s", want, words(page))
		}
	}
}

func demoPages() []string {
	return []string{
		demoJob, demoJob + "area/A1", demoJob + "area/A5", demoJob + "area/A9", demoJob + "area/A1/match", demoJob + "area/A5/match?layers=on&parts=2",
		demoJob + "area/A5/coats", demoJob + "area/A4/coats?ground=C6&code=T3&coats=2&light=A", demoJob + "pictures?from=A1", demoJob + "picture/R1?from=A1",
		demoJob + "picture/R2?what=anchor", demoJob + "picture/R4?what=A1&spot=10,10,40,40", demoJob + "picture/R1?what=A1&spot=445,1015+475,1015+470,1070+446,1068", demoJob + "picture/R1?materials=on&colours=5", demoJob + "cautions", demoJob + "recipes", demoJob + "air?product=W1&amount=150+ml", demoJob + "match?colour=%232c7c82", demoJob + "contacts/how", "/room?check=on", demoJob + "days?from=A5", demoJob + "contacts?from=A3", demoJob + "shelf?from=A1&near=%236c7176", demoJob + "shelf?q=teal&kind=paint", demoJob + "shelf/line/W1?from=A5",
		demoJob + "papers", "/?all", "/new", "/shelf",
	}
}
