package web

import (
	"context"
	"fmt"
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"undercoat/finish"
	"undercoat/inventory/unit"
	"undercoat/palette"
	"undercoat/palette/colour"
)

// photoBody is a photograph that something is read from: a rub cloth to be
// graded, or a swatch to be measured.
type photoBody struct {
	ID         string
	W, H       int
	For        string // "test", or a stock code
	Name       string // of the stock line
	Spots      []photoSpot
	Form       url.Values
	Grade      *finish.GradeAnswer
	Measured   *finish.MeasureAnswer
	How, Over  string
	Known      string
	Trouble    string
	Conditions url.Values
}

// photoSpot is a rectangle that is to be marked.
type photoSpot struct {
	Field, Label, Value string
	Rect                palette.Rect
	Need                bool
}

// photoBase is the address of a photograph on the tray.
func photoBase(r *http.Request, id string) string { return base(r.PathValue("job")) + "photo/" + id }

// addPhoto puts a photograph on the tray.
func (s *Server) addPhoto(w http.ResponseWriter, r *http.Request) error {
	u, err := s.takeUpload(r)
	if err != nil {
		return err
	}
	if len(u.files) != 1 {
		return errForm("photograph", fmt.Sprint(len(u.files), " files"), "one photograph")
	}
	p := photo{NamedFile: u.files[0]}
	if p.W, p.H, err = finish.PictureSize(p.Name, p.Bytes); err != nil {
		return err
	}
	to := url.Values{"for": {u.fields["for"]}}
	for _, k := range []string{"from", "how", "subject"} {
		if v := u.fields[k]; v != "" {
			to.Set(k, v)
		}
	}
	http.Redirect(w, r, photoBase(r, s.tray.put(p))+"?"+to.Encode(), http.StatusSeeOther)
	return nil
}

func (s *Server) photoFile(w http.ResponseWriter, r *http.Request) error {
	p, err := s.tray.get(r.PathValue("id"))
	if err != nil {
		return err
	}
	data, kind, err := finish.ShowPicture(p.Name, p.Bytes, finish.ShownWhole)
	if err != nil {
		return err
	}
	return picture(w, data, kind)
}

// photoPage marks a photograph and shows what it reads, before anything is kept.
func (s *Server) photoPage(w http.ResponseWriter, r *http.Request) error {
	b, f, err := s.open(w, r)
	if err != nil {
		return err
	}
	p, err := s.tray.get(r.PathValue("id"))
	if err != nil {
		return err
	}
	body := photoBody{ID: r.PathValue("id"), W: p.W, H: p.H, For: r.FormValue("for"), Form: r.Form, How: r.FormValue("how"), Over: r.FormValue("over"), Known: strings.TrimSpace(r.FormValue("known"))}
	if body.For == "test" {
		f.Title, f.Here = "Grade a rub cloth", "contacts"
		err = body.grade(p)
	} else {
		f.Title, f.Here = "Measure "+body.For, "shelf"
		err = s.measured(r, b.Job.Name, p, &body)
	}
	if err != nil {
		body.Trouble = err.Error()
	}
	f.Body = body
	return s.ok(w, r, "photo", f)
}

// spots reads the rectangles of the form.
func (b *photoBody) spots(fields ...photoSpot) error {
	var bad error
	for _, sp := range fields {
		sp.Value = strings.TrimSpace(b.Form.Get(sp.Field))
		if sp.Value != "" {
			var err error
			if sp.Rect, err = palette.ParseRect(sp.Value); err != nil {
				bad = err
			}
		}
		b.Spots = append(b.Spots, sp)
	}
	return bad
}

// rect is a marked rectangle by its field.
func (b *photoBody) rect(field string) (palette.Rect, bool) {
	for _, sp := range b.Spots {
		if sp.Field == field {
			return sp.Rect, sp.Rect.W > 0
		}
	}
	return palette.Rect{}, false
}

func (b *photoBody) grade(p photo) error {
	if err := b.spots(
		photoSpot{Field: "clean", Label: "clean cloth beside the stain", Need: true}, photoSpot{Field: "stained", Label: "inside the stain", Need: true},
		photoSpot{Field: "clean2", Label: "clean cloth on its other side"},
	); err != nil {
		return err
	}
	q, ok, err := b.photoGrade(p)
	if err != nil || !ok {
		return err
	}
	a, err := finish.GradePhoto(q)
	if err == nil {
		b.Grade = &a
	}
	return err
}

// photoGrade is the question a marked photograph asks; ok is false where it is
// not marked yet.
func (b *photoBody) photoGrade(p photo) (q finish.PhotoGrade, ok bool, err error) {
	clean, ok1 := b.rect("clean")
	stained, ok2 := b.rect("stained")
	if !ok1 || !ok2 {
		return q, false, nil
	}
	q = finish.PhotoGrade{Picture: finish.Held(p.Name, p.Bytes), Clean: []palette.Rect{clean}, Stained: []palette.Rect{stained}}
	if more, ok := b.rect("clean2"); ok {
		q.Clean = append(q.Clean, more)
	}
	if b.How == "wash" {
		q.Scale = "change"
	}
	if b.Known != "" {
		c, err := colour.Parse(b.Known)
		if err != nil {
			return q, false, err
		}
		q.Known = unit.State(c.Lab())
	}
	return q, true, nil
}

// keepTest puts a graded photograph on record as a test.
func (s *Server) keepTest(w http.ResponseWriter, r *http.Request) error {
	p, err := s.tray.get(r.PathValue("id"))
	if err != nil {
		return err
	}
	version, err := seen(r.FormValue("version"))
	if err != nil {
		return err
	}
	body := photoBody{Form: r.Form, How: r.FormValue("how"), Known: strings.TrimSpace(r.FormValue("known"))}
	if err := body.grade(p); err != nil {
		return err
	}
	q, ok, err := body.photoGrade(p)
	if err != nil {
		return err
	}
	if !ok {
		return errForm("clean", "", "rectangles on the clean and the stained cloth")
	}
	e := testEntry(r)
	e.Clean, e.Stained, e.Grade, e.Photo = "", "", "", &q
	t, err := s.desk.AddTest(r.Context(), r.PathValue("job"), version, e)
	if err != nil {
		return err
	}
	return s.back(w, r, backTo(r, "contacts"), testNote(t))
}

// measured reads a swatch; it is kept only where the form says so.
func (s *Server) measured(r *http.Request, job string, p photo, b *photoBody) error {
	show, err := s.desk.Bench(job).StockItem(r.Context(), b.For)
	if err != nil {
		return err
	}
	b.Name = show.Name
	if err := b.spots(
		photoSpot{Field: "anchor", Label: "something known to be white or grey", Need: true}, photoSpot{Field: "swatch", Label: "the swatch", Need: true},
		photoSpot{Field: "chart", Label: "or a chart of 24 patches, in the place of the white"},
	); err != nil {
		return err
	}
	e, ok, err := b.entry(p)
	if err != nil || !ok {
		return err
	}
	a, err := s.desk.Bench(job).ReadSwatch(r.Context(), e)
	if err == nil {
		b.Measured = &a
	}
	return err
}

// entry is the measurement a marked photograph makes.
func (b *photoBody) entry(p photo) (e finish.MeasureEntry, ok bool, err error) {
	at, ok1 := b.rect("swatch")
	anchor, ok2 := b.rect("anchor")
	chart, ok3 := b.rect("chart")
	if !ok1 || !ok2 && !ok3 {
		return e, false, nil
	}
	held := finish.Held(p.Name, p.Bytes)
	e = finish.MeasureEntry{Code: b.For, Kind: b.Form.Get("kind"), Over: strings.TrimSpace(b.Form.Get("over")), Coats: clamp(b.Form.Get("coats"), 0, 12), Film: float64(clamp(b.Form.Get("film"), 0, 5000)), Photo: &held, Rect: at}
	if e.Kind == "" {
		e.Kind = "swatch"
	}
	if e.Over == "" {
		e.Over = "itself"
	}
	if ok3 {
		e.Chart = &chart
		return e, true, nil
	}
	known := palette.Anchor{Rect: anchor}
	if b.Known != "" {
		c, err := colour.Parse(b.Known)
		if err != nil {
			return e, false, err
		}
		known.Colour = c.Lab()
	}
	e.Anchors = []palette.Anchor{known}
	return e, true, nil
}

// keepMeasure keeps what a photograph reads of a swatch.
func (s *Server) keepMeasure(w http.ResponseWriter, r *http.Request) error {
	p, err := s.tray.get(r.PathValue("id"))
	if err != nil {
		return err
	}
	body := photoBody{Form: r.Form, For: r.FormValue("for"), Known: strings.TrimSpace(r.FormValue("known"))}
	if err := s.measured(r, r.PathValue("job"), p, &body); err != nil {
		return err
	}
	e, ok, err := body.entry(p)
	if err != nil {
		return err
	}
	if !ok {
		return errForm("swatch", "", "rectangles on the swatch and on something known")
	}
	m, err := s.desk.Bench(r.PathValue("job")).Measure(r.Context(), e)
	if err != nil {
		return err
	}
	return s.back(w, r, backTo(r, "shelf/line/"+url.PathEscape(e.Code)), note{Text: fmt.Sprintf("Measured from a photograph: %s of %s, %s, as far as ΔE00 %s.", m.Kind, m.Code, m.Hex, strconv.FormatFloat(m.Radius, 'f', 1, 64))})
}

// howBody is how a test is done, with the grey scale.
type howBody struct {
	Protocols []finish.ProtocolAnswer
	Scale     []finish.PairAnswer
	Which     string
}

// onThePage says in the page's words what a protocol says in commands.
var onThePage = strings.NewReplacer("`undercoat rub grade`", "grade it from the contacts page", "`undercoat rub scale`", "the grey scale below", "`undercoat rub add`", "record it on the contacts page")

func (s *Server) rubHow(w http.ResponseWriter, r *http.Request) error {
	_, f, err := s.open(w, r)
	if err != nil {
		return err
	}
	body := howBody{Which: "staining"}
	if r.FormValue("scale") == "change" {
		body.Which = "change"
	}
	if body.Protocols, err = finish.Protocols(""); err != nil {
		return err
	}
	for _, p := range body.Protocols {
		for i, st := range p.Steps {
			p.Steps[i].Home = onThePage.Replace(st.Home)
		}
	}
	if body.Scale, err = finish.GreyScale(body.Which); err != nil {
		return err
	}
	f.Title, f.Here, f.Body = "How a test is done", "contacts", body
	return s.ok(w, r, "how", f)
}

// search runs a match as a long work: the same question at the same state of
// the facts is asked once.
func (s *Server) search(w http.ResponseWriter, r *http.Request, job, key string, q finish.MatchRequest) (finish.MatchAnswer, error) {
	return long(s, w, r, "Looking through the shelf: every item, mixture and stack that could come near, each predicted again.", "match "+job+" "+key, func(ctx context.Context) (finish.MatchAnswer, error) {
		return s.desk.Bench(job).Match(ctx, q)
	})
}
