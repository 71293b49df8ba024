package web

import (
	"fmt"
	"net/http"
	"strings"

	"undercoat/finish"
)

func (s *Server) newJobPage(w http.ResponseWriter, r *http.Request) error {
	return s.ok(w, r, "new", frame{Title: "A new job"})
}

// newJob makes a job from the fields of its form.
func (s *Server) newJob(w http.ResponseWriter, r *http.Request) error {
	columns := map[string]string{}
	for _, k := range []string{"name", "hands_off", "event_at", "budget", "currency", "timezone", "repair_ml", "reserve_pct"} {
		columns[k] = strings.TrimSpace(r.FormValue(k))
	}
	if columns["name"] == "" {
		return errForm("name", "", "the job's name")
	}
	report, err := s.bench.NewJob(r.Context(), columns)
	if err != nil {
		return err
	}
	return s.back(w, r, base(report.Job), note{Text: report.Job + " is begun. Add its areas, then its pictures."})
}

// importJob takes a job's folder of tables and pictures, all or nothing.
func (s *Server) importJob(w http.ResponseWriter, r *http.Request) error {
	u, err := s.takeUpload(r)
	if err != nil {
		return err
	}
	if len(u.files) == 0 {
		return errForm("files", "none", "the tables and pictures of a job, or one zip file of them")
	}
	folder, err := finish.FolderOf(u.files)
	if err != nil {
		return err
	}
	report, err := s.bench.ImportJob(r.Context(), folder)
	if err != nil {
		return err
	}
	rows := 0
	for _, c := range report.Rows {
		rows += c.Rows
	}
	text := fmt.Sprintf("%s: %d rows of %d tables taken.", report.Job, rows, len(report.Rows))
	for _, list := range [][]string{report.Changed, report.Kept, report.Left, report.Warnings} {
		for _, l := range list {
			text += " " + capital(l) + "."
		}
	}
	return s.back(w, r, base(report.Job), note{Text: text})
}

// addArea adds a strip to the board.
func (s *Server) addArea(w http.ResponseWriter, r *http.Request) error {
	version, err := seen(r.FormValue("version"))
	if err != nil {
		return err
	}
	columns := map[string]string{}
	for _, k := range []string{"code", "piece", "method", "look", "target", "tolerance", "cloth_m2", "painted_m2", "ground", "stretch_pct", "skin", "sides", "note"} {
		if v := strings.TrimSpace(r.FormValue(k)); v != "" {
			columns[k] = v
		}
	}
	if columns["code"] == "" {
		return errForm("code", "", "a code of the area, such as A1")
	}
	if _, err := s.desk.Bench(r.PathValue("job")).AddArea(r.Context(), version, columns); err != nil {
		return err
	}
	return s.back(w, r, base(r.PathValue("job"))+"area/"+columns["code"], note{Text: columns["code"] + " is on the board."})
}
