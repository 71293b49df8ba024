package web

import (
	"fmt"
	"net/http"
	"strconv"
	"strings"

	"undercoat/finish"
	"undercoat/palette"
)

// pictures shows every picture with its marks.
func (s *Server) pictures(w http.ResponseWriter, r *http.Request) error {
	b, f, err := s.open(r)
	if err != nil {
		return err
	}
	f.Title, f.Here, f.Body = "Pictures", "pictures", b
	return s.ok(w, r, "pictures", f)
}

// addPicture takes a picture as a reference of the job.
func (s *Server) addPicture(w http.ResponseWriter, r *http.Request) error {
	u, err := s.takeUpload(r)
	if err != nil {
		return err
	}
	version, err := seen(u.fields["version"])
	if err != nil {
		return err
	}
	if len(u.files) != 1 {
		return errForm("picture", fmt.Sprint(len(u.files), " files"), "one picture")
	}
	code, err := s.desk.Bench(r.PathValue("job")).AddPicture(r.Context(), version, u.files[0], u.fields["trust"], u.fields["note"])
	if err != nil {
		return err
	}
	return s.back(w, r, base(r.PathValue("job"))+"picture/"+code, note{Text: code + " is added. Mark what is known to be white or grey first, then the areas."})
}

// pictureFile sends a picture to be shown.
func (s *Server) pictureFile(w http.ResponseWriter, r *http.Request) error {
	data, kind, err := s.desk.Bench(r.PathValue("job")).PictureBytes(r.Context(), r.PathValue("ref"))
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", kind)
	w.Header().Set("Cache-Control", "private, max-age=300")
	w.Header().Set("Content-Security-Policy", "default-src 'none'")
	_, err = w.Write(data)
	return err
}

// markBody is one picture to be marked.
type markBody struct {
	finish.PageReference
	Strips []finish.Strip
	What   string // an area's code, or "anchor"
	Rect   palette.Rect
	Read   *finish.PatchAnswer // what the spot reads; null where none was asked for
	Known  string
}

func (s *Server) mark(w http.ResponseWriter, r *http.Request) error {
	b, f, err := s.open(r)
	if err != nil {
		return err
	}
	body := markBody{Strips: b.Strips, What: r.FormValue("what"), Known: r.FormValue("known")}
	for _, ref := range b.References {
		if ref.Code == r.PathValue("ref") {
			body.PageReference = ref
		}
	}
	if body.Code == "" {
		return fmt.Errorf("open picture: %s: the job has no picture of that code: %w", r.PathValue("ref"), errNoPage)
	}
	if body.What == "" && f.From != nil {
		body.What = f.From.Code
	}
	if r.FormValue("w") != "" {
		if body.Rect, err = rectOf(r); err != nil {
			return err
		}
		read, err := s.desk.Bench(b.Job.Name).ReadSpot(r.Context(), body.Code, body.Rect)
		if err != nil {
			return err
		}
		body.Read = &read
	} else {
		body.Rect = body.marked()
	}
	f.Title, f.Here, f.Body = "Mark "+body.Code, "pictures", body
	return s.ok(w, r, "mark", f)
}

// marked is where the thing to be marked is marked now, else a spot in the
// middle.
func (m markBody) marked() palette.Rect {
	if m.What == "anchor" && m.Anchor != nil {
		return m.Anchor.Rect
	}
	for _, p := range m.Patches {
		if p.Area == m.What {
			return p.Rect
		}
	}
	side := max(8, min(m.Width, m.Height)/20)
	return palette.Rect{X: (m.Width - side) / 2, Y: (m.Height - side) / 2, W: side, H: side}
}

// keepMark keeps or takes away the mark of an area or of the anchor.
func (s *Server) keepMark(w http.ResponseWriter, r *http.Request) error {
	version, err := seen(r.FormValue("version"))
	if err != nil {
		return err
	}
	var at palette.Rect
	does := "is not marked any more"
	if r.FormValue("do") != "away" {
		if at, err = rectOf(r); err != nil {
			return err
		}
		if at.W == 0 || at.H == 0 {
			return errForm("w", r.FormValue("w"), "a width and a height above 0")
		}
		does = "is marked"
	}
	ref, what := r.PathValue("ref"), strings.TrimSpace(r.FormValue("what"))
	before, err := s.markBefore(r, ref, what)
	if err != nil {
		return err
	}
	bench := s.desk.Bench(r.PathValue("job"))
	if what == "anchor" {
		version, err = bench.MarkAnchor(r.Context(), version, ref, at, strings.TrimSpace(r.FormValue("known")))
	} else {
		version, err = bench.MarkPatch(r.Context(), version, ref, what, at)
	}
	if err != nil {
		return err
	}
	to := base(r.PathValue("job")) + "picture/" + ref
	if from := r.FormValue("from"); from != "" {
		to += "?from=" + from
	}
	back := append(before, [2]string{"from", r.FormValue("from")})
	return s.back(w, r, to, note{
		Text: capital(what) + " " + does + " in " + ref + ".", Undo: newUndo(version, base(r.PathValue("job"))+"picture/"+ref+"/mark", "Put it back as it was", back...),
	})
}

// markBefore are the fields of a form that puts a mark back as it is now.
func (s *Server) markBefore(r *http.Request, ref, what string) ([][2]string, error) {
	b, err := s.desk.Board(r.Context(), r.PathValue("job"))
	if err != nil {
		return nil, err
	}
	for _, p := range b.References {
		if p.Code != ref {
			continue
		}
		at := markBody{PageReference: p, What: what}
		for _, patch := range p.Patches {
			if patch.Area == what && patch.Rect.W > 0 {
				return markFields(what, at.marked(), ""), nil
			}
		}
		if what == "anchor" && p.Anchor != nil {
			return markFields(what, at.marked(), p.Anchor.Known), nil
		}
	}
	return [][2]string{{"what", what}, {"do", "away"}}, nil
}

func markFields(what string, at palette.Rect, known string) [][2]string {
	return [][2]string{{"what", what}, {"x", strconv.Itoa(at.X)}, {"y", strconv.Itoa(at.Y)}, {"w", strconv.Itoa(at.W)}, {"h", strconv.Itoa(at.H)}, {"known", known}}
}
