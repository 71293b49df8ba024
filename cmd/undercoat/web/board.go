package web

import (
	"net/http"
	"slices"
	"strconv"
	"strings"

	"undercoat/finish"
	"undercoat/finish/plan"
)

// home is the list of jobs; where there is one, its board.
func (s *Server) home(w http.ResponseWriter, r *http.Request) error {
	jobs, err := s.bench.Jobs(r.Context())
	if err != nil {
		return err
	}
	if len(jobs) == 1 && r.URL.RawQuery == "" {
		http.Redirect(w, r, base(jobs[0].Name), http.StatusSeeOther)
		return nil
	}
	return s.ok(w, r, "home", frame{Title: "Jobs of this workroom", Body: jobs})
}

// boardBody is the board of a job's strips.
type boardBody struct {
	finish.BoardAnswer
	Strips  []stripBody
	Next    []finish.PlanStep      // the next steps that are not done
	Loose   []finish.CautionAnswer // cautions about no strip
	Stops   []finish.CautionAnswer
	Missing []string // columns a new area can state
}

// stripBody is one strip with its drawings.
type stripBody struct {
	finish.Strip
	Board   *finish.BoardAnswer
	Threads []band
	Cut     []band
	Way     *line
}

func newStrip(b *finish.BoardAnswer, st finish.Strip) stripBody {
	out := stripBody{Strip: st, Board: b, Threads: threads(st.Target.Pictures)}
	if len(st.Section.Coats) > 0 {
		out.Cut = cut(st.Section)
	}
	if w, ok := wayTo(b.Plan, st.Plan); ok {
		out.Way = &w
	}
	return out
}

// Selvedge is the target's colour, which runs along the strip.
func (s stripBody) Selvedge() string {
	if s.Target.Target != nil {
		return s.Target.Target.Hex
	}
	return ""
}

// Fluorescent reports whether the target is a glow that no hex shows.
func (s stripBody) Fluorescent() bool { return strings.HasPrefix(s.Target.Words, "fluorescent") }

// Stop counts the cautions that forbid to start.
func (s stripBody) Stop() (n int) {
	for _, c := range s.Cautions {
		if c.Weight == "stop" {
			n++
		}
	}
	return n
}

func (s *Server) board(w http.ResponseWriter, r *http.Request) error {
	b, f, err := s.open(r)
	if err != nil {
		return err
	}
	body := boardBody{BoardAnswer: b}
	about := []string{}
	for _, st := range b.Strips {
		body.Strips = append(body.Strips, newStrip(&b, st))
		for _, c := range st.Cautions {
			about = append(about, c.Subject)
		}
	}
	for _, c := range b.Plan.Cautions {
		if c.Weight == "stop" {
			body.Stops = append(body.Stops, c)
		} else if !slices.Contains(about, c.Subject) {
			body.Loose = append(body.Loose, c)
		}
	}
	body.Next = nextSteps(b.Plan, 3)
	f.Title, f.Here, f.Body = b.Job.Name, "board", body
	return s.ok(w, r, "board", f)
}

func nextSteps(p finish.PlanAnswer, n int) []finish.PlanStep {
	var out []finish.PlanStep
	for _, st := range p.Steps {
		if !st.Done && len(out) < n {
			out = append(out, st)
		}
	}
	return out
}

// open reads the job of a request with its frame.
func (s *Server) open(r *http.Request) (finish.BoardAnswer, frame, error) {
	return s.openWith(r, plan.FanAsRoom)
}

func (s *Server) openWith(r *http.Request, fan plan.Fan) (finish.BoardAnswer, frame, error) {
	b, err := s.desk.BoardWith(r.Context(), r.PathValue("job"), fan)
	if err != nil {
		return b, frame{}, err
	}
	f := frame{Job: b.Job.Name, Version: b.Job.Version}
	from := r.FormValue("from")
	if i := slices.IndexFunc(b.Strips, func(st finish.Strip) bool { return st.Code == from }); i >= 0 {
		f.From = &strip{Code: from, Piece: b.Strips[i].Piece}
	}
	return b, f, nil
}

// seen is the bench of a form's job, held against the version the form was
// filled in on.
func (s *Server) seen(r *http.Request) (*finish.Bench, int64, error) {
	v, err := strconv.ParseInt(r.FormValue("version"), 10, 64)
	if err != nil {
		return nil, 0, errForm("version", r.FormValue("version"), "the version of the job, as the page gave it")
	}
	b := s.desk.Bench(r.PathValue("job"))
	return b, v, b.Holds(r.Context(), v)
}
