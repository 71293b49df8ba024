package web

import (
	"context"
	"fmt"
	"io/fs"
	"net/http"
	"net/url"
	"strings"

	"undercoat/finish"
	"undercoat/inventory"
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
	report, err := u.intake(r.Context(), s.bench.ImportJob)
	if err != nil {
		return err
	}
	return s.back(w, r, base(report.Job), note{Text: report.Job + ": " + reportText(report)})
}

// intake takes the files of an upload in as one folder.
func (u upload) intake(ctx context.Context, take func(context.Context, fs.FS) (inventory.Report, error)) (inventory.Report, error) {
	if len(u.files) == 0 {
		return inventory.Report{}, errForm("files", "none", "tables and pictures, or one zip file of them")
	}
	folder, err := finish.FolderOf(u.files)
	if err != nil {
		return inventory.Report{}, err
	}
	return take(ctx, folder)
}

// reportText says what was taken.
func reportText(report inventory.Report) string {
	rows := 0
	for _, c := range report.Rows {
		rows += c.Rows
	}
	text := fmt.Sprintf("%d rows of %d tables taken.", rows, len(report.Rows))
	for _, list := range [][]string{report.Changed, report.Kept, report.Left, report.Warnings} {
		for _, l := range list {
			text += " " + capital(l) + "."
		}
	}
	return text
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
	now, err := s.desk.Bench(r.PathValue("job")).AddArea(r.Context(), version, columns)
	if err != nil {
		return err
	}
	to := base(r.PathValue("job")) + "area/" + url.PathEscape(columns["code"])
	n := note{Text: columns["code"] + " is on the board."}
	if !r.Form.Has("changes") {
		n.Undo = newUndo(now, to+"/away", "Take it off again")
	}
	return s.back(w, r, to, n)
}

// dropArea takes an area off the board again.
func (s *Server) dropArea(w http.ResponseWriter, r *http.Request) error {
	version, err := seen(r.FormValue("version"))
	if err != nil {
		return err
	}
	if _, err := s.desk.Bench(r.PathValue("job")).DropArea(r.Context(), version, r.PathValue("area")); err != nil {
		return err
	}
	return s.back(w, r, base(r.PathValue("job")), note{Text: r.PathValue("area") + " is off the board."})
}
