package web

import (
	"errors"
	"net/http"
	"strconv"
	"strings"

	"undercoat/finish"
	"undercoat/inventory"
)

// labelBody is what to write on a pot.
type labelBody struct{ finish.LabelAnswer }

// Words are the lines of the label that are plain words, those that are empty
// left out.
func (b labelBody) Words() (lines [][2]string) {
	for _, l := range [][2]string{
		{"for", b.For}, {"over", b.Over}, {"coats", b.Coats}, {"stands", b.Place}, {"set", strings.Join(b.Set, "; ")}, {"use by", b.UseBy},
		{"hazards", strings.Join(b.Hazards, " ")},
	} {
		if l[1] != "" {
			lines = append(lines, l)
		}
	}
	return lines
}

// label shows what to write on the pot of a recipe, or of one mixing of it.
func (s *Server) label(w http.ResponseWriter, r *http.Request) error {
	b, f, err := s.open(w, r)
	if err != nil {
		return err
	}
	n, err := numberOf(r)
	if err != nil {
		return err
	}
	batch := int64(0)
	if text := strings.TrimSpace(r.FormValue("batch")); text != "" {
		if batch, err = strconv.ParseInt(text, 10, 64); err != nil || batch < 1 {
			return errForm("batch", text, "the number of a pot")
		}
	}
	a, err := s.desk.Bench(b.Job.Name).Label(r.Context(), n, batch)
	if errors.Is(err, inventory.ErrNotFound) {
		return errNoPage
	}
	if err != nil {
		return err
	}
	f.Title, f.Here, f.Body = "Label of recipe "+strconv.FormatInt(n, 10), "shelf", labelBody{a}
	return s.ok(w, r, "label", f)
}
