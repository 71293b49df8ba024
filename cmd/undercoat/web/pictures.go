package web

import (
	"context"
	"fmt"
	"net/http"
	"net/url"
	"strings"

	"undercoat/finish"
	"undercoat/palette"
)

// pictures shows every picture with its marks.
func (s *Server) pictures(w http.ResponseWriter, r *http.Request) error {
	b, f, err := s.open(w, r)
	if err != nil {
		return err
	}
	f.Title, f.Here, f.Body = "Pictures", "pictures", b
	return s.ok(w, r, "pictures", f)
}

// addPicture takes pictures as references of the job.
func (s *Server) addPicture(w http.ResponseWriter, r *http.Request) error {
	u, err := s.takeUpload(r)
	if err != nil {
		return err
	}
	version, err := seen(u.fields["version"])
	if err != nil {
		return err
	}
	if len(u.files) == 0 || len(u.files) > mostAtOnce {
		return errForm("picture", fmt.Sprint(len(u.files), " files"), fmt.Sprintf("one to %d pictures", mostAtOnce))
	}
	job, codes := r.PathValue("job"), []string{}
	for _, f := range u.files {
		var code string
		if code, version, err = s.desk.Bench(job).AddPicture(r.Context(), version, f, u.fields["trust"], u.fields["note"]); err != nil {
			if len(codes) > 0 {
				return fmt.Errorf("%s added before; then: %w", strings.Join(codes, ", "), err)
			}
			return err
		}
		codes = append(codes, code)
	}
	if len(codes) > 1 {
		return s.back(w, r, base(job)+"pictures", note{Text: strings.Join(codes, ", ") + " are added. Mark in each what is known to be white or grey first, then the areas."})
	}
	to := base(job) + "picture/" + codes[0]
	n := note{Text: codes[0] + " is added. Mark what is known to be white or grey first, then the areas.", Undo: newUndo(version, to+"/away", "Take it off again")}
	if from := u.fields["from"]; from != "" {
		to += "?from=" + url.QueryEscape(from)
	}
	return s.back(w, r, to, n)
}

// mostAtOnce bounds the pictures of one form.
const mostAtOnce = 12

// dropPicture takes a reference and its marks off again.
func (s *Server) dropPicture(w http.ResponseWriter, r *http.Request) error {
	version, err := seen(r.FormValue("version"))
	if err != nil {
		return err
	}
	if _, err := s.desk.Bench(r.PathValue("job")).DropPicture(r.Context(), version, r.PathValue("ref")); err != nil {
		return err
	}
	return s.back(w, r, base(r.PathValue("job"))+"pictures", note{Text: r.PathValue("ref") + " is no reference of the job any more."})
}

// pictureFile sends a picture to be shown.
func (s *Server) pictureFile(w http.ResponseWriter, r *http.Request) error {
	most := finish.ShownSmall
	if r.URL.Query().Has("whole") {
		most = finish.ShownWhole
	}
	data, kind, err := s.desk.PictureBytes(r.Context(), r.PathValue("job"), r.PathValue("ref"), most)
	if err != nil {
		return err
	}
	return picture(w, data, kind)
}

func picture(w http.ResponseWriter, data []byte, kind string) error {
	w.Header().Set("Content-Type", kind)
	w.Header().Set("Cache-Control", "private, max-age=300")
	w.Header().Set("Content-Security-Policy", "default-src 'none'")
	_, err := w.Write(data)
	return err
}

// markBody is one picture to be marked.
type markBody struct {
	finish.PageReference
	Strips    []finish.Strip
	What      string // an area's code, "anchor" or "chart"
	Spot      string
	Read      *finish.PatchAnswer // what the spot reads; null where none was asked for
	Known     string
	Materials []finish.MaterialAnswer
	Colours   int
	Asked     bool // for the materials
}

func (s *Server) mark(w http.ResponseWriter, r *http.Request) error {
	b, f, err := s.open(w, r)
	if err != nil {
		return err
	}
	ref := r.PathValue("ref")
	body := markBody{Strips: b.Strips, What: r.FormValue("what"), Known: r.FormValue("known"), Spot: spotOf(r), Asked: r.Form.Has("materials"), Colours: clamp(r.FormValue("colours"), 0, 24)}
	for _, p := range b.References {
		if p.Code == ref {
			body.PageReference = p
		}
	}
	if body.Code == "" {
		return fmt.Errorf("open picture: %s: the job has no picture of that code: %w", ref, errNoPage)
	}
	if body.What == "" && f.From != nil {
		body.What = f.From.Code
	}
	bench := s.desk.Bench(b.Job.Name)
	switch {
	case body.Asked:
		key := fmt.Sprint("materials ", b.Job.Name, " ", b.Job.Version, " ", ref, " ", body.Colours)
		body.Materials, err = long(s, w, r, "Looking for the materials of "+ref+".", key, func(ctx context.Context) ([]finish.MaterialAnswer, error) {
			return bench.PictureMaterials(ctx, ref, body.Colours)
		})
	case body.Spot != "" && body.What != "chart":
		var read finish.PatchAnswer
		read, err = bench.ReadSpot(r.Context(), ref, body.Spot)
		body.Read = &read
	}
	if err != nil {
		return err
	}
	if body.Spot == "" {
		body.Spot = body.marked()
	}
	f.Title, f.Here, f.Body = "Mark "+body.Code, "pictures", body
	return s.ok(w, r, "mark", f)
}

// spotOf is the spot of a form: "x,y,w,h", or the corners of an outline.
func spotOf(r *http.Request) string { return strings.Join(strings.Fields(r.FormValue("spot")), " ") }

// marked is where the thing to be marked is marked now, else a spot in the
// middle.
func (m markBody) marked() string {
	if is, ok := m.markNow(); ok {
		return is
	}
	side := max(8, min(m.Width, m.Height)/20)
	return palette.Rect{X: (m.Width - side) / 2, Y: (m.Height - side) / 2, W: side, H: side}.String()
}

// markNow is where the thing to be marked is marked now.
func (m markBody) markNow() (string, bool) {
	switch {
	case m.What == "anchor" && m.Anchor != nil:
		return m.Anchor.Spot, true
	case m.What == "chart" && m.Chart != nil:
		return m.Chart.Spot, true
	}
	for _, p := range m.Patches {
		if p.Area == m.What && p.Spot != "" {
			return p.Spot, true
		}
	}
	return "", false
}

// Thing is what is marked, in words.
func (m markBody) Thing() string {
	switch m.What {
	case "anchor", "chart":
		return "the " + m.What
	case "":
		return "it"
	}
	return m.What
}

// keepMark keeps or takes away the mark of an area, of the anchor or the chart.
func (s *Server) keepMark(w http.ResponseWriter, r *http.Request) error {
	version, err := seen(r.FormValue("version"))
	if err != nil {
		return err
	}
	spot, does := spotOf(r), "is marked"
	if r.FormValue("do") == "away" {
		spot, does = "", "is not marked any more"
	} else if spot == "" {
		return errForm("spot", "", "a rectangle x,y,w,h or the corners of an outline")
	}
	ref, what := r.PathValue("ref"), strings.TrimSpace(r.FormValue("what"))
	before, err := s.markBefore(r, ref, what)
	if err != nil {
		return err
	}
	if version, err = s.putMark(r, version, ref, what, spot); err != nil {
		return err
	}
	to := base(r.PathValue("job")) + "picture/" + ref
	if from := r.FormValue("from"); from != "" {
		to += "?from=" + url.QueryEscape(from)
	}
	back := append(before, [2]string{"from", r.FormValue("from")})
	return s.back(w, r, to, note{
		Text: capital(what) + " " + does + " in " + ref + ".", Undo: newUndo(version, base(r.PathValue("job"))+"picture/"+ref+"/mark", "Put it back as it was", back...),
	})
}

func (s *Server) putMark(r *http.Request, version int64, ref, what, spot string) (int64, error) {
	bench := s.desk.Bench(r.PathValue("job"))
	if what != "anchor" && what != "chart" {
		return bench.MarkPatch(r.Context(), version, ref, what, spot)
	}
	var at palette.Rect
	if spot != "" {
		var err error
		if at, err = palette.ParseRect(spot); err != nil {
			return 0, err
		}
	}
	if what == "chart" {
		return bench.MarkChart(r.Context(), version, ref, at)
	}
	return bench.MarkAnchor(r.Context(), version, ref, at, strings.TrimSpace(r.FormValue("known")))
}

// markBefore are the fields of a form that puts a mark back as it is now.
func (s *Server) markBefore(r *http.Request, ref, what string) ([][2]string, error) {
	b, err := s.desk.Board(r.Context(), r.PathValue("job"))
	if err != nil {
		return nil, err
	}
	for _, p := range b.References {
		m := markBody{PageReference: p, What: what}
		if spot, ok := m.markNow(); ok && p.Code == ref {
			fields := [][2]string{{"what", what}, {"spot", spot}}
			if what == "anchor" {
				fields = append(fields, [2]string{"known", p.Anchor.Known})
			}
			return fields, nil
		}
	}
	return [][2]string{{"what", what}, {"do", "away"}}, nil
}
