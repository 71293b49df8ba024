package web

import (
	"context"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"undercoat/finish"
	"undercoat/finish/garment"
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
	Whole   *whole // what it is made of where nothing is coated; null where coats are drawn
	Way     *line
}

// whole is a material that is a strip's colour through and through.
type whole struct{ Label, Words, Hex string }

// wholeOf is the cloth an area is cut from, or the ground that takes a dye.
func wholeOf(st finish.Strip) *whole {
	if st.Method == string(garment.ByCloth) && st.Plan != nil && st.Plan.Predicted != nil {
		for _, y := range st.Plan.Layers {
			if y.Role == string(plan.RoleCloth) {
				return &whole{Label: "Cloth", Words: y.Code + " " + y.Name, Hex: st.Plan.Predicted.Hex}
			}
		}
	}
	if st.Section.GroundFace == nil {
		return nil
	}
	w := &whole{Label: "Ground", Words: st.Section.Ground + " " + st.Section.GroundName, Hex: st.Section.GroundFace.Hex}
	switch {
	case st.Choice != "":
		w.Words += ", takes " + times(st.Choice)
	case st.Method == string(garment.ByPaint):
		w.Words += ", no coats chosen"
	}
	return w
}

// Coated reports whether coats lie on the area.
func (s stripBody) Coated() bool { return len(s.Section.Coats) > 0 }

// Surface names one side of a contact.
func (s stripBody) Surface(code string) string { return surface(*s.Board, code) }

func newStrip(b *finish.BoardAnswer, st finish.Strip) stripBody {
	out := stripBody{Strip: st, Board: b, Threads: threads(st.Target.Pictures)}
	if !out.Coated() {
		out.Whole = wholeOf(st)
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

// Weighs counts the cautions of a weight: "stop", "care" or "note".
func (s stripBody) Weighs(weight string) (n int) {
	for _, c := range s.Cautions {
		if c.Weight == weight {
			n++
		}
	}
	return n
}

func (s *Server) board(w http.ResponseWriter, r *http.Request) error {
	b, f, err := s.open(w, r)
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

// planning is what a page says while a plan is made.
const planning = "Reading the pictures, laying the coats, and looking for the order of work that ends earliest."

// open reads the job of a request with its frame.
func (s *Server) open(w http.ResponseWriter, r *http.Request) (finish.BoardAnswer, frame, error) {
	job := r.PathValue("job")
	b, err := long(s, w, r, planning, "board "+job, func(ctx context.Context) (finish.BoardAnswer, error) { return s.desk.Board(ctx, job) })
	if err != nil {
		return b, frame{}, err
	}
	return b, newFrame(r, b), nil
}

// newFrame is the frame of a job's page.
func newFrame(r *http.Request, b finish.BoardAnswer) frame {
	f := frame{Job: b.Job.Name, Version: b.Job.Version}
	from := r.FormValue("from")
	if i := slices.IndexFunc(b.Strips, func(st finish.Strip) bool { return st.Code == from }); i >= 0 {
		f.From = &strip{Code: from, Piece: b.Strips[i].Piece}
	}
	return f
}

// seen is the version of the job that a form was filled in on.
func seen(text string) (int64, error) {
	v, err := strconv.ParseInt(text, 10, 64)
	if err != nil || v < 1 {
		return 0, errForm("version", text, "the version of the job, as the page gave it")
	}
	return v, nil
}
