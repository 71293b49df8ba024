package web

import (
	"bytes"
	"embed"
	"errors"
	"fmt"
	"html/template"
	"math"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"undercoat/finish"
	"undercoat/inventory"
)

//go:embed pages
var pageFiles embed.FS

// templates are the pages by name, each with the frame round it.
var templates = sync.OnceValue(func() map[string]*template.Template {
	base := template.Must(template.New("").Funcs(helpers).ParseFS(pageFiles, "pages/frame.html", "pages/parts.html"))
	entries, err := pageFiles.ReadDir("pages")
	if err != nil {
		panic("web: the embedded pages cannot be listed: " + err.Error())
	}
	out := map[string]*template.Template{}
	for _, e := range entries {
		name, _ := strings.CutSuffix(e.Name(), ".html")
		if name == "frame" || name == "parts" {
			continue
		}
		out[name] = template.Must(template.Must(base.Clone()).ParseFS(pageFiles, "pages/"+e.Name()))
	}
	return out
})

// frame is what stands round every page.
type frame struct {
	Title   string
	Job     string // "" where the page is about no job
	Version int64  // of the job's facts, for its forms
	Here    string // the view, for the list of views
	From    *strip // the strip the view was opened from
	Note    *note
	Body    any
}

// strip names an area to return to.
type strip struct{ Code, Piece string }

// Base is the address of the job's board.
func (f frame) Base() string { return base(f.Job) }

// Back is the query that keeps the way back to a strip.
func (f frame) Back() string {
	if f.From == nil {
		return ""
	}
	return "?from=" + url.QueryEscape(f.From.Code)
}

func base(job string) string { return "/j/" + url.PathEscape(job) + "/" }

// render fills a page. said is a line of its own above the body; "" is none.
func (s *Server) render(w http.ResponseWriter, r *http.Request, code int, name string, f frame, said string) {
	if id := r.URL.Query().Get("note"); id != "" && f.Note == nil {
		f.Note = s.notes.take(id)
	}
	if said != "" {
		f.Note = &note{Text: said}
	}
	var b bytes.Buffer
	if err := templates()[name].ExecuteTemplate(&b, "frame", f); err != nil {
		http.Error(w, "show page: "+err.Error(), http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.WriteHeader(code)
	if r.Method != http.MethodHead {
		b.WriteTo(w)
	}
}

// ok fills a page that was asked for and found.
func (s *Server) ok(w http.ResponseWriter, r *http.Request, name string, f frame) error {
	s.render(w, r, http.StatusOK, name, f, "")
	return nil
}

// failure is what an error page says.
type failure struct {
	Status  int
	Text    string
	Try     []string
	Cells   []string // bad cells of tables, one a line
	More    int
	Changed bool
	Here    string // where to look again
}

// fail shows an error as a page: what could not be done, and what could be
// tried. Nothing was written.
func (s *Server) fail(w http.ResponseWriter, r *http.Request, err error) {
	f := failure{Status: status(err), Text: err.Error(), Changed: errors.Is(err, inventory.ErrChanged), Here: cameFrom(r)}
	var hinted *finish.Hinted
	if errors.As(err, &hinted) {
		f.Try = hinted.Try
	}
	var bad *inventory.BadCells
	if errors.As(err, &bad) {
		const shown = 40
		for _, c := range bad.Cells[:min(shown, len(bad.Cells))] {
			f.Cells = append(f.Cells, c.String())
		}
		f.Text, f.More = "the input was not taken", len(bad.Cells)+bad.More-len(f.Cells)
	}
	page := frame{Title: "Not done", Job: r.PathValue("job"), Body: f}
	if f.Changed {
		page.Title = "Changed meanwhile"
	}
	s.render(w, r, f.Status, "error", page, "")
}

// cameFrom is the page of this server that a form was filled in on.
func cameFrom(r *http.Request) string {
	u, err := url.Parse(r.Referer())
	if err != nil || u.Host != r.Host || !strings.HasPrefix(u.Path, "/") || strings.HasPrefix(u.Path, "//") {
		return "/"
	}
	q := u.Query()
	q.Del("note")
	u.RawQuery = q.Encode()
	return u.RequestURI()
}

// helpers are the words of templates.
var helpers = template.FuncMap{
	"static": staticURL, "when": when, "day": dayOf, "clock": clockOf, "span": spanOf, "until": until, "field": fieldTime,
	"num": func(decimals int, v float64) string { return number(v, decimals) },
	"lab": labText, "pct": percent,
	"money": func(v float64) string { return number(v, 2) },
	"cap":   capital, "upper": strings.ToUpper, "lower": strings.ToLower, "join": strings.Join, "path": url.PathEscape, "query": url.QueryEscape,
	"add": func(a, b int) int { return a + b }, "has": func(list []string, s string) bool { return slices.Contains(list, s) },
	"list": func(words ...string) []string { return words }, "mul": func(a, b float64) float64 { return a * b },
	"way": func(f frame, a finish.MatchAnswer, selvedge, currency, area, piece, before string, row int, m matchLine) wayBody {
		return wayBody{f, a, selvedge, currency, area, piece, before, row, m}
	},
	"pair": func(a, b any) [2]any { return [2]any{a, b} },
	"face": newFace, "bands": newBands, "cut": newCut, "short": shortNames, "undated": undated, "width": func(s string) int { return min(28, max(8, len(s)+1)) }, "lightName": lightName, "times": times, "minds": minds, "over": over, "sub": func(a, b float64) float64 { return round2(a - b) }, "ends": func(x, w float64) float64 { return round2(x + w) },
	"step":  func(f frame, st finish.PlanStep, stopped bool) stepForm { return stepForm{f, st, stopped} },
	"views": func() [][2]string { return views }, "coatsDown": coatsDown, "verdictSign": verdictSign,
	"words": func(s string) string { return strings.ReplaceAll(s, "_", " ") },
}

// views are the views of a job and where they are.
var views = [][2]string{{"board", ""}, {"pictures", "pictures"}, {"days", "days"}, {"contacts", "contacts"}, {"shelf", "shelf"}, {"papers", "papers"}}

// stepForm is a step with what its form needs.
type stepForm struct {
	Frame   frame
	Step    finish.PlanStep
	Stopped bool
}

// coatsDown are the coats of a section as they are seen: the last one first.
func coatsDown(coats []finish.SectionCoat) []finish.SectionCoat {
	down := slices.Clone(coats)
	slices.Reverse(down)
	return down
}

// verdictSign is a shape for a verdict, beside its words.
func verdictSign(word string) string {
	switch word {
	case "no objection found":
		return "○"
	case "with barrier":
		return "◑"
	case "treat and retest":
		return "▲"
	case "keep apart":
		return "✕"
	}
	return "?"
}

// shortNames keeps the first two of a list of names with their shares.
func shortNames(says string) string {
	says = strings.ReplaceAll(says, " %", "\u00a0%") // a number stays with its sign
	parts := strings.Split(says, ", ")
	if len(parts) <= 2 {
		return says
	}
	return strings.Join(parts[:2], ", ") + " …"
}

// lightName is a standard light in plain words.
func lightName(code string) string {
	switch code {
	case "D65":
		return "daylight (D65)"
	case "D50":
		return "warmer daylight (D50)"
	case "A":
		return "filament bulb (A)"
	case "LED-B3":
		return "LED lamp, about 4000 K (LED-B3)"
	case "FL11":
		return "fluorescent tube (FL11)"
	}
	return code
}

// times writes layers for people: "W3 × 1, W1 × 3" for "W3:1 W1:3".
func times(layers string) string {
	parts := strings.FieldsFunc(layers, func(c rune) bool { return c == ' ' || c == ',' })
	return strings.ReplaceAll(strings.Join(parts, ", "), ":", " × ")
}

// over is how much a cost is above a budget; 0 where it is not.
func over(cost float64, budget *float64) float64 {
	if budget == nil {
		return 0
	}
	return max(0, cost-*budget)
}

// number writes a number; −0 becomes 0 and the minus is a minus.
func number(v float64, decimals int) string {
	p := math.Pow10(decimals)
	return strings.Replace(strconv.FormatFloat(math.Round(v*p)/p+0, 'f', decimals, 64), "-", "−", 1)
}

func labText(l [3]float64) string {
	return fmt.Sprintf("L* %s a* %s b* %s", number(l[0], 1), number(l[1], 1), number(l[2], 1))
}

// times as the verbs write them: RFC 3339 with the job's own offset; a pointer
// to none is "".
func moment(v any) (time.Time, bool) {
	var s string
	switch x := v.(type) {
	case string:
		s = x
	case *string:
		if x == nil {
			return time.Time{}, false
		}
		s = *x
	case time.Time:
		return x, true
	case *time.Time:
		if x == nil {
			return time.Time{}, false
		}
		return *x, true
	}
	t, err := time.Parse(time.RFC3339, s)
	return t, err == nil && t.Year() > 1 // a plan without working hours has steps and no dates
}

// undated reports whether a plan has steps and no dates: it needs hours to work
// in.
func undated(p finish.PlanAnswer) bool {
	return len(p.Steps) > 0 && !slices.ContainsFunc(p.Steps, func(st finish.PlanStep) bool {
		_, dated := moment(st.Start)
		return dated
	})
}

func formatted(layout string) func(any) string {
	return func(v any) string {
		if t, ok := moment(v); ok {
			return t.Format(layout)
		}
		return ""
	}
}

var (
	when      = formatted("Mon 2 Jan 15:04")
	dayOf     = formatted("Monday 2 January")
	clockOf   = formatted("15:04")
	fieldTime = formatted("2006-01-02T15:04")
)

// spanOf writes minutes for people: "3 d 6 h", "45 min".
func spanOf(minutes int) string {
	sign := ""
	if minutes < 0 {
		sign, minutes = "−", -minutes
	}
	var parts []string
	if d := minutes / 1440; d > 0 {
		parts = append(parts, fmt.Sprintf("%d d", d))
	}
	if h := minutes / 60 % 24; h > 0 {
		parts = append(parts, fmt.Sprintf("%d h", h))
	}
	if m := minutes % 60; m > 0 && minutes < 1440 || len(parts) == 0 {
		parts = append(parts, fmt.Sprintf("%d min", m))
	}
	return sign + strings.Join(parts, " ")
}

// until writes the time from one instant to another.
func until(from, to any) string {
	a, ok1 := moment(from)
	b, ok2 := moment(to)
	if !ok1 || !ok2 {
		return ""
	}
	return spanOf(int(b.Sub(a).Round(time.Minute) / time.Minute))
}

func capital(s string) string {
	if s == "" {
		return s
	}
	for i, r := range s {
		if i == 0 {
			return strings.ToUpper(string(r)) + s[len(string(r)):]
		}
	}
	return s
}
