package web

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"undercoat/finish"
	"undercoat/inventory"
	"undercoat/inventory/unit"
	"undercoat/palette/colour"
)

// shelfBody is the shelf, searched and filtered.
type shelfBody struct {
	Lines []finish.StockLine
	Query string
	Kind  string
	Near  string
	Kinds []inventory.Kind
	Top   int
	More  bool
}

// shelfPage is how many lines a page shows at once.
const shelfPage = 60

func (s *Server) shelf(w http.ResponseWriter, r *http.Request) error {
	f, bench := frame{}, s.bench
	if r.PathValue("job") != "" {
		_, opened, err := s.open(w, r)
		if err != nil {
			return err
		}
		f, bench = opened, s.desk.Bench(opened.Job)
	}
	body := shelfBody{Query: r.FormValue("q"), Kind: r.FormValue("kind"), Near: strings.TrimSpace(r.FormValue("near")), Kinds: inventory.Kinds(), Top: clamp(r.FormValue("top"), shelfPage, 5000)}
	filter := finish.StockFilter{Text: body.Query, Near: body.Near, Top: body.Top + 1}
	if body.Kind != "" {
		filter.Kinds = []string{body.Kind}
	}
	var err error
	if body.Lines, err = bench.Stock(r.Context(), filter); err != nil {
		return err
	}
	if body.More = len(body.Lines) > body.Top; body.More {
		body.Lines = body.Lines[:body.Top]
	}
	f.Title, f.Here, f.Body = "Shelf", "shelf", body
	return s.ok(w, r, "shelf", f)
}

// MoreURL shows more lines of the same search.
func (b shelfBody) MoreURL() string {
	q := url.Values{"q": {b.Query}, "kind": {b.Kind}, "near": {b.Near}, "top": {fmt.Sprint(b.Top + shelfPage)}}
	return "?" + q.Encode()
}

// lineBody is one line of the shelf in full.
type lineBody struct {
	finish.StockShow
	Told [][2]string // what its table states, in the order of names
	Uses []finish.Strip
}

func (s *Server) line(w http.ResponseWriter, r *http.Request) error {
	b, f, err := s.open(w, r)
	if err != nil {
		return err
	}
	show, err := s.desk.Bench(f.Job).StockItem(r.Context(), r.PathValue("code"))
	if err != nil {
		return fmt.Errorf("%w: %w", err, errNoPage)
	}
	body := lineBody{StockShow: show}
	names := make([]string, 0, len(show.Columns))
	for k, v := range show.Columns {
		if v != "" && !slices.Contains([]string{"code", "name", "kind", "colour", "on_hand", "note", "medium"}, k) {
			names = append(names, k)
		}
	}
	slices.Sort(names)
	for _, k := range names {
		body.Told = append(body.Told, told(k, show.Columns[k]))
	}
	for _, st := range b.Strips {
		if st.Plan != nil && (st.Plan.Ground == show.Code || slices.ContainsFunc(st.Plan.Layers, func(y finish.PlanLayer) bool { return y.Code == show.Code || y.Fixer == show.Code })) {
			body.Uses = append(body.Uses, st)
		}
	}
	f.Title, f.Here, f.Body = show.Code+" "+show.Name, "shelf", body
	return s.ok(w, r, "line", f)
}

// columnWords are the columns of stock.csv in plain words, with their units.
var columnWords = map[string][2]string{
	"hiding_black": {"hides of black", ""}, "hiding_white": {"hides of white", ""}, "wet_film_um": {"wet film", " µm"}, "spread_ml_m2": {"spread, a coat", " ml/m²"},
	"volume_solids_pct": {"volume of solids", " %"}, "touch_h": {"touch dry after", " h"}, "recoat_from_h": {"recoat from", " h"}, "recoat_until_h": {"recoat until", " h"},
	"handle_h": {"can be handled after", " h"}, "cure_h": {"cured after", " h"}, "heat_c": {"heat set at", " °C"}, "heat_min": {"heat set for", " min"}, "low_c": {"not below", " °C"},
	"elongation_pct": {"film stretches", " %"}, "voc_g_l": {"volatile part", " g/l"}, "width_cm": {"width", " cm"}, "shrinkage_pct": {"shrinks", " %"}, "iron_max_c": {"iron up to", " °C"},
	"stretch_pct": {"stretches", " %"}, "fluorescent": {"fluorescent, peak at", " nm"}, "dye_class": {"class of dye", ""}, "hazards": {"H statements", ""},
}

// told is what a label states, in plain words.
func told(column, text string) [2]string {
	w, ok := columnWords[column]
	if !ok {
		w = [2]string{strings.ReplaceAll(column, "_", " "), ""}
	}
	return [2]string{w[0], strings.ReplaceAll(text, ";", ", ") + w[1]}
}

func lineURL(r *http.Request) string {
	return backTo(r, "shelf/line/"+url.PathEscape(r.PathValue("code")))
}

// move records that a line was counted, used, bought or thrown away. A count
// says what there is, so it is refused where somebody moved the line since the
// form was opened; the other verbs add up.
func (s *Server) move(w http.ResponseWriter, r *http.Request) error {
	verb, code, amount := r.FormValue("verb"), r.PathValue("code"), strings.TrimSpace(r.FormValue("amount"))
	bench := s.desk.Bench(r.PathValue("job"))
	s.counting.Lock()
	defer s.counting.Unlock()
	before, err := bench.StockItem(r.Context(), code)
	if err != nil {
		return err
	}
	if verb == "count" && r.FormValue("moves") != fmt.Sprint(len(before.Movements)) {
		return fmt.Errorf("count %s: it was moved since this page was opened, and %s is there now: %w", code, before.OnHand, inventory.ErrChanged)
	}
	if err := bench.MoveStock(r.Context(), verb, code, amount, r.FormValue("note")); err != nil {
		return err
	}
	n := note{Text: "Recorded: " + verb + " " + amount + "."}
	if k := len(before.Movements); k > 0 && r.FormValue("note") != takenBack {
		was := before.Movements[k-1]
		n.Undo = &undo{Action: r.URL.EscapedPath(), Label: "Take it back", Fields: [][2]string{
			{"verb", "count"}, {"amount", strconv.FormatFloat(was.OnHand, 'f', -1, 64) + " " + was.Unit}, {"moves", fmt.Sprint(len(before.Movements) + 1)}, {"note", takenBack}, {"from", r.FormValue("from")},
		}}
	}
	return s.back(w, r, lineURL(r), n)
}

// takenBack is the note of a movement that undoes one.
const takenBack = "taken back"

// measure records a measured colour of a line.
func (s *Server) measure(w http.ResponseWriter, r *http.Request) error {
	c, err := colour.Parse(strings.TrimSpace(r.FormValue("colour")))
	if err != nil {
		return err
	}
	share := 0.0
	if s := strings.TrimSpace(r.FormValue("share")); s != "" {
		if share, err = unit.ParseNumber(s); err != nil {
			return fmt.Errorf("share in a tint: %w", err)
		}
	}
	l := c.Lab()
	m, err := s.desk.Bench(r.PathValue("job")).Measure(r.Context(), finish.MeasureEntry{
		Code: r.PathValue("code"), Kind: r.FormValue("kind"), Over: strings.TrimSpace(r.FormValue("over")), Coats: clamp(r.FormValue("coats"), 0, 12),
		Film: float64(clamp(r.FormValue("film"), 0, 5000)), Lab: &l, Share: share / 100,
	})
	if err != nil {
		return err
	}
	return s.back(w, r, lineURL(r), note{Text: fmt.Sprintf("Measured: %s over %s, %s.", m.Kind, m.Over, m.Hex)})
}

// addLine puts a new line on the shelf: every field is a column of stock.csv.
func (s *Server) addLine(w http.ResponseWriter, r *http.Request) error {
	if err := r.ParseForm(); err != nil {
		return err
	}
	columns := map[string]string{}
	for k, v := range r.PostForm {
		if k == "from" || k == "version" || len(v) == 0 || strings.TrimSpace(v[0]) == "" {
			continue
		}
		columns[k] = strings.TrimSpace(v[0])
	}
	if err := s.desk.Bench(r.PathValue("job")).AddStock(r.Context(), columns); err != nil {
		return err
	}
	r.SetPathValue("code", columns["code"])
	return s.back(w, r, lineURL(r), note{Text: columns["code"] + " is on the shelf."})
}
