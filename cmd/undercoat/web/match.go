package web

import (
	"fmt"
	"net/http"
	"strconv"
	"strings"

	"undercoat/finish"
	"undercoat/finish/garment"
)

// matchBody is what the shelf can do for an area.
type matchBody struct {
	stripBody
	finish.MatchAnswer
	Lines  []matchLine
	Parts  int
	Layers bool
	Top    int
	Ground string
}

// matchLine is one way with what a form needs to choose it.
type matchLine struct {
	finish.MatchLine
	Names  []string // of the choices it is one of
	Lights []lightLine
	Choice string // layers to choose; "" where it must be kept as a recipe first
	Recipe string // parts of a mixture, "T1:5,W1:3"
}

// wayBody is one way to a colour as its template takes it; Area is "" where the
// colour belongs to none.
type wayBody struct {
	Frame                                   frame
	Answer                                  finish.MatchAnswer
	Selvedge, Currency, Area, Piece, Before string
	Row                                     int
	Line                                    matchLine
}

// lightLine is a match under one light.
type lightLine struct {
	Name       string
	Difference float64
	Within     bool
	Note       string
}

func (s *Server) match(w http.ResponseWriter, r *http.Request) error {
	b, f, err := s.open(w, r)
	if err != nil {
		return err
	}
	i, err := find(b, r.PathValue("area"))
	if err != nil {
		return err
	}
	body := matchBody{stripBody: newStrip(&b, b.Strips[i]), Layers: r.FormValue("layers") != "", Ground: strings.TrimSpace(r.FormValue("ground"))}
	body.Parts = clamp(r.FormValue("parts"), 0, 3)
	body.Top = clamp(r.FormValue("top"), 8, 60)
	body.MatchAnswer, err = s.search(w, r, b.Job.Name, fmt.Sprint(b.Job.Version, " ", body.Code, " ", r.URL.RawQuery), finish.MatchRequest{
		Area: body.Code, Ground: body.Ground, Parts: body.Parts, Layers: body.Layers, Top: body.Top,
	})
	if err != nil {
		return err
	}
	for _, m := range body.Matches {
		body.Lines = append(body.Lines, newMatchLine(m, body.MatchAnswer, b.Strips[i].Method, b.Lights))
	}
	f.Title, f.From, f.Body = "What the shelf can do for "+body.Code, &strip{body.Code, body.Piece}, body
	return s.ok(w, r, "match", f)
}

func newMatchLine(m finish.MatchLine, a finish.MatchAnswer, method string, lights []string) matchLine {
	l := matchLine{MatchLine: m}
	for _, c := range a.Choices {
		if c.Code == m.Code {
			l.Names = append(l.Names, c.Why)
		}
	}
	for _, n := range lights {
		if _, ok := m.ByLight[n]; !ok {
			continue
		}
		light := lightLine{Name: n, Difference: m.ByLight[n], Within: m.ByLight[n] <= a.Target.Tolerance}
		for _, t := range m.LightNotes {
			if rest, ok := strings.CutPrefix(t, n+": "); ok {
				light.Note = rest
			}
		}
		l.Lights = append(l.Lights, light)
	}
	var parts, coats []string
	for _, p := range m.Parts {
		parts = append(parts, p.Code+":"+strconv.FormatFloat(p.Share*100, 'f', 1, 64))
	}
	for _, c := range m.Coats {
		coats = append(coats, garment.Layer{Code: c.Code, Coats: c.Coats}.String())
	}
	switch {
	case len(parts) > 1:
		l.Recipe = strings.Join(parts, ",")
	case len(coats) > 0:
		l.Choice = strings.Join(coats, " ")
	case method == string(garment.ByPaint) && m.CoatsTotal > 0:
		l.Choice = garment.Layer{Code: m.Code, Coats: m.CoatsTotal}.String()
	default:
		l.Choice = m.Code
	}
	return l
}

// clamp reads a number from 0 to most; what is none is least.
func clamp(s string, least, most int) int {
	n, err := strconv.Atoi(strings.TrimSpace(s))
	if err != nil || n < 0 {
		return least
	}
	return min(n, most)
}

// coatsBody is a stack built up coat by coat.
type coatsBody struct {
	stripBody
	Ground string
	Light  string
	Rows   []garment.Layer // as typed, with empty rows to type into
	Built  *finish.LayersAnswer
	Faces  []coatFace
	Layers string
	Shelf  []finish.StockLine // what can be coated or lie under
	Lights []string
}

// coatFace is the colour after one coat, against the target.
type coatFace struct {
	finish.LayersStep
	Lies string
	Away *float64
}

// coatRows is how many products a form offers to lay.
const coatRows = 5

func (s *Server) coats(w http.ResponseWriter, r *http.Request) error {
	b, f, err := s.open(w, r)
	if err != nil {
		return err
	}
	i, err := find(b, r.PathValue("area"))
	if err != nil {
		return err
	}
	bench := s.desk.Bench(b.Job.Name)
	body := coatsBody{stripBody: newStrip(&b, b.Strips[i]), Ground: strings.TrimSpace(r.FormValue("ground")), Light: r.FormValue("light"), Lights: []string{"D65", "D50", "A", "LED-B3", "FL11"}}
	layers, err := layersOf(r)
	if err != nil {
		return err
	}
	if len(layers) == 0 && body.Ground == "" {
		layers, body.Ground = planned(body.Strip)
	}
	for _, k := range []string{"paint", "sealer", "dye", "cloth", "trim"} {
		lines, err := bench.Stock(r.Context(), finish.StockFilter{Kinds: []string{k}, Top: 300})
		if err != nil {
			return err
		}
		body.Shelf = append(body.Shelf, lines...)
	}
	if body.Ground != "" && len(layers) > 0 {
		built, err := bench.Layers(r.Context(), body.Ground, layers, body.Light)
		if err != nil {
			return err
		}
		body.Built, body.Layers = &built, finish.LayersText(layers)
		body.Faces = coatFaces(built, b.Strips[i])
	}
	body.Rows = append(layers, make([]garment.Layer, max(1, coatRows-len(layers)))...)
	f.Title, f.From, f.Body = "Coat by coat on "+body.Code, &strip{body.Code, body.Piece}, body
	return s.ok(w, r, "coats", f)
}

// planned is what the plan lays on an area, and on what.
func planned(st finish.Strip) (layers []garment.Layer, ground string) {
	for _, c := range st.Section.Coats {
		if n := len(layers); n > 0 && layers[n-1].Code == c.Code {
			layers[n-1].Coats++
		} else {
			layers = append(layers, garment.Layer{Code: c.Code, Coats: 1})
		}
	}
	if ground = st.Section.Ground; ground == "" {
		ground = st.Ground
	}
	return layers, ground
}
