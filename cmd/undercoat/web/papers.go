package web

import (
	"bytes"
	"fmt"
	"net/http"
	"slices"
	"strings"

	"undercoat/finish"
)

// papersBody lists what can be printed.
type papersBody struct {
	finish.BoardAnswer
	Groups []paperGroup
}

// paperGroup is one paper in the forms it comes in.
type paperGroup struct {
	Title, What string
	Forms       []finish.Paper
}

func paperGroups() []paperGroup {
	var groups []paperGroup
	for _, p := range finish.Papers() {
		if n := len(groups); n == 0 || groups[n-1].Title != p.Title {
			groups = append(groups, paperGroup{Title: p.Title})
		}
		g := &groups[len(groups)-1]
		g.What = p.What // the last form says it plainest
		g.Forms = append(g.Forms, p)
	}
	return groups
}

func (s *Server) papers(w http.ResponseWriter, r *http.Request) error {
	b, f, err := s.open(w, r)
	if err != nil {
		return err
	}
	f.Title, f.Here, f.Body = "Papers", "papers", papersBody{BoardAnswer: b, Groups: paperGroups()}
	return s.ok(w, r, "papers", f)
}

// paper prints one paper whole, or says why not: a reader never gets half.
func (s *Server) paper(w http.ResponseWriter, r *http.Request) error {
	file := r.PathValue("file")
	i := slices.IndexFunc(finish.Papers(), func(p finish.Paper) bool { return p.File == file })
	if i < 0 {
		return errNoPage
	}
	p := finish.Papers()[i]
	var b bytes.Buffer
	if err := s.desk.Paper(r.Context(), r.PathValue("job"), file, &b); err != nil {
		return err
	}
	h := w.Header()
	h.Set("Content-Type", p.Type)
	h.Set("Content-Security-Policy", paperPolicy)
	h.Set("X-Frame-Options", "DENY")
	if !strings.HasPrefix(p.Type, "text/html") && !strings.HasPrefix(p.Type, "application/pdf") {
		h.Set("Content-Disposition", fmt.Sprintf("attachment; filename=%q", p.File))
	}
	_, err := b.WriteTo(w)
	return err
}
