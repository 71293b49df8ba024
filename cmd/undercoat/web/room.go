package web

import (
	"bytes"
	"context"
	"fmt"
	"html/template"
	"io"
	"net/http"

	"undercoat/finish/sheet"
	"undercoat/inventory"
)

// roomBody is the workroom file: its jobs, and whether it is whole.
type roomBody struct {
	Checked  bool
	Findings []inventory.Finding
	Shared   []sharedAt
	Code     string
}

// sharedAt is an address for another machine, with its picture for a camera.
type sharedAt struct {
	Address string
	Picture template.HTML
}

// roomPage is what can be done with the workroom file as a whole.
func (s *Server) roomPage(w http.ResponseWriter, r *http.Request) error {
	body := roomBody{Checked: r.FormValue("check") != ""}
	if body.Checked {
		var err error
		if body.Findings, err = long(s, w, r, "Reading every row of the workroom file.", "check", s.bench.Check); err != nil {
			return err
		}
	}
	for _, near := range s.near {
		q, err := sheet.NewQR(PairAddress(near, s.code))
		if err != nil {
			return err
		}
		body.Shared = append(body.Shared, sharedAt{near, template.HTML(q.SVG())}) // drawn by us of dark and light squares
	}
	if len(s.code) > 4 {
		body.Code = s.code[:4] + "-" + s.code[4:]
	}
	return s.ok(w, r, "room", frame{Title: "The workroom file", Body: body})
}

// away sends a file to be kept.
func away(w http.ResponseWriter, kind, name string, fill func(io.Writer) error) error {
	var b bytes.Buffer
	if err := fill(&b); err != nil {
		return err
	}
	w.Header().Set("Content-Type", kind)
	w.Header().Set("Content-Disposition", fmt.Sprintf("attachment; filename=%q", name))
	_, err := b.WriteTo(w)
	return err
}

func (s *Server) backup(w http.ResponseWriter, r *http.Request) error {
	return away(w, "application/vnd.sqlite3", "workroom-copy.db", func(out io.Writer) error { return s.bench.BackupTo(r.Context(), out) })
}

func (s *Server) stockZip(w http.ResponseWriter, r *http.Request) error {
	return away(w, "application/zip", "shelf.zip", func(out io.Writer) error { return s.bench.StockZip(r.Context(), out) })
}

func (s *Server) jobZip(w http.ResponseWriter, r *http.Request) error {
	return away(w, "application/zip", "job.zip", func(out io.Writer) error { return s.bench.JobZip(r.Context(), r.PathValue("job"), out) })
}

// importStock takes stock.csv and measures.csv, all or nothing.
func (s *Server) importStock(w http.ResponseWriter, r *http.Request) error {
	u, err := s.takeUpload(r)
	if err != nil {
		return err
	}
	report, err := u.intake(r.Context(), s.bench.ImportStock)
	if err != nil {
		return err
	}
	return s.back(w, r, "/shelf", note{Text: "The shelf is brought up to date. " + reportText(report)})
}

// takeDemo takes the worked example into an empty workroom.
func (s *Server) takeDemo(w http.ResponseWriter, r *http.Request) error {
	job, err := long(s, w, r, "", "demo", func(ctx context.Context) (string, error) { return s.bench.TakeDemo(ctx) })
	if err != nil {
		return err
	}
	return s.back(w, r, base(job), note{Text: job + " is an invented job, to try things on. Its clock stands on the morning its planning starts."})
}
