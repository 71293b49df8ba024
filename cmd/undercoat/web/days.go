package web

import (
	"context"
	"net/http"
	"slices"
	"strings"

	"undercoat/finish"
)

// daysBody is the plan as days.
type daysBody struct {
	finish.BoardAnswer
	Calendar *calendar
	Today    []finish.PlanStep
	Pots     []finish.PlanPot // to be mixed today
	Days     []daySteps
	Fan, As  string
	Chain    map[string]bool // steps whose lateness is the end's
}

// daySteps are the steps of one day.
type daySteps struct {
	Name  string
	Steps []finish.PlanStep
}

func (s *Server) days(w http.ResponseWriter, r *http.Request) error {
	fan, err := finish.ParseFan(r.FormValue("fan"))
	if err != nil {
		return errForm("fan", r.FormValue("fan"), "on or off")
	}
	job, as := r.PathValue("job"), strings.TrimSpace(r.FormValue("now"))
	at, err := s.desk.Bench(job).Moment(r.Context(), as)
	if err != nil {
		return err
	}
	b, err := long(s, w, r, planning+" What else could be done is planned too, each of it whole.", "days "+job+" "+r.FormValue("fan")+" "+as, func(ctx context.Context) (finish.BoardAnswer, error) {
		return s.desk.BoardAndElse(ctx, job, at, fan)
	})
	if err != nil {
		return err
	}
	f := newFrame(r, b)
	body := daysBody{BoardAnswer: b, Calendar: newCalendar(b.Plan), Fan: r.FormValue("fan"), As: as, Chain: map[string]bool{}}
	for _, l := range b.Plan.Chain {
		body.Chain[l.Step] = true
	}
	today := dayOf(b.Plan.Now)
	for _, st := range b.Plan.Steps {
		name := dayOf(st.Start)
		if name == today || name != "" && !st.Done && st.Start < b.Plan.Now {
			body.Today = append(body.Today, st)
		}
		if n := len(body.Days); n == 0 || body.Days[n-1].Name != name {
			body.Days = append(body.Days, daySteps{Name: name})
		}
		last := &body.Days[len(body.Days)-1]
		last.Steps = append(last.Steps, st)
	}
	for _, p := range b.Plan.Pots {
		if dayOf(p.Mixed) == today {
			body.Pots = append(body.Pots, p)
		}
	}
	f.Title, f.Here, f.Body = "Days", "days", body
	return s.ok(w, r, "days", f)
}

// minds are the cautions about what a step handles, to stand beside it.
func minds(p finish.PlanAnswer, st finish.PlanStep) []finish.CautionAnswer {
	if st.Code == "" || st.Done {
		return nil
	}
	about := []string{st.Code}
	for _, a := range p.Areas {
		for _, y := range a.Layers {
			if a.Code == st.Area && y.Code == st.Code && y.Fixer != "" {
				about = append(about, y.Fixer)
			}
		}
	}
	var out []finish.CautionAnswer
	for _, c := range p.Cautions {
		if c.Weight != "note" && slices.Contains(about, c.Subject) {
			out = append(out, c)
		}
	}
	return out
}

// done records a finished step.
func (s *Server) done(w http.ResponseWriter, r *http.Request) error {
	version, err := seen(r.FormValue("version"))
	if err != nil {
		return err
	}
	step := r.FormValue("step")
	text, after, err := s.desk.Done(r.Context(), r.PathValue("job"), version, step, strings.TrimSpace(r.FormValue("at")), strings.TrimSpace(r.FormValue("used")))
	if err != nil {
		return err
	}
	n := note{Text: capital(text) + ".", Undo: newUndo(after, base(r.PathValue("job"))+"days/undo", "Not done after all", [2]string{"step", step}, [2]string{"from", r.FormValue("from")})}
	return s.back(w, r, backTo(r, "days"), n)
}

// undo takes back that a step is done.
func (s *Server) undo(w http.ResponseWriter, r *http.Request) error {
	version, err := seen(r.FormValue("version"))
	if err != nil {
		return err
	}
	step := r.FormValue("step")
	if _, err := s.desk.Undo(r.Context(), r.PathValue("job"), version, step); err != nil {
		return err
	}
	return s.back(w, r, backTo(r, "days"), note{Text: step + " is not done any more; what it took is on the shelf again."})
}

// backTo is a view of the job, or the strip it was opened from.
func backTo(r *http.Request, view string) string {
	if from := r.FormValue("from"); from != "" {
		return base(r.PathValue("job")) + view + "?from=" + from
	}
	return base(r.PathValue("job")) + view
}
